//! The clauses of a letter as comparisons take them: level 1 with the text of their sub-items.

use super::tokens::{DiffTokenKind, tokens};
use super::words::WordRole;
use crate::model::{Clause, Letter, Span, Text};
use crate::patterns::Patterns;

/// A clause of level 1 with everything that belongs to it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Passage<'t> {
    /// Index in [`Letter::clauses`].
    pub(super) clause: usize,
    /// Where its words stand.
    pub(super) span: Span,
    /// Its words, without number and item.
    pub(super) body: &'t str,
    /// Its topics.
    pub(super) topics: &'t [String],
}

/// The clauses that say something: without letterhead, headings, dates and signatures, which
/// stand without a number and lay no duty.
pub(super) fn of_substance<'t>(
    letter: &'t Letter,
    text: &'t Text,
    patterns: &Patterns,
) -> Vec<Passage<'t>> {
    let first = letter.clauses.iter().position(|c| c.number.is_some());
    let furniture = |p: &Passage<'_>| {
        // What leads in to all clauses is none of them.
        if first.is_some_and(|first| p.clause < first) && p.body.ends_with(':') {
            return true;
        }
        letter.clauses.get(p.clause).is_some_and(|clause| {
            // The initial of who signs reads as a number that has stood before.
            let initial = clause.number.as_ref().is_some_and(|n| clause.id != n.label);
            (clause.is_paragraph() || initial) && is_furniture(p.body, patterns)
        })
    };
    let mut out = level_one(letter, text);
    out.retain(|p| !furniture(p));
    if let Some(last) = out.last_mut() {
        without_signature(last, letter, text, patterns);
    }
    out
}

/// Takes off the paragraphs at the end of the last clause that are furniture: names and titles of who
/// signs, which stand behind every number of the letter.
fn without_signature<'t>(
    last: &mut Passage<'t>,
    letter: &'t Letter,
    text: &'t Text,
    patterns: &Patterns,
) {
    // An initial may have been read as a number.
    let initial = |c: &Clause| {
        let number = c.number.as_ref().map(|n| n.printed.as_bytes());
        matches!(number, Some([b'A'..=b'Z', b'.']))
            && is_furniture(c.body.of(&text.content), patterns)
    };
    let numbered = letter
        .clauses
        .iter()
        .filter(|c| !c.is_paragraph() && !initial(c));
    let Some(start) = numbered.map(|c| c.body.start).max() else {
        return;
    };
    while let Some((before, tail)) = last.span.of(&text.content).trim_end().rsplit_once("\n\n") {
        let end = last.span.start + before.len();
        if end <= start || before.trim().is_empty() || !is_furniture(tail, patterns) {
            break;
        }
        last.span.end = end;
        last.body = last.span.of(&text.content).trim();
    }
}

/// Whether a paragraph without a number is furniture: no sentence, and no duty, leave or bar.
fn is_furniture(body: &str, patterns: &Patterns) -> bool {
    let tokens = tokens(body, &patterns.list);
    let norm = tokens.iter().enumerate().any(|(n, a)| {
        let next = tokens.get(n + 1);
        match a.role {
            // "May 14" is a day, …
            WordRole::Leave => next.is_none_or(|t| t.kind != DiffTokenKind::Number),
            // … and "No. 93" or "No 93" a number.
            WordRole::Negation => {
                next.is_none_or(|t| t.kind == DiffTokenKind::Word || t.kind == DiffTokenKind::Blank)
            }
            WordRole::Duty => true,
            _ => false,
        }
    });
    let words = body.split_whitespace().count();
    let sentence = words >= 6 && ends_a_sentence(body);
    !norm && !sentence
}

/// Whether a text ends as a sentence does; a group in parentheses may stand behind the sentence,
/// but ends none: a letterhead may have one behind a serial number.
fn ends_a_sentence(text: &str) -> bool {
    let text = text.trim_end();
    let group = text.strip_suffix(')').and_then(|inner| {
        let (before, inside) = inner.rsplit_once('(')?;
        (!inside.ends_with('.')).then_some(before.trim_end())
    });
    let text = group.unwrap_or(text).trim_end_matches(')');
    text.ends_with(['.', ';', ':', '"', '”'])
}

/// The clauses of level 1 in the order of the letter.
pub(super) fn level_one<'t>(letter: &'t Letter, text: &'t Text) -> Vec<Passage<'t>> {
    let mut out: Vec<Passage<'t>> = Vec::new();
    // For each clause the passage that it belongs to.
    let mut of: Vec<Option<usize>> = Vec::with_capacity(letter.clauses.len());
    for (n, clause) in letter.clauses.iter().enumerate() {
        let home = clause
            .parent
            .filter(|p| *p < n)
            .and_then(|p| of.get(p).copied().flatten());
        match home {
            Some(home) => {
                if let Some(passage) = out.get_mut(home) {
                    passage.span.end = passage.span.end.max(clause.body.end);
                }
                of.push(Some(home));
            }
            None if clause.level <= 1 => {
                of.push(Some(out.len()));
                out.push(Passage {
                    clause: n,
                    span: clause.body,
                    body: "",
                    topics: letter.topics.get(n).map_or(&[], Vec::as_slice),
                });
            }
            None => of.push(None),
        }
    }
    for passage in &mut out {
        passage.body = passage.span.of(&text.content).trim();
    }
    out
}
