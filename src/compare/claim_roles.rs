//! Words of claims by their roles.

use crate::patterns::{ClaimRole, Patterns, Token};

/// The longest words of a role that begin at a token: the token after them, and what they mean.
pub(super) fn role_at<'p>(
    tokens: &[Token],
    at: usize,
    role: ClaimRole,
    patterns: &'p Patterns,
) -> Option<(usize, &'p str)> {
    patterns
        .claim()
        .phrases
        .all_at(tokens, at)
        .filter_map(|(end, files)| {
            let file = files
                .iter()
                .map(|f| patterns.claim().words(*f))
                .find(|w| w.role == role)?;
            Some((end, file.means.as_str()))
        })
        .last()
}

/// Whether words of a role stand anywhere in a text.
pub(super) fn has(text: &str, role: ClaimRole, patterns: &Patterns) -> bool {
    let tokens = patterns.claim().tokens(text);
    (0..tokens.len()).any(|n| role_at(&tokens, n, role, patterns).is_some())
}

/// Words on one line.
pub(super) fn one_line(words: &str) -> String {
    words.split_whitespace().collect::<Vec<_>>().join(" ")
}
