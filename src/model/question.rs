//! What only the user knows. A fact that is `None` was not given and stays open.

use super::{Basis, Inspection, Kind};
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

/// Category, and class where it is known, as in § 61.5: `airplane/single-engine-land`,
/// `rotorcraft/gyroplane`, `glider`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CategoryClass {
    /// `airplane`, `rotorcraft`, `glider`, `lighter-than-air`, `powered-lift`,
    /// `powered-parachute`, `weight-shift-control`.
    pub category: String,
    /// The class, where given.
    pub class: Option<String>,
}

impl CategoryClass {
    /// The categories that training and aircraft can have (§ 61.5).
    pub const CATEGORIES: [&'static str; 7] = [
        "airplane",
        "rotorcraft",
        "glider",
        "lighter-than-air",
        "powered-lift",
        "powered-parachute",
        "weight-shift-control",
    ];

    /// The classes of each category (§ 61.5, with gyroplane and helicopter).
    pub const CLASSES: [(&'static str, &'static [&'static str]); 5] = [
        (
            "airplane",
            &[
                "single-engine-land",
                "multi-engine-land",
                "single-engine-sea",
                "multi-engine-sea",
            ],
        ),
        ("rotorcraft", &["gyroplane", "helicopter"]),
        ("lighter-than-air", &["airship", "balloon"]),
        ("powered-parachute", &["land", "sea"]),
        ("weight-shift-control", &["land", "sea"]),
    ];

    /// Reads `CATEGORY`, `CATEGORY/CLASS`, or a class whose name tells its category
    /// (`gyroplane`); `None` where the category, or the class within it, is unknown: a class
    /// that nobody knows must not be found "different".
    #[must_use]
    pub fn parse(words: &str) -> Option<Self> {
        let clean = |w: &str| {
            w.split_whitespace()
                .collect::<Vec<_>>()
                .join("-")
                .to_ascii_lowercase()
        };
        let (category, class) = match words.split_once('/') {
            Some((category, class)) => (clean(category), Some(clean(class))),
            None => (clean(words), None),
        };
        if class.is_none()
            && let Some((owner, _)) = Self::CLASSES[..3]
                .iter()
                .find(|(_, classes)| classes.contains(&category.as_str()))
        {
            return Some(Self {
                category: (*owner).to_owned(),
                class: Some(category),
            });
        }
        let known = Self::CATEGORIES.contains(&category.as_str())
            && class.as_deref().is_none_or(|class| {
                Self::CLASSES
                    .iter()
                    .any(|(owner, classes)| *owner == category && classes.contains(&class))
            });
        known.then_some(Self { category, class })
    }
}

impl std::fmt::Display for CategoryClass {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.category)?;
        self.class.as_ref().map_or(Ok(()), |c| write!(f, "/{c}"))
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
