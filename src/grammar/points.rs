//! Which words of a sentence point out of it, to a list beside it: "this does not apply to", "such a
//! person". A relative ("defects that affect safety") points into its own sentence, and "this letter",
//! "this office" to what every sentence of a letter is about.

use crate::patterns::{WordList, WordLists};

/// Whether the word at a place of a sentence points out of it. `word` gives the words in small letters,
/// and an empty one where there is none; `first` is the place of the first. `quiet`: the sentence says nothing
/// of authority, so that "this letter" in it is no more than the paper.
pub(crate) fn points(
    lists: &WordLists,
    word: &dyn Fn(usize) -> String,
    first: usize,
    at: usize,
    quiet: bool,
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
        "this" | "these" => !(quiet && lists.has(&next, WordList::OfLetter)),
        _ => true,
    }
}

/// "Defects that affect safety": a noun stands right before it, no preposition and no conjunction.
fn is_relative(lists: &WordLists, before: &str) -> bool {
    let letters = before.len() > 2 && before.bytes().all(|b| b.is_ascii_alphabetic());
    letters && !lists.has(before, WordList::BeforePronoun)
}

/// How far behind a genitive its thing may stand: "the builder's repairman certificate".
const LONGEST_GENITIVE: usize = 3;

/// "The builder's privileges", "a mechanic's approval": somebody who could inspect, as a genitive of no mere
/// thing. `words` are the places of a sentence.
pub(crate) fn genitive(
    lists: &WordLists,
    word: &dyn Fn(usize) -> String,
    words: std::ops::Range<usize>,
) -> bool {
    words.clone().any(|at| {
        let own = word(at).replace('’', "'");
        let near = at + 1..words.end.min(at + 1 + LONGEST_GENITIVE);
        lists.has(&own, WordList::GenitivePerson)
            && !near
                .into_iter()
                .any(|n| lists.has(&word(n), WordList::GenitiveThing))
    })
}
