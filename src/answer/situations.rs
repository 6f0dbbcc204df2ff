//! Which situations of `patterns/situation/` fit this letter and these facts.

use super::facts::Facts;
use crate::model::{DefectKind, Form, Inspection, Kind, Letter, Ownership, Question};
use crate::patterns::{Circumstance, EntryRole, Loaded, Patterns, SituationFile};
use jiff::ToSpan;

/// The situations that fit, in the order of their files.
///
/// `text` is the normalized text of the letter. What only happens later (overdue, failed) is for
/// [`super::year`] and the log entry.
#[must_use]
pub fn situations<'p>(
    letter: &Letter,
    text: &str,
    question: &Question,
    patterns: &'p Patterns,
) -> Vec<&'p Loaded<SituationFile>> {
    let facts = Facts::resolve(letter, question);
    let seen: Vec<Circumstance> = Circumstance::ALL
        .into_iter()
        .filter(|c| sees(*c, letter, text, &facts, patterns))
        .collect();
    with(&seen, patterns)
}

/// The situations with one of these signs.
#[must_use]
pub fn with<'p>(signs: &[Circumstance], patterns: &'p Patterns) -> Vec<&'p Loaded<SituationFile>> {
    patterns
        .situation
        .iter()
        .filter(|s| s.file.when.iter().any(|w| signs.contains(w)))
        .collect()
}

fn sees(
    circumstance: Circumstance,
    letter: &Letter,
    text: &str,
    facts: &Facts,
    patterns: &Patterns,
) -> bool {
    let is_letter = letter.paper.is_limitations();
    match circumstance {
        Circumstance::LetterLost => letter.findings.iter().any(|d| {
            matches!(
                d.kind(),
                DefectKind::MissingPage | DefectKind::MissingNumber
            )
        }),
        Circumstance::Sold => facts.owner == Some(Ownership::NotOwner),
        // The letter limits the inspection to the builder, and only he can do it.
        Circumstance::BuilderGone => letter.inspectors.iter().any(|r| {
            r.form == Form::Closed
                && matches!(r.inspection, Inspection::Yearly | Inspection::Any)
                && !r.named.is_empty()
                && r.named.iter().all(|n| n.kind == Kind::BuilderRepairman)
        }),
        Circumstance::CoOwner => facts.owner == Some(Ownership::CoOwner),
        Circumstance::Company => facts.owner == Some(Ownership::Company),
        Circumstance::Trust => facts.owner == Some(Ownership::Trust),
        Circumstance::Import => {
            is_letter
                && (facts.earlier_certificate == Some(true)
                    || patterns.entry.shown(text, EntryRole::Import).is_some())
        }
        Circumstance::FirstInspection => facts.issued.is_some_and(|issued| {
            issued <= facts.on
                && issued
                    .checked_add(1.year())
                    .is_ok_and(|year| facts.on <= year)
        }),
        Circumstance::CertificatedEngine => {
            is_letter
                && patterns
                    .entry
                    .shown(text, EntryRole::CertificatedEngine)
                    .is_some()
        }
        Circumstance::NoInspectionClause => {
            letter.paper.is_letter() && !super::due::says_when(letter, text, patterns)
        }
        Circumstance::CertificateExpires => {
            is_letter
                && (letter.term.value.is_some()
                    || super::year::expires(text, facts.on, patterns).is_some()
                    || patterns
                        .statement
                        .get("hazard-certificate-expires")
                        .is_some_and(|s| {
                            s.file.holds.of(None, facts.basis, facts.on, facts.issued)
                        }))
        }
        // Nothing of the letter shows these.
        Circumstance::Overdue | Circumstance::Failed => false,
    }
}
