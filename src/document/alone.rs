//! A clause pasted alone: one to a few sentences about who inspects, with no paper around them.

use super::evidence::Tally;
use crate::model::{Letter, Text};
use crate::patterns::Token;

/// Words of a clause with its neighbours at most.
const WORDS: usize = 240;
/// Clauses of the first level at most.
const CLAUSES: usize = 4;
/// What speaks for another paper has to weigh less.
const DOUBT: u32 = 4;

/// Whether the text is a clause alone. It is not where it has a title, where more than one clause
/// speaks of other things than inspections, or where other words than those of a letter stand
/// around it.
#[must_use]
pub fn is_clause(letter: &Letter, text: &Text, tokens: &[Token], tally: &Tally) -> bool {
    let content = &text.content;
    let mut words = content.split_whitespace();
    if text.pages() > 1
        || text.sources.len() > 1
        || words.nth(WORDS).is_some()
        || tally.title > 0
        || tally.other().1 >= DOUBT
        || content.contains('?')
    {
        return false;
    }
    let inspects = tokens.iter().any(|t| {
        let word = t.span.of(content);
        word.get(..7)
            .is_some_and(|w| w.eq_ignore_ascii_case("inspect"))
            || word.eq_ignore_ascii_case("insp")
    });
    let firsts: Vec<usize> = (0..letter.clauses.len())
        .filter(|n| letter.clauses[*n].parent.is_none())
        .filter(|n| {
            let body = letter.clauses[*n].body.of(content);
            body.split_whitespace().nth(3).is_some()
        })
        .collect();
    let strays = firsts
        .iter()
        .filter(|n| {
            let topics = letter.topics.get(**n).map_or(&[][..], Vec::as_slice);
            let inspection = topics.iter().any(|t| INSPECTION.contains(&t.as_str()));
            !inspection && topics.iter().any(|t| t != "other")
        })
        .count();
    inspects && firsts.len() <= CLAUSES && strays * 2 <= firsts.len() && strays <= 1
}

/// The topics of inspections.
const INSPECTION: [&str; 3] = ["inspection-who", "inspection-when", "inspection-record"];
