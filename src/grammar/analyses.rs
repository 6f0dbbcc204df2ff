//! The analyses of one sentence that differ in what they say, and which of them are worth keeping.

use std::cmp::Reverse;
use std::collections::BTreeSet;

use super::chart::Chart;
use super::value::{Named, Says, Value, ask, flag, insp};
use crate::model::{Form, InspectorConditionKind, Kind};

/// What the whole sentence may say: each meaning with the first phrase that gives it.
pub(super) struct Analyses(Vec<(Vec<Says>, u32)>);

impl Analyses {
    /// The meanings of these phrases of a chart, without those that another one makes idle.
    pub(super) fn of(chart: &Chart, roots: impl Iterator<Item = u32>) -> Self {
        let mut found = Self(Vec::new());
        for root in roots {
            if let Value::Says(says) = &chart.edges[root as usize].value {
                let says = canonical(says);
                if !found.0.iter().any(|(other, _)| *other == says) {
                    found.0.push((says, root));
                }
            }
        }
        // Two analyses that differ only in how much they know: the one that knows more.
        found.keep(|says, all| !all.iter().any(|(other, _)| knows_more(other, says)));
        // A sentence that speaks of persons and one that says nothing say the same; one that
        // defines a term by them says more.
        let any = |all: &[(Vec<Says>, u32)], flags| all.iter().any(|(m, _)| only(m, flags));
        let speaks = flag::SPEAKS | flag::OPENS | flag::DENIES;
        found.keep(|says, all| !says.is_empty() || !any(all, speaks));
        found.keep(|says, all| !only(says, flag::SPEAKS) || !any(all, flag::DEFINES));
        // "The above are the only ones": they close the list, or are a closed list, which is the same.
        found.keep(|says, all| !only_they(says) || !any(all, flag::CLOSES));
        // Of whom a sentence speaks without saying that they inspect makes no difference.
        found.keep(|says, all| {
            let first = all.iter().find(|(m, _)| only(m, flag::SPEAKS));
            !only(says, flag::SPEAKS) || first.is_none_or(|(m, _)| m == says)
        });
        let mut known: Vec<(Vec<Says>, u32)> = Vec::new();
        for (mut says, root) in found.0 {
            forget_interval(&mut says);
            if !known.iter().any(|(other, _)| *other == says) {
                known.push((says, root));
            }
        }
        Self(known)
    }

    /// Keeps the meanings that hold their own beside all of them.
    fn keep(&mut self, holds: impl Fn(&[Says], &[(Vec<Says>, u32)]) -> bool) {
        let all = std::mem::take(&mut self.0);
        let kept: Vec<bool> = all.iter().map(|(says, _)| holds(says, &all)).collect();
        let kept = all.into_iter().zip(kept).filter(|(_, kept)| *kept);
        self.0 = kept.map(|(analysis, _)| analysis).collect();
    }

    /// The meaning of the sentence, where it has one.
    pub(super) fn one(&self) -> Option<(Vec<Says>, u32)> {
        let [one] = self.0.as_slice() else {
            return None;
        };
        Some(one.clone())
    }

    /// The meaning that names the most persons, where there is any.
    pub(super) fn fullest(&self) -> Option<(Vec<Says>, u32)> {
        let named = |says: &[Says]| says.iter().map(|s| s.persons.named.len()).sum::<usize>();
        self.0.iter().max_by_key(|(says, _)| named(says)).cloned()
    }

    /// The meanings, where there is more than one.
    pub(super) fn differing(&self) -> Vec<Vec<Says>> {
        if self.0.len() < 2 {
            return Vec::new();
        }
        self.0.iter().map(|(says, _)| says.clone()).collect()
    }

    /// The phrases that give them.
    pub(super) fn roots(&self) -> impl Iterator<Item = u32> {
        self.0.iter().map(|(_, root)| *root)
    }
}

/// What told which inspection it is makes no difference once it is known.
pub(super) fn forget_interval(says: &mut [Says]) {
    for says in says {
        says.inspections &= !insp::BY_INTERVAL;
    }
}

/// Whether there are statements and each has one of these flags: speaks of persons without saying
/// who inspects, defines a term.
fn only(says: &[Says], flags: u32) -> bool {
    !says.is_empty() && says.iter().all(|s| s.persons.flags & flags != 0)
}

/// Whether this says that only those may of whom was spoken before.
fn only_they(says: &[Says]) -> bool {
    says.iter().all(|s| {
        let persons = &s.persons;
        s.form == Form::Closed
            && persons.named.is_empty()
            && persons.excluded.is_empty()
            && persons.flags == flag::THEY
    })
}

/// Statements in the one form in which they are compared.
pub(super) fn canonical(says: &[Says]) -> Vec<Says> {
    let mut all = Vec::new();
    for s in says {
        let mut s = s.clone();
        s.persons.flags &= !(flag::ONE | flag::ALL);
        if !s.persons.named.is_empty() && s.form == Form::Open {
            s.persons.flags &= !flag::AND;
        }
        all.push(s);
    }
    shut_out_of_the_list(&mut all);
    // Beside a statement that says something, one that only speaks of persons adds nothing: whom the
    // sentence speaks of is known from its phrases.
    let speaks = |s: &Says| s.persons.flags & flag::SPEAKS != 0;
    if !all.iter().all(speaks) {
        all.retain(|s| !speaks(s));
    }
    all
}

/// "A may perform it, but B may not": a statement of its own or part of the list, it shuts out of it.
fn shut_out_of_the_list(all: &mut Vec<Says>) {
    let [list, out] = all.as_slice() else { return };
    let only_shuts_out = out.form == Form::None
        && out.persons.named.is_empty()
        && !out.persons.excluded.is_empty()
        && out.persons.flags == 0;
    let same = out.inspections == list.inspections || out.inspections == insp::BACK;
    let apart = |n: &Named| !out.persons.excluded.contains(&n.kind);
    if list.form == Form::None || !only_shuts_out || !same || !list.persons.named.iter().all(apart)
    {
        return;
    }
    if let Some(out) = all.pop() {
        all[0].persons.excluded.extend(out.persons.excluded);
    }
}

/// Whether `a` says what `b` says and knows more: which inspection "it" is; that a phrase is a known
/// one that says nothing, where `b` takes it for a condition; what is asked of a person.
fn knows_more(a: &[Says], b: &[Says]) -> bool {
    if a.len() != b.len() || a == b {
        return false;
    }
    let pairs = || a.iter().zip(b);
    // of two that differ in the card alone, that knows more which knows the builder's by its name or rule
    if pairs().all(|(x, y)| differ_in_the_card(x, y)) {
        return cards(a) < cards(b);
    }
    pairs().all(|(x, y)| compatible(x, y)) && rank(a) > rank(b)
}

/// The condition of a certificate for this aircraft.
fn card() -> u16 {
    ask(InspectorConditionKind::ThisAircraft)
}

/// How many builders are known by a certificate for this aircraft.
fn cards(all: &[Says]) -> usize {
    all.iter()
        .flat_map(|s| &s.persons.named)
        .filter(|n| n.kind == Kind::BuilderRepairman && n.asks & card() != 0)
        .count()
}

fn kinds(says: &Says, kind: impl Fn(&Named) -> (Kind, u16)) -> BTreeSet<(Kind, u16)> {
    says.persons.named.iter().map(kind).collect()
}

/// The builder's certificate is for this aircraft, said or not.
fn but_for_the_card(n: &Named) -> (Kind, u16) {
    match n.kind {
        Kind::BuilderRepairman => (n.kind, n.asks & !card()),
        kind => (kind, n.asks),
    }
}

fn differ_in_the_card(x: &Says, y: &Says) -> bool {
    x.inspections & !insp::BY_INTERVAL == y.inspections & !insp::BY_INTERVAL
        && x.form == y.form
        && x.persons.flags == y.persons.flags
        && x.persons.excluded == y.persons.excluded
        && kinds(x, but_for_the_card) == kinds(y, but_for_the_card)
}

/// The flags of a pronoun.
const POINTS: u32 = flag::THEY | flag::WHOM;

/// "A or B, either of whom may": whom it means it says by the pronoun.
fn points(says: &Says) -> bool {
    says.persons.named.is_empty() && says.persons.flags & POINTS != 0
}

/// Whether one of two statements can be the other with more known.
fn compatible(x: &Says, y: &Says) -> bool {
    // "Each year, inspections required by these limitations": when, and not which
    let by_interval = |s: &Says| s.inspections & insp::BY_INTERVAL != 0;
    let named = |s: &Says| s.inspections & !insp::BY_INTERVAL;
    let inspections = named(x) == named(y)
        || x.inspections == insp::BACK
        || y.inspections == insp::BACK
        || by_interval(x) && y.inspections == insp::ANY
        || by_interval(y) && x.inspections == insp::ANY;
    let by_name = points(y)
        && !x.persons.named.is_empty()
        && x.form == y.form
        && x.persons.excluded == y.persons.excluded
        && x.persons.flags | POINTS == y.persons.flags | POINTS;
    inspections && (by_name || same_persons(x, y))
}

fn same_persons(x: &Says, y: &Says) -> bool {
    let coarse = |n: &Named| match n.kind {
        // "the owner, if he holds a certificate": the owner, and more is known of him
        _ if n.asks & ask(InspectorConditionKind::OwnedByHolder) != 0 => (Kind::Owner, 0),
        // "a repairman, for this aircraft": which one is known
        Kind::BuilderRepairman if n.asks & card() != 0 => (Kind::Repairman, 0),
        kind => (kind, 0),
    };
    let alone = |n: &Named| (n.kind, 0);
    // "..., provided he owns the aircraft": of whom it is asked, where the other takes it for the whole
    let condition = |s: &Says| s.persons.flags & flag::CONDITION != 0;
    let of_one = x.persons.named.len() == 1 && !condition(x) && condition(y);
    let besides = |s: &Says| s.persons.flags & !(flag::CONDITION | flag::ALSO);
    x.form == y.form
        && x.persons.excluded == y.persons.excluded
        && besides(x) == besides(y)
        && (kinds(x, coarse) == kinds(y, coarse)
            || kinds(x, but_for_the_card) == kinds(y, but_for_the_card)
            || of_one && kinds(x, alone) == kinds(y, alone))
}

/// How much is known: the more the greater.
fn rank(all: &[Says]) -> impl Ord + use<> {
    let told = |s: &Says| match s.inspections {
        insp::BACK => 0,
        i if i & insp::BY_INTERVAL != 0 => 1,
        _ => 2,
    };
    let known: usize = all.iter().map(told).sum();
    let flagged = |flag| all.iter().filter(|s| s.persons.flags & flag != 0).count();
    // a condition whose kind is known says more than one of which only the words are known
    let other = ask(InspectorConditionKind::Other);
    // "certificate for this aircraft under § 65.104": that it is the builder's is known, not asked
    let asked: i64 = all
        .iter()
        .flat_map(|s| &s.persons.named)
        .map(|n| {
            let known = n.kind == Kind::BuilderRepairman && n.asks & card() != 0;
            let asks = if known { n.asks & !card() } else { n.asks };
            2 * i64::from(asks.count_ones()) - i64::from(n.asks & other != 0) - i64::from(known)
        })
        .sum();
    let named = all.iter().filter(|s| !points(s)).count();
    (
        known,
        named,
        Reverse(flagged(flag::CONDITION)),
        cards(all),
        asked,
        // "likewise" says something; a reading that takes it for an aside says less
        flagged(flag::ALSO),
    )
}
