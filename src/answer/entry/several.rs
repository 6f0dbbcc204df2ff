//! Several entries in what was handed in as one: a page of a log.

use super::dates::{self, Day};
use super::figures;
use super::verdict::Reason;
use super::words::Words;
use crate::model::Span;
use crate::patterns::{Entries, EntryRole};
use jiff::civil::Date;

/// The entries of a page that tell of an inspection, in the order of their days; the whole text
/// where nothing parts it.
///
/// An entry begins with a day at the start of a line; lines of one day are one entry. What stands
/// above the first of them, such as the mark of the aircraft, is of each.
pub(super) fn parts(text: &str, today: Date, entries: &Entries) -> Vec<String> {
    let mut starts: Vec<(usize, Date)> = Vec::new();
    for Day { date, span } in dates::days(text, today) {
        let line = text[..span.start].rfind('\n').map_or(0, |n| n + 1);
        let opens = text[line..span.start].trim().is_empty();
        if opens && starts.last().is_none_or(|(_, last)| *last != date) {
            starts.push((line, date));
        }
    }
    let head = Span::new(0, starts.first().map_or(0, |(at, _)| *at)).of(text);
    let alone = || vec![text.to_owned()];
    if starts.len() < 2 || tells(&Words::read(head, entries)) {
        return alone();
    }
    let ends = starts.iter().skip(1).map(|(at, _)| *at);
    let mut parts: Vec<(Date, String)> = Vec::new();
    for ((at, date), end) in starts.iter().zip(ends.chain([text.len()])) {
        let part = Span::new(*at, end).of(text);
        if whole(part, today, entries) {
            parts.push((*date, format!("{head}{part}")));
        }
    }
    if parts.is_empty() {
        return alone();
    }
    parts.sort_by_key(|(date, _)| *date);
    parts.into_iter().map(|(_, part)| part).collect()
}

/// Whether it says what was found or which inspection was done.
fn tells(words: &Words<'_>) -> bool {
    [
        EntryRole::Affirmative,
        EntryRole::Negative,
        EntryRole::Inspection,
    ]
    .into_iter()
    .any(|role| words.all(role).next().is_some())
}

/// Whether it tells, and gives the number of somebody's certificate.
fn whole(part: &str, today: Date, entries: &Entries) -> bool {
    let words = Words::read(part, entries);
    tells(&words) && !figures::numbers(&words, &dates::days(part, today), &[]).is_empty()
}

/// Whether an entry records something beside the yearly inspection, for these reasons, so that an
/// earlier one counts until its own last day.
pub(super) fn beside(reasons: &[Reason]) -> bool {
    reasons
        .iter()
        .any(|r| matches!(r, Reason::HundredHour | Reason::OtherWork(_)))
}
