//! Text → papers, before a sentence is read: what paper it is, whose it is, what is in force.
//!
//! `evidence` weighs what speaks for and against a letter of operating limitations, `alone` knows a
//! clause that was pasted without its letter, `papers` tells the pages of different papers apart,
//! `whose` the papers of different aircraft, `force` what was replaced; `paper` tells basis, dates
//! and aircraft, `sure` whether the words that say them can be relied on.

pub mod alone;
pub(crate) mod dates;
pub mod evidence;
pub(crate) mod force;
mod heads;
mod labels;
pub(crate) mod mixed;
pub(crate) mod named;
pub(crate) mod paper;
pub(crate) mod papers;
mod signs;
mod struck;
mod sure;
mod term;
pub mod tree;
pub mod whose;

use crate::model::{Letter, Span, Text};
use crate::patterns::{Patterns, Token};
use papers::Part;

/// What is known of the papers before a sentence is read.
pub(crate) struct Laid {
    /// The pages, with the paper that each belongs to.
    pub(crate) parts: Vec<Part>,
    /// The text without what counts nowhere; offsets are those of the whole text. `None` where
    /// everything counts.
    pub(crate) masked: Option<String>,
    /// The tokens of what counts.
    pub(crate) tokens: Vec<Token>,
}

/// Tells the papers apart. `letter` has its clauses, topics and citations; those of other papers
/// and those that were replaced are taken out, and everything known before a sentence is read is
/// filled in.
pub(crate) fn lay_out(
    letter: &mut Letter,
    text: &Text,
    tokens: Vec<Token>,
    patterns: &Patterns,
) -> Laid {
    let parts = paper::tell(letter, text, &tokens, patterns);
    let mut away = papers::left_out(&parts);
    let units = whose::units(letter, text, &tokens, &parts, patterns);
    letter.mixed = mixed::mixed(&units);
    let settled = force::settle(letter, text, &tokens, &parts, &units, patterns);
    away.extend(settled.away);
    papers::tell_replaced(letter, text, &parts);
    if away.is_empty() {
        return Laid {
            parts,
            masked: None,
            tokens,
        };
    }
    put_away(letter, &away);
    away.extend(settled.marks);
    letter.left_out.clone_from(&away);
    letter.left_out.sort_unstable();
    let tokens = tokens
        .into_iter()
        .filter(|t| !away.iter().any(|a| a.overlaps(t.span)))
        .collect();
    Laid {
        parts,
        masked: Some(masked(&text.content, &away)),
        tokens,
    }
}

/// The text with blanks in the place of what counts nowhere.
fn masked(content: &str, away: &[Span]) -> String {
    let mut out = String::with_capacity(content.len());
    for (at, c) in content.char_indices() {
        let gone = c != '\n' && away.iter().any(|a| a.start <= at && at < a.end);
        if gone {
            out.extend(std::iter::repeat_n(' ', c.len_utf8()));
        } else {
            out.push(c);
        }
    }
    out
}

/// Takes clauses, topics and citations out that count nowhere.
fn put_away(letter: &mut Letter, away: &[Span]) {
    // A line through some words of a clause leaves the rest of it in force.
    let gone = |span: Span| {
        away.iter()
            .any(|a| a.contains(span) || span.start == span.end && a.overlaps(span))
    };
    let kept: Vec<bool> = letter.clauses.iter().map(|c| !gone(c.body)).collect();
    let mut next = 0;
    let places: Vec<Option<usize>> = kept
        .iter()
        .map(|kept| {
            kept.then(|| {
                next += 1;
                next - 1
            })
        })
        .collect();
    let mut keep = kept.iter();
    letter
        .topics
        .retain(|_| keep.next().copied().unwrap_or(true));
    let mut keep = kept.iter();
    letter
        .clauses
        .retain(|_| keep.next().copied().unwrap_or(true));
    for clause in &mut letter.clauses {
        let parent = clause.parent.and_then(|p| places.get(p).copied().flatten());
        if parent.is_none() && clause.parent.is_some() {
            clause.level = 1;
        }
        clause.parent = parent;
    }
    letter.citations.retain(|c| !gone(c.span));
    rename(letter);
}

/// The clause that took the place of another one takes its id: "4/2" is "4" where no other "4" is
/// left.
fn rename(letter: &mut Letter) {
    let ids: Vec<String> = letter.clauses.iter().map(|c| c.id.clone()).collect();
    for clause in &mut letter.clauses {
        let Some((base, rest)) = clause.id.split_once('/') else {
            continue;
        };
        let (turn, below) = rest.split_at(
            rest.find(|c: char| !c.is_ascii_digit())
                .unwrap_or(rest.len()),
        );
        let new = format!("{base}{below}");
        if turn == "2" && !ids.iter().any(|id| *id == new || id == base) {
            clause.id = new;
        }
    }
}

/// The registration marks of two letters, where each has some and they have none in common.
pub(crate) fn different_marks(a: &str, b: &str) -> Option<(String, String)> {
    let marks = |content: &str| labels::marks_in(content, Span::new(0, content.len()));
    let (of_a, of_b) = (marks(a), marks(b));
    let common = of_a.iter().any(|(m, _)| of_b.iter().any(|(n, _)| m == n));
    let ((_, first), (_, second)) = (of_a.first()?, of_b.first()?);
    (!common).then(|| (first.of(a).to_owned(), second.of(b).to_owned()))
}
