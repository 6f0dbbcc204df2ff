//! Cuts clauses into sentences, and finds what stands in quotation marks.

use std::ops::Range;

use super::view::View;
use crate::model::{Clause, Span};
use crate::patterns::{TokenKind, WordList};

/// A sentence of a clause.
#[derive(Clone, Debug)]
pub(super) struct Unit {
    /// Index of the clause; 0 where there are none.
    pub(super) clause: usize,
    /// Its tokens.
    pub(super) range: Range<usize>,
    /// It opens its clause.
    pub(super) first: bool,
}

/// The sentences of all clauses, in order of the text.
pub(super) fn units(view: &View<'_>, clauses: &[Clause], sentences: &[Span]) -> Vec<Unit> {
    let mut out = Vec::new();
    let all = [Span::new(0, view.text.len())];
    let bodies: Vec<Span> = if clauses.is_empty() {
        all.to_vec()
    } else {
        clauses.iter().map(|c| c.body).collect()
    };
    for (clause, body) in bodies.iter().enumerate() {
        let before = out.len();
        let mut push = |range: Range<usize>| {
            if !range.is_empty() {
                out.push(Unit {
                    clause,
                    range,
                    first: false,
                });
            }
        };
        let range = tokens_in(view, *body);
        if sentences.is_empty() {
            for piece in fallback(view, range) {
                push(piece);
            }
        } else {
            let from = sentences.partition_point(|s| s.end <= body.start);
            for sentence in sentences.iter().skip(from) {
                if sentence.start >= body.end {
                    break;
                }
                let piece = tokens_in(
                    view,
                    Span::new(sentence.start.max(body.start), sentence.end.min(body.end)),
                );
                push(piece);
            }
        }
        if let Some(unit) = out.get_mut(before) {
            unit.first = true;
        }
    }
    out
}

/// The tokens that begin in a span.
fn tokens_in(view: &View<'_>, span: Span) -> Range<usize> {
    let start = view.tokens.partition_point(|t| t.span.start < span.start);
    let end = view.tokens.partition_point(|t| t.span.start < span.end);
    start..end.max(start)
}

/// Sentences where no other stage found any: full stops before a capital, and blank lines.
fn fallback(view: &View<'_>, range: Range<usize>) -> Vec<Range<usize>> {
    let mut out = Vec::new();
    let mut start = range.start;
    for i in range.clone() {
        let (Some(token), Some(next)) = (view.tokens.get(i), view.tokens.get(i + 1)) else {
            break;
        };
        if i + 1 >= range.end {
            break;
        }
        let gap = Span::new(token.span.end, next.span.start).of(view.text);
        let blank_line = gap.bytes().filter(|b| *b == b'\n').count() > 1;
        let word = token.span.of(view.text);
        let stop = matches!(word, "." | "?" | "!")
            && !next.glued
            && next
                .span
                .of(view.text)
                .chars()
                .next()
                .is_some_and(|c| !c.is_lowercase() && c != ',')
            && !abbreviation(view, i);
        let after_quote = matches!(word, "\"" | "”" | ")")
            && token.glued
            && i > range.start
            && matches!(view.word(i - 1), "." | "?" | "!")
            && !next.glued
            && view.starts_phrase(i + 1);
        if blank_line || stop || after_quote {
            out.push(start..i + 1);
            start = i + 1;
        }
    }
    if start < range.end {
        out.push(start..range.end);
    }
    out
}

fn abbreviation(view: &View<'_>, stop: usize) -> bool {
    let Some(before) = stop.checked_sub(1) else {
        return false;
    };
    if view.kind(before) == Some(TokenKind::Number) {
        return before > 0 && view.word(before - 1) == ":";
    }
    view.kind(before) == Some(TokenKind::Word)
        && (view.word(before).len() == 1 || view.in_list(before, WordList::ShortForm))
}

/// For every token, whether it stands inside a quotation of its clause.
pub(super) fn quoted(view: &View<'_>, units: &[Unit]) -> Vec<bool> {
    let mut out = vec![false; view.tokens.len()];
    let mut from = 0;
    while let Some(unit) = units.get(from) {
        let until = from
            + units[from..]
                .iter()
                .take_while(|u| u.clause == unit.clause)
                .count();
        let end = units[from..until].last().map_or(0, |u| u.range.end);
        mark(view, unit.range.start..end, &mut out);
        from = until.max(from + 1);
    }
    out
}

fn mark(view: &View<'_>, range: Range<usize>, out: &mut [bool]) {
    let mut open: Option<(usize, &str)> = None;
    for i in range {
        let Some(token) = view.tokens.get(i) else {
            break;
        };
        if token.kind != TokenKind::Mark {
            continue;
        }
        let word = token.span.of(view.text);
        match (open, word) {
            // A straight quote behind a number and without an open quotation means inches.
            (None, "\"")
                if !(token.glued && view.kind(i.wrapping_sub(1)) == Some(TokenKind::Number)) =>
            {
                open = Some((i, "\""));
            }
            (None, "“") => open = Some((i, "”")),
            (Some((start, close)), _) if word == close => {
                if let Some(marks) = out.get_mut(start..=i) {
                    marks.fill(true);
                }
                open = None;
            }
            _ => {}
        }
    }
}
