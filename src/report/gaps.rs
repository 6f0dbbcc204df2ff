//! What is missing, doubtful or was not read, without layout.

use super::{Report, clean, words};

/// A flaw of the letter.
pub(crate) struct Flaw {
    /// The sentence.
    pub(crate) said: String,
    /// Where it shows.
    pub(crate) place: Option<String>,
    /// Index of the first clause that it touches.
    pub(crate) clause: Option<usize>,
    /// Its stable name.
    pub(crate) kind: &'static str,
}

/// The flaws, in their order.
pub(crate) fn flaws(report: &Report<'_>) -> Vec<Flaw> {
    let view = report.view();
    let flaws = report.letter.findings.iter().map(|flaw| Flaw {
        said: words::capital(&words::sentence(&clean::line(&report.defect(flaw)))),
        place: flaw.span.map(|span| view.place_words(span)),
        clause: flaw.clauses.first().copied(),
        kind: flaw.kind().name(),
    });
    flaws.collect()
}

/// The notes to the report; each names the page that it speaks of.
pub(crate) fn notes(report: &Report<'_>) -> Vec<String> {
    let notes = report.notes.iter();
    let said = notes.map(|note| words::sentence(&clean::line(&report.note(note))));
    said.collect()
}
