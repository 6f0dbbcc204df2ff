//! `whomay passages`.

use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::ExitCode;

use anyhow::Context;

use super::shared::Shared;
use crate::report::clean;
use crate::report::passages::answer_line;

/// Answers every line of the file, or of standard input.
pub(super) fn run(shared: &Shared, file: Option<&Path>) -> anyhow::Result<ExitCode> {
    shared.guard(file.as_slice())?;
    let patterns = shared.load()?;
    let input: Box<dyn BufRead> = match file {
        Some(path) => Box::new(BufReader::new(
            std::fs::File::open(path).with_context(|| clean::path(path))?,
        )),
        None => Box::new(std::io::stdin().lock()),
    };
    shared.stream(|out| {
        for (n, line) in input.split(b'\n').enumerate() {
            let line = line?;
            let line = String::from_utf8_lossy(&line);
            writeln!(out, "{}", answer_line(n + 1, &line, &patterns))?;
        }
        Ok(())
    })?;
    Ok(ExitCode::SUCCESS)
}
