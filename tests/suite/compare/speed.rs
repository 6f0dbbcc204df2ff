//! Speed of comparisons; run by hand in a release build:
//! `cargo test --release --test suite compare::speed -- --ignored --nocapture`

use std::time::{Duration, Instant};

use whomay::compare::{age, claim, compare, letters};
use whomay::patterns::Patterns;

use super::pairing::{Dice, bare, letter};

/// The best of some runs.
fn best(mut run: impl FnMut()) -> Duration {
    (0..5)
        .map(|_| {
            let start = Instant::now();
            run();
            start.elapsed()
        })
        .min()
        .unwrap_or_default()
}

#[test]
#[ignore = "measures a release build"]
fn comparisons_are_fast() {
    let patterns = Patterns::embedded().expect("the embedded patterns load");
    let held: Vec<String> = patterns
        .wording
        .iter()
        .filter(|w| w.file.is_of('g'))
        .map(|w| bare(&w.file.text).to_owned())
        .collect();
    let dice = &mut Dice::new(1);
    // Clauses of the length of real ones, all different.
    let mut many = |n: usize| -> Vec<String> {
        (0..n)
            .map(|n| {
                let (a, b) = (&held[dice.below(held.len())], &held[dice.below(held.len())]);
                let words: Vec<&str> = a.split(' ').chain(b.split(' ')).collect();
                let kept: Vec<&str> = words.into_iter().filter(|_| dice.chance(50)).collect();
                format!("Item {n} says: {}", kept.join(" "))
            })
            .collect()
    };
    let (text, thirty) = letter(&held[..30], 'g');
    let took = best(|| {
        assert!(!compare(&thirty, &text, &patterns).clauses.is_empty());
    });
    println!(
        "30 clauses against {} wordings: {took:?}",
        patterns.wording.len()
    );
    assert!(took < Duration::from_millis(20));
    let took_age = best(|| {
        assert!(!age(&thirty, &text, &patterns).candidates.is_empty());
    });
    println!("age of 30 clauses: {took_age:?}");
    let took_claim = best(|| {
        let said = claim(
            &thirty,
            &text,
            "Only a mechanic may perform the condition inspection.",
            &patterns,
        );
        assert!(!said.is_empty());
    });
    println!("a claim against 30 clauses: {took_claim:?}");
    let (small_text, small) = letter(&many(100), 'g');
    let (large_text, large) = letter(&many(1000), 'g');
    let took = best(|| {
        assert!(
            !letters((&small, &small_text), (&large, &large_text), &patterns)
                .pairs
                .is_empty()
        );
    });
    println!("100 against 1,000 clauses: {took:?}");
    assert!(took < Duration::from_secs(1));
}
