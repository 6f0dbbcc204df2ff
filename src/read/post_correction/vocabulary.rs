//! The words that are known, and which of them stand beside one another.

use rustc_hash::FxHashSet;

use crate::patterns::Patterns;

/// Known words and pairs of words, in lower case.
pub(super) struct Vocabulary<'p> {
    patterns: &'p Patterns,
    words: FxHashSet<String>,
    pairs: FxHashSet<(String, String)>,
}

impl<'p> Vocabulary<'p> {
    /// From the phrases of all patterns, the reference wordings and the list of plain words.
    pub(super) fn of(patterns: &'p Patterns) -> Self {
        let mut all = Self {
            patterns,
            words: FxHashSet::default(),
            pairs: FxHashSet::default(),
        };
        for wording in &patterns.wording {
            all.learn(&wording.file.text);
        }
        for file in &patterns.inspector.files {
            file.file.hit.iter().for_each(|hit| all.learn(&hit.text));
        }
        for file in &patterns.topic.files {
            file.file.hit.iter().for_each(|hit| all.learn(&hit.text));
        }
        all
    }

    fn learn(&mut self, text: &str) {
        let mut before: Option<String> = None;
        for piece in text.split_whitespace() {
            let word = piece
                .trim_matches(|c: char| !c.is_alphanumeric())
                .to_lowercase();
            if word.is_empty() {
                before = None;
                continue;
            }
            for part in word.split(|c: char| !c.is_alphanumeric()) {
                if part.len() > 1 {
                    self.words.insert(part.to_owned());
                }
            }
            if let Some(first) = before.take() {
                self.pairs.insert((first, word.clone()));
            }
            // a mark at its end parts it from what follows
            before = piece.ends_with(char::is_alphanumeric).then_some(word);
        }
    }

    /// Whether a word is known, in lower case.
    pub(super) fn knows(&self, word: &str) -> bool {
        self.words.contains(word)
            || self.patterns.slip.known.contains(word)
            || self.patterns.lexicon.number(word) != 0
    }

    /// The same, also for the simple forms of known words.
    pub(super) fn knows_form(&self, word: &str) -> bool {
        self.knows(word)
            || ["s", "es", "ed", "d", "ing", "ly", "'s"]
                .iter()
                .any(|ending| {
                    word.strip_suffix(ending)
                        .is_some_and(|stem| stem.len() > 2 && self.knows(stem))
                })
    }

    /// Whether the two stand beside one another in a known wording.
    pub(super) fn pair(&self, first: &str, second: &str) -> bool {
        !first.is_empty()
            && !second.is_empty()
            && self.pairs.contains(&(first.to_owned(), second.to_owned()))
    }
}
