//! Readings that are a fault without a word of one: a cylinder that holds too little of the pressure of
//! the test, a figure on the wrong side of the limit that stands beside it.

use super::dates::Day;
use super::figures;
use super::words::Words;
use super::work::is_done;
use crate::patterns::entry::means;
use crate::patterns::{EntryRole, TokenKind};

/// The readings that are out of their limits, and nothing says that they were made good.
pub(super) fn low(words: &Words<'_>, days: &[Day]) -> Vec<String> {
    let last = words.tokens.len().checked_sub(1);
    (0..=last.map_or(0, |n| words.segment_of(n)))
        .filter_map(|segment| {
            let tokens: Vec<usize> = words.tokens_of(segment).collect();
            let of_limit = || {
                let at = beyond(words, &tokens, days).or_else(|| outside(words, &tokens, days))?;
                Some((at, SOON))
            };
            let (at, soon) = cylinder(words, &tokens, days)
                .map(|at| (at, CYLINDER_SOON))
                .or_else(of_limit)?;
            let (from, to) = (*tokens.first()?, *tokens.last()?);
            (!made_good(words, segment, at, soon))
                .then(|| words.between(from.max(at.saturating_sub(8)), to.min(at + 8) + 1))
        })
        .collect()
}

/// So far from the head of the next sentence work makes a reading good: "Adjusted, now 40".
const SOON: usize = 2;
/// The same of a cylinder: "Exhaust valve lapped".
const CYLINDER_SOON: usize = 6;

/// Work behind the reading, in its sentence or `soon` in the next.
fn made_good(words: &Words<'_>, segment: usize, at: usize, soon: usize) -> bool {
    // A line that begins with a capital is another row of the sheet.
    let new_row =
        |n: usize| words.opens_line(n) && words.word(n).starts_with(|c: char| c.is_uppercase());
    words.all(EntryRole::Corrected).any(|m| {
        let here = words.segment_of(m.from);
        let opens = here == segment + 1 && words.tokens_of(here).take(soon).any(|n| n == m.from);
        (here == segment && m.from > at && !(at + 1..=m.from).any(new_row) || opens)
            && is_done(words, m)
    })
}

/// A whole figure that is no part of a day, with its place.
fn whole(words: &Words<'_>, at: usize, days: &[Day]) -> Option<u32> {
    let number = words.tokens.get(at)?.kind == TokenKind::Number;
    (number && !figures::in_day(words, at, days)).then(|| words.word(at).parse().ok())?
}

/// The first reading of a test of cylinders that is below the least one: "30/80", "74, 22, 76, 75".
fn cylinder(words: &Words<'_>, tokens: &[usize], days: &[Day]) -> Option<usize> {
    let label = *tokens.iter().find(|n| words.says(**n, means::CYLINDERS))?;
    let (least, supply) = words.least_of(label)?;
    let pair = |n: usize| {
        let stroke = words.word(n + 1) == "/";
        let (one, other) = (whole(words, n, days)?, whole(words, n + 2, days)?);
        // "74/76/75/73" has no pressure of the test in it.
        let chain = words.word(n + 3) == "/" || n > 0 && words.word(n - 1) == "/";
        let reading = if other == supply { one } else { other };
        (stroke && !chain && (one == supply || other == supply) && reading < least).then_some(n)
    };
    // "Compression 40 on no. 3"
    let alone = || {
        let figure = whole(words, label + 1, days)?;
        let of_one = tokens.iter().any(|n| {
            *n > label + 1
                && (words.covered(EntryRole::NumberLabel, *n) || words.says(*n, means::CYLINDERS))
        });
        let stroke = words.word(label + 2) == "/" || words.word(label + 2) == ",";
        (of_one && !stroke && (NUMBERS..least).contains(&figure)).then_some(label + 1)
    };
    let low = tokens.iter().find_map(|n| pair(*n)).or_else(alone);
    low.or_else(|| row(words, tokens, label, (least, supply), days))
}

/// Readings in a row behind their label: one far below the others, which are as they ought to be.
fn row(
    words: &Words<'_>,
    tokens: &[usize],
    label: usize,
    (least, supply): (u32, u32),
    days: &[Day],
) -> Option<usize> {
    let behind: Vec<(usize, u32)> = tokens
        .iter()
        .filter(|n| **n > label)
        .take_while(|n| {
            words.is_mark(**n)
                || whole(words, **n, days).is_some()
                || words.says(**n, means::PLAIN)
                || words.says(**n, means::CYLINDERS)
                || words.covered(EntryRole::NumberLabel, **n)
        })
        .filter_map(|n| whole(words, *n, days).map(|figure| (*n, figure)))
        .collect();
    let sound = behind
        .iter()
        .filter(|(_, figure)| (least..=supply).contains(figure))
        .count();
    // Numbers of cylinders are smaller.
    let low = behind
        .iter()
        .find(|(_, figure)| (NUMBERS..least).contains(figure));
    low.filter(|_| sound >= ROW).map(|(n, _)| *n)
}

/// No cylinder has a number as high as this.
const NUMBERS: u32 = 15;
/// So many sound readings make a row of readings.
const ROW: usize = 2;

/// A figure on the wrong side of a limit that the entry itself states: "thickness .190, min .205".
fn beyond(words: &Words<'_>, tokens: &[usize], days: &[Day]) -> Option<usize> {
    tokens.iter().copied().find(|n| {
        let grows = |to: usize| {
            tokens
                .iter()
                .any(|at| *at < to && words.says(*at, means::GROWS))
        };
        let (least, most) = (
            words.says(*n, means::LEAST),
            words.says(*n, means::MOST) || words.says(*n, means::BOUND) && grows(*n),
        );
        if !least && !most {
            return false;
        }
        // "cable / 14 lb / 25 min": in a row of a table the limit stands before the word for it.
        let column = least && *n >= 2 && words.word(n - 2) == "/" && words.word(n + 1) == "/";
        let before = column.then(|| whole(words, n - 1, days)).flatten();
        if let Some(limit) = before {
            let reading = (n.saturating_sub(4)..n - 2).find_map(|at| whole(words, at, days));
            return reading.is_some_and(|reading| reading < limit);
        }
        // What stands behind a bracket that closes, or in the next line, is another figure.
        let goes_on = |at: &usize| words.word(*at) != ")" && !words.opens_line(*at);
        let Some((limit, end)) = (n + 1..n + 4)
            .take_while(goes_on)
            .find_map(|at| measure(words, at, days))
        else {
            return (least || most) && told_behind(words, *n, least, days);
        };
        let between = words.word(end) == "-" || words.says(end, means::BY_THEN);
        let reading = tokens
            .iter()
            .rev()
            .filter(|at| **at < *n && n - **at <= REACH)
            .find_map(|at| measure(words, *at, days).filter(|(_, to)| to <= n));
        let Some((reading, to)) = reading else {
            return false;
        };
        let same_unit = words.word(to).eq_ignore_ascii_case(words.word(end))
            || words.is_mark(to)
            || words.tokens.get(end).is_none()
            || words.is_mark(end)
            || words.opens_line(end);
        !between && same_unit && (least && reading < limit || most && reading > limit)
    })
}

/// Whether a reading is on the wrong side of a limit whose word stands behind its figure: "18 psi (limit 25 min)".
/// "25 min" alone may be minutes, so a word of limits or a bracket has to stand in front.
fn told_behind(words: &Words<'_>, word: usize, least: bool, days: &[Day]) -> bool {
    let figure = (1..=2)
        .filter_map(|back| word.checked_sub(back))
        .find(|at| measure(words, *at, days).is_some_and(|(_, to)| to == word || to + 1 == word));
    let Some(before) = figure.and_then(|at| at.checked_sub(1)) else {
        return false;
    };
    if !(words.word(before) == "(" || words.says(before, means::BOUND)) {
        return false;
    }
    let limit = measure(words, before + 1, days).map(|(limit, _)| limit);
    let reading = (before.saturating_sub(REACH)..before)
        .rev()
        .find_map(|at| measure(words, at, days).filter(|(_, to)| *to <= before));
    match (reading, limit) {
        (Some((reading, _)), Some(limit)) => {
            if least {
                reading < limit
            } else {
                reading > limit
            }
        }
        _ => false,
    }
}

/// A reading with its unit outside of the range that stands behind it: "18 psi hot at cruise (green arc 50-80)".
fn outside(words: &Words<'_>, tokens: &[usize], days: &[Day]) -> Option<usize> {
    let unit = |n: usize| words.says(n, means::UNIT) || words.says(n, means::MEASURE);
    tokens.iter().copied().find(|n| {
        let Some(at) = (n + 1..n + 4)
            .find(|at| words.says(*n, means::RANGE) && measure(words, *at, days).is_some())
        else {
            return false;
        };
        // "50-80": the hyphen joins the figures, and is no token.
        let glued = |n: usize| words.tokens.get(n).is_some_and(|t| t.glued);
        let range = measure(words, at, days).and_then(|(least, to)| {
            let joined = glued(to) && !words.is_mark(to);
            let next = if words.word(to) == "-" { to + 1 } else { to };
            (joined || next > to).then_some(())?;
            Some((least, measure(words, next, days)?.0))
        });
        // The figure before the range is the reading, if a unit says so.
        let reading = tokens
            .iter()
            .rev()
            .filter(|at| **at < *n && n - **at <= REACH)
            .find_map(|at| measure(words, *at, days))
            .filter(|(_, to)| unit(*to));
        match (reading, range) {
            (Some((reading, _)), Some((least, most))) => {
                least < most && !(least..=most).contains(&reading)
            }
            _ => false,
        }
    })
}

/// So many tokens before its limit a reading may stand.
const REACH: usize = 18;

/// A figure or a fraction, and one past it.
fn measure(words: &Words<'_>, at: usize, days: &[Day]) -> Option<(f64, usize)> {
    let number = |n: usize| -> Option<f64> {
        let token = words.tokens.get(n)?;
        let figure = token.kind == TokenKind::Number && !figures::in_day(words, n, days);
        let value: f64 = figure
            .then(|| words.word(n).replace(',', "").parse().ok())
            .flatten()?;
        // ".190": the point is a token of its own.
        let fraction = token.glued && n > 0 && words.word(n - 1) == ".";
        let places = i32::try_from(words.word(n).len()).ok()?;
        Some(if fraction {
            value / 10f64.powi(places)
        } else {
            value
        })
    };
    let one = number(at)?;
    let part = at > 0 && words.word(at - 1) == "/";
    if part {
        return None;
    }
    match number(at + 2).filter(|n| words.word(at + 1) == "/" && *n > 0.0) {
        Some(other) => Some((one / other, at + 3)),
        None => Some((one, at + 1)),
    }
}
