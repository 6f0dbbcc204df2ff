//! Two letters held against each other, clause by clause, by content.

use super::assign::{Edges, assign};
use super::clauses::{Passage, of_substance};
use super::diff::diff;
use super::index::{Candidate, Index};
use super::likeness::{Likeness, Near, TOLD, wholes};
use crate::model::{ClausePair, Diff, Letter, LetterComparison, Op, Relation, Text};
use crate::patterns::Patterns;

/// A piece must make the whole more similar by this much.
const GAIN: f64 = 0.03;
/// What a piece that the whole tells, in words of its own, may change it by: it has words that the
/// whole lacks.
const LOSS: f64 = -0.1;
/// What it adds to the likeness of two clauses left over that the clauses before them, or behind
/// them, are partners.
const IN_ORDER: f64 = 0.04;
/// Below this share of kept words a changed clause is a reworded one.
const REWORDED: f64 = 0.5;

/// Compares an old letter with a new one: which clauses are the same, changed, merged, split,
/// moved, renumbered, missing or additional.
#[must_use]
pub fn letters(
    old: (&Letter, &Text),
    new: (&Letter, &Text),
    patterns: &Patterns,
) -> LetterComparison {
    let was = numbered(of_substance(old.0, old.1, patterns));
    let is = numbered(of_substance(new.0, new.1, patterns));
    let mut groups = groups(&was, &is, patterns);
    groups.sort_by_key(|g| (g.new.first().copied(), g.old.first().copied()));
    let moved = out_of_order(&groups);
    let mut pairs: Vec<ClausePair> = groups
        .iter()
        .zip(moved)
        .map(|(group, moved)| pair(group, moved, (&was, old.0), (&is, new.0), patterns))
        .collect();
    place_missing(&mut pairs);
    LetterComparison { pairs }
}

/// Paragraphs without words are no clauses.
fn numbered(passages: Vec<Passage<'_>>) -> Vec<Passage<'_>> {
    passages
        .into_iter()
        .filter(|p| p.body.chars().any(char::is_alphanumeric))
        .collect()
}

/// Passages that belong together, by their indexes among the passages.
#[derive(Clone, Debug)]
struct Group {
    old: Vec<usize>,
    new: Vec<usize>,
    similarity: f64,
}

/// One of the two letters while its passages are put into groups.
struct Side<'t> {
    passages: &'t [Passage<'t>],
    /// The passages of the other letter, in which those of this one are looked for.
    others: Index,
    /// The group of each passage.
    homes: Vec<Option<usize>>,
}

impl<'t> Side<'t> {
    fn new(passages: &'t [Passage<'t>], other: &'t [Passage<'t>], patterns: &Patterns) -> Self {
        let texts = |passages: &'t [Passage<'t>]| passages.iter().map(|p| p.body);
        Self {
            passages,
            others: Index::of_texts(texts(other), texts(passages), patterns),
            homes: vec![None; passages.len()],
        }
    }

    /// The passages of the other letter that are near to a text.
    fn candidates(&self, text: &str) -> Vec<Candidate> {
        self.others.candidates(&self.others.probe(text))
    }

    /// The group that a clause stands in.
    fn home(&self, clause: usize) -> Option<usize> {
        self.homes.get(clause).copied().flatten()
    }

    /// The group that a passage without a partner is a piece of: one whose other side is a single
    /// passage, to which the parts on this side are nearer with the piece than without. `near` are
    /// the passages that it may be a piece of, `parts` tells those of this side from those of the
    /// other. With the group come its parts and their likeness.
    fn home_of_piece<'n>(
        &self,
        piece: usize,
        near: impl Iterator<Item = &'n Near>,
        other: &Self,
        groups: &[Group],
        parts: impl Fn(&Group) -> (&[usize], &[usize]),
        told: impl Fn(&[usize], &[usize]) -> f64,
    ) -> Option<(usize, Vec<usize>, f64)> {
        near.filter_map(|n| {
            let group = other.home(n.other)?;
            let known = groups.get(group)?;
            let (mine, theirs) = parts(known);
            let mut parts = mine.to_vec();
            parts.push(piece);
            parts.sort_unstable();
            let probe = self.others.probe(&words(&parts, self.passages));
            let whole = self.others.look(&probe, n.other)?;
            let gain =
                whole.similarity + told(&parts, theirs) - known.similarity - told(mine, theirs);
            let least = if n.told >= TOLD { LOSS } else { GAIN };
            (theirs.len() == 1 && gain >= least).then_some((group, parts, whole.similarity))
        })
        .next()
    }
}

/// The words of passages, one below the other.
fn words(parts: &[usize], passages: &[Passage<'_>]) -> String {
    parts
        .iter()
        .filter_map(|n| passages.get(*n))
        .map(|p| p.body)
        .collect::<Vec<_>>()
        .join("\n")
}

/// Puts the passages of two letters into groups that belong together; one without a partner is a
/// group of its own.
fn groups<'t>(was: &'t [Passage<'t>], is: &'t [Passage<'t>], patterns: &Patterns) -> Vec<Group> {
    let mut old = Side::new(was, is, patterns);
    let mut new = Side::new(is, was, patterns);
    let likeness = {
        let nearest = |side: &Side<'_>| -> Vec<Vec<Candidate>> {
            let passages = side.passages.iter();
            passages.map(|p| side.candidates(p.body)).collect()
        };
        Likeness::new((was, &nearest(&old)), (is, &nearest(&new)), patterns)
    };
    let mut out = couples(&mut old, &mut new, &likeness);
    left_over(&mut old, &mut new, &likeness, &mut out);
    part_pieces(&mut old, &mut new, &likeness, &mut out);
    // A clause without a partner may be a piece of one that has another partner.
    let alone = |side: &Side<'_>| -> Vec<usize> {
        let homes = side.homes.iter().enumerate();
        homes
            .filter_map(|(n, home)| home.is_none().then_some(n))
            .collect()
    };
    fn parts_of_new(g: &Group) -> (&[usize], &[usize]) {
        (&g.new, &g.old)
    }
    fn parts_of_old(g: &Group) -> (&[usize], &[usize]) {
        (&g.old, &g.new)
    }
    for n in alone(&new) {
        let near = wholes(row(&likeness.of_new, n));
        let told = |new: &[usize], old: &[usize]| likeness.subjects.likeness(old, new);
        let home = new.home_of_piece(n, near, &old, &out, parts_of_new, told);
        if let Some((group, parts, similarity)) = home {
            new.homes[n] = Some(group);
            if let Some(group) = out.get_mut(group) {
                group.new = parts;
                group.similarity = similarity;
            }
        }
    }
    for n in alone(&old) {
        let near = wholes(row(&likeness.of_old, n));
        let told = |old: &[usize], new: &[usize]| likeness.subjects.likeness(old, new);
        match old.home_of_piece(n, near, &new, &out, parts_of_old, told) {
            Some((group, parts, similarity)) => {
                if let Some(group) = out.get_mut(group) {
                    group.old = parts;
                    group.similarity = similarity;
                }
            }
            None => out.push(Group {
                old: vec![n],
                new: Vec::new(),
                similarity: 0.0,
            }),
        }
    }
    out.extend(alone(&new).into_iter().map(|n| Group {
        old: Vec::new(),
        new: vec![n],
        similarity: 0.0,
    }));
    out
}

/// What is near to a passage.
fn row(rows: &[Vec<Near>], n: usize) -> &[Near] {
    rows.get(n).map_or(&[], Vec::as_slice)
}

/// The pairs of passages that are nearest to each other, all taken together.
fn couples(old: &mut Side<'_>, new: &mut Side<'_>, likeness: &Likeness) -> Vec<Group> {
    // In order of their words, so that the order of the clauses decides nothing.
    let mut order: Vec<usize> = (0..old.passages.len()).collect();
    order.sort_by_key(|n| old.passages.get(*n).map(|p| (p.body, *n)));
    let edges: Edges = order
        .iter()
        .filter_map(|n| Some((*n, old.passages.get(*n)?)))
        .map(|(n, was)| {
            row(&likeness.of_old, n)
                .iter()
                .filter(|near| {
                    let is = new.passages.get(near.other);
                    is.is_some_and(|is| likeness.may_be_same((n, was), near, is))
                })
                .map(|near| (near.other, near.likeness))
                .collect()
        })
        .collect();
    let assigned = assign(&edges, new.passages.len());
    let mut out: Vec<Group> = Vec::new();
    for (n, column) in order.iter().zip(assigned) {
        let Some(column) = column else { continue };
        let similarity = row(&likeness.of_old, *n)
            .iter()
            .find(|near| near.other == column)
            .map_or(0.0, |near| near.similarity);
        old.homes[*n] = Some(out.len());
        new.homes[column] = Some(out.len());
        out.push(Group {
            old: vec![*n],
            new: vec![column],
            similarity,
        });
    }
    out
}

/// Clauses without a partner on both sides: those that share a subject are the same unless another
/// clause is much more like them, of which they may be a piece. Where two could be, the one whose
/// neighbors are partners is it.
fn left_over(old: &mut Side<'_>, new: &mut Side<'_>, likeness: &Likeness, out: &mut Vec<Group>) {
    let neighbors = |o: usize, n: usize| -> f64 {
        let beside = |old_place: Option<usize>, new_place: Option<usize>| {
            let home = old.home(old_place?)?;
            (new.home(new_place?)? == home).then_some(())
        };
        let before = beside(o.checked_sub(1), n.checked_sub(1)).is_some();
        let after = beside(Some(o + 1), Some(n + 1)).is_some();
        IN_ORDER * f64::from(u8::from(before) + u8::from(after))
    };
    let edges: Edges = (0..old.passages.len())
        .map(|o| {
            if old.home(o).is_some() {
                return Vec::new();
            }
            let free = |n: usize| new.home(n).is_none();
            row(&likeness.of_old, o)
                .iter()
                .filter(|near| near.told > 0.0 && free(near.other))
                .map(|near| (near, near.likeness + neighbors(o, near.other)))
                .filter(|(near, all)| *all >= likeness.least_left_over(o, near.other))
                .map(|(near, all)| (near.other, all))
                .collect()
        })
        .collect();
    for (o, n) in assign(&edges, new.passages.len()).into_iter().enumerate() {
        let Some(n) = n else { continue };
        let near = row(&likeness.of_old, o).iter().find(|near| near.other == n);
        old.homes[o] = Some(out.len());
        new.homes[n] = Some(out.len());
        out.push(Group {
            old: vec![o],
            new: vec![n],
            similarity: near.map_or(0.0, |near| near.similarity),
        });
    }
}

/// Parts couples of which each is a piece of another clause that it is more like: they came to each
/// other only because those have other partners.
fn part_pieces(old: &mut Side<'_>, new: &mut Side<'_>, likeness: &Likeness, out: &mut Vec<Group>) {
    let piece_of_another = |near: &[Near], of: usize| {
        let here = near.iter().find(|n| n.other == of);
        let here = here.map_or(0.0, |n| n.likeness);
        near.iter()
            .any(|n| n.other != of && n.likeness > here && n.is_whole())
    };
    out.retain(|group| {
        let (Some(o), Some(n)) = (group.old.first(), group.new.first()) else {
            return true;
        };
        !(piece_of_another(row(&likeness.of_old, *o), *n)
            && piece_of_another(row(&likeness.of_new, *n), *o))
    });
    old.homes.fill(None);
    new.homes.fill(None);
    for (place, group) in out.iter().enumerate() {
        group.old.iter().for_each(|o| old.homes[*o] = Some(place));
        group.new.iter().for_each(|n| new.homes[*n] = Some(place));
    }
}

/// For groups in the order of the new letter: whether each stands outside the longest row of
/// groups that keep the order of the old letter.
fn out_of_order(groups: &[Group]) -> Vec<bool> {
    let places: Vec<(usize, usize)> = groups
        .iter()
        .enumerate()
        .filter(|(_, g)| !g.new.is_empty())
        .filter_map(|(n, g)| Some((n, *g.old.first()?)))
        .collect();
    // Patience: the last place of the best row of each length, with links back.
    let mut tails: Vec<usize> = Vec::new();
    let mut before: Vec<Option<usize>> = vec![None; places.len()];
    let old = |at: &usize| places.get(*at).map_or(0, |p| p.1);
    for at in 0..places.len() {
        let length = tails.partition_point(|t| old(t) < old(&at));
        if let Some(slot) = before.get_mut(at) {
            *slot = length.checked_sub(1).and_then(|l| tails.get(l).copied());
        }
        match tails.get_mut(length) {
            Some(tail) => *tail = at,
            None => tails.push(at),
        }
    }
    let mut moved: Vec<bool> = groups
        .iter()
        .map(|g| !g.new.is_empty() && !g.old.is_empty())
        .collect();
    let mut at = tails.last().copied();
    while let Some(here) = at {
        if let Some(flag) = places.get(here).and_then(|(n, _)| moved.get_mut(*n)) {
            *flag = false;
        }
        at = before.get(here).copied().flatten();
    }
    moved
}

fn pair(
    group: &Group,
    moved: bool,
    (was, old): (&[Passage<'_>], &Letter),
    (is, new): (&[Passage<'_>], &Letter),
    patterns: &Patterns,
) -> ClausePair {
    let clauses = |parts: &[usize], passages: &[Passage<'_>]| -> Vec<usize> {
        parts
            .iter()
            .filter_map(|n| passages.get(*n))
            .map(|p| p.clause)
            .collect()
    };
    let label = |clause: Option<&usize>, letter: &Letter| -> Option<String> {
        letter
            .clauses
            .get(*clause?)?
            .number
            .as_ref()
            .map(|l| l.label.to_lowercase())
    };
    let (old_clauses, new_clauses) = (clauses(&group.old, was), clauses(&group.new, is));
    let alone = group.old.is_empty() || group.new.is_empty();
    let diff = (!alone).then(|| diff(&words(&group.old, was), &words(&group.new, is), patterns));
    let relation = match (&diff, group.old.len(), group.new.len()) {
        (_, 0, _) => Relation::Additional,
        (_, _, 0) => Relation::Missing,
        (_, 2.., _) => Relation::Merged,
        (_, _, 2..) => Relation::Split,
        (Some(d), ..) if d.same => Relation::Same,
        (Some(d), ..) if kept(d) < REWORDED => Relation::Reworded,
        _ => Relation::Changed,
    };
    ClausePair {
        relation,
        renumbered: !alone && label(old_clauses.first(), old) != label(new_clauses.first(), new),
        moved,
        similarity: group.similarity,
        old: old_clauses,
        new: new_clauses,
        diff,
    }
}

/// The share of words that stayed.
fn kept(diff: &Diff) -> f64 {
    let words = |s: &str| s.split_whitespace().count();
    let (mut kept, mut all) = (0, 0);
    for op in &diff.ops {
        match op {
            Op::Keep(s) => {
                kept += 2 * words(s);
                all += 2 * words(s);
            }
            Op::Delete(s) | Op::Insert(s) => all += words(s),
        }
    }
    if all == 0 {
        1.0
    } else {
        f64::from(u32::try_from(kept).unwrap_or(u32::MAX))
            / f64::from(u32::try_from(all).unwrap_or(u32::MAX))
    }
}

/// Puts the clauses that are missing from the new letter behind the clause that they followed in
/// the old one.
fn place_missing(pairs: &mut Vec<ClausePair>) {
    let (missing, mut rest): (Vec<ClausePair>, Vec<ClausePair>) =
        pairs.drain(..).partition(|p| p.new.is_empty());
    let mut missing = missing;
    missing.sort_by_key(|p| p.old.first().copied());
    for pair in missing {
        let Some(place) = pair.old.first().copied() else {
            continue;
        };
        let after = rest
            .iter()
            .enumerate()
            .filter_map(|(n, p)| {
                let last = p.old.iter().copied().filter(|o| *o < place).max()?;
                Some((last, n))
            })
            .max()
            .map_or(0, |(_, n)| n + 1);
        rest.insert(after.min(rest.len()), pair);
    }
    *pairs = rest;
}
