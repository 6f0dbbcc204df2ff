//! Knowledge as data: loads and checks the files of `patterns/`, and matches their phrases.
//!
//! One file is one pattern; its id is its path without the ending (`modality/no-person-unless`).
//! The files are embedded in the binary; [`Patterns::with_overlay`] lays a folder over them, which
//! adds patterns or replaces them by id. Unknown keys, missing sources, missing hits or misses are
//! refused with file, line and column.

mod error;
mod evidence;
mod file;
pub mod phrase;

mod age;
pub mod citation;
mod claim;
pub mod classes;
pub mod entry;
pub mod grammar;
pub mod inspector;
mod law;
mod list;
mod marked;
mod modality;
pub mod numbering;
mod outdated;
mod paper;
mod reading;
pub(crate) mod rules;
mod situation;
mod slip;
mod statement;
mod tables;
mod topic;
mod wording;

use std::any::Any;
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::sync::{Arc, OnceLock};

use sha2::{Digest, Sha256};

use crate::text::file_name;
use file::{FileText, Files};

pub use age::{AgeFeature, AgeFile, Ages, Family, Structure};
pub use citation::CitationFile;
pub use claim::{ClaimExample, ClaimFile, ClaimMiss, ClaimRole, ClaimWords, Claims};
pub use entry::{Entries, EntryFile, EntryMark, EntryRole};
pub use error::PatternError;
pub use evidence::{EvidenceFile, EvidenceOf, EvidencePlace, Evidences, Weight};
pub use file::{Example, Loaded, PatternFile, Reference};
pub use inspector::InspectorFile;
pub use law::{Condition, Effect, LawExample, LawFile, LawNote, Regime, When};
pub use list::{InLists, ListFile, WordList, WordLists};
pub use modality::{Class, Compiled, ModalRole, Modalities, ModalityFile, Subject};
pub use numbering::NumberingFile;
pub use outdated::{Outdated, OutdatedFile};
pub use paper::{PaperFile, PaperMeaning, Papers};
pub use phrase::{Lexicon, PhraseSet, Token, TokenKind};
pub use reading::{Cause, ReadingExample, ReadingFile, Treats};
pub use situation::{Circumstance, SituationFile};
pub use slip::{Follows, SlipExample, SlipFile, SlipRole, Slips, WordSlip};
pub use statement::{Holds, StatementFile, Statements, Term, TermOf, cited};
pub use topic::{Sign as TopicSign, Subjects, TopicFile, Topics};
pub use wording::{Cut, WordingFile};

/// The pattern files as JSON, made by the build: it loads several times faster than TOML. Words and
/// rules of the grammar are no part of it.
static BUILT: &[u8] = include_bytes!(concat!(env!("OUT_DIR"), "/patterns.bin"));

/// What the build has compiled of a file, as tables.
macro_rules! built {
    ($file:literal) => {{
        static BUILT: &tables::Aligned<[u8]> =
            &tables::Aligned(*include_bytes!(concat!(env!("OUT_DIR"), "/", $file)));
        &BUILT.0
    }};
}

/// The words and rules of the grammar, compiled by the build.
static BUILT_GRAMMAR: &[u8] = built!("grammar.bin");
/// The words of log entries.
static BUILT_ENTRIES: &[u8] = built!("entry.bin");

/// All knowledge, compiled.
#[derive(Debug)]
pub struct Patterns {
    files: Files,
    digest: String,
    /// What a room makes of the files once and keeps; see [`Patterns::once`].
    kept: OnceLock<Box<dyn Any + Send + Sync>>,
    /// The rules, compiled by the grammar.
    pub(crate) rules: OnceLock<Box<dyn Any + Send + Sync>>,
    /// Every word that a phrase of any file knows.
    pub lexicon: Lexicon,
    /// Deontic triggers.
    pub modality: modality::Modalities,
    /// Words for inspectors, their conditions, limiters and inspections.
    pub inspector: inspector::Inspectors,
    /// Words and rules of the grammar of clauses.
    pub grammar: grammar::GrammarFiles,
    /// Topics of clauses.
    pub topic: topic::Topics,
    /// What clauses are about, finer than topics: by it alone clauses of two letters are paired; see [`Patterns::subject`].
    subject: OnceLock<Subjects>,
    /// Words that introduce citations.
    pub citation: citation::Citations,
    /// Numbering styles and words that keep a number from starting a clause.
    pub numbering: numbering::Numberings,
    /// Signs of the kind of paper, its basis, its dates and its aircraft.
    pub paper: Papers,
    /// Evidence for and against a letter.
    pub evidence: Evidences,
    /// Reference wordings.
    pub wording: Vec<Loaded<WordingFile>>,
    /// Features that date a letter.
    pub age: age::Ages,
    /// Rules by date.
    pub law: Vec<Loaded<LawFile>>,
    /// Readings of the dispute.
    pub reading: Vec<Loaded<ReadingFile>>,
    /// Words of log entries, and words with which letters ask for one.
    pub entry: Entries,
    /// Sentences of law and practice, with their sources.
    pub statement: Statements,
    /// Situations of an aircraft and its owner, and what to do in them.
    pub situation: Vec<Loaded<SituationFile>>,
    /// Slips of OCR.
    pub slip: Slips,
    /// Places and terms that the rules have left behind.
    pub outdated: Outdated,
    /// How people speak of letters; see [`Patterns::claim`].
    claim: OnceLock<Claims>,
    /// Lists of words that the code asks for by name.
    pub list: Arc<WordLists>,
}

impl Patterns {
    /// The patterns built into the program.
    ///
    /// # Errors
    /// [`PatternError::Form`] where an embedded file breaks the form; a test keeps that from
    /// being released.
    pub fn embedded() -> Result<Self, PatternError> {
        let (files, digest) = embedded()?;
        Self::compile(files, digest)
    }

    /// The patterns built into the program, each file with all that stands in it: for checks of the files. Examples,
    /// and sources that no run shows, are left out elsewhere.
    ///
    /// # Errors
    /// [`PatternError::Form`] where a file breaks the form.
    pub fn as_written() -> Result<Self, PatternError> {
        let (files, digest) = embedded()?;
        Self::compile(file::as_written(files), digest)
    }

    /// The embedded patterns with the `.toml` files of a folder laid over them.
    ///
    /// # Errors
    /// [`PatternError`] where the folder or one of its files cannot be read or breaks the form.
    pub fn with_overlay(folder: &Path) -> Result<Self, PatternError> {
        let (mut files, _) = embedded()?;
        let laid = folder_files(folder)?;
        files.extend(
            laid.into_iter()
                .map(|(id, text)| (id, FileText::Toml(text))),
        );
        // The digest over all files, as the build takes it over the embedded ones.
        let mut hasher = Sha256::new();
        for id in files.keys() {
            hasher.update(id.as_bytes());
            hasher.update([0]);
            hasher.update(file::source(&files, id).unwrap_or_default().as_bytes());
            hasher.update([0]);
        }
        let mut digest = String::new();
        for byte in &hasher.finalize()[..8] {
            let _ = write!(digest, "{byte:02x}");
        }
        Self::compile(files, digest)
    }

    fn compile(files: Files, digest: String) -> Result<Self, PatternError> {
        check_rooms(&files)?;
        let list = Arc::new(WordLists::compile(file::load(&files, "list")?)?);
        let grammar::Compiled {
            mut lexicon,
            words: of_grammar,
            rules: of_rules,
        } = grammar::compile(&files, BUILT_GRAMMAR)?;
        let words = &mut lexicon;
        let patterns = Self {
            grammar: grammar::GrammarFiles::new(&files, of_grammar, of_rules),
            modality: modality::Modalities::compile(file::load(&files, "modality")?, words)?,
            inspector: inspector::Inspectors::compile(file::load(&files, "inspector")?, words)?,
            topic: topic::Topics::compile(file::load(&files, "topic")?, words)?,
            subject: OnceLock::new(),
            citation: citation::Citations::compile(file::load(&files, "citation")?, words)?,
            numbering: numbering::Numberings::compile(file::load(&files, "numbering")?, words)?,
            paper: Papers::compile(file::load(&files, "paper")?, words)?,
            evidence: Evidences::compile(file::load(&files, "evidence")?, words)?,
            wording: file::load(&files, "wording")?,
            age: age::Ages::compile(file::load(&files, "age")?, words)?,
            law: law::check(file::load(&files, "law")?)?,
            reading: reading::check(file::load(&files, "reading")?)?,
            entry: Entries::compile(&files, BUILT_ENTRIES, Arc::clone(&list))?,
            statement: Statements::compile(file::load(&files, "statement")?)?,
            situation: situation::check(file::load(&files, "situation")?)?,
            slip: Slips::compile(file::load(&files, "slip")?)?,
            claim: OnceLock::new(),
            outdated: Outdated::compile(file::load(&files, "outdated")?, words)?,
            list,
            lexicon,
            digest,
            files,
            kept: OnceLock::new(),
            rules: OnceLock::new(),
        };
        // what a folder lays over the program's has to be refused now
        let laid_over = |room| !file::as_built(&patterns.files, &[room]);
        if laid_over(CLAIMS) {
            let _ = patterns.claim.set(patterns.compile_claims()?);
        }
        if laid_over(SUBJECTS) {
            let _ = patterns.subject.set(patterns.compile_subjects()?);
        }
        Ok(patterns)
    }

    /// How people speak of letters. The words of the program are compiled where one first asks for
    /// them: most runs never do.
    pub fn claim(&self) -> &Claims {
        // a test compiles the words of the program, so that none is ever lost here
        self.claim
            .get_or_init(|| self.compile_claims().unwrap_or_default())
    }

    /// What clauses are about, as they are compared; compiled as [`Patterns::claim`] is.
    pub fn subject(&self) -> &Subjects {
        self.subject
            .get_or_init(|| self.compile_subjects().unwrap_or_default())
    }

    fn compile_subjects(&self) -> Result<Subjects, PatternError> {
        Subjects::compile(file::load(&self.files, SUBJECTS)?, self.lexicon.clone())
    }

    fn compile_claims(&self) -> Result<Claims, PatternError> {
        Claims::compile(file::load(&self.files, CLAIMS)?, self.lexicon.clone())
    }

    /// What a room makes of these files, made once for as long as they are held. One room keeps
    /// one thing; `None` where another type is kept already.
    pub(crate) fn once<T: Any + Send + Sync>(&self, make: impl FnOnce() -> T) -> Option<&T> {
        self.kept.get_or_init(|| Box::new(make())).downcast_ref()
    }

    /// A short digest over all files, so that a report can say with which knowledge it was made.
    #[must_use]
    pub fn digest(&self) -> &str {
        &self.digest
    }

    /// The source text of a pattern file by id, as it stands in the folder.
    #[must_use]
    pub fn source_of(&self, id: &str) -> Option<&str> {
        file::source(&self.files, id)
    }

    /// The files of words and of rules of the grammar, as they are written.
    ///
    /// # Errors
    /// [`PatternError`] where one breaks the form.
    pub fn grammar_as_written(&self) -> Result<grammar::Written, PatternError> {
        grammar::load(&self.files)
    }

    /// All ids in order.
    pub fn ids(&self) -> impl Iterator<Item = &str> {
        self.files.keys().map(String::as_str)
    }
}

/// The folder of words of claims.
const CLAIMS: &str = "claim";
/// The folder of subjects of clauses.
const SUBJECTS: &str = "subject";

const ROOMS: [&str; 21] = [
    CLAIMS,
    "word",
    "grammar",
    "modality",
    "inspector",
    "topic",
    SUBJECTS,
    "citation",
    "numbering",
    "evidence",
    "outdated",
    "paper",
    "wording",
    "age",
    "law",
    "reading",
    "entry",
    "statement",
    "situation",
    "slip",
    "list",
];

/// Refuses a file in a folder that is none of patterns.
fn check_rooms(files: &Files) -> Result<(), PatternError> {
    for id in files.keys() {
        let room = id.split('/').next().unwrap_or_default();
        if !ROOMS.contains(&room) {
            return Err(PatternError::Form {
                file: format!("{id}.toml"),
                message: format!(
                    "«{room}» is no folder of patterns; expected one of {}",
                    ROOMS.join(", ")
                ),
            });
        }
    }
    Ok(())
}

/// The embedded files and their digest.
fn embedded() -> Result<(Files, String), PatternError> {
    /// The digest, and each file's id and JSON, which is empty where there is none.
    type Built = (String, Vec<(String, &'static str)>);
    let (digest, files): Built = postcard::from_bytes(BUILT).map_err(|e| PatternError::Form {
        file: "the patterns of the program".into(),
        message: e.to_string(),
    })?;
    let files = files
        .into_iter()
        .map(|(id, json)| match json {
            "" => (id, FileText::AsWritten),
            json => (id, FileText::Json(json)),
        })
        .collect();
    Ok((files, digest))
}

/// What a reader of pictures has to know of words.
#[cfg(feature = "ocr")]
pub(crate) struct Spelling {
    /// Words that decide, in order.
    pub(crate) deciding: Vec<String>,
    /// Words of the reference wordings and plain words, in small letters, and how often each stands there.
    pub(crate) seen: BTreeMap<String, u32>,
}

/// The words of the trade, without what else the patterns hold.
#[cfg(feature = "ocr")]
pub(crate) fn spelling() -> Option<Spelling> {
    let (files, _) = embedded().ok()?;
    let slips = Slips::compile(file::load(&files, "slip").ok()?).ok()?;
    let wordings: Vec<Loaded<WordingFile>> = file::load(&files, "wording").ok()?;
    let mut seen: BTreeMap<String, u32> = BTreeMap::new();
    let texts = wordings.iter().map(|w| w.file.text.as_str());
    let words = texts.flat_map(|text| text.split(|c: char| !c.is_alphabetic()));
    for word in words.chain(slips.known.iter().map(String::as_str)) {
        *seen.entry(word.to_lowercase()).or_default() += 1;
    }
    Some(Spelling {
        deciding: slips.deciding,
        seen,
    })
}

fn folder_files(folder: &Path) -> Result<BTreeMap<String, String>, PatternError> {
    let unreadable = |path: &Path, cause| PatternError::Unreadable {
        file: file_name(path),
        cause,
    };
    let mut files = BTreeMap::new();
    let mut todo: Vec<PathBuf> = vec![folder.to_owned()];
    while let Some(dir) = todo.pop() {
        for entry in std::fs::read_dir(&dir).map_err(|e| unreadable(&dir, e))? {
            let path = entry.map_err(|e| unreadable(&dir, e))?.path();
            if path.is_dir() {
                todo.push(path);
            } else if path.extension().is_some_and(|e| e == "toml") {
                if !path.is_file() {
                    // a pipe would be waited for
                    let cause = std::io::Error::other("is no file");
                    return Err(unreadable(&path, cause));
                }
                let text = std::fs::read_to_string(&path).map_err(|e| unreadable(&path, e))?;
                let relative = path.strip_prefix(folder).unwrap_or(&path);
                files.insert(id_of(relative), text);
            }
        }
    }
    Ok(files)
}

fn id_of(path: &Path) -> String {
    path.with_extension("")
        .components()
        .map(|c| file_name(c.as_os_str()))
        .collect::<Vec<_>>()
        .join("/")
}
