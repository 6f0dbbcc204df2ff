//! Readings of the dispute: who holds them, since when, on which support, against which objection.
//!
//! A file says on which kinds and causes of dispute it speaks and how it would treat the letter or
//! the rule; what that answers in a given case is worked out by the table, never by the file.

use serde::Deserialize;

use super::file::{day, pattern_file};
use super::law::{bases, kind, kinds, some_day};
use super::{Loaded, PatternError};
use crate::model::{Basis, Kind};
use jiff::civil::Date;

/// What an answer is disputed about. Closed, because the code has to find it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Cause {
    /// An open list lacks the kind.
    Unlisted,
    /// A closed list lacks the kind.
    ShutOut,
    /// No clause says who.
    Silent,
    /// A generic term may or may not cover the kind.
    Generic,
    /// Owned together with others.
    OwnerCoOwner,
    /// Owned through a company.
    OwnerCompany,
    /// Owned through a trust.
    OwnerTrust,
    /// A builder repairman on another basis than (g).
    BuilderOtherBasis,
    /// An earlier certificate of another kind.
    EarlierCertificate,
    /// An inspection other than the one that the rule names.
    OtherInspection,
    /// An old light-sport card that lists no aircraft, under "for this aircraft".
    CardListsNone,
}

/// How a reading treats the two keys.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Treats {
    /// The letter does not stand in the way.
    LetterAsNamed,
    /// The letter shuts the person out.
    LetterAsShutOut,
    /// The rule grants the privilege.
    RuleAsYes,
    /// It does not.
    RuleAsNo,
    /// It advises and decides nothing.
    LeavesOpen,
}

/// A case to which a reading must or must not speak.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ReadingExample {
    /// Whose case.
    #[serde(deserialize_with = "kind")]
    pub kind: Kind,
    /// What is disputed.
    pub cause: Cause,
    /// Paragraph of § 21.191.
    #[serde(deserialize_with = "example_basis")]
    pub basis: Basis,
    /// Issue date of the letter; undated where absent.
    #[serde(default, deserialize_with = "some_day")]
    pub issued: Option<Date>,
    /// The day asked about.
    #[serde(deserialize_with = "day")]
    pub on: Date,
    /// For a miss, why it does not speak.
    #[serde(default)]
    pub why: String,
}

pattern_file! {
    /// One file of `patterns/reading/`.
    ReadingFile, hit: ReadingExample, miss: ReadingExample, {
        /// Kinds that it speaks of.
        #[serde(deserialize_with = "kinds")]
        kinds: Vec<Kind>,
        /// The causes of dispute on which it speaks.
        causes: Vec<Cause>,
        /// The paragraphs of § 21.191 on which it speaks; all where empty.
        #[serde(default, deserialize_with = "bases")]
        basis: Vec<Basis>,
        /// It speaks only of letters issued before this day.
        #[serde(default, deserialize_with = "some_day")]
        issued_before: Option<Date>,
        /// It speaks only where an "appropriately rated" mechanic is among those named.
        #[serde(default)]
        needs_rated_mechanic: bool,
        /// By whom it is held, by role.
        held_by: String,
        /// Since when it is known; absent where no day can be given.
        #[serde(default, deserialize_with = "some_day")]
        known_since: Option<Date>,
        /// The same in words: "reported 2025-12-11".
        known_since_words: String,
        /// The position in a line for the first screen; absent where it does not stand there.
        #[serde(default)]
        line: String,
        /// The grade of what tells that somebody holds the position of the line.
        #[serde(default)]
        line_grade: String,
        /// What it says, in a sentence.
        says: String,
        /// Its best support.
        support: String,
        /// The best objection.
        objection: String,
        /// Its strength as authority.
        strength: String,
        /// How it treats the two keys.
        treats: Treats,
        /// Order in a report; readings of equal order stand by id. No rank as law.
        #[serde(default)]
        place: u8,
    }
}

impl ReadingFile {
    /// Whether it speaks of the basis.
    #[must_use]
    pub fn covers(&self, basis: Option<Basis>) -> bool {
        self.basis.is_empty()
            || basis.is_some_and(|b| self.basis.iter().any(|own| own.letter == b.letter))
    }
}

pub(super) fn check(
    files: Vec<Loaded<ReadingFile>>,
) -> Result<Vec<Loaded<ReadingFile>>, PatternError> {
    for Loaded { id, file } in &files {
        let form = |message: &str| PatternError::Form {
            file: format!("{id}.toml"),
            message: message.to_owned(),
        };
        if file.line.is_empty() != file.line_grade.is_empty() {
            return Err(form("«line» and «line_grade» go together"));
        }
        if file.causes.is_empty() || file.kinds.is_empty() {
            return Err(form(
                "«kinds» or «causes» is empty; say on what the reading speaks",
            ));
        }
        for (words, what) in [
            (&file.support, "«support» is empty"),
            (&file.objection, "«objection» is empty"),
            (&file.strength, "«strength» is empty"),
        ] {
            if words.trim().is_empty() {
                return Err(form(what));
            }
        }
        if file.miss.iter().any(|m| m.why.trim().is_empty()) {
            return Err(form("a [[miss]] without «why»"));
        }
    }
    Ok(files)
}

fn example_basis<'de, D: serde::Deserializer<'de>>(deserializer: D) -> Result<Basis, D::Error> {
    let words = String::deserialize(deserializer)?;
    Basis::parse(&words)
        .ok_or_else(|| serde::de::Error::custom(format!("«{words}» is no paragraph of § 21.191")))
}
