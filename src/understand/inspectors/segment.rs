//! Cuts a clause into main clauses, list items and table rows.

use std::ops::Range;

use super::marks::{Cue, Marked};
use super::zones;
use crate::model::Span;
use crate::patterns::WordList;
use crate::patterns::inspector::{InspectorRole, Meaning};

/// A piece of a clause that is read by itself.
#[derive(Clone, Debug)]
pub(super) struct Segment {
    /// Its tokens, without an item marker.
    pub(super) range: Range<usize>,
    /// Opens with an item marker, or is a line of a table or list.
    pub(super) item: bool,
    /// Ends with a colon: a lead-in.
    pub(super) leads_in: bool,
    /// Stands behind a semicolon: goes on with what was begun.
    pub(super) goes_on: bool,
}

/// The segments of a clause, in order.
pub(super) fn segments(marked: &Marked<'_>, sentences: &[Span]) -> Vec<Segment> {
    let mut pieces = Vec::new();
    let mut start = marked.range.start;
    // A list runs in the sentence: the first marker stands behind a word of it, as in "only by (1)
    // the builder or (2) a mechanic".
    let mut runs_in = false;
    for at in marked.range.clone().skip(1) {
        if at > marked.range.start + 1 {
            if marked.is(at - 1, &[".", ";", ":", "?", "!"]) {
                runs_in = false;
            } else if !runs_in {
                runs_in = marked.item_marker(at - 1).is_some() && !opens_item(marked, at - 1);
            }
        }
        if breaks_before(marked, sentences, at, runs_in) {
            pieces.push(start..at);
            start = at;
        }
    }
    pieces.push(start..marked.range.end);
    let mut segments = Vec::new();
    for piece in pieces {
        let item = marked.item_marker(piece.start);
        let body = item.unwrap_or(piece.start)..piece.end;
        let line = marked.starts_line(piece.start);
        let goes_on = piece.start > marked.range.start && marked.is(piece.start - 1, &[";"]);
        for part in coordinated(marked, body) {
            if part.is_empty() {
                continue;
            }
            let last = part.end - 1;
            segments.push(Segment {
                leads_in: marked.is(last, &[":"]),
                range: part,
                item: item.is_some() || line,
                goes_on,
            });
        }
    }
    segments
}

/// Whether a segment begins at the token, where the list before it does or does not run in the
/// sentence.
fn breaks_before(marked: &Marked<'_>, sentences: &[Span], at: usize, runs_in: bool) -> bool {
    let token = &marked.tokens[at];
    if marked.is(at - 1, &[";"]) {
        return true;
    }
    let sentence_starts = sentences
        .binary_search_by(|s| s.start.cmp(&token.span.start))
        .is_ok();
    if sentence_starts && marked.is(at - 1, &[".", "?", "!", "\"", "”", ":", ")"]) {
        return true;
    }
    if !runs_in && opens_item(marked, at) {
        // "paragraph (a)" and "twelve (12)" are no items; an item follows a mark or a conjunction.
        return true;
    }
    // The line after a list with bullets is a new one, whether it has a bullet or not.
    let bulleted = |i: usize| marked.starts_line(i) && marked.is(i, &["-", "*", "•"]);
    if marked.starts_line(at)
        && token.span.of(marked.text).starts_with(char::is_uppercase)
        && (marked.range.start..at)
            .rev()
            .find(|&i| marked.starts_line(i))
            .is_some_and(bulleted)
    {
        return true;
    }
    // A row of a table starts with the name of an inspection.
    marked.starts_line(at)
        && !marked.is(
            at - 1,
            &[
                "the", "a", "an", "this", "of", "each", "for", "any", "every",
            ],
        )
        && !marked.listed(at - 1, WordList::BeforeInspection)
        && marked
            .at(at)
            .is_some_and(|m| matches!(m.meaning, Meaning::Inspection(Some(_))))
        && row_has_cells(marked, at)
}

/// Whether an item marker stands where an item can begin.
fn opens_item(marked: &Marked<'_>, at: usize) -> bool {
    marked.item_marker(at).is_some()
        && (marked.starts_line(at) || marked.is(at - 1, &[":", ",", "and", "or"]))
}

/// Whether the line that starts here is a row of a table: a separator stands in it and no modal.
fn row_has_cells(marked: &Marked<'_>, at: usize) -> bool {
    let end = (at + 1..marked.range.end)
        .find(|&i| marked.starts_line(i))
        .unwrap_or(marked.range.end);
    let cells = (at..end).any(|i| marked.is(i, &["|", "-", "–", "—", ":", "/"]));
    cells && !marked.within(&(at..end)).any(Cue::is_modal)
}

/// No statement that is read is longer, in tokens.
const NEAR: usize = 600;

/// Splits at conjunctions that join two main clauses, each with its own modal and subject.
fn coordinated(marked: &Marked<'_>, range: Range<usize>) -> Vec<Range<usize>> {
    let mut parts = Vec::new();
    let mut start = range.start;
    let mut at = range.start + 1;
    if let Some(comma) = contrast(marked, &range) {
        parts.push(start + 1..comma);
        start = comma + 1;
        at = start + 1;
    }
    while at < range.end {
        // Looked at near the place only, so that the time grows with the clause and not faster.
        let left = start.max(at.saturating_sub(NEAR))..at;
        let right = at + 1..range.end.min(at + 1 + NEAR);
        if joins_by_colon(marked, left.clone(), right.clone(), at) {
            parts.push(start..at);
            start = at + 1;
        }
        let left = start.max(left.start).min(at)..at;
        if marked.is(at, &["and", "but", "while", "whereas", "however", "or"])
            && (joins(marked, left.clone(), right) || turns(marked, left, at))
        {
            parts.push(start..at);
            start = at + 1;
        }
        at += 1;
    }
    parts.push(start..range.end);
    parts
}

/// "While the yearly inspection must be done by X, the other …": the comma that ends the first
/// statement.
fn contrast(marked: &Marked<'_>, range: &Range<usize>) -> Option<usize> {
    if !marked.is(range.start, &["while", "whereas", "although", "though"]) {
        return None;
    }
    let comma = range.clone().find(|&i| marked.is(i, &[","]))?;
    marked
        .within(&(range.start..comma))
        .any(Cue::is_modal)
        .then_some(comma)
}

/// "The inspection is not to be delegated: the builder shall carry it out": a statement on each
/// side of the colon.
fn joins_by_colon(
    marked: &Marked<'_>,
    left: Range<usize>,
    right: Range<usize>,
    colon: usize,
) -> bool {
    if !marked.is(colon, &[":"]) || !marked.within(&left).any(Cue::is_modal) {
        return false;
    }
    let Some(modal) = marked.within(&right).find(|m| m.is_modal()) else {
        return false;
    };
    marked
        .within(&(right.start..modal.tokens.start))
        .any(|m| matches!(m.meaning, Meaning::Head(_)))
        && marked
            .within(&(modal.tokens.end..right.end))
            .any(|m| m.is(InspectorRole::Act))
}

/// "X may not, but may perform", "X may assist, but may not perform": the same persons, the other
/// way round.
fn turns(marked: &Marked<'_>, left: Range<usize>, at: usize) -> bool {
    let turned = |role: InspectorRole| match role {
        InspectorRole::Grant => InspectorRole::Bar,
        _ => InspectorRole::Grant,
    };
    let next = marked.at(at + 1);
    marked.is(at, &["but"])
        && [InspectorRole::Grant, InspectorRole::Bar]
            .into_iter()
            .any(|role| {
                next.is_some_and(|m| m.is(role))
                    && marked
                        .within(&left)
                        .rfind(|m| m.is_modal())
                        .is_some_and(|m| m.is(turned(role)))
            })
}

fn joins(marked: &Marked<'_>, left: Range<usize>, right: Range<usize>) -> bool {
    let inspects =
        |m: &Cue| matches!(m.meaning, Meaning::Inspection(_)) || m.is(InspectorRole::Act);
    if !marked.within(&left).any(Cue::is_modal) || !marked.within(&left).any(inspects) {
        return false;
    }
    let Some(modal) = marked.within(&right).find(|m| m.is_modal()) else {
        return false;
    };
    let before = right.start..modal.tokens.start;
    let has_subject = marked.within(&before).any(|m| {
        matches!(m.meaning, Meaning::Head(_) | Meaning::Inspection(_))
            || m.is(InspectorRole::Nobody)
    });
    // "… or a mechanic who may": the modal sits in a relative clause, the list goes on.
    let relative = marked
        .within(&before)
        .any(|m| matches!(m.meaning, Meaning::Opener(_)) && zones::is_relative(marked, m));
    // The left side must not be waiting for its own persons: "performed by A and B".
    has_subject && !relative && marked.within(&right).any(inspects)
}
