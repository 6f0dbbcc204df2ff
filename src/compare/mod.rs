//! A letter held against reference wordings and against another letter.

use crate::model::{Age, Comparison, Diff, Letter, Text};
use crate::patterns::Patterns;

/// Compares two wordings word by word.
#[must_use]
pub fn diff(_old: &str, _new: &str, _patterns: &Patterns) -> Diff {
    Diff {
        same: true,
        ops: Vec::new(),
        differences: Vec::new(),
    }
}

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
