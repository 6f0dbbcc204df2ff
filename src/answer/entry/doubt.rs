//! Words that may take back or narrow what the entry says, and that nothing else took up.
//!
//! A log entry holds much that no file knows: lists of work, parts, readings. But a modal verb, a
//! negation, a limit or a condition is never a mere list of work: where the words for findings,
//! faults, advice and days leave one over, what it does to the inspection is not known, and nothing
//! may be certain.

use super::aside;
use super::bearing;
use super::dates::{self, Day};
use super::figures;
use super::finding::{self, Finding};
use super::names;
use super::people::People;
use super::remarks;
use super::words::Words;
use super::work::{is_done, mere_work, negated};
use crate::document::dates::MONTHS;
use crate::model::Kind;
use crate::patterns::entry::means;
use crate::patterns::{Entries, EntryMark, EntryRole, TokenKind};
use jiff::civil::Date;

/// Roles whose words have been taken into account, or speak of something else.
const TAKEN_UP: [EntryRole; 12] = [
    EntryRole::Negative,
    EntryRole::Advice,
    EntryRole::Corrected,
    EntryRole::Blank,
    EntryRole::Unsigned,
    EntryRole::NotOwner,
    EntryRole::OtherCard,
    EntryRole::Inspection,
    EntryRole::NumberLabel,
    EntryRole::SerialLabel,
    EntryRole::Affirmative,
    EntryRole::Harmless,
];

/// The sentences, or their parts, with a doubt that nothing took up.
///
/// `inspected` is the day of the inspection, where the entry gives one.
pub(super) fn doubts(
    words: &Words<'_>,
    days: &[Day],
    people: &People,
    inspected: Option<Date>,
) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    // One doubt of a sentence is enough to tell.
    let mut told: Vec<(usize, usize)> = Vec::new();
    for mark in words.all(EntryRole::Doubt) {
        let place = (words.segment_of(mark.from), words.line_of(mark.from));
        if !told.contains(&place)
            && !taken_up(words, mark, days, people)
            && !remarks::of_earlier_entry(words, mark, days, inspected)
        {
            told.push(place);
            found.push(words.around(mark, 5, 6));
        }
    }
    found.extend(for_another(words, people, days));
    found.extend(work_to_come(words));
    found.extend(one_of_several(words));
    found.extend(condition_alone(words));
    found.extend(left_out(words));
    found.extend(finding::beside_exception(words));
    if let Some(part) = part_alone(words) {
        found.push(part);
    }
    found
}

/// What was written later may take an entry back: its doubts, its faults, its own finding.
pub(super) fn of_later(text: &str, today: Date, entries: &Entries) -> Vec<String> {
    let words = Words::read(text, entries);
    let days = dates::days(text, today);
    let nobody = People::none();
    // Whatever day it names, it may be that of the entry before.
    let mut found = doubts(&words, &days, &nobody, None);
    let later = finding::read(&words, &days);
    if matches!(later.finding, Finding::Negative | Finding::Qualified) {
        found.push(later.words);
    }
    found
}

/// Roles of which a sentence with one of them is known: head and foot of the entry, work done,
/// advice, a fault that is denied.
const KNOWN: [EntryRole; 14] = [
    EntryRole::Affirmative,
    EntryRole::Inspected,
    EntryRole::Inspection,
    EntryRole::Corrected,
    EntryRole::Advice,
    EntryRole::NoFault,
    EntryRole::Harmless,
    EntryRole::OtherDay,
    EntryRole::TimeLabel,
    EntryRole::Certificate,
    EntryRole::Rating,
    EntryRole::NameLabel,
    EntryRole::SignatureLabel,
    EntryRole::Shows,
];

/// Sentences, line by line, of which nothing was known: they were taken for lists of work, and the
/// reader has to judge them.
pub(super) fn passed_over(words: &Words<'_>, people: &People) -> Vec<String> {
    let place = |n: usize| (words.segment_of(n), words.line_of(n));
    let mut found = Vec::new();
    let mut from = 0;
    while from < words.tokens.len() {
        let here = place(from);
        let to = (from..words.tokens.len())
            .find(|n| place(*n) != here)
            .unwrap_or(words.tokens.len());
        let known = KNOWN
            .into_iter()
            .any(|role| words.all(role).any(|m| m.from < to && from < m.to))
            || people
                .names
                .iter()
                .any(|(name, _)| name.from < to && from < name.to);
        let real = |n: &usize| words.word(*n).chars().filter(|c| c.is_alphabetic()).count() > 2;
        if !known && (from..to).filter(real).count() > 1 {
            found.push(words.between(from, to));
        }
        from = to;
    }
    found
}

fn taken_up(words: &Words<'_>, mark: &EntryMark, days: &[Day], people: &People) -> bool {
    let within = |m: &EntryMark| m.from <= mark.from && mark.to <= m.to;
    let covered = TAKEN_UP.into_iter().any(|role| words.all(role).any(within));
    let a_day = (mark.from..mark.to).any(|n| figures::in_day(words, n, days));
    let a_name = people
        .names
        .iter()
        .any(|(name, _)| name.from < mark.to && mark.from < name.to);
    covered
        || a_day
        || a_month(words, mark)
        || a_name
        || denies_fault(words, mark)
        || of_later_day(words, mark, days)
        || in_advice(words, mark)
        || after_work(words, mark)
        || of_work_alone(words, mark)
        || heard_and_mended(words, mark)
        || remarks::work_by_another(words, mark)
        || remarks::part_by_a_shop(words, mark)
        || by_the_signer(words, mark, people)
        || by_means(words, mark)
        || remarks::limits_a_part(words, mark)
        || remarks::of_duty_apart(words, mark)
        || remarks::for_later(words, mark, days)
        || remarks::fault_mended(words, mark)
        || remarks::narrows_work(words, mark)
        || remarks::of_another(words, mark, people)
        || remarks::tale_of_work(words, mark)
        || remarks::states_a_limit(words, mark)
        || aside::aside(words, mark)
        || bearing::touches_nothing(words, mark)
}

/// "Next due May 2027": the fifth month, not the verb.
fn a_month(words: &Words<'_>, mark: &EntryMark) -> bool {
    let word = words.word(mark.from);
    let number = words
        .tokens
        .get(mark.to)
        .is_some_and(|t| t.kind == TokenKind::Number && !words.is_mark(mark.to));
    // "on 6 May": the day stands before it.
    let before = mark.from.checked_sub(1).is_some_and(|n| {
        let token = words.tokens.get(n);
        token.is_some_and(|t| t.kind == TokenKind::Number) && words.word(n).len() <= 2
    });
    // "the airshow in May": within a sentence in small letters, a capital makes it the name.
    let small = mark.from > 0
        && words
            .tokens_of(words.segment_of(mark.from))
            .any(|n| n < mark.from)
        && words.word(mark.from) != words.word(mark.from).to_uppercase();
    (number || before || small)
        && word.starts_with(char::is_uppercase)
        && word.eq_ignore_ascii_case(MONTHS[4])
}

/// "NAME for NAME, A&P 0001234": who signs is not who holds the certificate. For a station anybody may.
fn for_another(words: &Words<'_>, people: &People, days: &[Day]) -> Option<String> {
    let station = people
        .signers
        .iter()
        .any(|s| matches!(s.kind, Some(Kind::RepairStation | Kind::Manufacturer)));
    let before = |at: usize| {
        (2..=NAME)
            .filter_map(|parts| at.checked_sub(parts))
            .find(|from| names::name_end(words, *from, days) == at)
    };
    people.names.iter().find_map(|(name, _)| {
        let at = name.from.checked_sub(1)?;
        let joins = words.word(at).eq_ignore_ascii_case("for") && !station;
        let from = joins.then(|| before(at)).flatten()?;
        Some(words.between(from, name.to))
    })
}

/// A name has at most so many tokens.
const NAME: usize = 4;

/// "to be resealed by owner": whatever the work, it has not been done. Advice for later is no such need.
fn work_to_come(words: &Words<'_>) -> Option<String> {
    let to_be = |m: &&EntryMark| {
        let before =
            |n: usize, word: &str| m.from >= n && words.word(m.from - n).eq_ignore_ascii_case(word);
        before(1, "be") && before(2, "to") && m.from > 2
    };
    words
        .all(EntryRole::Corrected)
        .filter(to_be)
        .find(|m| !in_advice(words, m) && !words.covered(EntryRole::Doubt, m.from))
        .map(|m| words.around(m, 8, 4))
}

/// "Condition inspection 2 of 3": one of several parts.
fn one_of_several(words: &Words<'_>) -> Option<String> {
    let count = |n: usize| words.word(n).parse::<u32>().ok();
    words
        .all(EntryRole::Inspection)
        .find(|m| {
            let of = words.word(m.to + 1).eq_ignore_ascii_case("of");
            of && count(m.to)
                .zip(count(m.to + 2))
                .is_some_and(|(part, all)| part < all)
        })
        .map(|m| words.around(m, 0, 3))
}

/// "inspected by the maker's procedures", "inspected by mirror": by what, and not by whom.
fn by_means(words: &Words<'_>, mark: &EntryMark) -> bool {
    let at = mark.to + usize::from(words.says(mark.to, means::ARTICLE));
    let here = words.segment_of(at) == words.segment_of(mark.from)
        && words.says(mark.to - 1, means::OF_RULE);
    let paper = words
        .all(EntryRole::Shows)
        .any(|m| (mark.to..=at).contains(&m.from));
    words.means(mark) == means::HEARSAY && here && (paper || words.says(at, means::METHOD))
}

/// "inspected by" and the name of somebody who signs.
fn by_the_signer(words: &Words<'_>, mark: &EntryMark, people: &People) -> bool {
    let signs = |name: &str| {
        let signers = people.signers.iter().filter_map(|s| s.name.as_ref());
        signers.into_iter().any(|n| names::same_name(n, name))
    };
    // "SIGNED FOR" and the name of the station that signs.
    let behind = words
        .between(mark.to, (mark.to + 10).min(words.tokens.len()))
        .to_lowercase();
    let station = people
        .signers
        .iter()
        .filter(|s| s.kind == Some(Kind::RepairStation))
        .filter_map(|s| s.name.as_ref())
        .any(|n| behind.contains(&n.to_lowercase()));
    // "inspection by the builder", which the signer is.
    let builder = words
        .all(EntryRole::Certificate)
        .any(|m| mark.from <= m.from && m.to <= mark.to && words.means(m) == Kind::Other.name())
        && people
            .signers
            .iter()
            .any(|s| s.kind == Some(Kind::BuilderRepairman));
    if builder {
        return true;
    }
    // "Inspected by: NAME": who looked for the station that signs, named in its foot.
    let of_station = people
        .signers
        .iter()
        .filter(|s| s.kind == Some(Kind::RepairStation))
        .any(|s| {
            let line = words.line_of(mark.from);
            let last = words.tokens.len().saturating_sub(1);
            let foot = [s.from, s.to.saturating_sub(1), last].map(|n| words.line_of(n));
            let of_part = (0..mark.from)
                .rev()
                .take_while(|n| words.line_of(*n) == line)
                .any(|n| words.says(n, means::THING));
            let named = people
                .names
                .iter()
                .any(|(name, _)| (mark.to..=mark.to + 1).contains(&name.from));
            named && !of_part && foot.iter().any(|of| of.abs_diff(line) <= 1)
        });
    words.means(mark) == means::HEARSAY && (station || of_station)
        || words.means(mark) == means::HEARSAY
            && people.names.iter().any(|(name, _)| {
                // "by others." ends before the name of who signs.
                (mark.to..=mark.to + 1).contains(&name.from)
                    && words.segment_of(name.from) == words.segment_of(mark.from)
                    && signs(&name.words)
            })
}

/// "no metal but some carbon": a contrast within a list of work. One that opens its sentence looks
/// back to the finding.
fn of_work_alone(words: &Words<'_>, mark: &EntryMark) -> bool {
    let segment = words.segment_of(mark.from);
    let opens = words.tokens_of(segment).next() == Some(mark.from);
    words.means(mark) == means::CONTRAST && !opens && mere_work(words, segment)
}

/// "Owner reports rough drop; cleaned plugs": what was heard is a fault, and the work on it opens
/// the next part.
fn heard_and_mended(words: &Words<'_>, mark: &EntryMark) -> bool {
    let segment = words.segment_of(mark.from);
    let work = |m: &EntryMark| {
        words.segment_of(m.from) == segment + 1
            && words.tokens_of(segment + 1).take(3).any(|n| n == m.from)
    };
    // "Owner reports noise: shield replaced": the colon parts what was heard from the work.
    let colon = words
        .tokens_of(segment)
        .find(|n| *n > mark.to && words.word(*n) == ":");
    let behind_colon = colon.is_some_and(|at| {
        let done = |m: &EntryMark| words.segment_of(m.from) == segment && is_done(words, m);
        let all: Vec<_> = words
            .all(EntryRole::Corrected)
            .filter(|m| done(m))
            .collect();
        !all.is_empty() && all.iter().all(|m| m.from > at)
    });
    if words.means(mark) == means::HEARSAY && mere_work(words, segment) && behind_colon {
        return true;
    }
    words.means(mark) == means::HEARSAY
        && mere_work(words, segment)
        && mere_work(words, segment + 1)
        && !words
            .all(EntryRole::Corrected)
            .any(|m| words.segment_of(m.from) == segment)
        && words.all(EntryRole::Corrected).any(work)
}

/// "not cracked", "without leaks": the negation is of a fault.
fn denies_fault(words: &Words<'_>, mark: &EntryMark) -> bool {
    let segment = words.segment_of(mark.from);
    let denies = words
        .all(EntryRole::NoFault)
        .chain(words.all(EntryRole::Negator))
        .any(|m| m.from <= mark.from && mark.to <= m.to);
    // "I do not warrant that it is safe": the negation does not reach the finding, nor turn it.
    // "bolts not torqued, wrench broken": nor a fault behind a comma.
    let reached = |m: &EntryMark| match m.role {
        EntryRole::Discrepancy => !(mark.to..m.from).any(|n| words.is_mark(n)),
        _ => negated(words, m.from).is_some(),
    };
    denies
        && words
            .all(EntryRole::Discrepancy)
            .chain(words.all(EntryRole::Negative))
            .chain(words.all(EntryRole::Affirmative))
            .any(|m| {
                words.segment_of(m.from) == segment
                    && m.from >= mark.to
                    && m.from <= mark.to + 5
                    && reached(m)
            })
}

/// "next due before 3/31/2027": the word stands before a day of something to come.
fn of_later_day(words: &Words<'_>, mark: &EntryMark, days: &[Day]) -> bool {
    let label = words
        .all(EntryRole::OtherDay)
        .filter(|m| m.from <= mark.from && mark.to <= m.to)
        .max_by_key(|m| m.to);
    // "valid until": it limits what is said, whatever day follows.
    label.is_some_and(|m| {
        (m.to..m.to + 4).any(|n| figures::in_day(words, n, days))
            && !words
                .all(EntryRole::Doubt)
                .any(|d| d.from == m.from && d.to > d.from + 1)
    })
}

/// "corrected before signing": the work was done.
fn after_work(words: &Words<'_>, mark: &EntryMark) -> bool {
    // "is replaced before next flight" has a mark of its own.
    mark.to == mark.from + 1
        && words.all(EntryRole::Corrected).any(|m| {
            m.to <= mark.from && mark.from <= m.to + 2 && words.word(mark.from) == "before"
        })
}

/// Advice for later stands in the same sentence and line, and no finding.
fn in_advice(words: &Words<'_>, mark: &EntryMark) -> bool {
    let segment = words.segment_of(mark.from);
    let line = words.line_of(mark.from);
    let finding = words
        .all(EntryRole::Affirmative)
        .any(|a| words.segment_of(a.from) == segment);
    // "AD not accomplished at owner's request": it is not the owner's to put off.
    let negates = ["not", "never"].contains(&words.word(mark.from).to_lowercase().as_str());
    let binding = negates
        && words
            .tokens_of(segment)
            .any(|n| n < mark.from && words.says(n, means::DIRECTIVE))
        || remarks::of_record(words, segment)
        // "elected not to have the wings opened": what is wished narrows the inspection.
        || negates
            && words
                .tokens_of(segment)
                .any(|n| n > mark.from && words.says(n, means::ACCESS));
    // "suggest no flight before": what is advised forbids.
    !finding
        && words.means(mark) != means::FLIGHT
        && words
            .all(EntryRole::Advice)
            .chain(words.all(EntryRole::Later).filter(|_| !binding))
            .any(|m| words.segment_of(m.from) == segment && words.line_of(m.from) == line)
}

/// "Provided the cable is replaced.": what takes something out opens a sentence of its own, behind
/// the finding.
fn condition_alone(words: &Words<'_>) -> Option<String> {
    let finding = words.all(EntryRole::Affirmative).next()?;
    words
        .all(EntryRole::Exception)
        .find(|m| {
            let mut segment = words.tokens_of(words.segment_of(m.from));
            // "- except wings": a bullet opens what stands on a line of its own.
            let opens = segment.find(|n| !words.is_mark(*n)) == Some(m.from);
            let none = (m.to..m.to + 2).any(|n| words.says(n, means::NONE));
            m.from > finding.to && opens && !none && !words.covered(EntryRole::Doubt, m.from)
        })
        .map(|m| words.around(m, 0, 8))
}

/// "Inspected all except inside of wings": what was looked at is narrowed away from the finding.
fn left_out(words: &Words<'_>) -> Option<String> {
    let segment = |m: &EntryMark| words.segment_of(m.from);
    words
        .all(EntryRole::Exception)
        .filter(|m| !words.covered(EntryRole::Doubt, m.from))
        .find(|m| {
            let found = words
                .all(EntryRole::Affirmative)
                .any(|a| segment(a) == segment(m));
            let inspected = words.all(EntryRole::Inspected).any(|i| {
                segment(i) == segment(m)
                    && i.from < m.from
                    && words.line_of(i.from) == words.line_of(m.from)
            });
            // "I looked at every item but the wings."
            let looked = words.tokens_of(segment(m)).any(|n| {
                n < m.from && words.says(n, means::WRITER) && words.says(n + 1, means::LOOKS_INTO)
            });
            (inspected || looked) && !found && !finding::of_no_part(words, m)
        })
        .map(|m| words.around(m, 4, 6))
}

/// "the engine of this aircraft has been inspected": the finding speaks of a part.
fn part_alone(words: &Words<'_>) -> Option<String> {
    let finding = words.all(EntryRole::Affirmative).next()?;
    let segment = words.segment_of(finding.from);
    let inspected = words.all(EntryRole::Inspected).find(|m| {
        words.segment_of(m.from) == segment
            && m.from < finding.from
            && words.word(m.from).to_lowercase().ends_with("ed")
            && m.from > 0
            && words.covered(EntryRole::Between, m.from - 1)
    })?;
    let before = |role: EntryRole| {
        words
            .all(role)
            .filter(|m| words.segment_of(m.from) == segment && m.to <= inspected.from)
            .last()
    };
    let part = before(EntryRole::Component)?;
    let aircraft = before(EntryRole::Aircraft);
    let of_aircraft =
        |m: &EntryMark| m.from >= part.to && m.from <= part.to + 2 && words.word(part.to) == "of";
    // "this aircraft, engine and propeller": the parts are named beside it.
    let beside = words
        .all(EntryRole::Aircraft)
        .filter(|m| words.segment_of(m.from) == segment && m.from < part.from)
        .any(|m| {
            let joins = |n: usize| {
                words.is_mark(n)
                    || words.covered(EntryRole::Between, n)
                    || words.covered(EntryRole::Component, n)
            };
            words.word(m.to) == "," && (m.to..part.from).all(joins)
        });
    let whole = beside || aircraft.is_some_and(|m| m.from > part.from && !of_aircraft(m));
    (!whole).then(|| words.between(part.from, inspected.to))
}
