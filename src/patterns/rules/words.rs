//! Words of the grammar with their class and meaning, compiled.

use rustc_hash::FxHashMap;
use serde::Deserialize;

use super::Category;
use super::automaton::Automaton;
use super::compile::RuleCompiler;
use crate::patterns::phrase::{Lexicon, PhraseSet};
use crate::patterns::tables::{small, stored};

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
    /// Phrases; see [`crate::patterns::phrase`].
    pub any: Vec<String>,
}

/// The words of all files.
#[derive(Clone, Debug, Default)]
pub(crate) struct Words {
    /// Phrase → (file, class) of each meaning that it has.
    pub(crate) phrases: Automaton<[u16; 2]>,
    /// Category and meaning (its place in `meanings`), by file and class.
    pub(crate) classes: Vec<Vec<(Category, u16)>>,
    /// Meanings as they are written.
    pub(crate) meanings: Vec<String>,
    /// What matters of a word to open phrases: see [`mark`].
    pub(crate) marks: FxHashMap<u32, u8>,
    /// Words that a misread word may have been, in lower case.
    pub(crate) sensitive: Vec<String>,
}

stored!(Words {
    phrases,
    classes,
    meanings,
    marks,
    sensitive,
});
small!(Vec<Vec<(Category, u16)>>);

/// What matters of a word to open phrases; a bit each.
pub(crate) mod mark {
    /// It decides: a modal, a negation, a limit, a person.
    pub(crate) const DECIDES: u8 = 1;
    /// A participle of doing an inspection.
    pub(crate) const DEED: u8 = 2;
    /// A verb of doing an inspection: "to perform".
    pub(crate) const VERB: u8 = 4;
    /// A participle of making a rule or a program.
    pub(crate) const DEVELOPED: u8 = 8;
    /// A noun for an inspection.
    pub(crate) const INSPECTION: u8 = 16;
    /// A noun for what a person holds.
    pub(crate) const CERTIFICATE: u8 = 32;
    /// A noun for doing an inspection: "the making of", "performance".
    pub(crate) const DOING: u8 = 64;

    /// The mark that the words of a class bear.
    pub(super) fn of_class(class: &str) -> u8 {
        match class {
            "DECIDES" | "PERSONWORD" => DECIDES,
            "VN" | "INSPECTED" => DEED,
            "V" => VERB,
            "DEVELOPED" => DEVELOPED,
            "INSPECTIONWORD" => INSPECTION,
            "CERTWORD" => CERTIFICATE,
            "DOINGWORD" => DOING,
            _ => 0,
        }
    }
}

impl Words {
    /// Compiles the classes of each file.
    ///
    /// # Errors
    /// The file, and a sentence that says what is wrong with one of its phrases.
    pub(super) fn compile<'f>(
        files: impl Iterator<Item = &'f [WordClass]>,
        lexicon: &mut Lexicon,
        rules: &mut RuleCompiler,
    ) -> Result<Self, (usize, String)> {
        let mut words = Self::default();
        let mut phrases: PhraseSet<Vec<[u16; 2]>> = PhraseSet::default();
        let mut known: FxHashMap<&str, u16> = FxHashMap::default();
        for (n, classes) in files.enumerate() {
            let mut of_file = Vec::new();
            for (k, class) in classes.iter().enumerate() {
                let at = [narrow(n), narrow(k)];
                for phrase in &class.any {
                    phrases
                        .add_with(lexicon, phrase, |held| {
                            let held = held.get_or_insert_with(Vec::new);
                            if !held.contains(&at) {
                                held.push(at);
                            }
                        })
                        .map_err(|message| (n, message))?;
                }
                let meaning = *known.entry(&class.means).or_insert_with(|| {
                    words.meanings.push(class.means.clone());
                    narrow(words.meanings.len() - 1)
                });
                of_file.push((rules.category(&class.class), meaning));
                words.note(class, lexicon);
            }
            words.classes.push(of_file);
        }
        let last = words.classes.len().saturating_sub(1);
        words.phrases = Automaton::of(phrases).map_err(|message| (last, message))?;
        words.sensitive.sort();
        words.sensitive.dedup();
        Ok(words)
    }

    /// Notes what matters of the words of a class beyond their phrases.
    fn note(&mut self, class: &WordClass, lexicon: &Lexicon) {
        let words = || class.any.iter().flat_map(|p| p.split([' ', '|']));
        let bit = mark::of_class(&class.class);
        for word in words().filter(|_| bit != 0) {
            let number = lexicon.number(word);
            if number == 0 || word.contains(['[', ']', '(', ')']) {
                continue;
            }
            *self.marks.entry(number).or_default() |= bit;
            let letters = word.chars().all(char::is_alphabetic);
            if bit == mark::DECIDES && word.len() >= 3 && letters {
                self.sensitive.push(word.to_ascii_lowercase());
            }
        }
        if class.class == "SENSITIVE" {
            self.sensitive.extend(words().map(str::to_owned));
        }
    }
}

fn narrow(n: usize) -> u16 {
    u16::try_from(n).unwrap_or(u16::MAX)
}
