//! What several commands do first: read the files, understand the letter, answer the question.

use std::mem::ManuallyDrop;
use std::sync::Arc;

use crate::Case;
use crate::answer::Answered;
use crate::model::{Age, Comparison, Letter, Question, Text};
use crate::patterns::Patterns;
use crate::read::Limits;
use crate::report::{Report, html, mixed};

use super::shared::{LetterFiles, Shared};

/// A letter that was read, with the knowledge it was read with.
pub(super) struct Read {
    /// Never taken apart: the program ends where they are no longer needed.
    pub(super) patterns: ManuallyDrop<Arc<Patterns>>,
    pub(super) text: Text,
    pub(super) letter: Letter,
    same_aircraft: bool,
}

/// Reads the files as one letter.
pub(super) fn read(shared: &Shared, files: &LetterFiles) -> anyhow::Result<Read> {
    if files.each {
        anyhow::bail!("--each is for `whomay read` and `whomay who`; hand in one letter here");
    }
    let mut all = read_each(shared, files, false)?;
    all.pop()
        .ok_or_else(|| anyhow::anyhow!("nothing was read; name the files of the letter"))
}

/// Reads the files: as one letter, or each letter apart where that is wanted. With the pictures of
/// scanned pages where they are wanted.
pub(super) fn read_each(
    shared: &Shared,
    files: &LetterFiles,
    pictures: bool,
) -> anyhow::Result<Vec<Read>> {
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
    let patterns = Arc::new(patterns?);
    let text = text.unwrap_or_else(|panic| std::panic::resume_unwind(panic))?;
    let case = Case::of(text, &patterns);
    let cases = if files.each {
        case.each(&patterns)
    } else {
        if let Some(found) = &case.letter.mixed
            && !files.same_aircraft
        {
            anyhow::bail!(
                "{} Say --each for one report a letter, or --same-aircraft where they are of one \
                 aircraft after all",
                mixed::stop(&case.text, &case.letter, found)
            );
        }
        vec![case]
    };
    Ok(cases
        .into_iter()
        .map(|case| Read {
            patterns: ManuallyDrop::new(Arc::clone(&patterns)),
            text: case.text,
            letter: case.letter,
            same_aircraft: files.same_aircraft,
        })
        .collect())
}

/// The text of files, with the slips of OCR corrected.
pub(super) fn text(shared: &Shared, files: &[String], patterns: &Patterns) -> anyhow::Result<Text> {
    let text = crate::read(files, &shared.limits())?;
    Ok(crate::read::correct(text, patterns))
}

impl Read {
    /// Answers the question.
    pub(super) fn answer(&self, mut question: Question) -> Answered {
        question.same_aircraft |= self.same_aircraft;
        crate::answer::answered(&self.letter, question, &self.patterns)
    }

    /// The letter beside the reference wordings.
    pub(super) fn compare(&self) -> (Comparison, Age) {
        let (letter, text, patterns) = (&self.letter, &self.text, &self.patterns);
        (
            crate::compare::compare(letter, text, patterns),
            crate::compare::age(letter, text, patterns),
        )
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

/// Several reports as one result: a list in JSON, one behind the other with headings elsewhere.
pub(super) fn together(
    shared: &Shared,
    reads: &[Read],
    results: Vec<String>,
) -> anyhow::Result<String> {
    use super::values::Format;
    if results.len() == 1 {
        return Ok(results.into_iter().next().unwrap_or_default());
    }
    Ok(match shared.format {
        Format::Json => {
            let parts: Vec<&str> = results.iter().map(|r| r.trim_end()).collect();
            format!("[\n{}\n]\n", parts.join(",\n"))
        }
        Format::Html => anyhow::bail!(
            "a page holds one letter; hand them in one by one, or take another --format"
        ),
        _ => {
            let mut out = String::new();
            for (n, (read, result)) in reads.iter().zip(&results).enumerate() {
                if n > 0 {
                    out.push('\n');
                }
                let heading = mixed::heading(n + 1, results.len(), &read.text);
                out.push_str(&format!("--- {heading} ---\n\n{result}"));
            }
            out
        }
    })
}
