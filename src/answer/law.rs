//! Key 1: has this kind of person the privilege on that day, by the rules of `patterns/law/`?
//!
//! A rule that bars goes before a rule that grants; a rule that unsettles makes a grant open in
//! law; without any rule the answer is no. Where the basis is not known, every paragraph of
//! § 21.191 is tried, and the basis is an open fact only where it makes a difference.

use super::facts::Facts;
use super::letter;
use super::state::{Fact, State, rule_answer};
use crate::model::{
    Basis, CategoryClass, CertificateFor, ConditionResult, Kind, OpenBecause, Ownership, Rating,
    Ratings, RuleAnswer, RuleCitation, RuleKey, RuleNote,
};
use crate::patterns::{Condition, Effect, LawExample, LawFile, Loaded, Patterns, Regime, When};

/// Key 1 with what the table needs.
pub(super) struct KeyOneFound {
    pub(super) key: RuleKey,
    /// One for each basis tried; one in all where the basis is known or makes no difference.
    pub(super) branches: Vec<Branch>,
    /// The basis is not known and makes a difference.
    pub(super) split_on_basis: bool,
}

/// Key 1 on one basis.
#[derive(Clone)]
pub(super) struct Branch {
    pub(super) basis: Option<Basis>,
    pub(super) state: State,
    rules: Vec<String>,
    results: Vec<ConditionResult>,
}

pub(super) fn key_one(facts: &Facts, kind: Kind, listed: bool, patterns: &Patterns) -> KeyOneFound {
    let mut branches: Vec<Branch> = candidates(facts)
        .into_iter()
        .map(|basis| branch(facts, kind, basis, listed, patterns))
        .collect();
    let split = branches.iter().any(|b| !b.state.no)
        && branches
            .iter()
            .any(|b| b.state != branches[0].state || b.rules != branches[0].rules);
    if !split {
        branches.truncate(1);
    }
    // The best branch is what the report shows; the first of equals, and (g) stands first.
    let best = branches
        .iter()
        .fold(None::<&Branch>, |best, next| match best {
            Some(b) if b.state.rank() >= next.state.rank() => Some(b),
            _ => Some(next),
        })
        .cloned();
    let mut key = best.map_or_else(empty, |b| report(facts, kind, listed, &b, patterns));
    if split {
        let (answer, because) = rule_answer(&State::open_facts(&[Fact::Basis]));
        key.answer = answer;
        key.open_because = because;
        key.conditions.insert(
            0,
            ConditionResult {
                name: Fact::Basis.name().to_owned(),
                met: None,
                open_because: Some(OpenBecause::Fact),
                words: "the certificate was issued for a purpose that the rule covers".to_owned(),
                citation: "§ 21.191".to_owned(),
            },
        );
    }
    KeyOneFound {
        key,
        branches,
        split_on_basis: split,
    }
}

fn empty() -> RuleKey {
    let (answer, open_because) = rule_answer(&State::not_met());
    RuleKey {
        answer,
        open_because,
        citations: Vec::new(),
        rules: Vec::new(),
        conditions: Vec::new(),
        standing: Vec::new(),
        notes: Vec::new(),
        unsettled: false,
    }
}

/// The bases to try: the one given, the items of (i) where none is given, all where nothing is.
fn candidates(facts: &Facts) -> Vec<Option<Basis>> {
    let items = |letter| {
        (1..=3).map(move |n| Basis {
            letter,
            item: Some(n),
        })
    };
    match (facts.regime, facts.basis) {
        (Regime::LightSportCategory, _) => vec![None],
        (
            _,
            Some(Basis {
                letter: 'i',
                item: None,
            }),
        ) => items('i').map(Some).collect(),
        (_, Some(basis)) => vec![Some(basis)],
        (_, None) => {
            let plain = |letter| Basis { letter, item: None };
            ['g']
                .map(plain)
                .into_iter()
                .chain(items('i'))
                .chain(['k', 'l', 'a', 'b', 'c', 'd', 'e', 'f', 'h', 'j'].map(plain))
                .map(Some)
                .collect()
        }
    }
}

fn branch(
    facts: &Facts,
    kind: Kind,
    basis: Option<Basis>,
    listed: bool,
    patterns: &Patterns,
) -> Branch {
    if !Kind::HOLDERS.contains(&kind) {
        // Somebody whose certificate is not said: no rule can be looked up.
        return Branch {
            basis,
            state: State::open_facts(&[Fact::Holder]),
            rules: Vec::new(),
            results: Vec::new(),
        };
    }
    let applying: Vec<&Loaded<LawFile>> = patterns
        .law
        .iter()
        .filter(|law| law.file.effect != Effect::Lists)
        .filter(|law| applies(&law.file, facts, kind, basis, listed))
        .collect();
    if let Some(bar) = applying.iter().find(|l| l.file.effect == Effect::No) {
        return Branch {
            basis,
            state: State::not_met(),
            rules: vec![bar.id.clone()],
            results: Vec::new(),
        };
    }
    let best = applying
        .iter()
        .filter(|l| matches!(l.file.effect, Effect::Yes | Effect::Open))
        .map(|law| {
            let (state, results) = conditions(&law.file, facts);
            let state = if law.file.effect == Effect::Open && !state.no {
                state.and(&State::open_law())
            } else {
                state
            };
            (law, state, results)
        })
        .reduce(|best, next| {
            if next.1.rank() > best.1.rank() {
                next
            } else {
                best
            }
        });
    let Some((law, mut state, results)) = best else {
        return Branch {
            basis,
            state: State::not_met(),
            rules: Vec::new(),
            results: Vec::new(),
        };
    };
    let mut rules = vec![law.id.clone()];
    if !state.no {
        for unsettles in applying
            .iter()
            .filter(|l| l.file.effect == Effect::Unsettles)
        {
            state = state.and(&State::open_law());
            rules.push(unsettles.id.clone());
        }
        // "A no ends the question": open facts beside it are not listed; law stays beside facts.
    } else {
        state = State::not_met();
    }
    Branch {
        basis,
        state,
        rules,
        results,
    }
}

fn applies(file: &LawFile, facts: &Facts, kind: Kind, basis: Option<Basis>, listed: bool) -> bool {
    file.kinds.contains(&kind)
        && file.in_force(facts.on)
        && file.certificates.contains(&facts.regime)
        && (facts.regime == Regime::LightSportCategory || file.covers(basis))
        && (file.inspections.is_empty() || file.inspections.contains(&facts.inspection))
        && file.when.iter().all(|w| holds(*w, facts, listed))
}

fn holds(when: When, facts: &Facts, listed: bool) -> bool {
    match when {
        When::LetterNamesSomebody => listed,
        When::LetterNamesNobody => !listed,
        When::EarlierCertificate => facts.earlier_certificate == Some(true),
        When::EarlierCertificateNotGiven => facts.earlier_certificate.is_none(),
        When::OwnerCoOwner => facts.owner == Some(Ownership::CoOwner),
        When::OwnerCompany => facts.owner == Some(Ownership::Company),
        When::OwnerTrust => facts.owner == Some(Ownership::Trust),
        When::SingleRating => facts.ratings.is_some_and(|r| r.alone().is_some()),
    }
}

fn conditions(file: &LawFile, facts: &Facts) -> (State, Vec<ConditionResult>) {
    let mut all = State::met();
    let mut results = Vec::new();
    for condition in &file.conditions {
        let state = test(*condition, facts);
        results.push(ConditionResult {
            name: condition.name().to_owned(),
            met: state.as_met(),
            open_because: rule_answer(&state).1,
            words: meaning(*condition).to_owned(),
            citation: file.citation.clone(),
        });
        all = all.and(&state);
    }
    (all, results)
}

/// Holds one condition against the facts.
pub(super) fn test(condition: Condition, facts: &Facts) -> State {
    match condition {
        Condition::OwnedByHolder => owned(facts.owner),
        Condition::ClassTrained => trained(facts, old_class),
        Condition::CategoryTrained => trained(facts, category_and_class),
        Condition::CertificateNamesAircraft => match facts.certificate_for {
            // The kind carries its identity: it holds the certificate for this aircraft.
            None | Some(CertificateFor::This) => State::met(),
            Some(CertificateFor::Other | CertificateFor::Unlisted) => State::not_met(),
        },
        Condition::BothRatings => both_ratings(facts),
        // The kind carries its identity: it is rated for the aircraft.
        Condition::RatedForAircraft => State::met(),
        Condition::EffectiveDayKnown => State::open_facts(&[Fact::EffectiveDay]),
        // Nobody who asks about an aircraft of his own, and no maker of an experimental kit, is in
        // that position; where he is, it is the repair station or the type certificate holder.
        Condition::EmployerDuties | Condition::TypeCertificateHolder => State::not_met(),
    }
}

pub(super) fn owned(owner: Option<Ownership>) -> State {
    match owner {
        None => State::open_facts(&[Fact::Owner]),
        Some(Ownership::OwnName) => State::met(),
        Some(Ownership::NotOwner) => State::not_met(),
        Some(Ownership::CoOwner | Ownership::Company | Ownership::Trust) => State::open_law(),
    }
}

/// Both ratings, or the airframe rating alone on an aircraft that has no powerplant (I).
pub(super) fn both_ratings(facts: &Facts) -> State {
    match facts.ratings {
        None
        | Some(Ratings {
            airframe: true,
            powerplant: true,
        }) => State::met(),
        Some(Ratings {
            airframe: false, ..
        }) => State::not_met(),
        Some(Ratings { airframe: true, .. }) => match &facts.aircraft {
            None => State::open_facts(&[Fact::Aircraft]),
            Some(a) => match (a.category.as_str(), a.class.as_deref()) {
                (CategoryClass::GLIDER, _) | ("lighter-than-air", Some(CategoryClass::BALLOON)) => {
                    State::met()
                }
                ("lighter-than-air", None) => State::open_facts(&[Fact::Aircraft]),
                _ => State::not_met(),
            },
        },
    }
}

fn trained(facts: &Facts, same: fn(&CategoryClass, &CategoryClass) -> State) -> State {
    match (&facts.trained, &facts.aircraft) {
        (Some(trained), Some(aircraft)) => same(trained, aircraft),
        (Some(_), None) => State::open_facts(&[Fact::Aircraft]),
        (None, Some(_)) => State::open_facts(&[Fact::Trained]),
        (None, None) => State::open_facts(&[Fact::Trained, Fact::Aircraft]),
    }
}

/// § 65.107(f)(1), § 65.109: category privileges, with class limits where the training had them.
/// An old gyroplane class is rotorcraft limited to gyroplane (§ 65.107(f)(4)).
fn category_and_class(trained: &CategoryClass, aircraft: &CategoryClass) -> State {
    if trained.category != aircraft.category {
        return State::not_met();
    }
    match (&trained.class, &aircraft.class) {
        (None, _) => State::met(),
        (Some(_), None) => State::open_facts(&[Fact::Aircraft]),
        (Some(t), Some(a)) if t == a => State::met(),
        _ => State::not_met(),
    }
}

/// The classes of the text of 2004 are airplane, weight-shift control, powered parachute, lighter
/// than air, glider, and gyroplane, which today is a class of rotorcraft.
fn old_class(trained: &CategoryClass, aircraft: &CategoryClass) -> State {
    if trained.category != aircraft.category {
        return State::not_met();
    }
    if trained.category != CategoryClass::ROTORCRAFT {
        return State::met();
    }
    let mut open = Vec::new();
    for (side, fact) in [(trained, Fact::Trained), (aircraft, Fact::Aircraft)] {
        match side.class.as_deref() {
            Some(CategoryClass::GYROPLANE) => {}
            None => open.push(fact),
            Some(_) => return State::not_met(),
        }
    }
    State::open_facts(&open)
}

/// What a condition asks, as a report says it.
const fn meaning(condition: Condition) -> &'static str {
    match condition {
        Condition::OwnedByHolder => "the aircraft is owned by the holder",
        Condition::ClassTrained => "the holder was trained for the class of the aircraft",
        Condition::CategoryTrained => {
            "the holder was trained for the category, and class as applicable, of the aircraft"
        }
        Condition::CertificateNamesAircraft => "the certificate is for this aircraft",
        Condition::BothRatings => {
            "airframe and powerplant rating (an unpowered aircraft needs no powerplant rating)"
        }
        Condition::RatedForAircraft => "rated for the aircraft",
        Condition::EmployerDuties => {
            "in duties for the certificate holder who employed and recommended the repairman"
        }
        Condition::TypeCertificateHolder => "made the aircraft under a type certificate",
        Condition::EffectiveDayKnown => "the rule was in force on that day of 1979",
    }
}

fn report(
    facts: &Facts,
    kind: Kind,
    listed: bool,
    branch: &Branch,
    patterns: &Patterns,
) -> RuleKey {
    let (answer, open_because) = rule_answer(&branch.state);
    let mut key = RuleKey {
        answer,
        open_because,
        rules: branch.rules.clone(),
        conditions: branch.results.clone(),
        unsettled: branch.state.law,
        ..empty()
    };
    for law in patterns.law.iter().filter(|l| branch.rules.contains(&l.id)) {
        key.citations.push(cite(&law.file));
        key.standing.extend(law.file.standing.iter().cloned());
        for (remark, note) in law.file.note.iter().enumerate() {
            if note.when.iter().all(|w| holds(*w, facts, listed)) {
                key.notes.push(RuleNote::Remark {
                    law: law.id.clone(),
                    remark,
                });
            }
        }
    }
    if !Kind::HOLDERS.contains(&kind) {
        key.notes.push(RuleNote::CertificateNotSaid);
    } else if branch.rules.is_empty() {
        let on = facts.on;
        key.notes.push(RuleNote::NoRule { kind, on });
    }
    key
}

/// The paragraph with its days, the state in which it was read and the grade.
fn cite(file: &LawFile) -> RuleCitation {
    let days = match (file.from, file.to) {
        (None, None) => String::new(),
        (Some(from), None) if file.first_day_unread => {
            format!("in force by {from} at the latest; its first day was not read")
        }
        (Some(from), None) => format!("in force from {from}"),
        (None, Some(to)) => format!("in force until the day before {to}"),
        (Some(from), Some(to)) => format!("in force from {from} until the day before {to}"),
    };
    let source = file.source.first();
    RuleCitation {
        paragraph: file.citation.clone(),
        days,
        read: source.map_or_else(String::new, |s| format!("{}, grade {}", s.locator, s.grade)),
        checked: source.map_or_else(String::new, |s| s.checked.to_string()),
    }
}

/// What an example of a law file gives.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ExampleOutcome {
    /// Whether the rule is among those that the answer rests on.
    pub applies: bool,
    /// `yes`, `no`, `fact`, `law`, or `listed` for a list closed by regulation.
    pub gives: &'static str,
}

/// What a rule gives in an example.
#[derive(Clone, Copy)]
enum Gives {
    Yes,
    No,
    /// A fact is open.
    Fact,
    /// The law is.
    Law,
    /// A list closed by regulation has the kind.
    Listed,
}

impl Gives {
    const fn name(self) -> &'static str {
        match self {
            Self::Yes => "yes",
            Self::No => "no",
            Self::Fact => "fact",
            Self::Law => "law",
            Self::Listed => "listed",
        }
    }
}

/// Runs a hit or miss of a law file: the question that it describes, by key 1 alone.
#[must_use]
pub fn try_example(id: &str, example: &LawExample, patterns: &Patterns) -> ExampleOutcome {
    let facts = Facts {
        on: example.on,
        inspection: example.inspection,
        regime: example.certificate,
        basis: example.basis,
        issued: None,
        owner: example.owner.as_deref().and_then(Ownership::from_name),
        trained: example.trained.clone(),
        aircraft: example.aircraft.clone(),
        ratings: example.ratings.as_ref().map(|r| Ratings {
            airframe: r.iter().any(|x| x == Rating::Airframe.name()),
            powerplant: r.iter().any(|x| x == Rating::Powerplant.name()),
        }),
        certificate_for: example
            .certificate_for
            .as_deref()
            .and_then(CertificateFor::from_name),
        earlier_certificate: example.earlier_certificate,
        holds_ia: None,
        mixed: false,
    };
    let file = patterns.law.iter().find(|l| l.id == id);
    if file.is_some_and(|l| l.file.effect == Effect::Lists) {
        let listed = letter::light_sport_list(&facts, patterns)
            .is_some_and(|l| l.file.kinds.contains(&example.kind));
        return ExampleOutcome {
            applies: listed,
            gives: Gives::Listed.name(),
        };
    }
    let found = key_one(&facts, example.kind, example.listed, patterns);
    ExampleOutcome {
        applies: found.key.rules.iter().any(|r| r == id),
        gives: match (found.key.answer, found.key.open_because) {
            (RuleAnswer::Open, Some(OpenBecause::Fact)) => Gives::Fact,
            (RuleAnswer::Open, _) => Gives::Law,
            (RuleAnswer::Yes, _) => Gives::Yes,
            (RuleAnswer::No, _) => Gives::No,
        }
        .name(),
    }
}
