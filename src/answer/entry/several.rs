//! Several entries in what was handed in as one: a page of a log.

use super::dates::{self, Day};
use super::figures;
use super::verdict::Reason;
use super::words::Words;
use crate::model::Span;
use crate::patterns::{Entries, EntryRole};
use jiff::civil::Date;

/// The entries of a page, in the order of their days; one where nothing parts it.
///
/// An entry begins with a day at the start of a line. It is one of its own only if it tells what
/// was found or which inspection was done, and somebody's certificate number: a line of dated work
/// belongs to the entry above it.
pub(super) fn parts<'t>(text: &'t str, today: Date, entries: &Entries) -> Vec<&'t str> {
    let days = dates::days(text, today);
    let mut starts: Vec<(usize, Date)> = Vec::new();
    for Day { date, span } in days {
        let line = text[..span.start].rfind('\n').map_or(0, |n| n + 1);
        let opens = text[line..span.start].trim().is_empty();
        if opens && starts.last().is_none_or(|(at, _)| *at != line) {
            starts.push((line, date));
        }
    }
    let ends = starts.iter().skip(1).map(|(at, _)| *at);
    let mut parts: Vec<(Date, &str)> = Vec::new();
    for ((at, date), end) in starts.iter().zip(ends.chain([text.len()])) {
        let part = Span::new(*at, end).of(text);
        if whole(part, today, entries) {
            parts.push((*date, part));
        }
    }
    let first = starts.first().map_or(0, |(at, _)| *at);
    let before = whole(Span::new(0, first).of(text), today, entries);
    if before || parts.len() < 2 || parts.len() < starts.len() {
        return vec![text];
    }
    parts.sort_by_key(|(date, _)| *date);
    parts.into_iter().map(|(_, part)| part).collect()
}

fn whole(part: &str, today: Date, entries: &Entries) -> bool {
    let words = Words::read(part, entries);
    let tells = [
        EntryRole::Affirmative,
        EntryRole::Negative,
        EntryRole::Inspection,
    ]
    .into_iter()
    .any(|role| words.all(role).next().is_some());
    tells && !figures::numbers(&words, &dates::days(part, today), &[]).is_empty()
}

/// Whether an entry records something beside the yearly inspection, for these reasons, so that an
/// earlier one counts until its own last day.
pub(super) fn beside(reasons: &[Reason]) -> bool {
    reasons
        .iter()
        .any(|r| matches!(r, Reason::HundredHour | Reason::OtherWork(_)))
}
