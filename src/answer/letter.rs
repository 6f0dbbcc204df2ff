//! Key 2: what the letter says of this kind, for the inspection asked about.
//!
//! Clauses for the named inspection go before general ones ("inspections required by these
//! limitations"); both are shown. Within one level, lists are put together, a closed list shuts
//! out whom it lacks, and two clauses that cannot both hold make the letter unclear, unless one of
//! them speaks of the kind more exactly than the other.

use std::collections::BTreeSet;

use super::clause::{self, Strength};
use super::facts::{Facts, paper_looks_like};
use super::rule_answer;
use super::state::State;
use crate::model::{
    ConditionResult, Defect, DefectKind, Form, Inspection, InspectorRule, KeyTwo, Kind, Letter,
    LetterKey, Modality, Paper, ReplacedBy, Span, Unread, UnreadKind,
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
        found.key.notes.push(format!(
            "{} A clause on inspectors could stand there.",
            unread_words(unread)
        ));
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
            found.key.notes = vec![format!(
                "This is no letter of operating limitations. It looks like {}.",
                paper_looks_like(other).unwrap_or("something else")
            )];
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
        found.key.notes.push(format!(
            "The amendment is of {day}. On {} the words before it held; hand in the letter without the amendment.",
            facts.on
        ));
    }
    if let Some(issued) = facts.issued
        && issued > facts.on
    {
        found.key.answer = KeyTwo::Unclear;
        // Whether the letter of that day listed anybody is not known.
        found.list_found = false;
        found.key.notes.push(format!(
            "This letter was issued on {issued}. On {} another one was in force, or none; it was not handed in.",
            facts.on
        ));
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
        own.key.notes.push(format!(
            "The paper is that of a light-sport category aircraft, which did not exist on {}.",
            facts.on
        ));
        return own;
    };
    own.list_found = true;
    let named = list.file.kinds.contains(&kind);
    let read = list.file.source.first();
    let read = read.map_or_else(String::new, |s| {
        format!(", {}, grade {}", s.locator, s.grade)
    });
    own.key.notes.push(format!(
        "This is no experimental letter: a rule says who inspects a light-sport category aircraft, and closes the list ({}{read}).",
        list.file.citation
    ));
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

    // Words that cannot be relied on decide nothing; where a word is lost, a clause that seems to
    // say nothing of who may inspect could be the list.
    let defects = deciding_defects(letter);
    let first = level
        .rules
        .iter()
        .chain(specific.rules.iter())
        .find_map(|r| doubt(letter, &defects, r));
    if let Some(first) = first {
        key.answer = KeyTwo::Unclear;
        key.notes.push(first);
        key.evidence = evidence(level.rules.iter().copied(), kind);
        return KeyTwoFound {
            key,
            state,
            list_found,
            closed: false,
            demands: State::met(),
        };
    }

    key.answer = match excluded(&specific, &general, level, facts, kind, &mut key.notes) {
        Some(KeyTwo::Excluded) => {
            let excluding: Vec<&InspectorRule> = [&specific, &general]
                .into_iter()
                .flat_map(|l| &l.rules)
                .copied()
                .filter(|r| clause::excludes(r, kind).is_some())
                .collect();
            certain_if_always(letter, &excluding, KeyTwo::Excluded, &mut key.notes)
        }
        Some(answer) => answer,
        None if list_found => in_lists(letter, level, facts, kind, &mut state, &mut key),
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
    if list_found && !other.rules.is_empty() {
        let clauses = ids(letter, &other.rules);
        key.notes.push(if specific.says_who() {
            format!(
                "{clauses} speaks of inspections in general; the clause for the named inspection goes before it."
            )
        } else {
            format!("{clauses} speaks of this inspection too, without saying who may do it.")
        });
    }
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
            key.notes.push(format!(
                "{} speaks of another inspection ({}) and decides nothing here.",
                ids(letter, &rules),
                inspection.name()
            ));
        }
    }
    if list_found && let Some(missing) = missing(letter) {
        key.notes.push(format!(
            "{} Another clause on inspectors could stand there.",
            missing.message
        ));
    }
    KeyTwoFound {
        key,
        state,
        list_found,
        closed: level.lists(Form::Closed).next().is_some(),
        demands,
    }
}

/// Whether a rule has any say in who may inspect.
fn decides(rule: &InspectorRule) -> bool {
    rule.form != Form::None || !rule.excluded.is_empty() || !rule.conditions.is_empty()
}

fn ids(letter: &Letter, rules: &[&InspectorRule]) -> String {
    let ids: Vec<&str> = rules
        .iter()
        .filter_map(|r| letter.clauses.get(r.clause))
        .map(|c| c.id.as_str())
        .collect();
    match ids.as_slice() {
        [] => "Another passage".to_owned(),
        [one] => format!("Clause {one}"),
        [first @ .., last] if first.len() < 8 => {
            format!("Clauses {} and {last}", first.join(", "))
        }
        many => format!("Clauses {} and others", many[..8].join(", ")),
    }
}

/// The defects that can take the words of a clause away.
fn deciding_defects(letter: &Letter) -> Vec<&Defect> {
    letter
        .condition
        .iter()
        .filter(|d| {
            matches!(
                d.kind,
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
fn doubt(letter: &Letter, defects: &[&Defect], rule: &InspectorRule) -> Option<String> {
    if let Some(doubt) = &rule.doubt {
        return Some(doubt.clone());
    }
    if rule.form == Form::Closed && rule.named.is_empty() && rule.excluded.is_empty() {
        return Some(format!(
            "{} limits who may inspect, but the names could not be read.",
            ids(letter, &[rule])
        ));
    }
    defects
        .iter()
        .find(|d| match d.kind {
            DefectKind::Cut => d.clauses.contains(&rule.clause),
            _ => d.span.is_some_and(|s| s.overlaps(rule.span)),
        })
        .map(|d| d.message.clone())
}

/// Exclusion by name. Returns the answer where exclusion decides.
fn excluded(
    specific: &Level<'_>,
    general: &Level<'_>,
    level: &Level<'_>,
    facts: &Facts,
    kind: Kind,
    notes: &mut Vec<String>,
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
                notes.push("A general clause shuts the kind out; the clause for this inspection names it and goes before it.".to_owned());
                None
            }
            _ if strength == Strength::Loose => None,
            Some(Strength::Loose) => {
                notes.push("A general clause shuts the kind out; the clause for this inspection uses a term that may cover it.".to_owned());
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
            notes.push(
                "One clause names the kind, another shuts out «repairmen», which may cover it."
                    .to_owned(),
            );
            conflict()
        }
        // The exclusion is the more exact of the two.
        (s, elsewhere, here) if elsewhere.is_none_or(|e| e < s) && here.is_none_or(|h| h < s) => {
            Some(KeyTwo::Excluded)
        }
        _ => {
            notes.push("One clause lets the kind inspect, another shuts it out.".to_owned());
            conflict()
        }
    }
}

/// The answer that these rules give, where one of them holds always; where each holds only in a
/// case of its own ("upon sale of the aircraft"), nobody is shut out before that case is known.
fn certain_if_always(
    letter: &Letter,
    rules: &[&InspectorRule],
    answer: KeyTwo,
    notes: &mut Vec<String>,
) -> KeyTwo {
    if !rules.iter().all(|r| clause::holds_in_a_case(r)) {
        return answer;
    }
    notes.push(format!(
        "{} shuts the kind out in one case only, and the facts do not say whether it is this one; see the condition in its words.",
        ids(letter, rules)
    ));
    KeyTwo::Unclear
}

/// The lists of the level, put together.
fn in_lists(
    letter: &Letter,
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
        if let Some(failed) = clause::failed(rule, kind, facts, letter) {
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
            key.notes.push(format!(
                "{} closes the list without the kind, and another clause on the same inspection names it.",
                ids(letter, &lacking)
            ));
            return KeyTwo::Unclear;
        }
        return certain_if_always(letter, &lacking, KeyTwo::ShutOut, &mut key.notes);
    }
    if closed.is_empty() && !named_somewhere {
        return KeyTwo::Unlisted;
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
        key.notes.push(
            "The clause uses a term that may or may not cover the kind; that is a dispute of its own."
                .to_owned(),
        );
        KeyTwo::Generic
    } else {
        KeyTwo::Named
    }
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
            key.notes.push(format!(
                "{} asks something of the kind that is not met.",
                ids(letter, &[rule])
            ));
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
    norms.peek().is_none()
        || norms.any(|n| {
            matches!(
                n.modality,
                Modality::Restriction | Modality::Obligation | Modality::Prohibition
            )
        })
}

/// No clause says who: silent, unless a piece of the letter is missing.
fn silent(letter: &Letter, notes: &mut Vec<String>) -> KeyTwo {
    if letter.paper == Paper::Clause {
        notes.push(
            "This clause alone does not say who may inspect; another one of its letter may."
                .to_owned(),
        );
        return KeyTwo::Unclear;
    }
    if letter
        .replaced
        .iter()
        .any(|r| matches!(r.by, ReplacedBy::Amendment | ReplacedBy::Struck))
    {
        notes.push(
            "No clause in force that was understood says who may inspect, and words that did may have been replaced."
                .to_owned(),
        );
        return KeyTwo::Unclear;
    }
    if let Some(defect) = missing(letter) {
        notes.push(format!(
            "No clause that was read says who may inspect. {} The clause could stand there.",
            defect.message
        ));
        return KeyTwo::Unclear;
    }
    if let Some(unread) = letter.unread.first() {
        notes.push(format!(
            "No clause that was read says who may inspect. {} The clause could stand there.",
            unread_words(unread)
        ));
        return KeyTwo::Unclear;
    }
    KeyTwo::Silent
}

/// What was not read, in a sentence; a new kind has to be given its words.
fn unread_words(unread: &Unread) -> String {
    let page = unread
        .page
        .map_or_else(|| "A page".to_owned(), |n| format!("Page {n}"));
    let small = page.to_lowercase();
    match unread.kind {
        UnreadKind::Scan => format!("{page} is a picture of paper that was not read."),
        UnreadKind::Drawn => format!("The words of {small} are drawn as shapes and were not read."),
        UnreadKind::Garbled => format!("The characters of {small} make no words."),
        UnreadKind::Broken => format!("{page} is damaged and may hold more than was read."),
        UnreadKind::Cut => format!("{page} breaks off before its end."),
        UnreadKind::Failed => format!("{page} could not be read."),
        UnreadKind::WithoutWords => format!("{page} is a picture in which no words were found."),
        UnreadKind::Empty => format!("{page} holds no text."),
        UnreadKind::Limit => "The file is longer than what was read of it.".to_owned(),
        UnreadKind::File => "A piece of the file is lost.".to_owned(),
        UnreadKind::Bytes => "Characters of the file are lost.".to_owned(),
    }
}

fn missing(letter: &Letter) -> Option<&Defect> {
    letter.condition.iter().find(|d| {
        matches!(
            d.kind,
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

/// A condition as the report shows it.
pub(super) fn result(name: &str, words: &str, state: &State) -> ConditionResult {
    ConditionResult {
        name: name.to_owned(),
        met: state.as_met(),
        open_because: rule_answer(state).1,
        words: words.to_owned(),
        citation: String::new(),
    }
}
