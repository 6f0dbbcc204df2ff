//! Days of a paper: those that it gives, and the one on which it was issued.

use jiff::civil::Date;

use super::paper::{Heads, Sign, signs};
use super::papers::{Part, What};
use crate::model::{Found, Letter, Span, Text};
use crate::patterns::{PaperMeaning, Patterns, Token, TokenKind};

/// How many tokens may stand between "Date of issue" and the date.
const REACH: usize = 9;

/// Whether the label itself says that it is the day of issue.
fn strong(label: &str) -> bool {
    let label = label.to_ascii_lowercase();
    label.starts_with("date of issu")
        || label.starts_with("date issued")
        || label.starts_with("issue")
}

/// The days that a stretch of the text gives, but for those that a label says to be others.
pub(super) fn dates(
    tokens: &[Token],
    content: &str,
    within: Span,
    patterns: &Patterns,
) -> Vec<(Date, Span)> {
    let first = tokens.partition_point(|t| t.span.start < within.start);
    let end = tokens.partition_point(|t| t.span.start < within.end);
    let tokens = tokens.get(first..end).unwrap_or_default();
    let signs: Vec<Sign<'_>> = signs(tokens, patterns);
    let heads = Heads {
        heads: vec![within],
        tails: Vec::new(),
    };
    unlabelled(&signs, tokens, content, &heads)
}

/// Dates in the head that nothing labels as another day.
fn unlabelled(
    signs: &[Sign<'_>],
    tokens: &[Token],
    content: &str,
    head: &Heads,
) -> Vec<(Date, Span)> {
    let mut found = Vec::new();
    let mut at = 0;
    while at < tokens.len() {
        if !head.contains(tokens[at].span) {
            at += 1;
            continue;
        }
        let Some((date, end)) = date_at(tokens, content, at) else {
            at += 1;
            continue;
        };
        let span = Span::new(tokens[at].span.start, tokens[end - 1].span.end);
        let other = signs.iter().any(|s| {
            *s.meaning == PaperMeaning::OtherDate && s.span.end <= span.start && {
                let between = content.get(s.span.end..span.start).unwrap_or("");
                between.len() < 30 && !between.contains(['\n', '.', ';'])
            }
        });
        if !other {
            found.push((date, span));
        }
        at = end;
    }
    found
}

pub(super) fn issued(
    letter: &Letter,
    signs: &[Sign<'_>],
    tokens: &[Token],
    text: &Text,
    head: &Heads,
    parts: &[Part],
) -> Found<Date> {
    let content = &text.content;
    let mut found: Vec<(Date, Span)> = Vec::new();
    for sign in signs
        .iter()
        .filter(|s| *s.meaning == PaperMeaning::IssueDate)
    {
        let start = sign.tokens.end;
        // Another label, or a new sentence, ends the reach of this one.
        let next_label = signs
            .iter()
            .filter(|s| {
                s.tokens.start >= start
                    && matches!(s.meaning, PaperMeaning::IssueDate | PaperMeaning::OtherDate)
            })
            .map(|s| s.tokens.start)
            .min()
            .unwrap_or(tokens.len());
        let reach = (start..tokens.len().min(start + REACH).min(next_label)).find_map(|at| {
            date_at(tokens, content, at).map(|(date, end)| {
                (
                    date,
                    Span::new(tokens[at].span.start, tokens[end - 1].span.end),
                )
            })
        });
        let labelled_otherwise = signs.iter().any(|s| {
            *s.meaning == PaperMeaning::OtherDate
                && s.tokens.end <= sign.tokens.start
                && sign.tokens.start - s.tokens.end <= 2
                && !content[s.span.end..sign.span.start].contains('\n')
        });
        if let Some((date, span)) = reach
            && !labelled_otherwise
        {
            found.push((date, Span::new(sign.span.start, span.end)));
        }
    }
    let outside = |span: Span| head.contains(span) || head.in_tail(span);
    // A weak label ("dated") in the middle of a clause dates something else.
    found.retain(|(_, span)| outside(*span) || strong(span.of(content)));
    if found.is_empty() {
        found = unlabelled(signs, tokens, content, head);
    }
    // An amendment has a day of its own; it is not that of the letter.
    let of = |span: &Span| {
        parts
            .iter()
            .rfind(|p| p.span.start <= span.start)
            .map(|p| p.what)
    };
    if found.iter().any(|(_, s)| of(s) != Some(What::Amendment)) {
        found.retain(|(_, s)| of(s) != Some(What::Amendment));
    }
    let one = |found: &[(Date, Span)]| {
        let mut days: Vec<Date> = found.iter().map(|(d, _)| *d).collect();
        days.sort_unstable();
        days.dedup();
        match days.as_slice() {
            [day] => Some(*day),
            _ => None,
        }
    };
    let mut value = one(&found);
    if value.is_none() && parts.len() > 1 {
        // Several papers: the day of the one that says who inspects, and of a letter before that
        // of the certificate beside it.
        let among = |keep: &dyn Fn(&Span) -> bool| {
            let kept: Vec<(Date, Span)> = found.iter().filter(|(_, s)| keep(s)).copied().collect();
            one(&kept)
        };
        let source = |span: &Span| text.place(span.start).source;
        let says_who: Vec<u16> = letter
            .clauses
            .iter()
            .zip(&letter.topics)
            .filter(|(_, topics)| topics.iter().any(|t| t == "inspection-who"))
            .map(|(c, _)| source(&c.span))
            .collect();
        let letters = |s: &Span| of(s) == Some(What::Letter);
        value = among(&|s| letters(s) && says_who.contains(&source(s))).or_else(|| among(&letters));
    }
    Found {
        value,
        evidence: found.iter().take(4).map(|(_, s)| *s).collect(),
    }
}

/// The months, in small letters.
pub(crate) const MONTHS: [&str; 12] = [
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
];

/// A day of the month in words, and how many: `third`, `twenty-first` (a hyphen is no token).
fn ordinal(word: impl Fn(usize) -> String) -> Option<(i16, usize)> {
    const ONES: [&str; 19] = [
        "first",
        "second",
        "third",
        "fourth",
        "fifth",
        "sixth",
        "seventh",
        "eighth",
        "ninth",
        "tenth",
        "eleventh",
        "twelfth",
        "thirteenth",
        "fourteenth",
        "fifteenth",
        "sixteenth",
        "seventeenth",
        "eighteenth",
        "nineteenth",
    ];
    let one = |word: &str| {
        let at = ONES.iter().position(|o| *o == word)?;
        i16::try_from(at + 1).ok()
    };
    let first = word(0);
    match first.as_str() {
        "twenty" => one(&word(1)).filter(|n| *n < 10).map(|n| (20 + n, 2)),
        "twentieth" => Some((20, 1)),
        "thirtieth" => Some((30, 1)),
        "thirty" => (word(1) == "first").then_some((31, 2)),
        other => one(other).map(|n| (n, 1)),
    }
}

/// A date that starts at a token, and the index past it: `May 14, 2008`, `3 June 1999`,
/// `2025-11-12`, `10/02/2002` (month first, as in the United States).
pub(crate) fn date_at(tokens: &[Token], content: &str, at: usize) -> Option<(Date, usize)> {
    let word = |i: usize| {
        tokens
            .get(i)
            .map(|t: &Token| t.span.of(content))
            .unwrap_or("")
    };
    let month = |i: usize| {
        let word = word(i).to_ascii_lowercase();
        (word.len() >= 3)
            .then(|| {
                MONTHS
                    .iter()
                    .position(|m| *m == word || (word.len() <= 4 && m.starts_with(&word)))
            })
            .flatten()
            .and_then(|m| i8::try_from(m + 1).ok())
    };
    let number = |i: usize| -> Option<i16> {
        tokens
            .get(i)
            .filter(|t| t.kind == TokenKind::Number)
            .and_then(|t| {
                let digits = t
                    .span
                    .of(content)
                    .trim_end_matches(|c: char| c.is_ascii_alphabetic());
                (!digits.is_empty()).then(|| digits.parse().ok()).flatten()
            })
    };
    let skip = |i: usize| {
        if matches!(word(i), "," | "." | "of" | "day") {
            i + 1
        } else {
            i
        }
    };
    let skip2 = |i: usize| skip(skip(i));
    // "0031 October" and "October 4" behind a serial number are no day and no year.
    let digits = |i: usize| word(i).bytes().filter(u8::is_ascii_digit).count();
    let day_number = |i: usize| number(i).filter(|_| digits(i) <= 2);
    let year_number = |i: usize| number(i).filter(|_| matches!(digits(i), 2 | 4));
    let year = |n: i16| match n {
        0..=40 => n + 2000,
        41..=99 => n + 1900,
        _ => n,
    };
    let day = |y: i16, m: i8, d: i16, end: usize| {
        let date = Date::new(year(y), m, i8::try_from(d).ok()?).ok()?;
        (1946..=2100).contains(&date.year()).then_some((date, end))
    };
    if let Some(m) = month(at) {
        let d_at = skip(at + 1);
        let d = day_number(d_at)?;
        let y_at = skip(d_at + 1);
        return day(year_number(y_at)?, m, d, y_at + 1);
    }
    let (of_month, m_at) = match ordinal(|i| word(at + i).to_ascii_lowercase()) {
        Some((d, words)) => (Some(d), skip2(at + words)),
        None => (day_number(at), skip2(at + 1)),
    };
    if let (Some(d), Some(m)) = (of_month, month(m_at)) {
        let y_at = skip(m_at + 1);
        return day(year_number(y_at)?, m, d, y_at + 1);
    }
    let first = number(at)?;
    // "2025-11-12": hyphens between figures are no tokens.
    let joined = |i: usize| {
        tokens.get(i).zip(tokens.get(i + 1)).map_or("", |(a, b)| {
            content.get(a.span.end..b.span.start).unwrap_or("")
        })
    };
    if word(at).len() == 4 && joined(at) == "-" && joined(at + 1) == "-" {
        let m = i8::try_from(number(at + 1)?).ok()?;
        return day(first, m, number(at + 2)?, at + 3);
    }
    let separated = |i: usize| matches!(word(i), "/" | "-");
    if separated(at + 1) && separated(at + 3) {
        let m = i8::try_from(first).ok()?;
        return day(number(at + 4)?, m, number(at + 2)?, at + 5);
    }
    if joined(at) == "-" && joined(at + 1) == "-" {
        let m = i8::try_from(first).ok()?;
        return day(number(at + 2)?, m, number(at + 1)?, at + 3);
    }
    None
}
