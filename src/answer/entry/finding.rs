//! What the entry says of the aircraft: fit, not fit, fit but for something, nothing.

use super::aside;
use super::cure;
use super::dates::Day;
use super::figures;
use super::remarks;
use super::words::Words;
use super::work::{is_done, negated};
use crate::patterns::entry::means;
use crate::patterns::{EntryMark, EntryRole};

/// What the inspection found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Finding {
    /// In a condition for safe operation, or airworthy.
    Affirmative,
    /// Not so.
    Negative,
    /// So, with something taken out, or beside a fault that is left open.
    Qualified,
    /// The entry does not say.
    Missing,
}

impl Finding {
    /// The name in machine contracts.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Affirmative => "affirmative",
            Self::Negative => "negative",
            Self::Qualified => "qualified",
            Self::Missing => "missing",
        }
    }
}

/// The finding with its words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Found {
    pub(super) finding: Finding,
    /// The words that tell.
    pub(super) words: String,
    /// The finding is there in the words of the letter.
    pub(super) in_letters_words: bool,
    /// It is there in the words of part 43.
    pub(super) airworthy: bool,
    /// A fault that is not said to be mended.
    pub(super) fault: Option<String>,
    /// A finding that is affirmative stands beside a negative one or a fault.
    pub(super) contradicts: bool,
}

pub(super) fn read(words: &Words<'_>, days: &[Day]) -> Found {
    let mut affirmative: Vec<&EntryMark> = Vec::new();
    let mut turned: Vec<String> = Vec::new();
    let mut turned_last = 0;
    let mut taken_out: Vec<String> = Vec::new();
    for mark in words.all(EntryRole::Affirmative) {
        let turns = negated(words, mark.from);
        // "Engine found airworthy": of a part alone nothing is said of the aircraft.
        if of_part(words, mark) {
            continue;
        }
        // "no statement on whether it is in a condition": it neither affirms nor denies.
        if turns.is_some_and(|n| words.word(n).eq_ignore_ascii_case("whether")) {
            continue;
        }
        if let Some(from) = turns {
            turned.push(words.between(from, mark.to));
            turned_last = turned_last.max(mark.to);
        } else if let Some(to) = excepted(words, mark) {
            taken_out.push(words.between(mark.from, to));
        } else {
            affirmative.push(mark);
        }
    }
    for mark in words.all(EntryRole::Negative) {
        // "not approved for IFR" speaks of a use, "re-grounded" of a wire.
        let harmless = words
            .all(EntryRole::Harmless)
            .any(|m| m.from <= mark.from && mark.to < m.to)
            || words
                .all(EntryRole::Corrected)
                .any(|m| m.from < mark.from && mark.to <= m.to);
        if !harmless && negated(words, mark.from).is_none() && !denied(words, mark) {
            turned.push(words.of(mark));
            turned_last = turned_last.max(mark.to);
        }
    }
    taken_out.extend(left_out(words, affirmative.is_empty()));
    let fault = faults(words, days).into_iter().next();
    let says = |means: &str| affirmative.iter().any(|m| words.means(m) == means);
    let cured = cured(words, &affirmative, turned_last);
    let (finding, told) = if let Some(told) = turned.first().filter(|_| cured) {
        (Finding::Qualified, told.clone())
    } else if let Some(told) = turned.first() {
        (Finding::Negative, told.clone())
    } else if let Some(told) = taken_out.first() {
        (Finding::Qualified, told.clone())
    } else if let (Some(first), Some(fault)) = (affirmative.first(), &fault) {
        (
            Finding::Qualified,
            format!("{} ... {fault}", words.of(first)),
        )
    } else if let Some(first) = affirmative.first() {
        (Finding::Affirmative, words.of(first))
    } else if let Some(fault) = &fault {
        (Finding::Negative, fault.clone())
    } else {
        (Finding::Missing, String::new())
    };
    Found {
        finding,
        words: told,
        in_letters_words: says(means::LETTER),
        airworthy: says(means::AIRWORTHY),
        contradicts: !affirmative.is_empty() && (fault.is_some() || !turned.is_empty()),
        fault,
    }
}

/// "Propeller not inspected": what was left out of what the finding speaks of.
fn left_out(words: &Words<'_>, no_finding: bool) -> Vec<String> {
    let mut found = Vec::new();
    for mark in words.all(EntryRole::Inspected) {
        // "Not inspected, because not installed: floats".
        let not_there = words
            .tokens_of(words.segment_of(mark.from))
            .any(|n| n >= mark.to && words.says(n, means::FITTED) && negated(words, n).is_some());
        // "This is not a condition inspection": what the work was, and no part left out.
        let of_work = no_finding
            && words
                .all(EntryRole::Inspection)
                .any(|i| i.from < mark.to && mark.from < i.to);
        if let Some(from) = negated(words, mark.from)
            && !not_there
            && !of_work
            && !remarks::of_duty_apart(words, mark)
            && !aside::nothing_left(words, mark)
        {
            found.push(words.between(from, mark.to));
        }
    }
    found
}

/// "Found not fit owing to a cracked tube. Tube replaced." and the statement behind: which of them holds is
/// a question.
fn cured(words: &Words<'_>, affirmative: &[&EntryMark], turned_to: usize) -> bool {
    affirmative.iter().any(|a| {
        let work = |m: &&EntryMark| turned_to <= m.from && m.to <= a.from && is_done(words, m);
        words.segment_of(a.from) > words.segment_of(turned_to.saturating_sub(1))
            && words.all(EntryRole::Corrected).any(|m| work(&m))
    })
}

/// Whether a finding in the words of part 43 has a part for its subject, and no aircraft in its sentence.
fn of_part(words: &Words<'_>, mark: &EntryMark) -> bool {
    let segment = words.segment_of(mark.from);
    let here = |m: &&EntryMark| words.segment_of(m.from) == segment;
    let part = words
        .all(EntryRole::Component)
        .filter(here)
        .any(|m| m.from < mark.from && mark.from <= m.to + PREDICATE);
    words.means(mark) == means::AIRWORTHY
        && part
        && !words.all(EntryRole::Aircraft).any(|m| here(&m))
        && !figures::marks(words)
            .iter()
            .any(|m| words.segment_of(m.from) == segment)
}

/// So many tokens stand at most between a part and what is said of it.
const PREDICATE: usize = 4;

/// The end of what is taken out of a finding, where something is: "except engine".
fn excepted(words: &Words<'_>, mark: &EntryMark) -> Option<usize> {
    let exception = exception(words, mark)?;
    if of_no_part(words, exception) {
        return None;
    }
    let segment = words.segment_of(mark.from);
    let first = words.line_of(exception.from);
    let end = (exception.to..words.tokens.len())
        .take_while(|n| words.segment_of(*n) == segment && words.line_of(*n) <= first + 1)
        .take(REACH)
        .last()?;
    // "except as noted below" without anything below it still takes something out.
    Some(end + 1)
}

fn exception<'w>(words: &'w Words<'_>, mark: &EntryMark) -> Option<&'w EntryMark> {
    let segment = words.segment_of(mark.from);
    words.all(EntryRole::Exception).find(|e| {
        e.from >= mark.to && words.segment_of(e.from) == segment && e.from <= mark.to + REACH
    })
}

/// "except that no opinion is given on the paint": no part that is inspected is taken out.
pub(super) fn of_no_part(words: &Words<'_>, exception: &EntryMark) -> bool {
    let segment = words.segment_of(exception.from);
    let near = |role: EntryRole| {
        words.all(role).any(|m| {
            words.segment_of(m.from) == segment
                && m.from >= exception.to
                && m.from <= exception.to + REACH
        })
    };
    near(EntryRole::Apart) && !near(EntryRole::Component) && !near(EntryRole::Inspected)
}

/// What stands behind a finding and takes out of it what may be no part: it leaves the finding, and a doubt.
pub(super) fn beside_exception(words: &Words<'_>) -> Option<String> {
    words.all(EntryRole::Affirmative).find_map(|mark| {
        let exception = exception(words, mark).filter(|e| of_no_part(words, e))?;
        Some(words.around(exception, 0, REACH))
    })
}

/// So many tokens after a finding an exception still belongs to it.
const REACH: usize = 8;

/// Articles and conjunctions have no more letters.
const SMALL: usize = 3;
/// So many tokens behind its head a list may go on.
const LIST: usize = 14;

/// "list of discrepancies: none".
fn denied(words: &Words<'_>, mark: &EntryMark) -> bool {
    let segment = words.segment_of(mark.from);
    let near = mark.from.saturating_sub(4)..mark.to + 4;
    // "checked for chafing, leaks, corrosion": all of what was looked for.
    let looked_for = words.all(EntryRole::NoFault).any(|m| {
        m.to <= mark.from
            && mark.from <= m.to + LIST
            && words.segment_of(m.from) == segment
            && m.to > m.from + 1
            && words.word(m.to - 1).eq_ignore_ascii_case("for")
            && !(m.to..mark.from)
                .any(|n| words.covered(EntryRole::Between, n) && words.word(n).len() > SMALL)
    });
    // "Unserviceable items: [X] none".
    let none = (mark.to..mark.to + LIST)
        .take_while(|n| words.segment_of(*n) == segment)
        .filter(|n| !words.is_mark(*n) && words.word(*n).chars().count() > 1)
        .take(2)
        .any(|n| words.says(n, means::NONE) && n > 0 && words.word(n - 1) == "]");
    if looked_for || none || ticked_off(words, mark) {
        return true;
    }
    words
        .all(EntryRole::NoFault)
        // "not to be flown": the negation is the mark's own.
        .filter(|m| m.from < mark.from || mark.to <= m.from)
        // "overdue, not complied with": the negation behind is of the work.
        .filter(|m| m.from < mark.from || !words.covered(EntryRole::Corrected, m.to))
        .any(|m| near.contains(&m.from) && words.segment_of(m.from) == segment)
}

/// "[x] installation [x] battery corrosion [x] controls": what was looked at in a row of boxes, of which most name no
/// fault.
fn ticked_off(words: &Words<'_>, mark: &EntryMark) -> bool {
    let line = words.line_of(mark.from);
    let ticked = |line: usize| {
        let mut tokens = (0..words.tokens.len()).filter(|n| words.line_of(*n) == line);
        let opens: Vec<usize> = tokens.by_ref().take(TICK).collect();
        matches!(opens.as_slice(), [a, b, c] if words.word(*a) == "["
            && words.word(*b).eq_ignore_ascii_case("x")
            && words.word(*c) == "]")
    };
    let up = (0..line).rev().take_while(|l| ticked(*l)).count();
    let down = (line..).take_while(|l| ticked(*l)).count();
    let row = line - up..line + down;
    let faulty = row
        .clone()
        .filter(|l| {
            words
                .all(EntryRole::Discrepancy)
                .chain(words.all(EntryRole::Negative))
                .any(|m| words.line_of(m.from) == *l)
        })
        .count();
    down > 0 && row.len() >= ROW && faulty * ROW <= row.len()
}

/// A tick has so many tokens.
const TICK: usize = 3;
/// So many boxes make a row of items.
const ROW: usize = 4;

/// Faults that are not denied, not mended and no advice for later.
fn faults(words: &Words<'_>, days: &[Day]) -> Vec<String> {
    words
        .all(EntryRole::Discrepancy)
        .filter(|mark| !denied(words, mark) && negated(words, mark.from).is_none())
        .filter(|mark| !words.says(mark.from, means::TEST))
        // "loose sheet in jacket"
        .filter(|mark| {
            !words.all(EntryRole::Harmless).any(|m| {
                m.from <= mark.from && mark.to <= m.to && m.to - m.from > mark.to - mark.from
            })
        })
        .filter(|mark| !mended(words, mark) && !aside::set_aside(words, mark))
        .filter(|mark| !remarks::of_duty_apart(words, mark))
        .filter(|mark| !remarks::for_later(words, mark, days))
        .map(|mark| words.around(mark, 4, 4))
        .collect()
}

/// Whether work on the fault, or advice for later, stands in its sentence or opens the next one.
/// Work that stands before the fault is on it only where the fault follows at once: "replaced
/// cracked spring". A sentence on the inspection itself mends nothing.
fn mended(words: &Words<'_>, mark: &EntryMark) -> bool {
    let segment = words.segment_of(mark.from);
    let inside = |m: &EntryMark| m.from >= mark.from && m.to <= mark.to;
    // "creeps closed": behind a verb in the present no work is told, but what it does.
    let verb = mark.from > 0
        && words.says(mark.to - 1, means::PRESENT)
        && words.says(mark.from - 1, means::THING);
    let does = |m: &&EntryMark| !inside(m) && is_done(words, m) && !(verb && m.from == mark.to);
    let of_inspection = |at: usize| {
        [
            EntryRole::Affirmative,
            EntryRole::Inspected,
            EntryRole::Inspection,
        ]
        .into_iter()
        .any(|role| words.all(role).any(|m| words.segment_of(m.from) == at))
    };
    // "Cause: cap seal. New seal": where the fault came from may stand between.
    let told = words
        .tokens_of(segment + 1)
        .take(2)
        .any(|n| words.says(n, means::CAUSE));
    let opens_next = |m: &EntryMark| {
        let at = words.segment_of(m.from);
        (at == segment + 1 || told && at == segment + 2)
            && words.tokens_of(at).take(6).any(|n| n == m.from)
            && !of_inspection(at)
    };
    let at_once =
        |m: &EntryMark| mark.from <= m.to + AT_ONCE && !(m.to..mark.from).any(|n| words.is_mark(n));
    let here = |m: &EntryMark| words.segment_of(m.from) == segment;
    // "replaced, chafed": why, in a word.
    let bare = |m: &EntryMark| {
        let ends = words.segment_of(mark.to) != segment || words.is_mark(mark.to);
        // "Overhauled: left actuator (seeping)".
        let bracket =
            mark.from > 0 && words.word(mark.from - 1) == "(" && words.word(mark.to) == ")";
        ends && (m.to + 1 == mark.from && words.is_mark(m.to) || bracket && m.from < mark.from)
    };
    // "crack in engine mount, monitor": to watch it does not mend it.
    let grave = (mark.from..mark.to).any(|n| words.says(n, means::GRAVE));
    // "Found and fixed: chafed lead, 1 cracked baffle, antenna loose": all of the list was mended.
    let headed = words
        .all(EntryRole::Corrected)
        .filter(does)
        .any(|m| here(m) && m.to <= mark.from && words.word(m.to) == ":");
    // "seal renewed after it was seen to weep": why the work was done.
    let reason = |m: &EntryMark| {
        let mut between = m.to..mark.from;
        let told = between.clone().any(|n| words.says(n, means::TOLD));
        let opens = words.says(m.to, means::WHEN_SO) && !words.says(m.to, means::PLAIN);
        here(m) && told && opens && between.len() <= CLAUSE && !between.any(|n| words.is_mark(n))
    };
    let of_former = former(words, mark);
    let renewed = cure::renewed(words, mark.to).is_some_and(|n| n <= mark.to + LIST);
    renewed
        || headed
        || words.all(EntryRole::Corrected).filter(does).any(|m| {
            let before = at_once(m) || bare(m) || of_former || reason(m);
            here(m) && (m.from > mark.from || before) || opens_next(m)
        })
        || words
            .all(EntryRole::Advice)
            .filter(does)
            .filter(|m| !grave || !words.says(m.from, means::WATCHING))
            .any(|m| here(m) || opens_next(m))
}

/// "new pump, the old one had failed", "replaced the line which had cracked", "old ones corroded": the fault
/// was that of the part which is gone.
fn former(words: &Words<'_>, mark: &EntryMark) -> bool {
    let segment = words.segment_of(mark.from);
    let clause: Vec<usize> = (0..mark.from)
        .rev()
        .take(CLAUSE)
        .take_while(|n| words.segment_of(*n) == segment && !words.is_mark(*n))
        .collect();
    let past = |n: usize| ["had", "was", "were"].contains(&words.word(n).to_lowercase().as_str());
    clause.iter().any(|n| words.says(*n, means::FORMER))
        || clause.first().is_some_and(|n| past(*n))
            && clause.iter().take(4).any(|n| words.word(*n) == "which")
}

/// So many tokens before a fault its subject may stand.
const CLAUSE: usize = 6;

/// So many tokens after the work on it a fault may stand.
const AT_ONCE: usize = 2;
