//! Which words of a sentence point out of it, to a list beside it: "this does not apply to", "such a
//! person". A relative ("defects that affect safety") points into its own sentence, and "this letter",
//! "this office" to what every sentence of a letter is about.

use crate::patterns::{WordList, WordLists};

/// Whether the word at a place of a sentence points out of it. `word` gives the words in small letters,
/// and an empty one where there is none; `first` is the place of the first.
pub(crate) fn points(
    lists: &WordLists,
    word: &dyn Fn(usize) -> String,
    first: usize,
    at: usize,
) -> bool {
    let own = word(at);
    if !lists.has(&own, WordList::PointsBack) {
        return false;
    }
    let before = if at > first {
        word(at - 1)
    } else {
        String::new()
    };
    let next = word(at + 1);
    match own.as_str() {
        "that" => !is_relative(lists, &before),
        "this" | "these" => !lists.has(&next, WordList::OfLetter),
        _ => true,
    }
}

/// "Defects that affect safety": a noun stands right before it, no preposition and no conjunction.
fn is_relative(lists: &WordLists, before: &str) -> bool {
    let letters = before.len() > 2 && before.bytes().all(|b| b.is_ascii_alphabetic());
    letters && !lists.has(before, WordList::BeforePronoun)
}
