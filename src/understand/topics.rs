//! What each clause is about.

use crate::model::Clause;
use crate::patterns::{Patterns, Token};

/// The topics of each clause, parallel to `clauses`.
#[must_use]
pub fn topics(
    _text: &str,
    _tokens: &[Token],
    clauses: &[Clause],
    _patterns: &Patterns,
) -> Vec<Vec<String>> {
    vec![Vec::new(); clauses.len()]
}
