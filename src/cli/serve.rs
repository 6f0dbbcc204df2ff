//! `whomay serve`.

use std::io::Write;
use std::path::PathBuf;
use std::process::ExitCode;

use super::shared::Shared;
use super::values::Format;
use crate::serve::{self, Options, Told};
use crate::text::file_name;

/// Serves the page until Ctrl-C, beginning with a letter where files are named.
pub(super) fn run(
    shared: &Shared,
    files: &[PathBuf],
    port: u16,
    open: bool,
) -> anyhow::Result<ExitCode> {
    shared.only("serve", &[Format::Terminal])?;
    let limits = shared.limits();
    let files = files
        .iter()
        .map(|path| Ok((file_name(path), crate::read::bytes(path, &limits)?)))
        .collect::<Result<Vec<_>, crate::read::ReadError>>()?;
    // What breaks down may hold words of a letter; only the place is told.
    std::panic::set_hook(Box::new(|broken| {
        let place = broken.location().map(ToString::to_string);
        let place = place.unwrap_or_default();
        let _ = writeln!(std::io::stderr(), "whomay: broke down at {place}");
    }));
    let options = Options {
        port,
        open,
        files,
        patterns: shared.load()?,
        limits,
        today: || jiff::Zoned::now().date(),
    };
    serve::run(options, &|told| say(&told))?;
    Ok(ExitCode::SUCCESS)
}

/// Nobody may be listening; the page is served all the same.
fn say(told: &Told<'_>) {
    let mut out = std::io::stdout().lock();
    let _ = match told {
        Told::Ready(address) => writeln!(
            out,
            "{address}\n\nOpen this address in a browser on this machine. It holds a secret: pass it \
             to nobody.\nLetters are held in memory and are gone when you stop this: Ctrl-C."
        ),
        Told::Running(address) => writeln!(out, "{address}\n\nIt runs there already."),
        Told::NoBrowser => writeln!(
            std::io::stderr(),
            "whomay: no browser could be opened; copy the address"
        ),
    };
    let _ = out.flush();
}
