//! Rows that are finished, in a file beside the result: a survey that was broken off goes on
//! where it stopped, and the result is the same as if nothing had happened.
//!
//! The first line says what the survey is, each further line is a row. What a break left of a
//! last line is cut off.

use std::fs::File;
use std::io::{BufRead, BufReader, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use super::find::{At, Entry};
use super::private;
use super::row::Row;
use crate::text::file_name;

/// What a survey is: its question and options, and its letters.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Fingerprint {
    /// The program and its knowledge.
    program: String,
    /// Question and options.
    arguments: String,
    /// Names, sizes and times of the letters.
    letters: String,
}

impl Fingerprint {
    /// The fingerprint of a survey. `arguments` has everything that a row depends on beside the
    /// letter.
    #[must_use]
    pub fn new(patterns: &crate::patterns::Patterns, arguments: &str, entries: &[Entry]) -> Self {
        let mut all = String::new();
        let mut last: Option<(&Path, String)> = None;
        for entry in entries {
            let (path, index) = match &entry.at {
                At::File(path) => (path.as_path(), 0),
                At::Archive { archive, index } => (archive.as_path(), index + 1),
                At::Held(bytes) => {
                    let state = crate::read::digest(bytes);
                    all.push_str(&format!("{}\0{state}\n", entry.name));
                    continue;
                }
                At::Nowhere(why) => {
                    all.push_str(&format!("{}\0{why}\n", entry.name));
                    continue;
                }
            };
            let state = match &last {
                Some((known, state)) if *known == path => state.clone(),
                _ => state(path),
            };
            all.push_str(&format!("{}\0{index}\0{state}\n", entry.name));
            last = Some((path, state));
        }
        Self {
            program: format!("{} {}", env!("CARGO_PKG_VERSION"), patterns.digest()),
            arguments: crate::read::digest(arguments.as_bytes()),
            letters: crate::read::digest(all.as_bytes()),
        }
    }

    /// What differs, in words.
    fn difference(&self, other: &Self) -> &'static str {
        if self.program != other.program {
            "of another version of the program or its patterns"
        } else if self.arguments != other.arguments {
            "of a survey with other options"
        } else {
            "of a survey of other letters, or letters were changed since"
        }
    }
}

fn state(path: &Path) -> String {
    std::fs::metadata(path).map_or_else(
        |_| "gone".to_owned(),
        |m| {
            let time = m
                .modified()
                .ok()
                .and_then(|t| t.duration_since(std::time::UNIX_EPOCH).ok())
                .map_or(0, |d| d.as_nanos());
            format!("{} {time}", m.len())
        },
    )
}

/// Why rows cannot be kept.
#[derive(Debug, thiserror::Error)]
pub enum JournalError {
    /// The file is of another survey.
    #[error("{file} is {difference}; remove it, or name another output")]
    Other {
        /// The file with the rows.
        file: String,
        /// In what it differs.
        difference: &'static str,
    },
    /// Another run has it open.
    #[error("{file} is in use by another run")]
    Busy {
        /// The file with the rows.
        file: String,
    },
    /// It cannot be read or written.
    #[error("{file}: {cause}")]
    File {
        /// The file with the rows.
        file: String,
        /// The system's message.
        cause: std::io::Error,
    },
}

/// The file with the rows.
#[derive(Debug)]
pub struct Journal {
    path: PathBuf,
    file: File,
    /// Where the rows begin.
    start: u64,
}

impl Journal {
    /// Opens the rows of a survey and says how many there are; makes the file where there is none.
    ///
    /// # Errors
    /// Where the file is of another survey, in use, or cannot be read or written.
    pub fn open(path: &Path, fingerprint: &Fingerprint) -> Result<(Self, usize), JournalError> {
        let file_error = |cause: std::io::Error| JournalError::File {
            file: file_name(path),
            cause,
        };
        let file = private::file(path).map_err(file_error)?;
        if file.try_lock().is_err() {
            return Err(JournalError::Busy {
                file: file_name(path),
            });
        }
        let mut journal = Self {
            path: path.to_owned(),
            file,
            start: 0,
        };
        let found = journal.check(fingerprint).map_err(file_error)?;
        match found {
            Found::Rows(rows) => Ok((journal, rows)),
            Found::Other(other) => Err(JournalError::Other {
                file: file_name(path),
                difference: fingerprint.difference(&other),
            }),
            Found::Foreign => Err(JournalError::Other {
                file: file_name(path),
                difference: "no file with rows of a survey",
            }),
        }
    }

    /// Reads the first line and counts the rows; cuts off what is no row.
    fn check(&mut self, fingerprint: &Fingerprint) -> std::io::Result<Found> {
        let mut reader = BufReader::new(&self.file);
        let mut line = Vec::new();
        let first = reader.read_until(b'\n', &mut line)? as u64;
        if !line.ends_with(b"\n") {
            // Nothing, or a first line that a break cut short.
            let whole = serde_json::to_vec(fingerprint)?;
            if !whole.starts_with(&line) {
                return Ok(Found::Foreign);
            }
            self.file.set_len(0)?;
            self.file.seek(SeekFrom::Start(0))?;
            self.file.write_all(&whole)?;
            self.file.write_all(b"\n")?;
            self.start = whole.len() as u64 + 1;
            return Ok(Found::Rows(0));
        }
        match serde_json::from_slice::<Fingerprint>(&line) {
            Err(_) => return Ok(Found::Foreign),
            Ok(other) if other != *fingerprint => return Ok(Found::Other(other)),
            Ok(_) => {}
        }
        self.start = first;
        let (mut rows, mut at) = (0, first);
        loop {
            line.clear();
            let length = reader.read_until(b'\n', &mut line)? as u64;
            let row = serde_json::from_slice::<Row>(&line);
            let next = super::run::number(rows);
            if length == 0 || !line.ends_with(b"\n") || !row.is_ok_and(|r| r.row == next) {
                break;
            }
            rows += 1;
            at += length;
        }
        self.file.set_len(at)?;
        self.file.seek(SeekFrom::Start(at))?;
        Ok(Found::Rows(rows))
    }

    /// Adds a row.
    ///
    /// # Errors
    /// Where it cannot be written.
    pub fn add(&mut self, row: &Row) -> std::io::Result<()> {
        let mut line = serde_json::to_vec(row)?;
        line.push(b'\n');
        self.file.write_all(&line)
    }

    /// Hands over all rows, in order.
    ///
    /// # Errors
    /// Where they cannot be read, and the errors of `each`.
    pub fn rows(
        &mut self,
        mut each: impl FnMut(Row) -> std::io::Result<()>,
    ) -> std::io::Result<()> {
        self.file.seek(SeekFrom::Start(self.start))?;
        for line in BufReader::new(&self.file).split(b'\n') {
            each(serde_json::from_slice(&line?)?)?;
        }
        self.file.seek(SeekFrom::End(0))?;
        Ok(())
    }

    /// Removes the file: the result is written.
    ///
    /// # Errors
    /// Where it cannot be removed.
    pub fn finish(self) -> std::io::Result<()> {
        std::fs::remove_file(self.path)
    }
}

enum Found {
    Rows(usize),
    Other(Fingerprint),
    Foreign,
}
