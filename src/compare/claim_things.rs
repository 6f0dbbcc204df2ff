//! What a statement that is not about who inspects says otherwise than its clause.

use super::claim_by_words::{despite, finding, rivals, words_of};
use super::claim_norms::{Stance, conditions, force, unlimited};
use super::claim_roles;
use super::claim_said::Statement;
use super::clauses::Passage;
use super::index::Index;
use super::tokens::{self, DiffToken};
use super::words::WordRole;
use crate::model::{ClaimDetail, ClaimFinding, Departure, Modality, Norm, Span, Text, Turn};
use crate::patterns::{ClaimRole, Patterns, WordList};

/// The part of a way out that must stand in a statement that speaks of it.
const SPEAKS_OF_WAY_OUT: f64 = 0.5;

/// A statement beside the clause that it speaks of.
#[derive(Clone, Copy)]
pub(super) struct Held<'h> {
    /// The statement.
    pub(super) statement: &'h Statement<'h>,
    /// The clause.
    pub(super) passage: &'h Passage<'h>,
    /// The norm of the clause that it speaks of.
    pub(super) norm: Option<&'h Norm>,
    /// The letter's text.
    pub(super) text: &'h Text,
    /// The clauses of the letter.
    pub(super) index: &'h Index,
    /// The pattern files.
    pub(super) patterns: &'h Patterns,
}

/// What a statement that is not about who inspects says otherwise than the clause.
pub(super) fn on_other_things(held: &Held<'_>, out: &mut Vec<ClaimFinding>) {
    let Held {
        statement,
        passage,
        norm,
        text,
        index,
        patterns,
    } = *held;
    let plain = statement.plain;
    let words_of_letter = norm.map_or(passage.body, |n| n.span.of(&text.content));
    let modality = |n: Option<&Norm>| n.map_or(Modality::Statement, |n| n.modality);
    let waived = modality(norm) == Modality::Statement
        && claim_roles::has(words_of_letter, ClaimRole::NoNeed, patterns);
    let claimed = match Stance::of(modality(statement.norm), statement.no_need) {
        Stance::States if gives_leave(plain, patterns) || says_it_is_fine(plain, patterns) => {
            Stance::Permits
        }
        stance => stance,
    };
    let stands = Stance::of(modality(norm), waived);
    let speaks_of = |span: Span| index.share(span.of(&text.content), plain) >= SPEAKS_OF_WAY_OUT;
    out.extend(force(claimed, stands, norm, speaks_of));
    if let Some(dropped) = unlimited(claimed, stands, norm, plain, patterns) {
        // Leave without the limit is what its loss makes of a limited duty.
        out.retain(|f| f.turn != Turn::MayForMust);
        out.push(dropped);
    }
    if !out.iter().any(|f| f.turn == Turn::OnlyAdded) {
        out.extend(limited(
            plain,
            passage.body,
            matches!(stands, Stance::Bars | Stance::Restricts),
            patterns,
        ));
    }
    if claimed == Stance::States {
        out.extend(denied(plain, passage.body, index, patterns));
    }
    out.extend(rivals(plain, passage.body, patterns));
    let conditional = norm.is_some_and(|n| !(n.conditions.is_empty() && n.exceptions.is_empty()));
    if let Some(despite) = despite(plain, conditional, patterns) {
        // The leave that it gives is to do without the condition.
        out.retain(|f| f.turn != Turn::MayForMust);
        out.push(despite);
    }
    // What denies a duty altogether denies it on every condition.
    let denied = matches!(claimed, Stance::Bars | Stance::NoNeed | Stance::States)
        && out.iter().any(|f| f.turn == Turn::Negation);
    let norm = norm.filter(|_| !denied);
    // Beside another turn a statement need not repeat every condition.
    if out.iter().all(|f| f.turn == Turn::Negation) {
        out.extend(conditions(statement, norm, passage, text, index, patterns));
    }
}

/// Whether a text limits: "only", "exclusively", "no other will do". "Only after" and its like
/// are a time or a condition.
fn limits(text: &str, patterns: &Patterns) -> bool {
    let tokens = tokens::tokens(text, &patterns.list);
    let timed = |n: usize| {
        tokens.get(n + 1).is_some_and(|next| {
            next.role == WordRole::Condition || matches!(&*next.word, "with" | "once" | "if")
        })
    };
    // The word itself may be spoken of: the word "only".
    let quoted = |n: usize| {
        let before = tokens.get(n.wrapping_sub(1));
        before.is_some_and(|a| matches!(&*a.word, "\"" | "'") || a.is_in(WordList::SpokenOf))
    };
    tokens
        .iter()
        .enumerate()
        .any(|(n, a)| (&*a.word == "only" || a.is_in(WordList::Solely)) && !timed(n) && !quoted(n))
        || words_of(text, ClaimRole::Closes, patterns).iter().any(|w| {
            ["other", "else", "nothing"].iter().any(|l| w.contains(l))
                || patterns.list.within(w, WordList::Limited)
        })
}

/// It limits what the clause does not limit.
fn limited(claim: &str, clause: &str, barred: bool, patterns: &Patterns) -> Option<ClaimFinding> {
    // What is barred but for an exception is limited already, unless the clause leaves a choice.
    if barred && !clause.contains("or other") {
        return None;
    }
    let free = tokens::tokens(clause, &patterns.list)
        .iter()
        .all(|a| a.role != WordRole::Limiter || &*a.word == "unless");
    (limits(claim, patterns) && free).then(|| {
        finding(
            Turn::OnlyAdded,
            Departure::Adds,
            ClaimDetail::AddsLimit,
            None,
        )
    })
}

/// A statement that the letter makes, denied, or the other way round.
fn denied(claim: &str, clause: &str, index: &Index, patterns: &Patterns) -> Option<ClaimFinding> {
    let tokens = |text: &str| tokens::tokens(text, &patterns.list);
    let odd = |text: &str| {
        let words = tokens(text);
        words
            .iter()
            .filter(|a| a.role == WordRole::Negation)
            .count()
            % 2
            == 1
    };
    let nearest = clause
        .split_inclusive(". ")
        .max_by(|a, b| index.share(claim, a).total_cmp(&index.share(claim, b)))?;
    // A duty or a leave is no statement.
    let norm = |a: &DiffToken| matches!(a.role, WordRole::Leave | WordRole::Duty);
    if tokens(nearest).iter().any(norm) || index.share(claim, nearest) < 0.4 {
        return None;
    }
    (odd(claim) != odd(nearest)).then(|| {
        finding(
            Turn::Negation,
            Departure::Turns,
            ClaimDetail::OneDenies,
            None,
        )
    })
}

/// Whether a permission is about a manner of which the clause says nothing: "may be typed".
fn manner(claim: &str, norm: Option<&Norm>, clause: &str, patterns: &Patterns) -> bool {
    let Some(norm) = norm.filter(|n| n.modality == Modality::Permission) else {
        return false;
    };
    let there: Vec<String> = tokens::tokens(clause, &patterns.list)
        .iter()
        .map(|a| a.stem().to_owned())
        .collect();
    let from = norm.trigger.as_ref().and_then(|t| t.span);
    let Some(from) = from.map(|s| s.end) else {
        return false;
    };
    let tokens = tokens::tokens(claim, &patterns.list);
    let behind = || tokens.iter().filter(|a| a.span.start >= from);
    let absent = |a: &DiffToken| !there.iter().any(|t| t == a.stem());
    let verb = behind()
        .find(|a| a.role == WordRole::Content)
        .is_some_and(absent);
    let instead = |a: &DiffToken| &*a.word == "instead";
    let by =
        |a: &DiffToken| matches!(&*a.word, "by" | "on" | "in" | "with" | "using") || instead(a);
    let manner = behind()
        .skip_while(|a| !by(a))
        .find(|a| a.role == WordRole::Content)
        .is_some_and(absent);
    verb && (manner || behind().any(instead))
}

/// "It may be the owner who drains it", of a clause that names nobody who does it.
fn agent(claim: &str, norm: Option<&Norm>) -> bool {
    let claim = claim.to_lowercase();
    let cleft = ["it may be ", "it can be "]
        .iter()
        .any(|c| claim.starts_with(c));
    cleft && claim.contains(" who ") && norm.is_some_and(|n| n.bearer.is_none())
}

/// Whether a claim gives leave in a sentence that is read as a statement: "the flights can be VFR".
fn gives_leave(claim: &str, patterns: &Patterns) -> bool {
    let tokens = tokens::tokens(claim, &patterns.list);
    let negates = |n: usize| tokens.get(n).is_some_and(|a| a.role == WordRole::Negation);
    // "Before you can fly" and "nobody can" give no leave.
    let main = tokens
        .iter()
        .position(|a| match a.role {
            WordRole::Condition => a.span.start > 0,
            WordRole::Negation => true,
            _ => false,
        })
        .unwrap_or(tokens.len());
    tokens
        .iter()
        .enumerate()
        .take(main)
        .any(|(n, a)| matches!(&*a.word, "may" | "can") && !negates(n + 1))
}

/// Whether a claim says in other words than a verb that something is permitted: "is fine".
fn says_it_is_fine(claim: &str, patterns: &Patterns) -> bool {
    !words_of(claim, ClaimRole::Fine, patterns).is_empty() && !negates(claim, patterns)
}

/// Whether a text has a "no" or a "not", beside a condition at its head: "if it is not".
pub(super) fn denies(text: &str, patterns: &Patterns) -> bool {
    let tokens = tokens::tokens(text, &patterns.list);
    let conditional = tokens
        .first()
        .is_some_and(|a| a.role == WordRole::Condition);
    let comma = tokens.iter().position(|a| &*a.word == ",");
    let from = comma.filter(|_| conditional).unwrap_or(0);
    let main = &tokens[from..];
    // "Not before" lays a duty, and "no farther than" a measure.
    let denial = main.iter().position(|a| a.role == WordRole::Negation);
    let lays =
        |a: &DiffToken| matches!(&*a.word, "before" | "until" | "unless" | "than" | "without");
    denial.is_some_and(|n| !main[n..].iter().any(lays))
}

/// Whether a text has a word that bars or limits.
pub(super) fn negates(text: &str, patterns: &Patterns) -> bool {
    let bars = |a: &DiffToken| {
        matches!(a.role, WordRole::Negation | WordRole::Limiter)
            || matches!(&*a.word, "out" | "off" | "most")
            || a.is_in(WordList::Bars)
    };
    tokens::tokens(text, &patterns.list).iter().any(bars)
}

/// Whether a permission is about a manner, or an agent, of which the clause says nothing.
pub(super) fn of_manner_or_agent(held: &Held<'_>) -> bool {
    let plain = held.statement.plain;
    manner(plain, held.statement.norm, held.passage.body, held.patterns) || agent(plain, held.norm)
}
