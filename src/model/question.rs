//! What only the user knows. A fact that is `None` was not given and stays open.

use super::{Basis, CategoryClass, Inspection, Kind};
use jiff::civil::Date;

/// The question put to a letter.
#[derive(Clone, Debug, PartialEq)]
pub struct Question {
    /// The day of the inspection.
    pub on: Date,
    /// Which inspection; the yearly condition inspection unless said otherwise.
    pub inspection: Inspection,
    /// Whose answer is wanted; `None` for every kind that can be held.
    pub holder: Option<Kind>,
    /// How the person who would inspect owns the aircraft.
    pub owner: Option<Ownership>,
    /// What a light-sport repairman was trained for.
    pub trained: Option<CategoryClass>,
    /// What the aircraft is.
    pub aircraft: Option<CategoryClass>,
    /// Paragraph of § 21.191, where the user states it.
    pub basis: Option<Basis>,
    /// Issue date of the letter, where the user states it.
    pub issued: Option<Date>,
    /// Ratings of a mechanic.
    pub ratings: Option<Ratings>,
    /// Which aircraft the repairman certificate names.
    pub certificate_for: Option<CertificateFor>,
    /// Whether the FAA issued a different kind of airworthiness certificate for it before
    /// (§ 43.1(b)(1)); a foreign certificate does not count.
    pub earlier_certificate: Option<bool>,
    /// Whether the mechanic holds an inspection authorization.
    pub inspection_authorization: Option<bool>,
    /// The user says that papers which seem to be of different aircraft are of one.
    pub same_aircraft: bool,
}

impl Question {
    /// The bare question: that day, nothing else known.
    #[must_use]
    pub const fn on(day: Date) -> Self {
        Self {
            on: day,
            inspection: Inspection::Yearly,
            holder: None,
            owner: None,
            trained: None,
            aircraft: None,
            basis: None,
            issued: None,
            ratings: None,
            certificate_for: None,
            earlier_certificate: None,
            inspection_authorization: None,
            same_aircraft: false,
        }
    }
}

/// How the person owns the aircraft.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ownership {
    /// In the person's own name.
    OwnName,
    /// Together with others.
    CoOwner,
    /// Through a company.
    Company,
    /// Through a trust.
    Trust,
    /// Not at all.
    NotOwner,
}

impl Ownership {
    /// Every value.
    pub const ALL: [Self; 5] = [
        Self::OwnName,
        Self::CoOwner,
        Self::Company,
        Self::Trust,
        Self::NotOwner,
    ];

    /// The name in options and machine contracts.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::OwnName => "self",
            Self::CoOwner => "co-owner",
            Self::Company => "company",
            Self::Trust => "trust",
            Self::NotOwner => "not-owner",
        }
    }

    /// The value of that name.
    #[must_use]
    pub fn from_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|o| o.name() == name)
    }
}

/// A mechanic's ratings.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Ratings {
    /// Airframe, § 65.85.
    pub airframe: bool,
    /// Powerplant, § 65.87.
    pub powerplant: bool,
}

impl Ratings {
    /// The one rating, where there is no other.
    #[must_use]
    pub const fn alone(self) -> Option<Rating> {
        match (self.airframe, self.powerplant) {
            (true, false) => Some(Rating::Airframe),
            (false, true) => Some(Rating::Powerplant),
            _ => None,
        }
    }
}

/// One rating of a mechanic.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rating {
    /// § 65.85.
    Airframe,
    /// § 65.87.
    Powerplant,
}

impl Rating {
    /// The name in options, pattern files and machine contracts.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Airframe => "airframe",
            Self::Powerplant => "powerplant",
        }
    }
}

/// Which aircraft a repairman certificate names.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CertificateFor {
    /// This one.
    This,
    /// Another one.
    Other,
    /// None: a light-sport card that lists no aircraft.
    Unlisted,
}

impl CertificateFor {
    /// The name in options and machine contracts.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::This => "this",
            Self::Other => "other",
            Self::Unlisted => "none",
        }
    }

    /// The value of that name.
    #[must_use]
    pub fn from_name(name: &str) -> Option<Self> {
        [Self::This, Self::Other, Self::Unlisted]
            .into_iter()
            .find(|c| c.name() == name)
    }
}
