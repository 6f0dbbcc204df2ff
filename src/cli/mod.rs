//! The command line: arguments as typed (`args`, `facts`, `values`), one function per
//! command.

mod args;
mod ask;
mod catalog;
mod compare;
mod due;
mod entry;
mod facts;
mod letter;
mod manual;
mod output;
mod passages;
mod progress;
mod read;
mod request;
#[cfg(feature = "serve")]
mod serve;
mod shared;
mod show;
mod survey;
mod values;
mod who;
mod wordings;

use std::io::{IsTerminal, Write};
use std::process::ExitCode;

use clap::Parser;

use crate::report::catalog::Catalog;
use crate::report::clean;
use args::{Arguments, Command};
use shared::FAILED;
use values::Format;

/// Runs the program on the arguments of the process.
#[must_use]
pub fn main() -> ExitCode {
    crate::read::worker::enable();
    no_core_dumps();
    let arguments = match double_click() {
        Some(told) => Arguments::parse_from(told),
        None => Arguments::parse(),
    };
    match run(arguments) {
        Ok(code) => code,
        Err(error) if is_broken_pipe(&error) => ExitCode::SUCCESS,
        Err(error) => {
            // File names and words of a letter may stand in a message.
            let message = clean::lines(&format!("{error:#}"));
            // Standard error may be closed too; the exit code still tells.
            let _ = writeln!(std::io::stderr(), "whomay: {message}");
            ExitCode::from(FAILED)
        }
    }
}

/// What is meant where the program was started with nothing to say and nobody reads what it writes:
/// by a double click on a desktop. A script without a desktop gets the usage, and exit code 2.
fn double_click() -> Option<[&'static str; 2]> {
    let desktop = |name: &str| std::env::var_os(name).is_some_and(|v| !v.is_empty());
    let clicked = std::env::args_os().len() <= 1
        && !std::io::stdin().is_terminal()
        && !std::io::stdout().is_terminal()
        && !std::io::stderr().is_terminal()
        && (desktop("DISPLAY") || desktop("WAYLAND_DISPLAY") || cfg!(not(unix)));
    (clicked && cfg!(feature = "serve")).then_some(["whomay", "serve"])
}

fn run(arguments: Arguments) -> anyhow::Result<ExitCode> {
    let shared = &arguments.shared;
    // Everything else writes a file.
    let into_folder = match &arguments.command {
        Command::Wordings { action } => action.is_some(),
        Command::Read { letter, .. } | Command::Who { letter, .. } => {
            letter.each && shared.is_folder()
        }
        _ => false,
    };
    if !into_folder {
        shared.guard(&[] as &[&std::path::Path])?;
    }
    match &arguments.command {
        Command::Read {
            letter,
            facts,
            short,
            sheet,
            full,
        } => match read::Length::of(*short, *full) {
            _ if *sheet => read::sheet(shared, letter, facts),
            length => read::run(shared, letter, facts, length),
        },
        Command::Who {
            letter,
            facts,
            status,
            ask,
            short,
            memo,
        } => {
            let wishes = who::Wishes {
                status: *status,
                ask: *ask,
                short: *short,
                memo: *memo || shared.format == Format::Docx,
            };
            who::run(shared, letter, facts, &wishes)
        }
        Command::Show { stage, letter } => show::run(shared, *stage, letter),
        Command::Passages { file } => passages::run(shared, file.as_deref()),
        Command::Compare(against) => compare::run(shared, against),
        Command::Due {
            dates,
            letter,
            calendar,
            year,
        } => due::run(shared, dates, letter, *calendar, year),
        Command::Entry {
            letter,
            entry,
            facts,
        } => entry::run(shared, letter, entry, facts),
        Command::Request { letter, facts } => request::run(shared, letter, facts),
        #[cfg(feature = "serve")]
        Command::Serve {
            files,
            port,
            no_open,
        } => serve::run(shared, files, *port, !no_open),
        Command::Wordings { action: None } => catalog::list(shared, Catalog::Wordings),
        Command::Wordings {
            action: Some(wordings::Action::Add(add)),
        } => wordings::add(shared, add),
        Command::Rules => catalog::list(shared, Catalog::Rules),
        Command::Readings => catalog::list(shared, Catalog::Readings),
        Command::Situations => catalog::list(shared, Catalog::Situations),
        Command::Explain { id, source } => catalog::explain(shared, id, *source),
        Command::Completions { shell } => manual::completions(shared, *shell),
        Command::Manual => manual::manual(shared),
        Command::Schema { what } => catalog::schema(shared, *what),
        Command::Survey(wishes) => survey::run(shared, wishes),
        Command::ReadWorker { words } => Ok(crate::read::worker::main(words)),
    }
}
/// An image of the memory would hold the words of a letter, and lie about for others to read.
fn no_core_dumps() {
    #[cfg(unix)]
    {
        // Where it cannot be had the work is done all the same.
        let _ = rlimit::setrlimit(rlimit::Resource::CORE, 0, 0);
    }
}

fn is_broken_pipe(error: &anyhow::Error) -> bool {
    error
        .chain()
        .filter_map(|cause| cause.downcast_ref::<std::io::Error>())
        .any(|cause| cause.kind() == std::io::ErrorKind::BrokenPipe)
}
