//! Several entries in what was handed in as one: a page of a log.

use super::dates::{self, Day};
use super::figures;
use super::verdict::Reason;
use super::words::Words;
use crate::model::Span;
use crate::patterns::{Entries, EntryRole};
use jiff::civil::Date;

/// The entries of a page that tell of an inspection.
pub(super) struct Page {
    pub(super) newest: Part,
    /// Those before it, the oldest first.
    pub(super) earlier: Vec<Part>,
}

/// One entry of a page.
pub(super) struct Part {
    /// Its words, below what stands above all.
    pub(super) text: String,
    /// What was written later and tells of no inspection: it may take back.
    pub(super) later: String,
}

/// Parts a page by its days; the whole text is one entry where nothing parts it.
///
/// An entry begins with a day at the start of a line; lines of one day are one entry. What stands
/// above the first of them, such as the mark of the aircraft, is of each.
pub(super) fn page(text: &str, today: Date, entries: &Entries) -> Page {
    let mut starts: Vec<(usize, Date)> = Vec::new();
    for Day { date, span } in dates::days(text, today) {
        let line = text[..span.start].rfind('\n').map_or(0, |n| n + 1);
        let opens = text[line..span.start].trim().is_empty();
        if opens && starts.last().is_none_or(|(_, last)| *last != date) {
            starts.push((line, date));
        }
    }
    let head = Span::new(0, starts.first().map_or(0, |(at, _)| *at)).of(text);
    let alone = || Page {
        newest: Part {
            text: text.to_owned(),
            later: String::new(),
        },
        earlier: Vec::new(),
    };
    if starts.len() < 2 || tells(&Words::read(head, entries)) {
        return alone();
    }
    let ends = starts.iter().skip(1).map(|(at, _)| *at);
    let mut whole: Vec<(Date, &str)> = Vec::new();
    let mut other: Vec<(Date, &str)> = Vec::new();
    for ((at, date), end) in starts.iter().zip(ends.chain([text.len()])) {
        let part = Span::new(*at, end).of(text);
        if is_whole(part, today, entries) {
            whole.push((*date, part));
        } else {
            other.push((*date, part));
        }
    }
    whole.sort_by_key(|(date, _)| *date);
    let mut earlier: Vec<Part> = whole
        .into_iter()
        .map(|(date, part)| Part {
            text: format!("{head}{part}"),
            later: other
                .iter()
                .filter(|(day, _)| *day >= date)
                .map(|(_, part)| *part)
                .collect(),
        })
        .collect();
    match earlier.pop() {
        Some(newest) => Page { newest, earlier },
        None => alone(),
    }
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
fn is_whole(part: &str, today: Date, entries: &Entries) -> bool {
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
