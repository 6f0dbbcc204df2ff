//! What several commands do first: read the files, understand the letter, answer the question.

use std::mem::ManuallyDrop;

use crate::answer::Answered;
use crate::model::{Age, Comparison, Letter, Question, Text};
use crate::patterns::Patterns;
use crate::read::Limits;
use crate::report::{Report, html};

use super::args::{LetterFiles, Shared};

/// A letter that was read, with the knowledge it was read with.
pub(super) struct Read {
    /// Never taken apart: the program ends where they are no longer needed.
    pub(super) patterns: ManuallyDrop<Patterns>,
    pub(super) text: Text,
    pub(super) letter: Letter,
}

/// Reads the files as one letter.
pub(super) fn read(shared: &Shared, files: &LetterFiles) -> anyhow::Result<Read> {
    read_with(shared, files, false)
}

/// Reads the files as one letter, with the pictures of its scanned pages where they are wanted.
pub(super) fn read_with(
    shared: &Shared,
    files: &LetterFiles,
    pictures: bool,
) -> anyhow::Result<Read> {
    shared.guard(&files.files)?;
    // Reading waits for a worker process most of the time; the patterns load meanwhile.
    let limits = Limits {
        // only a page shows them
        pictures: if pictures { html::COLUMNS } else { 0 },
        ..shared.limits()
    };
    let (text, patterns) = std::thread::scope(|scope| {
        let reading = scope.spawn(|| crate::read(&files.files, &limits));
        let patterns = shared.load();
        (reading.join(), patterns)
    });
    let patterns = patterns?;
    let text = text.unwrap_or_else(|panic| std::panic::resume_unwind(panic))?;
    let text = crate::read::mend(text, &patterns);
    let letter = crate::understand(&text, &patterns);
    Ok(Read {
        patterns: ManuallyDrop::new(patterns),
        text,
        letter,
    })
}

/// The text of files, with the slips of OCR mended.
pub(super) fn text(shared: &Shared, files: &[String], patterns: &Patterns) -> anyhow::Result<Text> {
    let text = crate::read(files, &shared.limits())?;
    Ok(crate::read::mend(text, patterns))
}

impl Read {
    /// Answers the question.
    pub(super) fn answer(&self, question: Question) -> Answered {
        crate::answer::answered(&self.letter, question, &self.patterns)
    }

    /// The letter beside the reference wordings; flaws that only they show are added to its
    /// condition.
    pub(super) fn compare(&mut self) -> (Comparison, Age) {
        let (letter, text, patterns) = (&self.letter, &self.text, &self.patterns);
        let (flaws, comparison, age) = std::thread::scope(|scope| {
            let flaws = scope.spawn(|| crate::compare::condition(letter, text, patterns));
            let comparison = crate::compare::compare(letter, text, patterns);
            let age = crate::compare::age(letter, text, patterns);
            let flaws = flaws
                .join()
                .unwrap_or_else(|panic| std::panic::resume_unwind(panic));
            (flaws, comparison, age)
        });
        self.letter.condition.extend(flaws);
        (comparison, age)
    }

    /// The bundle that a format renders.
    pub(super) fn report<'a>(
        &'a self,
        answered: &'a Answered,
        compared: Option<&'a (Comparison, Age)>,
    ) -> Report<'a> {
        Report {
            text: &self.text,
            letter: &self.letter,
            question: &answered.question,
            answers: &answered.answers,
            notes: &answered.notes,
            comparison: compared.map(|c| &c.0),
            age: compared.map(|c| &c.1),
            patterns: &self.patterns,
        }
    }
}
