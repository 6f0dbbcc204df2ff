//! Finds the regulations that a text cites.

use super::Context;
use crate::model::Citation;
use crate::patterns::{Patterns, Token};

/// The citations of a text, in order.
#[must_use]
pub fn citations(
    _text: &str,
    _tokens: &[Token],
    _context: Context<'_>,
    _patterns: &Patterns,
) -> Vec<Citation> {
    Vec::new()
}
