//! What an entry tells, and what it is held against.

use jiff::civil::Date;

use super::asks::Asks;
use super::dates::Day;
use super::identity::Identity;
use super::people::Signer;
use super::words::Words;
use super::{figures, finding, people};
use crate::answer::facts::Facts;
use crate::model::Question;
use crate::patterns::{EntryRole, WordList};

/// Everything that the verdict is made of.
pub(super) struct Facets<'a> {
    pub(super) question: &'a Question,
    pub(super) facts: Facts,
    pub(super) asks: Asks,
    pub(super) words: Words<'a>,
    pub(super) found: finding::Found,
    pub(super) people: people::People,
    pub(super) days: Days,
    pub(super) own: Identity,
    /// Words with a doubt that nothing took up.
    pub(super) doubts: Vec<String>,
}

impl Facets<'_> {
    /// Whether the name of the signer stands behind a word for a signature.
    pub(super) fn signed(&self, signer: &Signer) -> bool {
        self.people
            .names
            .iter()
            .any(|(name, signed)| *signed && signer.name.as_deref() == Some(&name.words))
    }

    /// Marks of aircraft in the entry that are not said of a card.
    pub(super) fn marks(&self) -> Vec<String> {
        figures::marks(&self.words)
            .into_iter()
            .filter(|mark| !self.of_card(mark.from))
            .map(|m| m.words)
            .collect()
    }

    /// Whether the letter's serial number stands anywhere in the entry.
    pub(super) fn same_serial(&self) -> bool {
        let mut at = 0;
        while at < self.words.tokens.len() {
            let to = figures::run(&self.words, at);
            let bare = figures::bare(&self.words.between(at, to));
            if bare.len() > 3 && self.own.serials.contains(&bare) {
                return true;
            }
            at = to;
        }
        false
    }

    pub(super) fn of_card(&self, at: usize) -> bool {
        self.people.signers.iter().any(|s| {
            s.certificate_for.is_some() && s.from.saturating_sub(2) <= at && at <= s.to + 9
        })
    }
}

/// The days of an entry by what they are.
pub(super) struct Days {
    /// The first day that is labelled as no other.
    pub(super) entry: Option<Date>,
    /// The day of "inspected on".
    pub(super) statement: Option<Date>,
}

impl Days {
    pub(super) fn of(words: &Words<'_>, days: &[Day]) -> Self {
        let mut found = Self {
            entry: None,
            statement: None,
        };
        for day in days {
            let at = words
                .tokens
                .iter()
                .position(|t| t.span.end > day.span.start)
                .unwrap_or_default();
            let label = |role: EntryRole, reach: usize| {
                words.all(role).any(|m| {
                    m.to <= at
                        && at <= m.to + reach
                        && words.segment_of(m.from) == words.segment_of(at)
                })
            };
            let stated = words.all(EntryRole::Inspected).any(|m| {
                m.to <= at
                    && at <= m.to + 3
                    && words.lists().has(&words.of(m), WordList::Inspected)
                    && words.segment_of(m.from) == words.segment_of(at)
            });
            if stated && !label(EntryRole::OtherDay, 0) {
                found.statement.get_or_insert(day.date);
            } else if !label(EntryRole::OtherDay, 2) {
                found.entry.get_or_insert(day.date);
            }
        }
        found
    }

    /// The clock runs from the day that the statement certifies.
    pub(super) fn inspected(&self) -> Option<Date> {
        self.statement.or(self.entry)
    }
}
