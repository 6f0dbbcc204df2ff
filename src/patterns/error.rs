//! Why a pattern file cannot be used.

/// A pattern file that cannot be used.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum PatternError {
    /// The file cannot be read.
    #[error("{file}: cannot be read: {cause}")]
    Unreadable {
        /// Path as given.
        file: String,
        /// The system's message.
        cause: std::io::Error,
    },
    /// The file breaks the form of pattern files.
    #[error("{file}: {message}")]
    Form {
        /// Path as given.
        file: String,
        /// What is wrong, with line and column, and what is expected.
        message: String,
    },
}
