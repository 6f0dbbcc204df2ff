//! `whomay compare`.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use anyhow::{Context, bail};
use clap::Args;

use super::facts::Facts;
use super::letter::{self, Read};
use super::shared::{LetterFiles, Shared};
use super::values::Format;
use crate::answer::Answered;
use crate::model::Question;
use crate::report::{View, claim, clean, compare, html, json, letters};

/// The letter, and what it is held against.
#[derive(Debug, Args)]
pub(super) struct Against {
    /// The letter; of two, the old one first
    #[arg(required = true, value_name = "LETTER")]
    pub(super) letters: Vec<PathBuf>,
    /// The files of the new letter, where one of the two has several files
    #[arg(long, value_name = "FILE", num_args = 1.., conflicts_with_all = ["claim", "claim_file"])]
    pub(super) with: Vec<PathBuf>,
    /// What somebody says about the letter: does it add, leave out or turn anything?
    #[arg(long, value_name = "TEXT")]
    pub(super) claim: Option<String>,
    /// The same from a file
    #[arg(long, value_name = "FILE", conflicts_with = "claim")]
    pub(super) claim_file: Option<PathBuf>,
    /// Only this reference wording or series, as `whomay wordings` prints it
    #[arg(long, value_name = "ID", conflicts_with_all = ["with", "claim", "claim_file"])]
    pub(super) wording: Option<String>,
    /// The texts side by side, old on the left
    #[arg(long, conflicts_with_all = ["claim", "claim_file"])]
    pub(super) beside: bool,
    #[command(flatten)]
    pub(super) facts: Facts,
}

/// The files of the letter, and those of the other one.
fn sides(against: &Against) -> anyhow::Result<(&[PathBuf], &[PathBuf])> {
    let files = against.letters.as_slice();
    let alone =
        against.claim.is_some() || against.claim_file.is_some() || against.wording.is_some();
    Ok(match files {
        _ if alone || !against.with.is_empty() => (files, &against.with),
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
pub(super) fn run(shared: &Shared, against: &Against) -> anyhow::Result<ExitCode> {
    shared.only("compare", &Format::REPORT)?;
    let (files, others) = sides(against)?;
    let inputs: Vec<&Path> = files
        .iter()
        .chain(others)
        .chain(&against.claim_file)
        .map(PathBuf::as_path)
        .collect();
    if inputs.iter().filter(|f| **f == Path::new("-")).count() > 1 {
        bail!("two inputs cannot both come from standard input; name files");
    }
    shared.guard(&inputs)?;
    let read = letter::read(shared, &LetterFiles::one(files))?;
    let claim = match (&against.claim, &against.claim_file) {
        (Some(words), _) => Some(words.clone()),
        (None, Some(file)) => {
            Some(letter::text(shared, std::slice::from_ref(file), &read.patterns)?.content)
        }
        (None, None) => None,
    };
    let result = if let Some(words) = &claim {
        with_claim(shared, &read, words)
    } else if !others.is_empty() {
        let other = letter::read(shared, &LetterFiles::one(others))?;
        with_letter(shared, &read, &other, against)
    } else {
        with_wordings(shared, read, against)?
    };
    shared.write(&result)?;
    Ok(ExitCode::SUCCESS)
}

/// What somebody says about a letter, held against it.
fn with_claim(shared: &Shared, read: &Read, words: &str) -> String {
    let statements = crate::compare::claim(&read.letter, &read.text, words, &read.patterns);
    let view = View::new(&read.text, &read.letter);
    match shared.format {
        Format::Terminal => claim::terminal(view, &statements, &read.patterns, shared.columns()),
        Format::Json => claim::json(view, &statements),
        Format::Markdown | Format::Csv | Format::Docx => {
            claim::markdown(view, &statements, &read.patterns)
        }
        Format::Html => html::claim(view, &statements, &read.patterns),
    }
}

/// An old letter and a new one.
fn with_letter(shared: &Shared, old: &Read, new: &Read, against: &Against) -> String {
    let compared = crate::compare::letters(
        (&old.letter, &old.text),
        (&new.letter, &new.text),
        &old.patterns,
    );
    let question = against.facts.question();
    let was = crate::answer(&old.letter, &question, &old.patterns);
    let is = crate::answer(&new.letter, &question, &old.patterns);
    let both = letters::Letters {
        old: View::new(&old.text, &old.letter),
        new: View::new(&new.text, &new.letter),
        comparison: &compared,
        question: &question,
        answers: (&was, &is),
    };
    match shared.format {
        Format::Terminal => letters::terminal(&both, shared.columns(), against.beside),
        Format::Json => letters::json(&both),
        Format::Markdown | Format::Csv | Format::Docx => letters::markdown(&both),
        Format::Html => html::letters(&both, against.beside),
    }
}

/// A letter and the standard wordings, or the one that is named.
fn with_wordings(shared: &Shared, mut read: Read, against: &Against) -> anyhow::Result<String> {
    if read.letter.basis.value.is_none() {
        // Only wordings of the letter's own basis are compared with.
        read.letter.basis.value = against.facts.basis;
    }
    let mut compared = read.compare();
    if let Some(name) = &against.wording {
        compared.0 = crate::compare::with_wording(&read.letter, &read.text, name, &read.patterns)
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
    Ok(match shared.format {
        Format::Terminal => compare::terminal(&report, shared.columns(), against.beside),
        Format::Json => json::comparison(&report),
        Format::Markdown | Format::Csv | Format::Docx => compare::markdown(&report),
        Format::Html => html::wordings(&report, against.beside),
    })
}
