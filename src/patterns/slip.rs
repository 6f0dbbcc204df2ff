//! Slips of OCR: what is taken for what, which words are known, and which must never be corrected.

use rustc_hash::FxHashSet;
use serde::Deserialize;

use super::file::pattern_file;
use super::{Loaded, PatternError};

pattern_file! {
    /// One file of `patterns/slip/`.
    SlipFile, hit: SlipExample, miss: SlipExample, {
        /// The signs or words and what they are.
        slip: Slip,
    }
}

/// Signs or words of a slip.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Slip {
    /// What they are.
    pub of: SlipRole,
    /// What is read, and what stands on the paper.
    #[serde(default)]
    pub pairs: Vec<(String, String)>,
    /// Words, in lower case.
    #[serde(default)]
    pub words: Vec<String>,
    /// For a pair of words: one of these has to stand before it.
    #[serde(default)]
    pub after: Vec<String>,
    /// For a pair of words: what has to follow it.
    #[serde(default)]
    pub before: Follows,
}

/// What signs or words of a slip are.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum SlipRole {
    /// Letters taken for other letters.
    Letters,
    /// Letters taken for figures.
    Digits,
    /// Figures taken for other figures.
    Figures,
    /// Signs that stand for others wherever they occur.
    Signs,
    /// Whole words, where their neighbors tell.
    Word,
    /// Words that are known.
    Known,
    /// Words that decide.
    Deciding,
    /// Words that name who inspects; they decide, too.
    Person,
    /// Words that stand before such a word: without one behind them a word was lost.
    BeforePerson,
}

/// What has to follow a word.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Follows {
    /// Anything.
    #[default]
    Anything,
    /// The number of a part of 14 CFR.
    Part,
    /// The number of a section of 14 CFR.
    Section,
}

/// A text as OCR may read it.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SlipExample {
    /// The text as read.
    pub text: String,
    /// The text as corrected; the same where this is empty.
    #[serde(default)]
    pub becomes: String,
    /// The word that has to be doubted.
    #[serde(default)]
    pub doubts: String,
    /// For a miss: why not.
    #[serde(default)]
    pub why: String,
}

/// A word for another one, where its neighbors tell.
#[derive(Clone, Debug)]
pub struct WordSlip {
    /// As read.
    pub read: String,
    /// As printed.
    pub meant: String,
    /// What may stand before; anything where this is empty.
    pub after: Vec<String>,
    /// What has to follow.
    pub before: Follows,
    /// Index of the file.
    pub file: usize,
}

/// All files of the folder, compiled.
#[derive(Debug, Default)]
pub struct Slips {
    /// The files.
    pub files: Vec<Loaded<SlipFile>>,
    /// Letters for letters.
    pub letters: Vec<(String, String)>,
    /// Letters for figures.
    pub digits: Vec<(char, char)>,
    /// Figures for figures.
    pub figures: Vec<(char, char)>,
    /// Signs.
    pub signs: Vec<(String, String)>,
    /// Words.
    pub words: Vec<WordSlip>,
    /// Known words, those that decide included.
    pub known: FxHashSet<String>,
    /// Words that decide, in order.
    pub deciding: Vec<String>,
    /// Those of them that name who inspects.
    pub persons: FxHashSet<String>,
    /// Words that stand before a word that names who inspects.
    pub before_persons: FxHashSet<String>,
}

impl Slips {
    pub(super) fn compile(files: Vec<Loaded<SlipFile>>) -> Result<Self, PatternError> {
        let mut all = Self::default();
        for (n, loaded) in files.iter().enumerate() {
            let form = |message: &str| loaded.refuse(message.to_owned());
            let slip = &loaded.file.slip;
            let single = || -> Result<Vec<(char, char)>, PatternError> {
                let one = |word: &str| {
                    let mut chars = word.chars();
                    chars.next().filter(|_| chars.next().is_none())
                };
                slip.pairs
                    .iter()
                    .map(|(read, meant)| one(read).zip(one(meant)))
                    .collect::<Option<Vec<_>>>()
                    .ok_or_else(|| form("each pair has to be of single characters"))
            };
            let wants_words = matches!(
                slip.of,
                SlipRole::Known | SlipRole::Deciding | SlipRole::Person | SlipRole::BeforePerson
            );
            if wants_words == slip.words.is_empty() || wants_words != slip.pairs.is_empty() {
                return Err(form(
                    "known, deciding, person and before-person have «words», the others «pairs»",
                ));
            }
            match slip.of {
                SlipRole::Letters => all.letters.extend(slip.pairs.iter().cloned()),
                SlipRole::Digits => all.digits.extend(single()?),
                SlipRole::Figures => all.figures.extend(single()?),
                SlipRole::Signs => all.signs.extend(slip.pairs.iter().cloned()),
                SlipRole::Word => {
                    all.words
                        .extend(slip.pairs.iter().map(|(read, meant)| WordSlip {
                            read: read.clone(),
                            meant: meant.clone(),
                            after: slip.after.clone(),
                            before: slip.before,
                            file: n,
                        }))
                }
                SlipRole::Known => {}
                SlipRole::BeforePerson => {
                    all.before_persons.extend(slip.words.iter().cloned());
                }
                SlipRole::Deciding | SlipRole::Person => {
                    all.deciding.extend(slip.words.iter().cloned());
                }
            }
            if slip.of == SlipRole::Person {
                all.persons.extend(slip.words.iter().cloned());
            }
            all.known.extend(slip.words.iter().cloned());
        }
        all.deciding.sort_unstable();
        all.deciding.dedup();
        all.files = files;
        Ok(all)
    }
}
