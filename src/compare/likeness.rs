//! How like the clauses of two letters are to each other, and which of them may be the same.

use std::collections::BTreeMap;

use super::clauses::Passage;
use super::index::Candidate;
use super::reference::NEAR;
use super::subjects::Subjects;
use super::topical;
use crate::patterns::Patterns;

/// The least likeness of clauses of which neither is nearly as like to anything else, whose topics
/// are told and differ, and how much more like they must be.
const ELSEWHERE: f64 = 0.2;
const STANDS_OUT_ELSEWHERE: f64 = 1.4;
/// The part of a piece's weight that must stand in the whole, …
const PIECE: f64 = 0.7;
/// … or this part, in the clause that is by so much the one most like it.
const PIECE_THAT_STANDS_OUT: f64 = 0.35;
const PIECE_STANDS_OUT: f64 = 1.5;
/// The least likeness of two clauses left over that share a subject, and the part of the likeness of
/// either to any clause that has a partner which theirs must reach.
const LEFT_OVER: f64 = 0.12;
const LEFT_OVER_OF_NEXT: f64 = 0.6;
/// A clause is told by another one that has this part of the weight of its subjects.
pub(super) const TOLD: f64 = 0.7;

/// Two clauses held against each other.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Near {
    /// The place of the other clause in its letter.
    pub(super) other: usize,
    /// By their words, 0 to 1.
    pub(super) similarity: f64,
    /// By their words, topics and subjects.
    pub(super) likeness: f64,
    /// The part of the clause's weight that the other one has too.
    covered: f64,
    /// The part of the weight of its subjects that the other one has too.
    pub(super) told: f64,
}

impl Near {
    /// Whether most of the clause stands in the other one, too.
    pub(super) fn is_whole(&self) -> bool {
        self.covered >= PIECE
    }
}

/// For the clauses of one letter those of the other one that are near, most like first.
type Rows = Vec<Vec<Near>>;

/// The clauses of two letters held against each other. Swapping the letters changes nothing.
#[derive(Debug)]
pub(super) struct Likeness {
    pub(super) of_old: Rows,
    pub(super) of_new: Rows,
    pub(super) subjects: Subjects,
}

impl Likeness {
    /// From what each letter's clauses are near to in the other one.
    pub(super) fn new(
        (was, from_old): (&[Passage<'_>], &[Vec<Candidate>]),
        (is, from_new): (&[Passage<'_>], &[Vec<Candidate>]),
        patterns: &Patterns,
    ) -> Self {
        let subjects = Subjects::new(was, is, patterns);
        // A pair may be among the nearest of one side only.
        let mut pairs: BTreeMap<(usize, usize), (f64, f64, f64)> = BTreeMap::new();
        for (n, row) in from_old.iter().enumerate() {
            for c in row {
                pairs.insert((n, c.entry), (c.similarity, c.of_probe, c.of_entry));
            }
        }
        for (n, row) in from_new.iter().enumerate() {
            for c in row {
                let known = pairs.entry((c.entry, n)).or_default();
                if c.similarity > known.0 {
                    *known = (c.similarity, c.of_entry, c.of_probe);
                }
            }
        }
        for pair in subjects.pairs() {
            pairs.entry(pair).or_default();
        }
        let (mut of_old, mut of_new) = (vec![Vec::new(); was.len()], vec![Vec::new(); is.len()]);
        for ((o, n), (similarity, of_was, of_is)) in pairs {
            let (Some(a), Some(b)) = (was.get(o), is.get(n)) else {
                continue;
            };
            let likeness =
                topical::likeness(similarity, a.topics, b.topics) + subjects.likeness(&[o], &[n]);
            let near = |other, covered, told| Near {
                other,
                similarity,
                likeness,
                covered,
                told,
            };
            let (told_of_was, told_of_is) = subjects.told(o, n);
            of_old[o].push(near(n, of_was, told_of_was));
            of_new[n].push(near(o, of_is, told_of_is));
        }
        for row in of_old.iter_mut().chain(&mut of_new) {
            row.sort_by(|a: &Near, b: &Near| {
                let order = b.likeness.total_cmp(&a.likeness);
                order.then(a.other.cmp(&b.other))
            });
        }
        Self {
            of_old,
            of_new,
            subjects,
        }
    }

    /// Whether an old clause and a new one near to it may be the same: because they are alike, or
    /// because neither is as like to anything else.
    pub(super) fn may_be_same(
        &self,
        (old, a): (usize, &Passage<'_>),
        near: &Near,
        b: &Passage<'_>,
    ) -> bool {
        let told = |p: &Passage<'_>| p.topics.iter().any(|t| t != "other");
        let same = near.told > 0.0 || topical::shared(a.topics, b.topics) > 0.0;
        // What a merged clause says of several subjects is like each of those it came from: then
        // only those count that are as near to the piece.
        let (told_of_old, told_of_new) = self.subjects.told(old, near.other);
        let of_old = best_but(&self.of_old, old, near.other);
        let of_new = best_but(&self.of_new, near.other, old);
        let next = match (told_of_old >= TOLD, told_of_new >= TOLD) {
            (true, false) => of_old,
            (false, true) => of_new,
            _ => of_old.max(of_new),
        };
        let (likeness, told) = (near.likeness, told(a) && told(b));
        likeness >= NEAR
            || topical::stands_out(likeness, next, same, told)
            || (likeness >= ELSEWHERE && likeness >= STANDS_OUT_ELSEWHERE * next)
    }

    /// How like two clauses without a partner that share a subject have to be, to be the same.
    pub(super) fn least_left_over(&self, old: usize, new: usize) -> f64 {
        let next = best_but(&self.of_old, old, new).max(best_but(&self.of_new, new, old));
        LEFT_OVER.max(LEFT_OVER_OF_NEXT * next)
    }
}

/// The greatest likeness of a clause to another one than this.
fn best_but(rows: &Rows, clause: usize, other: usize) -> f64 {
    let mut row = rows.get(clause).into_iter().flatten();
    row.find(|n| n.other != other).map_or(0.0, |n| n.likeness)
}

fn likeness(near: Option<&Near>) -> f64 {
    near.map_or(0.0, |n| n.likeness)
}

/// The clauses of which a clause without a partner may be a piece, most like first: those that
/// have most of its words, one that has many of them while nothing else comes near, and the one most
/// like it if that has its subjects.
pub(super) fn wholes(row: &[Near]) -> impl Iterator<Item = &Near> {
    let (most, next) = (likeness(row.first()), likeness(row.get(1)));
    row.iter().enumerate().filter_map(move |(place, near)| {
        let stands_out = place == 0
            && near.covered >= PIECE_THAT_STANDS_OUT
            && near.likeness >= ELSEWHERE
            && near.likeness >= PIECE_STANDS_OUT * next;
        // Nothing is more like it, and that speaks of its subjects.
        let of_its_subjects = near.told >= TOLD && near.likeness >= most;
        (stands_out || near.is_whole() || of_its_subjects).then_some(near)
    })
}
