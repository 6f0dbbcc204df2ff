//! Days of a paper: those that it gives, and the one on which it was issued.

use jiff::civil::Date;

use super::heads::Heads;
use super::papers::{Part, What};
use super::signs::{Sign, signs};
use crate::model::{Found, Letter, Span, Text};
use crate::patterns::{PaperMeaning, Patterns, Token, TokenKind};
use crate::text::numbers::ordinal;

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

/// The day on which the letter was issued; without a value where several days could be it.
pub(super) fn issued(
    letter: &Letter,
    signs: &[Sign<'_>],
    tokens: &[Token],
    text: &Text,
    head: &Heads,
    parts: &[Part],
) -> Found<Date> {
    let content = &text.content;
    let mut found = labelled(signs, tokens, content);
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
    let mut value = one(found.iter().map(|(d, _)| *d));
    if value.is_none() && parts.len() > 1 {
        // Several papers: the day of the one that says who inspects, and of a letter before that
        // of the certificate beside it.
        let among = |keep: &dyn Fn(&Span) -> bool| {
            one(found.iter().filter(|(_, s)| keep(s)).map(|(d, _)| *d))
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

/// The day, where all of them are the same.
fn one(days: impl Iterator<Item = Date>) -> Option<Date> {
    let mut days: Vec<Date> = days.collect();
    days.sort_unstable();
    days.dedup();
    match days.as_slice() {
        [day] => Some(*day),
        _ => None,
    }
}

/// The dates behind a label that says that it is the day of issue.
fn labelled(signs: &[Sign<'_>], tokens: &[Token], content: &str) -> Vec<(Date, Span)> {
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
    found
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

/// A date that starts at a token, and the index past it: `May 14, 2008`, `3 June 1999`,
/// `2025-11-12`, `10/02/2002` (month first, as in the United States).
pub(crate) fn date_at(tokens: &[Token], content: &str, at: usize) -> Option<(Date, usize)> {
    let words = Words { tokens, content };
    if let Some(m) = words.month(at) {
        let d_at = words.skip(at + 1);
        let d = words.day_number(d_at)?;
        let y_at = words.skip(d_at + 1);
        return day(words.year_number(y_at)?, m, d, y_at + 1);
    }
    let lower = [at, at + 1].map(|i| words.word(i).to_ascii_lowercase());
    let (of_month, behind) = match ordinal(|i| lower.get(i).map_or("", String::as_str)) {
        Some((d, count)) => (i16::try_from(d).ok(), at + count),
        None => (words.day_number(at), at + 1),
    };
    let m_at = words.skip(words.skip(behind));
    if let (Some(d), Some(m)) = (of_month, words.month(m_at)) {
        let y_at = words.skip(m_at + 1);
        return day(words.year_number(y_at)?, m, d, y_at + 1);
    }
    words.in_figures(at)
}

/// A day between 1946 and 2100, with the index past its words; a year of two figures is of this
/// century up to 40.
fn day(year: i16, month: i8, day: i16, end: usize) -> Option<(Date, usize)> {
    let year = match year {
        0..=40 => year + 2000,
        41..=99 => year + 1900,
        _ => year,
    };
    let date = Date::new(year, month, i8::try_from(day).ok()?).ok()?;
    (1946..=2100).contains(&date.year()).then_some((date, end))
}

/// The words of a text in which a date is looked for.
struct Words<'a> {
    tokens: &'a [Token],
    content: &'a str,
}

impl Words<'_> {
    fn word(&self, at: usize) -> &str {
        self.tokens.get(at).map_or("", |t| t.span.of(self.content))
    }

    /// The number of a month that is named in whole or by its first letters.
    fn month(&self, at: usize) -> Option<i8> {
        let word = self.word(at).to_ascii_lowercase();
        if word.len() < 3 {
            return None;
        }
        let month = MONTHS
            .iter()
            .position(|m| *m == word || (word.len() <= 4 && m.starts_with(&word)))?;
        i8::try_from(month + 1).ok()
    }

    /// The number of a token, without the letters behind it: `3rd`.
    fn number(&self, at: usize) -> Option<i16> {
        let token = self.tokens.get(at)?;
        if token.kind != TokenKind::Number {
            return None;
        }
        let digits = token
            .span
            .of(self.content)
            .trim_end_matches(|c: char| c.is_ascii_alphabetic());
        digits.parse().ok()
    }

    fn digits(&self, at: usize) -> usize {
        self.word(at).bytes().filter(u8::is_ascii_digit).count()
    }

    /// A day of the month: "0031 October" behind a serial number names none.
    fn day_number(&self, at: usize) -> Option<i16> {
        self.number(at).filter(|_| self.digits(at) <= 2)
    }

    /// A year of two or four figures.
    fn year_number(&self, at: usize) -> Option<i16> {
        self.number(at).filter(|_| matches!(self.digits(at), 2 | 4))
    }

    /// The token behind a word or a mark between the parts of a date.
    fn skip(&self, at: usize) -> usize {
        at + usize::from(matches!(self.word(at), "," | "." | "of" | "day"))
    }

    /// What stands between a token and the next one.
    fn joined(&self, at: usize) -> &str {
        let pair = self.tokens.get(at).zip(self.tokens.get(at + 1));
        pair.map_or("", |(a, b)| {
            self.content.get(a.span.end..b.span.start).unwrap_or("")
        })
    }

    /// `2025-11-12`, `10/02/2002`, `10-02-2002`.
    fn in_figures(&self, at: usize) -> Option<(Date, usize)> {
        let first = self.number(at)?;
        // Hyphens between figures are no tokens.
        let joined = self.joined(at) == "-" && self.joined(at + 1) == "-";
        if self.word(at).len() == 4 && joined {
            let m = i8::try_from(self.number(at + 1)?).ok()?;
            return day(first, m, self.number(at + 2)?, at + 3);
        }
        let separated = |i: usize| matches!(self.word(i), "/" | "-");
        if separated(at + 1) && separated(at + 3) {
            let m = i8::try_from(first).ok()?;
            return day(self.number(at + 4)?, m, self.number(at + 2)?, at + 5);
        }
        if joined {
            let m = i8::try_from(first).ok()?;
            return day(self.number(at + 2)?, m, self.number(at + 1)?, at + 3);
        }
        None
    }
}
