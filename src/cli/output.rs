//! Where the result goes: standard output, or a file that is there as a whole or not at all.

use std::io::{IsTerminal, Write};
use std::path::Path;

use anstream::{AutoStream, ColorChoice};
use anyhow::{Context, bail};

use super::args::Shared;
use super::values::{Color, Format};
use crate::report::{clean, terminal};

impl Shared {
    /// Fails where the command knows no such format.
    pub(super) fn only(&self, command: &str, formats: &[Format]) -> anyhow::Result<()> {
        if formats.contains(&self.format) {
            return Ok(());
        }
        let names: Vec<&str> = formats.iter().map(|f| f.name()).collect();
        bail!(
            "«{command}» has no --format {}; it has {}",
            self.format.name(),
            names.join(", ")
        )
    }

    /// Columns for the terminal format: as told, else the terminal's, but never more than 80.
    pub(super) fn columns(&self) -> usize {
        if let Some(told) = self.width {
            return usize::from(told);
        }
        if self.output.is_some() || !std::io::stdout().is_terminal() {
            return terminal::WIDTH;
        }
        terminal_size::terminal_size()
            .map_or(terminal::WIDTH, |(width, _)| usize::from(width.0))
            .min(terminal::WIDTH)
    }

    /// Writes the result.
    pub(super) fn write(&self, result: &str) -> anyhow::Result<()> {
        match self.output.as_deref() {
            None => to_stdout(result, self.color),
            Some(path) if path == Path::new("-") => to_stdout(result, self.color),
            Some(path) => {
                let styled = self.color == Color::Always;
                to_file(path, &stripped(result, styled), self.force)?;
                self.tell(&format!("wrote {}", path.display()));
                Ok(())
            }
        }
    }

    /// Prints the result, whatever `--output` names.
    pub(super) fn print(&self, result: &str) -> anyhow::Result<()> {
        to_stdout(result, self.color)
    }

    /// Says something on standard error, unless that is not wanted.
    pub(super) fn tell(&self, message: &str) {
        if !self.quiet {
            // Standard error may be closed; the work is done all the same.
            let _ = writeln!(std::io::stderr(), "whomay: {}", clean::line(message));
        }
    }
}

fn to_stdout(result: &str, color: Color) -> anyhow::Result<()> {
    let choice = match color {
        Color::Auto => AutoStream::choice(&std::io::stdout()),
        Color::Always => ColorChoice::AlwaysAnsi,
        Color::Never => ColorChoice::Never,
    };
    let mut out = AutoStream::new(std::io::stdout().lock(), choice);
    out.write_all(result.as_bytes())?;
    out.flush()?;
    Ok(())
}

fn stripped(result: &str, styled: bool) -> String {
    if styled {
        result.to_owned()
    } else {
        anstream::adapter::strip_str(result).to_string()
    }
}

/// Writes through a temporary file in the same folder. What is no ordinary file (a device, a pipe)
/// is written to as it is.
pub(super) fn to_file(path: &Path, result: &str, force: bool) -> anyhow::Result<()> {
    let name = || clean::line(&path.display().to_string());
    let there = std::fs::metadata(path).ok();
    if there.as_ref().is_some_and(|m| m.is_dir()) {
        bail!("{}: is a folder; name a file in it", name());
    }
    if there.as_ref().is_some_and(|m| !m.is_file()) {
        return std::fs::write(path, result).with_context(name);
    }
    if there.is_some() && !force {
        bail!("{}: is there already; --force replaces it", name());
    }
    let folder = match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    let mut builder = tempfile::Builder::new();
    builder.prefix(".whomay-").suffix(".tmp");
    // A temporary file is for its owner only; the result is an ordinary file, less what the
    // user's mask takes off.
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    let mut temporary = builder
        .tempfile_in(folder)
        .with_context(|| format!("{}: no file can be made in its folder", name()))?;
    temporary
        .write_all(result.as_bytes())
        .and_then(|()| temporary.as_file().sync_all())
        .with_context(name)?;
    let kept = if force {
        temporary.persist(path)
    } else {
        temporary.persist_noclobber(path)
    };
    kept.map(drop).map_err(|e| e.error).with_context(name)
}
