//! Deontic triggers: words that permit, demand, bar or restrict.

use serde::Deserialize;

use super::file::pattern_file;
use super::{Example, Lexicon, Loaded, PatternError, PhraseSet};

pattern_file! {
    /// One file of `patterns/modality/`.
    ModalityFile, hit: Example, miss: Example, {
        /// The words and what they mean.
        trigger: Trigger,
    }
}

/// The words of a deontic pattern and what they mean.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Trigger {
    /// Phrases; see [`super::phrase`].
    pub any: Vec<String>,
    /// `permission`, `obligation`, `prohibition`, `restriction` or `statement`.
    pub modality: String,
}

/// All deontic triggers, compiled.
#[derive(Debug, Default)]
pub struct Modalities {
    /// The files.
    pub files: Vec<Loaded<ModalityFile>>,
    /// Phrases; the payload is the index of the file.
    pub phrases: PhraseSet<usize>,
}

impl Modalities {
    pub(super) fn compile(
        files: Vec<Loaded<ModalityFile>>,
        lexicon: &mut Lexicon,
    ) -> Result<Self, PatternError> {
        let mut phrases = PhraseSet::default();
        for (n, loaded) in files.iter().enumerate() {
            for phrase in &loaded.file.trigger.any {
                phrases
                    .add(lexicon, phrase, n)
                    .map_err(|message| PatternError::Form {
                        file: format!("{}.toml", loaded.id),
                        message,
                    })?;
            }
        }
        Ok(Self { files, phrases })
    }
}
