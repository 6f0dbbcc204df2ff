//! What counts nowhere because something took its place, in words.

use super::{View, clean};
use crate::model::{Letter, ReplacedBy};

/// A line for each stretch that was replaced.
#[must_use]
pub fn lines(view: &View<'_>, letter: &Letter) -> Vec<String> {
    letter
        .replaced
        .iter()
        .map(|replaced| {
            let what = replaced
                .id
                .as_ref()
                .filter(|_| !matches!(replaced.by, ReplacedBy::LaterLetter(_)))
                .map_or_else(
                    || "Words".to_owned(),
                    |id| format!("Limitation {}", clean::line(id)),
                );
            let by = match replaced.by {
                ReplacedBy::Amendment => "replaced by a clause of the amendment".to_owned(),
                ReplacedBy::Deletion => "deleted by the amendment".to_owned(),
                ReplacedBy::LaterLetter(day) => format!("replaced by the letter of {day}"),
                ReplacedBy::Struck => "with a line through them".to_owned(),
            };
            let words = view.words(replaced.span);
            let mut shown: String = words.chars().take(SHOWN).collect();
            if shown.len() < words.len() {
                shown.push_str(" ...");
            }
            format!(
                "{what}, {by} ({}): \"{shown}\"",
                view.place_words(replaced.span)
            )
        })
        .collect()
}

/// Characters of the words that are shown.
const SHOWN: usize = 300;
