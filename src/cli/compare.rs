//! `whomay compare`.

use std::process::ExitCode;

use anyhow::{Context, bail};

use super::args::{LetterFiles, Shared};
use super::facts::Facts;
use super::letter;
use super::values::Format;
use crate::model::Question;
use crate::report::{View, claim, clean, compare, html, json, letters};

/// What the letter is held against.
pub(super) struct Against<'a> {
    /// Another letter.
    pub(super) other: Option<&'a str>,
    /// What somebody says about it.
    pub(super) claim: Option<&'a str>,
    /// One wording or series of those held.
    pub(super) wording: Option<&'a str>,
    /// The texts side by side.
    pub(super) side_by_side: bool,
    /// What only the user knows.
    pub(super) facts: &'a Facts,
}

/// Holds a letter against the standard wordings, another letter, or a claim.
pub(super) fn run(shared: &Shared, file: &str, against: &Against<'_>) -> anyhow::Result<ExitCode> {
    let formats = [
        Format::Terminal,
        Format::Json,
        Format::Markdown,
        Format::Html,
    ];
    shared.only("compare", &formats)?;
    let one = |file: &str| LetterFiles {
        files: vec![file.to_owned()],
    };
    if against.other == Some("-") && file == "-" {
        bail!("two letters cannot both come from standard input; name one file");
    }
    if let Some(other) = against.other {
        shared.guard(&[other])?;
    }
    let mut read = letter::read(shared, &one(file))?;
    let result = if let Some(words) = against.claim {
        let statements = crate::compare::claim(&read.letter, &read.text, words, &read.patterns);
        let view = View::new(&read.text, &read.letter);
        match shared.format {
            Format::Terminal => claim::terminal(view, &statements, shared.columns()),
            Format::Json => claim::json(view, &statements),
            Format::Markdown | Format::Csv => claim::markdown(view, &statements),
            Format::Html => html::claim(view, &statements),
        }
    } else if let Some(other) = against.other {
        let text = crate::read(&[other.to_owned()], &shared.limits())?;
        let text = crate::read::mend(text, &read.patterns);
        let letter = crate::understand(&text, &read.patterns);
        let compared =
            crate::compare::letters((&read.letter, &read.text), (&letter, &text), &read.patterns);
        let question = against.facts.question();
        let was = crate::answer(&read.letter, &question, &read.patterns);
        let is = crate::answer(&letter, &question, &read.patterns);
        let both = letters::Letters {
            old: View::new(&read.text, &read.letter),
            new: View::new(&text, &letter),
            comparison: &compared,
            question: &question,
            answers: (&was, &is),
        };
        match shared.format {
            Format::Terminal => letters::terminal(&both, shared.columns(), against.side_by_side),
            Format::Json => letters::json(&both),
            Format::Markdown | Format::Csv => letters::markdown(&both),
            Format::Html => html::letters(&both, against.side_by_side),
        }
    } else {
        if read.letter.basis.value.is_none() {
            // Only wordings of the letter's own basis are compared with.
            read.letter.basis.value = against.facts.basis;
        }
        let mut compared = read.compare();
        if let Some(name) = against.wording {
            compared.0 = crate::compare::with_wording(
                &read.letter,
                &read.text,
                name,
                &read.patterns,
            )
            .with_context(|| {
                format!(
                    "{}: no wording or series that is held has this name; `whomay wordings` \
                         lists them",
                    clean::line(name)
                )
            })?;
        }
        let answered = letter::Answered {
            question: Question::on(jiff::civil::Date::ZERO),
            answers: Vec::new(),
            notes: Vec::new(),
        };
        let report = read.report(&answered, Some(&compared));
        match shared.format {
            Format::Terminal => compare::terminal(&report, shared.columns(), against.side_by_side),
            Format::Json => json::comparison(&report),
            Format::Markdown | Format::Csv => compare::markdown(&report),
            Format::Html => html::wordings(&report, against.side_by_side),
        }
    };
    shared.write(&result)?;
    Ok(ExitCode::SUCCESS)
}
