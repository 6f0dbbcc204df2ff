//! Why a file cannot be read.

/// A file that could not be read; the message names file, place and remedy.
#[derive(Debug, thiserror::Error)]
#[error("{file}: {message}")]
pub struct ReadError {
    /// As the user typed it.
    pub file: String,
    /// What is wrong and what to do.
    pub message: String,
}
