//! `whomay who`.

use std::process::ExitCode;

use super::facts::Facts;
use super::shared::{LetterFiles, Shared};
use super::values::Format;
use super::{ask, letter};
use crate::model::Verdict;
use crate::report::{html, json, markdown, short, terminal};

/// What `who` is told beside the facts.
pub(super) struct Wishes {
    /// The answer as exit code.
    pub(super) status: bool,
    /// Ask for the deciding facts.
    pub(super) ask: bool,
    /// Short Markdown.
    pub(super) short: bool,
}

/// Only the question.
pub(super) fn run(
    shared: &Shared,
    files: &LetterFiles,
    facts: &Facts,
    wishes: &Wishes,
) -> anyhow::Result<ExitCode> {
    if wishes.short {
        shared.only("who --short", super::read::SHORT)?;
    }
    shared.only("who", &Format::REPORT)?;
    if wishes.ask && files.files.iter().any(|f| f == "-") {
        anyhow::bail!(
            "--ask reads your answers from standard input, so the letter cannot come from there; \
             name a file"
        );
    }
    if files.each && (wishes.ask || wishes.status) {
        anyhow::bail!("--each gives several answers; --ask and --status are for one letter");
    }
    let reads = letter::read_each(shared, files, false)?;
    let mut results = Vec::new();
    let mut verdict = None;
    for read in &reads {
        let mut question = facts.question();
        if wishes.ask {
            question = ask::ask(read, question)?;
        }
        let answered = read.answer(question);
        let compared = (shared.format == Format::Json).then(|| read.compare());
        let report = read.report(&answered, compared.as_ref());
        results.push(match shared.format {
            Format::Markdown if wishes.short => short::markdown(&report),
            _ if wishes.short => short::plain(&report),
            Format::Terminal => terminal::question(&report, shared.columns()),
            Format::Json => json::report(&report),
            Format::Html => html::question(&report),
            Format::Markdown | Format::Csv => markdown::long(&report),
        });
        verdict = answered.answers.first().map(|a| a.answer);
    }
    shared.write(&letter::together(shared, &reads, results)?)?;
    Ok(match verdict {
        _ if !wishes.status => ExitCode::SUCCESS,
        Some(Verdict::Yes) => ExitCode::SUCCESS,
        Some(Verdict::No) => ExitCode::from(1),
        Some(Verdict::Disputed) => ExitCode::from(3),
        Some(Verdict::Undetermined) | None => ExitCode::from(4),
    })
}
