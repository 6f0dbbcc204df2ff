//! Which kinds of inspector a wording names, and where.

use crate::model::{InspectorRule, Kind, Span};
use crate::patterns::{Patterns, WordList};
use crate::understand::{Split, inspectors, sentences};

/// What a wording that stands alone says about who may inspect.
pub(super) fn rules(text: &str, patterns: &Patterns) -> Vec<InspectorRule> {
    if !patterns
        .list
        .within(&text.to_ascii_lowercase(), WordList::Inspecting)
    {
        return Vec::new();
    }
    let tokens = patterns.lexicon.tokens(text);
    let sentences = sentences::sentences(text, &tokens, &[], patterns);
    let split = Split {
        text,
        tokens: &tokens,
        clauses: &[],
        sentences: &sentences,
        citations: &[],
    };
    inspectors::inspectors(&split, &[], 1, patterns).rules
}

/// The kinds that the rules name, in the order of the text.
pub(super) fn named(rules: &[InspectorRule]) -> Vec<(Kind, Span)> {
    let mut out: Vec<(Kind, Span)> = rules
        .iter()
        .flat_map(|r| &r.named)
        .map(|n| (n.kind, n.span))
        .collect();
    out.sort_by_key(|(kind, span)| (span.start, span.end, *kind));
    out.dedup();
    out
}
