//! Features of the words that date a letter, and the families of revisions that they point to.

use std::collections::BTreeMap;

use serde::Deserialize;

use super::file::{day, pattern_file};
use super::{Example, Lexicon, Loaded, PatternError, PhraseSet};

pattern_file! {
    /// One file of `patterns/age/`: a family of revisions, or a feature.
    AgeFile, hit: Example, miss: Example, {
        /// A family of revisions; then there are no words.
        #[serde(default)]
        family: Option<Family>,
        /// Phrases; see [`super::phrase`].
        #[serde(default)]
        any: Vec<String>,
        /// Phrases that the same clause must not have.
        #[serde(default)]
        without: Vec<String>,
        /// What the numbering shows, where the feature is no phrase.
        #[serde(default)]
        structure: Option<Structure>,
        /// Paragraphs of § 21.191 for whose letters the feature tells; empty for all.
        #[serde(default)]
        basis: Vec<String>,
        /// How many times likelier the feature is in a letter of that family than in one that it
        /// does not tell of; below 1 it speaks against the family.
        #[serde(default)]
        weight: BTreeMap<String, f64>,
        /// What it points to, in words for the reader.
        #[serde(default)]
        says: String,
    }
}

/// Revisions whose letters cannot be told apart by what is known.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Family {
    /// The name in reports: `8130.2F CHG 4/5`.
    pub name: String,
    /// The first day on which a letter could follow it.
    #[serde(deserialize_with = "day")]
    pub from: jiff::civil::Date,
    /// The day on which the next family came.
    #[serde(deserialize_with = "day")]
    pub until: jiff::civil::Date,
}

/// What the numbering of a letter can show.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Structure {
    /// The number of the order's list stands in parentheses at the end of clauses.
    ItemAtEnd,
    /// A number or item above 28.
    #[serde(rename = "number-above-28")]
    NumberAbove28,
    /// Its own numbers from 1 on without a gap, at most 26, and neither "logbook" nor "shall".
    RunningNumbers,
}

/// A feature, compiled.
#[derive(Debug)]
pub struct AgeFeature {
    /// Index of the file in [`Ages::files`].
    pub file: usize,
    /// The phrases that show it.
    pub any: PhraseSet<()>,
    /// The phrases that take it back.
    pub without: PhraseSet<()>,
    /// Weight for each family, parallel to [`Ages::families`].
    pub weights: Vec<f64>,
}

/// All files of the folder, compiled.
#[derive(Debug, Default)]
pub struct Ages {
    /// The files.
    pub files: Vec<Loaded<AgeFile>>,
    /// Indexes of the files that are families, by their first day.
    pub families: Vec<usize>,
    /// The features.
    pub features: Vec<AgeFeature>,
}

impl Ages {
    /// The family of that number.
    #[must_use]
    pub fn family(&self, n: usize) -> Option<&Family> {
        self.files.get(*self.families.get(n)?)?.file.family.as_ref()
    }

    pub(super) fn compile(
        files: Vec<Loaded<AgeFile>>,
        lexicon: &mut Lexicon,
    ) -> Result<Self, PatternError> {
        let mut families: Vec<usize> = (0..files.len())
            .filter(|n| files.get(*n).is_some_and(|f| f.file.family.is_some()))
            .collect();
        families.sort_by_key(|n| {
            files
                .get(*n)
                .and_then(|f| f.file.family.as_ref())
                .map(|f| f.from)
        });
        let short = |id: &str| id.rsplit('/').next().unwrap_or_default().to_owned();
        let names: Vec<String> = families
            .iter()
            .filter_map(|n| files.get(*n))
            .map(|f| short(&f.id))
            .collect();
        let mut features = Vec::new();
        for (n, loaded) in files.iter().enumerate() {
            let form = |message| loaded.refuse(message);
            let file = &loaded.file;
            if file.family.is_some() {
                if !file.any.is_empty() || file.structure.is_some() || !file.weight.is_empty() {
                    return Err(form(
                        "a family has no phrases, no structure and no weights".into(),
                    ));
                }
                continue;
            }
            if file.any.is_empty() == file.structure.is_none() {
                return Err(form(
                    "expected «any» with phrases, or «structure», or [family]".into(),
                ));
            }
            if file.weight.is_empty() || file.says.trim().is_empty() {
                return Err(form("expected [weight] and «says»".into()));
            }
            for (family, weight) in &file.weight {
                if !names.contains(family) {
                    return Err(form(format!(
                        "«{family}» is no family; expected one of {}",
                        names.join(", ")
                    )));
                }
                if !(0.001..=1000.0).contains(weight) {
                    return Err(form(format!(
                        "weight {weight} is not between 0.001 and 1000"
                    )));
                }
            }
            let mut set = |phrases: &[String]| -> Result<PhraseSet<()>, PatternError> {
                let mut set = PhraseSet::default();
                for phrase in phrases {
                    set.add(lexicon, phrase, ()).map_err(&form)?;
                }
                Ok(set)
            };
            features.push(AgeFeature {
                file: n,
                any: set(&file.any)?,
                without: set(&file.without)?,
                weights: names
                    .iter()
                    .map(|f| file.weight.get(f).copied().unwrap_or(1.0))
                    .collect(),
            });
        }
        Ok(Self {
            files,
            families,
            features,
        })
    }
}
