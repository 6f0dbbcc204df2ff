//! `whomay entry`.

use std::path::Path;
use std::process::ExitCode;

use super::facts::Facts;
use super::letter;
use super::shared::{LetterFiles, Shared};
use super::values::Format;
use crate::report::{entry, entry_paper};

/// Holds a log entry against the letter.
pub(super) fn run(
    shared: &Shared,
    files: &LetterFiles,
    entry_file: &Path,
    facts: &Facts,
) -> anyhow::Result<ExitCode> {
    shared.only("entry", &Format::REPORT)?;
    if entry_file == Path::new("-") && files.holds_stdin() {
        anyhow::bail!("letter and entry cannot both come from standard input; name one file");
    }
    shared.guard(&[entry_file])?;
    let read = letter::read(shared, files)?;
    let words = letter::text(shared, &[entry_file], &read.patterns)?;
    let question = facts.question();
    let found = crate::answer::entry(
        &read.letter,
        &read.text.content,
        &words.content,
        &question,
        &read.patterns,
    );
    let answered = found.answered(question);
    let report = read.report(&answered, None);
    let result = match shared.format {
        Format::Json => entry::json(&found, &report),
        Format::Markdown => entry_paper::paper(&found, &report).markdown(),
        Format::Html => entry_paper::paper(&found, &report).html(),
        _ => entry::terminal(&found, &report, shared.columns()),
    };
    shared.write(&result)?;
    Ok(ExitCode::SUCCESS)
}
