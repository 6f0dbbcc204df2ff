//! The cure of a fault told in a breath with it and without a verb: something new in its place.

use super::words::Words;
use super::work::is_done;
use crate::patterns::entry::means;
use crate::patterns::{EntryMark, EntryRole, TokenKind};

/// "Owner says it 'pulled left like a mule' - rigging reset", "owner says cold cabin (new seal)": what was heard, and behind
/// a stroke or in brackets the work on it.
pub(super) fn heard_and_done(words: &Words<'_>, mark: &EntryMark) -> bool {
    let segment = words.segment_of(mark.from);
    let here = |n: &usize| words.segment_of(*n) == segment;
    let stroke = (mark.to..words.tokens.len())
        .take_while(here)
        .find(|n| OPENS_CURE.contains(&words.word(*n)) && !words.gap(*n).is_empty());
    let inspection = words.tokens_of(segment).any(|n| {
        words.covered_by(
            &[
                EntryRole::Affirmative,
                EntryRole::Negative,
                EntryRole::Inspected,
                EntryRole::Unfinished,
                EntryRole::Certificate,
            ],
            n,
        )
    });
    let done = |at: usize| {
        words
            .all(EntryRole::Corrected)
            .any(|m| m.from > at && here(&m.from) && is_done(words, m))
            || renewed(words, at).is_some()
    };
    words.means(mark) == means::HEARSAY && !inspection && stroke.is_some_and(done)
}

/// Marks behind which the cure of a fault stands.
const OPENS_CURE: [&str; 7] = ["-", ":", "(", ">", "\u{2013}", "\u{2014}", "\u{2192}"];

/// "left door won't latch (new striker)": behind the doubt, in brackets or behind a stroke, something new. No need
/// may stand beside it.
pub(super) fn renewed_behind(words: &Words<'_>, mark: &EntryMark) -> bool {
    let segment = words.segment_of(mark.from);
    let inspection = (mark.from..mark.to + RENEWED)
        .filter(|n| words.segment_of(*n) == segment)
        .any(|n| {
            words.covered(EntryRole::Affirmative, n)
                || words.covered(EntryRole::Inspected, n)
                || words.covered(EntryRole::Aircraft, n)
        });
    let looks = (mark.from..mark.to + 3).any(|n| words.says(n, means::LOOKS_INTO));
    words.means(mark).is_empty()
        && !inspection
        && !looks
        && renewed(words, mark.to).is_some_and(|n| n <= mark.to + RENEWED)
}

/// So many tokens behind a fault what was put in its place may stand.
const RENEWED: usize = 8;

/// The place behind `at`, in its sentence, where something new was put in, told without a verb.
pub(super) fn renewed(words: &Words<'_>, at: usize) -> Option<usize> {
    let segment = words.segment_of(at);
    (at..words.tokens.len())
        .take_while(|n| words.segment_of(*n) == segment)
        .find(|n| {
            let noun = words.tokens.get(n + 2).map(|t| t.kind) == Some(TokenKind::Word)
                && !words.covered(EntryRole::Discrepancy, n + 2);
            let open = (n + 1..n + 6).any(|n| {
                words.segment_of(n) == segment
                    && (words.covered(EntryRole::Doubt, n)
                        || words.covered(EntryRole::Advice, n)
                        || words.covered(EntryRole::Later, n)
                        || words.says(n, means::NEEDED)
                        || words.says(n, means::BY_THEN))
            });
            OPENS_CURE.contains(&words.word(*n)) && words.says(n + 1, means::FRESH) && noun && !open
        })
}
