//! `whomay compare`.

use std::process::ExitCode;

use anyhow::{Context, bail};

use super::args::{LetterFiles, Shared};
use super::facts::Facts;
use super::letter;
use super::values::Format;
use crate::answer::Answered;
use crate::model::Question;
use crate::report::{View, claim, clean, compare, html, json, letters};

/// What the letter is held against.
pub(super) struct Against<'a> {
    /// The files of another letter, where one of the two has several.
    pub(super) with: &'a [String],
    /// What somebody says about it.
    pub(super) claim: Option<&'a str>,
    /// A file with that.
    pub(super) claim_file: Option<&'a str>,
    /// One wording or series of those held.
    pub(super) wording: Option<&'a str>,
    /// The texts side by side.
    pub(super) beside: bool,
    /// What only the user knows.
    pub(super) facts: &'a Facts,
}

/// The files of the letter, and those of the other one.
fn sides<'a>(
    files: &'a [String],
    against: &Against<'a>,
) -> anyhow::Result<(&'a [String], &'a [String])> {
    let alone =
        against.claim.is_some() || against.claim_file.is_some() || against.wording.is_some();
    Ok(match files {
        _ if alone || !against.with.is_empty() => (files, against.with),
        [_] => (files, &[]),
        [_, _] => files.split_at(1),
        _ => bail!(
            "{} files: which are the old letter and which the new one? \
             Say `whomay compare OLD... --with NEW...`",
            files.len()
        ),
    })
}

/// Holds a letter against the standard wordings, another letter, or a claim.
pub(super) fn run(
    shared: &Shared,
    files: &[String],
    against: &Against<'_>,
) -> anyhow::Result<ExitCode> {
    shared.only("compare", &Format::REPORT)?;
    let (files, others) = sides(files, against)?;
    let inputs: Vec<&str> = files
        .iter()
        .chain(others)
        .map(String::as_str)
        .chain(against.claim_file)
        .collect();
    if inputs.iter().filter(|f| **f == "-").count() > 1 {
        bail!("two inputs cannot both come from standard input; name files");
    }
    shared.guard(&inputs)?;
    let mut read = letter::read(shared, &LetterFiles::one(files))?;
    let claim = match (against.claim, against.claim_file) {
        (Some(words), _) => Some(words.to_owned()),
        (None, Some(file)) => {
            Some(letter::text(shared, &[file.to_owned()], &read.patterns)?.content)
        }
        (None, None) => None,
    };
    let result = if let Some(words) = &claim {
        let statements = crate::compare::claim(&read.letter, &read.text, words, &read.patterns);
        let view = View::new(&read.text, &read.letter);
        match shared.format {
            Format::Terminal => {
                claim::terminal(view, &statements, &read.patterns, shared.columns())
            }
            Format::Json => claim::json(view, &statements),
            Format::Markdown | Format::Csv => claim::markdown(view, &statements, &read.patterns),
            Format::Html => html::claim(view, &statements, &read.patterns),
        }
    } else if !others.is_empty() {
        let other = letter::read(shared, &LetterFiles::one(others))?;
        let (text, letter) = (other.text, other.letter);
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
            Format::Terminal => letters::terminal(&both, shared.columns(), against.beside),
            Format::Json => letters::json(&both),
            Format::Markdown | Format::Csv => letters::markdown(&both),
            Format::Html => html::letters(&both, against.beside),
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
        let answered = Answered {
            question: Question::on(jiff::civil::Date::ZERO),
            answers: Vec::new(),
            notes: Vec::new(),
        };
        let report = read.report(&answered, Some(&compared));
        match shared.format {
            Format::Terminal => compare::terminal(&report, shared.columns(), against.beside),
            Format::Json => json::comparison(&report),
            Format::Markdown | Format::Csv => compare::markdown(&report),
            Format::Html => html::wordings(&report, against.beside),
        }
    };
    shared.write(&result)?;
    Ok(ExitCode::SUCCESS)
}
