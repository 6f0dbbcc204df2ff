//! Arguments as typed.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand};

use crate::patterns::{PatternError, Patterns};

/// Who may inspect this experimental aircraft, by which clause and which rule?
#[derive(Debug, Parser)]
#[command(name = "whomay", version, about, max_term_width = 80)]
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
}

impl Shared {
    /// Loads the patterns.
    pub(super) fn load(&self) -> Result<Patterns, PatternError> {
        self.patterns
            .as_deref()
            .map_or_else(Patterns::embedded, Patterns::with_overlay)
    }
}

#[derive(Debug, Subcommand)]
pub(super) enum Command {
    /// JSON Lines in, JSON Lines out: what the stages find in each passage
    Passages {
        /// A file of JSON Lines; standard input where none is given
        file: Option<PathBuf>,
    },
    /// Reads a PDF in a process of its own; the program starts itself with it
    #[command(hide = true, name = crate::read::worker::COMMAND)]
    ReadWorker {
        /// Limits
        words: Vec<String>,
    },
}
