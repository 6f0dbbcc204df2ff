//! Which clauses are worded as no reference is: gathered in clusters, so that a club sees the
//! variants of its members.

use std::collections::BTreeMap;

use rustc_hash::FxHashSet as HashSet;
use serde::Serialize;

use super::row::Row;

/// Clusters that are held; what comes later and is like none of them is counted together.
const MOST: usize = 400;
/// The part of their words that two clauses of one cluster share at least.
const ALIKE: f64 = 0.9;

/// Clauses with nearly the same words, that name the same kinds in the same form.
#[derive(Clone, Debug, Serialize)]
pub struct Cluster {
    /// The words of its first clause, as far as they may be shown.
    pub words: String,
    /// How many letters have it.
    pub letters: u64,
    /// The rows of the first of them.
    pub rows: Vec<u64>,
    /// `open`, `closed` …
    pub form: String,
    /// The kinds named.
    pub named: Vec<String>,
    /// The nearest reference wording, where one is near.
    pub near: Option<String>,
}

/// Rows that are named in a cluster.
const ROWS: usize = 5;

/// Gathers clauses.
#[derive(Debug, Default)]
pub struct Clusters {
    clusters: Vec<Cluster>,
    /// The words of each cluster, parallel to it.
    bags: Vec<HashSet<String>>,
    /// Clauses that were met word for word.
    exact: BTreeMap<String, usize>,
    /// Letters whose clause is new and in no cluster that is held.
    more: u64,
    /// Letters whose clause follows a reference.
    known: BTreeMap<String, u64>,
}

impl Clusters {
    /// Adds the clause of a letter.
    pub fn add(&mut self, row: &Row) {
        let Some(who) = &row.who else { return };
        if let Some(reference) = &who.reference {
            *self.known.entry(reference.clone()).or_default() += 1;
            return;
        }
        if who.words.is_empty() {
            return;
        }
        let key = format!(
            "{}|{}|{}",
            row.form.name(),
            row.named.join(","),
            plain(&who.words)
        );
        let at = self
            .exact
            .get(&key)
            .copied()
            .or_else(|| self.alike(row, &who.words));
        let at = match at {
            Some(at) => at,
            None if self.clusters.len() < MOST => {
                self.clusters.push(Cluster {
                    words: who.words.clone(),
                    letters: 0,
                    rows: Vec::new(),
                    form: row.form.name().to_owned(),
                    named: row.named.clone(),
                    near: who.near.clone(),
                });
                self.bags.push(bag(&who.words));
                self.clusters.len() - 1
            }
            None => {
                self.more += 1;
                return;
            }
        };
        if self.exact.len() < MOST * 8 {
            self.exact.insert(key, at);
        }
        if let Some(cluster) = self.clusters.get_mut(at) {
            cluster.letters += 1;
            if cluster.rows.len() < ROWS {
                cluster.rows.push(row.row);
            }
        }
    }

    fn alike(&self, row: &Row, words: &str) -> Option<usize> {
        let probe = bag(words);
        self.clusters
            .iter()
            .zip(&self.bags)
            .position(|(cluster, bag)| {
                #[expect(clippy::cast_precision_loss, reason = "words of a clause")]
                let share = || {
                    let common = probe.intersection(bag).count();
                    2.0 * common as f64 / (probe.len() + bag.len()).max(1) as f64
                };
                cluster.form == row.form.name() && cluster.named == row.named && share() >= ALIKE
            })
    }

    /// The clusters, the most frequent first.
    #[must_use]
    pub fn clusters(&self) -> Vec<&Cluster> {
        let mut all: Vec<&Cluster> = self.clusters.iter().collect();
        all.sort_by(|a, b| b.letters.cmp(&a.letters).then(a.rows.cmp(&b.rows)));
        all
    }

    /// Letters whose clause is new and in none of the clusters.
    #[must_use]
    pub const fn more(&self) -> u64 {
        self.more
    }

    /// How many letters follow each reference wording.
    #[must_use]
    pub const fn known(&self) -> &BTreeMap<String, u64> {
        &self.known
    }
}

fn bag(words: &str) -> HashSet<String> {
    plain(words).split(' ').map(str::to_owned).collect()
}

/// Words and figures in small letters.
pub(super) fn plain(words: &str) -> String {
    let mut out = String::with_capacity(words.len());
    for c in words.chars() {
        if c.is_alphanumeric() || c == '.' && !out.ends_with(' ') {
            out.extend(c.to_lowercase());
        } else if !out.is_empty() && !out.ends_with(' ') {
            out.push(' ');
        }
    }
    out.trim_end_matches([' ', '.']).to_owned()
}
