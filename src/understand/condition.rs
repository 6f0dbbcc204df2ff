//! What is missing, doubtful or contradictory in a letter.

use crate::model::{Letter, Text};
use crate::patterns::Token;

/// Fills `condition` and the doubts of inspector clauses.
pub(super) fn check(_letter: &mut Letter, _text: &Text, _tokens: &[Token]) {}
