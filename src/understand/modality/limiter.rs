//! What "only" in a predicate limits: a person, a time, a place, a case, a thing.

use std::ops::Range;

use super::subject::is_agent;
use super::view::View;
use crate::model::{Binds, Limiter};
use crate::patterns::classes::{
    COORDINATOR, DETERMINER, PLACE, PREPOSITION, PRONOUN, SUBORDINATOR, TIME,
};
use crate::patterns::{TokenKind, WordList};

/// How far a phrase may stand from "only", in tokens.
const NEAR: usize = 8;

/// The limiter at token `at` of a clause; `bare` = the clause has no verb.
pub(super) fn of(view: &View<'_>, at: usize, clause: &Range<usize>, bare: bool) -> Limiter {
    let end = clause.end;
    let next = at + 1;
    let binds = if next >= end || (view.is_mark(next) && !matches!(view.word(next), "(" | "[")) {
        before(view, at, clause.start)
    } else {
        behind(view, next, end, bare)
    };
    Limiter {
        span: view.span(&(at..at + 1)),
        binds,
    }
}

/// "only …": what stands behind it.
fn behind(view: &View<'_>, next: usize, end: usize, bare: bool) -> Binds {
    if let Some(binds) = opened(view, next, end) {
        return binds;
    }
    if view.has(next, DETERMINER | PRONOUN) || bare {
        return if is_time(view, next..end.min(next + 4)) {
            Binds::Time
        } else {
            Binds::Object
        };
    }
    // "may only operate from …": behind the verb.
    for i in next + 1..end.min(next + NEAR) {
        if view.is_mark(i) || view.has(i, DETERMINER | PRONOUN) {
            break;
        }
        if let Some(binds) = opened(view, i, end) {
            return binds;
        }
    }
    Binds::Object
}

/// "… only": what stands before it.
fn before(view: &View<'_>, at: usize, start: usize) -> Binds {
    let low = at.saturating_sub(NEAR).max(start);
    if is_time(view, at.saturating_sub(3).max(start)..at) {
        return Binds::Time;
    }
    for i in (low..at).rev() {
        if view.is_mark(i) && view.word(i) != "," {
            break;
        }
        if view.has(i, PREPOSITION)
            && !view.is(i, "of")
            && let Some(binds) = opened(view, i, at)
        {
            return binds;
        }
    }
    if is_agent(view, &(low..at)) {
        Binds::Agent
    } else {
        Binds::Object
    }
}

/// What a phrase that opens at `i` is.
fn opened(view: &View<'_>, i: usize, end: usize) -> Option<Binds> {
    if view.is_any(
        i,
        &["after", "before", "during", "until", "between", "while"],
    ) {
        return Some(Binds::Time);
    }
    if view.has(i, SUBORDINATOR)
        || view.is_any(i, &["under", "with", "without", "upon", "following", "as"])
    {
        return Some(Binds::Condition);
    }
    if !view.has(i, PREPOSITION) {
        return None;
    }
    let inside = i + 1..phrase_end(view, i + 1, end);
    if view.is_any(i, &["by", "to"]) && is_agent(view, &inside) {
        return Some(Binds::Agent);
    }
    if is_time(view, inside) {
        return Some(Binds::Time);
    }
    if view.listed(i, PLACE) {
        return Some(if view.in_list(i + 1, WordList::InCompliance) {
            Binds::Condition
        } else {
            Binds::Place
        });
    }
    Some(Binds::Object)
}

fn phrase_end(view: &View<'_>, from: usize, end: usize) -> usize {
    (from..end.min(from + NEAR))
        .find(|i| {
            view.is_mark(*i)
                || (view.has(*i, PREPOSITION | SUBORDINATOR) && !view.has(*i, COORDINATOR))
        })
        .unwrap_or(end.min(from + NEAR))
}

/// Whether the words name a time or the light.
fn is_time(view: &View<'_>, range: Range<usize>) -> bool {
    range
        .into_iter()
        .any(|i| view.kind(i) == Some(TokenKind::Word) && view.listed(i, TIME))
}
