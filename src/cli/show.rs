//! `whomay show`.

use std::process::ExitCode;

use super::letter;
use super::shared::{LetterFiles, Shared};
use super::values::Format;
use crate::model::Comparison;
use crate::report::show::{self, Seen, Stage};
use crate::understand::sentences;

/// What one stage saw.
pub(super) fn run(shared: &Shared, stage: Stage, files: &LetterFiles) -> anyhow::Result<ExitCode> {
    shared.only("show", &[Format::Terminal, Format::Json])?;
    let read = letter::read(shared, files)?;
    let sentences = if stage == Stage::Sentences {
        let tokens = read.patterns.lexicon.tokens(&read.text.content);
        sentences::sentences(
            &read.text.content,
            &tokens,
            &read.letter.clauses,
            &read.patterns,
        )
    } else {
        Vec::new()
    };
    let comparison = if stage == Stage::Alignment {
        read.compare().0
    } else {
        Comparison::default()
    };
    let rows = show::rows(
        stage,
        Seen {
            text: &read.text,
            letter: &read.letter,
            sentences: &sentences,
            comparison: &comparison,
            patterns: &read.patterns,
        },
    );
    let result = match shared.format {
        Format::Json => show::json(stage, &rows),
        _ => show::terminal(stage, &rows, shared.columns()),
    };
    shared.write(&result)?;
    Ok(ExitCode::SUCCESS)
}
