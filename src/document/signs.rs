//! Signs of a paper: the words of `patterns/paper/` that stand in a text.

use std::ops::Range;

use crate::model::Span;
use crate::patterns::{PaperMeaning, Patterns, Token};

/// A sign found in the text.
pub(super) struct Sign<'p> {
    pub(super) meaning: &'p PaperMeaning,
    pub(super) tokens: Range<usize>,
    pub(super) span: Span,
}

pub(super) fn signs<'p>(tokens: &'p [Token], patterns: &'p Patterns) -> Vec<Sign<'p>> {
    patterns
        .paper
        .phrases
        .find(tokens)
        .map(|(range, (_, meaning))| Sign {
            meaning,
            span: Span::new(
                tokens[range.start].span.start,
                tokens[range.end - 1].span.end,
            ),
            tokens: range,
        })
        .collect()
}
