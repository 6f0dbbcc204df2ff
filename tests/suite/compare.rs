//! Differences and reference wordings.

mod age;
mod claim;
mod diff;
mod letters;
mod order;
mod pairing;

use whomay::compare::{References, Within};
use whomay::patterns::Patterns;

fn patterns() -> Patterns {
    Patterns::as_written().expect("the embedded patterns load")
}

#[test]
fn every_wording_is_nearest_to_its_hits_and_not_to_its_misses() {
    let patterns = patterns();
    let mut wrong = Vec::new();
    let sets = ('a'..='l')
        .map(Within::Basis)
        .chain([Within::LightSportCategory]);
    let mut seen = std::collections::BTreeSet::new();
    for within in sets {
        let references = References::new(within, &patterns);
        for wording in &patterns.wording {
            let belongs = match within {
                Within::Basis(letter) => wording.file.is_of(letter),
                Within::LightSportCategory | Within::AnyBasis => wording.file.basis.is_empty(),
            };
            if !belongs {
                continue;
            }
            seen.insert(&wording.id);
            for hit in &wording.file.hit {
                let found = references.nearest(&hit.text);
                if found.first().map(|f| &f.0.id) != Some(&wording.id) {
                    let found: Vec<_> = found.iter().map(|(w, s)| (&w.id, s)).collect();
                    wrong.push(format!("{} hit: {found:?}", wording.id));
                }
            }
            for miss in &wording.file.miss {
                let found = references.nearest(&miss.text);
                if found.iter().any(|f| f.0.id == wording.id) {
                    wrong.push(format!("{} miss: {}", wording.id, miss.text));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert_eq!(seen.len(), patterns.wording.len());
    assert!(seen.len() >= 51);
}
