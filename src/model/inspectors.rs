//! Who may inspect, as the words of the letter say it.

use super::Span;

/// A kind of inspector. The first eight are kinds that somebody can hold; the rest occur in
/// letters only.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// Repairman certificate (experimental aircraft builder) for this aircraft, § 65.104.
    BuilderRepairman,
    /// Mechanic certificate with airframe and powerplant ratings.
    Mechanic,
    /// Certificated repair station rated for the aircraft, part 145.
    RepairStation,
    /// Repairman certificate (light-sport), inspection rating.
    LightSportRepairmanInspection,
    /// Repairman certificate (light-sport), maintenance rating.
    LightSportRepairmanMaintenance,
    /// Repairman of a certificate holder, § 65.101.
    GeneralRepairman,
    /// Maker of the aircraft or kit.
    Manufacturer,
    /// Owner or pilot without a certificate.
    Owner,
    /// Anybody else.
    Other,
    /// "repairman": which is not said.
    Repairman,
    /// "light-sport repairman": rating not said.
    LightSportRepairman,
    /// FAA inspector (letters before 1979).
    FaaInspector,
}

impl Kind {
    /// The kinds that a person or firm can hold, in the order of the report.
    pub const HOLDERS: [Self; 8] = [
        Self::BuilderRepairman,
        Self::Mechanic,
        Self::RepairStation,
        Self::LightSportRepairmanInspection,
        Self::LightSportRepairmanMaintenance,
        Self::GeneralRepairman,
        Self::Manufacturer,
        Self::Owner,
    ];

    /// Every kind.
    pub const ALL: [Self; 12] = [
        Self::BuilderRepairman,
        Self::Mechanic,
        Self::RepairStation,
        Self::LightSportRepairmanInspection,
        Self::LightSportRepairmanMaintenance,
        Self::GeneralRepairman,
        Self::Manufacturer,
        Self::Owner,
        Self::Other,
        Self::Repairman,
        Self::LightSportRepairman,
        Self::FaaInspector,
    ];

    /// The name in machine contracts, options and pattern files.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::BuilderRepairman => "builder-repairman",
            Self::Mechanic => "mechanic",
            Self::RepairStation => "repair-station",
            Self::LightSportRepairmanInspection => "light-sport-repairman-inspection",
            Self::LightSportRepairmanMaintenance => "light-sport-repairman-maintenance",
            Self::GeneralRepairman => "general-repairman",
            Self::Manufacturer => "manufacturer",
            Self::Owner => "owner",
            Self::Other => "other",
            Self::Repairman => "repairman",
            Self::LightSportRepairman => "light-sport-repairman",
            Self::FaaInspector => "faa-inspector",
        }
    }

    /// The kind of that name.
    #[must_use]
    pub fn from_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|k| k.name() == name)
    }

    /// Words for people.
    #[must_use]
    pub const fn title(self) -> &'static str {
        match self {
            Self::BuilderRepairman => "builder with the repairman certificate",
            Self::Mechanic => "mechanic (airframe and powerplant)",
            Self::RepairStation => "repair station",
            Self::LightSportRepairmanInspection => "light-sport repairman, inspection rating",
            Self::LightSportRepairmanMaintenance => "light-sport repairman, maintenance rating",
            Self::GeneralRepairman => "repairman of a shop (general)",
            Self::Manufacturer => "manufacturer",
            Self::Owner => "owner without a certificate",
            Self::Other => "somebody else",
            Self::Repairman => "repairman (which is not said)",
            Self::LightSportRepairman => "light-sport repairman (rating not said)",
            Self::FaaInspector => "FAA inspector",
        }
    }
}

/// Whether the words limit the set of inspectors. A fact of the words, not a reading of them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Form {
    /// The text limits the set: only; must / shall / will / is to be performed by; no one but.
    Closed,
    /// It permits without limiting.
    Open,
    /// Neither: definitions, exclusions, denials, recommendations, conditions put on one kind.
    None,
}

impl Form {
    /// The name in machine contracts.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Closed => "closed",
            Self::Open => "open",
            Self::None => "none",
        }
    }
}

/// Which inspection a clause speaks of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Inspection {
    /// The condition inspection every 12 calendar months.
    Yearly,
    /// The 100-hour inspection.
    HundredHour,
    /// "inspections required by these limitations".
    Any,
    /// Another one (program, turbine, altimeter …).
    Other,
}

impl Inspection {
    /// The name in machine contracts.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Yearly => "yearly",
            Self::HundredHour => "100-hour",
            Self::Any => "any",
            Self::Other => "other",
        }
    }

    /// The inspection of that name.
    #[must_use]
    pub fn from_name(name: &str) -> Option<Self> {
        [Self::Yearly, Self::HundredHour, Self::Any, Self::Other]
            .into_iter()
            .find(|i| i.name() == name)
    }
}

/// A kind that a clause names.
#[derive(Clone, Debug, PartialEq)]
pub struct NamedKind {
    /// Which.
    pub kind: Kind,
    /// The words that name it.
    pub span: Span,
    /// Id of the pattern file that knows the words.
    pub pattern: String,
    /// The words speak of a repairman certificate for this aircraft and of no builder: they name him,
    /// and a light-sport repairman whose card lists the aircraft may come under them, too.
    pub by_card: bool,
}

/// What a condition in an inspector clause asks; a closed set, because the answer has to know how
/// to test it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum InspectorConditionKind {
    /// "for this aircraft".
    ThisAircraft,
    /// "an owner certificated …": the holder has to be the owner.
    OwnedByHolder,
    /// "holding an inspection authorization".
    HoldsInspectionAuthorization,
    /// "at least an A&P": a floor.
    AtLeast,
    /// "as authorized by § 43.3".
    AsAuthorizedBy433,
    /// "authorized under part 65": a part that certificates persons and no repair stations.
    UnderPart65,
    /// "appropriately rated", "with appropriate ratings".
    AppropriatelyRated,
    /// "if certificated as a repairman", "when so certificated".
    Certificated,
    /// "under the supervision of".
    Supervised,
    /// "once the aircraft is sold", "in the absence of the builder": the clause holds in a case of its own.
    Case,
    /// Any other words; nothing tests them, so they are a fact that is open.
    Other,
}

impl InspectorConditionKind {
    /// The name in machine contracts and pattern files.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::ThisAircraft => "this-aircraft",
            Self::OwnedByHolder => "owned-by-holder",
            Self::HoldsInspectionAuthorization => "holds-inspection-authorization",
            Self::AtLeast => "at-least",
            Self::AsAuthorizedBy433 => "as-authorized-by-43.3",
            Self::UnderPart65 => "under-part-65",
            Self::AppropriatelyRated => "appropriately-rated",
            Self::Certificated => "certificated",
            Self::Supervised => "supervised",
            Self::Case => "case",
            Self::Other => "other",
        }
    }
}

/// A condition put on a kind, or on the whole clause.
#[derive(Clone, Debug, PartialEq)]
pub struct InspectorCondition {
    /// What it asks.
    pub kind: InspectorConditionKind,
    /// The words.
    pub span: Span,
    /// The kind it is put on; `None` for all.
    pub on: Option<Kind>,
}

/// What one clause says about who may inspect.
#[derive(Clone, Debug, PartialEq)]
pub struct InspectorRule {
    /// Index of the clause.
    pub clause: usize,
    /// The sentence or part of it that says so.
    pub span: Span,
    /// Open, closed or neither.
    pub form: Form,
    /// For which inspection.
    pub inspection: Inspection,
    /// The kinds named.
    pub named: Vec<NamedKind>,
    /// The kinds shut out by name.
    pub excluded: Vec<NamedKind>,
    /// Conditions, in the order of the text.
    pub conditions: Vec<InspectorCondition>,
    /// Whether it bars those who lack what it asks, and names nobody by that: "a mechanic may not unless …".
    pub demands: bool,
    /// The words that decide: the modal trigger, the limiter, the names.
    pub evidence: Vec<Span>,
    /// Why its words cannot be relied on; the answer that rests on them is then
    /// `undetermined (text)`.
    pub doubt: Option<RuleDoubt>,
}

impl InspectorRule {
    /// What may be said about who inspects by words of which nothing more is known: `evidence` tells
    /// that `span` may say so.
    #[must_use]
    pub fn unread(clause: usize, span: Span, evidence: Span, doubt: RuleDoubt) -> Self {
        Self {
            clause,
            span,
            form: Form::None,
            inspection: Inspection::Yearly,
            named: Vec::new(),
            excluded: Vec::new(),
            conditions: Vec::new(),
            demands: false,
            evidence: vec![evidence],
            doubt: Some(doubt),
        }
    }
}

/// Why the words of a rule cannot be relied on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum RuleDoubt {
    /// Words on who inspects that were not understood, in the order in which they were met.
    NotUnderstood(Vec<Span>),
    /// A person of whom the clause speaks, too, and who found no place in what it says.
    Unplaced(Span),
    /// The clause names somebody beside an inspection, and nothing of it was understood.
    Overlooked,
    /// A word that decides and cannot be read with certainty.
    Word {
        /// The word as read.
        span: Span,
        /// What it may be.
        meant: Option<String>,
    },
}
