//! A short form of the trade and its figures written as one word: "AP0061420", "TTAF1204.7".

use crate::model::Span;
use crate::patterns::{Entries, EntryRole, Token, TokenKind};

/// Figures of a certificate number, at least: fewer are those of a part.
const OF_NUMBER: usize = 5;

/// Takes such words apart, where what is before the figures is a short form by itself. The number
/// of a certificate stands behind a name; behind anything else it may be that of a part.
pub(super) fn apart(text: &str, tokens: Vec<Token>, entries: &Entries) -> Vec<Token> {
    let mut out: Vec<Token> = Vec::with_capacity(tokens.len());
    let mut done = 0;
    for (n, token) in tokens.iter().enumerate() {
        if token.span.start < done {
            continue;
        }
        match parts(text, &tokens, n, entries) {
            Some((head, tail)) => {
                done = tail.span.end;
                out.extend([head, tail]);
            }
            None => out.push(*token),
        }
    }
    out
}

fn parts(text: &str, tokens: &[Token], at: usize, entries: &Entries) -> Option<(Token, Token)> {
    let token = tokens.get(at)?;
    let word = token.span.of(text);
    if token.kind != TokenKind::Word || !word.is_ascii() {
        return None;
    }
    let cut = word.find(|c: char| c.is_ascii_digit()).filter(|n| *n > 0)?;
    let split = token.span.start + cut;
    // "A&P0061420": the marks and letters glued before belong to the short form.
    let mut from = at;
    while tokens.get(from).is_some_and(|t| t.glued) && at - from < 3 {
        from -= 1;
    }
    // "(AP0061420)"
    while from < at && ["(", "["].contains(&tokens.get(from)?.span.of(text)) {
        from += 1;
    }
    let start = tokens.get(from)?.span.start;
    let form = Span::new(start, split).of(text);
    let figures = *entries.tokens(text.get(split..)?).first()?;
    let figures = Token {
        span: Span::new(split, split + figures.span.end),
        // as if a blank stood before: it is no part of a longer number
        glued: false,
        ..figures
    };
    let number = figures.span.of(text);
    let whole = number.len() >= OF_NUMBER && number.chars().all(|c| c.is_ascii_digit());
    let hours = number
        .replace(',', "")
        .parse::<f64>()
        .is_ok_and(|h| h > 0.0);
    let known = |role: EntryRole| entries.is_whole(form, role);
    let kind = known(EntryRole::Certificate) || known(EntryRole::Rating);
    let fits = kind && whole && behind_a_name(text, tokens, from)
        || known(EntryRole::NumberLabel) && whole
        || known(EntryRole::TimeLabel) && hours;
    let head = Token {
        span: Span::new(token.span.start, split),
        word: entries.word(Span::new(token.span.start, split).of(text)),
        ..*token
    };
    fits.then_some((head, figures))
}

/// Whether a name stands before, past marks, initials and other short forms: two words with a
/// capital, the first of which these files do not know ("Installed Sample" is none).
fn behind_a_name(text: &str, tokens: &[Token], at: usize) -> bool {
    let mut before = tokens
        .get(..at)
        .unwrap_or_default()
        .iter()
        .rev()
        .filter(|t| t.kind != TokenKind::Mark)
        .skip_while(|t| {
            let word = t.span.of(text);
            word.len() <= 3 && word.chars().all(char::is_uppercase)
        });
    let capital =
        |t: &Token| t.kind == TokenKind::Word && t.span.of(text).starts_with(char::is_uppercase);
    let family = before.next();
    let first = before.next();
    let initial = |t: &Token| t.span.of(text).chars().count() == 1;
    let strange =
        |t: &Token| t.word == 0 || t.span.of(text).chars().skip(1).any(char::is_lowercase);
    family.is_some_and(|t| capital(t) && strange(t))
        && first.is_some_and(|t| capital(t) && (t.word == 0 || initial(t)))
}
