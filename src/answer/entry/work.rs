//! Work in a log entry: whether it was done, what negates it, and sentences that tell of nothing else.

use super::words::Words;
use crate::patterns::entry::means;
use crate::patterns::{EntryMark, EntryRole, WordList};

/// What a sentence has to be free of to be a mere list of work.
const OF_THE_INSPECTION: [EntryRole; 8] = [
    EntryRole::Affirmative,
    EntryRole::Negative,
    EntryRole::Inspected,
    EntryRole::Inspection,
    EntryRole::Aircraft,
    EntryRole::Discrepancy,
    EntryRole::Unfinished,
    EntryRole::Certificate,
];

/// A sentence that tells of work alone.
pub(super) fn mere_work(words: &Words<'_>, segment: usize) -> bool {
    // "oil change" is work of its own.
    let work = |m: &EntryMark| m.role == EntryRole::Inspection && words.means(m) == means::OTHER;
    !OF_THE_INSPECTION.into_iter().any(|role| {
        words
            .all(role)
            .any(|m| words.segment_of(m.from) == segment && !work(m))
    })
}

/// The negator that turns the words at `at`: going back over words that may stand between, in the
/// same sentence.
pub(super) fn negated(words: &Words<'_>, at: usize) -> Option<usize> {
    let segment = words.segment_of(at);
    let mut n = at;
    while let Some(before) = n.checked_sub(1) {
        if words.segment_of(before) != segment {
            return None;
        }
        let ends_here = |role| {
            words
                .all(role)
                .filter(|m| m.to == n)
                .min_by_key(|m| m.from)
                .map(|m| m.from)
        };
        if let Some(from) = ends_here(EntryRole::Negator) {
            return Some(from);
        }
        n = ends_here(EntryRole::Between)?;
    }
    None
}

/// "until repaired", "to be replaced": work that is still to be done.
fn still_to_do(words: &Words<'_>, at: usize) -> bool {
    let before = at
        .checked_sub(1)
        .map_or("", |n| words.word(n))
        .to_lowercase();
    [
        "until", "before", "be", "when", "once", "after", "not", "to",
    ]
    .contains(&before.as_str())
        || words.lists().has(&before, WordList::Needs)
}

/// Whether the work is said to have been done.
pub(super) fn is_done(words: &Words<'_>, work: &EntryMark) -> bool {
    negated(words, work.from).is_none()
        && !still_to_do(words, work.from)
        && (![":", ">", "\u{2192}"].contains(&words.word(work.to - 1))
            || names_work(words, work.to))
        && !in_vain(words, work)
}

/// "valve staked, no change": behind the work, in its sentence, stands that it did not help.
fn in_vain(words: &Words<'_>, work: &EntryMark) -> bool {
    let segment = words.segment_of(work.from);
    words
        .tokens_of(segment)
        .any(|n| n >= work.to && words.says(n, means::IN_VAIN))
}

/// "Corrective action: lamp": what stands behind the label was done, whatever it is, unless a word of doubt,
/// of advice or of nothing tells otherwise.
fn names_work(words: &Words<'_>, from: usize) -> bool {
    let segment = words.segment_of(from - 1);
    let line = words.line_of(from - 1);
    let value: Vec<usize> = words
        .tokens_of(segment)
        .filter(|n| *n >= from && words.line_of(*n) == line)
        .collect();
    let open = |n: usize| {
        words.covered_by(
            &[
                EntryRole::Doubt,
                EntryRole::Advice,
                EntryRole::Later,
                EntryRole::NoFault,
                EntryRole::Negator,
                EntryRole::Unfinished,
            ],
            n,
        ) || words.says(n, means::NONE)
            || words.says(n, means::WATCHING)
    };
    value.iter().any(|n| !words.is_mark(*n)) && !value.into_iter().any(open)
}
