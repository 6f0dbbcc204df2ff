//! `whomay compare`.

use std::process::ExitCode;

use anyhow::bail;

use super::args::{LetterFiles, Shared};
use super::letter;
use super::values::Format;
use crate::model::{Basis, Question};
use crate::report::{View, compare, json};

/// What the letter is held against.
pub(super) struct Against<'a> {
    /// Another letter.
    pub(super) other: Option<&'a str>,
    /// What somebody says about it.
    pub(super) claim: Option<&'a str>,
    /// Its basis, where its own words do not tell.
    pub(super) basis: Option<Basis>,
}

/// Holds a letter against the standard wordings, another letter, or a claim.
pub(super) fn run(shared: &Shared, file: &str, against: &Against<'_>) -> anyhow::Result<ExitCode> {
    shared.only("compare", &[Format::Terminal, Format::Json])?;
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
    let json = shared.format == Format::Json;
    let result = if let Some(words) = against.claim {
        let statements = crate::compare::claim(&read.letter, &read.text, words, &read.patterns);
        let view = View::new(&read.text, &read.letter);
        if json {
            compare::claim_json(view, &statements)
        } else {
            compare::claim(view, &statements, shared.columns())
        }
    } else if let Some(other) = against.other {
        let text = crate::read(&[other.to_owned()], &shared.limits())?;
        let text = crate::read::mend(text, &read.patterns);
        let letter = crate::understand(&text, &read.patterns);
        let compared =
            crate::compare::letters((&read.letter, &read.text), (&letter, &text), &read.patterns);
        let old = View::new(&read.text, &read.letter);
        let new = View::new(&text, &letter);
        if json {
            compare::letters_json(old, new, &compared)
        } else {
            compare::letters(old, new, &compared, shared.columns())
        }
    } else {
        if read.letter.basis.value.is_none() {
            // Only wordings of the letter's own basis are compared with.
            read.letter.basis.value = against.basis;
        }
        let compared = read.compare();
        let answered = letter::Answered {
            question: Question::on(jiff::civil::Date::ZERO),
            answers: Vec::new(),
            notes: Vec::new(),
        };
        let report = read.report(&answered, Some(&compared));
        if json {
            json::comparison(&report)
        } else {
            compare::terminal(&report, shared.columns())
        }
    };
    shared.write(&result)?;
    Ok(ExitCode::SUCCESS)
}
