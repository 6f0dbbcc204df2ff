//! What a statement says otherwise than the norm that it speaks of: its force and its conditions.

use super::claim_counts::same_measure;
use super::claim_roles::one_line;
use super::claim_said::Statement;
use super::claim_words::in_words_of_letters;
use super::clauses::Passage;
use super::index::Index;
use super::tokens::{DiffToken, tokens};
use super::words::WordRole;
use crate::model::{
    ClaimDetail, ClaimFinding, Departure, DifferenceKind, ForceTurned, Modality, Norm, Span, Text,
    Turn,
};
use crate::patterns::Patterns;

/// What a sentence does.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Stance {
    Permits,
    Demands,
    Bars,
    Restricts,
    /// It takes a duty or a need away.
    NoNeed,
    States,
}

impl Stance {
    pub(super) const fn of(modality: Modality, no_need: bool) -> Self {
        match modality {
            _ if no_need => Self::NoNeed,
            Modality::Permission => Self::Permits,
            Modality::Obligation => Self::Demands,
            Modality::Prohibition => Self::Bars,
            Modality::Restriction => Self::Restricts,
            Modality::Statement => Self::States,
        }
    }
}

/// What the stance of a claim makes of the stance of the letter.
const fn turned(claim: Stance, letter: Stance) -> Option<(Turn, ForceTurned)> {
    use Stance::{Bars, Demands, NoNeed, Permits, Restricts};
    Some(match (claim, letter) {
        (Permits, Demands) => (Turn::MayForMust, ForceTurned::LeaveForDuty),
        (Demands, Permits) => (Turn::MustForMay, ForceTurned::DutyForLeave),
        (Permits, Bars) => (Turn::Negation, ForceTurned::LeaveForBar),
        (Demands, Bars) => (Turn::Negation, ForceTurned::DutyForBar),
        (Bars, Permits) => (Turn::Negation, ForceTurned::BarForLeave),
        (Bars, Demands) => (Turn::Negation, ForceTurned::BarForDuty),
        (NoNeed, Demands | Restricts) => (Turn::Negation, ForceTurned::NoNeedForDuty),
        (Demands | Restricts, NoNeed) => (Turn::Negation, ForceTurned::DutyForNoNeed),
        (Restricts, Permits) => (Turn::OnlyAdded, ForceTurned::LimitForLeave),
        (Permits, Restricts) => (Turn::OnlyDropped, ForceTurned::LeaveForLimit),
        (Bars, Restricts) => (Turn::Condition, ForceTurned::BarForWayOut),
        (Restricts, Bars) => (Turn::Condition, ForceTurned::WayOutForBar),
        _ => return None,
    })
}

/// May for must, barred for permitted.
pub(super) fn force(
    claim: Stance,
    letter: Stance,
    norm: Option<&Norm>,
    speaks_of: impl Fn(Span) -> bool,
) -> Option<ClaimFinding> {
    let (mut turn, mut turned) = turned(claim, letter)?;
    // The way out stands in the claim, too, in a form that is none by itself: "landings aside".
    let way_out = norm.is_some_and(|n| n.exceptions.iter().any(|e| speaks_of(*e)));
    if claim == Stance::Bars && letter == Stance::Restricts && way_out {
        return None;
    }
    if turn == Turn::OnlyDropped && norm.is_some_and(|n| n.limiter.is_none()) {
        (turn, turned) = (Turn::Negation, ForceTurned::LeaveForBarWithExceptions);
    }
    let (departure, kind) = match turn {
        Turn::OnlyAdded => (Departure::Adds, DifferenceKind::Limiter),
        Turn::OnlyDropped => (Departure::Drops, DifferenceKind::Limiter),
        Turn::Condition if claim == Stance::Bars => (Departure::Drops, DifferenceKind::Limiter),
        Turn::Condition => (Departure::Adds, DifferenceKind::Limiter),
        Turn::Negation => (Departure::Turns, DifferenceKind::Negation),
        _ => (Departure::Turns, DifferenceKind::Modality),
    };
    Some(ClaimFinding {
        turn,
        departure,
        kind,
        detail: ClaimDetail::Force(turned),
        span: norm.map(|n| n.trigger.as_ref().and_then(|t| t.span).unwrap_or(n.span)),
    })
}

/// An "only" inside what the letter demands or permits, which a claim that gives leave lacks.
pub(super) fn unlimited(
    claim: Stance,
    letter: Stance,
    norm: Option<&Norm>,
    words: &str,
    patterns: &Patterns,
) -> Option<ClaimFinding> {
    let limiter = norm?.limiter.as_ref()?;
    let limits = |a: &DiffToken| a.role == WordRole::Limiter && &*a.word != "unless";
    let wide = claim == Stance::Permits && matches!(letter, Stance::Permits | Stance::Demands);
    (wide && !tokens(words, &patterns.list).iter().any(limits)).then_some(ClaimFinding {
        turn: Turn::OnlyDropped,
        departure: Departure::Drops,
        kind: DifferenceKind::Limiter,
        detail: ClaimDetail::LeavesOutOnly,
        span: Some(limiter.span),
    })
}

/// The least part of a condition that must be found on the other side.
pub(super) const THERE: f64 = 0.35;
/// The part of a statement from which on it speaks of the condition itself.
const SPEAKS_OF_IT: f64 = 0.42;

/// Conditions and exceptions that are on one side only.
pub(super) fn conditions(
    statement: &Statement<'_>,
    norm: Option<&Norm>,
    passage: &Passage<'_>,
    text: &Text,
    index: &Index,
    patterns: &Patterns,
) -> Vec<ClaimFinding> {
    let mut out = Vec::new();
    if let Some(norm) = norm {
        let exceptions = norm.exceptions.iter().map(|s| (s, DifferenceKind::Limiter));
        let conditions = norm.conditions.iter().map(|s| (s, DifferenceKind::Term));
        for (span, kind) in exceptions.chain(conditions) {
            let words = one_line(span.of(&text.content));
            // "If appropriate" limits nothing that a statement would have to repeat.
            if words.split(' ').count() < 3 {
                continue;
            }
            let plain = in_words_of_letters(&words, patterns);
            if index.share(&plain, statement.plain) < THERE
                && index.share(statement.plain, &words) < SPEAKS_OF_IT
                && !same_measure(statement.plain, &words, patterns)
            {
                out.push(ClaimFinding {
                    turn: Turn::Condition,
                    departure: Departure::Drops,
                    kind,
                    detail: ClaimDetail::LeavesOutWords(words),
                    span: Some(*span),
                });
            }
        }
    }
    if let Some(norm) = statement.norm {
        let exceptions = norm.exceptions.iter().map(|s| (s, DifferenceKind::Limiter));
        let conditions = norm.conditions.iter().map(|s| (s, DifferenceKind::Term));
        for (span, kind) in exceptions.chain(conditions) {
            let words = one_line(span.of(statement.plain));
            let body = in_words_of_letters(passage.body, patterns);
            if index.share(&words, &body) < THERE {
                out.push(ClaimFinding {
                    turn: Turn::Condition,
                    departure: Departure::Adds,
                    kind,
                    detail: ClaimDetail::AddsWords(words),
                    span: None,
                });
            }
        }
    }
    out
}
