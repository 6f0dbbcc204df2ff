//! Amend or not: what the newest set of the order would add to this letter and take from it, as
//! far as its wordings are held.

use super::facts::Facts;
use crate::compare;
use crate::model::{Diff, Letter, Op, Span, Text};
use crate::patterns::{Patterns, cited};

/// What an amended letter would change. Only the wordings that are held can be told from.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Amend {
    /// The newest set of which a wording is held: `8130.2L`; empty where none is.
    pub series: String,
    /// Its day, as far as it is known.
    pub issued: String,
    /// One row for each wording of it that is held.
    pub rows: Vec<AmendRow>,
    /// What is reported of the set beside that, each with its source.
    pub reported: Vec<String>,
}

/// One limitation of the newest set, held against the letter.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AmendRow {
    /// Number in the order's list.
    pub item: String,
    /// The whole limitation, without its number.
    pub text: String,
    /// The letter's clause of the same content; `None` where it has none.
    pub replaces: Option<Replaced>,
    /// Where its words were read, with date and grade.
    pub source: String,
}

/// The letter's clause in the place of which a limitation of the newest set would come.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Replaced {
    /// Its id.
    pub clause: String,
    /// The whole clause with its sub-items, its number as printed; blanks folded.
    pub text: String,
    /// Words of weight differ.
    pub differs: bool,
}

/// Compares the letter with the newest set for its purpose.
pub(super) fn amend(letter: &Letter, text: &str, facts: &Facts, patterns: &Patterns) -> Amend {
    let reported = patterns
        .statement
        .get("request-amend-reported")
        .filter(|s| s.file.holds.of(None, facts.basis, facts.on, facts.issued))
        .map(|_| patterns.statement.say("request-amend-reported", &[]));
    let mut amend = Amend {
        reported: reported.into_iter().collect(),
        ..Amend::default()
    };
    let Some(basis) = facts.basis else {
        return amend;
    };
    // Days are written as far as they are known, so they stand in order as they are.
    let on = facts.on.to_string();
    let newest = patterns
        .wording
        .iter()
        .filter(|w| w.file.is_of(basis.letter) && !w.file.issued.is_empty())
        .filter(|w| w.file.issued.as_str() <= on.as_str())
        .max_by(|a, b| a.file.issued.cmp(&b.file.issued));
    let Some(newest) = newest else {
        return amend;
    };
    amend.series.clone_from(&newest.file.series);
    amend.issued.clone_from(&newest.file.issued);
    let text = Text::verbatim(text);
    let compared = compare::with_wording(letter, &text, &amend.series, patterns);
    let clauses = compared.map(|c| c.clauses).unwrap_or_default();
    amend.rows = patterns
        .wording
        .iter()
        .filter(|w| w.file.series == amend.series && w.file.is_of(basis.letter))
        .map(|wording| {
            let pair = clauses
                .iter()
                .find(|c| c.reference.as_deref() == Some(wording.id.as_str()));
            AmendRow {
                item: wording.file.item.clone(),
                text: folded(&wording.file.text),
                replaces: pair.and_then(|p| replaced(letter, &text, p.clause, p.diff.as_ref()?)),
                source: cited(&wording.file.source),
            }
        })
        .collect();
    amend
}

fn replaced(letter: &Letter, text: &Text, at: usize, diff: &Diff) -> Option<Replaced> {
    let clause = letter.clauses.get(at)?;
    let below = letter.clauses.iter().skip(at + 1);
    let end = below
        .take_while(|c| c.level > clause.level)
        .map(|c| c.span.end)
        .fold(clause.span.end, usize::max);
    let whole = Span::new(clause.span.start, end).of(&text.content);
    Some(Replaced {
        clause: clause.id.clone(),
        text: folded(whole),
        differs: diff.ops.iter().any(|op| match op {
            Op::Keep(_) => false,
            Op::Delete(words) | Op::Insert(words) => words.chars().any(char::is_alphabetic),
        }),
    })
}

fn folded(words: &str) -> String {
    words.split_whitespace().collect::<Vec<_>>().join(" ")
}
