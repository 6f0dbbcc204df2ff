//! Key 2: what the letter says of this kind, for the inspection asked about.
//!
//! Clauses for the named inspection go before general ones ("inspections required by these
//! limitations"); both are shown. Within one level, lists are put together, a closed list shuts
//! out whom it lacks, and two clauses that cannot both hold make the letter unclear, unless one of
//! them speaks of the kind more exactly than the other.

use std::collections::BTreeSet;

use super::clause::{self, Strength};
use super::facts::Facts;
use super::state::State;
use crate::model::{
    ConditionResult, Defect, DefectKind, Form, Inspection, InspectorRule, KeyNote, KeyTwo, Kind,
    Letter, LetterKey, Modality, Paper, ReplacedBy, Span,
};
use crate::patterns::{Effect, LawFile, Loaded, Patterns, Regime};

/// Key 2 with what the table needs.
#[derive(Clone)]
pub(super) struct KeyTwoFound {
    pub(super) key: LetterKey,
    /// What the clause itself asks of the kind.
    pub(super) state: State,
    /// A clause says who may inspect, whatever becomes of it.
    pub(super) list_found: bool,
    /// One of the lists is closed.
    closed: bool,
    /// What the letter demands of the kind apart from any list.
    demands: State,
}

pub(super) fn key_two(
    letter: &Letter,
    facts: &Facts,
    kind: Kind,
    patterns: &Patterns,
) -> KeyTwoFound {
    let mut found = by_words(letter, facts, kind);
    let unread = &letter.unread;
    if let Some(unread) = unread.iter().find(|u| u.kind.may_hold_any_clause()) {
        found.key.answer = KeyTwo::Unclear;
        found.state = State::met();
        found.key.conditions.clear();
        found.key.notes.push(KeyNote::Unread(*unread));
        return found;
    }
    match letter.paper {
        Paper::OperatingLimitations | Paper::Clause => in_force(found, letter, facts),
        Paper::LightSportCategory => light_sport_category(found, facts, kind, patterns),
        other => {
            let mut found = found;
            found.key.answer = KeyTwo::Unclear;
            found.state = State::met();
            found.key.conditions.clear();
            found.key.notes = vec![KeyNote::NoLetter(other)];
            found
        }
    }
}

/// A letter issued after the day asked about was not in force on it.
fn in_force(mut found: KeyTwoFound, letter: &Letter, facts: &Facts) -> KeyTwoFound {
    if let Some(day) = letter.amended.value
        && day > facts.on
    {
        found.key.answer = KeyTwo::Unclear;
        found.list_found = false;
        found.key.notes.push(KeyNote::AmendedLater {
            amended: day,
            on: facts.on,
        });
    }
    if let Some(issued) = facts.issued
        && issued > facts.on
    {
        found.key.answer = KeyTwo::Unclear;
        // Whether the letter of that day listed anybody is not known.
        found.list_found = false;
        found.key.notes.push(KeyNote::IssuedLater {
            issued,
            on: facts.on,
        });
    }
    found
}

/// The list that § 91.327(b)(2) closes on the day.
pub(super) fn light_sport_list<'p>(
    facts: &Facts,
    patterns: &'p Patterns,
) -> Option<&'p Loaded<LawFile>> {
    (facts.regime == Regime::LightSportCategory)
        .then(|| {
            patterns
                .law
                .iter()
                .find(|l| l.file.effect == Effect::Lists && l.file.in_force(facts.on))
        })
        .flatten()
}

/// On a light-sport category aircraft the rule is the list; the paper's own words can only take
/// away from it.
fn light_sport_category(
    mut own: KeyTwoFound,
    facts: &Facts,
    kind: Kind,
    patterns: &Patterns,
) -> KeyTwoFound {
    let Some(list) = light_sport_list(facts, patterns) else {
        own.key.answer = KeyTwo::Unclear;
        own.key.notes.push(KeyNote::NoSuchCategory { on: facts.on });
        return own;
    };
    own.list_found = true;
    let named = list.file.kinds.contains(&kind);
    own.key.notes.push(KeyNote::CategoryList {
        law: list.id.clone(),
    });
    // The paper's own open list, or a general word in it, takes nothing away from the rule.
    let general_word = own.key.answer == KeyTwo::Generic;
    own.key.answer = match own.key.answer {
        _ if !named => KeyTwo::ShutOut,
        KeyTwo::Excluded | KeyTwo::ShutOut => own.key.answer,
        KeyTwo::Generic if own.closed => KeyTwo::Generic,
        KeyTwo::Unclear if !own.key.clauses.is_empty() => KeyTwo::Unclear,
        _ => KeyTwo::Named,
    };
    if general_word && own.key.answer == KeyTwo::Named {
        own.state = own.demands.clone();
    }
    own
}

/// Clauses of one level: for the named inspection, or general.
struct Level<'l> {
    rules: Vec<&'l InspectorRule>,
}

impl<'l> Level<'l> {
    fn of(letter: &'l Letter, inspection: Inspection) -> Self {
        Self {
            rules: letter
                .inspectors
                .iter()
                .filter(|r| r.inspection == inspection)
                .collect(),
        }
    }

    fn says_who(&self) -> bool {
        self.rules.iter().any(|r| r.form != Form::None)
    }

    /// The rule that shuts the kind out most exactly.
    fn excludes(&self, kind: Kind) -> Option<(&'l InspectorRule, Strength)> {
        self.rules
            .iter()
            .filter_map(|r| Some((*r, clause::excludes(r, kind)?)))
            .max_by_key(|(_, strength)| *strength)
    }

    fn lists(&self, form: Form) -> impl Iterator<Item = &'l InspectorRule> + '_ {
        self.rules.iter().copied().filter(move |r| r.form == form)
    }
}

/// What the clauses say, where the paper is a letter.
fn by_words(letter: &Letter, facts: &Facts, kind: Kind) -> KeyTwoFound {
    let specific = Level::of(letter, facts.inspection);
    let general = Level::of(letter, Inspection::Any);
    let (level, other) = if specific.says_who() || !general.says_who() {
        (&specific, &general)
    } else {
        (&general, &specific)
    };
    let list_found = level.says_who();
    let mut key = LetterKey {
        answer: KeyTwo::Silent,
        clauses: Vec::new(),
        conditions: Vec::new(),
        evidence: Vec::new(),
        notes: Vec::new(),
    };
    let mut seen = BTreeSet::new();
    for rule in level.rules.iter().chain(&other.rules) {
        if seen.insert(rule.clause) {
            key.clauses.push(rule.clause);
        }
    }
    let mut state = State::met();

    // Words that cannot be relied on decide nothing; a clause that seems silent could be the list.
    let defects = deciding_defects(letter);
    let first = level
        .rules
        .iter()
        .chain(&specific.rules)
        // a general clause that was not understood may shut out for the special inspection, too
        .chain(&general.rules)
        .find_map(|r| doubt(&defects, r));
    if let Some(first) = first {
        key.answer = KeyTwo::Unclear;
        key.notes.push(first);
        key.evidence = evidence(level.rules.iter().copied(), kind);
        return KeyTwoFound {
            key,
            state,
            list_found: false, // that is in doubt with it
            closed: false,
            demands: State::met(),
        };
    }

    key.answer = match excluded(&specific, &general, level, facts, kind, &mut key.notes) {
        Some(KeyTwo::Excluded) => {
            let rules = excluding([&specific, &general], kind);
            certain_if_always(&rules, KeyTwo::Excluded, &mut key.notes)
        }
        Some(answer) => answer,
        None if list_found => in_lists(level, facts, kind, &mut state, &mut key),
        None => silent(letter, &mut key.notes),
    };
    let mut demands = State::met();
    if !matches!(
        key.answer,
        KeyTwo::Excluded | KeyTwo::ShutOut | KeyTwo::Unclear
    ) {
        requirements(letter, &[level, other], facts, kind, &mut demands, &mut key);
        state = state.and(&demands);
    }
    key.evidence = evidence(level.rules.iter().copied(), kind);
    if list_found {
        other_clauses(&specific, other, &mut key.notes);
    }
    other_inspections(letter, facts, &mut key.notes);
    if list_found && let Some(missing) = missing(letter) {
        key.notes.push(KeyNote::AnotherClauseLost(missing.clone()));
    }
    KeyTwoFound {
        key,
        state,
        list_found,
        closed: level.lists(Form::Closed).next().is_some(),
        demands,
    }
}

/// The rules that shut the kind out.
fn excluding<'l>(levels: [&Level<'l>; 2], kind: Kind) -> Vec<&'l InspectorRule> {
    levels
        .into_iter()
        .flat_map(|l| &l.rules)
        .copied()
        .filter(|r| clause::excludes(r, kind).is_some())
        .collect()
}

/// What the clauses say that the list goes before, or that stand beside it.
fn other_clauses(specific: &Level<'_>, other: &Level<'_>, notes: &mut Vec<KeyNote>) {
    if other.rules.is_empty() {
        return;
    }
    let clauses = clauses_of(&other.rules);
    notes.push(if specific.says_who() {
        KeyNote::GeneralYields(clauses)
    } else {
        KeyNote::SaysNotWho(clauses)
    });
}

/// Clauses on who may do another inspection than the one asked about.
fn other_inspections(letter: &Letter, facts: &Facts, notes: &mut Vec<KeyNote>) {
    for inspection in [
        Inspection::Yearly,
        Inspection::HundredHour,
        Inspection::Other,
    ] {
        let rules: Vec<&InspectorRule> = letter
            .inspectors
            .iter()
            .filter(|r| r.inspection == inspection && inspection != facts.inspection)
            .filter(|r| r.form != Form::None)
            .collect();
        if !rules.is_empty() {
            notes.push(KeyNote::AnotherInspection {
                clauses: clauses_of(&rules),
                inspection,
            });
        }
    }
}

/// Whether a rule has any say in who may inspect.
fn decides(rule: &InspectorRule) -> bool {
    rule.form != Form::None || !rule.excluded.is_empty() || !rule.conditions.is_empty()
}

fn clauses_of(rules: &[&InspectorRule]) -> Vec<usize> {
    rules.iter().map(|r| r.clause).collect()
}

/// The defects that can take the words of a clause away.
fn deciding_defects(letter: &Letter) -> Vec<&Defect> {
    letter
        .findings
        .iter()
        .filter(|d| {
            matches!(
                d.kind(),
                DefectKind::Cut
                    | DefectKind::DoubtfulWord
                    | DefectKind::Unfilled
                    | DefectKind::BothAlternatives
                    | DefectKind::InstructionLeftIn
            )
        })
        .collect()
}

/// Why the words of a rule cannot be relied on.
fn doubt(defects: &[&Defect], rule: &InspectorRule) -> Option<KeyNote> {
    let clause = rule.clause;
    if let Some(doubt) = &rule.doubt {
        return Some(KeyNote::InDoubt {
            clause,
            doubt: doubt.clone(),
        });
    }
    if rule.form == Form::Closed && rule.named.is_empty() && rule.excluded.is_empty() {
        return Some(KeyNote::NamesUnread { clause });
    }
    defects
        .iter()
        .find(|d| match d.kind() {
            DefectKind::Cut => d.clauses.contains(&clause),
            _ => d.span.is_some_and(|s| s.overlaps(rule.span)),
        })
        .map(|d| KeyNote::Flawed((*d).clone()))
}

/// Exclusion by name. Returns the answer where exclusion decides.
fn excluded(
    specific: &Level<'_>,
    general: &Level<'_>,
    level: &Level<'_>,
    facts: &Facts,
    kind: Kind,
    notes: &mut Vec<KeyNote>,
) -> Option<KeyTwo> {
    let naming = |rules: &[&InspectorRule]| {
        rules
            .iter()
            .filter(|r| r.form != Form::None)
            .filter_map(|r| clause::names(r, kind, facts))
            .map(|n| n.strength)
            .max()
    };
    let by_general_only = specific.excludes(kind).is_none();
    let (rule, strength) = specific.excludes(kind).or_else(|| general.excludes(kind))?;
    if by_general_only && specific.says_who() {
        // The general clause shuts out; the special one goes before it where it names the kind.
        return match naming(&specific.rules) {
            Some(Strength::Exact | Strength::Family) => {
                notes.push(KeyNote::NamedBeforeGeneral);
                None
            }
            _ if strength == Strength::Loose => None,
            Some(Strength::Loose) => {
                notes.push(KeyNote::PerhapsNamedBeforeGeneral);
                Some(KeyTwo::Unclear)
            }
            None => Some(KeyTwo::Excluded),
        };
    }
    if !by_general_only && !specific.says_who() {
        // Only the special clause shuts out: it goes before a general list.
        return (strength != Strength::Loose).then_some(KeyTwo::Excluded);
    }
    let elsewhere: Vec<&InspectorRule> = level
        .rules
        .iter()
        .copied()
        .filter(|r| !std::ptr::eq(*r, rule))
        .collect();
    let here = naming(&[rule]);
    let conflict = || Some(KeyTwo::Unclear);
    match (strength, naming(&elsewhere), here) {
        // "builder repairman may; no other repairman": the exact name is the more special one.
        (Strength::Loose, None, Some(Strength::Exact | Strength::Family)) => None,
        (Strength::Loose, None, _) => level
            .lists(Form::Closed)
            .next()
            .is_none()
            .then_some(KeyTwo::Generic),
        (Strength::Loose, Some(_), _) => {
            notes.push(KeyNote::NamedAndPerhapsShutOut);
            conflict()
        }
        // The exclusion is the more exact of the two.
        (s, elsewhere, here) if elsewhere.is_none_or(|e| e < s) && here.is_none_or(|h| h < s) => {
            Some(KeyTwo::Excluded)
        }
        _ => {
            notes.push(KeyNote::NamedAndShutOut);
            conflict()
        }
    }
}

/// The answer that these rules give, where one of them holds always; where each holds only in a
/// case of its own ("upon sale of the aircraft"), nobody is shut out before that case is known.
fn certain_if_always(rules: &[&InspectorRule], answer: KeyTwo, notes: &mut Vec<KeyNote>) -> KeyTwo {
    if !rules.iter().all(|r| clause::holds_in_a_case(r)) {
        return answer;
    }
    notes.push(KeyNote::InOneCase(clauses_of(rules)));
    KeyTwo::Unclear
}

/// The lists of the level, put together.
fn in_lists(
    level: &Level<'_>,
    facts: &Facts,
    kind: Kind,
    state: &mut State,
    key: &mut LetterKey,
) -> KeyTwo {
    let closed: Vec<_> = level
        .lists(Form::Closed)
        .map(|r| (r, clause::names(r, kind, facts)))
        .collect();
    let open: Vec<_> = level
        .lists(Form::Open)
        .map(|r| (r, clause::names(r, kind, facts)))
        .collect();
    // Conditions that are not met are shown, although the kind then counts as not in the list.
    for (rule, _) in closed.iter().chain(&open) {
        if let Some(failed) = clause::failed(rule, kind, facts) {
            key.notes.push(failed);
        }
    }
    let named_somewhere = closed
        .iter()
        .chain(&open)
        .any(|(_, naming)| naming.is_some());
    let lacking: Vec<&InspectorRule> = closed
        .iter()
        .filter(|(_, naming)| naming.is_none())
        .map(|(rule, _)| *rule)
        .collect();
    if !lacking.is_empty() {
        if named_somewhere {
            key.notes.push(KeyNote::ClosedWithout(clauses_of(&lacking)));
            return KeyTwo::Unclear;
        }
        return certain_if_always(&lacking, KeyTwo::ShutOut, &mut key.notes);
    }
    if closed.is_empty() && !named_somewhere {
        return KeyTwo::Unlisted;
    }
    // A closed list that means the kind only in a loose sense, and a clause that adds it by name.
    let loosely: Vec<&InspectorRule> = of_strength(&closed, |s| s == Strength::Loose);
    if !loosely.is_empty() && !of_strength(&open, |s| s != Strength::Loose).is_empty() {
        key.notes.push(KeyNote::ClosedWithout(clauses_of(&loosely)));
        return KeyTwo::Unclear;
    }
    // With closed lists the kind has to be in every one; with open lists the best is taken.
    let mut decisive: Vec<clause::Naming> = if closed.is_empty() {
        open.into_iter()
            .filter_map(|(_, n)| n)
            .reduce(|best, next| {
                if (next.strength, next.state.rank()) > (best.strength, best.state.rank()) {
                    next
                } else {
                    best
                }
            })
            .into_iter()
            .collect()
    } else {
        closed.into_iter().filter_map(|(_, n)| n).collect()
    };
    let loose = decisive.iter().any(|n| n.strength == Strength::Loose);
    for naming in &mut decisive {
        *state = state.clone().and(&naming.state);
        for result in naming.results.drain(..) {
            push_result(key, result);
        }
    }
    if loose {
        key.notes.push(KeyNote::GenericTerm);
        KeyTwo::Generic
    } else {
        KeyTwo::Named
    }
}

/// The rules that name a kind in such a sense.
fn of_strength<'r>(
    lists: &[(&'r InspectorRule, Option<clause::Naming>)],
    is: impl Fn(Strength) -> bool,
) -> Vec<&'r InspectorRule> {
    lists
        .iter()
        .filter(|(_, naming)| naming.as_ref().is_some_and(|n| is(n.strength)))
        .map(|(rule, _)| *rule)
        .collect()
}

fn push_result(key: &mut LetterKey, result: ConditionResult) {
    if !key.conditions.contains(&result) {
        key.conditions.push(result);
    }
}

/// "X may not … unless", "X who inspects must hold …": no list, but a demand on the kind.
fn requirements(
    letter: &Letter,
    levels: &[&Level<'_>],
    facts: &Facts,
    kind: Kind,
    state: &mut State,
    key: &mut LetterKey,
) {
    for rule in levels.iter().flat_map(|l| &l.rules) {
        if rule.form != Form::None || rule.conditions.is_empty() || !binds(letter, rule) {
            continue;
        }
        let Some(naming) = clause::asks_of(rule, kind, facts) else {
            continue;
        };
        if naming.state.no {
            key.answer = KeyTwo::Excluded;
            key.notes.push(KeyNote::DemandNotMet {
                clause: rule.clause,
            });
        }
        *state = state.clone().and(&naming.state);
        for result in naming.results {
            push_result(key, result);
        }
    }
}

/// Whether a clause binds: a recommendation or a definition asks nothing.
fn binds(letter: &Letter, rule: &InspectorRule) -> bool {
    let mut norms = letter
        .norms
        .iter()
        .filter(|n| n.clause == rule.clause && n.span.overlaps(rule.span))
        .peekable();
    rule.demands
        || norms.peek().is_none()
        || norms.any(|n| {
            matches!(
                n.modality,
                Modality::Restriction | Modality::Obligation | Modality::Prohibition
            )
        })
}

/// No clause says who: silent, unless a piece of the letter is missing.
fn silent(letter: &Letter, notes: &mut Vec<KeyNote>) -> KeyTwo {
    if letter.paper == Paper::Clause {
        notes.push(KeyNote::ClauseAlone);
        return KeyTwo::Unclear;
    }
    if letter
        .replaced
        .iter()
        .any(|r| matches!(r.by, ReplacedBy::Amendment | ReplacedBy::Struck))
    {
        notes.push(KeyNote::PerhapsReplaced);
        return KeyTwo::Unclear;
    }
    if let Some(defect) = missing(letter) {
        notes.push(KeyNote::SilentBeside(defect.clone()));
        return KeyTwo::Unclear;
    }
    if let Some(unread) = letter.unread.first() {
        notes.push(KeyNote::SilentBesideUnread(*unread));
        return KeyTwo::Unclear;
    }
    KeyTwo::Silent
}

fn missing(letter: &Letter) -> Option<&Defect> {
    letter.findings.iter().find(|d| {
        matches!(
            d.kind(),
            DefectKind::MissingPage | DefectKind::MissingNumber | DefectKind::Cut
        )
    })
}

/// The words that decide: the names of the kind first, then what the clauses rest on.
fn evidence<'l>(rules: impl Iterator<Item = &'l InspectorRule> + Clone, kind: Kind) -> Vec<Span> {
    let mut spans = Vec::new();
    let mut seen = BTreeSet::new();
    let names = rules
        .clone()
        .flat_map(|r| r.named.iter().chain(&r.excluded))
        .filter(|n| clause::strength(n.kind, kind).is_some())
        .map(|n| n.span);
    let deciding = rules.filter(|r| decides(r)).flat_map(|r| {
        if r.evidence.is_empty() {
            vec![r.span]
        } else {
            r.evidence.clone()
        }
    });
    for span in names.chain(deciding) {
        if seen.insert(span) {
            spans.push(span);
        }
    }
    spans
}
