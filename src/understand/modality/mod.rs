//! Norms: one per main clause.
//!
//! A small clause grammar on tokens: sentences are cut at the modals; for every modal the subject
//! on its left tells how its clause hangs in the sentence (main clause, further predicate, relative
//! clause, condition); then the clause is read: negation, "only", frames ("shall be deemed"),
//! bearer, action, conditions, exceptions. A lead-in governs its items. Words are data, in
//! `patterns/modality/`.

mod adjunct;
mod clause;
mod group;
mod limiter;
mod subject;
mod terse;
mod units;
mod view;

use std::ops::Range;

use super::Context;
use crate::model::{Clause, Modality, Norm, Phrase, Span};
use crate::patterns::{Patterns, Token, TokenKind, classes};
use clause::MainClause;
use group::Group;
use subject::{Place, Subject};
use units::Unit;
use view::View;

/// A lead-in that governs the items below it: "The operator shall:".
#[derive(Clone, Debug)]
struct Lead {
    modality: Modality,
    trigger: Option<Phrase>,
    bearer: Option<Phrase>,
    pattern: Option<String>,
    /// Index of its own norm, where that has no action: the items say what is to be done.
    bare: Option<usize>,
}

/// The norms of a text, in order.
#[must_use]
pub fn norms(
    text: &str,
    tokens: &[Token],
    clauses: &[Clause],
    sentences: &[Span],
    context: Context<'_>,
    patterns: &Patterns,
) -> Vec<Norm> {
    let stem = context.stem.and_then(|stem| lead_of_stem(stem, patterns));
    let view = View {
        text,
        tokens,
        known: &patterns.modality,
        lists: &patterns.list,
    };
    let units = units::units(&view, clauses, sentences);
    let quoted = units::quoted(&view, &units);
    let mut leads: Vec<Option<Lead>> = vec![None; clauses.len().max(1)];
    let mut out = Vec::new();
    let mut drop: Vec<usize> = Vec::new();
    let mut carry: Option<Lead> = None;
    for (n, unit) in units.iter().enumerate() {
        let parent = clauses.get(unit.clause).and_then(|c| c.parent);
        // An item in the sentence behind a bare lead-in: "must: 2. Provide a receipt."
        let carried = carry.take();
        let lead = match parent {
            _ if !unit.first => carried.clone(),
            Some(p) => leads.get(p).cloned().flatten(),
            None => stem.clone(),
        };
        let from = out.len();
        sentence(&view, unit, &quoted, &mut out);
        let governed = out[from..].iter().all(|n| n.trigger.is_none());
        if let Some(lead) = &lead
            && (governed || out.get(from).is_some_and(|n| qualifies(&view, unit, n)))
        {
            out.truncate(from);
            drop.extend(lead.bare);
            out.push(item(&view, unit, lead, &quoted));
        }
        if opens_list(&view, unit)
            && let Some(norm) = out[from..].last()
            && norm.trigger.is_some()
            && (norm.action.is_none() || numbered_end(&view, unit))
        {
            let mut lead = Lead::of(norm);
            lead.bare = Some(out.len() - 1);
            carry = Some(lead);
        } else if carried.is_some() && governed {
            carry = carried.map(|l| Lead { bare: None, ..l });
        }
        let last = units
            .get(n + 1)
            .is_none_or(|next| next.clause != unit.clause);
        if last && let Some(slot) = leads.get_mut(unit.clause) {
            let open = opens_list(&view, unit);
            *slot = match out[from..].last() {
                Some(norm) if open && norm.trigger.is_some() => {
                    let mut lead = Lead::of(norm);
                    lead.bare = norm.action.is_none().then_some(out.len() - 1);
                    Some(lead)
                }
                _ if open => lead,
                _ => None,
            };
        }
    }
    drop.sort_unstable();
    let mut at = 0;
    out.retain(|_| {
        at += 1;
        drop.binary_search(&(at - 1)).is_err()
    });
    out
}

impl Lead {
    fn of(norm: &Norm) -> Self {
        Self {
            modality: norm.modality,
            trigger: norm.trigger.clone(),
            bearer: norm.bearer.clone(),
            pattern: norm.pattern.clone(),
            bare: None,
        }
    }
}

/// The norm of a lead-in that was handed over apart from the text.
fn lead_of_stem(stem: &str, patterns: &Patterns) -> Option<Lead> {
    let tokens = patterns.lexicon.tokens(stem);
    let found = norms(stem, &tokens, &[], &[], Context::default(), patterns);
    let apart = |phrase: Option<Phrase>| phrase.map(|p| Phrase { span: None, ..p });
    found
        .iter()
        .rev()
        .find(|n| n.modality != Modality::Statement)
        .map(|norm| Lead {
            trigger: apart(norm.trigger.clone()),
            bearer: apart(norm.bearer.clone()),
            ..Lead::of(norm)
        })
}

/// A sentence whose items follow: it ends with a colon or a dash, or breaks off behind a modal.
fn opens_list(view: &View<'_>, unit: &Unit) -> bool {
    let Some(last) = unit.range.end.checked_sub(1) else {
        return false;
    };
    matches!(view.word(last), ":" | "—" | "–" | "-")
        || view.has(last, classes::MODAL)
        || view.is(last, "to")
        || numbered_end(view, unit)
}

/// "… shall: 2." at the end of a sentence: the number of the first item.
fn numbered_end(view: &View<'_>, unit: &Unit) -> bool {
    unit.range.end >= unit.range.start + 4
        && view.word(unit.range.end - 1) == "."
        && view.kind(unit.range.end - 2) == Some(TokenKind::Number)
        && view.word(unit.range.end - 3) == ":"
}

/// An item under a lead-in.
fn item(view: &View<'_>, unit: &Unit, lead: &Lead, quoted: &[bool]) -> Norm {
    let range = unit.range.clone();
    let whole = range.start..clause::trim(view, range.start, range.end);
    let barred = matches!(lead.modality, Modality::Prohibition);
    let bounds = adjunct::adjuncts(view, &range, &(range.start..range.start), barred, quoted);
    let until = bounds
        .first
        .filter(|f| *f > whole.start)
        .unwrap_or(whole.end);
    let action = whole.start..clause::trim(view, whole.start, until.min(whole.end));
    let modality = if barred && !bounds.exceptions.is_empty() {
        Modality::Restriction
    } else {
        lead.modality
    };
    Norm {
        clause: unit.clause,
        modality,
        span: view.span(&whole),
        trigger: lead.trigger.clone(),
        bearer: lead.bearer.clone(),
        action: view.phrase(&action),
        conditions: bounds.conditions,
        exceptions: bounds.exceptions,
        limiter: None,
        pattern: lead.pattern.clone(),
        quoted: false,
    }
}

/// Whether the first norm of an item only qualifies what the lead-in says of it: "Yeast—must be
/// grown on …", "Enzymes: Except, That, …".
fn qualifies(view: &View<'_>, unit: &Unit, first: &Norm) -> bool {
    let Some(trigger) = first.trigger.as_ref().and_then(|t| t.span) else {
        return false;
    };
    let mut i = unit.range.start;
    while i < unit.range.end.min(unit.range.start + 60) {
        if view
            .tokens
            .get(i)
            .is_none_or(|t| t.span.start >= trigger.start)
        {
            return false;
        }
        if matches!(view.word(i), "(" | "[" | "“") {
            i = view.closer(i, unit.range.end) + 1;
            continue;
        }
        let head = i > unit.range.start;
        let proviso = view.is_any(i, &["except", "provided"])
            && (view.is(i + 1, "that") || view.is(i + 2, "that"));
        if head && (proviso || matches!(view.word(i), "—" | "–")) {
            return true;
        }
        i += 1;
    }
    false
}

/// The norms of one sentence.
fn sentence(view: &View<'_>, unit: &Unit, quoted: &[bool], out: &mut Vec<Norm>) {
    let range = &unit.range;
    let found = clauses(view, range, quoted);
    for n in 0..found.len() {
        let Some((group, subject)) = found.get(n).cloned() else {
            break;
        };
        let start = if n == 0 && !matches!(subject.place, Place::Relative(_)) {
            range.start
        } else {
            subject.start
        };
        let end = found.get(n + 1).map_or(range.end, |(next, s)| {
            s.start
                .clamp(group.range.end, next.range.start.max(group.range.end))
        });
        let reading = MainClause {
            view: *view,
            range: start.min(group.range.start)..end,
            group,
            subject,
            quoted,
        };
        out.extend(reading.norm(unit.clause));
    }
    if found.is_empty() {
        out.extend(terse::norm(view, unit, quoted));
    }
}

/// The triggers of a sentence that make norms, with their subjects, in order of the text. A duty in
/// a relative clause or in the content of "that" counts where no main clause has one.
fn clauses(view: &View<'_>, range: &Range<usize>, quoted: &[bool]) -> Vec<(Group, Subject)> {
    let mut found: Vec<(Group, Subject)> = Vec::new();
    let mut weak: Vec<(Group, Subject)> = Vec::new();
    let mut low = range.start;
    for group in group::groups(view, range) {
        let main = |place: Place| !matches!(place, Place::Relative(_));
        let opening = !found.iter().any(|(_, s)| main(s.place));
        let Some(mut subject) = subject_of(view, &group, low, range.end, opening) else {
            continue;
        };
        match subject.place {
            // "if the owner lands and is authorized": a present tense goes on with the condition.
            Place::Shared
                if !view.has(group.range.start, classes::MODAL)
                    && (low..group.range.start).any(|i| view.has(i, classes::SUBORDINATOR)) => {}
            Place::Main | Place::Shared => {
                if subject.place == Place::Shared
                    && subject.phrase.is_empty()
                    && let Some((_, before)) = found.iter().rev().find(|(_, s)| main(s.place))
                {
                    subject.phrase = before.phrase.clone();
                }
                // A trigger that does not take this subject is none: it bounds nothing.
                let reading = MainClause {
                    view: *view,
                    group: group.clone(),
                    subject: subject.clone(),
                    range: low..range.end,
                    quoted,
                };
                if reading.fits() {
                    low = group.range.end;
                    found.push((group, subject));
                }
            }
            // Inside another clause "may" tells what can be; a duty stays a duty.
            Place::Relative(_) | Place::Content if view.is(group.range.start, "may") => {}
            Place::Relative(true) if view.has(group.range.start, classes::MODAL) => {
                found.push((group, subject));
            }
            Place::Relative(_) | Place::Content => weak.push((group, subject)),
            Place::Embedded => {}
        }
    }
    if found
        .iter()
        .all(|(_, s)| matches!(s.place, Place::Relative(_)))
    {
        found.append(&mut weak);
        found.sort_by_key(|(g, _)| g.range.start);
    }
    found
}

/// The subject of a trigger; none in a heading or a question: "who may inspect".
fn subject_of(
    view: &View<'_>,
    group: &Group,
    low: usize,
    high: usize,
    opening: bool,
) -> Option<Subject> {
    let mut subject =
        subject::subject(view, low, group.range.start, group.range.end, high, opening);
    if subject.phrase.len() == 1
        && matches!(
            view.word(subject.phrase.start),
            "Who" | "What" | "Which" | "How"
        )
        && subject.place == Place::Main
    {
        return None;
    }
    if let Some(phrase) = &group.subject {
        subject.phrase = phrase.clone();
        if subject.place == Place::Shared || (subject.place == Place::Embedded && opening) {
            subject.place = Place::Main;
        }
    }
    Some(subject)
}
