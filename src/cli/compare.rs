//! `whomay compare`.

use std::process::ExitCode;

use super::args::{LetterFiles, Shared};
use super::facts::Facts;
use super::letter;
use super::values::Format;
use crate::report::{compare, json};

/// Differences from the nearest standard wording.
pub(super) fn run(shared: &Shared, files: &LetterFiles, facts: &Facts) -> anyhow::Result<ExitCode> {
    shared.only("compare", &[Format::Terminal, Format::Json])?;
    let mut read = letter::read(shared, files)?;
    if read.letter.basis.value.is_none() {
        // Only wordings of the letter's own basis are compared with.
        read.letter.basis.value = facts.basis;
    }
    let compared = read.compare();
    let answered = letter::Answered {
        question: facts.question(),
        answers: Vec::new(),
        notes: Vec::new(),
    };
    let report = read.report(&answered, Some(&compared));
    let result = match shared.format {
        Format::Json => json::comparison(&report),
        _ => compare::terminal(&report, shared.columns()),
    };
    shared.write(&result)?;
    Ok(ExitCode::SUCCESS)
}
