//! The form that every pattern file has: what it is about, since when, on which source it rests,
//! what it must hit and what it must miss.

use std::collections::BTreeMap;
use std::io::Read as _;
use std::sync::OnceLock;

use serde::Deserialize;
use serde::de::DeserializeOwned;

use super::PatternError;

/// A pattern file as it is held.
#[derive(Clone, Debug)]
pub(super) enum FileText {
    /// What a run asks of a file of the program, turned into JSON by the build: without examples, and where
    /// none is shown without sources.
    Json(&'static str),
    /// A file of the program that is read only where it is asked for; see [`source`].
    AsWritten,
    /// As it stands in a folder.
    Toml(String),
}

pub(super) type Files = BTreeMap<String, FileText>;

/// The pattern files of the program as they were written; deflated, since few runs show one.
static SOURCES: &[u8] = include_bytes!(concat!(env!("OUT_DIR"), "/sources.bin"));

/// Whether no folder lays files over these rooms of the program.
pub(super) fn as_built(files: &Files, rooms: &[&str]) -> bool {
    let mut all = rooms.iter().flat_map(|room| of_room(files, room));
    !all.any(|(_, text)| matches!(text, FileText::Toml(_)))
}

/// The source text of a file: as laid over, or as it stands in the program.
pub(super) fn source<'f>(files: &'f Files, id: &str) -> Option<&'f str> {
    match files.get(id)? {
        FileText::Toml(text) => Some(text),
        FileText::Json(_) | FileText::AsWritten => sources().get(id).map(String::as_str),
    }
}

/// The files of the program as they were written, by their ids.
fn sources() -> &'static BTreeMap<String, String> {
    static INFLATED: OnceLock<BTreeMap<String, String>> = OnceLock::new();
    INFLATED.get_or_init(|| {
        let mut bytes = Vec::new();
        flate2::read::DeflateDecoder::new(SOURCES)
            .read_to_end(&mut bytes)
            .ok()
            .and_then(|_| postcard::from_bytes(&bytes).ok())
            .unwrap_or_default()
    })
}

/// A file with its id.
#[derive(Clone, Debug)]
pub struct Loaded<T> {
    /// The path without the ending, with `/`.
    pub id: String,
    /// What the file says.
    pub file: T,
}

impl<T> Loaded<T> {
    /// The id without its folder.
    #[must_use]
    pub fn name(&self) -> &str {
        self.id.split_once('/').map_or(&self.id, |(_, name)| name)
    }

    /// Why the file cannot be used.
    pub(super) fn refuse(&self, message: String) -> PatternError {
        PatternError::Form {
            file: format!("{}.toml", self.id),
            message,
        }
    }
}

/// A source of a pattern file.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Reference {
    /// The work: "14 CFR 1.3(b)(2)".
    pub title: String,
    /// Where and in which state it was read.
    #[serde(default)]
    pub locator: String,
    /// One line of the source that carries the rule.
    #[serde(default)]
    pub quote: String,
    /// A official text read; B official statement quoted by a dated publication; C dated
    /// secondary source; D one person's report; M from memory, unverified; I inference from
    /// quoted text; P common practice, no source.
    pub grade: String,
    /// The day on which it was checked.
    #[serde(deserialize_with = "day")]
    pub checked: jiff::civil::Date,
}

/// A local date of TOML: `2026-11-25`, without quotes.
pub(super) fn day<'de, D: serde::Deserializer<'de>>(
    deserializer: D,
) -> Result<jiff::civil::Date, D::Error> {
    let value = toml::value::Datetime::deserialize(deserializer)?;
    let date = value.date.filter(|_| value.time.is_none());
    date.and_then(|date| {
        let (month, day) = (i8::try_from(date.month).ok()?, i8::try_from(date.day).ok()?);
        jiff::civil::Date::new(i16::try_from(date.year).ok()?, month, day).ok()
    })
    .ok_or_else(|| serde::de::Error::custom("expected a day such as 2026-11-25"))
}

/// A text that the pattern must hit or must not hit.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Example {
    /// The text.
    pub text: String,
    /// For a hit: the words that the pattern must find, where it finds words.
    #[serde(default)]
    pub span: String,
    /// For a miss: why not.
    #[serde(default)]
    pub why: String,
}

/// What all pattern files have in common.
pub trait PatternFile: DeserializeOwned {
    /// What the pattern is about, in a sentence.
    fn about(&self) -> &str;
    /// The sources; at least one.
    fn sources(&self) -> &[Reference];
    /// Number of hits and misses that the file brings; both at least one.
    fn examples(&self) -> (usize, usize);
}

/// Declares the struct of a kind of pattern file with the common head.
macro_rules! pattern_file {
    ($(#[$meta:meta])* $name:ident, hit: $hit:ty, miss: $miss:ty, { $($(#[$fmeta:meta])* $field:ident: $type:ty,)* }) => {
        $(#[$meta])*
        #[derive(Clone, Debug, serde::Deserialize)]
        #[serde(deny_unknown_fields)]
        pub struct $name {
            /// What the pattern is about, in a sentence.
            pub about: String,
            /// The version of the program in which it came.
            pub since: String,
            /// The sources.
            pub source: Vec<crate::patterns::Reference>,
            /// What it must hit.
            #[serde(default)]
            pub hit: Vec<$hit>,
            /// What it must not hit.
            #[serde(default)]
            pub miss: Vec<$miss>,
            $($(#[$fmeta])* pub $field: $type,)*
        }
        impl crate::patterns::PatternFile for $name {
            fn about(&self) -> &str { &self.about }
            fn sources(&self) -> &[crate::patterns::Reference] { &self.source }
            fn examples(&self) -> (usize, usize) { (self.hit.len(), self.miss.len()) }
        }
    };
}
pub(crate) use pattern_file;

/// The files of one folder with their ids, in order.
pub(super) fn of_room<'f>(
    files: &'f Files,
    room: &str,
) -> impl Iterator<Item = (&'f str, &'f FileText)> {
    let prefix = format!("{room}/");
    files
        .range(prefix.clone()..)
        .map(|(id, text)| (id.as_str(), text))
        .take_while(move |(id, _)| id.starts_with(&prefix))
}

/// Loads the files of one folder, in order of their ids.
pub(super) fn load<T: PatternFile>(
    files: &Files,
    room: &str,
) -> Result<Vec<Loaded<T>>, PatternError> {
    of_room(files, room)
        .map(|(id, text)| {
            let form = |message: String| PatternError::Form {
                file: format!("{id}.toml"),
                message,
            };
            let file: T = match text {
                FileText::Json(json) => {
                    serde_json::from_str(json).map_err(|e| form(e.to_string()))?
                }
                // toml's message names line and column and shows the line.
                FileText::Toml(_) | FileText::AsWritten => {
                    let text = source(files, id).unwrap_or_default();
                    let file = toml::from_str(text).map_err(|e| form(e.to_string()))?;
                    wrong_head(&file).map_or(Ok(file), |message| Err(form(message)))?
                }
            };
            Ok(Loaded {
                id: id.to_owned(),
                file,
            })
        })
        .collect()
}

/// Loads the files of one folder with all that they hold.
pub(super) fn load_as_written<T: PatternFile>(
    files: &Files,
    room: &str,
) -> Result<Vec<Loaded<T>>, PatternError> {
    let of_room = of_room(files, room).map(|(id, text)| (id.to_owned(), text.clone()));
    load(&as_written(of_room), room)
}

/// These files with all that they hold.
pub(super) fn as_written(files: impl IntoIterator<Item = (String, FileText)>) -> Files {
    let whole = files.into_iter().map(|(id, text)| match text {
        FileText::Json(_) => (id, FileText::AsWritten),
        text => (id, text),
    });
    whole.collect()
}

/// What is wrong with what all files have in common.
fn wrong_head(file: &impl PatternFile) -> Option<String> {
    if file.about().trim().is_empty() {
        return Some("«about» is empty; say what the pattern is for".into());
    }
    if file.sources().is_empty() {
        return Some("no [[source]]; every pattern names one".into());
    }
    let mut grades = file.sources().iter().map(|source| source.grade.as_str());
    if let Some(grade) = grades.find(|g| !["A", "B", "C", "D", "M", "I", "P"].contains(g)) {
        return Some(format!("grade «{grade}» is not one of A B C D M I P"));
    }
    let (hits, misses) = file.examples();
    (hits == 0 || misses == 0).then(|| {
        format!("{hits} hits and {misses} misses; at least one [[hit]] and one [[miss]] are needed")
    })
}
