//! A text cut into tokens, and a change between two of them.

use std::ops::Range;

use super::cite::{self, Cited};
use super::tokens::{DiffToken, tokens};
use crate::patterns::WordLists;

/// A text cut into tokens, with its citations.
#[derive(Debug)]
pub(super) struct Side<'a> {
    pub(super) text: &'a str,
    pub(super) tokens: Vec<DiffToken>,
    pub(super) cited: Vec<Cited>,
}

impl<'a> Side<'a> {
    pub(super) fn new(text: &'a str, known: &WordLists) -> Self {
        let tokens = tokens(text, known);
        let cited = cite::citations(&tokens);
        Self {
            text,
            tokens,
            cited,
        }
    }

    /// The words from the first to the last token of the range.
    pub(super) fn words(&self, range: &Range<usize>) -> &'a str {
        match self.tokens.get(range.clone()) {
            Some([first, .., last]) => self.between(first.span.start, last.span.end),
            Some([one]) => one.span.of(self.text),
            _ => "",
        }
    }

    pub(super) fn between(&self, start: usize, end: usize) -> &'a str {
        self.text.get(start..end).unwrap_or("")
    }

    /// What stands before the token: blanks, as a rule.
    pub(super) fn gap(&self, at: usize) -> &'a str {
        let start = at
            .checked_sub(1)
            .and_then(|n| self.tokens.get(n))
            .map_or(0, |a| a.span.end);
        let end = self
            .tokens
            .get(at)
            .map_or(self.text.len(), |a| a.span.start);
        self.between(start, end)
    }
}

/// A change: ranges of tokens of the old and of the new text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Hunk {
    pub(super) old: Range<usize>,
    pub(super) new: Range<usize>,
}
