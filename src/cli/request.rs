//! `whomay request`.

use std::process::ExitCode;

use super::facts::Facts;
use super::letter;
use super::shared::{LetterFiles, Shared};
use super::values::Format;
use crate::report::request;

/// Drafts a request for amended limitations.
pub(super) fn run(shared: &Shared, files: &LetterFiles, facts: &Facts) -> anyhow::Result<ExitCode> {
    let mut formats = Format::REPORT.to_vec();
    formats.push(Format::Docx);
    shared.only("request", &formats)?;
    shared.for_a_file()?;
    let read = letter::read(shared, files)?;
    let answered = read.answer(facts.question());
    let draft = crate::answer::request(
        &read.letter,
        &read.text.content,
        &answered.question,
        &answered.answers,
        &read.patterns,
    );
    if shared.format == Format::Docx {
        shared.write_file(&request::docx(&draft)?)?;
        return Ok(ExitCode::SUCCESS);
    }
    let result = match shared.format {
        Format::Json => request::json(&draft),
        Format::Markdown => request::markdown(&draft),
        Format::Html => request::html(&draft),
        _ => request::terminal(&draft, shared.columns()),
    };
    shared.write(&result)?;
    Ok(ExitCode::SUCCESS)
}
