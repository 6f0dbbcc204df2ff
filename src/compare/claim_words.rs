//! A claim in the words of a clause: its frame taken off, a question turned into a statement, and
//! the words of owners and mechanics put as letters put them.

use crate::patterns::{ClaimRole, Patterns, Token, TokenKind};

/// A sentence of a claim as a clause would say it.
pub(super) struct Plain {
    /// The words.
    pub(super) words: String,
    /// The clause that the claim names.
    pub(super) label: Option<String>,
}

/// The longest words of a role that begin at a token: the token after them, and what they mean.
fn role_at<'p>(
    tokens: &[Token],
    at: usize,
    role: ClaimRole,
    patterns: &'p Patterns,
) -> Option<(usize, &'p str)> {
    patterns
        .claim
        .phrases
        .all_at(tokens, at)
        .filter_map(|(end, files)| {
            let file = files
                .iter()
                .map(|f| patterns.claim.words(*f))
                .find(|w| w.role == role)?;
            Some((end, file.means.as_str()))
        })
        .last()
}

/// What stands behind "clause": a number, or a letter or Roman number in capitals.
fn is_label(words: &str) -> bool {
    words.len() <= 5
        && (words.starts_with(|c: char| c.is_ascii_digit())
            || words.chars().all(|c| c.is_ascii_uppercase()))
}

/// "clause 26" at a token: the token after it, and the number.
fn label_at(
    text: &str,
    tokens: &[Token],
    at: usize,
    patterns: &Patterns,
) -> Option<(usize, String)> {
    let (mut end, _) = role_at(tokens, at, ClaimRole::Label, patterns)?;
    let mark = |n: usize| tokens.get(n).is_some_and(|t| t.kind == TokenKind::Mark);
    end += usize::from(mark(end));
    let label = tokens.get(end)?.span.of(text);
    if !is_label(label) {
        return None;
    }
    end += 1;
    while mark(end) {
        end += 1;
    }
    let end = role_at(tokens, end, ClaimRole::Says, patterns).map_or(end, |(end, _)| end);
    Some((end, label.to_owned()))
}

/// A sentence of a claim as a clause would say it: without its frame, no question, in the words
/// of letters. One blank stands between words.
#[must_use]
pub fn in_plain_words(sentence: &str, patterns: &Patterns) -> String {
    plain(sentence, patterns).words
}

/// The sentence of a claim as a clause would say it.
pub(super) fn plain(sentence: &str, patterns: &Patterns) -> Plain {
    let tokens = patterns.lexicon.tokens(sentence);
    let text = |n: usize| tokens[n].span.of(sentence);
    let is_mark = |n: usize| tokens[n].kind == TokenKind::Mark;
    let mut label = None;
    let (mut start, mut end) = (0, tokens.len());
    loop {
        let next = role_at(&tokens, start, ClaimRole::Frame, patterns)
            .map(|(end, _)| (end, None))
            .or_else(|| {
                label_at(sentence, &tokens, start, patterns).map(|(end, id)| (end, Some(id)))
            });
        let Some((next, named)) = next else { break };
        label = named.or(label);
        start = next;
        while start < end && matches!(text(start), "," | ":" | ";") {
            start += 1;
        }
    }
    let asked = end > start && text(end - 1) == "?";
    // A frame behind: "only a mechanic can sign, it says".
    if let Some(comma) = (start..end).rev().find(|n| text(*n) == ",") {
        let mut last = end;
        while last > comma && is_mark(last - 1) {
            last -= 1;
        }
        let frame = role_at(&tokens, comma + 1, ClaimRole::Frame, patterns);
        if frame.is_some_and(|(to, _)| to == last) {
            end = comma;
        }
    }
    label = label.or_else(|| {
        (start..end).find_map(|n| label_at(sentence, &tokens, n, patterns).map(|(_, id)| id))
    });
    let mut order: Vec<usize> = (start..end).collect();
    if asked && let Some((after, _)) = role_at(&tokens, start, ClaimRole::Asks, patterns) {
        let verb =
            (after + 1..end).find(|n| role_at(&tokens, *n, ClaimRole::Verb, patterns).is_some());
        if let Some(verb) = verb {
            order = (after..verb).chain(start..after).chain(verb..end).collect();
            order.retain(|n| text(*n) != "?");
        }
    }
    Plain {
        words: in_words_of_letters(sentence, &tokens, &order, patterns),
        label,
    }
}

/// The tokens in this order, with words of owners replaced by words of letters.
fn in_words_of_letters(
    sentence: &str,
    tokens: &[Token],
    order: &[usize],
    patterns: &Patterns,
) -> String {
    let ordered: Vec<Token> = order.iter().map(|n| tokens[*n].clone()).collect();
    let last = ordered
        .iter()
        .rposition(|t| t.kind != TokenKind::Mark)
        .map_or(0, |n| n + 1);
    let mut out = String::new();
    let mut at = 0;
    while let Some(token) = ordered.get(at) {
        if !token.glued && !out.is_empty() {
            out.push(' ');
        }
        let means = role_at(&ordered, at, ClaimRole::Ends, patterns)
            .filter(|(end, _)| *end == last)
            .or_else(|| role_at(&ordered, at, ClaimRole::Means, patterns));
        if let Some((end, means)) = means {
            out.push_str(means);
            at = end;
        } else {
            let words = token.span.of(sentence);
            // An auxiliary that has left the head of its question has no capital.
            let moved = at > 0 && order[at] == 0;
            out.push_str(&if moved {
                words.to_lowercase()
            } else {
                words.to_owned()
            });
            at += 1;
        }
    }
    out
}
