//! Reference wordings of the FAA's orders.

use serde::Deserialize;

use super::Example;
use super::file::pattern_file;

pattern_file! {
    /// One file of `patterns/wording/`.
    WordingFile, hit: Example, miss: Example, {
        /// Family of revisions: `8130.2F`.
        series: String,
        /// Revision in words.
        revision: String,
        /// Date of the revision as far as known: `2007-04-18`, `2011`, empty.
        issued: String,
        /// Paragraphs of § 21.191; none for a paper of the light-sport category.
        basis: Vec<String>,
        /// Item of the order's list.
        item: String,
        /// Topic.
        topic: String,
        /// The text, as far as it is known; never completed by guesswork.
        text: String,
        /// Which end of the text is missing.
        #[serde(default)]
        cut: Cut,
        /// Ids of the wordings in whose place it stands: an issuer takes the one or the other.
        #[serde(default)]
        instead_of: Vec<String>,
        /// What a reader has to know about the text.
        #[serde(default)]
        note: String,
    }
}

/// Which end of a wording is missing.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize)]
pub enum Cut {
    /// The text is whole.
    #[default]
    #[serde(rename = "")]
    Whole,
    /// It begins in the middle.
    #[serde(rename = "start")]
    Start,
    /// It ends in the middle.
    #[serde(rename = "end")]
    End,
    /// Both.
    #[serde(rename = "both")]
    Both,
}

impl WordingFile {
    /// Whether the wording is one of that paragraph of § 21.191.
    #[must_use]
    pub fn is_of(&self, letter: char) -> bool {
        self.basis.iter().any(|b| b.starts_with(letter))
    }
}
