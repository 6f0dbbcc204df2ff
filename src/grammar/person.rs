//! Head and features → the kind of inspector. A feature that its head has no use for is not
//! dropped: the phrase then has no meaning, and the clause is in doubt.

use std::collections::BTreeSet;

use super::value::{Features, Head, Item, Named, Persons, ask, f, flag};
use crate::model::{InspectorConditionKind as Asks, Kind};

/// What a head makes of its features: the kinds, and which features were used.
struct Resolved {
    kinds: Vec<Kind>,
    used: Features,
}

/// Features that add nothing to whom a phrase names.
const PLAIN: Features = f::CERTIFICATED | f::PLURAL | f::SELF | f::EXPERIMENTAL;
/// Features that ask something of the person.
const CONDITIONS: [(Features, Asks); 6] = [
    (f::OWNS, Asks::OwnedByHolder),
    (f::AT_LEAST, Asks::AtLeast),
    (f::S43_3, Asks::AsAuthorizedBy433),
    (f::RATED, Asks::AppropriatelyRated),
    (f::SUPERVISED, Asks::Supervised),
    (f::OTHER, Asks::Other),
];

/// The persons that a noun phrase names; `None` where its parts do not go together.
pub(crate) fn persons(items: &[Item]) -> Option<Persons> {
    let mut all = Persons::default();
    for &(head, features) in items {
        all = all.with(&one(head, features)?);
    }
    Some(all)
}

fn one(head: Head, features: Features) -> Option<Persons> {
    let looks_back = features & f::LOOKS_BACK != 0;
    let features = features & !f::LOOKS_BACK;
    let head = certificate_holder(head, features)?;
    let Resolved { kinds, used } = resolve(head, features)?;
    let mut asks = 0;
    let mut known = used | PLAIN;
    for (bit, kind) in CONDITIONS {
        if features & bit != 0 {
            asks |= ask(kind);
            known |= bit;
        }
    }
    if features & f::IF_CERTIFICATED != 0 {
        asks |= ask(Asks::Certificated);
        known |= f::IF_CERTIFICATED;
    }
    if features & f::PART_65 != 0 && features & f::S43_3 == 0 && kinds == [Kind::Other] {
        asks |= ask(Asks::UnderPart65);
    }
    if features & f::IA != 0 && kinds == [Kind::Mechanic] {
        asks |= ask(Asks::HoldsInspectionAuthorization);
        known |= f::IA;
    }
    if features & f::THIS != 0 {
        // "the owner of this aircraft": which of them is meant, not what is asked of him; and the words
        // for the builder say themselves whose certificate it is
        if used & f::THIS != 0 && !speaks_of_the_builder(head, features) {
            asks |= ask(Asks::ThisAircraft);
        }
        known |= f::THIS;
    }
    if features & !known != 0 {
        return None;
    }
    let flags = if looks_back { flag::BACK } else { 0 };
    Some(Persons {
        named: kinds.into_iter().map(|kind| Named { kind, asks }).collect(),
        excluded: BTreeSet::new(),
        flags,
    })
}

const LIGHT_SPORT_RULES: Features = f::S65_107 | f::S65_109 | f::S65_109A | f::S65_109B;

/// "A person holding a mechanic certificate" is a mechanic; the certificate makes the head.
fn certificate_holder(head: Head, features: Features) -> Option<Head> {
    let certificates = [
        (f::CERT_REPAIRMAN, Head::Repairman),
        (f::CERT_MECHANIC, Head::Mechanic),
        (f::CERT_STATION, Head::Station),
    ];
    let held: Vec<Head> = certificates
        .iter()
        .filter(|(bit, _)| features & bit != 0)
        .map(|(_, head)| *head)
        .collect();
    let by_certificate = match held.as_slice() {
        [] => None,
        [one] => Some(*one),
        _ => return None,
    };
    match (head, by_certificate) {
        (Head::Person | Head::Owner, Some(held)) => Some(held),
        (Head::Person, None)
            if features & (LIGHT_SPORT_RULES | f::S65_104 | f::LIGHT_SPORT) != 0 =>
        {
            Some(Head::Repairman)
        }
        (Head::Person, None) if features & f::PART_145 != 0 => Some(Head::Station),
        (Head::Person, None) if features & f::MECHANIC_RULE != 0 => Some(Head::Mechanic),
        (Head::Person, None) if features & f::BUILDER != 0 => Some(Head::Builder),
        (Head::Builder, Some(Head::Repairman) | None) => Some(Head::Builder),
        (Head::Builder, Some(_)) => None,
        (head, None) => Some(head),
        (head, Some(held)) if head == held => Some(head),
        (Head::Mechanic, Some(Head::Repairman)) | (Head::Repairman, Some(Head::Station)) => None,
        _ => None,
    }
}

fn resolve(head: Head, features: Features) -> Option<Resolved> {
    let has = |bits: Features| features & bits != 0;
    let found = |kinds: &[Kind], used: Features| {
        Some(Resolved {
            kinds: kinds.to_vec(),
            used,
        })
    };
    match head {
        Head::Mechanic => {
            if has(f::AIRFRAME) && has(f::POWERPLANT) {
                return found(
                    &[Kind::Mechanic],
                    f::AIRFRAME | f::POWERPLANT | MECHANIC | f::BOTH,
                );
            }
            // One rating named: a floor for him who holds both.
            found(&[Kind::Mechanic], MECHANIC | f::BOTH | f::AIRFRAME)
        }
        Head::Station => found(
            &[Kind::RepairStation],
            f::PART_145 | f::CERT_STATION | f::GENERAL,
        ),
        Head::Maker => found(&[Kind::Manufacturer], 0),
        Head::Official => found(&[Kind::FaaInspector], f::GENERAL),
        Head::Shop => found(
            &[Kind::GeneralRepairman],
            f::EMPLOYED | f::S65_101 | f::GENERAL,
        ),
        Head::Owner => found(&[Kind::Owner], f::UNCERTIFICATED),
        Head::Builder => builder(features),
        Head::Repairman => repairman(features),
        Head::Person => person(features),
    }
}

/// Features of a mechanic that name no other kind.
const MECHANIC: Features = f::CERT_MECHANIC | f::MECHANIC_RULE | f::PART_65 | f::GENERAL;

/// Whether a noun, a rule or a name of the certificate says that it is the builder's.
const fn speaks_of_the_builder(head: Head, features: Features) -> bool {
    matches!(head, Head::Builder) || features & (f::BUILDER | f::S65_104) != 0
}

fn builder(features: Features) -> Option<Resolved> {
    if features & (f::LIGHT_SPORT | LIGHT_SPORT_RULES | f::INSPECTION | f::MAINTENANCE) != 0 {
        return None;
    }
    Some(Resolved {
        kinds: vec![Kind::BuilderRepairman],
        used: f::THIS | f::BUILDER | f::CERT_REPAIRMAN | f::S65_104 | f::PART_65 | f::GENERAL,
    })
}

fn repairman(features: Features) -> Option<Resolved> {
    let has = |bits: Features| features & bits != 0;
    let common = f::CERT_REPAIRMAN | f::PART_65;
    let found = |kinds: &[Kind], used: Features| {
        Some(Resolved {
            kinds: kinds.to_vec(),
            used: used | common,
        })
    };
    if has(f::EMPLOYED | f::S65_101) {
        return found(&[Kind::GeneralRepairman], f::EMPLOYED | f::S65_101);
    }
    let light_sport = has(f::LIGHT_SPORT | LIGHT_SPORT_RULES);
    if light_sport && has(f::BUILDER | f::S65_104) {
        return None;
    }
    if light_sport || has(f::INSPECTION | f::MAINTENANCE) {
        let inspection = has(f::INSPECTION | f::S65_109A);
        let maintenance = has(f::MAINTENANCE | f::S65_109B);
        let used = f::LIGHT_SPORT | LIGHT_SPORT_RULES | f::INSPECTION | f::MAINTENANCE | f::THIS;
        return match (inspection, maintenance) {
            // "with at least an inspection rating": who holds the other one does more
            (true, false) if has(f::AT_LEAST) => None,
            (true, false) => found(&[Kind::LightSportRepairmanInspection], used),
            (false, true) => found(&[Kind::LightSportRepairmanMaintenance], used),
            (true, true) => found(
                &[
                    Kind::LightSportRepairmanInspection,
                    Kind::LightSportRepairmanMaintenance,
                ],
                used,
            ),
            (false, false) => found(&[Kind::LightSportRepairman], used),
        };
    }
    if has(f::THIS | f::BUILDER | f::S65_104) {
        return found(&[Kind::BuilderRepairman], f::THIS | f::BUILDER | f::S65_104);
    }
    found(&[Kind::Repairman], f::GENERAL)
}

fn person(features: Features) -> Option<Resolved> {
    if features & f::UNCERTIFICATED != 0 {
        // somebody without a certificate who is none of the kinds
        return Some(Resolved {
            kinds: vec![Kind::Other],
            used: f::UNCERTIFICATED,
        });
    }
    let general =
        f::GENERAL | f::CERTIFICATED | f::RATED | f::S43_3 | f::PART_65 | f::IF_CERTIFICATED;
    if features & general == 0 {
        return None;
    }
    Some(Resolved {
        kinds: vec![Kind::Other],
        used: general,
    })
}

/// The conditions that features ask, as bits of [`super::value::ASKS`].
pub(crate) fn asked(features: Features) -> u16 {
    let mut asks = 0;
    for (bit, kind) in CONDITIONS {
        if features & bit != 0 {
            asks |= ask(kind);
        }
    }
    if features & f::IF_CERTIFICATED != 0 {
        asks |= ask(Asks::Certificated);
    }
    if features & f::IA != 0 {
        asks |= ask(Asks::HoldsInspectionAuthorization);
    }
    if features & f::THIS != 0 {
        asks |= ask(Asks::ThisAircraft);
    }
    asks
}
