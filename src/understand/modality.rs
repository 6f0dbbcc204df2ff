//! Norms: one per main clause.

use super::Context;
use crate::model::{Clause, Norm, Span};
use crate::patterns::{Patterns, Token};

/// The norms of a text, in order.
#[must_use]
pub fn norms(
    _text: &str,
    _tokens: &[Token],
    _clauses: &[Clause],
    _sentences: &[Span],
    _context: Context<'_>,
    _patterns: &Patterns,
) -> Vec<Norm> {
    Vec::new()
}
