//! Sentences on what is written in the records, known by what they lack. They are told in too many ways for rules:
//! one that no rule reads says nothing of who inspects if it names nobody but whoever did it, asks nothing of
//! him, limits and denies nothing, holds no unknown word, and nobody does the inspection in it.

use super::lexer::Sentence;
use super::{Grammar, ranges_of};
use crate::patterns::rules::mark;
use crate::patterns::{Token, TokenKind, WordList};

/// So many words before a participle its "be" may stand: "is to be carefully made".
const AUXILIARY: usize = 3;
/// So many words behind a verb its object may stand.
const OBJECT: usize = 6;

impl Grammar {
    /// Whether a sentence is on what is written in the records, and has nothing with which it could say who inspects.
    pub(super) fn only_records(&self, text: &str, tokens: &[Token], sentence: &Sentence) -> bool {
        let words: Vec<String> = (0..sentence.words.len())
            .map(|k| sentence.word(text, tokens, k))
            .collect();
        let scene = Scene {
            grammar: self,
            sentence,
            words: &words,
        };
        let any = |holds: &dyn Fn(usize) -> bool| (0..words.len()).any(holds);
        // An unknown participle or adverb is nobody: "adding", "legibly".
        let nobody = |k: usize| words[k].ends_with("ing") || words[k].ends_with("ly");
        let unknown = |k: usize| {
            let word = tokens[sentence.tokens[k].0].kind == TokenKind::Word;
            word && sentence.words[k] == 0 && sentence.special[k].is_none() && !nobody(k)
        };
        let somebody = |k: usize| !scene.is_small(k) && !scene.tells_who(k);
        sentence.suspects.is_empty()
            && any(&|k| scene.is(k, WordList::RecordKept))
            && !any(&unknown)
            && !any(&|k| scene.is(k, WordList::Qualifies) || scene.decides(k))
            && !any(&|k| scene.is_agent(k) || scene.does(k) || scene.tells_more(k))
            && !ranges_of(sentence, &self.person)
                .into_iter()
                .flatten()
                .any(somebody)
    }
}

struct Scene<'a> {
    grammar: &'a Grammar,
    sentence: &'a Sentence,
    words: &'a [String],
}

impl Scene<'_> {
    fn word(&self, at: usize) -> &str {
        self.words.get(at).map_or("", String::as_str)
    }

    fn is(&self, at: usize, list: WordList) -> bool {
        self.grammar.lexemes.lists.has(self.word(at), list)
    }

    fn marked(&self, at: usize, marks: u8) -> bool {
        let word = self.sentence.words.get(at).copied().unwrap_or(0);
        let known = self.grammar.lexemes.words.marks.get(&word);
        known.is_some_and(|m| m & marks != 0)
    }

    /// A word that decides and is neither a duty nor part of the name of whoever did it.
    fn decides(&self, at: usize) -> bool {
        let duty = matches!(self.word(at), "must" | "shall" | "will" | "by");
        self.marked(at, mark::DECIDES) && !duty && !self.tells_who(at)
    }

    /// A word for whoever did it: "the person who made", "the signature of the inspector".
    fn tells_who(&self, at: usize) -> bool {
        let of = at >= 2 && self.word(at - 2) == "of" && self.word(at - 1) == "the";
        self.names(at)
            || self.is(at, WordList::DoneBySomebody)
            || of && self.is(at, WordList::Inspector)
    }

    /// A word for whoever did it, or for what he is named by.
    fn names(&self, at: usize) -> bool {
        self.is(at, WordList::Performer) || self.is_person(at)
    }

    fn is_small(&self, at: usize) -> bool {
        matches!(
            self.word(at),
            "the"
                | "a"
                | "an"
                | "each"
                | "that"
                | "this"
                | "and"
                | "or"
                | ","
                | "of"
                | "in"
                | "out"
                | "for"
                | "following"
        )
    }

    /// "By" before anything but whoever did it and how he is named: "by whom", "by signature". "By him" points to
    /// somebody.
    fn is_agent(&self, at: usize) -> bool {
        let past_article = at + 1 + usize::from(self.is_small(at + 1));
        self.word(at) == "by" && (!self.names(past_article) || self.is_pronoun(past_article))
    }

    fn is_pronoun(&self, at: usize) -> bool {
        matches!(
            self.word(at),
            "he" | "she" | "they" | "him" | "her" | "them" | "his" | "their" | "its" | "it"
        )
    }

    fn is_person(&self, at: usize) -> bool {
        self.is(at, WordList::AnyPerson)
    }

    /// Whether more is said of whoever did it than that he did: "the person who built it", "the person named there".
    fn tells_more(&self, at: usize) -> bool {
        let person = self.is_person(at);
        let that = self.word(at) == "that" && at > 0 && self.is_person(at - 1);
        let asks = that || matches!(self.word(at), "who" | "whoever" | "whose");
        // "who has inspected", "who last made"
        let auxiliary = matches!(self.word(at + 1), "has" | "have" | "had" | "last");
        let done = self.is(at + 1 + usize::from(auxiliary), WordList::DoneBySomebody);
        let ends = matches!(
            self.word(at + 1),
            "" | "," | "and" | "or" | "who" | "that" | "must" | "shall" | "will" | "by"
        );
        asks && !done || person && !done && !ends
    }

    /// Whether somebody does the inspection: "makes it", "to perform the inspection"; not "was made", "who made it",
    /// "the person making it", nor "make an entry".
    fn does(&self, at: usize) -> bool {
        if !self.is(at, WordList::DoneBySomebody) {
            return false;
        }
        let before = |n: usize| at.checked_sub(n).map_or("", |k| self.word(k));
        let told = |n: usize| {
            let that = before(n) == "that" || matches!(before(n), "who" | "whom" | "whoever");
            that || at >= n && self.is_person(at - n)
        };
        let passive = (1..=AUXILIARY).any(|n| {
            matches!(
                before(n),
                "is" | "are" | "was" | "were" | "be" | "been" | "being"
            )
        });
        let object = (at + 1..at + 1 + OBJECT)
            .take_while(|&k| {
                !matches!(
                    self.word(k),
                    "" | "," | ";" | "and" | "or" | "in" | "by" | "which" | "who"
                )
            })
            .any(|k| {
                self.word(k) == "it"
                    || self.marked(k, mark::INSPECTION)
                    || self.is(k, WordList::OfLetter)
            });
        object && !passive && !told(1) && !told(2)
    }
}
