//! The account of the sentences beside the statement: one that speaks of the inspection, of the entry or
//! of the aircraft has to be understood.
//!
//! A list of work or readings may hold words that no file knows; it changes nothing. A sentence on the
//! inspection ("it covers the firewall aft"), on the entry ("it belongs elsewhere") or on the aircraft as
//! a whole ("it is down") may take back what the statement says, and nobody can list all the words that
//! do. So such a sentence needs a word that tells what it is.

use super::bearing;
use super::dates::Day;
use super::figures::{self, Placed};
use super::identity::Identity;
use super::people::People;
use super::words::Words;
use crate::patterns::entry::means;
use crate::patterns::{EntryMark, EntryRole, TokenKind, WordList};

/// Roles that tell what a sentence is: work, parts, scope, plans, labels, or a doubt or fault that is
/// judged by itself.
const TOLD: [EntryRole; 19] = [
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
    EntryRole::Harmless,
    EntryRole::Doubt,
    EntryRole::Negative,
    EntryRole::Discrepancy,
    EntryRole::Part,
];

/// Of these, the roles that tell what a sentence on the entry itself is; a part in it tells nothing.
const TOLD_OF_RECORD: [EntryRole; 7] = [
    EntryRole::Shows,
    EntryRole::Corrected,
    EntryRole::Harmless,
    EntryRole::Doubt,
    EntryRole::Negative,
    EntryRole::Discrepancy,
    EntryRole::SignatureLabel,
];

/// What a sentence speaks of.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Topic {
    /// The inspection or the aircraft as a whole.
    Inspection,
    /// The entry, its page, an item of its list.
    Record,
}

/// Sentences that speak of the inspection, the entry or the aircraft and that nothing tells what they are.
pub(super) fn unaccounted(
    words: &Words<'_>,
    days: &[Day],
    people: &People,
    own: &Identity,
) -> Vec<String> {
    let last = words.tokens.len().checked_sub(1);
    (0..=last.map_or(0, |n| words.segment_of(n)))
        .filter(|segment| {
            topic(words, *segment, own)
                .is_some_and(|topic| !told(words, *segment, topic, days, people))
        })
        .filter_map(|segment| {
            let mut tokens = words.tokens_of(segment);
            let from = tokens.next()?;
            Some(words.between(from, tokens.last().unwrap_or(from) + 1))
        })
        .collect()
}

fn topic(words: &Words<'_>, segment: usize, own: &Identity) -> Option<Topic> {
    let here = |m: &&EntryMark| words.segment_of(m.from) == segment;
    // "Page 2 of 2.", "Entry no. 31."
    let number = |n: &usize| {
        let figure = words
            .tokens
            .get(*n)
            .is_some_and(|t| t.kind != TokenKind::Word);
        figure
            || words.covered(EntryRole::NumberLabel, *n)
            || words.word(*n).eq_ignore_ascii_case("of")
    };
    let numbered = |n: usize| {
        let mut behind = words.tokens_of(segment).filter(|m| *m > n).peekable();
        behind.peek().is_some() && behind.all(|m| number(&m))
    };
    // "Items: nose bowl screws", "Item 3 prop track": a heading, and what it stands above.
    let heads = |n: usize| {
        let next = words.tokens.get(n + 1).map(|t| t.kind);
        words.tokens_of(segment).next() == Some(n)
            && (next == Some(TokenKind::Number) || words.word(n + 1) == ":")
            && words
                .tokens_of(segment)
                .any(|n| words.says(n, means::THING))
    };
    let record = words.tokens_of(segment).any(|n| {
        words.says(n, means::RECORD)
            && !numbered(n)
            && !heads(n)
            && !bearing::record_aside(words, n)
    });
    let inspection = words
        .all(EntryRole::Inspected)
        .filter(here)
        .any(|m| !words.is_all(m, means::NAMED) && !bearing::says_when(words, m));
    let is = |m: &EntryMark| words.says(m.to, means::IS);
    let aircraft = words.all(EntryRole::Aircraft).filter(here).any(is);
    // Where the aircraft's own mark stands nowhere, the entry is of another one, and told so.
    let marks = figures::marks(words);
    let is_own = |m: &Placed| own.marks.contains(&m.words);
    // "Condition inspection N000GC": its own mark makes a heading of a sentence on the inspection.
    let headed = marks
        .iter()
        .any(|m| words.segment_of(m.from) == segment && is_own(m));
    let other = marks.iter().any(is_own)
        && marks
            .iter()
            .any(|m| words.segment_of(m.from) == segment && !is_own(m));
    if record && !headed {
        Some(Topic::Record)
    } else {
        (inspection && !headed || aircraft || other).then_some(Topic::Inspection)
    }
}

fn told(words: &Words<'_>, segment: usize, topic: Topic, days: &[Day], people: &People) -> bool {
    let here = |m: &&EntryMark| words.segment_of(m.from) == segment;
    let role = |role: EntryRole| words.all(role).any(|m| here(&m));
    let says = |means: &str| words.tokens_of(segment).any(|n| words.says(n, means));
    let day_or_name = words.tokens_of(segment).any(|n| {
        figures::in_day(words, n, days)
            || people
                .names
                .iter()
                .any(|(name, _)| name.from <= n && n < name.to)
    });
    // "Condition inspection.", "Harness inspected.": a heading, or what was looked at; "inspected all plugs".
    let ends = |m: &EntryMark| {
        (m.to..words.tokens.len())
            .find(|n| !bare(words, *n))
            .is_none_or(|n| {
                words.segment_of(n) != segment || words.line_of(n) > words.line_of(m.from)
            })
    };
    // "Cond. insp. Oil 9 gal, screen: few flakes": a heading, and the list that it opens.
    let list = |m: &EntryMark| {
        let next = (m.to..m.to + 3)
            .find(|n| !words.is_mark(*n))
            .unwrap_or(m.to);
        let thing = [means::THING, means::RUNS_ON, means::WORK, means::CYLINDERS]
            .iter()
            .any(|means| words.says(next, means));
        let opens = words.tokens_of(segment).next() == Some(m.from);
        // "Cond. insp. & 5 yr hose change"
        let work = words.tokens_of(segment).any(|n| words.says(n, means::WORK));
        opens
            && (next > m.to || words.is_mark(next - 1))
            && (thing || work)
            && words.segment_of(next) == segment
    };
    let object = |m: &EntryMark| {
        let participle = words.lists().has(&words.of(m), WordList::Inspected);
        participle && !words.is_mark(m.to) && !words.says(m.to, means::SMALL)
    };
    // "Muffler inspected with a scope": the part that was looked at.
    let of_part = words.all(EntryRole::Inspected).filter(here).any(|m| {
        words
            .tokens_of(segment)
            .any(|n| n < m.from && words.says(n, means::THING))
    });
    let heading = words
        .all(EntryRole::Inspected)
        .chain(words.all(EntryRole::Inspection))
        .filter(here)
        .any(|m| ends(m) || object(m) || list(m));
    let of_topic = match topic {
        Topic::Record => {
            TOLD_OF_RECORD.into_iter().any(role) || says(means::PAPERS) || says(means::NONE)
        }
        Topic::Inspection => {
            heading
                || of_part
                || TOLD.into_iter().any(role)
                || says(means::DONE)
                || says(means::KEEPS)
                || says(means::BOOK)
        }
    };
    // "It is sound now."
    let well = words.tokens_of(segment).all(|n| {
        words.is_mark(n)
            || [means::PLAIN, means::WELL, means::IS, means::WAS]
                .into_iter()
                .any(|m| words.says(n, m))
            || words.covered(EntryRole::Aircraft, n)
    }) && says(means::WELL);
    let by_writer = looked(words, segment)
        || topic == Topic::Inspection && bearing::done_by_writer(words, segment);
    role(EntryRole::Affirmative) || day_or_name || of_topic || well || by_writer
}

/// "Condition inspection for 2026.", "Condition inspection (all of aircraft).": what stands behind an inspection and
/// leaves it whole.
fn bare(words: &Words<'_>, at: usize) -> bool {
    words.is_mark(at)
        || words.covered(EntryRole::Between, at)
        || words.says(at, means::SAME)
        || words.says(at, means::WHOLE)
        || words.covered(EntryRole::Aircraft, at)
        || words.tokens.get(at).map(|t| t.kind) == Some(TokenKind::Number)
}

/// "I looked at every item myself."
fn looked(words: &Words<'_>, segment: usize) -> bool {
    words.tokens_of(segment).next().is_some_and(|n| {
        words.says(n, means::WRITER)
            && words.says(n + 1, means::LOOKS_INTO)
            && words.says(n + 1, means::DEED)
    })
}
