//! Files → Text.

use crate::model::Text;

/// How much is read before a limit stops it.
#[derive(Clone, Debug)]
pub struct Limits {
    /// Bytes of one file.
    pub bytes: u64,
    /// Pages of one file.
    pub pages: u32,
    /// Characters of the whole letter.
    pub characters: usize,
    /// Seconds for reading one PDF, and one more for each page.
    pub seconds: u64,
    /// Address space of the process that reads a PDF, in bytes.
    pub memory: u64,
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            bytes: 100 << 20,
            pages: 200,
            characters: 4_000_000,
            seconds: 10,
            memory: 2 << 30,
        }
    }
}

/// A file that could not be read; the message names file, place and remedy.
#[derive(Debug, thiserror::Error)]
#[error("{file}: {message}")]
pub struct ReadError {
    /// As the user typed it.
    pub file: String,
    /// What is wrong and what to do.
    pub message: String,
}

/// Reads the files of one letter; `-` is standard input.
///
/// # Errors
/// [`ReadError`] where a file cannot be opened, is no text or PDF, needs a password or holds no text.
pub fn read(_files: &[String], _limits: &Limits) -> Result<Text, ReadError> {
    Ok(Text::default())
}
