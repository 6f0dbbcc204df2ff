//! Whose letter: registration marks, serial numbers, makes and days of the papers handed in, and
//! whether they are of one aircraft.
//!
//! Papers of two aircraft are never answered together: a list of inspectors of one letter must not
//! stand beside a silence of the other.

use jiff::civil::Date;

use super::dates::dates;
use super::evidence::is_title;
use super::labels::{labelled, make_of, marks_in, serials_in};
use super::papers::{Part, What};
use crate::model::{Clause, Letter, Span, Text};
use crate::patterns::{PaperMeaning, Patterns, Token};
use crate::text::registration::mark_of;

/// A paper of its own: a letter, an amendment, a certificate.
#[derive(Clone, Debug)]
pub(crate) struct Unit {
    pub(crate) span: Span,
    /// It has a title or numbers of its own, as a letter has.
    pub(crate) letter: bool,
    /// The day in its head.
    pub(crate) issued: Option<Date>,
    pub(super) marks: Vec<(String, Span)>,
    pub(super) serials: Vec<(String, Span)>,
    pub(super) makes: Vec<(String, Span)>,
    pub(super) days: Vec<(Date, Span)>,
    pub(super) first: Option<u32>,
    pub(super) last: Option<u32>,
}

/// The papers in the order of the text.
pub(crate) fn units(
    letter: &Letter,
    text: &Text,
    tokens: &[Token],
    parts: &[Part],
    patterns: &Patterns,
) -> Vec<Unit> {
    let content = &text.content;
    let mut starts: Vec<usize> = Vec::new();
    for (n, part) in parts.iter().enumerate() {
        let other = matches!(part.what, What::Other(_));
        let new_source = n == 0 || parts[n - 1].source != part.source;
        let new_kind = n > 0 && parts[n - 1].what != part.what;
        if new_source || new_kind || other {
            starts.push(part.span.start);
        }
    }
    starts.extend(titles_behind_clauses(letter, content));
    starts.extend(pages_of_others(text, parts));
    starts.extend(other_marks(content, tokens, patterns));
    if starts.is_empty() {
        starts.push(0);
    }
    starts.sort_unstable();
    starts.dedup();
    let left_out = |span: Span| {
        parts
            .iter()
            .any(|p| matches!(p.what, What::Other(_)) && p.span.contains(span))
    };
    let mut units = Vec::new();
    for (n, start) in starts.iter().enumerate() {
        let end = starts.get(n + 1).copied().unwrap_or(content.len());
        let span = Span::new(*start, end);
        if span.start < span.end && !left_out(span.trimmed(content)) {
            units.push(unit(letter, text, tokens, parts, span, patterns));
        }
    }
    units
}

/// Lines that are titles of letters and stand behind numbered clauses whose numbers begin anew
/// behind them: another letter begins there.
fn titles_behind_clauses(letter: &Letter, content: &str) -> Vec<usize> {
    let numbered: Vec<&Clause> = letter
        .clauses
        .iter()
        .filter(|c| c.level == 1 && number(c).is_some())
        .collect();
    let mut out = Vec::new();
    for pair in numbered.windows(2) {
        let (Some(a), Some(b)) = (number(pair[0]), number(pair[1])) else {
            continue;
        };
        if b > a || b > 3 {
            continue;
        }
        // The title stands between the clauses; what stands above it on the page goes with it.
        let between = Span::new(pair[0].body.start, pair[1].span.start);
        let Some(title) = is_title(content, between) else {
            continue;
        };
        let head = content.get(..title).unwrap_or_default();
        let blank = head.rfind("\n\n").map_or(title, |at| at + 2);
        // Up to four lines of a head stand before the title.
        let mut start = blank.max(between.start);
        for _ in 0..3 {
            let above = content.get(..start.saturating_sub(2)).unwrap_or_default();
            let Some(at) = above.rfind("\n\n").map(|at| at + 2) else {
                break;
            };
            let block = content.get(at..start).unwrap_or_default();
            let short = block.lines().count() <= 4 && !block.trim_end().ends_with('.');
            if !short || at <= pair[0].span.start {
                break;
            }
            start = at;
        }
        out.push(start);
    }
    out
}

/// Lines that name another aircraft than the one before.
fn other_marks(content: &str, tokens: &[Token], patterns: &Patterns) -> Vec<usize> {
    let whole = Span::new(0, content.len());
    let mut named: Vec<(Span, bool, String)> = marks_in(content, whole)
        .into_iter()
        .map(|(mark, span)| (span, true, mark))
        .collect();
    named.extend(
        serials_in(content, tokens, whole, patterns)
            .into_iter()
            .map(|(serial, span)| (span, false, serial)),
    );
    named.sort_by_key(|(span, ..)| span.start);
    let (mut mark, mut serial): (Option<String>, Option<String>) = (None, None);
    let mut out = Vec::new();
    for (span, is_mark, value) in named {
        let last = if is_mark { &mut mark } else { &mut serial };
        let other = last.as_ref().is_some_and(|l| *l != value);
        *last = Some(value);
        if other {
            let line = content
                .get(..span.start)
                .and_then(|before| before.rfind('\n'))
                .map_or(0, |at| at + 1);
            // the mark and the serial number of one line
            if out.last() != Some(&line) {
                out.push(line);
            }
            if is_mark {
                serial = None;
            }
        }
    }
    out
}

/// Pages whose running head or foot has another mark than the page before.
fn pages_of_others(text: &Text, parts: &[Part]) -> Vec<usize> {
    let mark = |part: &Part| -> Option<String> {
        let mut found: Vec<String> = text
            .furniture
            .iter()
            .filter(|f| (f.place.source, f.place.page) == (part.source, part.page))
            .flat_map(|f| f.text.split_whitespace().filter_map(mark_of))
            .collect();
        found.dedup();
        (found.len() == 1).then(|| found.remove(0))
    };
    let mut last: Option<String> = None;
    let mut out = Vec::new();
    for part in parts {
        let Some(own) = mark(part) else {
            continue;
        };
        if last.as_ref().is_some_and(|l| *l != own) {
            out.push(part.span.start);
        }
        last = Some(own);
    }
    out
}

fn number(clause: &Clause) -> Option<u32> {
    clause.number.as_ref()?.label.parse().ok()
}

fn unit(
    letter: &Letter,
    text: &Text,
    tokens: &[Token],
    parts: &[Part],
    span: Span,
    patterns: &Patterns,
) -> Unit {
    let content = &text.content;
    let here: Vec<&Clause> = letter
        .clauses
        .iter()
        .filter(|c| span.contains(c.body) && c.level == 1)
        .collect();
    let numbered: Vec<&&Clause> = here
        .iter()
        .filter(|c| c.number.is_some() || c.item.is_some())
        .collect();
    let part = parts.iter().rfind(|p| p.span.start <= span.start);
    let what = part.map_or(What::Letter, |p| p.what);
    let head = Span::new(
        span.start,
        match (what, numbered.first()) {
            (What::Letter | What::Amendment, Some(first)) => first.span.start.max(span.start),
            _ => span.end.min(span.start + 1500),
        },
    );
    let tail = Span::new(numbered.last().map_or(span.end, |c| c.body.start), span.end);
    let pages: Vec<(u16, u32)> = parts
        .iter()
        .filter(|p| p.span.overlaps(span))
        .map(|p| (p.source, p.page))
        .collect();
    let mut unit = Unit {
        span,
        letter: what == What::Letter
            && numbered
                .first()
                .is_none_or(|c| number(c).is_none_or(|n| n <= 2))
            && (is_title(content, head).is_some() || numbered.len() > 2),
        issued: None,
        marks: marks_in(content, head),
        serials: serials_in(content, tokens, head, patterns),
        makes: labelled(
            content,
            tokens,
            head,
            patterns,
            &PaperMeaning::MakeLabel,
            make_of,
        ),
        days: dates(tokens, content, head, patterns),
        first: numbered.first().and_then(|c| number(c)),
        last: numbered.last().and_then(|c| number(c)),
    };
    if unit.days.is_empty() {
        unit.days = dates(tokens, content, tail, patterns);
    }
    let mut days: Vec<Date> = unit.days.iter().map(|(d, _)| *d).collect();
    days.sort_unstable();
    days.dedup();
    if let [day] = days.as_slice() {
        unit.issued = Some(*day);
    }
    for line in text
        .furniture
        .iter()
        .filter(|f| pages.contains(&(f.place.source, f.place.page)))
    {
        for word in line.text.split_whitespace() {
            if let Some(mark) = mark_of(word) {
                unit.marks.push((mark, Span::new(span.start, span.start)));
            }
        }
    }
    unit
}
