//! Remarks beside the statement that hold a word of doubt and do not touch it: limits of an engine,
//! duties that stand apart, needs of later, faults that were mended, entries of other days.

use super::dates::Day;
use super::figures;
use super::people::People;
use super::words::Words;
use super::work::{is_done, mere_work};
use crate::model::Kind;
use crate::patterns::entry::means;
use crate::patterns::{EntryMark, EntryRole, TokenKind};
use jiff::civil::Date;

/// "Do not exceed 2500 rpm until the rings seat": it limits how a part is used, not the finding.
pub(super) fn limits_a_part(words: &Words<'_>, mark: &EntryMark) -> bool {
    let segment = words.segment_of(mark.from);
    let here = |n: &usize| words.segment_of(*n) == segment;
    if !touches_use_alone(words, mark) {
        return false;
    }
    let limit = |from: usize| {
        let uses = (from..from + NEAR).any(|n| here(&n) && words.says(n, means::LIMIT));
        let unit = (from..from + FIGURE)
            .filter(here)
            .any(|n| measured(words, n));
        uses && unit
    };
    // What follows the limit says how long it holds.
    let before = words
        .all(EntryRole::Doubt)
        .filter(|m| m.from < mark.from && mark.from <= m.from + FIGURE + NEAR)
        .any(|m| here(&m.from) && limit(m.from));
    limit(mark.from) || before
}

/// So many tokens away, two words are of one phrase.
const NEAR: usize = 5;
/// So many tokens behind a word of a limit its figure may stand.
const FIGURE: usize = 10;

/// "2500 rpm", "2500rpm".
fn measured(words: &Words<'_>, at: usize) -> bool {
    let word = words.word(at);
    let unit = word.trim_start_matches(|c: char| c.is_ascii_digit() || c == ',' || c == '.');
    word.starts_with(|c: char| c.is_ascii_digit())
        && (words.says(at + 1, means::UNIT) || words.known(unit, EntryRole::Word))
}

/// Neither flight, nor a person, nor the entry as a whole.
pub(super) fn touches_use_alone(words: &Words<'_>, mark: &EntryMark) -> bool {
    ![means::FLIGHT, means::VOID, means::HEARSAY, means::HOLDER].contains(&words.means(mark))
}

/// Whether a mark of one of the roles stands in the sentence, on the line of `at`.
fn beside(words: &Words<'_>, at: usize, roles: &[EntryRole]) -> bool {
    let (segment, line) = (words.segment_of(at), words.line_of(at));
    roles.iter().any(|role| {
        words
            .all(*role)
            .any(|m| words.segment_of(m.from) == segment && words.line_of(m.from) == line)
    })
}

pub(super) fn forbids_flight(words: &Words<'_>, segment: usize) -> bool {
    words
        .all(EntryRole::Doubt)
        .any(|m| words.means(m) == means::FLIGHT && words.segment_of(m.from) == segment)
}

/// "Transponder check not done": the duty is none of the inspection. A part or the aircraft in the
/// same breath leaves the doubt.
pub(super) fn of_duty_apart(words: &Words<'_>, mark: &EntryMark) -> bool {
    let segment = words.segment_of(mark.from);
    let duty = words
        .all(EntryRole::Apart)
        .any(|m| words.segment_of(m.from) == segment && m.from <= mark.to + NEAR);
    let other = [
        EntryRole::Affirmative,
        EntryRole::Negative,
        EntryRole::Component,
        EntryRole::Unfinished,
    ];
    // "The airplane is to be checked after the paint": the duty has to stand first.
    let first = words
        .all(EntryRole::Apart)
        .any(|m| words.segment_of(m.from) == segment && m.from < mark.from);
    let of_aircraft = words
        .all(EntryRole::Aircraft)
        .any(|m| (m.from > mark.from || !first) && words.segment_of(m.from) == segment);
    // "Fairings not removed": what lies behind them was not seen.
    let closed = words.covered(EntryRole::Negator, mark.from)
        && (mark.to..mark.to + 3)
            .any(|n| words.segment_of(n) == segment && words.says(n, means::ACCESS));
    // "Altimeter check was done by others": the duty, and no inspection.
    let by_others =
        words.means(mark) == means::HEARSAY && !beside(words, mark.from, &[EntryRole::Inspected]);
    duty && !closed
        && !of_record(words, segment)
        && (touches_use_alone(words, mark) || words.means(mark) == means::HOLDER || by_others)
        && !beside(words, mark.from, &other)
        && !of_aircraft
        && !forbids_flight(words, segment)
}

/// "This entry is for insurance only": a sentence that opens with the entry is of no duty and no wish.
pub(super) fn of_record(words: &Words<'_>, segment: usize) -> bool {
    words
        .tokens_of(segment)
        .take(2)
        .any(|n| words.says(n, means::RECORD))
}

/// "must be replaced by 06/2029", "will need replacement in about 50 hours": not due yet.
pub(super) fn for_later(words: &Words<'_>, mark: &EntryMark, days: &[Day]) -> bool {
    let segment = words.segment_of(mark.from);
    let needs = |n: usize| words.says(n, means::NEED);
    // "to be replaced by 06/2029" is a need of its own.
    let to_be = mark.to > mark.from + 2 && words.word(mark.from + 1).eq_ignore_ascii_case("be");
    let opens = needs(mark.from) || to_be || mark.from > 0 && needs(mark.from - 1);
    let later = (mark.from..mark.to + NEAR).any(|n| {
        words.segment_of(n) == segment
            && words.says(n, means::BY_THEN)
            && (n + 1..n + 4).any(|n| words.segment_of(n) == segment && to_come(words, n, days))
    });
    let other = [
        EntryRole::Affirmative,
        EntryRole::Negative,
        EntryRole::Inspected,
        EntryRole::Aircraft,
        EntryRole::Unfinished,
    ];
    let fault = words.all(EntryRole::Discrepancy).any(|m| {
        words.segment_of(m.from) == segment && !(m.from <= mark.to && mark.from <= m.to + 1)
    });
    opens
        && later
        && touches_use_alone(words, mark)
        && !fault
        && !beside(words, mark.from, &other)
        && !forbids_flight(words, segment)
}

/// A day, a year or hours of a count.
fn to_come(words: &Words<'_>, at: usize, days: &[Day]) -> bool {
    let number = words
        .tokens
        .get(at)
        .is_some_and(|t| t.kind == TokenKind::Number);
    let word = words.word(at);
    let year = word.len() == 4 && word.starts_with("20");
    figures::in_day(words, at, days)
        || number && (year || words.covered(EntryRole::HoursUnit, at + 1))
}

/// "would not hold pressure, resealed": a fault, and the work on it behind. Not where something was
/// not looked into.
pub(super) fn fault_mended(words: &Words<'_>, mark: &EntryMark) -> bool {
    let segment = words.segment_of(mark.from);
    let last = words.tokens_of(segment).last().unwrap_or(mark.to);
    let line = words.line_of(mark.from);
    let work = |m: &&EntryMark| {
        let at = words.segment_of(m.from);
        let here = at == segment && m.from >= mark.to && words.line_of(m.from) <= line + 1;
        let opens = at == segment + 1
            && m.from <= last + 4
            && words.line_of(m.from) == line
            && mere_work(words, at);
        (here || opens) && is_done(words, m)
    };
    let looks = |n: usize| words.says(n, means::LOOKS_INTO);
    // "nothing but a chafed wire (sleeved)"; one that opens its sentence looks back to the finding.
    let contrast =
        words.means(mark) == means::CONTRAST && words.tokens_of(segment).next() != Some(mark.from);
    (words.means(mark).is_empty() || contrast)
        && !(mark.from..mark.to + NEAR).any(|n| words.segment_of(n) == segment && looks(n))
        && !needs_later(words, mark)
        && no_inspection(words, mark)
        && words.all(EntryRole::Corrected).any(|m| work(&m))
}

/// A need, not an inability: "must", "to be".
fn needs_later(words: &Words<'_>, mark: &EntryMark) -> bool {
    let first = words.word(mark.from).to_lowercase();
    words.means(mark) != means::CONTRAST
        && !["would", "could", "cannot", "not", "never", "can't"].contains(&first.as_str())
}

/// Nothing of the inspection stands on the line, in the sentence.
fn no_inspection(words: &Words<'_>, mark: &EntryMark) -> bool {
    !beside(
        words,
        mark.from,
        &[
            EntryRole::Affirmative,
            EntryRole::Negative,
            EntryRole::Inspected,
            EntryRole::Unfinished,
            EntryRole::Certificate,
        ],
    )
}

/// "welded by others": work on a part, and nothing of the inspection.
pub(super) fn work_by_another(words: &Words<'_>, mark: &EntryMark) -> bool {
    words.means(mark) == means::HEARSAY
        && words.word(mark.from).eq_ignore_ascii_case("by")
        && no_inspection(words, mark)
        && words
            .all(EntryRole::Corrected)
            .any(|m| m.to == mark.from && is_done(words, m))
}

/// "Magneto 500-hour inspection done by a shop": an inspection of a part by a method of its own.
pub(super) fn part_by_a_shop(words: &Words<'_>, mark: &EntryMark) -> bool {
    let segment = words.segment_of(mark.from);
    let part = words
        .tokens_of(segment)
        .any(|n| n <= mark.from && words.says(n, means::THING));
    let method = words
        .tokens_of(segment)
        .any(|n| words.says(n, means::METHOD));
    // "webbing re-certified by others, tag 5": a part with a paper of its own.
    let paper = words
        .tokens_of(segment)
        .any(|n| n >= mark.to && words.says(n, means::QUOTED));
    words.means(mark) == means::HEARSAY
        && part
        && (method || paper)
        && !beside(
            words,
            mark.from,
            &[
                EntryRole::Affirmative,
                EntryRole::Negative,
                EntryRole::Unfinished,
                EntryRole::Aircraft,
            ],
        )
}

/// "Replaced left tire only": it narrows the work that was done.
pub(super) fn narrows_work(words: &Words<'_>, mark: &EntryMark) -> bool {
    let (segment, line) = (words.segment_of(mark.from), words.line_of(mark.from));
    let here = |n: usize| words.segment_of(n) == segment && words.line_of(n) == line;
    let opens = mark.from == 0 || !here(mark.from - 1);
    let word = words.word(mark.from).to_lowercase();
    // "only after", "only if" make a condition of the work.
    !opens
        && mark.to == mark.from + 1
        && ["only", "without"].contains(&word.as_str())
        && no_inspection(words, mark)
        && words
            .all(EntryRole::Corrected)
            .any(|m| here(m.from) && is_done(words, m))
}

/// "tie wraps added where the harness could touch", "replaced the nut, the old one could be turned by hand":
/// why the work was done that stands before.
pub(super) fn tale_of_work(words: &Words<'_>, mark: &EntryMark) -> bool {
    let segment = words.segment_of(mark.from);
    let denied = (mark.to..mark.to + 2)
        .any(|n| words.covered(EntryRole::Negator, n) || words.says(n, means::ACCESS));
    let work = |n: &usize| {
        words.segment_of(*n) == segment
            && (words.covered(EntryRole::Corrected, *n) || words.says(*n, means::WORK))
    };
    mark.to == mark.from + 1
        && words.says(mark.from, means::WAS)
        && !denied
        && touches_use_alone(words, mark)
        && no_inspection(words, mark)
        && (0..mark.from).any(|n| work(&n))
        && !forbids_flight(words, segment)
}

/// "measured 14 gph, needs 9": the figure that a reading has to reach.
pub(super) fn states_a_limit(words: &Words<'_>, mark: &EntryMark) -> bool {
    let number = |n: usize| words.tokens.get(n).map(|t| t.kind) == Some(TokenKind::Number);
    let segment = words.segment_of(mark.from);
    let ends =
        |n: usize| words.segment_of(n) != segment || words.is_mark(n) || words.says(n, means::UNIT);
    mark.to == mark.from + 1
        && words.says(mark.from, means::LEAST)
        && number(mark.to)
        && ends(mark.to + 1)
        && words.tokens_of(segment).any(|n| n < mark.from && number(n))
}

/// "in the presence of NAME (student)": words of a person beside the one who signs.
pub(super) fn of_another(words: &Words<'_>, mark: &EntryMark, people: &People) -> bool {
    let segment = words.segment_of(mark.from);
    let within = words
        .all(EntryRole::Uncertificated)
        .any(|m| m.from <= mark.from && mark.to <= m.to);
    let of_signer = people
        .signers
        .iter()
        .filter(|s| s.kind != Some(Kind::Owner))
        .any(|s| s.from <= mark.to + 2 && mark.from <= s.to + 2);
    let named = people.names.iter().any(|(name, _)| {
        let signs = people
            .signers
            .iter()
            .any(|s| s.kind != Some(Kind::Owner) && s.name.as_deref() == Some(&name.words));
        let behind = mark.to <= name.from && name.from <= mark.to + 1 && !signs;
        name.to <= mark.from && mark.from <= name.to + 2 || behind
    });
    let hearsay = words
        .all(EntryRole::Doubt)
        .any(|m| words.means(m) == means::HEARSAY && words.segment_of(m.from) == segment);
    let certificated = people.signers.iter().any(|s| s.kind != Some(Kind::Owner));
    words.means(mark) == means::HOLDER && within && named && certificated && !of_signer && !hearsay
}

/// "Entry dated 9/18/26 is VOID": another one than that of the day of this inspection.
pub(super) fn of_earlier_entry(
    words: &Words<'_>,
    mark: &EntryMark,
    days: &[Day],
    inspected: Option<Date>,
) -> bool {
    let segment = words.segment_of(mark.from);
    let of = |day: &&Day| {
        words
            .tokens
            .iter()
            .position(|t| t.span.end > day.span.start)
            .is_some_and(|n| {
                words.segment_of(n) == segment
                    && words.line_of(n) == words.line_of(mark.from)
                    && n.abs_diff(mark.from) <= FIGURE
            })
    };
    let named: Vec<&Day> = days.iter().filter(of).collect();
    let clause = (0..mark.from).rev().take(FIGURE).take_while(|n| {
        let joins = ["&", "/", "-"].contains(&words.word(*n));
        words.segment_of(*n) == segment && (joins || !words.is_mark(*n))
    });
    // "old sheet superseded": a paper that was there before.
    let former = clause
        .into_iter()
        .any(|n| words.says(n, means::FORMER) || words.says(n, means::EARLIER));
    words.means(mark) == means::VOID
        && (former
            || !named.is_empty() && inspected.is_some_and(|day| named.iter().all(|d| d.date < day)))
}

/// "who did the lubrication under my supervision": the signer's own words of a helper, and not of
/// the inspection or of the work as a whole. "Assisted by the owner": who is assisted did the work.
pub(super) fn helper(words: &Words<'_>, mark: &EntryMark) -> bool {
    let segment = words.segment_of(mark.from);
    let here = |n: &usize| words.segment_of(*n) == segment;
    let who = |n: usize| words.word(n).eq_ignore_ascii_case("who");
    let assisted = words.all(EntryRole::Supervision).any(|m| {
        here(&m.from)
            && m.from <= mark.from
            && words.says(m.from, means::ASSISTS)
            && (m.to..m.to + 3).any(|n| {
                here(&n)
                    && (words.covered(EntryRole::Uncertificated, n)
                        || words.word(n).eq_ignore_ascii_case("my"))
            })
    });
    if assisted {
        // "who inspected the wings" says what the helper did.
        let from = words.tokens_of(segment).find(|n| who(*n));
        return from.is_none_or(|from| {
            let mut behind = words.tokens_of(segment).filter(|n| *n > from);
            behind.all(|n| !words.covered(EntryRole::Inspected, n))
        });
    }
    let own = (mark.from..mark.to).any(|n| words.word(n).eq_ignore_ascii_case("my"));
    let clause = (0..mark.from).rev().take_while(|n| here(n) && !who(*n));
    own && clause
        .into_iter()
        .all(|n| !words.covered(EntryRole::Inspected, n) && !words.says(n, means::WHOLE))
}
