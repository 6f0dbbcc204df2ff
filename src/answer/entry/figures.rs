//! Figures of a log entry: hours, numbers of certificates, marks and serial numbers of aircraft.

use super::dates::Day;
use super::words::Words;
use crate::patterns::entry::means;
use crate::patterns::{EntryMark, EntryRole, TokenKind, WordList};
use crate::text::numbers;

/// Hours with the words that tell them.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Hours {
    pub(super) value: f64,
    pub(super) words: String,
    /// `total`, `hobbs` or `tach`.
    pub(super) of: &'static str,
}

/// A word with its place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Placed {
    pub(super) words: String,
    /// Its first token.
    pub(super) from: usize,
    /// One past its last token.
    pub(super) to: usize,
}

/// The total time in service: a label of it first, then the meters, then bare hours.
pub(super) fn hours(words: &Words<'_>, days: &[Day]) -> Option<Hours> {
    let mut best: Option<(u8, Hours)> = None;
    let mut take = |rank: u8, hours: Hours| {
        if best.as_ref().is_none_or(|(r, _)| rank < *r) {
            best = Some((rank, hours));
        }
    };
    let other = |at: usize| words.covered(EntryRole::TimeLabel, at);
    for label in words.all(EntryRole::TimeLabel) {
        let (rank, of) = match words.means(label) {
            means::TOTAL => (0, means::TOTAL),
            means::HOBBS | means::TACH if said_total(words, words.means(label)) => {
                (2, means::TOTAL)
            }
            means::HOBBS => (2, means::HOBBS),
            means::TACH => (4, means::TACH),
            _ => continue,
        };
        // Part of a longer label, such as "engine TT".
        let covered = words.all(EntryRole::TimeLabel).any(|m| {
            words.means(m) == means::OTHER && m.from <= label.from && label.to <= m.to && m != label
        });
        if covered || of_what(words, label) {
            continue;
        }
        // "488.8 h total time / entry 251": a figure with its unit before the label is its own where a stroke parts
        // what follows.
        let own = words.word(label.to) == "/"
            && label.from > 0
            && words.covered(EntryRole::HoursUnit, label.from - 1);
        if let Some((value, to)) = after(words, label.to, days, &other).filter(|_| !own) {
            let words = words.between(label.from, to);
            take(rank, Hours { value, words, of });
        } else if let Some((value, from)) = before(words, label.from, days) {
            let words = words.between(from, label.to);
            take(rank + 1, Hours { value, words, of });
        }
    }
    for unit in words.all(EntryRole::HoursUnit) {
        let inspection = words
            .all(EntryRole::Inspection)
            .any(|m| m.from < unit.to && unit.from < m.to);
        if inspection {
            continue;
        }
        // "Hours: 412.6" at the head of a field.
        let opens = opens_field(words, unit.from) && (unit.from == 0 || !other(unit.from - 1));
        if let Some((value, to)) = whole_figure(words, unit.to + 1, days)
            .filter(|_| opens && words.word(unit.to) == ":" && !other(unit.from))
        {
            let (words, of) = (words.between(unit.from, to), means::TOTAL);
            take(7, Hours { value, words, of });
        }
        if let Some((value, from)) = before(words, unit.from, days)
            && !labelled_other(words, from)
            && !(from > 0 && words.covered(EntryRole::Component, from - 1))
        {
            // "Total flying 6,341 hrs 25 min"
            let minutes = minutes_behind(words, unit.from).filter(|_| value.fract() == 0.0);
            let (part, to) = minutes.unwrap_or((0.0, unit.to));
            let value = value + part / 60.0;
            let words = words.between(from, to);
            take(
                6,
                Hours {
                    value,
                    words,
                    of: means::TOTAL,
                },
            );
        }
    }
    for label in words.all(EntryRole::Rating) {
        take_airframe(words, label, days, &mut take);
    }
    best.map(|(_, h)| h).or_else(|| glued(words, days))
}

/// "Engine S/N 12, time since new 640.0": since what was new is told only where the label opens its field, or names the
/// aircraft.
fn of_what(words: &Words<'_>, label: &EntryMark) -> bool {
    let within = label.from..label.to;
    let since = within.clone().any(|n| words.says(n, means::WHEN));
    let named = within
        .clone()
        .any(|n| words.covered(EntryRole::Aircraft, n) || words.covered(EntryRole::Rating, n));
    since && !named && !opens_field(words, label.from)
}

/// Whether a line begins at a token, or another field of it.
fn opens_field(words: &Words<'_>, at: usize) -> bool {
    words.opens_line(at) || words.gap(at).len() >= WIDE
}

/// "Airframe 640.0   Engine 640.0": the part alone labels hours where a figure with tenths follows.
fn take_airframe(
    words: &Words<'_>,
    label: &EntryMark,
    days: &[Day],
    take: &mut dyn FnMut(u8, Hours),
) {
    let at = label.to + usize::from(words.word(label.to) == ":");
    let tenths = words
        .word(at)
        .rsplit_once('.')
        .is_some_and(|(_, part)| part.len() == 1);
    let alone = label.to == label.from + 1 && words.means(label) == means::AIRFRAME;
    if let Some((value, to)) = whole_figure(words, at, days).filter(|_| alone && tenths) {
        let (words, of) = (words.between(label.from, to), means::TOTAL);
        take(5, Hours { value, words, of });
    }
}

/// "tach = TT", "total time same as Hobbs": the meter is said to show the total.
fn said_total(words: &Words<'_>, meter: &str) -> bool {
    let label = |m: &&EntryMark, means: &str| words.means(m) == means;
    let same = |from: usize, to: usize| {
        from < to
            && to <= from + 3
            && (from..to).any(|n| ["=", "/"].contains(&words.word(n)) || words.says(n, means::SAME))
            && (from..to).all(|n| words.is_mark(n) || words.covered(EntryRole::TimeBetween, n))
    };
    words
        .all(EntryRole::TimeLabel)
        .filter(|m| label(m, meter))
        .any(|m| {
            words
                .all(EntryRole::TimeLabel)
                .filter(|t| label(t, means::TOTAL))
                .any(|t| same(m.to, t.from) || same(t.to, m.from))
        })
}

/// A figure after a label, past marks and small words.
fn after(
    words: &Words<'_>,
    from: usize,
    days: &[Day],
    label: &dyn Fn(usize) -> bool,
) -> Option<(f64, usize)> {
    let behind = words.past_bracket(words.past_leader(from));
    let from = past_numerals(words, words.past_leader(behind));
    for at in from..from + AFTER {
        if let Some(found) = whole_figure(words, at, days) {
            return Some(found);
        }
        let small = words.is_mark(at)
            || words.covered(EntryRole::TimeBetween, at)
            || in_day(words, at, days);
        if words.word(at) == "." || words.word(at) == ";" || !small || label(at) {
            return None;
        }
    }
    None
}

/// A figure of hours with what belongs to it, and one past it: "6 322.7", "512:35", "1,702 1/2".
fn whole_figure(words: &Words<'_>, at: usize, days: &[Day]) -> Option<(f64, usize)> {
    let value = figure(words, at, days)?;
    let next = words.word(at + 1);
    let whole = words.word(at).chars().all(|c| c.is_ascii_digit());
    let three = next.split('.').next().is_some_and(|w| w.len() == 3);
    if whole && words.word(at).len() <= 3 && three && words.gap(at + 1) == " " {
        let part = figure(words, at + 1, days);
        if let Some(part) = part.filter(|_| !next.contains(',')) {
            return Some((value * 1000.0 + part, at + 2));
        }
    }
    let glued = |n: usize| words.tokens.get(n).is_some_and(|t| t.glued);
    let minutes = || {
        let part: f64 = words.word(at + 2).parse().ok()?;
        (words.word(at + 2).len() == 2 && part < 60.0).then_some(part)
    };
    let thousands = words
        .word(at)
        .chars()
        .all(|c| c.is_ascii_digit() || c == ',');
    if next == ":" && thousands && glued(at + 1) && glued(at + 2) {
        return Some(minutes().map_or((value, at + 1), |m| (value + m / 60.0, at + 3)));
    }
    if let Some((part, to)) = minutes_behind(words, at + 1).filter(|_| thousands) {
        return Some((value + part / 60.0, to));
    }
    if next == "1" && words.word(at + 2) == "/" && words.word(at + 3) == "2" && !glued(at + 1) {
        return Some((value + 0.5, at + 4));
    }
    Some((value, at + 1))
}

/// "288 hours 30 minutes", "288 h 30 m": the minutes behind whole hours, and one past their unit.
fn minutes_behind(words: &Words<'_>, unit: usize) -> Option<(f64, usize)> {
    let hours = words.covered(EntryRole::HoursUnit, unit);
    let at = (unit + 1..unit + 3)
        .find(|n| !words.is_mark(*n) && !words.covered(EntryRole::Between, *n))?;
    let of_minutes = words.word(at + 1).to_lowercase().starts_with(MINUTES)
        && (words.word(at + 1).len() == 1 || words.says(at + 1, means::UNIT));
    let part: f64 = words.word(at).parse().ok()?;
    let fits = hours && of_minutes && words.word(at).len() <= 2 && part < 60.0;
    fits.then_some((part, at + 2))
}

/// With this letter a unit begins that may stand behind hours: minutes.
const MINUTES: char = 'm';

/// So many tokens behind a label its figure may stand, a day between them.
const AFTER: usize = 9;

/// One past a number in words that the figure in a bracket says again: "eight hundred six (806)".
fn past_numerals(words: &Words<'_>, at: usize) -> usize {
    let numeral = |n: usize| {
        let word = words.word(n).to_lowercase();
        numbers::is_numeral(&word)
            || word == "-"
            || words.covered(EntryRole::HoursUnit, n)
            || words.covered(EntryRole::TimeBetween, n)
    };
    let to = (at..at + NUMERALS)
        .find(|n| !numeral(*n))
        .unwrap_or(at + NUMERALS);
    if ["(", "="].contains(&words.word(to)) {
        to
    } else {
        at
    }
}

/// A number in words has at most so many.
const NUMERALS: usize = 12;

/// A figure before a label, past a unit: "982.1 (= total time)", "982.1, which is total time".
fn before(words: &Words<'_>, at: usize, days: &[Day]) -> Option<(f64, usize)> {
    let mut n = at;
    for _ in 0..4 {
        n = n.checked_sub(1)?;
        // "s/n TL-00031  TOTAL TIME": the end of a number with hyphens counts no hours.
        let ends_number =
            words.tokens.get(n).is_some_and(|t| t.glued) && n > 0 && !words.is_mark(n - 1);
        if let Some(value) = figure(words, n, days).filter(|_| !ends_number) {
            return Some((value, n));
        }
        let unit = words.covered(EntryRole::HoursUnit, n)
            || ["=", ")", "("].contains(&words.word(n))
            || ["of", "a/c", "is", "which", "that"]
                .contains(&words.word(n).to_lowercase().as_str())
            || words.word(n) == "," && ["which", "that"].contains(&words.word(n + 1))
            || words.is_in(n, WordList::Aircraft);
        if !unit {
            return None;
        }
    }
    None
}

/// Whether the figure at `at` belongs to a label of other hours just before it.
fn labelled_other(words: &Words<'_>, at: usize) -> bool {
    words
        .all(EntryRole::TimeLabel)
        .any(|m| words.means(m) == means::OTHER && m.to <= at && at <= m.to + 3)
}

/// "412.6TT", "412.6hrs": a figure and its unit in one word.
fn glued(words: &Words<'_>, days: &[Day]) -> Option<Hours> {
    (0..words.tokens.len()).find_map(|at| {
        let word = words.word(at).to_lowercase();
        let figures = word.trim_end_matches(|c: char| c.is_alphabetic());
        let unit = word.strip_prefix(figures)?;
        let lists = words.lists();
        let (tach, hobbs) = (
            lists.has(unit, WordList::Tach),
            lists.has(unit, WordList::Hobbs),
        );
        let known = tach || hobbs || lists.has(unit, WordList::UnitOfHours);
        let value = known.then(|| number(figures)).flatten()?;
        let inspection = words.is_in(at + 1, WordList::InspectionInEntry);
        (!in_day(words, at, days) && !inspection && !labelled_other(words, at)).then(|| Hours {
            value,
            words: words.between(at, at + 1),
            of: match (tach, hobbs) {
                (true, _) => means::TACH,
                (_, true) => means::HOBBS,
                _ => means::TOTAL,
            },
        })
    })
}

/// A figure that is no part of a day.
fn figure(words: &Words<'_>, at: usize, days: &[Day]) -> Option<f64> {
    let token = words.tokens.get(at)?;
    // The number of a certificate counts no hours.
    let long = words.word(at).len() >= LONG && words.word(at).chars().all(|c| c.is_ascii_digit());
    if token.kind != TokenKind::Number || in_day(words, at, days) || long {
        return None;
    }
    number(words.word(at))
}

/// Whole hours of an aircraft have fewer figures.
const LONG: usize = 6;

fn number(word: &str) -> Option<f64> {
    // "806,2": three figures follow a comma that parts thousands.
    let fraction = word
        .rsplit_once(',')
        .filter(|(whole, part)| part.len() < 3 && !part.is_empty() && !whole.contains([',', '.']));
    let plain = match fraction {
        Some((whole, part)) => format!("{whole}.{part}"),
        None => word.replace(',', ""),
    };
    let fit = plain.len() <= 8 && plain.chars().all(|c| c.is_ascii_digit() || c == '.');
    fit.then(|| plain.parse().ok()).flatten()
}

pub(super) fn in_day(words: &Words<'_>, at: usize, days: &[Day]) -> bool {
    words.tokens.get(at).is_some_and(|t| {
        days.iter()
            .any(|d| d.span.start < t.span.end && t.span.start < d.span.end)
    })
}

/// US registration marks: N, a figure, and up to four more figures or letters.
pub(super) fn marks(words: &Words<'_>) -> Vec<Placed> {
    (0..words.tokens.len())
        .filter_map(|at| {
            // "N-000GC" is the same mark: the hyphen joins.
            let joined = words.word(at).eq_ignore_ascii_case("n")
                && words.tokens.get(at + 1).is_some_and(|t| t.glued);
            let to = if joined { at + 2 } else { at + 1 };
            let word = figures_of(words, at, to);
            let tail = word.strip_prefix('N')?;
            let fits = (2..=5).contains(&tail.len())
                && tail.starts_with(|c: char| c.is_ascii_digit())
                && tail.chars().all(|c| c.is_ascii_alphanumeric());
            fits.then(|| Placed {
                words: word.clone(),
                from: at,
                to,
            })
        })
        .collect()
}

/// The letters and figures of tokens, in capitals.
fn figures_of(words: &Words<'_>, from: usize, to: usize) -> String {
    bare(&words.between(from, to))
}

/// Serial numbers of the aircraft: behind a label that does not speak of a part.
pub(super) fn serials(words: &Words<'_>) -> Vec<Placed> {
    let mut found: Vec<Placed> = Vec::new();
    for label in words.all(EntryRole::SerialLabel) {
        let part = words.all(EntryRole::Part).any(|p| {
            p.to + 1 >= label.from
                && p.to <= label.from
                && words.segment_of(p.from) == words.segment_of(label.from)
        });
        let mut at = label.to;
        while words.is_mark(at) && [":", "#", ".", "="].contains(&words.word(at)) {
            at += 1;
        }
        if words.word(at).eq_ignore_ascii_case("no") || words.is_in(at, WordList::Number) {
            at += 1;
            while [":", "#", "."].contains(&words.word(at)) {
                at += 1;
            }
        }
        let to = run(words, at);
        let serial = words.between(at, to);
        if !part
            && serial.chars().any(|c| c.is_ascii_digit())
            && !found.iter().any(|f| f.from == at)
        {
            found.push(Placed {
                words: serial,
                from: at,
                to,
            });
        }
    }
    found
}

/// A number without a label that has the form of the letter's own serial number and is another: that of a sister.
pub(super) fn sister(words: &Words<'_>, own: &[String]) -> Option<Placed> {
    let mut at = 0;
    while at < words.tokens.len() {
        let to = run(words, at);
        let number = words.between(at, to);
        let whole = bare(&number);
        let alike = own.iter().any(|s| of_one_form(s, &whole) && *s != whole);
        if alike && number.contains('-') {
            return Some(Placed {
                words: number,
                from: at,
                to,
            });
        }
        at = to;
    }
    None
}

/// Whether two numbers with letters in them have the same letters, and figures at the same places.
pub(super) fn of_one_form(a: &str, b: &str) -> bool {
    let form = |number: &str| -> String {
        let sign = |c: char| if c.is_ascii_digit() { '0' } else { c };
        bare(number).chars().map(sign).collect()
    };
    a.chars().any(char::is_alphabetic) && form(a) == form(b)
}

/// One past the last token that is glued to the one at `at`: a number with hyphens.
pub(super) fn run(words: &Words<'_>, at: usize) -> usize {
    let mut to = at + 1;
    if words.is_mark(at) {
        return to;
    }
    while words
        .tokens
        .get(to)
        .is_some_and(|t| t.glued && (t.kind != TokenKind::Mark || words.word(to) == "-"))
    {
        to += 1;
    }
    to
}

/// The same number, whatever marks stand in it: letters and figures alone.
pub(super) fn bare(number: &str) -> String {
    number
        .chars()
        .filter(|c| c.is_ascii_alphanumeric())
        .map(|c| c.to_ascii_uppercase())
        .collect()
}

/// Numbers that can be those of a certificate, with their places: figures of six to nine digits
/// anywhere, and anything with three figures behind a word for a certificate or its number.
pub(super) fn numbers(words: &Words<'_>, days: &[Day], taken: &[Placed]) -> Vec<Placed> {
    let mut found: Vec<Placed> = Vec::new();
    let mut at = 0;
    while at < words.tokens.len() {
        // "A&P-0013399": the certificate is no part of its number.
        let word = words.tokens.get(at).map(|t| t.kind) == Some(TokenKind::Word);
        if word && words.all(EntryRole::Certificate).any(|m| m.to == at + 1) {
            at += 1;
            continue;
        }
        let to = run(words, at);
        let number = words.between(at, to);
        let digits = number.chars().filter(char::is_ascii_digit).count();
        let letters = number.chars().filter(|c| c.is_alphabetic()).count();
        let is_taken = taken.iter().any(|t| t.from < to && at < t.to);
        let starts = words
            .tokens
            .get(at)
            .is_some_and(|t| t.kind != TokenKind::Mark);
        let plausible = starts
            && !is_taken
            && !(at..to).any(|n| in_day(words, n, days))
            && !number.contains(['.', ','])
            && !words
                .all(EntryRole::OtherDay)
                .any(|m| m.to == at || m.to + 1 == at && words.is_mark(m.to))
            && digits >= 3
            && letters <= 12
            && !of_job(words, at)
            && !of_mark(words, at)
            && !directive(&number)
            && !range(&number);
        if plausible {
            let label = labelled(words, at);
            let long = (6..=10).contains(&digits) && letters <= 3;
            let station = digits >= 3
                && letters >= 2
                && (6..=10).contains(&(digits + letters))
                && to == at + 1;
            let after_label = label && (digits >= 4 || letters > 0);
            if !hours_behind(words, to) && (long || after_label || station && label) {
                found.push(Placed {
                    words: number,
                    from: at,
                    to,
                });
            }
        }
        at = to;
    }
    found
}

/// "N-number: 000AB": the mark of the aircraft without its letter.
fn of_mark(words: &Words<'_>, at: usize) -> bool {
    let label = (0..at).rev().take(2).find(|n| !words.is_mark(*n));
    label.is_some_and(|n| {
        n > 0
            && words.is_in(n, WordList::Number)
            && words.tokens.get(n).is_some_and(|t| t.glued)
            && words.word(n - 1).eq_ignore_ascii_case("n")
    })
}

/// "WORK ORDER 26-0114", "W.O. no. 3381".
fn of_job(words: &Words<'_>, at: usize) -> bool {
    let label = |n: usize| words.is_mark(n) || words.covered(EntryRole::NumberLabel, n);
    let before = (0..at).rev().take(3).find(|n| !label(*n));
    before.is_some_and(|n| words.says(n, means::JOB))
        || at > 0 && words.is_mark(at - 1) && words.says(at - 1, means::JOB)
}

/// "301-344", "2017-2025": from one to another.
fn range(number: &str) -> bool {
    let parts: Vec<&str> = number.split('-').collect();
    let figures = |p: &&str| !p.is_empty() && p.chars().all(|c| c.is_ascii_digit());
    match parts.as_slice() {
        [from, to] => {
            let rises = from.parse::<u32>().ok() < to.parse::<u32>().ok();
            parts.iter().all(figures) && from.len() == to.len() && from.len() <= 4 && rises
        }
        // "72-70-74-71": a row of readings.
        row => row.len() >= ROW && row.iter().all(|p| figures(p) && p.len() <= 3),
    }
}

/// So many readings make a row.
const ROW: usize = 4;

/// Whether it has the form of the number of an airworthiness directive: the year, the number of the
/// fortnight, a number within it (common practice, no source).
fn directive(number: &str) -> bool {
    let mut parts = number.split('-');
    let year = parts.next().unwrap_or_default();
    let rest: Vec<&str> = parts.collect();
    let figures = |p: &str, n: usize| p.len() == n && p.chars().all(|c| c.is_ascii_digit());
    (1..=2).contains(&rest.len())
        && (figures(year, 4) && (year.starts_with("19") || year.starts_with("20"))
            || figures(year, 2))
        && rest.iter().all(|p| figures(p, 2))
}

/// Whether a label or certificate ends within three tokens before.
fn labelled(words: &Words<'_>, at: usize) -> bool {
    let near = |m: &crate::patterns::EntryMark| {
        m.to <= at
            && at <= m.to + 3
            && (m.to..at).all(|n| {
                words.is_mark(n)
                    || words.covered(EntryRole::NumberLabel, n)
                    || words.covered(EntryRole::Rating, n)
                    || words.covered(EntryRole::Certificate, n)
            })
    };
    [
        EntryRole::NumberLabel,
        EntryRole::Certificate,
        EntryRole::Rating,
        EntryRole::Uncertificated,
    ]
    .into_iter()
    .any(|role| words.all(role).any(near))
}

fn hours_behind(words: &Words<'_>, to: usize) -> bool {
    words
        .all(EntryRole::HoursUnit)
        .chain(words.all(EntryRole::TimeLabel))
        .any(|m| {
            // A wide gap begins another field: "A&P 0001234      TT 400.0".
            m.from == to && words.line_of(to) == words.line_of(to - 1) && words.gap(to).len() < WIDE
        })
}

/// So many blanks part a figure from the field behind it.
const WIDE: usize = 3;
