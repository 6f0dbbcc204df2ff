//! Whether a word of doubt can bear on what the inspection is worth at all.
//!
//! Words that take something back are few, and each needs something that it can take hold of: a denial
//! needs an act of the inspection, a part or a state; a word that voids needs the entry; a modal verb needs
//! a deed. A clause that speaks of people, weather, places, food or money, and of nothing that an inspection
//! is of, holds none of these, whatever else stands in it. So what is asked for here is what the
//! doubt could touch, and not which harmless words stand beside it.

use super::cure;
use super::words::Words;
use crate::patterns::entry::means;
use crate::patterns::{EntryMark, EntryRole, TokenKind};

/// What a word of doubt can take hold of.
const OF_THE_INSPECTION: [EntryRole; 16] = [
    EntryRole::Affirmative,
    EntryRole::Aircraft,
    EntryRole::Blank,
    EntryRole::Certificate,
    EntryRole::Component,
    EntryRole::Corrected,
    EntryRole::Discrepancy,
    EntryRole::Exception,
    EntryRole::Inspected,
    EntryRole::Inspection,
    EntryRole::Negative,
    EntryRole::Part,
    EntryRole::Supervision,
    EntryRole::Uncertificated,
    EntryRole::Unfinished,
    EntryRole::Unsigned,
];

/// What speaks of the aircraft or the inspection as a whole.
const OF_THE_WHOLE: [EntryRole; 4] = [
    EntryRole::Affirmative,
    EntryRole::Aircraft,
    EntryRole::Inspected,
    EntryRole::Inspection,
];

/// Meanings of words that it can take hold of.
const TO_HOLD: [&str; 17] = [
    means::ACCESS,
    means::DEED,
    means::DIRECTIVE,
    means::GRAVE,
    means::ILL,
    means::LEFT_OPEN,
    means::LOOKS_INTO,
    means::RECORD,
    means::RUNS_ON,
    means::SLIP,
    means::STAND_IN,
    means::THING,
    means::UNDONE,
    means::WATCHING,
    means::WHOLE,
    means::WORK,
    means::WORN,
];

/// Whether the doubt finds nothing in its reach that it could touch.
pub(super) fn touches_nothing(words: &Words<'_>, mark: &EntryMark) -> bool {
    by_the_writer(words, mark)
        || voids_no_record(words, mark)
        || of_need(words, mark)
        || narrative(words, mark)
        || of_a_rating(words, mark)
        || counted(words, mark)
        || aside_of_people(words, mark)
        || no_part_of_it(words, mark)
        || inert(words, mark)
        || before_season(words, mark)
        || by_paper(words, mark)
        || against_ill(words, mark)
        || formerly(words, mark)
        || deferred_as_allowed(words, mark)
        || lasts(words, mark)
        || reading_denied(words, mark)
        || as_far_as_seen(words, mark)
        || says_a_paper(words, mark)
        || until_done(words, mark)
        || took_away(words, mark)
        || cure::heard_and_done(words, mark)
        || cure::renewed_behind(words, mark)
}

/// The clause of a mark: what stands between two marks of punctuation.
fn clause(words: &Words<'_>, mark: &EntryMark) -> (usize, usize) {
    let segment = words.segment_of(mark.from);
    let inside = |n: &usize| words.segment_of(*n) == segment && !breaks(words, *n);
    let from = (0..mark.from).rev().take_while(inside).last();
    let to = (mark.to..words.tokens.len()).take_while(inside).last();
    (from.unwrap_or(mark.from), to.map_or(mark.to, |n| n + 1))
}

/// A mark that parts clauses: not the apostrophe or the stroke within a word.
fn breaks(words: &Words<'_>, at: usize) -> bool {
    let within = words.tokens.get(at).is_some_and(|t| t.glued)
        && words.tokens.get(at + 1).is_some_and(|t| t.glued);
    words.is_mark(at) && !within
}

fn says_any(words: &Words<'_>, (from, to): (usize, usize), all: &[&str]) -> bool {
    (from..to).any(|n| all.iter().any(|means| words.says(n, means)))
}

/// Whether a clause speaks of something that an inspection is of; a word of doubt of one token is left out.
fn holds(words: &Words<'_>, clause: (usize, usize), mark: &EntryMark) -> bool {
    let beside = |n: &usize| *n < mark.from || mark.to <= *n || mark.to > mark.from + 1;
    (clause.0..clause.1).filter(beside).any(|n| {
        words.covered_by(&OF_THE_INSPECTION, n) || TO_HOLD.iter().any(|means| words.says(n, means))
    })
}

/// "examined by me", "done by the undersigned": who looked is who signs. "By me and my son": somebody beside.
fn by_the_writer(words: &Words<'_>, mark: &EntryMark) -> bool {
    words.means(mark) == means::HEARSAY && agent(words, mark.to - 1, mark.to + 2).is_some()
}

/// The writer as who did something ("by me", "by the undersigned"), alone, from one token to before another.
fn agent(words: &Words<'_>, from: usize, to: usize) -> Option<usize> {
    let segment = words.segment_of(from);
    (from..to).find(|n| {
        let by = (1..3).any(|back| {
            n.checked_sub(back)
                .is_some_and(|at| words.word(at).eq_ignore_ascii_case("by"))
        });
        by && words.segment_of(*n) == segment
            && words.says(*n, means::WRITER)
            && !(n + 1..n + 3).any(|n| words.says(n, means::PERSON))
            && !words.says(n + 1, means::JOINS)
    })
}

/// Whether a sentence says of what was done that its writer did it: "every item looked at by me".
pub(super) fn done_by_writer(words: &Words<'_>, segment: usize) -> bool {
    let mut tokens = words.tokens_of(segment);
    let Some(from) = tokens.next() else {
        return false;
    };
    let to = tokens.last().map_or(from, |n| n + 1);
    agent(words, from, to).is_some()
}

/// "oil sample taken", "could not duplicate the buzz", "gear retracted": a word that voids an entry, of something
/// that is none.
fn voids_no_record(words: &Words<'_>, mark: &EntryMark) -> bool {
    let segment = words.segment_of(mark.from);
    let tokens: Vec<usize> = words.tokens_of(segment).collect();
    let of_record = tokens.iter().any(|n| {
        words.covered_by(
            &[
                EntryRole::Inspected,
                EntryRole::Inspection,
                EntryRole::Affirmative,
                EntryRole::SignatureLabel,
                EntryRole::Certificate,
                EntryRole::NumberLabel,
                EntryRole::DayLabel,
            ],
            *n,
        ) || [means::RECORD, means::PAPERS]
            .iter()
            .any(|means| words.says(*n, means))
    });
    // What is voided stands right before the word, or right behind it.
    let object = |n: usize| {
        words.segment_of(n) == segment
            && words.tokens.get(n).map(|t| t.kind) == Some(TokenKind::Word)
            && words.word(n).chars().count() > 2
            && [means::THING, means::ASIDE, means::OPTIONAL, means::RUNS_ON]
                .iter()
                .any(|means| words.says(n, means))
    };
    let whole = |n: &usize| !breaks(words, *n);
    let near = (mark.to..mark.to + 2).take_while(whole).any(object)
        || (0..mark.from).rev().take(2).take_while(whole).any(object);
    words.means(mark) == means::VOID && !of_record && near
}

/// "marked as required by 91.9", "cables need nothing", "replaced as needed", "not required": a need that a rule
/// has, that is denied, or that is left to the work.
fn of_need(words: &Words<'_>, mark: &EntryMark) -> bool {
    let here =
        |n: &usize| words.segment_of(*n) == words.segment_of(mark.from) && !breaks(words, *n);
    let needed = |n: usize| words.says(n, means::NEEDED);
    let denies = |n: usize| {
        words.says(n, means::NONE)
            || words.says(n, means::NO)
            || words.covered(EntryRole::Negator, n)
    };
    let mut before = (0..mark.from).rev().take(DENIED).take_while(here);
    let denied = before.any(denies) || here(&mark.to) && words.says(mark.to, means::NONE);
    let figure = |n: usize| words.tokens.get(n).map(|t| t.kind) == Some(TokenKind::Number);
    let by_rule = words.says(mark.to, means::OF_RULE)
        && (figure(mark.to + 1) || (mark.to + 1..mark.to + 4).any(|n| words.says(n, means::RULE)));
    let left = mark.from > 0 && words.says(mark.from - 1, means::WHERE_SO);
    let before_need = words.covered(EntryRole::Negator, mark.from) && needed(mark.to);
    words.means(mark).is_empty()
        && (before_need || needed(mark.from) && (denied || by_rule || left))
}

/// "not affected", "nothing disturbed": what is denied leaves things as they were.
fn inert(words: &Words<'_>, mark: &EntryMark) -> bool {
    let at = (mark.to..mark.to + 2).find(|n| !words.covered(EntryRole::Between, *n));
    words.covered(EntryRole::Negator, mark.from)
        && words.means(mark).is_empty()
        && at.is_some_and(|n| words.says(n, means::INERT))
}

/// "wax before winter": a time or an event, and nothing else that an inspection is of.
fn before_season(words: &Words<'_>, mark: &EntryMark) -> bool {
    let part = clause(words, mark);
    mark.to == mark.from + 1
        && words.says(mark.from, means::AHEAD)
        && (mark.to..mark.to + 2).any(|n| words.says(n, means::ASIDE))
        && !holds(words, part, mark)
}

/// "per builder's checklist": a paper of somebody's, and nothing that he says.
fn by_paper(words: &Words<'_>, mark: &EntryMark) -> bool {
    let segment = words.segment_of(mark.from);
    let paper = |n: usize| {
        words.segment_of(n) == segment
            && (words.says(n, means::RULE)
                || words.all(EntryRole::Shows).any(|m| m.from <= n && n < m.to))
    };
    let possessive = words.word(mark.to - 1).to_lowercase().ends_with(['s']);
    words.means(mark) == means::HEARSAY
        && mark.to > mark.from + 1
        && possessive
        && (mark.to..mark.to + 3).any(paper)
}

/// "deferred: clock inop, placarded, not required": equipment that is placarded and that nothing asks for may be
/// left open (14 CFR 91.213(d)).
fn deferred_as_allowed(words: &Words<'_>, mark: &EntryMark) -> bool {
    let segment = words.segment_of(mark.from);
    let behind = || (mark.from..mark.to + DEFERRED).filter(|n| words.segment_of(*n) == segment);
    let needless = |n: usize| words.says(n, means::NEEDED) && denied_before(words, n);
    let part = behind().any(|n| words.covered(EntryRole::Component, n));
    let opens =
        words.says(mark.from, means::LEFT_OPEN) || words.covered(EntryRole::Negator, mark.from);
    opens && !part && behind().any(|n| words.says(n, means::SET_ASIDE)) && behind().any(needless)
}

/// So many tokens behind a word that defers, what is deferred and why is told.
const DEFERRED: usize = 14;

fn denied_before(words: &Words<'_>, at: usize) -> bool {
    at > 0 && (words.covered(EntryRole::Negator, at - 1) || words.says(at - 1, means::NO))
}

/// "Tires 5/32, good for years", "fabric good for many seasons": how long a part will last.
fn lasts(words: &Words<'_>, mark: &EntryMark) -> bool {
    let segment = words.segment_of(mark.from);
    let part = words
        .tokens_of(segment)
        .take_while(|n| *n < mark.from)
        .any(|n| words.says(n, means::THING));
    let whole = words
        .tokens_of(segment)
        .any(|n| words.covered_by(&OF_THE_WHOLE, n) || words.says(n, means::RECORD));
    let flight = (mark.to..mark.to + 4).any(|n| {
        words.segment_of(n) == segment
            && (words.says(n, means::DEED) || words.covered(EntryRole::HoursUnit, n))
    });
    words.means(mark) == means::FLIGHT
        && mark.to == mark.from + 2
        && words.says(mark.from, means::WELL)
        && part
        && !whole
        && !flight
}

/// "never over 200", "not below 40": a reading that keeps to its side of a figure.
fn reading_denied(words: &Words<'_>, mark: &EntryMark) -> bool {
    let figure = (mark.to + 1..mark.to + 4)
        .find(|n| words.tokens.get(*n).map(|t| t.kind) == Some(TokenKind::Number));
    words.means(mark).is_empty()
        && words.covered(EntryRole::Negator, mark.from)
        && words.says(mark.to, means::COMPARES)
        && figure.is_some_and(|n| words.segment_of(n) == words.segment_of(mark.from))
}

/// "no damage that I could find": how far a denial of faults reaches.
fn as_far_as_seen(words: &Words<'_>, mark: &EntryMark) -> bool {
    let segment = words.segment_of(mark.from);
    let denies = words
        .tokens_of(segment)
        .find(|n| !words.is_mark(*n))
        .is_some_and(|n| words.says(n, means::NO) || words.says(n, means::NONE));
    let relative = mark.from >= 2
        && words.says(mark.from - 1, means::WRITER)
        && (words.says(mark.from - 2, means::FACT) || words.says(mark.from - 2, means::WHERE_SO));
    words.says(mark.from, means::WAS) && denies && relative && words.says(mark.to, means::DEED)
}

/// "placard says use dipstick", "log says new hoses 2019": a paper is quoted, and not for an inspection.
fn says_a_paper(words: &Words<'_>, mark: &EntryMark) -> bool {
    let (from, to) = clause(words, mark);
    let paper = (from..mark.from).any(|n| {
        [means::PAPERS, means::RULE, means::QUOTED]
            .iter()
            .any(|means| words.says(n, means))
    });
    let people = (from..mark.from).any(|n| {
        words.says(n, means::PERSON)
            || words.covered(EntryRole::Certificate, n)
            || words.covered(EntryRole::Uncertificated, n)
    });
    let of_inspection = (from..to).any(|n| {
        words.covered_by(
            &[
                EntryRole::Affirmative,
                EntryRole::Negative,
                EntryRole::Inspected,
                EntryRole::Inspection,
                EntryRole::Aircraft,
                EntryRole::Discrepancy,
            ],
            n,
        ) || words.says(n, means::DIRECTIVE)
            || words.says(n, means::STAND_IN)
    });
    words.means(mark) == means::HEARSAY
        && mark.to == mark.from + 1
        && paper
        && !people
        && !of_inspection
}

/// "was stiff until lubricated": what was so is told, and the work that ended it.
fn until_done(words: &Words<'_>, mark: &EntryMark) -> bool {
    let (from, to) = clause(words, mark);
    let was = (from..mark.from).any(|n| words.says(n, means::TOLD));
    let work = |n: usize| words.covered(EntryRole::Corrected, n) || words.says(n, means::WORK);
    let other = (from..to)
        .filter(|n| *n < mark.from || mark.to <= *n)
        .any(|n| words.covered(EntryRole::Doubt, n) || words.covered(EntryRole::Negator, n));
    mark.to == mark.from + 1
        && words.means(mark).is_empty()
        && words.says(mark.from, means::UP_TO)
        && was
        && work(mark.to)
        && mark.to + 1 == to
        && !other
}

/// "temporary float fittings removed": what was there for a time is gone.
fn took_away(words: &Words<'_>, mark: &EntryMark) -> bool {
    let segment = words.segment_of(mark.from);
    let gone = (mark.to..mark.to + AWAY)
        .take_while(|n| words.segment_of(*n) == segment && !breaks(words, *n))
        .any(|n| words.says(n, means::SET_ASIDE));
    let inspection = (mark.from..mark.to + AWAY).any(|n| {
        words.segment_of(n) == segment
            && (words.covered(EntryRole::Inspected, n) || words.covered(EntryRole::Aircraft, n))
    });
    words.says(mark.from, means::FOR_A_TIME) && gone && !inspection
}

/// So many tokens behind what was there for a time it may be said to be gone.
const AWAY: usize = 7;

/// "since the last annual", "during the inspection": an inspection that only says when something was.
pub(super) fn says_when(words: &Words<'_>, mark: &EntryMark) -> bool {
    let segment = words.segment_of(mark.from);
    let plain = |n: usize| {
        words.says(n, means::PLAIN)
            || words.says(n, means::FORMER)
            || words.says(n, means::EARLIER)
            || words.covered(EntryRole::Inspection, n)
    };
    let mut before = (0..mark.from)
        .rev()
        .take(4)
        .take_while(|n| words.segment_of(*n) == segment);
    // "Changed my mind after the inspection": it has to be of a part or of work.
    let of_part = words
        .tokens_of(segment)
        .any(|n| words.says(n, means::THING) || words.says(n, means::FORMER));
    of_part
        && before
            .find(|n| words.says(*n, means::WHEN) || !plain(*n))
            .is_some_and(|n| words.says(n, means::WHEN))
}

/// "but they hold", "old but good": what stands against is a sound state.
fn against_ill(words: &Words<'_>, mark: &EntryMark) -> bool {
    let (_, to) = clause(words, mark);
    let sound = |n: usize| words.says(n, means::WELL);
    let plain = |n: usize| {
        sound(n)
            || words.says(n, means::PLAIN)
            || words.says(n, means::STAND_IN) && !words.says(n, means::SLIP)
            || words.says(n, means::IS)
            || words.covered(EntryRole::Between, n)
    };
    words.means(mark) == means::CONTRAST && (mark.to..to).any(sound) && (mark.to..to).all(plain)
}

/// "former type certificate": nobody's certificate who signs.
fn formerly(words: &Words<'_>, mark: &EntryMark) -> bool {
    let near = |n: usize| {
        words.covered(EntryRole::Certificate, n)
            || words.covered(EntryRole::Rating, n)
            || words.says(n, means::DEED)
    };
    words.means(mark) == means::HOLDER
        && words.says(mark.from, means::FORMER)
        && !(mark.from.saturating_sub(3)..mark.to + 3)
            .filter(|n| words.segment_of(*n) == words.segment_of(mark.from))
            .any(near)
        && !breaks(words, mark.to)
        && words.segment_of(mark.to) == words.segment_of(mark.from)
}

/// So many tokens before a need its denial may stand.
const DENIED: usize = 5;

/// "flew 20 min before signing", "hours before this log were kept in pencil": what was done and is told. Behind
/// the word stands a deed that ran, or a paper or a time, and nothing in the clause is to come.
fn narrative(words: &Words<'_>, mark: &EntryMark) -> bool {
    let (from, to) = clause(words, mark);
    let beside = |n: &usize| *n < mark.from || mark.to <= *n;
    let told = |n: usize| {
        words.word(n).len() > SHORT && words.word(n).to_lowercase().ends_with(PAST)
            || words.says(n, means::TOLD)
    };
    let open = (from..to).filter(beside).any(|n| {
        words.covered(EntryRole::Doubt, n)
            || words.covered(EntryRole::Advice, n)
            || words.covered(EntryRole::Later, n)
            || words.says(n, means::NEED)
    });
    let adverb = breaks(words, mark.to) || words.segment_of(mark.to) != words.segment_of(mark.from);
    let of_whole = (from..to).any(|n| words.covered_by(&OF_THE_WHOLE, n));
    let behind = adverb && !of_whole
        || words.word(mark.to).to_lowercase().ends_with(RUNNING)
        || says_any(
            words,
            (mark.to, (mark.to + 3).min(to)),
            &[means::PAPERS, means::ASIDE],
        );
    mark.to == mark.from + 1
        && words.says(mark.from, means::AHEAD)
        && (from..to).filter(beside).any(told)
        && behind
        && !open
}

/// How a regular verb in the past ends.
const PAST: &str = "ed";
/// "red" is no verb.
const SHORT: usize = 4;
/// How a verb that runs on ends.
const RUNNING: &str = "ing";

/// "limited airframe", "Limited: accessory class 1": a rating of a station.
fn of_a_rating(words: &Words<'_>, mark: &EntryMark) -> bool {
    let segment = words.segment_of(mark.from);
    let rating = |n: usize| words.covered(EntryRole::Rating, n) || words.says(n, means::RATED);
    let near = (mark.to..mark.to + 3).any(|n| words.segment_of(n) == segment && rating(n));
    let station = words.all(EntryRole::Certificate).any(|m| {
        words.means(m) == crate::model::Kind::RepairStation.name()
            && words.line_of(m.from).abs_diff(words.line_of(mark.from)) <= 1
    });
    words.says(mark.from, means::RATED) && near && station
}

/// "only 12 hours since new", "only 2 degrees": a figure with its unit, of which no part is taken out.
fn counted(words: &Words<'_>, mark: &EntryMark) -> bool {
    let figure = words
        .tokens
        .get(mark.to)
        .is_some_and(|t| t.kind == TokenKind::Number);
    let unit =
        words.says(mark.to + 1, means::UNIT) || words.covered(EntryRole::HoursUnit, mark.to + 1);
    let (from, to) = clause(words, mark);
    let looked = (from..to).any(|n| {
        words.covered(EntryRole::Inspected, n)
            || words.covered(EntryRole::Inspection, n)
            || words.covered(EntryRole::Aircraft, n)
            || words.says(n, means::DEED)
            || words.says(n, means::STAND_IN)
    });
    mark.to == mark.from + 1
        && words.means(mark).is_empty()
        && !words.covered(EntryRole::Negator, mark.from)
        && !looked
        && words.says(mark.from, means::NARROWS)
        && figure
        && unit
}

/// "My son may want it one day", "rain would not let up": people, weather, places, money, and nothing in
/// the clause that an inspection is of. They have to stand before the word, as its subject, but for one that
/// opens the clause and is no denial ("should anyone wonder"). What somebody says has to be of such a thing.
fn aside_of_people(words: &Words<'_>, mark: &EntryMark) -> bool {
    let (from, to) = clause(words, mark);
    let kind = words.means(mark);
    let narrows = words.says(mark.from, means::NARROWS);
    let opens = !narrows && !words.covered(EntryRole::Negator, mark.from) && mark.from == from;
    let subject = (from, if opens { to } else { mark.from });
    let about = if kind == means::HEARSAY {
        says_any(words, (mark.to, to), &[means::ASIDE])
    } else {
        says_any(words, subject, &[means::PERSON, means::ASIDE])
    };
    // "Customer could not pay, so I stopped": what the writer did stands in the next clause.
    let of_writer = kind != means::HEARSAY
        && words
            .tokens_of(words.segment_of(mark.from))
            .any(|n| words.says(n, means::WRITER));
    about
        && ![means::FLIGHT, means::VOID, means::HOLDER].contains(&kind)
        && !of_writer
        && !holds(words, (from, to), mark)
}

/// "The receiver is no part of the aircraft": equipment that an aircraft may be without is said to be none of it.
fn no_part_of_it(words: &Words<'_>, mark: &EntryMark) -> bool {
    let (from, to) = clause(words, mark);
    let aircraft = |n: usize| words.covered(EntryRole::Aircraft, n);
    words.says(mark.from, means::NO)
        && mark.to > mark.from + 1
        && (mark.to..(mark.to + 2).min(to)).any(aircraft)
        && says_any(words, (from, mark.from), &[means::OPTIONAL, means::ASIDE])
}

/// "old logbook was full", "coffee stain on page 6": another paper than this entry, or a number that only tells where.
pub(super) fn record_aside(words: &Words<'_>, at: usize) -> bool {
    let segment = words.segment_of(at);
    let numbered = words.tokens.get(at + 1).map(|t| t.kind) == Some(TokenKind::Number);
    (0..at)
        .rev()
        .take(2)
        .take_while(|n| words.segment_of(*n) == segment && !words.is_mark(*n))
        .any(|n| {
            words.says(n, means::FORMER)
                || words.says(n, means::EARLIER)
                || numbered && words.says(n, means::PLACES)
        })
}
