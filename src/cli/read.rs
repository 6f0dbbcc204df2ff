//! `whomay read`.

use std::process::ExitCode;

use super::facts::Facts;
use super::letter;
use super::shared::{LetterFiles, Shared};
use super::values::Format;
use crate::report::{html, json, markdown, sheet, short, terminal};

/// The formats that have a short form; asked for with none given, it is plain text.
pub(super) const SHORT: &[Format] = &[Format::Terminal, Format::Markdown];

/// How much is told. Pages, Markdown and JSON have everything in any case.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Length {
    /// Under fifteen lines.
    Short,
    /// Each part on few lines.
    Usual,
    /// Everything word for word.
    Full,
}

impl Length {
    /// The length that the options ask for.
    pub(super) const fn of(short: bool, full: bool) -> Self {
        match (short, full) {
            (true, _) => Self::Short,
            (_, true) => Self::Full,
            _ => Self::Usual,
        }
    }
}

/// The report.
pub(super) fn run(
    shared: &Shared,
    files: &LetterFiles,
    facts: &Facts,
    length: Length,
) -> anyhow::Result<ExitCode> {
    let brief = length == Length::Short;
    match length {
        Length::Short => shared.only("read --short", SHORT)?,
        Length::Full => shared.only("read --full", &[Format::Terminal])?,
        Length::Usual => {}
    }
    shared.only("read", &Format::REPORT)?;
    let reads = letter::read_each(shared, files, shared.format == Format::Html)?;
    let mut results = Vec::new();
    for read in &reads {
        let answered = read.answer(facts.question());
        let compared = read.compare();
        let report = read.report(&answered, Some(&compared));
        results.push(match shared.format {
            Format::Markdown if brief => short::markdown(&report).into_bytes(),
            _ if brief => short::plain(&report).into_bytes(),
            Format::Terminal if length == Length::Full => {
                terminal::whole(&report, shared.columns()).into_bytes()
            }
            Format::Terminal => terminal::overview(&report, shared.columns()).into_bytes(),
            Format::Json => json::report(&report).into_bytes(),
            Format::Html => html::letter(&report, &html::pictures(&read.text)).into_bytes(),
            Format::Markdown | Format::Csv | Format::Docx => markdown::long(&report).into_bytes(),
        });
    }
    letter::hand_over(shared, files, &reads, results, "report")?;
    Ok(ExitCode::SUCCESS)
}

/// One page for the inspector.
pub(super) fn sheet(
    shared: &Shared,
    files: &LetterFiles,
    facts: &Facts,
) -> anyhow::Result<ExitCode> {
    shared.only(
        "read --sheet",
        &[Format::Terminal, Format::Markdown, Format::Html],
    )?;
    let read = letter::read(shared, files)?;
    let answered = read.answer(facts.question());
    let report = read.report(&answered, None);
    let paper = sheet::paper(&report);
    shared.write(&match shared.format {
        Format::Markdown => paper.markdown(),
        Format::Html => paper.html(),
        _ => paper.terminal(shared.columns()),
    })?;
    Ok(ExitCode::SUCCESS)
}
