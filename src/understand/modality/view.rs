//! Tokens with their classes: what the grammar looks at.

use std::ops::Range;

use crate::model::{Phrase, Span};
use crate::patterns::classes::{
    ADVERB, AGENT, BE, COORDINATOR, DETERMINER, MODAL, NO_ADVERB, PARTICIPLE, PREPOSITION, PRONOUN,
    RELATIVE, SUBORDINATOR,
};
use crate::patterns::{Modalities, Token, TokenKind, WordList, WordLists};

/// A text, its tokens, and the words that the grammar knows.
#[derive(Clone, Copy)]
pub(super) struct View<'a> {
    pub(super) text: &'a str,
    pub(super) tokens: &'a [Token],
    pub(super) known: &'a Modalities,
    pub(super) lists: &'a WordLists,
}

impl<'a> View<'a> {
    /// The classes of a token; none past the end.
    pub(super) fn class(&self, i: usize) -> u32 {
        self.tokens
            .get(i)
            .map_or(0, |t| self.known.classes.of(t.word))
    }

    pub(super) fn has(&self, i: usize, class: u32) -> bool {
        self.class(i) & class != 0
    }

    /// Whether a token stands in one of the lists that say nothing of its part of speech.
    pub(super) fn listed(&self, i: usize, lists: u32) -> bool {
        self.tokens
            .get(i)
            .is_some_and(|t| self.known.classes.listed(t.word, lists))
    }

    /// Whether a token is a word of the list.
    pub(super) fn in_list(&self, i: usize, list: WordList) -> bool {
        self.lists.has(self.word(i), list)
    }

    pub(super) fn word(&self, i: usize) -> &'a str {
        self.tokens.get(i).map_or("", |t| t.span.of(self.text))
    }

    pub(super) fn is(&self, i: usize, lower: &str) -> bool {
        self.word(i).eq_ignore_ascii_case(lower)
    }

    pub(super) fn is_any(&self, i: usize, lower: &[&str]) -> bool {
        lower.iter().any(|w| self.is(i, w))
    }

    pub(super) fn kind(&self, i: usize) -> Option<TokenKind> {
        self.tokens.get(i).map(|t| t.kind)
    }

    pub(super) fn is_mark(&self, i: usize) -> bool {
        self.kind(i) == Some(TokenKind::Mark)
    }

    /// A dash that parts clauses; hyphens inside words are no tokens.
    pub(super) fn is_dash(&self, i: usize) -> bool {
        matches!(self.word(i), "—" | "–" | "-")
    }

    pub(super) fn is_comma(&self, i: usize) -> bool {
        self.word(i) == ","
    }

    /// An adverb by list or by its ending.
    pub(super) fn is_adverb(&self, i: usize) -> bool {
        self.has(i, ADVERB)
            || (self.kind(i) == Some(TokenKind::Word)
                && self.class(i) & (AGENT | DETERMINER) == 0
                && self.word(i).len() > 4
                && ends(self.word(i), "ly")
                && !self.listed(i, NO_ADVERB))
    }

    /// A past participle by its ending or by list.
    pub(super) fn is_participle(&self, i: usize) -> bool {
        self.has(i, PARTICIPLE) || (self.word(i).len() > 3 && ends(self.word(i), "ed"))
    }

    /// Whether a noun phrase can begin here.
    pub(super) fn starts_phrase(&self, i: usize) -> bool {
        let class = self.class(i);
        if class & (DETERMINER | PRONOUN | AGENT) != 0 {
            return true;
        }
        let free = SUBORDINATOR | PREPOSITION | COORDINATOR | RELATIVE | MODAL | BE;
        class & free == 0 && self.word(i).chars().next().is_some_and(char::is_uppercase)
    }

    /// The mark that opens the bracket or quotation closed at `i`; `i` itself where none is found.
    pub(super) fn opener(&self, i: usize, low: usize) -> usize {
        let (open, close) = match self.word(i) {
            ")" => ("(", ")"),
            "]" => ("[", "]"),
            "”" => ("“", "”"),
            _ => return i,
        };
        let mut depth = 0usize;
        for j in (low..i).rev().take(120) {
            if self.word(j) == close {
                depth += 1;
            } else if self.word(j) == open {
                if depth == 0 {
                    return j;
                }
                depth -= 1;
            }
        }
        i
    }

    /// The bracket or quotation opened at `i` closes here; `i` itself where it does not.
    pub(super) fn closer(&self, i: usize, high: usize) -> usize {
        let (open, close) = match self.word(i) {
            "(" => ("(", ")"),
            "[" => ("[", "]"),
            "“" => ("“", "”"),
            _ => return i,
        };
        let mut depth = 0usize;
        for j in (i + 1..high).take(120) {
            if self.word(j) == open {
                depth += 1;
            } else if self.word(j) == close {
                if depth == 0 {
                    return j;
                }
                depth -= 1;
            }
        }
        i
    }

    /// The bytes of a row of tokens; an empty span where there are none.
    pub(super) fn span(&self, range: &Range<usize>) -> Span {
        match (
            self.tokens.get(range.start),
            range.end.checked_sub(1).and_then(|e| self.tokens.get(e)),
        ) {
            (Some(a), Some(b)) if range.start < range.end => Span::new(a.span.start, b.span.end),
            _ => Span::default(),
        }
    }

    /// The words of a row of tokens with blanks folded; `None` where there are none.
    pub(super) fn phrase(&self, range: &Range<usize>) -> Option<Phrase> {
        let span = self.span(range);
        (!span.is_empty()).then(|| Phrase {
            text: fold(span.of(self.text)),
            span: Some(span),
        })
    }
}

/// Whether a word ends so, whatever its case.
pub(super) fn ends(word: &str, ending: &str) -> bool {
    word.len()
        .checked_sub(ending.len())
        .and_then(|at| word.get(at..))
        .is_some_and(|tail| tail.eq_ignore_ascii_case(ending))
}

/// One blank for every run of blanks and line breaks.
pub(super) fn fold(words: &str) -> String {
    let mut out = String::with_capacity(words.len());
    for word in words.split_whitespace() {
        if !out.is_empty() {
            out.push(' ');
        }
        out.push_str(word);
    }
    out
}
