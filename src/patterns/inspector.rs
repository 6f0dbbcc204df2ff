//! Words for inspectors, their conditions, limiters and inspections.

use super::file::pattern_file;
use super::{Example, Lexicon, Loaded, PatternError, PhraseSet};

pattern_file! {
    /// One file of `patterns/inspector/`.
    InspectorFile, hit: Example, miss: Example, {
        /// Phrases; see [`super::phrase`].
        any: Vec<String>,
    }
}

/// All files of the folder, compiled.
#[derive(Debug, Default)]
pub struct Inspectors {
    /// The files.
    pub files: Vec<Loaded<InspectorFile>>,
    /// Phrases; the payload is the index of the file.
    pub phrases: PhraseSet<usize>,
}

impl Inspectors {
    pub(super) fn compile(
        files: Vec<Loaded<InspectorFile>>,
        lexicon: &mut Lexicon,
    ) -> Result<Self, PatternError> {
        let mut phrases = PhraseSet::default();
        for (n, loaded) in files.iter().enumerate() {
            for phrase in &loaded.file.any {
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
