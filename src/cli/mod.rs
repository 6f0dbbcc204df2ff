//! The command line: arguments as typed ([`args`]), one function per command.

mod args;
mod passages;

use std::process::ExitCode;

use clap::Parser;

use args::{Arguments, Command};

/// Exit code for work that could not be done.
const FAILED: u8 = 2;

/// Runs the program on the arguments of the process.
#[must_use]
pub fn main() -> ExitCode {
    crate::read::worker::enable();
    let arguments = Arguments::parse();
    match run(arguments) {
        Ok(code) => code,
        Err(error) if is_broken_pipe(&error) => ExitCode::SUCCESS,
        Err(error) => {
            anstream::eprintln!("whomay: {error:#}");
            ExitCode::from(FAILED)
        }
    }
}

fn run(arguments: Arguments) -> anyhow::Result<ExitCode> {
    match &arguments.command {
        Command::Passages { file } => passages::run(&arguments.shared, file.as_deref()),
        Command::ReadWorker { words } => Ok(crate::read::worker::main(words)),
    }
}

fn is_broken_pipe(error: &anyhow::Error) -> bool {
    error
        .chain()
        .filter_map(|cause| cause.downcast_ref::<std::io::Error>())
        .any(|cause| cause.kind() == std::io::ErrorKind::BrokenPipe)
}
