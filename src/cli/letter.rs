//! What several commands do first: read the files, understand the letter, answer the question.

use std::mem::ManuallyDrop;
use std::path::Path;
use std::sync::Arc;

use crate::Case;
use crate::answer::Answered;
use crate::model::{Age, Comparison, Letter, Question, Text};
use crate::patterns::Patterns;
use crate::read::Limits;
use crate::report::{Report, clean, html, mixed};

use super::output::{can_be_made, to_file};
use super::shared::{LetterFiles, Shared};
use super::values::Format;

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
    if !shared.is_folder() {
        shared.guard(&files.files)?;
    }
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
pub(super) fn text(
    shared: &Shared,
    files: &[impl AsRef<Path>],
    patterns: &Patterns,
) -> anyhow::Result<Text> {
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

/// Writes the reports. Several pages or memos go into a folder, a file each; else several are one
/// result: a list in JSON, one behind the other with headings in text.
pub(super) fn hand_over(
    shared: &Shared,
    files: &LetterFiles,
    reads: &[Read],
    mut results: Vec<Vec<u8>>,
    what: &str,
) -> anyhow::Result<()> {
    if matches!(shared.format, Format::Html | Format::Docx)
        && (results.len() > 1 || shared.is_folder())
    {
        return into_folder(shared, files, reads, &results, what);
    }
    if results.len() == 1 {
        let result = results.pop().unwrap_or_default();
        return if shared.format == Format::Docx {
            shared.write_file(&result)
        } else {
            shared.write(&String::from_utf8(result)?)
        };
    }
    let results = results.into_iter().map(String::from_utf8);
    let results: Vec<String> = results.collect::<Result<_, _>>()?;
    let result = if shared.format == Format::Json {
        let parts: Vec<&str> = results.iter().map(|r| r.trim_end()).collect();
        format!("[\n{}\n]\n", parts.join(",\n"))
    } else {
        let mut out = String::new();
        for (n, (read, result)) in reads.iter().zip(&results).enumerate() {
            if n > 0 {
                out.push('\n');
            }
            let heading = mixed::heading(n + 1, results.len(), &read.text);
            out.push_str(&format!("--- {heading} ---\n\n{result}"));
        }
        out
    };
    shared.write(&result)
}

/// A file for each letter, by the name of the file that it comes from: `N0WHO-memo.docx`.
fn into_folder(
    shared: &Shared,
    files: &LetterFiles,
    reads: &[Read],
    results: &[Vec<u8>],
    what: &str,
) -> anyhow::Result<()> {
    let Some(folder) = shared.output.as_deref().filter(|_| shared.is_folder()) else {
        anyhow::bail!(
            "{} letters become as many files; make a folder for them, and name it with -o FOLDER",
            results.len()
        );
    };
    let mut taken: Vec<String> = Vec::new();
    let mut made = Vec::new();
    for (read, result) in reads.iter().zip(results) {
        let source = read.text.sources.first();
        let stem = source
            .and_then(|s| Path::new(&s.name).file_stem())
            .map_or_else(String::new, |s| s.to_string_lossy().into_owned());
        let stem = if stem.is_empty() || stem == "-" {
            "letter".to_owned()
        } else {
            stem
        };
        let mut name = format!("{stem}-{what}");
        let mut n = 1;
        while taken.contains(&name) {
            n += 1;
            name = format!("{stem}-{n}-{what}");
        }
        taken.push(name.clone());
        let path = folder.join(format!("{name}.{}", shared.format.name()));
        // All or nothing: what cannot be written is told before the first file is.
        can_be_made(&path, shared.force)?;
        if let Ok(real) = path.canonicalize()
            && files
                .files
                .iter()
                .any(|f| f.canonicalize().is_ok_and(|f| f == real))
        {
            anyhow::bail!(
                "{}: is one of the files to be read; name another folder",
                clean::path(&path)
            );
        }
        made.push((path, result));
    }
    for (path, result) in made {
        to_file(&path, shared.force, |out| Ok(out.write_all(result)?))?;
        shared.tell(&format!("wrote {}", clean::path(&path)));
    }
    Ok(())
}
