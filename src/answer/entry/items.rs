//! What an entry may have to show, item by item.

use super::Facets;
use super::figures::Hours;
use super::words::Words;
use crate::patterns::entry::means;
use crate::patterns::{EntryMark, EntryRole, WordList};

/// What an entry may have to show.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Item {
    /// The day of the inspection.
    Date,
    /// The statement of the letter, or a similar one.
    Statement,
    /// The statement of part 43: airworthy.
    Airworthy,
    /// The scope: "scope and detail of appendix D to part 43".
    Scope,
    /// The type of the inspection and a brief description of its extent.
    Extent,
    /// Total time in service.
    TimeInService,
    /// Cycles, where appropriate.
    Cycles,
    /// Name of the person.
    Name,
    /// Signature.
    Signature,
    /// Certificate number.
    CertificateNumber,
    /// Kind of certificate.
    CertificateKind,
}

impl Item {
    /// Every item, in the order of the report.
    pub const ALL: [Self; 11] = [
        Self::Date,
        Self::Statement,
        Self::Airworthy,
        Self::Scope,
        Self::Extent,
        Self::TimeInService,
        Self::Cycles,
        Self::Name,
        Self::Signature,
        Self::CertificateNumber,
        Self::CertificateKind,
    ];

    /// The name in machine contracts and pattern files.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Date => "date",
            Self::Statement => "statement",
            Self::Airworthy => "airworthy-statement",
            Self::Scope => "scope",
            Self::Extent => "extent",
            Self::TimeInService => "time-in-service",
            Self::Cycles => "cycles",
            Self::Name => "name",
            Self::Signature => "signature",
            Self::CertificateNumber => "certificate-number",
            Self::CertificateKind => "certificate-kind",
        }
    }

    /// The item of that name.
    #[must_use]
    pub fn from_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|i| i.name() == name)
    }
}

/// What asks for an item.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Asked {
    /// A clause of the letter, by its id.
    Clause(String),
    /// A rule, by the name of a file in `patterns/statement/`.
    Statement(&'static str),
}

/// One item held against the entry.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Checked {
    /// Which.
    pub item: Item,
    /// What asks for it.
    pub asked_by: Asked,
    /// The words of the entry; `None` where nothing was found.
    pub found: Option<String>,
}

pub(super) fn check(facets: &Facets<'_>, hours: Option<&Hours>) -> Vec<Checked> {
    facets
        .asks
        .items
        .iter()
        .map(|(item, by)| Checked {
            item: *item,
            asked_by: by.clone(),
            found: found(*item, facets, hours),
        })
        .collect()
}

/// The first words of the entry that show what is meant.
fn shown(words: &Words<'_>, means: &str) -> Option<String> {
    words
        .all(EntryRole::Shows)
        .find(|m| words.means(m) == means && !of_part(words, m))
        .map(|m| words.of(m))
}

/// "the engine maker's 100-hr checklist": a paper of who made a part, which is no scope for the aircraft.
fn of_part(words: &Words<'_>, mark: &EntryMark) -> bool {
    let segment = words.segment_of(mark.from);
    words.means(mark) == means::SCOPE_OF_MAKER
        && (mark.from.saturating_sub(PAPER)..=mark.from)
            .filter(|n| words.segment_of(*n) == segment)
            .any(|n| {
                let maker = words.word(n).to_lowercase();
                n > 0 && maker.ends_with(POSSESSIVE) && words.says(n - 1, means::THING)
            })
}

/// So many tokens before the name of a paper stands whose it is.
const PAPER: usize = 6;
/// How a possessive ends.
const POSSESSIVE: &str = "'s";

fn found(item: Item, facets: &Facets<'_>, hours: Option<&Hours>) -> Option<String> {
    let words = &facets.words;
    let shows = |item: Item| shown(words, item.name());
    let people = &facets.people;
    match item {
        Item::Date => facets.days.inspected().map(|d| d.to_string()),
        Item::Statement => {
            let inspected = words
                .all(EntryRole::Inspected)
                .chain(words.all(EntryRole::Inspection))
                .next()
                .is_some();
            (inspected && !facets.found.words.is_empty() && says_letters_words(facets))
                .then(|| facets.found.words.clone())
        }
        // "the following or a similarly worded statement": the letter's own words are one.
        Item::Airworthy => words
            .all(EntryRole::Affirmative)
            .find(|m| words.means(m) != means::LOOSE)
            .map(|m| words.of(m)),
        // The letter's own words, or a paper of the maker where the letter admits one.
        Item::Scope => shows(Item::Scope).or_else(|| {
            facets
                .asks
                .admits_maker
                .then(|| shown(words, means::SCOPE_OF_MAKER))
                .flatten()
        }),
        Item::Extent => {
            let kind = words
                .all(EntryRole::Inspection)
                .chain(words.all(EntryRole::Inspected))
                .next()
                .map(|m| words.of(m));
            let extent = [
                Item::Extent.name(),
                Item::Scope.name(),
                means::SCOPE_OF_MAKER,
            ];
            kind.filter(|_| extent.iter().any(|of| shown(words, of).is_some()))
        }
        // The reading of a meter is not said to be the total.
        Item::TimeInService => hours
            .filter(|h| h.of == means::TOTAL)
            .map(|h| h.words.clone()),
        Item::Cycles => shows(Item::Cycles),
        Item::Name => people
            .signers
            .iter()
            .find_map(|s| s.name.clone())
            .or_else(|| people.names.first().map(|(n, _)| n.words.clone())),
        Item::Signature => people.signature.clone(),
        Item::CertificateNumber => people
            .signers
            .iter()
            .find_map(|s| s.number.clone())
            .or_else(|| people.numbers.first().map(|n| n.words.clone())),
        Item::CertificateKind => people.signers.first().map(|s| s.words.clone()),
    }
}

/// Whether the entry has the letter's finding, whichever way it turns: what is turned or taken
/// out is a matter of the finding, not of the wording.
fn says_letters_words(facets: &Facets<'_>) -> bool {
    let words = &facets.words;
    let airworthy_letter = facets
        .asks
        .statement
        .as_ref()
        .is_some_and(|s| words.lists().within(&s.to_lowercase(), WordList::Airworthy));
    words.all(EntryRole::Affirmative).any(|m| {
        words.means(m) == means::LETTER || airworthy_letter && words.means(m) == means::AIRWORTHY
    })
}
