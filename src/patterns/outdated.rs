//! What rules have moved or dropped since letters were written.

use super::file::pattern_file;
use super::{Example, Lexicon, Loaded, PatternError, PhraseSet};

pattern_file! {
    /// One file of `patterns/outdated/`: a place in a rule that has moved, or a term that a rule no
    /// longer uses.
    OutdatedFile, hit: Example, miss: Example, {
        /// The citation that leads to another place today, as citations are named (`91.319(e)`).
        #[serde(default)]
        citation: String,
        /// Where what stood there stands today (`91.319(i)`), where that is known.
        #[serde(default)]
        now: String,
        /// The words that a rule has dropped; see [`super::phrase`].
        #[serde(default)]
        any: Vec<String>,
        /// What is said to the reader, as a sentence without its capital and its stop.
        says: String,
    }
}

/// All files of the folder, compiled.
#[derive(Debug, Default)]
pub struct Outdated {
    /// The files.
    pub files: Vec<Loaded<OutdatedFile>>,
    /// Dropped terms, with the file that says so.
    pub phrases: PhraseSet<usize>,
}

impl Outdated {
    pub(super) fn compile(
        files: Vec<Loaded<OutdatedFile>>,
        lexicon: &mut Lexicon,
    ) -> Result<Self, PatternError> {
        let mut phrases = PhraseSet::default();
        for (n, loaded) in files.iter().enumerate() {
            let form = |message| loaded.refuse(message);
            let file = &loaded.file;
            if file.citation.is_empty() == file.any.is_empty() {
                return Err(form(
                    "needs either «citation», a place that has moved, or «any», words that a rule \
                     has dropped"
                        .to_owned(),
                ));
            }
            for phrase in &file.any {
                if let Some(other) = phrases.add(lexicon, phrase, n).map_err(form)?
                    && other != n
                {
                    return Err(form(format!("«{phrase}» is in another file, too")));
                }
            }
        }
        Ok(Self { files, phrases })
    }
}
