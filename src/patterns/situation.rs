//! Situations of an aircraft and its owner: what to do, where and by which rule.

use serde::Deserialize;

use super::file::pattern_file;
use super::statement::cited;
use super::{Example, Loaded, PatternError, Reference};

/// The sign by which a situation is seen. Closed, because the answer has to look for it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Circumstance {
    /// Pages of the letter are missing, or the paper is no letter.
    LetterLost,
    /// The person asked about does not own the aircraft any more, or never did.
    Sold,
    /// The letter lets the builder in and the question does not say that he is there.
    BuilderGone,
    /// Owned together with others.
    CoOwner,
    /// Owned through a company.
    Company,
    /// Owned through a trust.
    Trust,
    /// The aircraft had another kind of certificate, or may have been brought in from abroad.
    Import,
    /// No inspection has been recorded yet.
    FirstInspection,
    /// The last day has passed.
    Overdue,
    /// The aircraft was found not to be fit.
    Failed,
    /// The engine or propeller is of a certificated type.
    CertificatedEngine,
    /// No clause was found that says when to inspect.
    NoInspectionClause,
    /// The certificate itself runs out.
    CertificateExpires,
}

impl Circumstance {
    /// Every value.
    pub const ALL: [Self; 13] = [
        Self::LetterLost,
        Self::Sold,
        Self::BuilderGone,
        Self::CoOwner,
        Self::Company,
        Self::Trust,
        Self::Import,
        Self::FirstInspection,
        Self::Overdue,
        Self::Failed,
        Self::CertificatedEngine,
        Self::NoInspectionClause,
        Self::CertificateExpires,
    ];
}

/// One step, with what it rests on.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Step {
    /// The sentence, for people.
    pub says: String,
    /// Which sources it rests on, from 0 in the order of the file.
    pub rests: Vec<usize>,
}

pattern_file! {
    /// One file of `patterns/situation/`. Hits are words that its steps say, misses words that
    /// they must not be taken to say.
    SituationFile, hit: Example, miss: Example, {
        /// What it is called.
        title: String,
        /// The signs by which it is seen, any of which is enough.
        when: Vec<Circumstance>,
        /// What to do, in order.
        step: Vec<Step>,
    }
}

impl SituationFile {
    /// The steps with their sources, for people.
    #[must_use]
    pub fn steps(&self) -> Vec<String> {
        self.step
            .iter()
            .map(|step| {
                let of: Vec<Reference> = step
                    .rests
                    .iter()
                    .filter_map(|n| self.source.get(*n))
                    .cloned()
                    .collect();
                let said = step.says.trim().trim_end_matches('.');
                format!("{said} ({}).", cited(&of))
            })
            .collect()
    }
}

pub(super) fn check(
    files: Vec<Loaded<SituationFile>>,
) -> Result<Vec<Loaded<SituationFile>>, PatternError> {
    for loaded in &files {
        if loaded.file.step.is_empty() || loaded.file.when.is_empty() {
            return Err(loaded.refuse("no [[step]], or «when» is empty".into()));
        }
        let held = loaded.file.source.len();
        for step in &loaded.file.step {
            if step.rests.is_empty() || step.rests.iter().any(|n| *n >= held) {
                return Err(loaded.refuse(format!(
                    "«rests» of «{}» names no source of the file",
                    step.says
                )));
            }
        }
    }
    Ok(files)
}
