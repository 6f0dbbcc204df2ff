//! What every command understands, and the files of a letter.

use std::path::{Path, PathBuf};

use clap::Args;

use super::values;
use crate::patterns::{PatternError, Patterns};
use crate::read::{Limits, Ocr};

/// Exit code for work that could not be done.
pub(super) const FAILED: u8 = 2;

/// What every command understands.
#[derive(Debug, Args)]
pub(super) struct Shared {
    /// A folder of pattern files laid over the built-in ones: adds, or replaces by id
    #[arg(long, value_name = "DIR", global = true)]
    pub(super) patterns: Option<PathBuf>,
    /// How the result is written: terminal, json, markdown, html; docx for a memo or a request, csv
    /// for a survey
    #[arg(long, value_name = "FORMAT", global = true, default_value = "terminal")]
    pub(super) format: values::Format,
    /// Write into this file instead of standard output
    #[arg(short, long, value_name = "FILE", global = true)]
    pub(super) output: Option<PathBuf>,
    /// Let --output replace a file that is there
    #[arg(long, global = true)]
    pub(super) force: bool,
    /// Bold and dim text: auto, always or never (NO_COLOR is honored)
    #[arg(long, value_name = "WHEN", global = true, default_value = "auto")]
    pub(super) color: values::Color,
    /// Columns of the terminal report; the terminal's own, but at most 80, unless given
    #[arg(long, value_name = "COLUMNS", global = true, value_parser = clap::value_parser!(u16).range(32..))]
    pub(super) width: Option<u16>,
    /// What reads scans and photos: built-in, tesseract (if installed), off
    #[arg(long, value_name = "ENGINE", global = true, default_value = "built-in")]
    pub(super) ocr: values::Engine,
    /// Other OCR models: a folder with detector.onnx, recognizer.onnx, characters.txt
    #[arg(long, value_name = "DIR", global = true, conflicts_with = "ocr")]
    pub(super) ocr_models: Option<PathBuf>,
    /// Nothing on standard error but errors
    #[arg(long, global = true)]
    pub(super) quiet: bool,
}

impl Shared {
    /// How letters are read.
    pub(super) fn limits(&self) -> Limits {
        Limits {
            ocr: match (&self.ocr_models, self.ocr) {
                (Some(folder), _) => Ocr::Models(folder.clone()),
                (None, values::Engine::BuiltIn) => Ocr::BuiltIn,
                (None, values::Engine::Tesseract) => Ocr::Tesseract,
                (None, values::Engine::Off) => Ocr::Off,
            },
            progress: super::progress::wanted(self.quiet),
            ..Limits::default()
        }
    }

    /// Loads the patterns.
    pub(super) fn load(&self) -> Result<Patterns, PatternError> {
        let Some(folder) = self.patterns.as_deref() else {
            return Patterns::embedded();
        };
        let patterns = Patterns::with_overlay(folder)?;
        crate::understand::check(&patterns)?;
        Ok(patterns)
    }
}

/// The files of one letter.
#[derive(Debug, Args)]
pub(super) struct LetterFiles {
    /// The letter: text, PDF or .docx, `-` for standard input; several files are one letter
    #[arg(required = true, value_name = "LETTER")]
    pub(super) files: Vec<PathBuf>,
    /// Where the files hold letters of different aircraft: one report for each of them; pages and
    /// memos go into the folder that -o names
    #[arg(long, conflicts_with = "same_aircraft")]
    pub(super) each: bool,
    /// The papers are of one aircraft, although marks, numbers, makes or days differ
    #[arg(long)]
    pub(super) same_aircraft: bool,
}

impl LetterFiles {
    /// Whether one of the files is standard input.
    pub(super) fn holds_stdin(&self) -> bool {
        self.files.iter().any(|f| f == Path::new("-"))
    }

    /// Files that have to be one letter.
    pub(super) fn one(files: &[PathBuf]) -> Self {
        Self {
            files: files.to_vec(),
            each: false,
            same_aircraft: false,
        }
    }
}
