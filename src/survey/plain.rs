//! The names of machine formats in words, for people.

use crate::model::{Basis, DefectKind, Kind, Verdict};
use crate::report::words;

/// A flaw of a letter.
#[must_use]
pub(super) fn flaw(name: &str) -> String {
    match DefectKind::ALL.into_iter().find(|kind| kind.name() == name) {
        Some(DefectKind::MissingNumber) => "a number is missing",
        Some(DefectKind::RepeatedNumber) => "a number stands twice",
        Some(DefectKind::MissingPage) => "a page is missing",
        Some(DefectKind::Cut) => "a clause is cut off",
        Some(DefectKind::Unfilled) => "a blank is not filled in",
        Some(DefectKind::InstructionLeftIn) => "a note to the FAA inspector was left in",
        Some(DefectKind::BothAlternatives) => "both alternatives were left in",
        Some(DefectKind::Contradiction) => "two clauses cannot both hold",
        Some(DefectKind::OtherBasis) => "a clause is for another purpose",
        Some(DefectKind::MovedCitation) => "a rule is cited by its old place",
        Some(DefectKind::DroppedTerm) => "a term that the rules no longer use",
        Some(DefectKind::DoubtfulWord) => "a deciding word cannot be read",
        Some(DefectKind::OtherDocument) => "pages of another document",
        None => return doubt(name),
    }
    .to_owned()
}

/// What is doubtful about a reading.
#[must_use]
pub(super) fn doubt(name: &str) -> String {
    match name {
        "doubtful-words" => "words in doubt".to_owned(),
        "deciding-words" => "deciding words in doubt".to_owned(),
        other => other.replace('-', " "),
    }
}

/// A basis: "amateur-built (g)".
#[must_use]
pub(super) fn basis(letter: &str) -> String {
    Basis::parse(letter).map_or_else(
        || letter.to_owned(),
        |basis| format!("{} {basis}", words::basis(basis)),
    )
}

/// A kind as every format calls it.
#[must_use]
pub(super) fn kind(name: &str) -> String {
    Kind::from_name(name).map_or_else(|| name.to_owned(), |k| words::kind_tag(k).to_owned())
}

/// The answer with that name.
#[must_use]
pub(super) fn verdict(name: &str) -> Option<Verdict> {
    [
        Verdict::Yes,
        Verdict::No,
        Verdict::Disputed,
        Verdict::Undetermined,
    ]
    .into_iter()
    .find(|v| v.name() == name)
}
