//! Reference wordings of the FAA's orders.

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
        /// Paragraphs of § 21.191.
        basis: Vec<String>,
        /// Item of the order's list.
        item: String,
        /// Topic.
        topic: String,
        /// The text.
        text: String,
    }
}
