//! Papers of different aircraft that were handed in as one letter: what differs, in words.

use super::{View, clean};
use crate::model::{Letter, Mixed, Text, Whose};

/// What differs, one line a kind.
#[must_use]
pub fn differences(text: &Text, letter: &Letter, mixed: &Mixed) -> Vec<String> {
    let view = View::new(text, letter);
    mixed
        .differences
        .iter()
        .map(|differs| {
            let values: Vec<String> = differs
                .spans
                .iter()
                .filter_map(|spans| spans.first())
                .map(|span| {
                    let words = span.of(&text.content).trim();
                    if words.is_empty() {
                        view.place_words(*span)
                    } else {
                        format!("{} ({})", clean::line(words), view.place_words(*span))
                    }
                })
                .collect();
            format!("{}: {}", whose(differs.whose), values.join(" against "))
        })
        .collect()
}

const fn whose(whose: Whose) -> &'static str {
    match whose {
        Whose::Mark => "registration mark",
        Whose::Serial => "serial number",
        Whose::Make => "make",
        Whose::Day => "day of issue",
    }
}

/// Why nothing is answered, for people.
#[must_use]
pub fn stop(text: &Text, letter: &Letter, mixed: &Mixed) -> String {
    format!(
        "{} letters of different aircraft were handed in as one: {}. Together they get no answer.",
        mixed.letters.len(),
        differences(text, letter, mixed).join("; ")
    )
}

/// A heading for one of several letters: its number, and the files that it comes from.
#[must_use]
pub fn heading(number: usize, of: usize, text: &Text) -> String {
    let place = |at: usize| text.place(at);
    let (first, last) = (place(0), place(text.content.len()));
    let files: Vec<String> = text.sources.iter().map(|s| clean::line(&s.name)).collect();
    let pages = if first.source == last.source && first.page != last.page {
        format!(", pages {} to {}", first.page, last.page)
    } else if first.source == last.source && first.line > 1 {
        format!(", page {} from line {} on", first.page, first.line)
    } else {
        String::new()
    };
    format!("Letter {number} of {of}: {}{pages}", files.join(", "))
}
