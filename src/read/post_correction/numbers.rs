//! Numbers at the heads of lines: what was read for them, and the blank behind them.

use super::Edit;
use super::citations::digit;
use crate::model::{Span, Text};
use crate::patterns::Patterns;

/// Numbers on either side that tell what one between them is.
const ROW: usize = 3;

/// What may be the number of a clause.
struct Head {
    /// The label without its marks.
    span: Span,
    /// One past the closing mark.
    end: usize,
    /// `(`, `[` or nothing, and the closing mark: numbers of one list look alike.
    style: (Option<char>, char),
    /// The value, where it is a plain number.
    value: Option<u32>,
    /// The value with letters taken for figures.
    corrected: Option<u32>,
}

/// Corrected numbers and blanks behind numbers.
pub(super) fn edits(text: &Text, patterns: &Patterns) -> Vec<Edit> {
    let content = &text.content;
    let mut heads = Vec::new();
    let mut at = 0;
    for line in content.split_inclusive('\n') {
        if let Some(head) = head(content, at, line, patterns) {
            heads.push(head);
        }
        at += line.len();
    }
    let mut out = Vec::new();
    for (n, head) in heads.iter().enumerate() {
        if let Some(number) = by_sequence(&heads, n, content, patterns) {
            out.push(Edit {
                span: head.span,
                new: number.to_string(),
                blank: false,
            });
        }
        if lacks_blank(content, head) {
            out.push(Edit {
                span: Span::new(head.end, head.end),
                new: " ".into(),
                blank: true,
            });
        }
    }
    out
}

fn head(content: &str, at: usize, line: &str, patterns: &Patterns) -> Option<Head> {
    let open = line.chars().next().filter(|c| matches!(c, '(' | '['));
    let from = usize::from(open.is_some());
    let rest = line.get(from..)?;
    let end = rest.find(|c: char| !c.is_alphanumeric() && c != '|' && c != '!')?;
    let label = rest.get(..end)?;
    let close = rest.get(end..)?.chars().next()?;
    let closes = match open {
        Some('(') => close == ')',
        Some(_) => close == ']',
        None => matches!(close, '.' | ')'),
    };
    if label.is_empty() || label.len() > 3 || !closes {
        return None;
    }
    // "91.319" is no head
    let after = rest.get(end + 1..)?.chars().next();
    if open.is_none() && after.is_some_and(|c| c.is_ascii_digit()) {
        return None;
    }
    let value = label
        .bytes()
        .all(|b| b.is_ascii_digit())
        .then(|| label.parse().ok())
        .flatten();
    let corrected = label
        .chars()
        .map(|c| {
            if c.is_ascii_digit() {
                Some(c)
            } else {
                digit(c, patterns)
            }
        })
        .collect::<Option<String>>()
        .filter(|m| m != label && !m.starts_with('0'))
        .and_then(|m| m.parse().ok());
    let start = at + from;
    debug_assert!(content.get(start..start + end) == Some(label));
    Some(Head {
        span: Span::new(start, start + end),
        end: start + end + 1,
        style: (open, close),
        value,
        corrected,
    })
}

/// The number that the neighbors ask for, where a known slip makes it of what was read.
fn by_sequence(heads: &[Head], n: usize, content: &str, patterns: &Patterns) -> Option<u32> {
    let head = heads.get(n)?;
    let same = |h: &&Head| h.style == head.style;
    let before = heads[..n].iter().rev().filter(same).find_map(|h| h.value);
    let next = heads[n + 1..].iter().filter(same).find_map(|h| h.value);
    let direct_before = heads[..n].iter().rev().find(same);
    let direct_next = heads[n + 1..].iter().find(same);
    if let Some(corrected) = head.corrected {
        let label = head.span.of(content);
        // (k), (l), (m) and (h), (i), (j) are letters, i. ii. iii. are roman
        let beside = |h: Option<&Head>, words: &[&str]| {
            h.is_some_and(|h| {
                words
                    .iter()
                    .any(|w| h.span.of(content).eq_ignore_ascii_case(w))
            })
        };
        if beside(direct_before, &["k", "h"]) || beside(direct_next, &["m", "j", "ii"]) {
            return None;
        }
        let follows = match before {
            Some(b) => b + 1 == corrected,
            None => corrected == 1,
        };
        let leads = next == corrected.checked_add(1);
        let has_figure = label.bytes().any(|b| b.is_ascii_digit());
        let between = before.is_some_and(|b| b < corrected && corrected <= b + 4)
            && next.is_none_or(|x| corrected < x);
        return (follows && leads
            || (has_figure || label.len() > 1) && (follows || leads)
            || has_figure && between
            || follows && next.is_none() && corrected > 1)
            .then_some(corrected);
    }
    by_count(heads, n, patterns)
}

/// (10), (17), (12): the numbers on both sides leave only 11, and 1 is read as 7. Some in a row are told
/// in the same way, if each is one that is taken for what has to stand there.
fn by_count(heads: &[Head], n: usize, patterns: &Patterns) -> Option<u32> {
    let head = heads.get(n)?;
    let value = head.value?;
    let same = |h: &&Head| h.style == head.style;
    let values = |h: &Head| h.value;
    let before: Vec<u32> = heads[..n]
        .iter()
        .rev()
        .filter(same)
        .filter_map(values)
        .take(ROW)
        .collect();
    let next: Vec<u32> = heads[n + 1..]
        .iter()
        .filter(same)
        .filter_map(values)
        .take(ROW)
        .collect();
    // the nearest ends first
    let mut ends = (0..2 * ROW).flat_map(|both| (0..=both).map(move |b| (b, both - b)));
    ends.find_map(|(b, a)| {
        let (first, last) = (*before.get(b)?, *next.get(a)?);
        let place = |n: usize| first.checked_add(u32::try_from(n).ok()?);
        if place(a + b + 2)? != last {
            return None;
        }
        let between = before
            .get(..b)?
            .iter()
            .rev()
            .chain([&value])
            .chain(next.get(..a)?);
        let mut between = between.enumerate();
        let fits =
            between.all(|(n, read)| place(n + 1).is_some_and(|p| taken_for(*read, p, patterns)));
        let wanted = place(b + 1)?;
        Some((fits && wanted != value).then_some(wanted))
    })?
}

/// Whether a number may be what was printed: the same, or read with one figure taken for another.
fn taken_for(read: u32, printed: u32, patterns: &Patterns) -> bool {
    let (read, printed) = (read.to_string(), printed.to_string());
    let differ: Vec<(char, char)> = read
        .chars()
        .zip(printed.chars())
        .filter(|(a, b)| a != b)
        .collect();
    let known = |pair| patterns.slip.figures.contains(pair);
    read.len() == printed.len() && differ.len() < 2 && differ.first().is_none_or(known)
}

/// "(26)An", "7.No": OCR loses the blank behind a number.
fn lacks_blank(content: &str, head: &Head) -> bool {
    if head.value.is_none() && head.corrected.is_none() && head.span.len() > 1 {
        return false;
    }
    let mut rest = content.get(head.end..).unwrap_or_default().chars();
    let (first, second) = (rest.next(), rest.next());
    match head.style {
        (_, ')' | ']') => first.is_some_and(char::is_alphabetic),
        _ => {
            first.is_some_and(char::is_uppercase)
                && second.is_some_and(|c| c.is_lowercase() || c == ' ')
        }
    }
}
