//! Sentences that hold a word of doubt and speak of something aside from the inspection: papers that
//! will be filed, equipment that may be absent, how an engine is run, a slip in an earlier entry, a
//! warranty that is not given.
//!
//! None of them may hold a word of the inspection, of flight or of a fault; what is only named ("the
//! day of the inspection", "the inspection checklist") is none.

use super::remarks::{forbids_flight, touches_use_alone};
use super::words::{FIELD, Words};
use crate::patterns::entry::means;
use crate::patterns::{EntryMark, EntryRole};

/// So many tokens behind a word of doubt stands what it governs.
const GOVERNED: usize = 4;

/// Whether the doubt is of something aside from the inspection.
pub(super) fn aside(words: &Words<'_>, mark: &EntryMark) -> bool {
    touches_use_alone(words, mark)
        && free_of_inspection(words, words.segment_of(mark.from))
        && (kept(words, mark)
            || may_be_absent(words, mark)
            || handling(words, mark)
            || slip_of_earlier_entry(words, mark)
            || not_renewed(words, mark)
            || no_warranty(words, mark))
        || nothing_left(words, mark)
        || said_of_equipment(words, mark)
}

/// "Owner says radio has hum", "customer declined new seat covers": what is said or refused concerns equipment
/// that an aircraft may be without.
fn said_of_equipment(words: &Words<'_>, mark: &EntryMark) -> bool {
    let segment = words.segment_of(mark.from);
    words.means(mark) == means::HEARSAY
        && (mark.to..mark.to + REFUSED)
            .any(|n| words.segment_of(n) == segment && words.says(n, means::OPTIONAL))
        && !needs_part(words, segment)
        && free_of_inspection(words, segment)
}

/// So many tokens behind what is said its object may stand.
const REFUSED: usize = 8;

/// Whether a sentence says nothing of the inspection, of flight or of a fault.
fn free_of_inspection(words: &Words<'_>, segment: usize) -> bool {
    let touches = [
        EntryRole::Affirmative,
        EntryRole::Negative,
        EntryRole::Inspected,
        EntryRole::Inspection,
        EntryRole::Unfinished,
        EntryRole::Unsigned,
        EntryRole::Discrepancy,
        EntryRole::Supervision,
    ];
    !forbids_flight(words, segment)
        && !touches.into_iter().any(|role| {
            words
                .all(role)
                .any(|m| words.segment_of(m.from) == segment && !words.is_all(m, means::NAMED))
        })
}

/// Whether a word with that meaning stands in the sentence.
fn has(words: &Words<'_>, segment: usize, means: &str) -> bool {
    words.tokens_of(segment).any(|n| words.says(n, means))
}

/// Whether a sentence names a part that no aircraft is without.
fn needs_part(words: &Words<'_>, segment: usize) -> bool {
    // "cockpit clock": where the equipment is.
    let place =
        |m: &EntryMark| words.says(m.to, means::OPTIONAL) && !words.says(m.to + 1, means::THING);
    words.all(EntryRole::Component).any(|m| {
        words.segment_of(m.from) == segment && !words.is_all(m, means::OPTIONAL) && !place(m)
    })
}

/// Whether the first word behind the mark that has one of these meanings stands near.
fn governs(words: &Words<'_>, mark: &EntryMark, means: &str) -> bool {
    let segment = words.segment_of(mark.from);
    (mark.from..mark.to + GOVERNED).any(|n| words.segment_of(n) == segment && words.says(n, means))
}

/// "will be filed", "to be mailed", "will buy a new one": papers, bills, purchases, paint.
fn kept(words: &Words<'_>, mark: &EntryMark) -> bool {
    let verb = (mark.to..mark.to + GOVERNED)
        .find(|n| !words.covered(EntryRole::Between, *n))
        .unwrap_or(mark.to);
    let keeps = (mark.from..=verb).any(|n| words.says(n, means::KEEPS));
    keeps && !governs(words, mark, means::ACCESS)
}

/// "Smoke system not charged", "tow bar not fitted": equipment that an aircraft may be without. A part
/// in the same sentence, or that something was not opened, leaves the doubt.
fn may_be_absent(words: &Words<'_>, mark: &EntryMark) -> bool {
    let segment = words.segment_of(mark.from);
    let aircraft = words
        .all(EntryRole::Aircraft)
        .any(|m| words.segment_of(m.from) == segment);
    let denied = words.covered(EntryRole::Negator, mark.from);
    has(words, segment, means::OPTIONAL)
        && !needs_part(words, segment)
        && !aircraft
        && (!denied || governs(words, mark, means::FITTED))
}

/// "If oil temperature runs high, clean the cooler", "Use only 100LL": how the aircraft is run.
fn handling(words: &Words<'_>, mark: &EntryMark) -> bool {
    let segment = words.segment_of(mark.from);
    let first = words.tokens_of(segment).next();
    let opens = first.is_some_and(|n| words.says(n, means::HANDLES));
    let behind =
        words.says(mark.to, means::HANDLES) && words.covered(EntryRole::Negator, mark.from);
    behind || opens && has(words, segment, means::RUNS_ON)
}

/// "Battery not replaced, load test good": a part stays, and nothing says that it ought not to.
fn not_renewed(words: &Words<'_>, mark: &EntryMark) -> bool {
    words.covered(EntryRole::Negator, mark.from)
        && words.says(mark.to, means::RENEWS)
        && !has(words, words.segment_of(mark.from), means::WORN)
}

/// "Left strobe inop, placarded": a fault of equipment that an aircraft may be without, taken out of use.
pub(super) fn set_aside(words: &Words<'_>, mark: &EntryMark) -> bool {
    let segment = words.segment_of(mark.from);
    has(words, segment, means::OPTIONAL)
        && has(words, segment, means::SET_ASIDE)
        && !needs_part(words, segment)
}

/// "prev. entry had wrong TT, should read 540.2": what is said of an entry before this one.
fn slip_of_earlier_entry(words: &Words<'_>, mark: &EntryMark) -> bool {
    let segment = words.segment_of(mark.from);
    let earlier = words
        .tokens_of(segment)
        .take_while(|n| *n < mark.from)
        .any(|n| words.says(n, means::EARLIER));
    let part = words
        .all(EntryRole::Component)
        .any(|m| words.segment_of(m.from) == segment);
    earlier && !part && has(words, segment, means::SLIP)
}

/// "I do not warrant any part", "no warranty of later condition": nobody promises what will be. What is
/// said not to be warranted as a fact ("that every panel was opened") stays a doubt.
fn no_warranty(words: &Words<'_>, mark: &EntryMark) -> bool {
    let segment = words.segment_of(mark.from);
    let mut of = words
        .tokens_of(segment)
        .filter(|n| words.says(*n, means::WARRANTY));
    let fact =
        |n: usize| words.covered(EntryRole::Between, n + 1) && words.says(n + 1, means::FACT);
    let any = of.next();
    any.is_some_and(|n| !fact(n)) && !of.any(fact)
}

/// "Deferred items: none", "nothing deferred": what is left open is said not to be.
pub(super) fn nothing_left(words: &Words<'_>, mark: &EntryMark) -> bool {
    let segment = words.segment_of(mark.from);
    let here = |n: &usize| words.segment_of(*n) == segment;
    let colon = (mark.to..mark.to + GOVERNED)
        .filter(here)
        .find(|n| words.word(*n) == ":");
    let none = |at: usize| {
        words.says(at, means::NONE)
            && (!here(&(at + 1))
                || words.gap(at + 1).len() >= FIELD
                || words.is_mark(at + 1) && words.word(at + 1) != "-")
    };
    if colon.is_some_and(|at| none(at + 1)) {
        return true;
    }
    let no = (0..mark.from)
        .rev()
        .take(GOVERNED)
        .take_while(|n| here(n) && !words.is_mark(*n))
        .any(|n| words.says(n, means::NONE) || words.says(n, means::NO));
    let nothing = words.says(mark.from, means::NONE)
        && words.says(mark.to - 1, means::LEFT_OPEN)
        && (!here(&mark.to) || words.is_mark(mark.to));
    nothing || no && words.says(mark.from, means::LEFT_OPEN)
}
