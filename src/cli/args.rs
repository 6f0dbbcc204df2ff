//! Arguments as typed.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand};
use jiff::civil::Date;

use super::facts::Facts;
use super::values;
use crate::patterns::{PatternError, Patterns};
use crate::read::{Limits, Ocr};
use crate::report::show::Stage;

/// Who may inspect this experimental aircraft, by which clause and which rule?
#[derive(Debug, Parser)]
#[command(
    name = "whomay",
    version,
    about,
    max_term_width = 80,
    after_help = "Exit: 0 done, 2 could not do the work (see the message).\n\
                  `who --status` also: no 1, disputed 3, undetermined 4.\n\
                  Not legal advice. Nothing leaves this machine."
)]
pub(super) struct Arguments {
    #[command(flatten)]
    pub(super) shared: Shared,
    #[command(subcommand)]
    pub(super) command: Command,
}

/// What every command understands.
#[derive(Debug, Args)]
pub(super) struct Shared {
    /// A folder of pattern files laid over the built-in ones: adds, or replaces by id
    #[arg(long, value_name = "DIR", global = true)]
    pub(super) patterns: Option<PathBuf>,
    /// How the result is written: terminal, json, markdown or html; csv for a survey
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
    pub(super) ocr_models: Option<String>,
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
    pub(super) files: Vec<String>,
    /// Where the files hold letters of different aircraft: one report for each of them
    #[arg(long, conflicts_with = "same_aircraft")]
    pub(super) each: bool,
    /// The papers are of one aircraft, although marks, numbers, makes or days differ
    #[arg(long)]
    pub(super) same_aircraft: bool,
}

impl LetterFiles {
    /// Files that have to be one letter.
    pub(super) fn one(files: &[String]) -> Self {
        Self {
            files: files.to_vec(),
            each: false,
            same_aircraft: false,
        }
    }
}

#[derive(Debug, Subcommand)]
pub(super) enum Command {
    /// The report: the answer first, then why, then the letter clause by clause
    Read {
        #[command(flatten)]
        letter: LetterFiles,
        #[command(flatten)]
        facts: Facts,
        /// For a message, in under 15 lines: the answers, the clause, both sides, the rules
        #[arg(long)]
        short: bool,
        /// One page for the inspector instead: the clause, the scope, the log entry
        #[arg(long)]
        sheet: bool,
        /// Everything word for word: rules, readings with support and objection, the letter
        #[arg(long, conflicts_with_all = ["short", "sheet"])]
        full: bool,
    },
    /// Only the question: who may inspect, and why
    Who {
        #[command(flatten)]
        letter: LetterFiles,
        #[command(flatten)]
        facts: Facts,
        /// The answer as exit code: yes 0, no 1, disputed 3, undetermined 4
        #[arg(long, requires = "holder")]
        status: bool,
        /// Ask for the facts that can still change the answer, one by one
        #[arg(long)]
        ask: bool,
        /// For a message, in under 15 lines: the answers, the clause, both sides, the rules
        #[arg(long)]
        short: bool,
    },
    /// What one stage saw in the letter
    Show {
        /// lines, text, clauses, sentences, norms, citations, topics, inspectors, alignment
        #[arg(value_name = "STAGE", value_parser = values::stage)]
        stage: Stage,
        #[command(flatten)]
        letter: LetterFiles,
    },
    /// JSON Lines in, JSON Lines out: what the stages find in each passage
    Passages {
        /// A file of JSON Lines; standard input where none is given
        file: Option<PathBuf>,
    },
    /// Differences from the nearest standard wording, from another letter, or from what is said
    Compare(super::compare::Against),
    /// When a condition inspection of that day runs out
    Due {
        /// The days of inspections, as in the log entries
        #[arg(required = true, value_name = "DATE", value_parser = values::date)]
        dates: Vec<Date>,
        /// A letter, whose own interval counts; twelve calendar months without one
        #[arg(long, value_name = "LETTER")]
        letter: Vec<String>,
        /// An iCalendar file (RFC 5545) instead of a report
        #[arg(long)]
        calendar: bool,
        #[command(flatten)]
        year: super::due::Year,
    },
    /// Is everything in this log entry that the letter asks for, and could its signer sign?
    Entry {
        #[command(flatten)]
        letter: LetterFiles,
        /// The text of the log entry: a file, or `-` for standard input
        #[arg(value_name = "ENTRY")]
        entry: String,
        #[command(flatten)]
        facts: Facts,
    },
    /// A draft request for amended limitations; questions for the FAA office and an attorney
    Request {
        #[command(flatten)]
        letter: LetterFiles,
        #[command(flatten)]
        facts: Facts,
    },
    /// A page on this machine: drop a letter in the browser, read the answer
    #[cfg(feature = "serve")]
    Serve {
        /// The port; any that is free unless given
        #[arg(
            long,
            value_name = "PORT",
            default_value_t = 0,
            hide_default_value = true
        )]
        port: u16,
        /// Do not open the browser
        #[arg(long)]
        no_open: bool,
    },
    /// Reference wordings held, with source and grade; `add` reads an order that you hold
    Wordings {
        #[command(subcommand)]
        action: Option<super::wordings::Action>,
    },
    /// Rules held, by date, with source and grade
    Rules,
    /// Readings of the dispute held, with source and grade
    Readings,
    /// What to do where the letter is lost, the aircraft sold, an inspection overdue or failed
    Situations,
    /// What an id, a tag or a citation of a report stands for
    Explain {
        /// As the reports print it: law/…, reading/…, moved-citation, 65.109
        #[arg(value_name = "ID")]
        id: String,
        /// The file as it stands
        #[arg(long)]
        source: bool,
    },
    /// A completion script for a shell: bash, elvish, fish, powershell, zsh
    Completions {
        /// The shell
        #[arg(value_name = "SHELL")]
        shell: clap_complete::Shell,
    },
    /// The manual as a man page (roff)
    Manual,
    /// One row per letter of a folder, an archive (.zip) or a list, and a summary
    ///
    /// Names, registration marks, serial numbers and addresses are looked for and left out of the
    /// rows. A name that is also a word of the trade, and what the sum of harmless words tells to
    /// somebody who knows the aircraft, cannot be found: look through a result before you pass it
    /// on. With --output, a survey that was broken off goes on where it stopped: give the same
    /// command again.
    Survey(super::survey::Wishes),
    /// The JSON Schema of `read`, `who` and `survey` with --format json
    Schema {
        /// report or survey
        #[arg(default_value = "report", value_name = "WHAT")]
        what: values::Schema,
    },
    /// Reads a PDF in a process of its own; the program starts itself with it
    #[command(hide = true, name = crate::read::worker::COMMAND)]
    ReadWorker {
        /// Limits
        words: Vec<String>,
    },
}
