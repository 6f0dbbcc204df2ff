//! The readings of a dispute, applied to one kind and one letter.
//!
//! A file says how a reading treats the two keys; what that answers here comes from the same table
//! as the answer itself. Nothing is ranked as law. An undated letter shows both branches of a
//! reading that depends on the issue date.

use super::facts::Facts;
use super::law::Branch;
use super::state::State;
use super::table::{self, Decision};
use crate::model::{
    Answer, CertificateFor, Inspection, InspectorConditionKind, KeyNote, KeyTwo, Kind, Letter,
    Ownership, ReadingApplied, Verdict,
};
use crate::patterns::{Cause, Loaded, Patterns, ReadingExample, ReadingFile, Treats};

/// What the readings are held against.
pub(super) struct Case<'c> {
    pub(super) facts: &'c Facts,
    pub(super) branches: &'c [Branch],
    pub(super) split_on_basis: bool,
    pub(super) clause: &'c State,
    pub(super) rated_mechanic_named: bool,
}

pub(super) fn apply(case: &Case<'_>, answer: &Answer, patterns: &Patterns) -> Vec<ReadingApplied> {
    let causes = causes(case, answer);
    if causes.is_empty() {
        return Vec::new();
    }
    let mut files: Vec<&Loaded<ReadingFile>> = patterns
        .reading
        .iter()
        .filter(|r| r.file.kinds.contains(&answer.holder))
        .filter(|r| r.file.causes.iter().any(|c| causes.contains(c)))
        .filter(|r| !r.file.needs_rated_mechanic || case.rated_mechanic_named)
        .collect();
    files.sort_by(|a, b| (a.file.place, &a.id).cmp(&(b.file.place, &b.id)));
    files
        .into_iter()
        .flat_map(|r| on_branches(case, answer, r))
        .collect()
}

/// What the answer is, or could become, disputed about.
fn causes(case: &Case<'_>, answer: &Answer) -> Vec<Cause> {
    let mut causes = Vec::new();
    let best = best_branch(case);
    if best.is_none_or(|b| b.state.no) {
        return causes;
    }
    match answer.letter.answer {
        KeyTwo::Unlisted => causes.push(Cause::Unlisted),
        KeyTwo::Generic => causes.push(Cause::Generic),
        KeyTwo::Silent => causes.push(Cause::Silent),
        KeyTwo::ShutOut => return vec![Cause::ShutOut],
        KeyTwo::Excluded => return causes,
        KeyTwo::Named | KeyTwo::Unclear => {}
    }
    let rule_law = best.is_some_and(|b| b.state.law);
    let asks_ownership = answer
        .rule
        .conditions
        .iter()
        .chain(&answer.letter.conditions)
        .any(|c| c.name == "owned-by-holder");
    if asks_ownership && (rule_law || case.clause.law) {
        match case.facts.owner {
            Some(Ownership::CoOwner) => causes.push(Cause::OwnerCoOwner),
            Some(Ownership::Company) => causes.push(Cause::OwnerCompany),
            Some(Ownership::Trust) => causes.push(Cause::OwnerTrust),
            _ => {}
        }
    }
    if rule_law {
        if case.facts.inspection != Inspection::Yearly {
            causes.push(Cause::OtherInspection);
        } else if answer.holder == Kind::BuilderRepairman
            && best.and_then(|b| b.basis).is_some_and(|b| b.letter != 'g')
        {
            causes.push(Cause::BuilderOtherBasis);
        }
        if case.facts.earlier_certificate == Some(true) {
            causes.push(Cause::EarlierCertificate);
        }
    }
    if case.clause.law && case.facts.certificate_for == Some(CertificateFor::Unlisted) {
        causes.push(Cause::CardListsNone);
    }
    causes
}

fn best_branch<'c>(case: &Case<'c>) -> Option<&'c Branch> {
    case.branches.iter().reduce(|best, next| {
        if next.state.rank() > best.state.rank() {
            next
        } else {
            best
        }
    })
}

/// One entry, or one for each branch of an open fact.
fn on_branches(
    case: &Case<'_>,
    answer: &Answer,
    reading: &Loaded<ReadingFile>,
) -> Vec<ReadingApplied> {
    let file = &reading.file;
    let mut conditions = Vec::new();
    let branch = if file.basis.is_empty() {
        best_branch(case)
    } else if case.split_on_basis {
        let found = case
            .branches
            .iter()
            .find(|b| file.covers(b.basis) && !b.state.no);
        if let Some(basis) = found.and_then(|b| b.basis) {
            conditions.push(format!("the certificate is one under § 21.191{basis}"));
        }
        found
    } else {
        best_branch(case).filter(|b| file.covers(b.basis))
    };
    let Some(branch) = branch else {
        return Vec::new();
    };
    let verdicts = treated(case, answer, file.treats, branch);
    match (file.issued_before, case.facts.issued) {
        (Some(day), Some(issued)) if issued >= day => Vec::new(),
        (Some(day), None) => {
            let mut inside = conditions.clone();
            inside.push(format!("the letter was issued before {day}"));
            let mut outside = conditions;
            outside.push(format!("the letter was issued on {day} or later"));
            let mut other = applied(case, reading, (answer.answer, answer.if_met), &outside);
            "By its own words it does not reach such a letter.".clone_into(&mut other.says);
            other.line = None;
            vec![applied(case, reading, verdicts, &inside), other]
        }
        _ => vec![applied(case, reading, verdicts, &conditions)],
    }
}

/// What the reading answers, and what it would when all open facts turn out well.
fn treated(
    case: &Case<'_>,
    answer: &Answer,
    treats: Treats,
    branch: &Branch,
) -> (Verdict, Verdict) {
    let both = |decided: Decision| (decided.answer, decided.if_met);
    match treats {
        Treats::LetterAsNamed => {
            // A card that lists no aircraft is what this reading is about: then it counts.
            let mut clause = case.clause.clone();
            clause.law &= answer.letter.answer != KeyTwo::Named;
            both(table::decide(
                KeyTwo::Named,
                answer.holder,
                branch.basis,
                &branch.state,
                &clause,
            ))
        }
        Treats::LetterAsShutOut | Treats::RuleAsNo => (Verdict::No, Verdict::No),
        Treats::RuleAsYes => {
            let mut rule = branch.state.clone();
            rule.law = false;
            let mut clause = case.clause.clone();
            clause.law = false;
            both(table::decide(
                answer.letter.answer,
                answer.holder,
                branch.basis,
                &rule,
                &clause,
            ))
        }
        Treats::LeavesOpen => (answer.answer, answer.if_met),
    }
}

fn applied(
    case: &Case<'_>,
    reading: &Loaded<ReadingFile>,
    (answer, if_met): (Verdict, Verdict),
    conditions: &[String],
) -> ReadingApplied {
    let file = &reading.file;
    ReadingApplied {
        id: reading.id.clone(),
        answer,
        if_met,
        held_by: file.held_by.clone(),
        since: file.known_since_words.clone(),
        later_than_day: file.known_since.is_some_and(|day| day > case.facts.on),
        applies_if: (!conditions.is_empty()).then(|| conditions.join(", and ")),
        line: (!file.line.is_empty()).then(|| {
            format!(
                "{} ({}, grade {})",
                file.line, file.known_since_words, file.line_grade
            )
        }),
        says: file.says.clone(),
        support: file.support.clone(),
        objection: file.objection.clone(),
        strength: file.strength.clone(),
    }
}

/// The gap between the rule and the first order that names a light-sport repairman, into which the
/// regulator's note does not reach.
pub(super) fn gap_note(facts: &Facts, kind: Kind, patterns: &Patterns) -> Option<KeyNote> {
    let issued = facts.issued?;
    let told = patterns.statement.get("gap")?.file.holds.of(
        Some(kind),
        facts.basis,
        facts.on,
        Some(issued),
    );
    told.then_some(KeyNote::Gap { issued })
}

/// Whether these clauses name a mechanic by the term "appropriately rated".
pub(super) fn rated_mechanic_named(letter: &Letter, clauses: &[usize]) -> bool {
    letter
        .inspectors
        .iter()
        .filter(|rule| clauses.contains(&rule.clause))
        .any(|rule| {
            let named = rule.named.iter().any(|n| n.kind == Kind::Mechanic);
            let rated = rule.conditions.iter().any(|c| {
                c.kind == InspectorConditionKind::AppropriatelyRated
                    && c.on.is_none_or(|on| on == Kind::Mechanic)
            });
            named && rated
        })
}

/// Runs a hit or miss of a reading file: does the reading speak?
#[must_use]
pub fn speaks(file: &ReadingFile, example: &ReadingExample) -> bool {
    file.kinds.contains(&example.kind)
        && file.causes.contains(&example.cause)
        && file.covers(Some(example.basis))
        && match (file.issued_before, example.issued) {
            (Some(day), Some(issued)) => issued < day,
            _ => true,
        }
}
