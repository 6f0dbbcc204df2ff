//! Where the result goes: standard output, or a file that is there as a whole or not at all.

use std::io::{IsTerminal, Write};
use std::path::{Path, PathBuf};

use anstream::{AutoStream, ColorChoice};
use anyhow::{Context, bail};

use super::shared::Shared;
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

    /// Fails before the work where its result could not be written: where the output is one of the
    /// inputs (with --force too), is there already, or has no folder.
    pub(super) fn guard(&self, inputs: &[impl AsRef<Path>]) -> anyhow::Result<()> {
        let Some(path) = self.file() else {
            return Ok(());
        };
        let name = clean::path(path);
        if let Ok(real) = path.canonicalize() {
            let same = |input: &Path| input.canonicalize().is_ok_and(|input| input == real);
            if inputs.iter().any(|input| same(input.as_ref())) {
                bail!("{name}: is one of the files to be read; name another file for --output");
            }
            let patterns = self.patterns.as_deref();
            let patterns = patterns.and_then(|p| p.canonicalize().ok());
            if patterns.is_some_and(|folder| real.starts_with(folder)) {
                bail!("{name}: is one of the pattern files; name another file for --output");
            }
        }
        target(path, self.force).map(drop)
    }

    /// The file that the result goes to; `None` for standard output, devices and pipes, where
    /// nothing can be kept beside.
    pub(super) fn lasting(&self) -> anyhow::Result<Option<&Path>> {
        let Some(path) = self.file() else {
            return Ok(None);
        };
        Ok(match target(path, self.force)? {
            Target::File(_) => Some(path),
            Target::Device => None,
        })
    }

    /// The file that the result goes to; `None` for standard output.
    fn file(&self) -> Option<&Path> {
        self.output
            .as_deref()
            .filter(|path| *path != Path::new("-"))
    }

    /// Hands over a writer for a result that comes piece by piece. A file is there as a whole when
    /// the work is done, and not at all where it fails.
    pub(super) fn stream(
        &self,
        work: impl FnOnce(&mut dyn Write) -> anyhow::Result<()>,
    ) -> anyhow::Result<()> {
        let Some(path) = self.file() else {
            let mut out = std::io::BufWriter::new(std::io::stdout().lock());
            work(&mut out)?;
            return Ok(out.flush()?);
        };
        to_file(path, self.force, work)?;
        self.tell(&format!("wrote {}", clean::path(path)));
        Ok(())
    }

    /// Writes the result.
    pub(super) fn write(&self, result: &str) -> anyhow::Result<()> {
        if self.file().is_none() {
            return to_stdout(result, self.color);
        }
        let result = stripped(result, self.color == Color::Always);
        self.stream(|out| Ok(out.write_all(result.as_bytes())?))
    }

    /// Whether `--output` names a folder.
    pub(super) fn is_folder(&self) -> bool {
        self.file().is_some_and(Path::is_dir)
    }

    /// Fails where a result that is no text would go to a screen.
    pub(super) fn for_a_file(&self) -> anyhow::Result<()> {
        if self.format == Format::Docx && self.file().is_none() && std::io::stdout().is_terminal() {
            bail!("a .docx file is nothing for a screen; name it with -o FILE.docx");
        }
        Ok(())
    }

    /// Writes a result that is no text.
    pub(super) fn write_file(&self, result: &[u8]) -> anyhow::Result<()> {
        self.stream(|out| Ok(out.write_all(result)?))
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

/// Fails where no file can be put, before the work.
pub(super) fn can_be_made(path: &Path, force: bool) -> anyhow::Result<()> {
    target(path, force).map(drop)
}

/// Where a result goes.
enum Target {
    /// A device or a pipe: written to as it is.
    Device,
    /// A file, in this folder.
    File(PathBuf),
}

/// Fails where nothing can be put.
fn target(path: &Path, force: bool) -> anyhow::Result<Target> {
    let name = || clean::path(path);
    let there = std::fs::metadata(path).ok();
    if there.as_ref().is_some_and(|m| m.is_dir()) {
        bail!("{}: is a folder; name a file in it", name());
    }
    if there.as_ref().is_some_and(|m| !m.is_file()) {
        return Ok(Target::Device);
    }
    if there.is_some() && !force {
        bail!("{}: is there already; --force replaces it", name());
    }
    let folder = match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    if !folder.is_dir() {
        bail!("{}: its folder is not there", name());
    }
    Ok(Target::File(folder.to_owned()))
}

/// Writes through a temporary file in the same folder.
pub(super) fn to_file(
    path: &Path,
    force: bool,
    work: impl FnOnce(&mut dyn Write) -> anyhow::Result<()>,
) -> anyhow::Result<()> {
    let name = || clean::path(path);
    let folder = match target(path, force)? {
        Target::File(folder) => folder,
        Target::Device => {
            let device = std::fs::OpenOptions::new().write(true).open(path);
            let mut device = std::io::BufWriter::new(device.with_context(name)?);
            work(&mut device).with_context(name)?;
            return device.flush().with_context(name);
        }
    };
    let mut builder = tempfile::Builder::new();
    builder.prefix(".whomay-").suffix(".tmp");
    // A temporary file is for its owner only; the result is an ordinary file, less what the
    // user's mask takes off.
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    let temporary = builder
        .tempfile_in(folder)
        .with_context(|| format!("{}: no file can be made in its folder", name()))?;
    let mut out = std::io::BufWriter::new(temporary);
    work(&mut out).with_context(name)?;
    let temporary = out.into_inner().map_err(|e| e.into_error());
    let temporary = temporary.with_context(name)?;
    temporary.as_file().sync_all().with_context(name)?;
    let kept = if force {
        temporary.persist(path)
    } else {
        temporary.persist_noclobber(path)
    };
    kept.map(drop).map_err(|e| e.error).with_context(name)
}
