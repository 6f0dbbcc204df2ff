//! Words of the grammar with their class and meaning, and its rules.

use serde::Deserialize;

use super::file::pattern_file;
use super::{Example, Lexicon, Loaded, PatternError, PhraseSet};

/// A row of words that mean the same to the grammar.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WordClass {
    /// The category that the words make.
    pub class: String,
    /// Their meaning: `head=…`, `features=…`, `inspection=…`, `force=…`; empty where they only
    /// have a place in the sentence.
    #[serde(default)]
    pub means: String,
    /// Phrases; see [`super::phrase`].
    pub any: Vec<String>,
}

pattern_file! {
    /// One file of `patterns/word/`.
    WordFile, hit: Example, miss: Example, {
        /// Classes of words.
        words: Vec<WordClass>,
    }
}

pattern_file! {
    /// One file of `patterns/grammar/`.
    RuleFile, hit: Example, miss: Example, {
        /// Rules; see `src/grammar/rules.rs`.
        rules: Vec<String>,
        /// Categories of phrases between whose parts an aside (category `ASIDE`) may stand.
        #[serde(default)]
        asides_in: Vec<String>,
    }
}

/// Words and rules, with the words compiled.
#[derive(Debug, Default)]
pub struct GrammarFiles {
    /// Files of words.
    pub words: Vec<Loaded<WordFile>>,
    /// Files of rules.
    pub rules: Vec<Loaded<RuleFile>>,
    /// Phrase → (file, class) of each meaning that it has.
    pub phrases: PhraseSet<Vec<(u16, u16)>>,
}

impl GrammarFiles {
    pub(super) fn compile(
        words: Vec<Loaded<WordFile>>,
        rules: Vec<Loaded<RuleFile>>,
        lexicon: &mut Lexicon,
    ) -> Result<Self, PatternError> {
        let mut phrases: PhraseSet<Vec<(u16, u16)>> = PhraseSet::default();
        for (n, loaded) in words.iter().enumerate() {
            for (k, class) in loaded.file.words.iter().enumerate() {
                let at = (narrow(n), narrow(k));
                for phrase in &class.any {
                    phrases
                        .add_with(lexicon, phrase, |held| {
                            let held = held.get_or_insert_with(Vec::new);
                            if !held.contains(&at) {
                                held.push(at);
                            }
                        })
                        .map_err(|message| loaded.refuse(message))?;
                }
            }
        }
        for loaded in &rules {
            for line in &loaded.file.rules {
                for word in crate::patterns::grammar::rule_words(line) {
                    lexicon.add(word);
                }
            }
        }
        Ok(Self {
            words,
            rules,
            phrases,
        })
    }
}

fn narrow(n: usize) -> u16 {
    u16::try_from(n).unwrap_or(u16::MAX)
}

/// The words that a rule names: what stands on its right side without a capital.
pub fn rule_words(line: &str) -> impl Iterator<Item = &str> {
    let right = line.split_once(" : ").map_or("", |(_, r)| r);
    let right = right.split_once(" = ").map_or(right, |(r, _)| r);
    right
        .split_whitespace()
        .flat_map(|place| rule_choices(rule_optional(place).unwrap_or(place)))
        .filter(|w| !w.starts_with(|c: char| c.is_ascii_uppercase()))
}

/// The symbol of a place that may be left out.
#[must_use]
pub fn rule_optional(place: &str) -> Option<&str> {
    place.strip_suffix('?').filter(|b| !b.is_empty())
}

/// The choices at a place of a rule: `A/B`; a slash that stands alone is the mark itself.
#[must_use]
pub fn rule_choices(place: &str) -> Vec<&str> {
    if place.len() > 1 {
        place.split('/').filter(|c| !c.is_empty()).collect()
    } else {
        vec![place]
    }
}
