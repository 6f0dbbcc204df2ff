//! Readings of the dispute.

use super::file::pattern_file;
use super::{Example, Loaded, PatternError};

pattern_file! {
    /// One file of `patterns/reading/`.
    ReadingFile, hit: Example, miss: Example, {
        /// Kinds that it speaks of.
        kinds: Vec<String>,
    }
}

pub(super) fn check(
    files: Vec<Loaded<ReadingFile>>,
) -> Result<Vec<Loaded<ReadingFile>>, PatternError> {
    Ok(files)
}
