//! Words that introduce citations, and the parts of 14 CFR.

use serde::Deserialize;

use super::file::pattern_file;
use super::{Example, Lexicon, Loaded, PatternError, PhraseSet};

/// What the words of a citation file do.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum CiteRole {
    /// "§", "section".
    Section,
    /// "part".
    Part,
    /// "subpart".
    Subpart,
    /// "appendix".
    Appendix,
    /// "paragraph".
    Paragraph,
    /// "CFR", "FAR": the regulations themselves.
    System,
    /// The laws (U.S.C.), which are no regulations.
    Law,
    /// A measure behind a number: the number is no citation.
    Unit,
    /// Before a bare number: it cites ("in accordance with 91.205").
    Lead,
    /// The numbers of the parts of 14 CFR.
    Parts,
}

pattern_file! {
    /// One file of `patterns/citation/`.
    CitationFile, hit: Example, miss: Example, {
        /// What the words do.
        role: CiteRole,
        /// Phrases; see [`super::phrase`].
        any: Vec<String>,
        /// Numbers of parts, for `role = "parts"`.
        #[serde(default)]
        parts: Vec<u16>,
        /// Parts whose sections are also cited by the bare number, for `role = "parts"`.
        #[serde(default)]
        bare: Vec<u16>,
    }
}

/// All files of the folder, compiled.
#[derive(Debug, Default)]
pub struct Citations {
    /// The files.
    pub files: Vec<Loaded<CitationFile>>,
    /// Phrases with what they do.
    pub phrases: PhraseSet<CiteRole>,
    /// Known parts of 14 CFR, in order.
    pub parts: Vec<u16>,
    /// Parts whose sections are also cited by the bare number, in order.
    pub bare: Vec<u16>,
}

impl Citations {
    pub(super) fn compile(
        files: Vec<Loaded<CitationFile>>,
        lexicon: &mut Lexicon,
    ) -> Result<Self, PatternError> {
        let mut all = Self::default();
        for loaded in &files {
            let form = |message| loaded.refuse(message);
            let file = &loaded.file;
            for phrase in &file.any {
                let held = all.phrases.add(lexicon, phrase, file.role).map_err(form)?;
                if let Some(other) = held.filter(|other| *other != file.role) {
                    return Err(form(format!("«{phrase}» is {other:?} in another file")));
                }
            }
            if file.role != CiteRole::Parts && !(file.parts.is_empty() && file.bare.is_empty()) {
                return Err(form("«parts» and «bare» need role = \"parts\"".into()));
            }
            all.parts.extend(&file.parts);
            all.bare.extend(&file.bare);
        }
        all.parts.sort_unstable();
        all.parts.dedup();
        all.bare.sort_unstable();
        all.bare.dedup();
        all.files = files;
        Ok(all)
    }
}
