//! Rules by date.

use super::file::pattern_file;
use super::{Example, Loaded, PatternError};

pattern_file! {
    /// One file of `patterns/law/`.
    LawFile, hit: Example, miss: Example, {
        /// The kind of inspector.
        kind: String,
    }
}

pub(super) fn check(files: Vec<Loaded<LawFile>>) -> Result<Vec<Loaded<LawFile>>, PatternError> {
    Ok(files)
}
