//! Rendering: one file per format, all from one [`Report`]. JSON has types of its own, apart from
//! the model.

mod age;
pub mod asked;
pub mod blocks;
pub mod catalog;
pub mod caution;
pub mod claim;
mod clauses;
pub mod clean;
pub mod compare;
pub mod days;
mod diff;
pub mod docx;
mod drawing;
pub mod due;
pub mod entry;
pub mod entry_paper;
mod escape;
pub mod explain;
pub mod findings;
pub mod first;
mod gaps;
pub mod html;
pub mod json;
pub mod letters;
pub mod markdown;
pub mod memo;
pub mod mixed;
pub mod order;
pub mod paper;
pub mod passages;
#[cfg(feature = "ocr")]
mod pdf;
#[cfg(feature = "ocr")]
pub mod png;
mod readings;
pub mod replaced;
pub mod request;
pub mod sheet;
pub mod short;
pub mod show;
pub mod situations;
mod steps;
pub mod terminal;
pub mod view;
mod why;
pub mod words;
pub mod year;

use crate::model::{Age, Answer, CategoryClass, Comparison, Defect, Letter, Note, Question, Text};
use crate::patterns::{Patterns, Reference};

pub use view::{Evidence, View};

/// Everything that a report speaks of, borrowed from the stages that made it.
#[derive(Clone, Copy, Debug)]
pub struct Report<'a> {
    /// What was read.
    pub text: &'a Text,
    /// What its words say.
    pub letter: &'a Letter,
    /// What was asked.
    pub question: &'a Question,
    /// The answers, in the order of the kinds.
    pub answers: &'a [Answer],
    /// What the reader has to be told about the letter and about the facts of the question.
    pub notes: &'a [Note],
    /// The letter held against reference wordings; `None` where that was not asked for.
    pub comparison: Option<&'a Comparison>,
    /// Where the wording comes from; `None` where that was not asked for.
    pub age: Option<&'a Age>,
    /// The knowledge behind it all.
    pub patterns: &'a Patterns,
}

pub use caution::GENERAL as CAUTION;

impl<'a> Report<'a> {
    /// Spans into places and words.
    #[must_use]
    pub const fn view(&self) -> View<'a> {
        View::new(self.text, self.letter)
    }

    /// A flaw of the letter as a sentence; see [`findings::defect`].
    #[must_use]
    pub fn defect(&self, flaw: &Defect) -> String {
        findings::defect(&self.view(), self.patterns, flaw)
    }

    /// A note to the report as sentences; see [`findings::note`].
    #[must_use]
    pub fn note(&self, note: &Note) -> String {
        findings::note(self.patterns, note)
    }

    /// What is noted to the rule's answer, as sentences.
    #[must_use]
    pub fn rule_notes(&self, answer: &Answer) -> Vec<String> {
        findings::rule_notes(self.patterns, &answer.rule)
    }

    /// What is noted to the letter's answer, as sentences.
    #[must_use]
    pub fn letter_notes(&self, answer: &Answer) -> Vec<String> {
        findings::key_notes(&self.view(), self.patterns, &answer.letter)
    }

    /// What the aircraft is, as far as it is known.
    #[must_use]
    pub fn aircraft(&self) -> Option<&'a CategoryClass> {
        self.question
            .aircraft
            .as_ref()
            .or(self.letter.aircraft.value.as_ref())
    }

    /// What to do whoever signs; empty where one kind was asked about.
    #[must_use]
    pub fn steps(&self) -> Vec<String> {
        if self.question.holder.is_some() || !self.letter.paper.is_letter() {
            return Vec::new();
        }
        crate::answer::steps_for_letter(
            self.letter,
            &self.text.content,
            self.answers,
            self.patterns,
        )
    }

    /// What to beware of whoever signs.
    #[must_use]
    pub fn hazards(&self) -> Vec<String> {
        if self.letter.paper.is_letter() {
            crate::answer::hazards_for_letter(self.letter, self.question, self.patterns)
        } else {
            Vec::new()
        }
    }

    /// What bears on this letter and is more than general, the weightiest first; at most three.
    #[must_use]
    pub fn cautions(&self) -> Vec<String> {
        if !self.letter.paper.is_limitations() {
            return Vec::new();
        }
        let mut cautions = crate::answer::cautions(
            self.letter,
            &self.text.content,
            self.question,
            self.answers,
            self.patterns,
        );
        cautions.truncate(3);
        cautions
    }

    /// The sources behind a rule or a reading.
    #[must_use]
    pub fn sources(&self, id: &str) -> &'a [Reference] {
        let law = self.patterns.law.iter().find(|l| l.id == id);
        let reading = self.patterns.reading.iter().find(|r| r.id == id);
        law.map(|l| l.file.source.as_slice())
            .or_else(|| reading.map(|r| r.file.source.as_slice()))
            .unwrap_or_default()
    }

    /// What the answers rest on and nobody has verified: sources of grade D, M, I or P, with the
    /// id of the file that names them, each once.
    #[must_use]
    pub fn unverified(&self) -> Vec<(&'a str, &'a Reference)> {
        let mut ids: Vec<&str> = Vec::new();
        for answer in self.answers {
            let readings = answer.readings.iter().map(|r| r.id.as_str());
            for id in answer.rule.rules.iter().map(String::as_str).chain(readings) {
                if !ids.contains(&id) {
                    ids.push(id);
                }
            }
        }
        let mut found: Vec<(&str, &Reference)> = Vec::new();
        for id in ids {
            for source in self.sources(id) {
                let known = found.iter().any(|(_, s)| {
                    s.title == source.title
                        && s.grade == source.grade
                        && s.locator == source.locator
                });
                if words::unverified(&source.grade) && !known {
                    found.push((id, source));
                }
            }
        }
        found
    }
}
