//! Conditions and exceptions of a clause.

use std::ops::Range;

use super::view::View;
use crate::model::Span;
use crate::patterns::Class;
use crate::patterns::classes::{BE, COORDINATOR, DETERMINER, SUBORDINATOR};

/// What bounds a norm.
#[derive(Clone, Debug, Default)]
pub(super) struct Adjuncts {
    pub(super) conditions: Vec<Span>,
    pub(super) exceptions: Vec<Span>,
    /// First token of the first of them behind the verb.
    pub(super) first: Option<usize>,
}

/// Finds them in `clause`, outside `core` (from the subject to the end of the trigger).
///
/// `barred` = the norm is a ban, so that "until", "without" and "other than" are ways out of it.
pub(super) fn adjuncts(
    view: &View<'_>,
    clause: &Range<usize>,
    core: &Range<usize>,
    barred: bool,
    quoted: &[bool],
) -> Adjuncts {
    let mut out = Adjuncts::default();
    let mut i = clause.start;
    // The end of the bracket in which the token stands.
    let mut bracket = 0;
    while i < clause.end {
        if i >= core.start && i < core.end {
            i = core.end;
            continue;
        }
        if matches!(view.word(i), "(" | "[") {
            bracket = view.closer(i, clause.end);
        }
        let mut high = if i < core.start {
            core.start
        } else {
            clause.end
        };
        if i < bracket {
            high = high.min(bracket);
        }
        let Some((after, class)) = opener(view, i, barred) else {
            i += 1;
            continue;
        };
        if quoted.get(i).copied().unwrap_or(false) {
            i += 1;
            continue;
        }
        let end = close(view, i, after, high, barred);
        let span = view.span(&(i..trim(view, i, end)));
        if class == Class::Condition {
            out.conditions.push(span);
        } else {
            out.exceptions.push(span);
        }
        if i >= core.end && out.first.is_none() {
            out.first = Some(i);
        }
        i = end.max(after);
    }
    out
}

/// The adjunct that opens at `i`: one past its opening words, and its class.
fn opener(view: &View<'_>, i: usize, barred: bool) -> Option<(usize, Class)> {
    let (after, &class) = view.known.adjuncts.longest_at(view.tokens, i)?;
    // "the following statement", "in the event": a noun phrase goes on here.
    if view.is(i, "following") && i > 0 && view.has(i - 1, DETERMINER) {
        return None;
    }
    // "except as provided in", "parts provided by the maker": only ", provided" sets a condition.
    if view.is(i, "provided")
        && !view.is(i + 1, "that")
        && !(i > 0 && matches!(view.word(i - 1), "," | ";" | ":"))
    {
        return None;
    }
    // "shall be subject to review": the predicate itself.
    if view.is(i, "subject") && i > 0 && view.has(i - 1, BE) {
        return None;
    }
    match class {
        Class::Escape if barred => Some((after, Class::Exception)),
        Class::Escape if view.has(i, SUBORDINATOR) => Some((after, Class::Condition)),
        Class::Escape => None,
        other => Some((after, other)),
    }
}

/// Where the adjunct ends: at the next one of its own weight, at a semicolon, or with the clause.
fn close(view: &View<'_>, from: usize, after: usize, high: usize, barred: bool) -> usize {
    if view.is(from, "at") {
        return after;
    }
    let clause = view.has(from, SUBORDINATOR);
    let mut j = after;
    while j < high {
        if matches!(view.word(j), "(" | "[" | "“") {
            j = view.closer(j, high) + 1;
            continue;
        }
        if matches!(view.word(j), ";" | ":")
            || (!clause && view.is_comma(j) && !list_goes_on(view, j))
        {
            return j;
        }
        if let Some((_, class)) = opener(view, j, barred)
            && (!clause || view.has(j, SUBORDINATOR) || class == Class::Exception)
            && !(clause && is_escape(view, j))
        {
            return j;
        }
        j += 1;
    }
    high
}

/// "without hazard to persons" inside an exception is part of it.
fn is_escape(view: &View<'_>, i: usize) -> bool {
    view.known
        .adjuncts
        .longest_at(view.tokens, i)
        .is_some_and(|(_, class)| *class == Class::Escape)
}

/// A comma inside a list of words, as in "VFR, day only" or "appendix D, or other programs".
fn list_goes_on(view: &View<'_>, comma: usize) -> bool {
    view.has(comma + 1, COORDINATOR) && !view.has(comma + 2, SUBORDINATOR)
}

/// Without commas, full stops and conjunctions at the end.
fn trim(view: &View<'_>, from: usize, mut end: usize) -> usize {
    while end > from + 1
        && (matches!(view.word(end - 1), "," | ";" | ":" | "." | "\"" | "”")
            || view.has(end - 1, COORDINATOR))
    {
        end -= 1;
    }
    end
}
