//! Days in a log entry, in the forms in which US mechanics write them.

use crate::document::dates::MONTHS;
use crate::model::Span;
use crate::text::numbers::{self, ordinal};
use jiff::civil::Date;

/// A day with its place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Day {
    pub(super) date: Date,
    pub(super) span: Span,
}

/// Figures or letters, with what stands before them.
struct Piece<'t> {
    words: &'t str,
    span: Span,
    gap: &'t str,
}

/// `2026-05-14`, `5/14/2026`, `05-14-26`, `5.14.26`, `14 May 2026`, `14MAY26`, `May 14th, 2026`,
/// `14th day of May 2026`, `May the fourteenth, two thousand twenty-six`, `2026 May 14`, `20260514`. Figures are month first, as in US logs, unless the first cannot be a
/// month. Two digits of a year are of the century that ends no later than twenty years after
/// `today`.
pub(super) fn days(text: &str, today: Date) -> Vec<Day> {
    let pieces = pieces(text);
    let mut found: Vec<Day> = Vec::new();
    let mut others: Vec<Vec<Date>> = Vec::new();
    let mut n = 0;
    while n < pieces.len() {
        // "BS2-000-6": a figure within a number begins no day.
        let fraction = n > 0
            && pieces[n].gap == "."
            && pieces[n - 1].words.ends_with(|c: char| c.is_ascii_digit());
        // "TT 598.8  January 20": nor does the fraction of hours.
        if n > 0 && ["-", "/"].contains(&pieces[n].gap) || fraction {
            n += 1;
            continue;
        }
        match numeric(&pieces[n..], today)
            .or_else(|| day_first(&pieces[n..], today))
            .or_else(|| month_first(&pieces[n..], today))
            .or_else(|| year_first(&pieces[n..], today))
            .or_else(|| compact(&pieces[n..], today))
            .or_else(|| spaced(&pieces, n, today))
        {
            Some((date, used)) => {
                others.push(if used == 3 {
                    orders(&pieces[n..], today)
                } else {
                    Vec::new()
                });
                let span = Span::new(pieces[n].span.start, pieces[n + used - 1].span.end);
                found.push(Day { date, span });
                n += used;
            }
            None => n += 1,
        }
    }
    // "24-05-14 ... inspected on May 14, 2024": of two orders of the figures the one that another day says.
    let spelled: Vec<Date> = found
        .iter()
        .zip(&others)
        .filter(|(_, orders)| orders.is_empty())
        .map(|(day, _)| day.date)
        .collect();
    for (day, orders) in found.iter_mut().zip(&others) {
        let same = orders.iter().find(|o| spelled.contains(o));
        if let Some(same) = same.filter(|_| !spelled.contains(&day.date)) {
            day.date = *same;
        }
    }
    found
}

/// The other days that three figures may tell: day first, year first.
fn orders(p: &[Piece<'_>], today: Date) -> Vec<Date> {
    let [a, b, c, ..] = p else { return Vec::new() };
    let day = |y: &Piece<'_>, m: &Piece<'_>, d: &Piece<'_>| {
        Date::new(
            year(y, today)?,
            small(digits(m, 2)?)?,
            small(digits(d, 2)?)?,
        )
        .ok()
    };
    if digits(a, 2).is_none() || digits(b, 2).is_none() {
        return Vec::new();
    }
    [day(c, b, a), day(a, b, c)].into_iter().flatten().collect()
}

fn pieces(text: &str) -> Vec<Piece<'_>> {
    let mut pieces: Vec<Piece<'_>> = Vec::new();
    let mut end = 0;
    let mut chars = text.char_indices().peekable();
    while let Some((start, c)) = chars.next() {
        if !c.is_alphanumeric() {
            continue;
        }
        let digit = c.is_ascii_digit();
        let mut stop = start + c.len_utf8();
        while let Some((at, d)) = chars.peek().copied() {
            if !d.is_alphanumeric() || d.is_ascii_digit() != digit {
                break;
            }
            chars.next();
            stop = at + d.len_utf8();
        }
        let span = Span::new(start, stop);
        pieces.push(Piece {
            words: span.of(text),
            span,
            gap: Span::new(end, start).of(text),
        });
        end = stop;
    }
    pieces
}

fn digits(piece: &Piece<'_>, most: usize) -> Option<i16> {
    let all = piece.words.chars().all(|c| c.is_ascii_digit());
    (all && piece.words.len() <= most)
        .then(|| piece.words.parse().ok())
        .flatten()
}

fn small(n: i16) -> Option<i8> {
    i8::try_from(n).ok()
}

/// Three figures with the same mark between them.
fn numeric(p: &[Piece<'_>], today: Date) -> Option<(Date, usize)> {
    let [a, b, c, ..] = p else { return None };
    // "5 - 24 - 26" is written so by hand.
    let mark = b.gap.trim_matches(' ');
    if !["/", "-", ".", "\u{2010}", "\u{2011}", "\u{2013}"].contains(&mark)
        || b.gap != c.gap.trim_end_matches(['\'', '\u{2019}'])
    {
        return None;
    }
    // A figure or letter that runs on: a part number, "43.11.2b".
    // "2026-05-14T15:22": the time of the day is none.
    let timed = p.get(3).is_some_and(|d| d.words == "T" && d.gap.is_empty())
        && p.get(4).is_some_and(|d| digits(d, 2).is_some());
    let runs_on = p.get(3).is_some_and(|d| d.gap.is_empty() || d.gap == b.gap) && !timed;
    if runs_on {
        return None;
    }
    if a.words.len() == 4 {
        let date = Date::new(
            year(a, today)?,
            small(digits(b, 2)?)?,
            small(digits(c, 2)?)?,
        );
        return date.ok().map(|d| (d, 3));
    }
    let (first, second, year) = (digits(a, 2)?, digits(b, 2)?, year(c, today)?);
    let (month, day) = if first > 12 {
        (second, first)
    } else {
        (first, second)
    };
    let date = Date::new(year, small(month)?, small(day)?).ok()?;
    Some((date, 3))
}

/// `4 22 19`: three figures with blanks between, where they stand in a field of their own at the head of a line, or
/// repeat those of the head.
fn spaced(pieces: &[Piece<'_>], at: usize, today: Date) -> Option<(Date, usize)> {
    let triple = |n: usize| {
        let [a, b, c, ..] = pieces.get(n..)? else {
            return None;
        };
        let figures = digits(a, 2).is_some() && digits(b, 2).is_some() && digits(c, 4).is_some();
        let near = b.gap == " " && c.gap == " ";
        (figures && near).then_some([a.words, b.words, c.words])
    };
    let heads = |n: usize| {
        let opens = n == 0 || pieces[n].gap.contains('\n');
        let field = pieces
            .get(n + 3)
            .is_none_or(|p| p.gap.len() > 1 && p.gap.trim().is_empty());
        opens && field
    };
    let here = triple(at)?;
    let known = heads(at) || (0..at).any(|n| heads(n) && triple(n) == Some(here));
    let [month, day, _] = here.map(|figure| figure.parse::<i8>().ok());
    let date = Date::new(year(&pieces[at + 2], today)?, month?, day?).ok()?;
    known.then_some((date, 3))
}

/// `14 May 2026`, `14MAY26`, `14th day of May, 2026`, `fourteenth day of May, 2026`.
fn day_first(p: &[Piece<'_>], today: Date) -> Option<(Date, usize)> {
    let (day, mut n) = ordinal_at(p).or_else(|| Some((small(digits(p.first()?, 2)?)?, 1)))?;
    for skipped in [&["st", "nd", "rd", "th"][..], &["day"], &["of"]] {
        if p.get(n)
            .is_some_and(|q| skipped.iter().any(|s| q.words.eq_ignore_ascii_case(s)))
        {
            n += 1;
        }
    }
    let month = month(p.get(n)?)?;
    let (year, used) = year_at(p.get(n + 1..)?, today)?;
    Date::new(year, month, day).ok().map(|d| (d, n + 1 + used))
}

/// A day of a month in words, and how many pieces it has.
fn ordinal_at(p: &[Piece<'_>]) -> Option<(i8, usize)> {
    let lower: Vec<String> = p.iter().take(2).map(|q| q.words.to_lowercase()).collect();
    let (day, used) = ordinal(|n| lower.get(n).map_or("", String::as_str))?;
    Some((i8::try_from(day).ok()?, used))
}

/// `May 14th, 2026`, `May the fourteenth, 2026`.
fn month_first(p: &[Piece<'_>], today: Date) -> Option<(Date, usize)> {
    let month = month(p.first()?)?;
    let article = p.get(1)?.words.eq_ignore_ascii_case("the");
    let at = if article { 2 } else { 1 };
    let (day, mut n) = ordinal_at(p.get(at..)?)
        .or_else(|| Some((small(digits(p.get(at)?, 2)?)?, 1)))
        .map(|(day, used)| (day, at + used))?;
    if p.get(n).is_some_and(|q| {
        q.gap.is_empty()
            && ["st", "nd", "rd", "th"]
                .iter()
                .any(|s| q.words.eq_ignore_ascii_case(s))
    }) {
        n += 1;
    }
    let (year, used) = year_at(p.get(n..)?, today)?;
    Date::new(year, month, day).ok().map(|d| (d, n + used))
}

/// A year behind a month and day, in figures or in words, and how many pieces it has: `2026`, `in the year
/// two thousand and twenty-six`, `twenty twenty-six`.
fn year_at(p: &[Piece<'_>], today: Date) -> Option<(i16, usize)> {
    if let Some(year) = p.first().and_then(|q| year_after(q, today)) {
        return Some((year, 1));
    }
    let word = |n: usize| p.get(n).map(|q| q.words.to_lowercase()).unwrap_or_default();
    // "in the year"
    let named = word(0) == "in" && word(1) == "the";
    let skipped = if named { 3 } else { 0 };
    let all: Vec<String> = (skipped..skipped + 6).map(word).collect();
    let at = |n: usize| all.get(n).map_or("", String::as_str);
    if skipped > 0
        && let Some(year) = digits(p.get(skipped)?, 4).filter(|n| *n >= 1900)
    {
        return Some((year, skipped + 1));
    }
    let (year, used) = numbers::year(at)?;
    i16::try_from(year).ok().map(|y| (y, skipped + used))
}

/// `20260514`: eight figures of a year that ends no later than the one after `today`.
fn compact(p: &[Piece<'_>], today: Date) -> Option<(Date, usize)> {
    let piece = p.first()?;
    let figures = piece.words.chars().all(|c| c.is_ascii_digit()) && piece.words.len() == 8;
    let alone = figures && p.get(1).is_none_or(|next| !next.gap.is_empty());
    let part = |from: usize, to: usize| piece.words.get(from..to)?.parse::<i16>().ok();
    let year = part(0, 4).filter(|y| alone && (1990..=today.year() + 1).contains(y))?;
    let date = Date::new(year, small(part(4, 6)?)?, small(part(6, 8)?)?);
    date.ok().map(|d| (d, 1))
}

/// `2026 May 14`.
fn year_first(p: &[Piece<'_>], today: Date) -> Option<(Date, usize)> {
    let [y, m, d, ..] = p else { return None };
    let joined = |piece: &Piece<'_>| [" ", "-", ", "].contains(&piece.gap);
    let whole = y.words.len() == 4 && joined(m) && joined(d);
    let date = Date::new(
        whole.then(|| year(y, today)).flatten()?,
        month(m)?,
        small(digits(d, 2)?)?,
    );
    // "2026 May 14, 2027": the year behind the day is its own.
    let other = p
        .get(3)
        .is_some_and(|q| year_after(q, today).is_some() && q.words.len() == 4);
    date.ok().filter(|_| !other).map(|d| (d, 3))
}

fn month(piece: &Piece<'_>) -> Option<i8> {
    let word = piece.words.to_lowercase();
    let at = MONTHS
        .iter()
        .position(|m| *m == word || word.len() >= SHORTEST && m.starts_with(&word))?;
    small(i16::try_from(at + 1).ok()?)
}

/// The short form of a month has so many letters or more.
const SHORTEST: usize = 3;

/// A year that follows a month and day: nothing but marks of a date may stand between.
fn year_after(piece: &Piece<'_>, today: Date) -> Option<i16> {
    let joined = piece
        .gap
        .chars()
        .all(|c| c.is_whitespace() || ",.-/'\u{2019}".contains(c));
    joined.then(|| year(piece, today)).flatten()
}

fn year(piece: &Piece<'_>, today: Date) -> Option<i16> {
    let n = digits(piece, 4)?;
    match piece.words.len() {
        4 => (1900..=2200).contains(&n).then_some(n),
        2 if 2000 + n > today.year() + 20 => Some(1900 + n),
        2 => Some(2000 + n),
        _ => None,
    }
}
