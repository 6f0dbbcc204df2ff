//! Open words: how far a phrase that no rule knows may reach, and what it may not run over.
//!
//! `OPEN` stands within a statement on who inspects: it holds no word that decides, no person, no
//! agent, nothing unknown behind "or". `LOOSE` stands in a sentence about something else: it may
//! name persons, but holds no inspection, no certificate and no deed. `UNRELATED` is what could stand
//! behind a list as a sentence of its own that does not bear on it: it may say what may, must or only
//! may be, but of no person, no inspection, and nothing that it points back to.

use super::lexer::{Lexemes, Sentence, narrow};
use super::points::points;
use super::value::{Value, f};
use crate::patterns::rules::{Category, mark};
use crate::patterns::{TokenKind, WordList};

/// How many words a deed may have between its verb and the inspection.
const LONGEST_DEED: usize = 5;

/// How many words may stand between "or" and the noun behind it: "or an FAA approved shop".
const LONGEST_NOUN: usize = 5;

/// A sentence with what open phrases ask of its words.
struct Words<'a> {
    lexemes: &'a Lexemes,
    sentence: &'a Sentence,
    /// In small letters.
    words: Vec<String>,
    /// Part of a name of persons of several words: "A & P".
    named: Vec<bool>,
    /// Part of a term that the letter defines, or of what no open words run over.
    term: Vec<bool>,
    /// Part of a thing that has its name from an inspection: "inspection procedures".
    thing: Vec<bool>,
    /// Speaks of a person, an inspection or an act, or bears on a list.
    bears: Vec<bool>,
    /// A word that decides, of which it is known that it may stand beside a list: "must".
    beside: Vec<bool>,
}

impl Lexemes {
    /// How far open words reach from each place: `OPEN`, `LOOSE` and `UNRELATED`. Phrases of the
    /// categories `bear` are none of the last.
    pub(super) fn open(
        &self,
        text: &str,
        sentence: &Sentence,
        bear: &[Category],
    ) -> Vec<(Category, Vec<u16>)> {
        let n = sentence.row.len();
        let mut named = vec![false; n];
        let mut term = vec![false; n];
        let mut thing = vec![false; n];
        let mut bears = vec![false; n];
        let mut beside = vec![false; n];
        for (end, found) in sentence.terminals.iter().enumerate() {
            for t in found {
                let start = usize::from(t.start);
                let several = t.category == self.noun && end > start + 1;
                if several && t.value.names_who_could() {
                    named[start..end].fill(true);
                }
                if t.category == self.term || t.category == self.not_open {
                    term[start..end].fill(true);
                }
                if t.category == self.not_inspection {
                    // "plates", with the word before it
                    thing[start.saturating_sub(1)..end].fill(true);
                }
                if bear.contains(&t.category) {
                    bears[start..end].fill(true);
                }
                if t.category == self.decides_unrelated {
                    beside[start..end].fill(true);
                }
            }
        }
        let words = Words {
            lexemes: self,
            sentence,
            words: sentence
                .row
                .iter()
                .map(|t| t.span.of(text).to_ascii_lowercase())
                .collect(),
            named,
            term,
            thing,
            bears,
            beside,
        };
        let reach = |bears: &dyn Fn(usize) -> bool| {
            let mut out = vec![narrow(n); n + 1];
            let mut end = n;
            for at in (0..n).rev() {
                let bears = bears(at);
                if !bears {
                    end = at;
                }
                out[at] = narrow(if bears { end } else { at });
            }
            out
        };
        vec![
            (self.open, reach(&|at| words.open(at))),
            (self.loose, reach(&|at| words.loose(at))),
            (self.unrelated, reach(&|at| words.unrelated(at))),
        ]
    }
}

impl Words<'_> {
    fn word(&self, at: usize) -> &str {
        self.words.get(at).map_or("", String::as_str)
    }

    fn is(&self, at: usize, marks: u8) -> bool {
        let word = self.sentence.row.get(at).map_or(0, |t| t.word);
        self.lexemes
            .words
            .marks
            .get(&word)
            .is_some_and(|m| m & marks != 0)
    }

    /// Whether a word may stand in any of the phrases; `None` where that hangs on the phrase.
    fn either(&self, at: usize) -> Option<bool> {
        let decides = self.is(at, mark::DECIDES);
        self.some(at, decides)
    }

    /// The same, where it is told whether the word decides.
    fn some(&self, at: usize, decides: bool) -> Option<bool> {
        if let Some((category, value)) = &self.sentence.special[at] {
            // a rule about persons may say who is meant
            let about_persons = !matches!(value, Value::Features(bits) if bits & f::ELSEWHERE != 0);
            let cited = *category == self.lexemes.cite && !about_persons;
            return Some(cited || *category == self.lexemes.quote);
        }
        let bars = self.sentence.suspects.binary_search(&at).is_ok()
            || self.term[at]
            || decides
            || matches!(self.word(at), ";" | ":" | "(" | ")" | "|" | "[" | "]");
        // "being completed by A": an act with its agent is no open phrase
        let done = self.word(at + 1) == "by" && self.is(at, mark::DEED);
        (bars || done).then_some(false)
    }

    /// Whether a word may stand in a phrase of a statement on who inspects.
    fn open(&self, at: usize) -> bool {
        if let Some(bears) = self.either(at) {
            return bears;
        }
        let next = self.word(at + 1);
        // another inspection, and whatever is said of it, is no aside
        let inspection = self.is(at, mark::INSPECTION) && !self.thing[at];
        if self.named[at] || inspection || next == "by" && self.is(at, mark::DEVELOPED) {
            return false;
        }
        self.word(at) != "by" && !self.is_unknown_item(at) || self.begins_rule(at)
    }

    /// "By" before a rule or a thing: elsewhere it names an agent.
    fn begins_rule(&self, at: usize) -> bool {
        let next = self.word(at + 1);
        let special = self.sentence.special.get(at + 1);
        let cited = |(category, _): &(Category, Value)| *category == self.lexemes.cite;
        self.word(at) == "by"
            && (special.is_some_and(|s| s.as_ref().is_some_and(cited))
                || matches!(next, "these" | "this")
                || self.lexemes.lists.has(next, WordList::ByRule))
    }

    /// What follows "or" has to be known: it may go on with the list of persons.
    fn is_unknown_item(&self, at: usize) -> bool {
        let token = self.sentence.row[at];
        token.word == 0 && token.kind == TokenKind::Word && self.coordinated(at)
    }

    /// Whether a word may stand in what does not bear on a list beside it.
    fn unrelated(&self, at: usize) -> bool {
        let decides = self.is(at, mark::DECIDES) && !self.beside[at];
        if let Some(bears) = self.some(at, decides) {
            return bears;
        }
        let inspection = self.is(at, mark::INSPECTION) && !self.thing[at];
        let word = |at: usize| self.word(at).to_owned();
        let points = points(&self.lexemes.lists, &word, 0, at, false);
        if self.bears[at] || inspection || points || self.is(at, mark::CERTIFICATE) {
            return false;
        }
        self.word(at) != "by" && !self.is_unknown_item(at) || self.begins_rule(at)
    }

    /// Whether "or", "and" or a comma stands before a word, or before the article of its phrase: "or
    /// an approved W".
    fn coordinated(&self, at: usize) -> bool {
        let joins = |n: &usize| matches!(self.word(*n), "or" | "and" | "/" | "&" | ",");
        let article = |n: usize| matches!(self.word(n), "a" | "an" | "the" | "any");
        let nearest = (at.saturating_sub(LONGEST_NOUN)..at).rev().find(joins);
        nearest.is_some_and(|n| n + 1 == at || article(n + 1))
    }

    /// Whether a word may stand in a phrase of a sentence about something else. A noun for an
    /// inspection is read as one, so that a rule can keep it from standing beside persons.
    fn loose(&self, at: usize) -> bool {
        self.either(at).unwrap_or_else(|| {
            self.named[at]
                || !self.begins_deed(at)
                    && !self.names_deed(at)
                    && !self.is_somebodys_deed(at)
                    && !self.is(at, mark::INSPECTION | mark::CERTIFICATE)
        })
    }

    /// "The making of the inspection" is a deed, too; "making an entry of the inspection" is none.
    fn names_deed(&self, at: usize) -> bool {
        if !self.is(at, mark::DOING) {
            return false;
        }
        let of = |k: &usize| self.word(*k) == "of";
        let phrase = (at + 1..at + 2 + LONGEST_DEED)
            .take_while(|&k| !matches!(self.word(k), "" | "," | ";" | ":" | "."));
        let before: Vec<usize> = phrase
            .clone()
            .take_while(|&k| !self.is(k, mark::INSPECTION) || self.thing[k])
            .collect();
        let reaches = phrase.count() > before.len();
        // "carrying out of the inspection"
        let others = before.iter().skip(2).any(of);
        let object = before.first().is_none_or(of) || !before.iter().any(of);
        reaches && !others && (object || before.get(1).is_some_and(of))
    }

    /// "That a mechanic made it", "the W performed the inspection": somebody is said to have done it.
    fn is_somebodys_deed(&self, at: usize) -> bool {
        let Some(before) = at.checked_sub(1) else {
            return false;
        };
        let token = self.sentence.row[before];
        let unknown = token.word == 0 && token.kind == TokenKind::Word;
        let somebody = unknown || self.named[before] || self.is(before, mark::DECIDES);
        let object = matches!(
            self.word(at + 1),
            "it" | "the" | "this" | "that" | "such" | "each"
        );
        // "the person doing it", "who did it"
        let tells_who =
            self.word(at).ends_with("ing") || matches!(self.word(before), "who" | "whoever");
        self.is(at, mark::DEED) && somebody && object && !tells_who
    }

    /// "To perform the inspection" is a deed, and no part of a phrase about something else.
    fn begins_deed(&self, at: usize) -> bool {
        self.word(at) == "to"
            && self.is(at + 1, mark::VERB)
            && (at + 2..at + 2 + LONGEST_DEED)
                .take_while(|&k| !matches!(self.word(k), "" | "," | ";" | ":" | "."))
                .any(|k| self.is(k, mark::INSPECTION))
    }
}
