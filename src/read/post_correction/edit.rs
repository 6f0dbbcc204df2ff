//! A piece that is corrected, and what stands beside it.

use crate::model::Span;

/// A piece to be put in place of another.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Edit {
    pub(super) span: Span,
    pub(super) new: String,
    /// Only a blank is put in: no letter changes.
    pub(super) blank: bool,
}

/// The pieces beside a piece.
#[derive(Clone, Copy)]
pub(super) struct Around<'t> {
    pub(super) content: &'t str,
    pub(super) before: Option<Span>,
    pub(super) after: Option<Span>,
}

impl<'t> Around<'t> {
    /// The word before, in lower case, without marks around it; empty where it ends a clause.
    pub(super) fn word_before(&self) -> String {
        let words = self.before.map_or("", |c| c.of(self.content));
        if words.ends_with(['.', ';', ':']) {
            return String::new();
        }
        words
            .trim_matches(|c: char| !c.is_alphanumeric())
            .to_lowercase()
    }

    pub(super) fn piece_after(&self) -> &'t str {
        self.after.map_or("", |c| c.of(self.content))
    }

    /// The word after, in lower case, without marks around it.
    pub(super) fn word_after(&self) -> String {
        self.piece_after()
            .trim_matches(|c: char| !c.is_alphanumeric())
            .to_lowercase()
    }
}
