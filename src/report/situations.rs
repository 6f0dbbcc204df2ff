//! Situations that fit, for people.

use super::Report;
use crate::patterns::{Loaded, Patterns, SituationFile};

/// Title and steps of each.
pub(crate) type Told = Vec<(String, Vec<String>)>;

/// Those that fit the letter and the facts of a report.
#[must_use]
pub fn of(report: &Report<'_>) -> Told {
    told(&crate::answer::situations(
        report.letter,
        &report.text.content,
        report.question,
        report.patterns,
    ))
}

/// Those with one of the signs.
#[must_use]
pub fn with(signs: &[crate::patterns::Circumstance], patterns: &Patterns) -> Told {
    told(&crate::answer::situations_with(signs, patterns))
}

fn told(found: &[&Loaded<SituationFile>]) -> Told {
    found
        .iter()
        .map(|s| (s.file.title.clone(), s.file.steps()))
        .collect()
}
