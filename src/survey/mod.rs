//! Many letters: one row each, and a summary.
//!
//! ```text
//! paths ─find─▶ entries ─run (all cores)─▶ rows, in order ─┬─journal──▶ goes on after a break
//!                                                          └─summary─▶ counts, new wordings
//! ```
//!
//! A row is redacted where it is made, so that nothing behind it can leak what was left out.

mod cache;
pub mod csv;
mod find;
pub mod html;
mod journal;
pub mod jsonl;
mod plain;
pub(crate) mod private;
mod redact;
mod row;
mod run;
mod summary;
pub mod table;
mod wordings;

use std::collections::HashMap;
use std::hash::BuildHasherDefault;
use std::sync::{Mutex, PoisonError};

use rustc_hash::FxHasher;

use crate::Case;
use crate::compare::{Flaws, References, Within};
use crate::document::tree::subtree;
use crate::model::{Basis, Form, InspectorRule, Letter, Question, Span, Text};
use crate::patterns::Patterns;
use crate::read::{Limits, ReadError};

pub use cache::Cache;
pub use find::{At, Entry, find};
pub use journal::{Fingerprint, Journal, JournalError};
pub use redact::{Identity, LEFT_OUT, Redaction};
pub use row::{Amendment, Row, RowAnswer, RowClause, Standing};
pub use summary::{ByStanding, KindCounts, NO_YEAR, Summary, UNKNOWN};
pub use wordings::{Cluster, Clusters};

use find::Opened;

/// What a survey is told.
#[derive(Clone, Debug)]
pub struct Options {
    /// The question that is put to every letter.
    pub question: Question,
    /// Keep marks, numbers, names and addresses.
    pub identify: bool,
    /// Numbers in the place of file names.
    pub anonymous: bool,
    /// Threads that read.
    pub threads: usize,
    /// Limits of one letter.
    pub limits: Limits,
}

/// A survey with all that is worked out once for all letters.
#[derive(Debug)]
pub struct Survey<'p> {
    patterns: &'p Patterns,
    question: Question,
    wanted: Option<crate::model::Kind>,
    identify: bool,
    anonymous: bool,
    threads: usize,
    limits: Limits,
    cache: Option<Cache>,
    redaction: Redaction,
    flaws: Flaws<'p>,
    references: References<'p>,
    /// Clauses that were held against the references, by their words.
    seen: Mutex<Seen>,
}

type Seen = HashMap<String, (Option<String>, Option<String>), BuildHasherDefault<FxHasher>>;

/// Clauses that are remembered; letters repeat their clauses.
const MOST_SEEN: usize = 4096;

impl<'p> Survey<'p> {
    /// Makes a survey ready.
    #[must_use]
    pub fn new(options: Options, cache: Option<Cache>, patterns: &'p Patterns) -> Self {
        let mut question = options.question;
        Self {
            patterns,
            wanted: question.holder.take(),
            question,
            identify: options.identify,
            anonymous: options.anonymous,
            threads: options.threads,
            limits: options.limits,
            cache,
            redaction: Redaction::new(patterns),
            flaws: Flaws::new(patterns),
            references: References::new(Within::AnyBasis, patterns),
            seen: Mutex::default(),
        }
    }

    /// Whether marks, numbers, names and addresses are kept.
    #[must_use]
    pub const fn identifies(&self) -> bool {
        self.identify
    }

    /// Reads the letters from number `from` on and hands each row to `each`, in order.
    ///
    /// # Errors
    /// The first error of `each`; then no further letter is read.
    pub fn run<E: Send>(
        &self,
        entries: &[Entry],
        from: usize,
        each: impl FnMut(Row) -> Result<(), E>,
    ) -> Result<(), E> {
        run::run(self, entries, from, each)
    }

    /// The name of a letter as its row has it.
    fn name(&self, n: usize, entry: &Entry, identity: &Identity) -> String {
        if self.anonymous {
            format!("letter {}", run::number(n))
        } else if self.identify {
            entry.name.clone()
        } else {
            self.redaction.file_name(&entry.name, identity)
        }
    }

    /// The row of a letter.
    fn row(&self, n: usize, entry: &Entry, opened: &mut Opened) -> Row {
        match self.read(entry, opened) {
            Ok(text) => self.of(n, entry, text),
            Err(why) => {
                let name = self.name(n, entry, &Identity::default());
                Row::unreadable(run::number(n), name, why)
            }
        }
    }

    fn read(&self, entry: &Entry, opened: &mut Opened) -> Result<Text, String> {
        let why = |error: ReadError| error.message;
        let bytes = match (&entry.at, &self.cache) {
            (At::Nowhere(why), _) => return Err(why.clone()),
            (At::Archive { archive, index }, _) => {
                opened.member(archive, *index, self.limits.bytes)?
            }
            (At::File(path), _) => {
                crate::read::bytes_at(path, &entry.name, &self.limits).map_err(why)?
            }
            (At::Held(bytes), _) => bytes.to_vec(),
        };
        let Some(cache) = &self.cache else {
            return crate::read::read_bytes(&entry.name, bytes, &self.limits).map_err(why);
        };
        let sha256 = crate::read::digest(&bytes);
        if let Some(text) = cache.get(&entry.name, &sha256) {
            return Ok(text);
        }
        let text = crate::read::read_bytes(&entry.name, bytes, &self.limits).map_err(why)?;
        cache.keep(&text);
        Ok(text)
    }

    fn of(&self, n: usize, entry: &Entry, text: Text) -> Row {
        let case = Case::of_many(text, &self.flaws, self.patterns);
        let (letter, text) = (case.letter, &case.text);
        let answers = crate::answer(&letter, &self.question, self.patterns);
        let age = crate::compare::age(&letter, text, self.patterns);
        let rules = row::deciding(&letter, self.question.inspection);
        let form = row::standing(&letter, &rules, &answers);
        let limitations = letter.paper.is_limitations();
        let rules = if limitations { rules } else { Vec::new() };
        let identity = self.redaction.identity(&letter, text);
        Row {
            row: run::number(n),
            file: self.name(n, entry, &identity),
            error: None,
            pages: Some(text.pages()),
            read_as: text.sources.first().map(|s| s.read_as.name().to_owned()),
            paper: Some(letter.paper.name().to_owned()),
            basis: letter.basis.value.or(self.question.basis).map(Basis::name),
            year: letter.issued.value.map(|day| day.year()),
            wording: age.best.filter(|_| limitations),
            form,
            named: row::kinds(&rules, |r| &r.named),
            excluded: row::kinds(&rules, |r| &r.excluded),
            who: self.clause(&letter, text, &rules, &identity),
            answers: answers
                .iter()
                .filter(|a| self.wanted.is_none_or(|k| k == a.holder))
                .map(row::answer)
                .collect(),
            defects: defects(&letter),
            doubt: doubt(&letter, text, &rules),
        }
    }

    /// The words that say who may inspect, and the reference that they follow.
    fn clause(
        &self,
        letter: &Letter,
        text: &Text,
        rules: &[&InspectorRule],
        identity: &Identity,
    ) -> Option<RowClause> {
        let mut clauses: Vec<usize> = rules
            .iter()
            .filter(|r| r.form != Form::None || !r.excluded.is_empty())
            .map(|r| r.clause)
            .collect();
        clauses.sort_unstable();
        clauses.dedup();
        let passages = passages(letter, text, &clauses);
        // Several clauses follow the references only if each of them does.
        let found: Vec<_> = passages.iter().map(|p| self.reference(p)).collect();
        let (reference, near) = found
            .iter()
            .find(|(reference, _)| reference.is_none())
            .or(found.first())?
            .clone();
        let words = passages.join(" … ");
        let shown: String = words.chars().take(MOST_WORDS).collect();
        let shown = if self.identify {
            shown
        } else {
            self.redaction.words(&shown, identity)
        };
        Some(RowClause {
            ids: clauses
                .iter()
                .filter_map(|c| letter.clauses.get(*c))
                .map(|c| c.id.clone())
                .collect(),
            words: shown,
            reference,
            near,
        })
    }

    /// The reference wording that a clause follows, or the nearest one that it does not follow. It
    /// follows one where no difference matters.
    fn reference(&self, words: &str) -> (Option<String>, Option<String>) {
        let seen = || self.seen.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(found) = seen().get(words) {
            return found.clone();
        }
        let near = self.references.nearest(words);
        let mut found = (None, near.first().map(|(w, _)| w.id.clone()));
        for (wording, _) in near.iter().filter(|(_, s)| *s >= FOLLOWS).take(2) {
            if !self.references.departs(&wording.file, words, self.patterns) {
                found = (Some(wording.id.clone()), None);
                break;
            }
        }
        let mut seen = seen();
        if seen.len() < MOST_SEEN {
            seen.insert(words.to_owned(), found.clone());
        }
        found
    }
}

/// The words of clauses with all that stands below them, each once.
fn passages(letter: &Letter, text: &Text, clauses: &[usize]) -> Vec<String> {
    let mut out = Vec::new();
    // What stands below a clause follows it; up to here it has been taken.
    let mut taken = 0;
    for &at in clauses.iter().filter(|at| **at < letter.clauses.len()) {
        if at < taken {
            continue;
        }
        if out.len() == MOST_PASSAGES {
            break;
        }
        taken = subtree(&letter.clauses, at).end;
        let Some(below) = letter.clauses.get(at..taken) else {
            continue;
        };
        let start = below.first().map_or(0, |c| c.body.start);
        let end = below.iter().map(|c| c.body.end).max().unwrap_or(start);
        let words = Span::new(start, end).of(&text.content).split_whitespace();
        out.push(words.collect::<Vec<_>>().join(" "));
    }
    out
}

/// Clauses that a row shows.
const MOST_PASSAGES: usize = 6;

/// Characters of a clause that a row shows.
const MOST_WORDS: usize = 1200;

/// A clause that follows a wording has at least so much of it.
const FOLLOWS: f64 = 0.8;

/// Kinds of defects, each once, in their order.
fn defects(letter: &Letter) -> Vec<String> {
    let mut kinds: Vec<_> = letter
        .findings
        .iter()
        .map(crate::model::Defect::kind)
        .collect();
    kinds.sort_unstable();
    kinds.dedup();
    kinds.into_iter().map(|k| k.name().to_owned()).collect()
}

/// What is doubtful about the reading, by stable names only: a message could quote the letter.
fn doubt(letter: &Letter, text: &Text, rules: &[&InspectorRule]) -> Vec<String> {
    let mut out: Vec<String> = letter.notes.iter().map(|n| n.id().to_owned()).collect();
    if letter.mixed.is_some() {
        out.push("several-aircraft".to_owned());
    }
    if !text.doubts.is_empty() {
        out.push("doubtful-words".to_owned());
    }
    if rules.iter().any(|r| r.doubt.is_some()) {
        out.push("deciding-words".to_owned());
    }
    out.sort();
    out.dedup();
    out
}
