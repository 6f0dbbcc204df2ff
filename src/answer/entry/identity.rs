//! What a letter says its aircraft is, to hold an entry against.

use super::figures;
use super::names;
use super::words::Words;
use crate::patterns::EntryRole;

/// Marks, serial numbers and builder of the letter's aircraft.
pub(super) struct Identity {
    pub(super) marks: Vec<String>,
    /// Letters and figures alone.
    pub(super) serials: Vec<String>,
    /// The builder, where a label of the letter names somebody.
    pub(super) builder: Option<String>,
}

impl Identity {
    pub(super) fn of(letter: &Words<'_>) -> Self {
        Self {
            marks: figures::marks(letter)
                .into_iter()
                .map(|m| m.words)
                .collect(),
            serials: figures::serials(letter)
                .into_iter()
                .map(|s| figures::bare(&s.words))
                .collect(),
            builder: builder(letter),
        }
    }
}

/// The name behind the first label of a builder that stands as one: before a colon or dots.
fn builder(letter: &Words<'_>) -> Option<String> {
    letter.all(EntryRole::BuilderLabel).find_map(|label| {
        let behind = letter.past_leader(label.to);
        let leads = behind > label.to || letter.word(label.to) == ":";
        let at = behind.max(label.to + 1);
        let same_line = letter.line_of(at) == letter.line_of(label.from);
        // Two columns: what stands behind a wide gap, or before a colon, is another field.
        let end = names::name_end(letter, at, &[]);
        let to = (at + 1..end)
            .find(|n| letter.gap(*n).chars().count() > 1 || letter.word(*n + 1) == ":")
            .unwrap_or(end);
        let parts = (at..to).filter(|n| !letter.is_mark(*n)).count();
        (leads && same_line && parts >= 2).then(|| letter.between(at, to))
    })
}
