//! Words for inspectors, their conditions, limiters and inspections.

use serde::Deserialize;

use super::file::pattern_file;
use super::{Example, Lexicon, Loaded, PatternError, PhraseSet};
use crate::model::{Inspection, InspectorConditionKind, Kind};

pattern_file! {
    /// One file of `patterns/inspector/`.
    InspectorFile, hit: Example, miss: Example, {
        /// The words and what they mean.
        words: Words,
    }
}

/// The words of an inspector pattern and what they mean.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Words {
    /// The part that the words play in a clause.
    pub role: InspectorRole,
    /// What they mean, from a closed set for each role; empty where the role says it all.
    #[serde(default)]
    pub means: String,
    /// Phrases; see [`super::phrase`].
    pub any: Vec<String>,
}

/// The part that words play in a clause about who may inspect; a closed set, because the grammar
/// has to know what to do with each.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum InspectorRole {
    /// Heads a noun phrase for a person or firm: mechanic, repair station.
    Head,
    /// Says more about the person: light-sport, inspection rating, § 65.104.
    Qualifier,
    /// Names an inspection: the condition inspection.
    Inspection,
    /// Names the interval that tells which inspection is meant.
    Interval,
    /// Does an inspection: perform, conduct, inspect.
    Act,
    /// Does something else: maintain, record, sign.
    OtherAct,
    /// Gives leave: may, is authorized to.
    Grant,
    /// Lays a duty: must, shall, is to be.
    Duty,
    /// Recommends: should.
    Advise,
    /// Denies a need: need not, is not required.
    Denial,
    /// Takes leave away: may not, is not authorized.
    Bar,
    /// Limits what stands next to it: only, solely, alone.
    Only,
    /// Closes the list as a whole: "and no others".
    Exclusive,
    /// Limits an act to the persons that follow: is restricted to.
    Reserve,
    /// Nobody: no one, no person.
    Nobody,
    /// Takes out of "nobody" or of a list: but, other than, except.
    But,
    /// Defines: means, refers to.
    Defines,
    /// The person who inspects, spoken of by what he does.
    Agent,
    /// Has somebody else do it: have, ensure.
    Causative,
    /// A whole condition by itself: appropriately rated.
    Condition,
    /// Opens a condition that runs on: unless, provided, rated for.
    Opener,
    /// Opens words behind a person that say what he has to have.
    Modifier,
    /// Is not what one of its words suggests: inspection authorization, employment at a repair station.
    Ignore,
}

/// What a phrase means to the grammar.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Meaning {
    /// A person or firm.
    Head(Head),
    /// More about the person.
    Qualifier(Qualifier),
    /// An inspection; `None` for "the inspection", which is told by what stands around it.
    Inspection(Option<Inspection>),
    /// An interval that tells the inspection.
    Interval(Inspection),
    /// A condition of this kind.
    Condition(InspectorConditionKind),
    /// Opens a condition; the kind where the opener alone tells it.
    Opener(Option<InspectorConditionKind>),
    /// A role that says it all.
    Plain(InspectorRole),
}

/// Head nouns.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Head {
    /// "mechanic".
    Mechanic,
    /// "repairman" and "holder of a repairman certificate".
    Repairman,
    /// "repair station".
    RepairStation,
    /// "builder".
    Builder,
    /// "owner".
    Owner,
    /// "manufacturer".
    Manufacturer,
    /// "FAA inspector".
    FaaInspector,
    /// "person", "holder": told by what follows.
    Person,
    /// Somebody who is none of the kinds: staff, military personnel.
    Other,
}

/// What is said about a head.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Qualifier {
    /// Mechanic certificate, A&P, airframe and powerplant.
    MechanicCertificate,
    /// Inspection authorization.
    InspectionAuthorization,
    /// Repairman certificate.
    RepairmanCertificate,
    /// Experimental aircraft builder, § 65.104.
    BuilderCertificate,
    /// Light-sport, § 65.107, § 65.109.
    LightSport,
    /// Inspection rating.
    InspectionRating,
    /// Maintenance rating.
    MaintenanceRating,
    /// Light-sport repairman with inspection rating in one word.
    Lsri,
    /// Light-sport repairman with maintenance rating in one word.
    Lsrm,
    /// § 65.101.
    General,
    /// Certificated, without more.
    Certificated,
}

/// All files of the folder, compiled.
#[derive(Debug, Default)]
pub struct Inspectors {
    /// The files.
    pub files: Vec<Loaded<InspectorFile>>,
    /// Phrases; the payload is the index of the file and what it means.
    pub phrases: PhraseSet<(usize, Meaning)>,
}

impl Inspectors {
    pub(super) fn compile(
        files: Vec<Loaded<InspectorFile>>,
        lexicon: &mut Lexicon,
    ) -> Result<Self, PatternError> {
        let mut phrases = PhraseSet::default();
        for (n, loaded) in files.iter().enumerate() {
            let form = |message| loaded.refuse(message);
            let words = &loaded.file.words;
            let meaning = meaning(words.role, &words.means).ok_or_else(|| {
                form(format!(
                    "means = \"{}\" is not known for role {:?}",
                    words.means, words.role
                ))
            })?;
            for phrase in &words.any {
                let clash = phrases.add(lexicon, phrase, (n, meaning)).map_err(form)?;
                if let Some((other, _)) = clash
                    && other != n
                {
                    return Err(form(format!(
                        "«{phrase}» stands in {}.toml too; a phrase has one meaning",
                        files[other].id
                    )));
                }
            }
        }
        Ok(Self { files, phrases })
    }
}

fn meaning(role: InspectorRole, means: &str) -> Option<Meaning> {
    Some(match role {
        InspectorRole::Head => Meaning::Head(match means {
            "mechanic" => Head::Mechanic,
            "repairman" => Head::Repairman,
            "repair-station" => Head::RepairStation,
            "builder" => Head::Builder,
            "owner" => Head::Owner,
            "manufacturer" => Head::Manufacturer,
            "faa-inspector" => Head::FaaInspector,
            "person" => Head::Person,
            "other" => Head::Other,
            _ => return None,
        }),
        InspectorRole::Qualifier => Meaning::Qualifier(match means {
            "mechanic-certificate" => Qualifier::MechanicCertificate,
            "inspection-authorization" => Qualifier::InspectionAuthorization,
            "repairman-certificate" => Qualifier::RepairmanCertificate,
            "builder-certificate" => Qualifier::BuilderCertificate,
            "light-sport" => Qualifier::LightSport,
            "inspection-rating" => Qualifier::InspectionRating,
            "maintenance-rating" => Qualifier::MaintenanceRating,
            "light-sport-inspection" => Qualifier::Lsri,
            "light-sport-maintenance" => Qualifier::Lsrm,
            "general" => Qualifier::General,
            "certificated" => Qualifier::Certificated,
            _ => return None,
        }),
        InspectorRole::Inspection if means.is_empty() => Meaning::Inspection(None),
        InspectorRole::Inspection => Meaning::Inspection(Some(Inspection::from_name(means)?)),
        InspectorRole::Interval => Meaning::Interval(Inspection::from_name(means)?),
        InspectorRole::Condition => Meaning::Condition(condition(means)?),
        InspectorRole::Opener if means.is_empty() => Meaning::Opener(None),
        InspectorRole::Opener => Meaning::Opener(Some(condition(means)?)),
        other if means.is_empty() => Meaning::Plain(other),
        _ => return None,
    })
}

fn condition(name: &str) -> Option<InspectorConditionKind> {
    use InspectorConditionKind as C;
    [
        C::ThisAircraft,
        C::OwnedByHolder,
        C::HoldsInspectionAuthorization,
        C::AtLeast,
        C::AsAuthorizedBy433,
        C::UnderPart65,
        C::AppropriatelyRated,
        C::Certificated,
        C::Supervised,
        C::Other,
    ]
    .into_iter()
    .find(|c| c.name() == name)
}

/// The kinds that a head with its qualifiers stands for.
#[must_use]
pub fn kinds_of(head: Option<Head>, said: &[Qualifier]) -> Vec<Kind> {
    use Qualifier as Q;
    let has = |q: Q| said.contains(&q);
    let repairman = head == Some(Head::Repairman) || has(Q::RepairmanCertificate);
    if head == Some(Head::Builder) || has(Q::BuilderCertificate) {
        return vec![Kind::BuilderRepairman];
    }
    if has(Q::Lsri) || has(Q::Lsrm) || (has(Q::LightSport) && head != Some(Head::Mechanic)) {
        let inspection = has(Q::Lsri) || has(Q::InspectionRating);
        let maintenance = has(Q::Lsrm) || has(Q::MaintenanceRating);
        return match (inspection, maintenance) {
            (true, true) => vec![
                Kind::LightSportRepairmanInspection,
                Kind::LightSportRepairmanMaintenance,
            ],
            (true, false) => vec![Kind::LightSportRepairmanInspection],
            (false, true) => vec![Kind::LightSportRepairmanMaintenance],
            (false, false) => vec![Kind::LightSportRepairman],
        };
    }
    if repairman && has(Q::General) {
        return vec![Kind::GeneralRepairman];
    }
    if repairman && has(Q::InspectionRating) != has(Q::MaintenanceRating) {
        // Ratings exist on the light-sport certificate alone (§ 65.107(a)).
        return vec![if has(Q::InspectionRating) {
            Kind::LightSportRepairmanInspection
        } else {
            Kind::LightSportRepairmanMaintenance
        }];
    }
    match head {
        Some(Head::Mechanic) => vec![Kind::Mechanic],
        Some(Head::RepairStation) => vec![Kind::RepairStation],
        _ if repairman && has(Q::MechanicCertificate) => vec![Kind::Mechanic, Kind::Repairman],
        _ if repairman => vec![Kind::Repairman],
        _ if has(Q::MechanicCertificate) || has(Q::InspectionAuthorization) => vec![Kind::Mechanic],
        Some(Head::Owner) => vec![Kind::Owner],
        Some(Head::Manufacturer) => vec![Kind::Manufacturer],
        Some(Head::FaaInspector) => vec![Kind::FaaInspector],
        Some(Head::Other) => vec![Kind::Other],
        _ if has(Q::Certificated) => vec![Kind::Other],
        _ => Vec::new(),
    }
}
