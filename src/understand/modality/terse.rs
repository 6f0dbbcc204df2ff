//! Lines without a modal: the old terse style ("VFR day only.", "Aerobatics prohibited."), and
//! plain statements.

use std::ops::Range;

use super::clause::trim;
use super::limiter;
use super::units::Unit;
use super::view::View;
use crate::model::{Modality, Norm};
use crate::patterns::classes::{FINITE, MODAL};
use crate::patterns::{ModalRole, TokenKind};

/// Most words of a line in the terse style.
const LONGEST: usize = 12;

/// The norm of a sentence without a modal; `None` where it is no sentence.
pub(super) fn norm(view: &View<'_>, unit: &Unit, quoted: &[bool]) -> Option<Norm> {
    let range = &unit.range;
    let whole = range.start..trim(view, range.start, range.end);
    let words = whole
        .clone()
        .filter(|i| view.kind(*i) != Some(TokenKind::Mark))
        .count();
    let in_quotes = quoted.get(range.start).copied().unwrap_or(false);
    let finite = whole.clone().any(|i| view.has(i, FINITE | MODAL));
    if finite {
        return (words > 3).then(|| {
            build(
                view,
                unit,
                &whole,
                Modality::Statement,
                None,
                None,
                in_quotes,
            )
        });
    }
    if !(2..=LONGEST).contains(&words) || in_quotes {
        return None;
    }
    let (file, trigger, modality) = find(view, &whole)?;
    let act = if trigger.start > whole.start {
        whole.start..trigger.start
    } else {
        trigger.end..whole.end
    };
    let act = act.start..trim(view, act.start, act.end);
    Some(build(
        view,
        unit,
        &whole,
        modality,
        Some((file, trigger)),
        Some(act),
        false,
    ))
}

/// The deciding words: at the end ("prohibited", "only"), or at the head ("No", "Only").
fn find(view: &View<'_>, whole: &Range<usize>) -> Option<(usize, Range<usize>, Modality)> {
    let mut found = None;
    let mut next = whole.start;
    for i in whole.clone() {
        if i < next {
            continue;
        }
        let Some((end, &file)) = view.known.phrases.longest_at(view.tokens, i) else {
            continue;
        };
        let Some(trigger) = view.known.trigger_of(file) else {
            continue;
        };
        next = end;
        let at_end = end == whole.end;
        let at_head = i == whole.start;
        let hit = match trigger.role {
            ModalRole::Terse => at_end || (at_head && view.word(end) == ":"),
            ModalRole::Limiter => at_end || at_head,
            ModalRole::Negator => {
                at_head && view.word(end) != "." && view.kind(end) == Some(TokenKind::Word)
            }
            _ => false,
        };
        if hit {
            let stronger = found.is_none() || trigger.role == ModalRole::Terse;
            if stronger {
                found = Some((file, i..end, trigger.modality));
            }
        }
    }
    found
}

fn build(
    view: &View<'_>,
    unit: &Unit,
    whole: &Range<usize>,
    modality: Modality,
    trigger: Option<(usize, Range<usize>)>,
    act: Option<Range<usize>>,
    quoted: bool,
) -> Norm {
    let only = trigger
        .as_ref()
        .filter(|_| modality == Modality::Restriction)
        .map(|(_, t)| t.start);
    let limiter = only.map(|at| limiter::of(view, at, whole, true));
    Norm {
        clause: unit.clause,
        modality,
        span: view.span(whole),
        pattern: trigger
            .as_ref()
            .and_then(|(file, _)| view.known.id(*file))
            .map(str::to_owned),
        trigger: trigger.and_then(|(_, t)| view.phrase(&t)),
        bearer: None,
        action: act.and_then(|a| view.phrase(&a)),
        conditions: Vec::new(),
        exceptions: Vec::new(),
        limiter,
        quoted,
    }
}
