//! A letter held against reference wordings and against another letter.

mod assign;
mod atoms;
mod cite;
mod clauses;
mod content;
mod diff;
mod kinds;
mod named;
mod pool;
mod reference;
mod tidy;
mod words;

pub use diff::diff;
pub use reference::{References, Within, compare};

use crate::model::{Age, Letter, Text};
use crate::patterns::Patterns;

/// Tells which revisions the letter could come from.
#[must_use]
pub fn age(_letter: &Letter, _text: &Text, _patterns: &Patterns) -> Age {
    Age::default()
}
