//! Rules by date: which kind of inspector has which privilege, from which day, on which basis.
//!
//! A file says what one rule does; the code knows a closed set of conditions and circumstances, so
//! a file that needs a new one is refused, with the line and what was expected.

use serde::{Deserialize, Deserializer};

use super::file::{day, pattern_file};
use super::{Loaded, PatternError};
use crate::model::{Basis, CategoryClass, Inspection, Kind};
use jiff::civil::Date;

/// What a rule does for the kinds it names.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Effect {
    /// Grants the privilege where its conditions are met.
    Yes,
    /// Bars, whatever another rule grants.
    No,
    /// Neither grants nor bars with certainty: the law is open.
    Open,
    /// Grants nothing itself, and makes what another rule grants open (law).
    Unsettles,
    /// Names the kinds in a list closed by regulation (§ 91.327(b)(2)); read by key 2.
    Lists,
}

/// A condition of a rule. Closed, because the code has to know how to test it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Condition {
    /// The aircraft is owned by the holder.
    OwnedByHolder,
    /// Trained for the class of the aircraft (text before 2025-10-22).
    ClassTrained,
    /// Trained for the category, and class as applicable (text from 2025-10-22).
    CategoryTrained,
    /// The certificate names this aircraft.
    CertificateNamesAircraft,
    /// Airframe and powerplant rating; an unpowered aircraft needs no powerplant rating.
    BothRatings,
    /// Rated for the aircraft.
    RatedForAircraft,
    /// Only in duties for the employer who recommended the repairman.
    EmployerDuties,
    /// Made the aircraft under a type certificate.
    TypeCertificateHolder,
    /// The day on which the rule took effect is known; it is not, so this is always open.
    EffectiveDayKnown,
}

impl Condition {
    /// The name in files and machine contracts.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::OwnedByHolder => "owned-by-holder",
            Self::ClassTrained => "class-trained",
            Self::CategoryTrained => "category-trained",
            Self::CertificateNamesAircraft => "certificate-names-aircraft",
            Self::BothRatings => "both-ratings",
            Self::RatedForAircraft => "rated-for-aircraft",
            Self::EmployerDuties => "employer-duties",
            Self::TypeCertificateHolder => "type-certificate-holder",
            Self::EffectiveDayKnown => "effective-day-known",
        }
    }
}

/// A circumstance in which a rule or a note applies. Closed, like the conditions.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum When {
    /// A clause of the letter says who may inspect.
    LetterNamesSomebody,
    /// No clause does.
    LetterNamesNobody,
    /// The aircraft earlier had another kind of airworthiness certificate.
    EarlierCertificate,
    /// Nothing is said about an earlier certificate.
    EarlierCertificateNotGiven,
    /// Owned together with others.
    OwnerCoOwner,
    /// Owned through a company.
    OwnerCompany,
    /// Owned through a trust.
    OwnerTrust,
    /// The mechanic holds one rating only.
    SingleRating,
}

/// Which kind of airworthiness certificate the aircraft has now.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Deserialize, Default)]
#[serde(rename_all = "kebab-case")]
pub enum Regime {
    /// Experimental, § 21.191.
    #[default]
    Experimental,
    /// Special airworthiness certificate in the light-sport category, § 21.190.
    LightSportCategory,
}

/// A remark of a rule that belongs into the report.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LawNote {
    /// A sentence for people.
    pub text: String,
    /// Grade of what it rests on.
    pub grade: String,
    /// The circumstances in which it is shown; always where empty.
    #[serde(default)]
    pub when: Vec<When>,
}

/// A question that a rule must or must not apply to.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LawExample {
    /// Whose question.
    #[serde(deserialize_with = "kind")]
    pub kind: Kind,
    /// The day asked about.
    #[serde(deserialize_with = "day")]
    pub on: Date,
    /// Paragraph of § 21.191; not known where absent.
    #[serde(default, deserialize_with = "some_basis")]
    pub basis: Option<Basis>,
    /// The inspection; yearly where absent.
    #[serde(default = "yearly", deserialize_with = "inspection")]
    pub inspection: Inspection,
    /// The aircraft's certificate.
    #[serde(default)]
    pub certificate: Regime,
    /// `self`, `co-owner`, `company`, `trust`, `not-owner`.
    #[serde(default)]
    pub owner: Option<String>,
    /// Category, or category/class, trained for.
    #[serde(default, deserialize_with = "some_category")]
    pub trained: Option<CategoryClass>,
    /// What the aircraft is.
    #[serde(default, deserialize_with = "some_category")]
    pub aircraft: Option<CategoryClass>,
    /// `airframe`, `powerplant` or both.
    #[serde(default)]
    pub ratings: Option<Vec<String>>,
    /// `this` or `other`.
    #[serde(default)]
    pub certificate_for: Option<String>,
    /// Whether there was an earlier certificate of another kind.
    #[serde(default)]
    pub earlier_certificate: Option<bool>,
    /// Whether a clause of the letter names somebody; true where absent.
    #[serde(default = "yes")]
    pub listed: bool,
    /// For a hit, what key 1 gives: `yes`, `no`, `fact`, `law`; for a list, `listed`.
    #[serde(default)]
    pub gives: String,
    /// For a miss, why the rule does not apply.
    #[serde(default)]
    pub why: String,
}

pattern_file! {
    /// One file of `patterns/law/`: one rule on the days on which it holds.
    LawFile, hit: LawExample, miss: LawExample, {
        /// The kinds of inspector it speaks of.
        #[serde(deserialize_with = "kinds")]
        kinds: Vec<Kind>,
        /// The paragraph that carries the rule, as it is cited.
        citation: String,
        /// The first day on which it holds; as far back as is held where absent.
        #[serde(default, deserialize_with = "some_day")]
        from: Option<Date>,
        /// The first day was not read: the rule was in force by `from` at the latest.
        #[serde(default)]
        first_day_unread: bool,
        /// The first day on which it no longer holds; still in force where absent.
        #[serde(default, deserialize_with = "some_day")]
        to: Option<Date>,
        /// Paragraphs of § 21.191 that it covers; all where empty. `i` covers its items.
        #[serde(default, deserialize_with = "bases")]
        basis: Vec<Basis>,
        /// Inspections that it covers; all where empty.
        #[serde(default, deserialize_with = "inspections")]
        inspections: Vec<Inspection>,
        /// Airworthiness certificates that it covers.
        #[serde(default = "experimental")]
        certificates: Vec<Regime>,
        /// Circumstances, all of which must be given for the rule to apply.
        #[serde(default)]
        when: Vec<When>,
        /// What it does.
        effect: Effect,
        /// What must be met.
        #[serde(default)]
        conditions: Vec<Condition>,
        /// Conditions that stand beside a yes and are never asked.
        #[serde(default)]
        standing: Vec<String>,
        /// Remarks for the report, each with its grade.
        #[serde(default)]
        note: Vec<LawNote>,
    }
}

impl LawFile {
    /// Whether it is in force on the day.
    #[must_use]
    pub fn in_force(&self, on: Date) -> bool {
        self.from.is_none_or(|from| from <= on) && self.to.is_none_or(|to| on < to)
    }

    /// Whether it covers the basis: `i` in the file covers (i)(1) to (i)(3).
    #[must_use]
    pub fn covers(&self, basis: Option<Basis>) -> bool {
        self.basis.is_empty()
            || basis.is_some_and(|b| {
                self.basis
                    .iter()
                    .any(|own| own.letter == b.letter && (own.item.is_none() || own.item == b.item))
            })
    }
}

pub(super) fn check(files: Vec<Loaded<LawFile>>) -> Result<Vec<Loaded<LawFile>>, PatternError> {
    for Loaded { id, file } in &files {
        let form = |message: String| PatternError::Form {
            file: format!("{id}.toml"),
            message,
        };
        if let (Some(from), Some(to)) = (file.from, file.to)
            && from >= to
        {
            return Err(form(format!("«to» ({to}) is not after «from» ({from})")));
        }
        if file.source.iter().all(|s| s.quote.trim().is_empty()) {
            return Err(form("no source quotes the rule; give its words".into()));
        }
        if file.kinds.is_empty() {
            return Err(form("«kinds» is empty; say whom the rule speaks of".into()));
        }
        for hit in &file.hit {
            if !["yes", "no", "fact", "law", "listed"].contains(&hit.gives.as_str()) {
                return Err(form(format!(
                    "a hit gives «{}»; expected yes, no, fact, law or listed",
                    hit.gives
                )));
            }
        }
        if file.miss.iter().any(|m| m.why.trim().is_empty()) {
            return Err(form("a [[miss]] without «why»".into()));
        }
    }
    Ok(files)
}

fn yearly() -> Inspection {
    Inspection::Yearly
}

fn yes() -> bool {
    true
}

fn experimental() -> Vec<Regime> {
    vec![Regime::Experimental]
}

fn names(all: impl Iterator<Item = &'static str>) -> String {
    all.collect::<Vec<_>>().join(", ")
}

/// A kind by its name.
pub(super) fn kind<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Kind, D::Error> {
    let name = String::deserialize(deserializer)?;
    Kind::from_name(&name).ok_or_else(|| {
        serde::de::Error::custom(format!(
            "«{name}» is no kind of inspector; expected one of {}",
            names(Kind::ALL.into_iter().map(Kind::name))
        ))
    })
}

/// A list of kinds by their names.
pub(super) fn kinds<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Vec<Kind>, D::Error> {
    #[derive(Deserialize)]
    struct One(#[serde(deserialize_with = "kind")] Kind);
    Ok(Vec::<One>::deserialize(deserializer)?
        .into_iter()
        .map(|One(k)| k)
        .collect())
}

/// A day that may be absent.
pub(super) fn some_day<'de, D: Deserializer<'de>>(d: D) -> Result<Option<Date>, D::Error> {
    day(d).map(Some)
}

fn inspection<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Inspection, D::Error> {
    let name = String::deserialize(deserializer)?;
    Inspection::from_name(&name).ok_or_else(|| {
        serde::de::Error::custom(format!(
            "«{name}» is no inspection; expected yearly, 100-hour, any or other"
        ))
    })
}

fn inspections<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Vec<Inspection>, D::Error> {
    #[derive(Deserialize)]
    struct One(#[serde(deserialize_with = "inspection")] Inspection);
    Ok(Vec::<One>::deserialize(deserializer)?
        .into_iter()
        .map(|One(i)| i)
        .collect())
}

fn basis<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Basis, D::Error> {
    let words = String::deserialize(deserializer)?;
    Basis::parse(&words).ok_or_else(|| {
        serde::de::Error::custom(format!(
            "«{words}» is no paragraph of § 21.191; expected a to l, or i1, i2, i3"
        ))
    })
}

fn some_basis<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Option<Basis>, D::Error> {
    basis(deserializer).map(Some)
}

/// A list of paragraphs of § 21.191.
pub(super) fn bases<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Vec<Basis>, D::Error> {
    #[derive(Deserialize)]
    struct One(#[serde(deserialize_with = "basis")] Basis);
    Ok(Vec::<One>::deserialize(deserializer)?
        .into_iter()
        .map(|One(b)| b)
        .collect())
}

fn some_category<'de, D: Deserializer<'de>>(
    deserializer: D,
) -> Result<Option<CategoryClass>, D::Error> {
    let words = String::deserialize(deserializer)?;
    CategoryClass::parse(&words).map(Some).ok_or_else(|| {
        serde::de::Error::custom(format!(
            "«{words}» is no category; expected one of {}, or CATEGORY/CLASS",
            CategoryClass::CATEGORIES.join(", ")
        ))
    })
}
