//! Flaws of a letter that show only beside reference wordings.

use std::collections::BTreeMap;

use super::cite;
use super::clauses::level_one;
use super::reference::{References, Within};
use super::tokens::tokens;
use crate::model::{Defect, Detail, Letter, Modality, Paper, Text};
use crate::patterns::{Loaded, Patterns, WordingFile};

/// A clause this similar to a wording of another basis …
const OTHER: f64 = 0.72;
/// … and that much more similar than to any wording of its own.
const MORE: f64 = 0.25;
/// How similar a clause must be to a wording to be that alternative of a template.
const ALTERNATIVE: f64 = 0.55;
/// How similar a passage must be to the order's words to its inspectors.
const INSTRUCTION: f64 = 0.5;

/// Both alternatives of a template left in, clauses of another basis, instructions to the issuing
/// inspector left in; in the order of the letter.
#[must_use]
pub fn findings(letter: &Letter, text: &Text, patterns: &Patterns) -> Vec<Defect> {
    let basis = letter.basis.value.map(|b| b.letter);
    Flaws::within(basis, patterns, References::new).of(letter, text)
}

/// The reference wordings made ready for [`findings`], for many letters.
#[derive(Debug)]
pub struct Flaws<'p> {
    all: References<'p>,
    own: BTreeMap<char, References<'p>>,
    patterns: &'p Patterns,
}

impl<'p> Flaws<'p> {
    /// For letters of every basis.
    #[must_use]
    pub fn new(patterns: &'p Patterns) -> Self {
        Self::within('a'..='l', patterns, References::for_many)
    }

    fn within(
        bases: impl IntoIterator<Item = char>,
        patterns: &'p Patterns,
        make: impl Fn(Within, &'p Patterns) -> References<'p>,
    ) -> Self {
        Self {
            all: make(Within::AnyBasis, patterns),
            own: bases
                .into_iter()
                .map(|b| (b, make(Within::Basis(b), patterns)))
                .collect(),
            patterns,
        }
    }

    /// The flaws of a letter, as [`findings`] finds them.
    #[must_use]
    pub fn of(&self, letter: &Letter, text: &Text) -> Vec<Defect> {
        if letter.paper == Paper::LightSportCategory {
            return Vec::new();
        }
        let basis = letter.basis.value.map(|b| b.letter);
        let own = basis.and_then(|b| self.own.get(&b));
        flaws(letter, text, basis, own, self)
    }
}

fn flaws(
    letter: &Letter,
    text: &Text,
    basis: Option<char>,
    own: Option<&References<'_>>,
    held: &Flaws<'_>,
) -> Vec<Defect> {
    let Flaws { all, patterns, .. } = held;
    let passages = level_one(letter, text);
    let mut out = Vec::new();
    // For each passage the wordings that it may be, most similar first.
    let mut near: Vec<Vec<(&Loaded<WordingFile>, f64)>> = Vec::with_capacity(passages.len());
    for passage in &passages {
        let found = all.nearest(passage.body);
        let at_home = || {
            own.and_then(|o| o.nearest(passage.body).first().map(|f| f.1))
                .unwrap_or(0.0)
        };
        if let Some(cited) = basis.and_then(|b| other_purpose(passage.body, b, patterns)) {
            out.push(Defect {
                detail: Detail::CitesOtherBasis { citation: cited },
                clauses: vec![passage.clause],
                span: Some(passage.span),
            });
        } else if let (Some(basis), Some((wording, similarity))) = (basis, found.first())
            && !wording.file.is_of(basis)
            && own.is_some_and(|o| !o.is_empty())
            && *similarity >= OTHER
            && *similarity - at_home() >= MORE
        {
            out.push(Defect {
                detail: Detail::WordedForOtherBasis {
                    of: wording.file.basis.clone(),
                    basis,
                    revision: wording.file.revision.clone(),
                },
                clauses: vec![passage.clause],
                span: Some(passage.span),
            });
        }
        if let Some((wording, _)) = found
            .iter()
            .find(|(w, s)| w.file.item == "lead-in" && *s >= INSTRUCTION)
        {
            out.push(Defect {
                detail: Detail::OrderWords {
                    revision: wording.file.revision.clone(),
                },
                clauses: vec![passage.clause],
                span: Some(passage.span),
            });
        }
        near.push(found);
    }
    out.extend(alternatives(letter, &passages, &near));
    out.sort_by_key(|d| (d.span.map_or(0, |s| s.start), d.kind()));
    out
}

/// The paragraph of § 21.191 that a clause cites, where it cites another one than the letter's and
/// not the letter's own.
fn other_purpose(body: &str, basis: char, patterns: &Patterns) -> Option<String> {
    if !body.contains("191") {
        return None;
    }
    let tokens = tokens(body, &patterns.list);
    let cited: Vec<String> = cite::citations(&tokens)
        .into_iter()
        .map(|c| c.target)
        .filter(|t| t.starts_with("21.191("))
        .collect();
    let own = format!("21.191({basis})");
    if cited.iter().any(|t| t.starts_with(&own)) {
        return None;
    }
    cited.into_iter().next()
}

/// Clauses that are alternatives of one template by the wordings behind them, or of which one
/// bars aerobatic flight and another permits it.
fn alternatives(
    letter: &Letter,
    passages: &[super::clauses::Passage<'_>],
    near: &[Vec<(&Loaded<WordingFile>, f64)>],
) -> Vec<Defect> {
    let mut out = Vec::new();
    let is = |n: usize, id: &str| {
        near.get(n).is_some_and(|row| {
            row.first().is_some_and(|(_, best)| {
                row.iter()
                    .any(|(w, s)| w.id == id && *s >= ALTERNATIVE && *s >= 0.9 * best)
            })
        })
    };
    let modalities = |n: usize| -> Vec<Modality> {
        let Some(passage) = passages.get(n) else {
            return Vec::new();
        };
        letter
            .norms
            .iter()
            .filter(|m| !m.quoted && passage.span.contains(m.span))
            .map(|m| m.modality)
            .filter(|m| *m != Modality::Statement)
            .collect()
    };
    let topic = |n: usize, name: &str| {
        passages
            .get(n)
            .and_then(|p| letter.topics.get(p.clause))
            .is_some_and(|t| t.iter().any(|t| t == name))
    };
    for (n, row) in near.iter().enumerate() {
        for m in 0..near.len() {
            if n == m {
                continue;
            }
            let by_wording = row
                .first()
                .filter(|(_, s)| *s >= ALTERNATIVE)
                .is_some_and(|(w, _)| w.file.instead_of.iter().any(|id| is(m, id)));
            // Both sides of the pair see it: the one that permits reports it.
            let by_modality = topic(n, "aerobatics")
                && topic(m, "aerobatics")
                && modalities(n).first() == Some(&Modality::Permission)
                && modalities(m) == [Modality::Prohibition];
            if !by_wording && !by_modality {
                continue;
            }
            let (Some(a), Some(b)) = (passages.get(m), passages.get(n)) else {
                continue;
            };
            let (first, second) = if a.clause < b.clause { (a, b) } else { (b, a) };
            let defect = Defect {
                detail: Detail::Alternatives,
                clauses: vec![first.clause, second.clause],
                span: Some(second.span),
            };
            if !out.contains(&defect) {
                out.push(defect);
            }
        }
    }
    out
}
