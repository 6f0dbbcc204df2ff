//! Finds the regulations that a text cites.
//!
//! `reader` reads one reference, with its list of members, from a token on; `target` writes
//! the canonical form.

mod reader;
mod target;

use super::Context;
use crate::model::Citation;
use crate::patterns::{Patterns, Token, TokenKind};

use reader::Reader;

/// The citations of a text, in order.
///
/// A list gives one citation a member, a range one for the whole. "this part", "this subpart" and
/// "paragraph (b) of this section" are resolved where the context says in which part or section
/// the text stands, and cite nothing else.
#[must_use]
pub fn citations(
    text: &str,
    tokens: &[Token],
    context: Context<'_>,
    patterns: &Patterns,
) -> Vec<Citation> {
    let mut reader = Reader {
        text,
        tokens,
        context,
        patterns,
        found: Vec::new(),
    };
    let mut at = 0;
    while let Some(token) = tokens.get(at) {
        // Words that no pattern knows introduce nothing; a number can.
        if token.word == 0 && token.kind != TokenKind::Number {
            at += 1;
            continue;
        }
        at = reader.read(at).unwrap_or(at + 1).max(at + 1);
    }
    reader.found
}
