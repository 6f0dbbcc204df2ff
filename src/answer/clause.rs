//! One clause and one kind: does it name the kind, how exactly, and what does it ask of it?

use super::facts::Facts;
use super::law;
use super::state::{Fact, State, result};
use crate::model::{
    CertificateFor, ConditionResult, Form, InspectorCondition, InspectorConditionKind,
    InspectorRule, KeyNote, Kind,
};

/// How exactly a term speaks of a kind.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Strength {
    /// A generic term that may or may not cover it: "repairman", "certificated person".
    Loose,
    /// A term that covers both ratings: "light-sport repairman", § 65.107 without a rating.
    Family,
    /// The kind itself.
    Exact,
}

/// A kind named by a clause.
#[derive(Clone, Debug)]
pub(super) struct Naming {
    pub(super) strength: Strength,
    pub(super) state: State,
    pub(super) results: Vec<ConditionResult>,
}

/// How the term `said` speaks of `kind`; `None` where it does not.
pub(super) fn strength(said: Kind, kind: Kind) -> Option<Strength> {
    use Kind::{
        BuilderRepairman, GeneralRepairman, LightSportRepairman, LightSportRepairmanInspection,
        LightSportRepairmanMaintenance, Other, Owner, Repairman,
    };
    match (said, kind) {
        (s, k) if s == k => Some(Strength::Exact),
        (LightSportRepairman, LightSportRepairmanInspection | LightSportRepairmanMaintenance) => {
            Some(Strength::Family)
        }
        (
            Repairman,
            BuilderRepairman
            | GeneralRepairman
            | LightSportRepairman
            | LightSportRepairmanInspection
            | LightSportRepairmanMaintenance,
        ) => Some(Strength::Loose),
        // "Certificated person" may be anybody with a certificate; an owner without one is not.
        (Other, k) if k != Owner => Some(Strength::Loose),
        _ => None,
    }
}

/// How exactly a rule shuts the kind out by name.
pub(super) fn excludes(rule: &InspectorRule, kind: Kind) -> Option<Strength> {
    rule.excluded
        .iter()
        // "No other person" closes a list; it names nobody.
        .filter(|n| n.kind != Kind::Other)
        .filter_map(|n| strength(n.kind, kind))
        .max()
}

/// Whether a rule as a whole holds only in a case of which the facts say nothing: "upon sale of
/// the aircraft, …".
pub(super) fn holds_in_a_case(rule: &InspectorRule) -> bool {
    rule.conditions.iter().any(|c| {
        c.on.is_none()
            && matches!(
                c.kind,
                InspectorConditionKind::Case | InspectorConditionKind::Other
            )
    })
}

/// Whether a rule obliges in a case of the aircraft or of others that its words name, and asks nothing of
/// the kind by it: out of that case it says nothing of the kind.
pub(super) fn obliges_in_a_case(rule: &InspectorRule) -> bool {
    rule.form == Form::Closed
        && rule
            .conditions
            .iter()
            .any(|c| c.kind == InspectorConditionKind::Case)
}

/// Whether a rule names the kind, with its conditions held against the facts. `None` where it does
/// not, or where a condition is not met: the kind then counts as not in the list.
pub(super) fn names(rule: &InspectorRule, kind: Kind, facts: &Facts) -> Option<Naming> {
    asks_of(rule, kind, facts).filter(|n| !n.state.no)
}

/// The same with conditions that are not met.
pub(super) fn asks_of(rule: &InspectorRule, kind: Kind, facts: &Facts) -> Option<Naming> {
    let by_words = rule
        .named
        .iter()
        .filter_map(|n| {
            if n.kind == Kind::Repairman && is_the_builder(rule, kind, facts) {
                return Some(Strength::Exact);
            }
            strength(n.kind, kind)
        })
        .max();
    // Cards of light-sport repairmen listed an aircraft, too, before October 2025.
    let by_card =
        by_words.is_none() && is_light_sport(kind) && rule.named.iter().any(|n| n.by_card);
    let strongest = by_words.or(by_card.then_some(Strength::Loose))?;
    let asked = rule
        .conditions
        .iter()
        .filter(|c| bears_on(c, rule, kind))
        .map(|c| c.kind)
        .chain(by_card.then_some(InspectorConditionKind::ThisAircraft));
    let mut all = State::met();
    let mut results = Vec::new();
    for condition in asked {
        let state = test(condition, kind, facts);
        results.push(result(condition.name(), meaning(condition), &state));
        all = all.and(&state);
    }
    Some(Naming {
        strength: strongest,
        state: all,
        results,
    })
}

/// "The repairman certificate for this aircraft" in an amateur-built letter: such a certificate is
/// the builder's, whatever the year of the letter.
fn is_the_builder(rule: &InspectorRule, kind: Kind, facts: &Facts) -> bool {
    kind == Kind::BuilderRepairman
        && facts.basis.is_some_and(|b| b.letter == 'g')
        && rule.conditions.iter().any(|c| {
            c.kind == InspectorConditionKind::ThisAircraft
                && c.on.is_none_or(|on| on == Kind::Repairman)
        })
}

/// Why a kind that the words name counts as not in the list.
pub(super) fn failed(rule: &InspectorRule, kind: Kind, facts: &Facts) -> Option<KeyNote> {
    let naming = asks_of(rule, kind, facts)?;
    let failed = naming.results.into_iter().find(|r| r.met == Some(false))?;
    Some(KeyNote::ConditionNotMet {
        clause: rule.clause,
        asks: failed.words,
    })
}

/// Whether a condition is put on the kind: on all, on the kind, or on the term that covers it.
fn bears_on(condition: &InspectorCondition, rule: &InspectorRule, kind: Kind) -> bool {
    condition.on.is_none_or(|on| {
        on == kind || (rule.named.iter().any(|n| n.kind == on) && strength(on, kind).is_some())
    })
}

const fn is_light_sport(kind: Kind) -> bool {
    matches!(
        kind,
        Kind::LightSportRepairmanInspection | Kind::LightSportRepairmanMaintenance
    )
}

const fn is_repairman(kind: Kind) -> bool {
    matches!(
        kind,
        Kind::BuilderRepairman
            | Kind::GeneralRepairman
            | Kind::Repairman
            | Kind::LightSportRepairman
            | Kind::LightSportRepairmanInspection
            | Kind::LightSportRepairmanMaintenance
    )
}

/// Holds a condition of a clause against the facts.
fn test(condition: InspectorConditionKind, kind: Kind, facts: &Facts) -> State {
    match condition {
        InspectorConditionKind::ThisAircraft => match kind {
            Kind::BuilderRepairman => match facts.certificate_for {
                // The kind carries its identity.
                None | Some(CertificateFor::This) => State::met(),
                Some(_) => State::not_met(),
            },
            k if is_repairman(k) => match facts.certificate_for {
                None => State::open_facts(&[Fact::CertificateFor]),
                Some(CertificateFor::This) => State::met(),
                Some(CertificateFor::Other) => State::not_met(),
                // Cards since 2025 list no aircraft: unsettled.
                Some(CertificateFor::Unlisted) => State::open_law(),
            },
            // Mechanics and repair stations have no certificate for one aircraft.
            _ => State::met(),
        },
        InspectorConditionKind::OwnedByHolder => law::owned(facts.owner),
        InspectorConditionKind::HoldsInspectionAuthorization => match facts.holds_ia {
            Some(true) => State::met(),
            Some(false) => State::not_met(),
            None => State::open_facts(&[Fact::HoldsIa]),
        },
        InspectorConditionKind::AtLeast => match kind {
            Kind::Mechanic => law::both_ratings(facts),
            _ => State::met(),
        },
        InspectorConditionKind::AppropriatelyRated => match kind {
            Kind::Mechanic => law::both_ratings(facts),
            // Ratings of the others are in their kind or in key 1.
            Kind::Other => State::open_facts(&[Fact::Holder]),
            _ => State::met(),
        },
        // § 43.3(b), (c), (e), (j) send the reader to the rules that key 1 tests.
        InspectorConditionKind::AsAuthorizedBy433 => State::met(),
        // Part 65 certificates persons; a repair station has its certificate under part 145.
        InspectorConditionKind::UnderPart65 => match kind {
            Kind::RepairStation | Kind::Manufacturer | Kind::Owner => State::not_met(),
            _ => State::met(),
        },
        InspectorConditionKind::Certificated => match kind {
            Kind::Owner => State::not_met(),
            Kind::Other => State::open_facts(&[Fact::Holder]),
            // "The maker, if certificated as a repair station": another kind asks that.
            Kind::Manufacturer => State::open_facts(&[Fact::ClauseCondition]),
            _ => State::met(),
        },
        InspectorConditionKind::Supervised
        | InspectorConditionKind::Case
        | InspectorConditionKind::Other => State::open_facts(&[Fact::ClauseCondition]),
    }
}

/// What a condition of a clause asks, as a report says it.
const fn meaning(condition: InspectorConditionKind) -> &'static str {
    match condition {
        InspectorConditionKind::ThisAircraft => "the certificate is for this aircraft",
        InspectorConditionKind::OwnedByHolder => "the holder owns the aircraft",
        InspectorConditionKind::HoldsInspectionAuthorization => "holds an inspection authorization",
        InspectorConditionKind::AtLeast => "at least airframe and powerplant ratings",
        InspectorConditionKind::AsAuthorizedBy433 => "as authorized by § 43.3",
        InspectorConditionKind::UnderPart65 => "certificated or authorized under part 65",
        InspectorConditionKind::AppropriatelyRated => "appropriately rated for the aircraft",
        InspectorConditionKind::Certificated => "holds the certificate that the clause asks for",
        InspectorConditionKind::Supervised => "under the supervision that the clause asks for",
        InspectorConditionKind::Case => "the case that the clause names; see its words",
        InspectorConditionKind::Other => "what the clause asks besides; see its words",
    }
}
