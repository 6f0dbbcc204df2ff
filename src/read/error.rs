//! Why a file cannot be read, and what an error and a note say in the same words.

use crate::model::GaveUp;

/// A file that could not be read; the message names file, place and remedy.
#[derive(Debug, thiserror::Error)]
#[error("{file}: {message}")]
pub struct ReadError {
    /// As the user typed it.
    pub file: String,
    /// What is wrong and what to do.
    pub message: String,
}

/// What to do with pages whose words are no text.
pub(crate) const BY_OCR_PROGRAM: &str = "run it through an OCR program that writes a PDF with text \
    or a text file, or type the clauses into a text file";

/// A page that OCR gave up.
pub(crate) fn gave_up(page: u32, why: GaveUp) -> String {
    let why = match why {
        GaveUp::TooLong { seconds } => format!("reading it took more than {seconds} seconds"),
        GaveUp::TooLarge => "it has more than 100 million pixels".into(),
        GaveUp::Cut => "its picture breaks off".into(),
        GaveUp::Unknown => "its picture is of a kind that is not known".into(),
        GaveUp::Damaged => "its picture is damaged".into(),
    };
    format!(
        "Page {page} could not be read by OCR: {why}. Scan it again at 200 to 300 dots per inch."
    )
}
