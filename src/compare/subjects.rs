//! What the clauses of two letters are about, where they share few words or none: a clause and its
//! paraphrase keep the subject.

use std::collections::BTreeMap;

use super::clauses::Passage;
use crate::patterns::Patterns;
use crate::understand::topics::subjects;

/// Beyond so many pairs of clauses no letter goes, and subjects alone make no candidates.
const MOST_PAIRS: usize = 250_000;

/// What subjects that two texts share in full add to the similarity of their words: less than makes
/// them the same, enough to stand out.
const WEIGHT: f64 = 0.25;

/// The subjects of the clauses of two letters, by the places of their files.
#[derive(Debug)]
pub(super) struct Subjects {
    of_old: Vec<Vec<usize>>,
    of_new: Vec<Vec<usize>>,
    /// How much each subject tells: the logarithm of how rare it is among the clauses of both.
    weights: BTreeMap<usize, f64>,
}

impl Subjects {
    pub(super) fn new(was: &[Passage<'_>], is: &[Passage<'_>], patterns: &Patterns) -> Self {
        let of = |passages: &[Passage<'_>]| -> Vec<Vec<usize>> {
            let bodies = passages.iter().map(|p| p.body);
            bodies.map(|body| subjects(body, patterns)).collect()
        };
        let (of_old, of_new) = (of(was), of(is));
        let mut counts: BTreeMap<usize, f64> = BTreeMap::new();
        for subject in of_old.iter().chain(&of_new).flatten() {
            *counts.entry(*subject).or_default() += 1.0;
        }
        let all = (of_old.len() + of_new.len()) as f64;
        let weight = |count: f64| (1.0 + all / (count + 0.5)).ln();
        Self {
            weights: counts.into_iter().map(|(s, n)| (s, weight(n))).collect(),
            of_old,
            of_new,
        }
    }

    /// The old and new clauses that share a subject.
    pub(super) fn pairs(&self) -> Vec<(usize, usize)> {
        if self.of_old.len() * self.of_new.len() > MOST_PAIRS {
            return Vec::new();
        }
        let old = self.of_old.iter().enumerate();
        old.flat_map(|(o, was)| {
            let new = self.of_new.iter().enumerate();
            new.filter(|(_, is)| was.iter().any(|s| is.contains(s)))
                .map(move |(n, _)| (o, n))
        })
        .collect()
    }

    /// What the subjects of old and new clauses, each taken together, add to their likeness.
    pub(super) fn likeness(&self, old: &[usize], new: &[usize]) -> f64 {
        let (was, is) = (gathered(&self.of_old, old), gathered(&self.of_new, new));
        let all = self.mass(&was) + self.mass(&is);
        if all > 0.0 {
            WEIGHT * 2.0 * self.mass(&both(&was, &is)) / all
        } else {
            0.0
        }
    }

    /// The part of the weight of an old clause's subjects that a new one has too, and the other
    /// way about; 0 for a clause without a known subject.
    pub(super) fn told(&self, old: usize, new: usize) -> (f64, f64) {
        let (was, is) = (
            gathered(&self.of_old, &[old]),
            gathered(&self.of_new, &[new]),
        );
        let common = self.mass(&both(&was, &is));
        let part = |of: &[usize]| {
            let mass = self.mass(of);
            if mass > 0.0 { common / mass } else { 0.0 }
        };
        (part(&was), part(&is))
    }

    fn mass(&self, subjects: &[usize]) -> f64 {
        let weights = subjects.iter().filter_map(|s| self.weights.get(s));
        weights.sum()
    }
}

/// The subjects of clauses taken together, ascending and each once.
fn gathered(rows: &[Vec<usize>], clauses: &[usize]) -> Vec<usize> {
    let rows = clauses.iter().filter_map(|n| rows.get(*n));
    let mut all: Vec<usize> = rows.flatten().copied().collect();
    all.sort_unstable();
    all.dedup();
    all
}

fn both(a: &[usize], b: &[usize]) -> Vec<usize> {
    a.iter().copied().filter(|s| b.contains(s)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn clauses_without_a_common_word_share_a_subject() {
        let patterns = Patterns::embedded().unwrap();
        let passage = |body| Passage {
            clause: 0,
            span: crate::model::Span::new(0, 0),
            body,
            topics: &[],
        };
        let was = ["Aerobatics are prohibited.", "Not for hire."].map(passage);
        let is = [
            "Neither people nor goods may be flown for pay.",
            "Abrupt maneuvers and spins must not be flown.",
        ]
        .map(passage);
        let subjects = Subjects::new(&was, &is, &patterns);
        assert_eq!(subjects.pairs(), [(0, 1), (1, 0)]);
        assert_eq!(subjects.told(0, 1), (1.0, 1.0));
        assert_eq!(subjects.told(0, 0), (0.0, 0.0));
        assert!((subjects.likeness(&[0], &[1]) - WEIGHT).abs() < 1e-9);
        assert!((subjects.likeness(&[0, 1], &[0, 1]) - WEIGHT).abs() < 1e-9);
        assert!(subjects.likeness(&[0], &[0]).abs() < 1e-9);
    }
}
