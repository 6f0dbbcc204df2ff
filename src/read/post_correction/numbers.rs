//! Numbers at the heads of lines: what was read for them, and the blank behind them.

use super::Edit;
use super::citations::digit;
use crate::model::{Span, Text};
use crate::patterns::Patterns;

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
    // (10), (17), (12): both neighbors ask for 11, and 1 is read as 7
    let (value, before, next) = (head.value?, before?, next?);
    let wanted = before.checked_add(1)?;
    if value == wanted || next != wanted + 1 {
        return None;
    }
    let (read, printed) = (value.to_string(), wanted.to_string());
    let differ: Vec<(char, char)> = read
        .chars()
        .zip(printed.chars())
        .filter(|(a, b)| a != b)
        .collect();
    (read.len() == printed.len()
        && differ.len() == 1
        && patterns.slip.figures.contains(differ.first()?))
    .then_some(wanted)
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
