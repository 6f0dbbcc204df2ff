//! Sentences of law and practice for people, each with the source that it rests on.
//!
//! A report prints them with paragraph, state read and grade, made from the sources: nobody can
//! write a sentence of law without them. A hit is words that the sentence says, a miss words that
//! it must not be taken to say.

use serde::Deserialize;

use super::file::pattern_file;
use super::law::{bases, kinds, some_day};
use super::{Example, Loaded, PatternError, Reference};
use crate::model::{Basis, Kind};
use jiff::civil::Date;

/// What runs out. Closed, because the answer has to know what to do with it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum TermOf {
    /// The condition inspection.
    Inspection,
    /// The airworthiness certificate itself.
    Certificate,
    /// Altimeter and static system, for flight under IFR.
    Altimeter,
    /// The transponder.
    Transponder,
    /// The emergency locator transmitter.
    Elt,
}

/// A term that a rule sets.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Term {
    /// What runs out.
    pub of: TermOf,
    /// After so many months.
    pub months: i32,
    /// They are calendar months: through the last day of the month.
    pub calendar: bool,
    /// Categories of aircraft to which it applies; all where empty.
    #[serde(default)]
    pub categories: Vec<String>,
    /// Days for which the equipment may be out of the aircraft.
    #[serde(default)]
    pub removed_days: Option<i32>,
    /// Purposes that are exempt from it.
    #[serde(default, deserialize_with = "bases")]
    pub exempt: Vec<Basis>,
}

/// For whom and when a sentence is told; what is empty or absent asks nothing.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Holds {
    /// Kinds of inspector.
    #[serde(default, deserialize_with = "kinds")]
    pub kinds: Vec<Kind>,
    /// Paragraphs of § 21.191; a basis that is not known fits too, unless `basis_known`.
    #[serde(default, deserialize_with = "bases")]
    pub basis: Vec<Basis>,
    /// Only where the basis is known.
    #[serde(default)]
    pub basis_known: bool,
    /// From this day asked about on.
    #[serde(default, deserialize_with = "some_day")]
    pub on_from: Option<Date>,
    /// Before this day asked about.
    #[serde(default, deserialize_with = "some_day")]
    pub on_before: Option<Date>,
    /// For letters issued from this day on.
    #[serde(default, deserialize_with = "some_day")]
    pub issued_from: Option<Date>,
    /// For letters issued before this day.
    #[serde(default, deserialize_with = "some_day")]
    pub issued_before: Option<Date>,
}

impl Holds {
    /// Whether it is told of this kind, basis, day asked about and day of issue. A day of issue
    /// that is not known fits no limit of it.
    #[must_use]
    pub fn of(
        &self,
        kind: Option<Kind>,
        basis: Option<Basis>,
        on: Date,
        issued: Option<Date>,
    ) -> bool {
        let based = self.basis.is_empty()
            || basis.map_or(!self.basis_known, |b| {
                self.basis
                    .iter()
                    .any(|own| own.letter == b.letter && (own.item.is_none() || own.item == b.item))
            });
        let within = |from: Option<Date>, before: Option<Date>, day: Option<Date>| {
            from.is_none_or(|f| day.is_some_and(|d| f <= d))
                && before.is_none_or(|b| day.is_some_and(|d| d < b))
        };
        based
            && (self.kinds.is_empty() || kind.is_some_and(|k| self.kinds.contains(&k)))
            && within(self.on_from, self.on_before, Some(on))
            && within(self.issued_from, self.issued_before, issued)
    }
}

pattern_file! {
    /// One file of `patterns/statement/`.
    StatementFile, hit: Example, miss: Example, {
        /// The sentence, for people. `{name}` is filled in by the program, `{cite}` is where the
        /// sources stand; without it they stand before the last mark.
        says: String,
        /// For whom and when it is told.
        #[serde(default)]
        holds: Holds,
        /// The term that the rule sets, where it sets one.
        #[serde(default)]
        term: Option<Term>,
    }
}

/// All files of the folder.
#[derive(Debug, Default)]
pub struct Statements {
    /// The files, in order of their ids.
    pub files: Vec<Loaded<StatementFile>>,
}

impl Statements {
    pub(super) fn compile(files: Vec<Loaded<StatementFile>>) -> Result<Self, PatternError> {
        for loaded in &files {
            let said = loaded.file.says.trim();
            if said.is_empty() {
                return Err(loaded.refuse("«says» is empty; give the sentence".into()));
            }
            if !said.ends_with(['.', '?', ':']) && !said.contains("{cite}") {
                return Err(loaded.refuse("«says» is no sentence: no mark at its end".into()));
            }
        }
        Ok(Self { files })
    }

    /// The file of that name: `statement/NAME`.
    #[must_use]
    pub fn get(&self, name: &str) -> Option<&Loaded<StatementFile>> {
        self.files
            .iter()
            .find(|f| f.id.strip_prefix("statement/") == Some(name))
    }

    /// The files that set a term of this.
    pub fn terms(&self, of: TermOf) -> impl Iterator<Item = (&Loaded<StatementFile>, &Term)> {
        self.files
            .iter()
            .filter_map(move |f| f.file.term.as_ref().filter(|t| t.of == of).map(|t| (f, t)))
    }

    /// The sentence of that name, its blanks filled, with its sources. A name that no file has
    /// gives the name itself; a test keeps that from happening.
    #[must_use]
    pub fn say(&self, name: &str, blanks: &[(&str, &str)]) -> String {
        let Some(loaded) = self.get(name) else {
            return format!("«{name}»");
        };
        let mut said = loaded.file.says.trim().to_owned();
        for (blank, words) in blanks {
            said = said.replace(&format!("{{{blank}}}"), words);
        }
        let cite = cited(&loaded.file.source);
        if said.contains("{cite}") {
            return said.replace("{cite}", &cite);
        }
        let end = said.pop().unwrap_or('.');
        format!("{said} ({cite}){end}")
    }
}

/// Sources in a bracket: paragraphs of one state and grade together.
#[must_use]
pub fn cited(sources: &[Reference]) -> String {
    let mut groups: Vec<(Vec<String>, &Reference)> = Vec::new();
    for source in sources {
        let title = place(&source.title);
        match groups
            .iter_mut()
            .find(|(_, s)| s.locator == source.locator && s.grade == source.grade)
        {
            Some((titles, _)) if titles.contains(&title) => {}
            Some((titles, _)) => titles.push(title),
            None => groups.push((vec![title], source)),
        }
    }
    groups
        .iter()
        .map(|(titles, source)| one(titles, source))
        .collect::<Vec<_>>()
        .join("; ")
}

/// `14 CFR 21.197(a)(1)` as `§ 21.197(a)(1)`, everything else as it stands.
fn place(title: &str) -> String {
    match title.strip_prefix("14 CFR ") {
        Some(section) if section.starts_with(|c: char| c.is_ascii_digit()) => {
            format!("§ {section}")
        }
        Some(part) => part.to_owned(),
        None => title.to_owned(),
    }
}

fn one(titles: &[String], source: &Reference) -> String {
    let sections = titles.iter().all(|t| t.starts_with("§ "));
    let titles = if sections && titles.len() > 1 {
        let bare: Vec<&str> = titles.iter().filter_map(|t| t.strip_prefix("§ ")).collect();
        format!("§§ {}", bare.join(", "))
    } else {
        titles.join(", ")
    };
    let locator = match source.locator.trim() {
        "" => String::new(),
        words => format!(", {words}"),
    };
    match source.grade.as_str() {
        "P" => "common practice, no source".to_owned(),
        grade => format!("{titles}{locator}, grade {grade}"),
    }
}
