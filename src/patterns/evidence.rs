//! Evidence for and against a letter of operating limitations: words, where they have to stand,
//! and what they weigh.

use serde::Deserialize;

use super::file::pattern_file;
use super::{Example, Lexicon, Loaded, PatternError, PhraseSet};
use crate::model::Genre;

pattern_file! {
    /// One file of `patterns/evidence/`.
    EvidenceFile, hit: Example, miss: Example, {
        /// The words, what they are evidence of, and how much they weigh.
        evidence: Evidence,
    }
}

/// The words of a file and what they weigh.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Evidence {
    /// `letter`, `not-title`, or the name of another kind of paper ([`Genre`]).
    pub of: String,
    /// `title`: on a line that is a title; `any`: anywhere; `share`: by their share of all words.
    pub place: String,
    /// What each different phrase weighs; for `share`, what each full hundredth of the words does.
    pub points: u32,
    /// The most that the file can weigh.
    pub most: u32,
    /// Phrases; see [`super::phrase`].
    pub any: Vec<String>,
}

/// What words are evidence of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum EvidenceOf {
    /// A letter of operating limitations.
    Letter,
    /// A line that is no title of one.
    NotTitle,
    /// Another paper.
    Other(Genre),
}

/// Where the words have to stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum EvidencePlace {
    /// On a line that is a title.
    Title,
    /// Anywhere.
    Any,
    /// Anywhere; their share of all words counts.
    Share,
}

/// A file as it is used.
#[derive(Clone, Copy, Debug)]
pub struct Weight {
    /// What its words are evidence of.
    pub of: EvidenceOf,
    /// Where they have to stand.
    pub place: EvidencePlace,
    /// What each different phrase weighs.
    pub points: u32,
    /// The most that the file can weigh.
    pub most: u32,
}

/// All files of the folder, compiled.
#[derive(Debug, Default)]
pub struct Evidences {
    /// The files.
    pub files: Vec<Loaded<EvidenceFile>>,
    /// What each file weighs, parallel to `files`.
    pub weights: Vec<Weight>,
    /// Phrases; the payload names the files that have it.
    pub phrases: PhraseSet<Vec<usize>>,
}

impl Evidences {
    pub(super) fn compile(
        files: Vec<Loaded<EvidenceFile>>,
        lexicon: &mut Lexicon,
    ) -> Result<Self, PatternError> {
        let mut phrases: PhraseSet<Vec<usize>> = PhraseSet::default();
        let mut weights = Vec::with_capacity(files.len());
        for (n, loaded) in files.iter().enumerate() {
            let form = |message| loaded.refuse(message);
            let evidence = &loaded.file.evidence;
            let known = of(&evidence.of).zip(place(&evidence.place));
            let (of, place) = known.ok_or_else(|| {
                form(format!(
                    "of = \"{}\", place = \"{}\" is not known",
                    evidence.of, evidence.place
                ))
            })?;
            weights.push(Weight {
                of,
                place,
                points: evidence.points,
                most: evidence.most,
            });
            for phrase in &evidence.any {
                phrases
                    .add_with(lexicon, phrase, |files| {
                        files.get_or_insert_default().push(n);
                    })
                    .map_err(form)?;
            }
        }
        Ok(Self {
            files,
            weights,
            phrases,
        })
    }
}

fn of(name: &str) -> Option<EvidenceOf> {
    Some(match name {
        "letter" => EvidenceOf::Letter,
        "not-title" => EvidenceOf::NotTitle,
        other => EvidenceOf::Other(Genre::from_name(other)?),
    })
}

fn place(name: &str) -> Option<EvidencePlace> {
    Some(match name {
        "title" => EvidencePlace::Title,
        "any" => EvidencePlace::Any,
        "share" => EvidencePlace::Share,
        _ => return None,
    })
}
