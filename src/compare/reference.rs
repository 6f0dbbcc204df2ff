//! A letter held against the reference wordings of its basis.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, Mutex, PoisonError};

use rustc_hash::FxHashMap as HashMap;

use super::assign::{Edges, assign};
use super::clauses::{Passage, of_substance};
use super::content::{body, without_tail};
use super::diff::diff;
use super::index::{Candidate, Index};
use super::topical;
use crate::model::{
    ClauseComparison, Comparison, ComparisonNote, Diff, DifferenceKind, DifferenceReason, Kind,
    Letter, Op, Paper, Text,
};
use crate::patterns::{Cut, Loaded, Patterns, WordingFile};

/// The least similarity at which a wording is called the one behind a clause.
pub(super) const NEAR: f64 = 0.38;
/// The least similarity of a clause that says a wording in other words or in a few, where more
/// than the words speaks for it …
const IN_A_FEW_WORDS: f64 = 0.2;
const IN_OTHER_WORDS: f64 = 0.14;
/// … the same topic, or this part of the clause's weight, which stands in the wording, …
const MUCH_OF_ITS_WORDS: f64 = 0.42;
/// … both, which lets fewer words do: a clause that says a part of a long wording, …
const PART_OF_A_LONG_ONE: f64 = 0.1;
/// … or that no wording of another topic comes near: it is so much more similar.
const STANDS_OUT: f64 = 1.65;
/// The least similarity for that, where the clause seems to be of another topic.
const STANDS_OUT_ELSEWHERE: f64 = 0.25;
/// A piece of a wording that another clause has already: so much of its weight stands there.
const A_PIECE: f64 = 0.6;
/// Where a wording of the same content is taken by another clause: the least similarity at which
/// a second clause has it too (a letter that says something twice, a clause in two pieces).
const NEAR_AGAIN: f64 = 0.5;
/// Wordings of one topic this similar are revisions of one limitation.
const ONE_LIMITATION: f64 = 0.6;
/// A candidate much less similar than the best one is no way out for a clause.
const NO_WAY_OUT: f64 = 0.8;
/// Revisions whose similarity differs by less than this are equally near.
const EQUALLY_NEAR: f64 = 0.004;

/// Which wordings a comparison may use.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Within {
    /// Those of that paragraph of § 21.191.
    Basis(char),
    /// Those of the light-sport category.
    LightSportCategory,
    /// Those of every paragraph of § 21.191: only to tell clauses that do not belong here.
    AnyBasis,
}

/// Compares the letter with the reference wordings held for its basis.
///
/// Where the letter does not say its basis, the words of its clauses may tell it: then the note
/// says so. Wordings of another basis are never compared with.
#[must_use]
pub fn compare(letter: &Letter, text: &Text, patterns: &Patterns) -> Comparison {
    let passages = of_substance(letter, text, patterns);
    let (within, mut note) = match (letter.paper, letter.basis.value) {
        (Paper::LightSportCategory, _) => (Some(Within::LightSportCategory), None),
        (_, Some(basis)) => (Some(Within::Basis(basis.letter)), None),
        (_, None) => match basis_of_words(&passages, patterns) {
            (None, note) => builder(letter).unwrap_or((None, note)),
            told => told,
        },
    };
    let Some(within) = within else {
        return Comparison {
            wording: None,
            clauses: passages.iter().map(alone).collect(),
            note,
        };
    };
    let held = wordings(within, patterns);
    if held.is_empty() {
        note = Some(match within {
            Within::Basis(letter) => ComparisonNote::NoneHeld(letter),
            Within::LightSportCategory | Within::AnyBasis => ComparisonNote::NoneForPaper,
        });
    }
    let mut comparison = against(&passages, &held, patterns);
    comparison.note = note;
    comparison
}

/// Compares the letter with one wording (`8130.2F/26`, with or without `wording/`) or one series
/// (`8130.2F`) only; `None` where none of that name is held.
///
/// Wordings of another basis are not compared with: then the note says so.
#[must_use]
pub fn with_wording(
    letter: &Letter,
    text: &Text,
    name: &str,
    patterns: &Patterns,
) -> Option<Comparison> {
    let name = name.trim().trim_start_matches("wording/");
    let all: Vec<&Loaded<WordingFile>> = patterns
        .wording
        .iter()
        .filter(|w| {
            w.id.trim_start_matches("wording/") == name || w.file.series.eq_ignore_ascii_case(name)
        })
        .collect();
    if all.is_empty() {
        return None;
    }
    let passages = of_substance(letter, text, patterns);
    let basis = letter.basis.value.map(|b| b.letter);
    let held: Vec<&Loaded<WordingFile>> = all
        .iter()
        .copied()
        .filter(|w| basis.is_none_or(|b| w.file.is_of(b)))
        .collect();
    let mut comparison = against(&passages, &held, patterns);
    if let (true, Some(basis)) = (held.is_empty(), basis) {
        comparison.note = Some(ComparisonNote::AnotherBasis {
            wording: name.to_owned(),
            basis,
        });
    }
    Some(comparison)
}

/// The wordings of a basis, in order of their ids; those from memory are never among them.
pub(super) fn wordings(within: Within, patterns: &Patterns) -> Vec<&Loaded<WordingFile>> {
    patterns
        .wording
        .iter()
        .filter(|w| {
            w.file
                .source
                .iter()
                .all(|s| matches!(s.grade.as_str(), "A" | "B" | "C"))
        })
        .filter(|w| match within {
            Within::Basis(letter) => w.file.is_of(letter),
            Within::LightSportCategory => w.file.basis.is_empty(),
            Within::AnyBasis => !w.file.basis.is_empty(),
        })
        .collect()
}

fn alone(passage: &Passage<'_>) -> ClauseComparison {
    ClauseComparison {
        clause: passage.clause,
        reference: None,
        similarity: 0.0,
        diff: None,
    }
}

/// The basis of a letter that speaks of the builder as the holder of a repairman certificate:
/// § 65.104 gives that certificate to builders of amateur-built aircraft alone.
fn builder(letter: &Letter) -> Option<(Option<Within>, Option<ComparisonNote>)> {
    let named = letter
        .inspectors
        .iter()
        .flat_map(|rule| &rule.named)
        .any(|k| k.kind == Kind::BuilderRepairman);
    let cited = letter
        .citations
        .iter()
        .any(|c| c.part == "65" && c.section == "104");
    let note = ComparisonNote::BasisOfBuilder;
    (named || cited).then_some((Some(Within::Basis('g')), Some(note)))
}

/// The basis whose wordings the clauses have, where they have those of one basis only.
fn basis_of_words(
    passages: &[Passage<'_>],
    patterns: &Patterns,
) -> (Option<Within>, Option<ComparisonNote>) {
    const SURE: f64 = 0.8;
    const CLAUSES: usize = 3;
    let held: Vec<&Loaded<WordingFile>> = patterns
        .wording
        .iter()
        .filter(|w| !w.file.basis.is_empty())
        .collect();
    let index = Index::of_wordings(&held, patterns);
    let mut of: BTreeMap<char, usize> = BTreeMap::new();
    let mut told = 0;
    for passage in passages {
        let probe = index.probe(passage.body);
        let near: Vec<&Loaded<WordingFile>> = index
            .candidates(&probe)
            .into_iter()
            .filter(|c| c.similarity >= SURE)
            .filter_map(|c| held.get(c.entry).copied())
            .collect();
        if near.is_empty() {
            continue;
        }
        told += 1;
        let mut letters: Vec<char> = near
            .iter()
            .flat_map(|w| w.file.basis.iter().filter_map(|b| b.chars().next()))
            .collect();
        letters.sort_unstable();
        letters.dedup();
        for letter in letters {
            *of.entry(letter).or_default() += 1;
        }
    }
    let unanimous: Vec<char> = of
        .iter()
        .filter(|(_, n)| **n == told)
        .map(|(l, _)| *l)
        .collect();
    let single = unanimous
        .iter()
        .copied()
        .find(|l| of.iter().all(|(other, n)| other == l || *n < told));
    match single {
        Some(letter) if told >= CLAUSES => (
            Some(Within::Basis(letter)),
            Some(ComparisonNote::BasisOfWords {
                clauses: told,
                basis: letter,
            }),
        ),
        _ => (None, Some(ComparisonNote::NoBasis)),
    }
}

/// Pairs clauses with wordings of one basis.
pub(super) fn against(
    passages: &[Passage<'_>],
    held: &[&Loaded<WordingFile>],
    patterns: &Patterns,
) -> Comparison {
    let index = Index::of_wordings(held, patterns);
    let limitation = limitations(&index, held);
    let found = found(passages, &index, &limitation, held);
    let paired = pair(passages, &found, &limitation);
    let nearest = nearest_series(&found, &paired, &limitation, held);
    let clauses = passages
        .iter()
        .zip(&found)
        .zip(&paired)
        .map(|((passage, found), paired)| {
            let Some(paired) = paired else {
                return alone(passage);
            };
            let members = || {
                found
                    .iter()
                    .filter(|c| limitation.get(c.entry) == Some(paired))
            };
            let best = members().map(|c| c.similarity).fold(0.0, f64::max);
            let chosen = members()
                .filter(|c| best - c.similarity < EQUALLY_NEAR)
                .filter_map(|c| Some((c, *held.get(c.entry)?)))
                .min_by_key(|(c, w)| (Some(&w.file.series) != nearest.as_ref(), c.entry));
            let Some((candidate, wording)) = chosen else {
                return alone(passage);
            };
            ClauseComparison {
                clause: passage.clause,
                reference: Some(wording.id.clone()),
                similarity: candidate.similarity,
                diff: Some(known_part(
                    diff(
                        body(&wording.file.text),
                        without_tail(passage.body),
                        patterns,
                    ),
                    wording.file.cut,
                )),
            }
        })
        .collect();
    Comparison {
        wording: nearest,
        clauses,
        note: None,
    }
}

/// A comparison with a wording of which an end is missing: what the letter says there is no
/// difference, since nobody knows what the wording said.
fn known_part(mut diff: Diff, cut: Cut) -> Diff {
    let at_end =
        matches!(cut, Cut::End | Cut::Both) && !matches!(diff.ops.last(), None | Some(Op::Keep(_)));
    let at_start = matches!(cut, Cut::Start | Cut::Both)
        && !matches!(diff.ops.first(), None | Some(Op::Keep(_)));
    let told = |words: &str, ops: &[Op]| {
        ops.iter().any(|op| match op {
            Op::Insert(w) | Op::Delete(w) => w.trim() == words.trim(),
            Op::Keep(_) => false,
        })
    };
    let tail = diff.ops.len().saturating_sub(2);
    let (head, tail): (Vec<Op>, Vec<Op>) = (
        diff.ops.iter().take(2).cloned().collect(),
        diff.ops.iter().skip(tail).cloned().collect(),
    );
    let count = diff.differences.len();
    for (n, difference) in diff.differences.iter_mut().enumerate() {
        let words = if difference.new.is_empty() {
            &difference.old
        } else {
            &difference.new
        };
        let end = at_end && n + 3 > count && told(words, &tail);
        let start = at_start && n < 3 && told(words, &head);
        if end || start {
            difference.kind = DifferenceKind::Editorial;
            difference.material = false;
            difference.reason = DifferenceReason::WordingCut;
        }
    }
    diff
}

/// For each clause the wordings that may be the one behind it, most like it first.
fn found(
    passages: &[Passage<'_>],
    index: &Index,
    limitation: &[usize],
    held: &[&Loaded<WordingFile>],
) -> Vec<Vec<Candidate>> {
    let mut found: Vec<Vec<Candidate>> = passages
        .iter()
        .map(|passage| {
            let mut all = index.candidates(&index.probe(passage.body));
            for c in &mut all {
                let topics = index.topics(c.entry);
                c.likeness = topical::likeness(c.similarity, topics, passage.topics);
            }
            all.sort_by(|a, b| {
                let order = b.likeness.total_cmp(&a.likeness);
                order.then(a.entry.cmp(&b.entry))
            });
            all
        })
        .collect();
    let most = Most::of(&found, limitation);
    let topic = |c: &Candidate| held.get(c.entry).map_or("", |w| w.file.topic.as_str());
    for (n, (row, passage)) in found.iter_mut().zip(passages).enumerate() {
        let first = row.first().map_or("", topic);
        let second = row
            .iter()
            .find(|c| topic(c) != first)
            .map_or(0.0, |c| c.likeness);
        row.retain(|c| {
            let next = limitation.get(c.entry).map_or(0.0, |l| most.but(n, *l));
            near_enough(
                c,
                (topic(c), index.topics(c.entry)),
                (second, next),
                passage,
            )
        });
    }
    found
}

/// The greatest likeness of clauses and limitations to each other.
struct Most {
    /// Of each clause to each limitation.
    rows: Vec<BTreeMap<usize, f64>>,
    /// For each limitation the two clauses that are most like it.
    columns: BTreeMap<usize, [(f64, usize); 2]>,
}

impl Most {
    fn of(found: &[Vec<Candidate>], limitation: &[usize]) -> Self {
        let mut rows = Vec::with_capacity(found.len());
        let mut columns: BTreeMap<usize, [(f64, usize); 2]> = BTreeMap::new();
        for (n, candidates) in found.iter().enumerate() {
            let mut row: BTreeMap<usize, f64> = BTreeMap::new();
            for candidate in candidates {
                if let Some(l) = limitation.get(candidate.entry) {
                    let known = row.entry(*l).or_insert(0.0);
                    *known = known.max(candidate.likeness);
                }
            }
            for (l, likeness) in &row {
                let [first, second] = columns.entry(*l).or_insert([(0.0, n); 2]);
                if *likeness > first.0 {
                    *second = *first;
                    *first = (*likeness, n);
                } else if *likeness > second.0 {
                    *second = (*likeness, n);
                }
            }
            rows.push(row);
        }
        Self { rows, columns }
    }

    /// The greatest likeness of a clause to another limitation than this one, or of this one to
    /// another clause.
    fn but(&self, clause: usize, limitation: usize) -> f64 {
        let row = self.rows.get(clause).into_iter().flatten();
        let others = row.filter(|(l, _)| **l != limitation).map(|(_, s)| *s);
        let column = self.columns.get(&limitation).into_iter().flatten();
        let rivals = column.filter(|(_, n)| *n != clause).map(|(s, _)| *s);
        others.chain(rivals).fold(0.0, f64::max)
    }
}

/// Whether a wording may be the one behind a clause: by its likeness, or, for a clause that puts
/// it in other words or in a few, because more than the words speaks for it.
///
/// Of the wording come the topic of its file and all its topics; of what else is near the likeness
/// of the nearest wording of another topic than the nearest of all, and the greatest that the
/// clause has to another limitation or another clause to this one.
fn near_enough(
    candidate: &Candidate,
    (topic, topics): (&str, &[String]),
    (second, next): (f64, f64),
    passage: &Passage<'_>,
) -> bool {
    let likeness = candidate.likeness;
    let told = passage.topics.iter().any(|t| t != "other");
    let same = topical::shared(topics, passage.topics) > 0.0;
    if likeness >= NEAR || topical::stands_out(likeness, next, same, told) {
        return true;
    }
    let much = candidate.of_probe >= MUCH_OF_ITS_WORDS;
    let stands_out = likeness >= STANDS_OUT * second;
    if same && much && likeness >= PART_OF_A_LONG_ONE {
        return true;
    }
    let main = topic != "other" && passage.topics.iter().any(|t| t == topic);
    likeness >= IN_OTHER_WORDS
        && match (main, same, told) {
            (true, ..) => likeness >= IN_A_FEW_WORDS || likeness >= 1.25 * second,
            (false, true, _) => likeness >= 1.5 * second,
            (false, false, false) => much || stands_out,
            (false, false, true) => likeness >= STANDS_OUT_ELSEWHERE && much && stands_out,
        }
}

/// For each wording the limitation of which it is a revision.
fn limitations(index: &Index, held: &[&Loaded<WordingFile>]) -> Vec<usize> {
    let mut leaders: Vec<usize> = Vec::new();
    held.iter()
        .enumerate()
        .map(|(n, wording)| {
            let near = leaders
                .iter()
                .copied()
                .filter(|l| {
                    held.get(*l)
                        .is_some_and(|w| w.file.topic == wording.file.topic)
                })
                .map(|l| (index.between(l, n), l))
                .filter(|(s, _)| *s >= ONE_LIMITATION)
                .max_by(|a, b| a.0.total_cmp(&b.0));
            near.map_or_else(
                || {
                    leaders.push(n);
                    n
                },
                |(_, l)| l,
            )
        })
        .collect()
}

/// The limitation of each clause: each limitation to one clause at first, so that the sum of
/// similarities is greatest; then clauses that say again what another one says.
fn pair(
    passages: &[Passage<'_>],
    found: &[Vec<Candidate>],
    limitation: &[usize],
) -> Vec<Option<usize>> {
    let by_limitation: Vec<Vec<(usize, f64)>> = found
        .iter()
        .map(|row| {
            let mut best: BTreeMap<usize, f64> = BTreeMap::new();
            for candidate in row {
                if let Some(l) = limitation.get(candidate.entry) {
                    let known = best.entry(*l).or_insert(0.0);
                    *known = known.max(candidate.likeness);
                }
            }
            let top = best.values().copied().fold(0.0, f64::max);
            best.into_iter()
                .filter(|(_, s)| *s >= NO_WAY_OUT * top)
                .collect()
        })
        .collect();
    // In order of their words, so that the order of the clauses decides nothing.
    let mut order: Vec<usize> = (0..passages.len()).collect();
    order.sort_by_key(|n| passages.get(*n).map(|p| p.body));
    let edges: Edges = order
        .iter()
        .map(|n| by_limitation.get(*n).cloned().unwrap_or_default())
        .collect();
    let assigned = assign(&edges, limitation.len());
    let mut paired = vec![None; passages.len()];
    for (n, column) in order.iter().zip(assigned) {
        if let Some(slot) = paired.get_mut(*n) {
            *slot = column;
        }
    }
    let limitation_of = limitation;
    for ((slot, row), row_found) in paired.iter_mut().zip(&by_limitation).zip(found) {
        if slot.is_none() {
            let piece = |limitation: usize| {
                row_found.iter().any(|c| {
                    limitation_of.get(c.entry) == Some(&limitation) && c.of_probe >= A_PIECE
                })
            };
            *slot = row
                .iter()
                .filter(|(l, s)| *s >= NEAR_AGAIN || piece(*l))
                .max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0)))
                .map(|(l, _)| *l);
        }
    }
    paired
}

/// The series whose wordings are nearest: each clause has one vote for the revisions that are
/// nearest to it, divided among those that are equally near. Clauses of which several revisions
/// are held decide where there are such; the order goes before its change.
fn nearest_series(
    found: &[Vec<Candidate>],
    paired: &[Option<usize>],
    limitation: &[usize],
    held: &[&Loaded<WordingFile>],
) -> Option<String> {
    let mut of: BTreeMap<usize, BTreeSet<&str>> = BTreeMap::new();
    for (wording, limitation) in held.iter().zip(limitation) {
        of.entry(*limitation)
            .or_default()
            .insert(&wording.file.series);
    }
    let choice = |limitation: &usize| of.get(limitation).is_some_and(|s| s.len() > 1);
    let decisive = paired.iter().flatten().any(choice);
    let mut votes: BTreeMap<&str, f64> = BTreeMap::new();
    for (row, paired) in found.iter().zip(paired) {
        let Some(paired) = paired else { continue };
        if decisive && !choice(paired) {
            continue;
        }
        let members = || {
            row.iter()
                .filter(|c| limitation.get(c.entry) == Some(paired))
        };
        let best = members().map(|c| c.similarity).fold(0.0, f64::max);
        let series: BTreeSet<&str> = members()
            .filter(|c| best - c.similarity < EQUALLY_NEAR)
            .filter_map(|c| held.get(c.entry))
            .map(|w| w.file.series.as_str())
            .collect();
        let share = best / series.len().max(1) as f64;
        for name in series {
            *votes.entry(name).or_insert(0.0) += share;
        }
    }
    let order = |name: &str| name.split(" CHG").next().unwrap_or(name).to_owned();
    let mut of_order: BTreeMap<String, f64> = BTreeMap::new();
    for (name, share) in &votes {
        *of_order.entry(order(name)).or_insert(0.0) += share;
    }
    let nearest = of_order
        .into_iter()
        .max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0)))?
        .0;
    votes
        .into_iter()
        .filter(|(name, _)| order(name) == nearest)
        .max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(a.0)))
        .map(|(name, _)| name.to_owned())
}

/// Texts with the wordings near to them: index and similarity.
type Known = HashMap<String, Arc<[(usize, f64)]>>;

/// The reference wordings of one basis, made ready for lookups.
#[derive(Debug)]
pub struct References<'p> {
    held: Vec<&'p Loaded<WordingFile>>,
    index: Index,
    /// What was looked up, for many letters: they repeat their clauses.
    known: Option<Mutex<Known>>,
}

/// Clauses that are remembered, and the longest of them in bytes.
const MOST_KNOWN: usize = 4096;
const LONGEST_KNOWN: usize = 4096;

impl<'p> References<'p> {
    /// Those held for a basis.
    #[must_use]
    pub fn new(within: Within, patterns: &'p Patterns) -> Self {
        let held = wordings(within, patterns);
        let index = Index::of_wordings(&held, patterns);
        Self {
            held,
            index,
            known: None,
        }
    }

    /// The same for many letters: what was looked up is remembered.
    #[must_use]
    pub fn for_many(within: Within, patterns: &'p Patterns) -> Self {
        Self {
            known: Some(Mutex::default()),
            ..Self::new(within, patterns)
        }
    }

    /// Whether a text differs from a wording in a way that matters.
    #[must_use]
    pub fn departs(&self, wording: &WordingFile, text: &str, patterns: &Patterns) -> bool {
        let compared = diff(body(&wording.text), without_tail(text), patterns);
        known_part(compared, wording.cut)
            .differences
            .iter()
            .any(|d| d.material)
    }

    /// Whether none is held.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.held.is_empty()
    }

    /// The wordings nearest to a text, nearest first, each with its similarity from 0 to 1; none
    /// where nothing is near enough to be called the wording behind it.
    #[must_use]
    pub fn nearest(&self, text: &str) -> Vec<(&'p Loaded<WordingFile>, f64)> {
        let held = |found: &[(usize, f64)]| {
            let of = |(n, similarity): &(usize, f64)| Some((*self.held.get(*n)?, *similarity));
            found.iter().filter_map(of).collect()
        };
        let Some(known) = self.known.as_ref().filter(|_| text.len() <= LONGEST_KNOWN) else {
            return held(&self.look_up(text));
        };
        let known = || known.lock().unwrap_or_else(PoisonError::into_inner);
        let remembered = known().get(text).map(Arc::clone);
        if let Some(found) = remembered {
            return held(&found);
        }
        let found: Arc<[(usize, f64)]> = self.look_up(text).into();
        let mut known = known();
        if known.len() < MOST_KNOWN {
            known.insert(text.to_owned(), Arc::clone(&found));
        }
        held(&found)
    }

    fn look_up(&self, text: &str) -> Vec<(usize, f64)> {
        self.index
            .candidates(&self.index.probe(body(text)))
            .into_iter()
            .filter(|c| c.similarity >= NEAR)
            .map(|c| (c.entry, c.similarity))
            .collect()
    }
}
