//! Who may inspect, as each clause says it.

use crate::model::{Citation, Clause, InspectorRule, Norm, Span};
use crate::patterns::{Patterns, Token};

/// What the clauses say about who may inspect, in order of the text.
#[must_use]
pub fn inspectors(
    _text: &str,
    _tokens: &[Token],
    _clauses: &[Clause],
    _sentences: &[Span],
    _norms: &[Norm],
    _citations: &[Citation],
    _patterns: &Patterns,
) -> Vec<InspectorRule> {
    Vec::new()
}
