//! What each clause is about.

use super::sentences::sentences;
use crate::model::{Clause, Span};
use crate::patterns::{Patterns, Token, TopicSign, Topics};

/// The topics of each clause, parallel to `clauses`, in the order of the names; `other` where none
/// is found.
#[must_use]
pub fn topics(
    text: &str,
    tokens: &[Token],
    sentences: &[Span],
    clauses: &[Clause],
    patterns: &Patterns,
) -> Vec<Vec<String>> {
    clauses
        .iter()
        .map(|clause| {
            let start = tokens.partition_point(|t| t.span.start < clause.span.start);
            let end = tokens.partition_point(|t| t.span.start < clause.span.end);
            let tokens = tokens.get(start..end).unwrap_or(&[]);
            let names = names(
                &patterns.topic,
                &of_tokens(text, tokens, sentences, &patterns.topic),
            );
            if names.is_empty() {
                vec!["other".to_owned()]
            } else {
                names
            }
        })
        .collect()
}

/// The topics of a text that is one clause, in the order of the names; none where none is found.
#[must_use]
pub fn of_text(text: &str, patterns: &Patterns) -> Vec<String> {
    let tokens = patterns.lexicon.tokens(text);
    let sentences = sentences(text, &tokens, &[], patterns);
    let found = of_tokens(text, &tokens, &sentences, &patterns.topic);
    names(&patterns.topic, &found)
}

/// The subjects of a text that is one clause: ascending places of their files in
/// [`Patterns::subject`].
#[must_use]
pub fn subjects(text: &str, patterns: &Patterns) -> Vec<usize> {
    let known = patterns.subject();
    let tokens = known.tokens(text);
    let sentences = sentences(text, &tokens, &[], patterns);
    of_tokens(text, &tokens, &sentences, &known.topics)
}

fn names(known: &Topics, found: &[usize]) -> Vec<String> {
    found.iter().map(|n| known.name(*n).to_owned()).collect()
}

/// What was seen of a topic in a sentence.
#[derive(Clone, Copy, Default)]
struct Seen {
    any: bool,
    needs: bool,
    unless: bool,
}

/// The files of `known` whose signs stand in a text, ascending.
fn of_tokens(text: &str, tokens: &[Token], sentences: &[Span], known: &Topics) -> Vec<usize> {
    let mut found = vec![false; known.files.len()];
    let mut seen = vec![Seen::default(); known.files.len()];
    let mut touched = false;
    for at in 0..tokens.len() {
        for (_, signs) in known.phrases.all_at(tokens, at) {
            for (file, sign) in signs {
                let Some(slot) = seen.get_mut(*file) else {
                    continue;
                };
                touched = true;
                match sign {
                    TopicSign::Any => slot.any = true,
                    TopicSign::Needs => slot.needs = true,
                    TopicSign::Unless => slot.unless = true,
                }
            }
        }
        if touched && (at + 1 == tokens.len() || ends_sentence(text, tokens, sentences, at)) {
            for (n, slot) in seen.iter_mut().enumerate() {
                let needed = known.files.get(n).is_some_and(|f| !f.file.needs.is_empty());
                if slot.any
                    && (slot.needs || !needed)
                    && !slot.unless
                    && let Some(hit) = found.get_mut(n)
                {
                    *hit = true;
                }
                *slot = Seen::default();
            }
            touched = false;
        }
    }
    found
        .iter()
        .enumerate()
        .filter(|(_, hit)| **hit)
        .map(|(n, _)| n)
        .collect()
}

/// A full stop before a capital that ends a sentence: that of "FAR 43 App. D" does not. The items of a list are one
/// sentence here, though they are several elsewhere.
fn ends_sentence(text: &str, tokens: &[Token], sentences: &[Span], at: usize) -> bool {
    let (Some(token), Some(next)) = (tokens.get(at), tokens.get(at + 1)) else {
        return true;
    };
    matches!(token.span.of(text), "." | "!" | "?")
        && !next.glued
        && next
            .span
            .of(text)
            .starts_with(|c: char| c.is_uppercase() || c == '"' || c == '“')
        && sentences
            .binary_search_by_key(&next.span.start, |s| s.start)
            .is_ok()
}
