//! `whomay who`.

use std::process::ExitCode;

use super::facts::Facts;
use super::shared::{LetterFiles, Shared};
use super::values::Format;
use super::{ask, letter};
use crate::model::Verdict;
use crate::report::{html, json, markdown, memo, short, terminal};

/// The formats of a memo.
const MEMO: &[Format] = &[Format::Html, Format::Docx];

/// What `who` is told beside the facts.
pub(super) struct Wishes {
    /// The answer as exit code.
    pub(super) status: bool,
    /// Ask for the deciding facts.
    pub(super) ask: bool,
    /// Short Markdown.
    pub(super) short: bool,
    /// The memo for a file.
    pub(super) memo: bool,
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
    if wishes.memo {
        shared.only("who --memo", MEMO)?;
        shared.for_a_file()?;
    } else {
        shared.only("who", &Format::REPORT)?;
    }
    if wishes.ask && files.holds_stdin() {
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
            Format::Docx => memo::docx(&report)?,
            Format::Html if wishes.memo => memo::html(&report).into_bytes(),
            Format::Markdown if wishes.short => short::markdown(&report).into_bytes(),
            _ if wishes.short => short::plain(&report).into_bytes(),
            Format::Terminal => terminal::question(&report, shared.columns()).into_bytes(),
            Format::Json => json::report(&report).into_bytes(),
            Format::Html => html::question(&report).into_bytes(),
            Format::Markdown | Format::Csv => markdown::long(&report).into_bytes(),
        });
        verdict = answered.answers.first().map(|a| a.answer);
    }
    let what = if wishes.memo { "memo" } else { "answer" };
    letter::hand_over(shared, files, &reads, results, what)?;
    Ok(match verdict {
        _ if !wishes.status => ExitCode::SUCCESS,
        Some(Verdict::Yes) => ExitCode::SUCCESS,
        Some(Verdict::No) => ExitCode::from(1),
        Some(Verdict::Disputed) => ExitCode::from(3),
        Some(Verdict::Undetermined) | None => ExitCode::from(4),
    })
}
