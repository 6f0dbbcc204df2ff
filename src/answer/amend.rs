//! Amend or not: what the newest set of the order would add to this letter and take from it, as
//! far as its wordings are held.

use super::facts::Facts;
use crate::compare;
use crate::model::{Diff, Letter, Op, Text};
use crate::patterns::{Loaded, Patterns, WordingFile, cited};

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
    /// The letter's clause of the same content; `None` where it has none.
    pub clause: Option<String>,
    /// What it would add: words of the set that the letter does not have; the whole limitation
    /// where the letter has no such clause.
    pub adds: Vec<String>,
    /// What it would take away: words that only the letter has.
    pub takes_away: Vec<String>,
    /// Where its words were read, with date and grade.
    pub source: String,
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
            let of = |clause: usize| letter.clauses.get(clause).map(|c| c.id.clone());
            match pair.and_then(|p| Some((of(p.clause)?, p.diff.as_ref()?))) {
                Some((clause, diff)) => changed(wording, clause, diff),
                None => AmendRow {
                    item: wording.file.item.clone(),
                    clause: None,
                    adds: vec![wording.file.text.clone()],
                    takes_away: Vec::new(),
                    source: cited(&wording.file.source),
                },
            }
        })
        .collect();
    amend
}

fn changed(wording: &Loaded<WordingFile>, clause: String, diff: &Diff) -> AmendRow {
    let (mut adds, mut takes_away) = (Vec::new(), Vec::new());
    for op in &diff.ops {
        // The wording is the old text of the comparison, the letter the new one.
        let (words, list) = match op {
            Op::Keep(_) => continue,
            Op::Delete(words) => (words, &mut adds),
            Op::Insert(words) => (words, &mut takes_away),
        };
        let words = words.split_whitespace().collect::<Vec<_>>().join(" ");
        if words.chars().any(char::is_alphabetic) && !list.contains(&words) {
            list.push(words);
        }
    }
    AmendRow {
        item: wording.file.item.clone(),
        clause: Some(clause),
        adds,
        takes_away,
        source: cited(&wording.file.source),
    }
}
