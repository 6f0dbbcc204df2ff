//! Numbers and citations that a statement has otherwise than the clause.

use super::cite;
use super::clauses::Passage;
use super::tokens::{DiffToken, DiffTokenKind, tokens};
use super::words::{self, WordRole};
use crate::model::{ClaimDetail, ClaimFinding, Departure, DifferenceKind, Turn};
use crate::patterns::{Patterns, WordList};
use crate::text::numbers;

/// A number with the words around it that say what it counts.
struct Count {
    value: String,
    measure: Option<String>,
    /// "Calendar" months, "nautical" or "statute" miles.
    sort: Option<String>,
    /// It counts in calendar months.
    calendar: bool,
    /// It says how often or how long ago: "every 50 hours".
    recurs: bool,
}

impl Count {
    fn words(&self) -> String {
        let sort = self.sort.as_ref().map(|s| format!(" {s}"));
        let measure = self.measure.as_ref().map(|m| format!(" {m}s"));
        format!(
            "{}{}{}",
            self.value,
            sort.unwrap_or_default(),
            measure.unwrap_or_default()
        )
    }

    /// Whether both may count the same.
    fn same_measure(&self, other: &Self) -> bool {
        self.measure == other.measure || self.measure.is_none() || other.measure.is_none()
    }

    /// Whether both count in the same sort of months or miles. A mile of no sort is either.
    fn same_sort(&self, other: &Self) -> bool {
        let counted = self.measure.is_some() && other.measure.is_some();
        !counted
            || self.sort == other.sort
            || ((self.sort.is_none() || other.sort.is_none()) && !self.calendar && !other.calendar)
    }
}

fn counts(text: &str, patterns: &Patterns) -> Vec<Count> {
    let tokens = tokens(text, &patterns.list);
    // Of "twenty-five" only the words.
    let between = |n: usize, a: &DiffToken| {
        &*a.word == "-" && n > 0 && numbers::tens(&tokens[n - 1].word).is_some()
    };
    let kept: Vec<DiffToken> = tokens
        .iter()
        .enumerate()
        .filter(|(n, a)| !between(*n, a))
        .map(|(_, a)| a.clone())
        .collect();
    let tokens = kept;
    let cited = cite::citations(&tokens);
    let word = |n: usize| tokens.get(n).map_or("", |a| &*a.word);
    let mut out = Vec::new();
    for (n, token) in tokens.iter().enumerate() {
        if cited.iter().any(|c| c.tokens.contains(&n)) || token.kind == DiffTokenKind::Mark {
            continue;
        }
        let joined = n > 0 && numbers::tens(word(n - 1)).is_some();
        let unit = words::number(word(n + 1), false).and_then(|u| u.parse::<u32>().ok());
        let tens = numbers::tens(&token.word);
        let compound = tens.zip(unit.filter(|u| (1..10).contains(u)));
        let one = words::number(&token.word, false).filter(|_| !joined || tens.is_some());
        let value = compound
            .map(|(t, u)| (t + u).to_string())
            .or_else(|| tens.map(|t| t.to_string()))
            .or(one);
        let Some(value) = value else {
            continue;
        };
        let first = n;
        let n = n + usize::from(compound.is_some());
        let sort = tokens
            .get(n + 1)
            .filter(|a| a.is_in(WordList::SortOfMeasure));
        let next = tokens.get(n + 1 + usize::from(sort.is_some()));
        let next = next.filter(|a| a.role == WordRole::Measure);
        let measure = next.map(|a| a.stem().to_owned());
        if measure.is_some() || token.kind == DiffTokenKind::Number || tens.is_some() {
            let long = next.is_some_and(|a| a.is_in(WordList::DaysAndMore));
            let before = first.wrapping_sub(1);
            let past = |a: &DiffToken| a.is_in(WordList::Past) || a.is_in(WordList::Previous);
            let led =
                matches!(word(before), "every" | "each") || tokens.get(before).is_some_and(past);
            out.push(Count {
                value,
                recurs: measure.is_some() && (long || led),
                measure,
                calendar: sort.is_some_and(|a| a.is_in(WordList::Calendar)),
                sort: sort.map(|a| a.word.to_string()),
            });
        }
    }
    out
}

/// Whether both count something in the same measure: months, miles.
pub(super) fn same_measure(claim: &str, words: &str, patterns: &Patterns) -> bool {
    let theirs = counts(words, patterns);
    counts(claim, patterns)
        .iter()
        .filter(|c| c.measure.is_some())
        .any(|c| theirs.iter().any(|t| t.measure == c.measure))
}

/// Numbers that the clause has otherwise, or not at all.
pub(super) fn numbers(
    claim: &str,
    passage: &Passage<'_>,
    patterns: &Patterns,
) -> Vec<ClaimFinding> {
    let of_letter = counts(passage.body, patterns);
    let mut out = Vec::new();
    for count in counts(claim, patterns) {
        let same = || {
            of_letter
                .iter()
                .filter(|c| c.value == count.value && c.same_measure(&count))
        };
        if same().any(|c| c.same_sort(&count)) {
            continue;
        }
        let other = same().next().map(|c| (c, true)).or_else(|| {
            of_letter
                .iter()
                .find(|c| c.measure.is_some() && c.measure == count.measure)
                .or_else(|| of_letter.iter().find(|c| c.value == count.value))
                .map(|c| (c, false))
        });
        let says = count.words();
        let (departure, detail, span) = match &other {
            Some((other, same)) => {
                let drops = other.calendar && count.sort.is_none() && other.value == count.value;
                (
                    if drops {
                        Departure::Drops
                    } else {
                        Departure::Turns
                    },
                    ClaimDetail::Number {
                        says,
                        letter: Some(other.words()),
                        last_day: other.calendar && *same,
                    },
                    Some(passage.span),
                )
            }
            None => (
                Departure::Adds,
                ClaimDetail::Number {
                    says,
                    letter: None,
                    last_day: false,
                },
                None,
            ),
        };
        let interval = count.recurs || other.is_some_and(|(o, _)| o.recurs);
        out.push(ClaimFinding {
            turn: if interval {
                Turn::Interval
            } else {
                Turn::Number
            },
            departure,
            kind: DifferenceKind::Number,
            detail,
            span,
        });
    }
    out
}

/// Rules that it cites and the clause does not.
pub(super) fn citations(
    claim: &str,
    passage: &Passage<'_>,
    patterns: &Patterns,
) -> Vec<ClaimFinding> {
    let targets = |text: &str| -> Vec<String> {
        cite::citations(&tokens(text, &patterns.list))
            .into_iter()
            .map(|c| c.target)
            .collect()
    };
    let of_letter = targets(passage.body);
    targets(claim)
        .into_iter()
        .filter(|t| {
            !of_letter
                .iter()
                .any(|l| l.starts_with(t.as_str()) || t.starts_with(l.as_str()))
        })
        .map(|target| ClaimFinding {
            turn: Turn::Citation,
            departure: if of_letter.is_empty() {
                Departure::Adds
            } else {
                Departure::Turns
            },
            kind: DifferenceKind::Citation,
            detail: ClaimDetail::Cites(target),
            span: None,
        })
        .collect()
}
