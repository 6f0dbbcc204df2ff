//! `whomay read`.

use std::process::ExitCode;

use super::args::{LetterFiles, Shared};
use super::facts::Facts;
use super::letter;
use super::values::Format;
use crate::report::{json, markdown, terminal};

/// The whole report.
pub(super) fn run(
    shared: &Shared,
    files: &LetterFiles,
    facts: &Facts,
    short: bool,
) -> anyhow::Result<ExitCode> {
    let read = letter::read(shared, files)?;
    let answered = read.answer(facts.question());
    let compared = read.compare();
    let report = read.report(&answered, Some(&compared));
    let result = match shared.format {
        Format::Terminal => terminal::whole(&report, shared.columns()),
        Format::Json => json::report(&report),
        Format::Markdown if short => markdown::short(&report),
        Format::Markdown => markdown::long(&report),
    };
    shared.write(&result)?;
    Ok(ExitCode::SUCCESS)
}
