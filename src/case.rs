//! One call for every front end: what was read, understood, with every finding, before anything is
//! answered.

use crate::answer::{self, Answered};
use crate::compare::Flaws;
use crate::model::{Age, Comparison, Defect, Letter, Question, Text};
use crate::patterns::Patterns;
use crate::threads::cores;
use crate::understand::understand_on;

/// A letter that was read and understood. Its findings are complete: those of the words, those of
/// the papers and those that only the reference wordings show.
#[derive(Clone, Debug)]
pub struct Case {
    /// What was read, with plain slips of OCR corrected.
    pub text: Text,
    /// What its words say.
    pub letter: Letter,
}

impl Case {
    /// Understands a text that was read, as it comes from the reader.
    #[must_use]
    pub fn of(read: Text, patterns: &Patterns) -> Self {
        Self::of_corrected(crate::read::correct(read, patterns), patterns)
    }

    /// Understands a text whose slips are corrected, or in which a person said what a word is.
    #[must_use]
    pub fn of_corrected(text: Text, patterns: &Patterns) -> Self {
        std::thread::scope(|scope| {
            // Where no thread is to be had, they are made ready when they are asked for.
            let ready = || crate::compare::make_ready(patterns);
            let _ = std::thread::Builder::new().spawn_scoped(scope, ready);
            let letter = understand_on(cores(), &text, patterns);
            Self::with(text, letter, |letter, text| {
                crate::compare::findings(letter, text, patterns)
            })
        })
    }

    /// The same for one of many letters, with the reference wordings made ready.
    #[must_use]
    pub fn of_many(read: Text, flaws: &Flaws<'_>, patterns: &Patterns) -> Self {
        let text = crate::read::correct(read, patterns);
        let letter = understand_on(1, &text, patterns);
        Self::with(text, letter, |letter, text| flaws.of(letter, text))
    }

    fn with(
        text: Text,
        mut letter: Letter,
        flaws: impl FnOnce(&Letter, &Text) -> Vec<Defect>,
    ) -> Self {
        if letter.paper.is_limitations() {
            let found = flaws(&letter, &text);
            letter.findings.extend(found);
        }
        Self { text, letter }
    }

    /// The papers of each aircraft apart, where those of several were handed in as one letter;
    /// else the case itself.
    #[must_use]
    pub fn each(self, patterns: &Patterns) -> Vec<Self> {
        match &self.letter.mixed {
            None => vec![self],
            Some(mixed) => mixed
                .letters
                .iter()
                .map(|spans| Self::of_corrected(self.text.part(spans), patterns))
                .collect(),
        }
    }

    /// Answers a question.
    #[must_use]
    pub fn answer(&self, question: Question, patterns: &Patterns) -> Answered {
        answer::answered(&self.letter, question, patterns)
    }

    /// The letter beside the reference wordings, and where its wording comes from.
    #[must_use]
    pub fn compare(&self, patterns: &Patterns) -> (Comparison, Age) {
        (
            crate::compare::compare(&self.letter, &self.text, patterns),
            crate::compare::age(&self.letter, &self.text, patterns),
        )
    }
}
