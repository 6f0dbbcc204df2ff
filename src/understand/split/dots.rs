//! Dots that end no sentence.

use crate::model::Span;
use crate::patterns::numbering::NumberingRole;
use crate::patterns::{Patterns, Token, TokenKind};

/// The tokens that lie in an abbreviation and are dots, in order, with what the dot can do.
pub(in crate::understand) fn dots(
    text: &str,
    tokens: &[Token],
    patterns: &Patterns,
) -> Vec<(usize, NumberingRole)> {
    let mut found = Vec::new();
    for (range, role) in patterns.numbering.abbreviations.find(tokens) {
        let Some((head, last)) = tokens.get(range.start).zip(tokens.get(range.end - 1)) else {
            continue;
        };
        let capital = head.span.of(text).starts_with(char::is_uppercase);
        // "… of phase I." above "e. The logbook" is no "i.e.".
        if Span::new(head.span.start, last.span.end)
            .of(text)
            .contains('\n')
        {
            continue;
        }
        // "no" and a dot with a blank between is no abbreviation.
        if !last.glued || (*role == NumberingRole::Name && !capital) {
            continue;
        }
        let inner = range.start..range.end - 1;
        for at in inner {
            if tokens[at].span.of(text) == "." {
                found.push((at, NumberingRole::Abbreviation));
            }
        }
        if last.span.of(text) != "." {
            continue;
        }
        if *role == NumberingRole::BeforeNumber {
            let counts = tokens.get(range.end).is_some_and(|next| {
                let word = next.span.of(text);
                let letter = word.len() == 1
                    && word.starts_with(|c: char| c.is_ascii_uppercase() && c != 'A' && c != 'I');
                next.kind == TokenKind::Number || letter || matches!(word, "§" | "(" | "¶" | "#")
            });
            if !counts {
                continue;
            }
        }
        found.push((range.end - 1, *role));
    }
    found
}

/// What the dot at token `at` can do, where it belongs to an abbreviation.
pub(in crate::understand) fn role_of(
    dots: &[(usize, NumberingRole)],
    at: usize,
) -> Option<NumberingRole> {
    dots.binary_search_by_key(&at, |(t, _)| *t)
        .ok()
        .and_then(|i| dots.get(i))
        .map(|(_, role)| *role)
}
