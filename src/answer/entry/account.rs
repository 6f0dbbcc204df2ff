//! The account of the sentences beside the statement: one that speaks of the inspection, of the entry or
//! of the aircraft has to be understood.
//!
//! A list of work or readings may hold words that no file knows; it changes nothing. A sentence on the
//! inspection ("it covers the firewall aft"), on the entry ("it belongs elsewhere") or on the aircraft as
//! a whole ("it is down") may take back what the statement says, and nobody can list all the words that
//! do. So such a sentence needs a word that tells what it is.

use super::dates::Day;
use super::figures::{self, Placed};
use super::identity::Identity;
use super::people::People;
use super::words::Words;
use crate::patterns::entry::means;
use crate::patterns::{EntryMark, EntryRole};

/// Roles that tell what a sentence is: work, parts, scope, plans, labels, or a doubt or fault that is
/// judged by itself.
const TOLD: [EntryRole; 20] = [
    EntryRole::Shows,
    EntryRole::Corrected,
    EntryRole::Component,
    EntryRole::Apart,
    EntryRole::NoFault,
    EntryRole::Advice,
    EntryRole::Later,
    EntryRole::OtherDay,
    EntryRole::TimeLabel,
    EntryRole::Certificate,
    EntryRole::NameLabel,
    EntryRole::SignatureLabel,
    EntryRole::SerialLabel,
    EntryRole::NumberLabel,
    EntryRole::DayLabel,
    EntryRole::Harmless,
    EntryRole::Doubt,
    EntryRole::Negative,
    EntryRole::Discrepancy,
    EntryRole::Part,
];

/// Sentences that speak of the inspection, the entry or the aircraft and that nothing tells what they are.
pub(super) fn unaccounted(
    words: &Words<'_>,
    days: &[Day],
    people: &People,
    own: &Identity,
) -> Vec<String> {
    let last = words.tokens.len().checked_sub(1);
    (0..=last.map_or(0, |n| words.segment_of(n)))
        .filter(|segment| speaks(words, *segment, own) && !told(words, *segment, days, people))
        .filter_map(|segment| {
            let mut tokens = words.tokens_of(segment);
            let from = tokens.next()?;
            Some(words.between(from, tokens.last().unwrap_or(from) + 1))
        })
        .collect()
}

fn speaks(words: &Words<'_>, segment: usize, own: &Identity) -> bool {
    let here = |m: &&EntryMark| words.segment_of(m.from) == segment;
    let named = |m: &EntryMark| (m.from..m.to).all(|n| words.says(n, means::NAMED));
    let inspection = words
        .all(EntryRole::Inspected)
        .filter(here)
        .any(|m| !named(m));
    let record = words
        .tokens_of(segment)
        .any(|n| words.says(n, means::RECORD));
    let is = |m: &EntryMark| words.says(m.to, means::IS);
    let aircraft = words.all(EntryRole::Aircraft).filter(here).any(is);
    // Where the aircraft's own mark stands nowhere, the entry is of another one, and told so.
    let marks = figures::marks(words);
    let is_own = |m: &Placed| own.marks.contains(&m.words);
    let other = marks.iter().any(is_own)
        && marks
            .iter()
            .any(|m| words.segment_of(m.from) == segment && !is_own(m));
    inspection || record || aircraft || other
}

fn told(words: &Words<'_>, segment: usize, days: &[Day], people: &People) -> bool {
    let here = |m: &&EntryMark| words.segment_of(m.from) == segment;
    let role = |role: EntryRole| words.all(role).any(|m| here(&m));
    let name = |n: usize| {
        people
            .names
            .iter()
            .any(|(name, _)| name.from <= n && n < name.to)
    };
    // "Condition inspection.", "Harness inspected.": a heading, or what was looked at.
    let last = words
        .tokens_of(segment)
        .filter(|n| !words.is_mark(*n))
        .last();
    let heading = words
        .all(EntryRole::Inspected)
        .chain(words.all(EntryRole::Inspection))
        .any(|m| Some(m.to) == last.map(|n| n + 1));
    heading
        || role(EntryRole::Affirmative)
        || TOLD.into_iter().any(role)
        || words
            .tokens_of(segment)
            .any(|n| words.says(n, means::DONE) || figures::in_day(words, n, days) || name(n))
}
