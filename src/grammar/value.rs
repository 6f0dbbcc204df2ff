//! What the words of a phrase mean. Values carry no places in the text: two analyses with the same
//! meaning are one, and the places are read off the tree of the first of them.

use std::collections::BTreeSet;

use crate::model::{Form, InspectorConditionKind as Asks, Kind};

/// The noun at the head of a phrase for a person.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(crate) enum Head {
    /// A mechanic.
    Mechanic,
    /// A repairman.
    Repairman,
    /// The builder of the aircraft.
    Builder,
    /// Its owner, or the pilot.
    Owner,
    /// A repair station.
    Station,
    /// The maker of the aircraft or kit.
    Maker,
    /// An inspector or representative of the FAA.
    Official,
    /// "A person", "the holder": whom the rest of the phrase tells.
    Person,
    /// A repairman of a shop.
    Shop,
}

impl Head {
    /// The head of that name in the files of words.
    pub(crate) fn named(name: &str) -> Option<Self> {
        Some(match name {
            "mechanic" => Self::Mechanic,
            "repairman" => Self::Repairman,
            "builder" => Self::Builder,
            "owner" => Self::Owner,
            "repair-station" => Self::Station,
            "manufacturer" => Self::Maker,
            "faa-inspector" => Self::Official,
            "person" => Self::Person,
            "general-repairman" => Self::Shop,
            _ => return None,
        })
    }
}

/// What a phrase adds to the head: one bit each, named in the files of words.
pub(crate) type Features = u64;

/// Names of the features, in the order of their bits.
const FEATURES: [&str; 38] = [
    "this-aircraft",
    "builder",
    "light-sport",
    "inspection-rating",
    "maintenance-rating",
    "both-ratings",
    "airframe",
    "powerplant",
    "authorization",
    "employed",
    "general-term",
    "rated",
    "certificated",
    "65.104",
    "65.107",
    "65.109(a)",
    "65.109(b)",
    "65.109",
    "65.101",
    "part-65",
    "part-145",
    "43.3",
    "owner",
    "at-least",
    "if-certificated",
    "supervised",
    "other-condition",
    "repairman-certificate",
    "mechanic-certificate",
    "station-certificate",
    "plural",
    "mechanic-rule",
    "self",
    "looks-back",
    "uncertificated",
    "elsewhere",
    "experimental",
    "other-inspection",
];

/// The bit of a feature.
pub(crate) fn feature(name: &str) -> Option<Features> {
    FEATURES.iter().position(|f| *f == name).map(|n| 1 << n)
}

/// Bits of the features that the code has to know.
pub(crate) mod f {
    use super::Features;
    macro_rules! bits { ($($name:ident = $n:expr;)*) => { $(pub(crate) const $name: Features = 1 << $n;)* } }
    bits! {
        THIS = 0; BUILDER = 1; LIGHT_SPORT = 2; INSPECTION = 3; MAINTENANCE = 4; BOTH = 5; AIRFRAME = 6;
        POWERPLANT = 7; IA = 8; EMPLOYED = 9; GENERAL = 10; RATED = 11; CERTIFICATED = 12; S65_104 = 13;
        S65_107 = 14; S65_109A = 15; S65_109B = 16; S65_109 = 17; S65_101 = 18; PART_65 = 19; PART_145 = 20;
        S43_3 = 21; OWNS = 22; AT_LEAST = 23; IF_CERTIFICATED = 24; SUPERVISED = 25; OTHER = 26;
        CERT_REPAIRMAN = 27; CERT_MECHANIC = 28; CERT_STATION = 29; PLURAL = 30; MECHANIC_RULE = 31; SELF = 32;
        LOOKS_BACK = 33; UNCERTIFICATED = 34; ELSEWHERE = 35; EXPERIMENTAL = 36;
        OTHER_INSPECTION = 37;
    }
}

/// A head with its features.
pub(crate) type Item = (Head, Features);

/// A kind of inspector with what is asked of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(crate) struct Named {
    /// Which kind.
    pub(crate) kind: Kind,
    /// Conditions, one bit each in the order of [`ASKS`].
    pub(crate) asks: u16,
}

impl Named {
    /// Whether a ban on it bans its whole kind: it asks nothing, or only what each of them has who may
    /// inspect at all ("for this aircraft", "under part 65", "appropriately rated").
    pub(crate) fn is_whole_kind(&self) -> bool {
        let plain = [
            Asks::ThisAircraft,
            Asks::UnderPart65,
            Asks::AppropriatelyRated,
        ];
        plain
            .into_iter()
            .fold(self.asks, |asks, plain| asks & !ask(plain))
            == 0
    }
}

/// The conditions, in the order of their bits.
pub(crate) const ASKS: [Asks; 10] = [
    Asks::ThisAircraft,
    Asks::OwnedByHolder,
    Asks::HoldsInspectionAuthorization,
    Asks::AtLeast,
    Asks::AsAuthorizedBy433,
    Asks::UnderPart65,
    Asks::AppropriatelyRated,
    Asks::Certificated,
    Asks::Supervised,
    Asks::Other,
];

/// The bit of a condition.
pub(crate) fn ask(asks: Asks) -> u16 {
    ASKS.iter().position(|a| *a == asks).map_or(0, |n| 1 << n)
}

/// Facts about a list or a statement that are no persons, one bit each.
pub(crate) type Flags = u32;

/// The flags.
pub(crate) mod flag {
    use super::Flags;
    macro_rules! bits { ($($name:ident = $n:expr, $word:literal;)*) => {
        $(pub(crate) const $name: Flags = 1 << $n;)*
        /// The flag of that name in a file of rules.
        pub(crate) fn named(name: &str) -> Option<Flags> {
            match name { $($word => Some($name),)* _ => None }
        }
    } }
    bits! {
        AND = 0, "and";                 // joined by "and", in the singular: one of them, or both?
        BACK = 1, "back";               // persons spoken of before
        LATTER = 2, "latter";           // the last of them
        FORMER = 3, "former";           // the first of them
        TERM = 4, "term";               // a term defined elsewhere
        REFERS = 5, "refers";           // persons named in another clause
        WIDER = 6, "wider";             // the list says itself that others may be let in
        ALSO = 7, "also";               // added to a list that stands already
        CLOSES = 8, "closes";           // closes the list before it
        OPENS = 24, "opens";            // says that the list before it is not all
        CONDITION = 9, "condition";     // holds on a condition that is none on a person
        DEFINES = 10, "defines";        // defines a term
        SPEAKS = 11, "speaks";          // only speaks of persons
        BOTH_SENSES = 12, "unsure";     // a careful reader would not decide
        SO = 13, "so";                  // "so authorized", "do so": the act spoken of before
        REPAIRMAN_BACK = 14, "such-certificate"; // the repairman certificate spoken of before
        EXCEPTED = 15, "excepted";      // the exclusion is an exception to the list before it
        OTHERWISE = 16, "otherwise";    // holds where the list before it does not
        RECOMMENDS = 17, "recommends";  // "should"
        THEY = 23, "they";              // all persons spoken of before
        WHOM = 27, "whom";              // the persons of the one list before it in its sentence
        HEDGED = 25, "hedged";         // "as a rule", "at his option": plain beside "may" alone
        EXEMPTS = 29, "exempts";        // what was said before does not hold for them
        CONTRAST = 28, "contrast";      // the opposite of what was said before
        DENIES = 22, "denies";          // denies a need
        OUT = 21, "out";                // those spoken of before are shut out
        ALL = 20, "all";                // all of them
        ONE = 19, "one";                // a person in the singular
        AHEAD = 26, "ahead";            // persons of the list that follows the statement
        ASKED = 30, "asked";            // they are barred without what is asked of them
        WHEN_NOT = 18, "when-not";      // holds where the persons named first do not do it
    }
}

/// Persons of a list.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(crate) struct Persons {
    /// Named.
    pub(crate) named: BTreeSet<Named>,
    /// Shut out.
    pub(crate) excluded: BTreeSet<Kind>,
    /// See [`flag`].
    pub(crate) flags: Flags,
}

impl Persons {
    /// Both lists as one.
    pub(crate) fn with(&self, other: &Self) -> Self {
        let mut all = self.clone();
        all.named.extend(other.named.iter().copied());
        all.excluded.extend(other.excluded.iter().copied());
        all.flags |= other.flags;
        all
    }

    /// Whether nobody is named, shut out or pointed at.
    pub(crate) fn is_empty(&self) -> bool {
        self.named.is_empty()
            && self.excluded.is_empty()
            && self.flags
                & (flag::BACK
                    | flag::LATTER
                    | flag::FORMER
                    | flag::TERM
                    | flag::REFERS
                    | flag::REPAIRMAN_BACK
                    | flag::AHEAD
                    | flag::WHOM
                    | flag::THEY)
                == 0
    }
}

/// How a subject or a by-phrase speaks of its list.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(crate) enum Quantifier {
    /// "A or B".
    Plain,
    /// "Only A or B", "A alone".
    Only,
    /// "Nobody but A or B".
    NobodyBut,
    /// "Anyone other than A or B".
    AnyoneBut,
    /// "Nobody else", "no other person".
    NobodyElse,
    /// "All others".
    AllOthers,
    /// "No person".
    Nobody,
    /// "Except by A", "otherwise than by A".
    ExceptBy,
    /// "Not by A".
    NotBy,
}

impl Quantifier {
    /// The quantifier of that name in a file of rules.
    pub(crate) fn named(name: &str) -> Option<Self> {
        Some(match name {
            "plain" => Self::Plain,
            "only" => Self::Only,
            "nobody-but" => Self::NobodyBut,
            "anyone-but" => Self::AnyoneBut,
            "nobody-else" => Self::NobodyElse,
            "all-others" => Self::AllOthers,
            "nobody" => Self::Nobody,
            "except-by" => Self::ExceptBy,
            "not-by" => Self::NotBy,
            _ => return None,
        })
    }
}

/// Force and polarity of a modal, with the adverbs inside it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(crate) struct Force {
    /// Which.
    pub(crate) mode: Mode,
    /// "may only be".
    pub(crate) only: bool,
    /// "may also".
    pub(crate) also: bool,
}

/// What a modal does.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(crate) enum Mode {
    /// Permits.
    May,
    /// Obliges.
    Must,
    /// Forbids.
    MayNot,
    /// Denies a need.
    NeedNot,
    /// Recommends.
    Should,
}

impl Mode {
    /// The mode of that name in the files of words and rules.
    pub(crate) fn named(name: &str) -> Option<Self> {
        Some(match name {
            "may" => Self::May,
            "must" => Self::Must,
            "may-not" => Self::MayNot,
            "need-not" => Self::NeedNot,
            "should" => Self::Should,
            _ => return None,
        })
    }
}

/// Inspections, one bit each.
pub(crate) type Inspections = u8;

/// The bits of [`Inspections`].
pub(crate) mod insp {
    use super::Inspections;
    /// The condition inspection every 12 calendar months.
    pub(crate) const YEARLY: Inspections = 1;
    /// The 100-hour inspection.
    pub(crate) const HUNDRED: Inspections = 2;
    /// Inspections required by these limitations.
    pub(crate) const ANY: Inspections = 4;
    /// Another one.
    pub(crate) const OTHER: Inspections = 8;
    /// "The inspection", "it": one spoken of before.
    pub(crate) const BACK: Inspections = 16;
    /// Beside another one: not the noun tells which it is, but "each year" before the sentence.
    pub(crate) const BY_INTERVAL: Inspections = 32;

    /// The inspection of that name in the files of words and rules.
    pub(crate) fn named(name: &str) -> Option<Inspections> {
        Some(match name {
            "yearly" => YEARLY,
            "100-hour" => HUNDRED,
            "any" => ANY,
            "other" => OTHER,
            "back" => BACK,
            _ => return None,
        })
    }
}

/// One statement on who may inspect.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(crate) struct Says {
    /// Whether it limits the set.
    pub(crate) form: Form,
    /// Of which inspections it speaks.
    pub(crate) inspections: Inspections,
    /// Whom it names and shuts out, and the flags.
    pub(crate) persons: Persons,
}

/// What a phrase means.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(crate) enum Value {
    /// Nothing that bears on who may inspect.
    Unit,
    /// Features for a person.
    Features(Features),
    /// A noun phrase for persons, under construction; several where the reading is "A or B".
    Nouns(Vec<Item>),
    /// A list of persons.
    Persons(Persons),
    /// A list of persons with its quantifier.
    Subject(Quantifier, Persons),
    /// Inspections.
    Inspections(Inspections),
    /// A modal.
    Force(Force),
    /// Who does what, with no force yet.
    Deed(Quantifier, Persons, Inspections),
    /// Statements.
    Says(Vec<Says>),
}

impl Value {
    /// Whether it is a noun for a mechanic, a repairman, a builder or a repair station.
    pub(crate) fn names_who_could(&self) -> bool {
        matches!(self, Self::Nouns(nouns) if nouns.iter().any(|(head, _)| matches!(
            head,
            Head::Mechanic | Head::Repairman | Head::Station | Head::Builder
        )))
    }
}
