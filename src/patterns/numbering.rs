//! Words that tell a clause number from another number, and the end of a sentence from a dot.

use serde::Deserialize;

use super::file::pattern_file;
use super::{Example, Lexicon, Loaded, PatternError, PhraseSet};

/// What the words of a numbering file do.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum NumberingRole {
    /// Before a number: it refers to something and starts no clause ("paragraph", "part").
    Reference,
    /// Before a number at the head of a line: it belongs to the number ("Limitation 5:").
    Head,
    /// At the head of a line: a paragraph of its own starts ("NOTE:").
    Note,
    /// An abbreviation whose dot ends no sentence ("e.g.", "C.F.R.").
    Abbreviation,
    /// An abbreviation whose dot ends no sentence where a number or a letter of a list follows
    /// ("No. 5", "Sec. 91.319").
    BeforeNumber,
    /// An abbreviation, with a capital, whose dot ends no sentence ("Mr.", "Mass.").
    Name,
    /// An abbreviation whose dot may end a sentence as well ("U.S.", "Inc.").
    MayEnd,
    /// A heading over clauses that hold during flight testing.
    PhaseOne,
    /// A heading over clauses that hold after flight testing.
    PhaseTwo,
    /// A heading over clauses that hold in both.
    PhaseBoth,
}

pattern_file! {
    /// One file of `patterns/numbering/`.
    NumberingFile, hit: Example, miss: Example, {
        /// What the words do.
        role: NumberingRole,
        /// Phrases; see [`super::phrase`].
        any: Vec<String>,
    }
}

/// All files of the folder, compiled.
#[derive(Debug, Default)]
pub struct Numberings {
    /// The files.
    pub files: Vec<Loaded<NumberingFile>>,
    /// References before a number, and notes.
    pub words: PhraseSet<NumberingRole>,
    /// Words that belong to a clause number at the head of a line.
    pub heads: PhraseSet<NumberingRole>,
    /// Abbreviations.
    pub abbreviations: PhraseSet<NumberingRole>,
    /// Headings of the phases.
    pub phases: PhraseSet<NumberingRole>,
}

impl Numberings {
    pub(super) fn compile(
        files: Vec<Loaded<NumberingFile>>,
        lexicon: &mut Lexicon,
    ) -> Result<Self, PatternError> {
        let mut all = Self::default();
        for loaded in &files {
            let role = loaded.file.role;
            let set = match role {
                NumberingRole::Reference | NumberingRole::Note => &mut all.words,
                NumberingRole::Head => &mut all.heads,
                NumberingRole::Abbreviation
                | NumberingRole::BeforeNumber
                | NumberingRole::Name
                | NumberingRole::MayEnd => &mut all.abbreviations,
                NumberingRole::PhaseOne | NumberingRole::PhaseTwo | NumberingRole::PhaseBoth => {
                    &mut all.phases
                }
            };
            let form = |message| loaded.refuse(message);
            for phrase in &loaded.file.any {
                let held = set.add(lexicon, phrase, role).map_err(form)?;
                if let Some(other) = held.filter(|other| *other != role) {
                    return Err(form(format!("«{phrase}» is {other:?} in another file")));
                }
            }
        }
        all.files = files;
        Ok(all)
    }
}
