//! Parse, run, exit.

use std::process::ExitCode;

fn main() -> ExitCode {
    whomay::cli::main()
}
