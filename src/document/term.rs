//! The paper's own term.

use jiff::civil::Date;

use super::dates::date_at;
use crate::model::{Found, Letter, Span, Text};
use crate::patterns::{PaperMeaning, Patterns, Token};
use crate::text::numbers;

/// The day on which the paper's own term runs out, where it names one.
pub(super) fn term(
    letter: &Letter,
    text: &Text,
    tokens: &[Token],
    patterns: &Patterns,
) -> Found<Date> {
    let content = &text.content;
    let mut found: Vec<(Date, Span)> = Vec::new();
    for (range, (_, meaning)) in patterns.paper.labels.find(tokens) {
        if *meaning != PaperMeaning::Term {
            continue;
        }
        let start = tokens[range.start].span.start;
        let end = tokens.len().min(range.end + 8);
        let day = (range.end..end).find_map(|at| {
            let stop = tokens[range.end..at]
                .iter()
                .any(|t| matches!(t.span.of(content), "." | ";"));
            (!stop).then(|| date_at(tokens, content, at)).flatten()
        });
        if let Some((day, past)) = day {
            found.push((day, Span::new(start, tokens[past - 1].span.end)));
        } else if let (Some(issued), Some(term)) = (
            letter.issued.value,
            span_of_time(tokens, content, range.end),
        ) && let Ok(day) = issued.checked_add(term)
        {
            found.push((
                day,
                Span::new(
                    start,
                    tokens[(range.end + 1).min(tokens.len() - 1)].span.end,
                ),
            ));
        }
    }
    found.sort_by_key(|(day, _)| *day);
    Found {
        // Several terms: the one that runs out last, so that none is called run out too early.
        value: found.last().map(|(day, _)| *day),
        evidence: found.iter().rev().take(2).map(|(_, s)| *s).collect(),
    }
}

/// "one year", "12 calendar months", "36 months", "90 days" within a few tokens.
fn span_of_time(tokens: &[Token], content: &str, at: usize) -> Option<jiff::Span> {
    use jiff::ToSpan;
    let word = |i: usize| {
        tokens
            .get(i)
            .map_or_else(String::new, |t| t.span.of(content).to_ascii_lowercase())
    };
    for i in at..(at + 6).min(tokens.len()) {
        let said = word(i);
        let in_words = || numbers::unit(&said).or_else(|| numbers::tens(&said));
        let n = said.parse::<i32>().ok().or_else(|| match said.as_str() {
            "a" => Some(1),
            _ => in_words().and_then(|n| i32::try_from(n).ok()),
        });
        let Some(n) = n.filter(|n| (1..=400).contains(n)) else {
            continue;
        };
        let mut unit = word(i + 1);
        if unit == "(" {
            unit = word(i + 4);
        }
        if unit == "calendar" {
            unit = word(i + 2);
        }
        return match unit.as_str() {
            "year" | "years" => Some(n.years()),
            "month" | "months" => Some(n.months()),
            "day" | "days" => Some(n.days()),
            _ => continue,
        };
    }
    None
}
