//! What kind of paper it is, on which basis and on which day it was issued.

use crate::model::{Letter, Text};
use crate::patterns::Token;

/// Fills `paper`, `basis` and `issued` from the words.
pub(super) fn tell(_letter: &mut Letter, _text: &Text, _tokens: &[Token]) {}
