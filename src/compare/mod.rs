//! A letter held against reference wordings and against another letter.

mod atoms;
mod cite;
mod diff;
mod kinds;
mod named;
mod tidy;
mod words;

pub use diff::diff;

use crate::model::{Age, Comparison, Letter, Text};
use crate::patterns::Patterns;

/// Compares the letter with the reference wordings held for its basis.
#[must_use]
pub fn compare(_letter: &Letter, _text: &Text, _patterns: &Patterns) -> Comparison {
    Comparison::default()
}

/// Tells which revisions the letter could come from.
#[must_use]
pub fn age(_letter: &Letter, _text: &Text, _patterns: &Patterns) -> Age {
    Age::default()
}
