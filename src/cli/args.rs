//! Arguments as typed.

use std::ffi::OsString;
use std::path::PathBuf;

use clap::{Parser, Subcommand};
use jiff::civil::Date;

use super::facts::Facts;
use super::shared::{LetterFiles, Shared};
use super::values;
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
        /// A memo of two pages for a file: question, answer, clause, authorities, both sides; with
        /// --format docx or html
        #[arg(long, conflicts_with_all = ["short", "status"])]
        memo: bool,
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
        letter: Vec<PathBuf>,
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
        entry: PathBuf,
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
        /// Files of a letter to begin with
        #[arg(value_name = "LETTER")]
        files: Vec<PathBuf>,
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
        words: Vec<OsString>,
    },
}
