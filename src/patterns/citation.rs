//! Words that introduce citations.

use super::file::pattern_file;
use super::{Example, Lexicon, Loaded, PatternError, PhraseSet};

pattern_file! {
    /// One file of `patterns/citation/`.
    CitationFile, hit: Example, miss: Example, {
        /// Phrases; see [`super::phrase`].
        any: Vec<String>,
    }
}

/// All files of the folder, compiled.
#[derive(Debug, Default)]
pub struct Citations {
    /// The files.
    pub files: Vec<Loaded<CitationFile>>,
    /// Phrases; the payload is the index of the file.
    pub phrases: PhraseSet<usize>,
}

impl Citations {
    pub(super) fn compile(
        files: Vec<Loaded<CitationFile>>,
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
