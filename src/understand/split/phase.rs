//! For which flight-test phase a clause holds: headings, and lists of clause numbers.

use crate::model::{Clause, Phase, Span};
use crate::patterns::numbering::NumberingRole;
use crate::patterns::{Patterns, Token, TokenKind, WordList};

/// "Phase II Limitations: 1 thru 6, 8, 11 (not 10)".
#[derive(Clone, Debug)]
pub(super) struct List {
    pub(super) span: Span,
    phase: Phase,
    /// Ranges of numbers, both ends included.
    holds: Vec<(u32, u32)>,
    without: Vec<(u32, u32)>,
}

impl List {
    fn has(&self, number: u32) -> bool {
        let within =
            |ranges: &[(u32, u32)]| ranges.iter().any(|(a, b)| (*a..=*b).contains(&number));
        within(&self.holds) && !within(&self.without)
    }
}

/// A list names at least so many clauses.
const FEWEST: usize = 2;

/// All lists of clause numbers by phase.
pub(super) fn lists(text: &str, tokens: &[Token], patterns: &Patterns) -> Vec<List> {
    let mut found: Vec<List> = Vec::new();
    for (range, role) in patterns.numbering.phases.find(tokens) {
        let phase = match role {
            NumberingRole::PhaseOne => Phase::One,
            NumberingRole::PhaseTwo => Phase::Two,
            _ => continue,
        };
        let start = tokens[range.start].span.start;
        if found.last().is_some_and(|l| start < l.span.end) {
            continue;
        }
        let Some(first) = first_number(text, tokens, range.end) else {
            continue;
        };
        let list = List::read(text, tokens, first, phase, start, patterns);
        let named: usize = list.holds.iter().map(|(a, b)| (b - a) as usize + 1).sum();
        if named >= FEWEST && list.span.end > list.span.start {
            found.push(list);
        }
    }
    found
}

/// Where the numbers of a list start behind the name of its phase: behind up to five words and a
/// colon or a dash, or at once.
fn first_number(text: &str, tokens: &[Token], mut at: usize) -> Option<usize> {
    let word = |at: usize| tokens.get(at).map_or("", |t| t.span.of(text));
    let mut words = 0;
    while tokens.get(at).is_some_and(|t| t.kind == TokenKind::Word) && words < 5 {
        at += 1;
        words += 1;
    }
    let marked = matches!(word(at), ":" | "-" | "–" | "—" | "=");
    if marked {
        at += 1;
    } else if words == 0 {
        return None;
    }
    if word(at) == "#" {
        at += 1;
    }
    Some(at)
}

impl List {
    /// Reads the numbers from token `at` on; `start` is where the name of the phase stands.
    fn read(
        text: &str,
        tokens: &[Token],
        mut at: usize,
        phase: Phase,
        start: usize,
        patterns: &Patterns,
    ) -> Self {
        let mut list = Self {
            span: Span::new(start, 0),
            phase,
            holds: Vec::new(),
            without: Vec::new(),
        };
        let mut without = false;
        let mut ranged = false;
        while let Some(token) = tokens.get(at) {
            if token.kind == TokenKind::Number {
                let Some(numbers) = numbers_at(text, tokens, at, without) else {
                    break;
                };
                let to = if without {
                    &mut list.without
                } else {
                    &mut list.holds
                };
                let mut numbers = numbers.into_iter();
                if ranged
                    && let Some(last) = to.last_mut()
                    && let Some(n) = numbers.next()
                {
                    last.1 = n.max(last.0);
                    ranged = false;
                }
                to.extend(numbers.map(|n| (n, n)));
                // "1-6": the hyphen is no token of its own.
                let glued = tokens
                    .get(at + 1)
                    .is_some_and(|t| t.glued && t.kind == TokenKind::Number);
                ranged |= glued;
                list.span.end = token.span.end;
                at += 1;
                continue;
            }
            let lower = token.span.of(text).to_ascii_lowercase();
            match lower.as_str() {
                "thru" | "through" | "to" | "-" | "–" | "—" => ranged = true,
                "not" | "except" | "excluding" | "but" => without = true,
                ")" => {
                    if !without {
                        break;
                    }
                    without = false;
                    list.span.end = token.span.end;
                }
                "," | ";" | "and" | "&" | "(" | "no" => {}
                label if patterns.list.has(label, WordList::NumberLabel) => {}
                _ => break,
            }
            at += 1;
        }
        list
    }
}

/// The clause numbers of a list at token `at`; none where the number there is that of the next
/// clause: one with a dot behind it at the head of a line.
fn numbers_at(text: &str, tokens: &[Token], at: usize, without: bool) -> Option<Vec<u32>> {
    let word = |at: usize| tokens.get(at).map_or("", |t| t.span.of(text));
    let numbers = numbers(word(at));
    if numbers.is_empty() || (matches!(word(at + 1), ")") && !without) {
        return None;
    }
    let sentence = word(at + 1) == "."
        && tokens
            .get(at + 2)
            .is_some_and(|t| t.kind == TokenKind::Word);
    (!sentence).then_some(numbers)
}

/// The clause numbers of a token: "3,4,5" without blanks is one.
fn numbers(word: &str) -> Vec<u32> {
    let parts: Option<Vec<u32>> = word
        .split(',')
        .map(|p| p.parse().ok().filter(|n| (1..300).contains(n)))
        .collect();
    parts.unwrap_or_default()
}

/// Gives each clause its phase: by the lists where there are some, else by the headings.
pub(super) fn tell(
    clauses: &mut [Clause],
    text: &str,
    tokens: &[Token],
    lists: &[List],
    patterns: &Patterns,
) {
    let mut current = None;
    for clause in clauses.iter_mut() {
        if clause.parent.is_none()
            && let Some(told) = heading(clause, text, tokens, patterns)
        {
            current = told;
        }
        clause.phase = current;
    }
    if lists.is_empty() {
        return;
    }
    let mut by_number: Vec<Option<Option<Phase>>> = Vec::with_capacity(clauses.len());
    for (at, clause) in clauses.iter().enumerate() {
        let told = if let Some(parent) = clause.parent.filter(|p| *p < at) {
            by_number[parent]
        } else {
            let number = clause
                .number
                .as_ref()
                .or(clause.item.as_ref())
                .and_then(|n| n.label.parse::<u32>().ok());
            number.map(|n| {
                let one = lists.iter().any(|l| l.phase == Phase::One && l.has(n));
                let two = lists.iter().any(|l| l.phase == Phase::Two && l.has(n));
                match (one, two) {
                    (true, false) => Some(Phase::One),
                    (false, true) => Some(Phase::Two),
                    _ => None,
                }
            })
        };
        by_number.push(told);
    }
    for (clause, told) in clauses.iter_mut().zip(by_number) {
        if let Some(phase) = told {
            clause.phase = phase;
        }
    }
}

/// The phase that a heading names: `None` where it is no heading of a phase, `Some(None)` where it
/// ends one.
fn heading(
    clause: &Clause,
    text: &str,
    tokens: &[Token],
    patterns: &Patterns,
) -> Option<Option<Phase>> {
    let words = clause.body.of(text);
    if words.len() > 120 || words.is_empty() {
        return None;
    }
    let sentence = words.trim_end().ends_with('.');
    if sentence && !patterns.list.has(words.trim_start(), WordList::PhaseHead) {
        return None;
    }
    let first = tokens.partition_point(|t| t.span.start < clause.body.start);
    let end = tokens.partition_point(|t| t.span.start < clause.body.end);
    let mut told = None;
    for (_, role) in patterns.numbering.phases.find(tokens.get(first..end)?) {
        let now = match role {
            NumberingRole::PhaseOne => Some(Phase::One),
            NumberingRole::PhaseTwo => Some(Phase::Two),
            _ => None,
        };
        match told {
            None => told = Some(now),
            Some(before) if before == now => {}
            Some(_) => told = Some(None),
        }
    }
    // A line that speaks of a phase within a sentence is no heading.
    let short = words.split_whitespace().count() <= 10;
    told.filter(|_| {
        short
            && clause
                .number
                .as_ref()
                .is_none_or(|n| !n.label.starts_with(|c: char| c.is_ascii_digit()))
    })
}
