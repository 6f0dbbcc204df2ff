//! Citations against paragraphs of 14 CFR labelled by hand. Source: `data/cfr.SOURCE.md`.

use std::collections::BTreeSet;

use serde::Deserialize;
use whomay::patterns::Patterns;
use whomay::understand::{Context, citations::citations};

#[derive(Deserialize)]
struct Labelled {
    part: String,
    text: String,
    cites: BTreeSet<String>,
}

#[test]
fn every_target_is_found() {
    let patterns = Patterns::embedded().expect("embedded patterns");
    for line in include_str!("data/cfr_citations.jsonl").lines() {
        let item: Labelled = serde_json::from_str(line).expect("a paragraph");
        let context = Context {
            part: Some(&item.part),
            ..Context::default()
        };
        let tokens = patterns.lexicon.tokens(&item.text);
        let found: BTreeSet<String> = citations(&item.text, &tokens, context, &patterns)
            .into_iter()
            .map(|c| c.target)
            .collect();
        assert_eq!(found, item.cites, "{}", item.text);
    }
}
