//! What is said of a part in words that no file knows.
//!
//! "Tailwheel pivot sheared": a part, a state that nobody has listed, and no word of what was done about
//! it. Nobody can list all the words for faults; those for work, for sound states and for positions are
//! fewer. So a short sentence on a part whose other words are none of these may tell of a fault.

use super::dates::Day;
use super::figures;
use super::people::People;
use super::words::Words;
use crate::patterns::entry::means;
use crate::patterns::{EntryMark, EntryRole, TokenKind};

/// Roles that tell what a sentence on a part is, or are judged by themselves.
const TOLD: [EntryRole; 22] = [
    EntryRole::Advice,
    EntryRole::Affirmative,
    EntryRole::Apart,
    EntryRole::Certificate,
    EntryRole::Corrected,
    EntryRole::Discrepancy,
    EntryRole::Doubt,
    EntryRole::Harmless,
    EntryRole::Inspected,
    EntryRole::Inspection,
    EntryRole::Later,
    EntryRole::Negative,
    EntryRole::Negator,
    EntryRole::NoFault,
    EntryRole::Rating,
    EntryRole::SerialLabel,
    EntryRole::Shows,
    EntryRole::SignatureLabel,
    EntryRole::Supervision,
    EntryRole::TimeLabel,
    EntryRole::Uncertificated,
    EntryRole::Unfinished,
];

/// Meanings of words that tell the same.
const KNOWN: [&str; 12] = [
    means::EARLIER,
    means::LEAST,
    means::MOST,
    means::WORK,
    means::WELL,
    means::KEEPS,
    means::OPTIONAL,
    means::PAPERS,
    means::RECORD,
    means::NONE,
    means::SAME,
    means::FITTED,
];

/// A longer sentence tells more than a state.
const LONGEST: usize = 14;

/// Sentences on a part that say of it what no file knows, and no word of work.
pub(super) fn unknown(words: &Words<'_>, days: &[Day], people: &People) -> Vec<String> {
    let last = words.tokens.len().checked_sub(1);
    (0..=last.map_or(0, |n| words.segment_of(n)))
        .filter(|segment| tells_unknown(words, *segment, days, people))
        .filter_map(|segment| {
            let mut tokens = words.tokens_of(segment);
            let from = tokens.next()?;
            Some(words.between(from, tokens.last().unwrap_or(from) + 1))
        })
        .collect()
}

fn tells_unknown(words: &Words<'_>, segment: usize, days: &[Day], people: &People) -> bool {
    let tokens: Vec<usize> = words.tokens_of(segment).collect();
    let part = |n: usize| words.says(n, means::THING);
    // "rocker box cover": a part with the name of equipment.
    let of_part = |n: usize| {
        n > 0
            && words.says(n, means::OPTIONAL)
            && part(n - 1)
            && !words.says(n - 1, means::OPTIONAL)
    };
    let told = |n: usize| {
        words.covered_by(&TOLD, n)
            || !of_part(n) && KNOWN.into_iter().any(|means| words.says(n, means))
            || figures::in_day(words, n, days)
            || other_day(words, n)
            || again(words, n)
            || !part(n) && participle(words, n)
            || people
                .names
                .iter()
                .any(|(name, _)| name.from <= n && n < name.to)
    };
    let unknown = |n: usize| {
        let word = words.word(n);
        words.tokens.get(n).map(|t| t.kind) == Some(TokenKind::Word)
            && word.chars().count() > 1
            && !word.contains(|c: char| c.is_ascii_digit())
            && !part(n)
            && !words.says(n, means::PLAIN)
    };
    // "2 camlocs, 1 lens": parts, and how many.
    let amount = |n: usize| words.tokens.get(n).map(|t| t.kind) == Some(TokenKind::Number);
    let items: Vec<usize> = std::iter::once(tokens.first().copied())
        .flatten()
        .chain(
            tokens
                .iter()
                .filter(|n| words.word(**n) == ",")
                .map(|n| n + 1),
        )
        .collect();
    let ends = |n: usize| words.segment_of(n) != segment || words.is_mark(n);
    // "valve cover gskts x4"
    let counted = |n: &usize| {
        let times = words.word(*n).strip_prefix(['x', 'X']);
        times.is_some_and(|c| !c.is_empty() && c.chars().all(|c| c.is_ascii_digit()))
    };
    let alone = |n: usize| amount(n) && ends(n + 1);
    let quantities =
        items.len() > 1 && (items.iter().all(|n| amount(*n)) || items.iter().any(|n| alone(*n)));
    // "Fuel filter, oil, plugs, wiper on vent": a list in which one thing is not known tells no state.
    let strange = |from: usize| {
        tokens
            .iter()
            .filter(|n| **n >= from)
            .take_while(|n| words.word(**n) != ",")
            .any(|n| unknown(*n))
    };
    let list = items.len() >= LIST && items.iter().filter(|n| strange(**n)).count() <= 1;
    // Words of several lines are a head or a foot.
    let one_line = match (tokens.first(), tokens.last()) {
        (Some(first), Some(last)) => words.line_of(*first) == words.line_of(*last),
        _ => false,
    };
    one_line && spilled(words, &tokens)
        || one_line
            && !quantities
            && !tokens.iter().any(counted)
            && !list
            && !reading(words, &tokens)
            && !listed(words, segment)
            && !work_follows(words, segment)
            && tokens.len() <= LONGEST
            && tokens.iter().any(|n| part(*n))
            && tokens.iter().any(|n| unknown(*n))
            && !tokens.iter().any(|n| told(*n))
}

/// "Prop pitch 22.5 deg", "spark plug qty 8", "rudder balance 3 g nose heavy": a reading or an amount tells of no
/// state but by its figure, unless its words do ("2 inches of slop", "15 kt low"). The number of a part
/// ("cyl 3", "no. 1") is no figure of it.
fn reading(words: &Words<'_>, tokens: &[usize]) -> bool {
    let number = |n: usize| words.tokens.get(n).map(|t| t.kind) == Some(TokenKind::Number);
    let unit = |n: usize| words.says(n, means::UNIT) || words.says(n, means::MEASURE);
    // "cyl 3", and not "rudder 30": parts are few.
    let few = |n: usize| {
        words
            .word(n)
            .parse::<u32>()
            .is_ok_and(|count| count < PARTS)
    };
    let of_part = |n: usize| {
        n > 0
            && (words.covered(EntryRole::NumberLabel, n - 1)
                || words.says(n - 1, means::THING) && few(n)
                || words.word(n - 1) == "#")
    };
    let figure = |n: usize| number(n) && (unit(n + 1) || !of_part(n));
    // "low 74, high 78": a word before a figure of its own says which reading it is; "35 over 80" is a test.
    let held = |n: usize| n > 0 && number(n - 1) && words.says(n, means::COMPARES);
    let amiss = |n: usize| words.says(n, means::AMISS) && (!number(n + 1) || held(n));
    let first = tokens.iter().copied().find(|n| figure(*n));
    first.is_some_and(|first| !tokens.iter().any(|n| *n > first && amiss(*n)))
}

/// Parts of one kind are fewer.
const PARTS: u32 = 25;

/// "Brake fluid on the left wheel.": what runs in a part, said to be on another; nothing else is said.
fn spilled(words: &Words<'_>, tokens: &[usize]) -> bool {
    let part = |n: usize| words.says(n, means::THING);
    let fluid = |n: usize| words.says(n, means::FLUID);
    let plain = |n: usize| part(n) || fluid(n) || words.says(n, means::PLAIN);
    let Some(on) = tokens
        .iter()
        .position(|n| ["on", "from", "under"].contains(&words.word(*n).to_lowercase().as_str()))
    else {
        return false;
    };
    let place = &tokens[on + 1..];
    // "when the light is on", "each morning"
    let until = place
        .iter()
        .position(|n| words.says(*n, means::WHEN_SO) && !plain(*n))
        .unwrap_or(place.len());
    let (head, place) = (&tokens[..on], &place[..until]);
    let figure = |n: &usize| words.tokens.get(*n).map(|t| t.kind) == Some(TokenKind::Number);
    head.last().is_some_and(|n| fluid(*n))
        && head.iter().all(|n| plain(*n))
        && place.iter().any(|n| part(*n))
        && place
            .iter()
            .all(|n| plain(*n) || words.is_mark(*n) || words.says(*n, means::PLACES))
        && !tokens.iter().any(figure)
}

/// "Corrected: antenna connector; sight gauge O-ring; one rivet": an item of a list of things, parted by
/// semicolons, that work or parts head. Its last word is the thing.
fn listed(words: &Words<'_>, segment: usize) -> bool {
    let tokens: Vec<usize> = words.tokens_of(segment).collect();
    let (Some(first), Some(last)) = (
        tokens.first(),
        tokens.iter().rev().find(|n| !words.is_mark(**n)),
    ) else {
        return false;
    };
    let line = words.line_of(*first);
    let heads = |n: usize| {
        words.covered(EntryRole::Corrected, n)
            || words.says(n, means::WORK)
            || words.says(n, means::PARTS)
    };
    let parted = *first > 0 && words.word(first - 1) == ";";
    parted
        && words.says(*last, means::THING)
        && (0..*first)
            .rev()
            .take_while(|n| words.line_of(*n) == line)
            .any(heads)
}

/// Work at the head of the next sentence of the line.
fn work_follows(words: &Words<'_>, segment: usize) -> bool {
    let line = words.tokens_of(segment).last().map(|n| words.line_of(n));
    words.tokens_of(segment + 1).take(6).any(|n| {
        Some(words.line_of(n)) == line
            && (words.covered(EntryRole::Corrected, n) || words.says(n, means::WORK))
    })
}

/// Work that is done again: "reserviced".
fn again(words: &Words<'_>, at: usize) -> bool {
    let word = words.word(at).to_lowercase();
    word.strip_prefix(AGAIN)
        .filter(|rest| rest.len() > 3)
        .is_some_and(|rest| {
            words.known(rest, EntryRole::Corrected) || words.means_of(rest, means::WORK)
        })
}

/// "exp. 06/2029": a word before a day, and its figures. "Rubbed through" speaks of none.
fn other_day(words: &Words<'_>, at: usize) -> bool {
    let figure = |n: usize| words.tokens.get(n).map(|t| t.kind) == Some(TokenKind::Number);
    words
        .all(EntryRole::OtherDay)
        .any(|m| m.from <= at && at < m.to && (m.to..m.to + 3).any(figure))
}

/// A participle that no file knows for a fault, at the end of a sentence or its head: work, in a word that
/// no file knows.
fn participle(words: &Words<'_>, at: usize) -> bool {
    let segment = words.segment_of(at);
    let ends = |n: usize| words.segment_of(n) != segment || words.is_mark(n);
    // "I looked at the clamps".
    let mine = at > 0 && words.word(at - 1) == "I";
    // "one link too many, shortened both sides": it opens its clause.
    let opens = at == 0 || ends(at - 1);
    let edge = mine || ends(at + 1) || opens;
    edge && words.word(at).len() > SHORT
        && PARTICIPLE
            .iter()
            .any(|end| words.word(at).to_lowercase().ends_with(end))
        && !words.says(at, means::ILL)
}

/// How the participle of a regular verb ends: "ed", and "'d" by hand.
const PARTICIPLE: [&str; 3] = ["ed", "'d", "\u{2019}d"];

/// "Red" is none.
const SHORT: usize = 3;

/// So many items make a list.
const LIST: usize = 3;

/// What a verb begins with where something is done again.
const AGAIN: &str = "re";

/// A directive that is said to be open: it binds, so it is no work for later.
pub(super) fn open_directive(words: &Words<'_>) -> Vec<String> {
    let open = |m: &&EntryMark| {
        let segment = words.segment_of(m.from);
        let before = |n: &usize| *n < m.from;
        words.means(m) == means::UNDONE
            && words
                .tokens_of(segment)
                .filter(before)
                .any(|n| words.says(n, means::DIRECTIVE))
            && !words.tokens_of(segment).any(|n| {
                words.covered(EntryRole::NoFault, n)
                    || words.says(n, means::NONE)
                    || words.covered(EntryRole::Negator, n)
            })
    };
    words
        .all(EntryRole::Word)
        .filter(open)
        .map(|m| words.around(m, 6, 4))
        .collect()
}
