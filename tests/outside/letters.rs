//! Whole letters of an author who saw the reference wordings, but not the program: date, basis,
//! age, and the pairing of clauses with wordings.
//!
//! Source: `data/letters/`, written for this project; its README tells how it is labelled.

use std::collections::BTreeSet;

use serde_json::Value;
use whomay::model::{Letter, Text};
use whomay::patterns::Patterns;

/// The names of families in the key, and in the pattern files.
const FAMILIES: [(&str, &str); 10] = [
    ("before-1999", "AC 20-27D / 8130.2C"),
    ("D", "8130.2D"),
    ("E", "8130.2E"),
    ("F", "8130.2F to CHG 3"),
    ("F-chg4", "8130.2F CHG 4/5"),
    ("G", "8130.2G"),
    ("H", "8130.2H"),
    ("J", "8130.2J"),
    ("K", "8130.2K"),
    ("L", "8130.2L"),
];

fn letters(patterns: &Patterns) -> Vec<(Value, Text, Letter)> {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/outside/data/letters");
    std::fs::read_to_string(format!("{folder}/gold.jsonl"))
        .expect("the key is in the repository")
        .lines()
        .map(|line| {
            let key: Value = serde_json::from_str(line).expect("one JSON object a line");
            let file = format!(
                "{folder}/{}",
                key["file"].as_str().expect("every line names a file")
            );
            let text = whomay::read(&[file], &whomay::read::Limits::default()).expect("it is text");
            let letter = whomay::understand(&text, patterns);
            (key, text, letter)
        })
        .collect()
}

#[test]
fn day_of_issue_and_basis_are_those_of_the_key() {
    let patterns = Patterns::embedded().expect("the embedded patterns are well formed");
    let mut without_basis = Vec::new();
    for (key, _, letter) in letters(&patterns) {
        let issued = letter.issued.value.map(|d| d.to_string());
        assert_eq!(issued.as_deref(), key["issued"].as_str(), "{}", key["file"]);
        match letter.basis.value {
            Some(basis) => assert_eq!(
                Some(basis.letter.to_string().as_str()),
                key["basis"].as_str(),
                "{}",
                key["file"]
            ),
            None => without_basis.push(key["file"].to_string()),
        }
    }
    // Not told beats told wrongly: this one names its purpose nowhere.
    assert_eq!(without_basis, ["\"08-lapwing-chg4-split.txt\""]);
}

#[test]
fn the_right_family_comes_first_where_the_words_tell() {
    let patterns = Patterns::embedded().expect("the embedded patterns are well formed");
    let mut told = 0;
    let mut right = 0;
    for (key, text, letter) in letters(&patterns) {
        if key["family"]["tell"] != true {
            continue;
        }
        told += 1;
        let age = whomay::compare::age(&letter, &text, &patterns);
        let first = age.candidates.first().map(|c| c.wording.as_str());
        let best = key["family"]["best"][0].as_str();
        right += usize::from(
            FAMILIES
                .iter()
                .any(|(k, w)| Some(*k) == best && Some(*w) == first),
        );
    }
    println!("family first: {right} of {told}");
    assert!(right * 100 >= told * 95, "{right} of {told}");
}

#[test]
fn no_single_family_is_named_where_several_share_the_words() {
    let patterns = Patterns::embedded().expect("the embedded patterns are well formed");
    let (mut shared, mut told, mut named) = (0, 0, 0);
    let mut wrong = Vec::new();
    for (key, text, letter) in letters(&patterns) {
        let age = whomay::compare::age(&letter, &text, &patterns);
        let set = key["family"]["best"].as_array().expect("a list");
        let right = |best: &str| {
            set.iter().any(|k| {
                FAMILIES
                    .iter()
                    .any(|(key, wording)| Some(*key) == k.as_str() && *wording == best)
            })
        };
        let tell = key["family"]["tell"] == true;
        told += u32::from(tell);
        shared += u32::from(!tell);
        if let Some(best) = &age.best {
            named += u32::from(tell);
            if !tell || !right(best) {
                wrong.push(format!("{}: {best}", key["file"]));
            }
        }
    }
    println!("one family named in {named} of {told} where the words tell");
    assert!(shared == 13 && told == 21);
    assert_eq!(wrong, [""; 0]);
}

#[test]
fn clauses_are_paired_with_their_wordings() {
    let patterns = Patterns::embedded().expect("the embedded patterns are well formed");
    let (mut hits, mut wrong, mut missed) = (0u32, 0u32, 0u32);
    for (key, text, letter) in letters(&patterns) {
        let comparison = whomay::compare::compare(&letter, &text, &patterns);
        for pair in key["pairs"].as_array().expect("every letter has pairs") {
            let mut accepted: BTreeSet<&str> = BTreeSet::new();
            accepted.extend(pair["reference"].as_str());
            for list in ["any", "references"] {
                accepted.extend(
                    pair[list]
                        .as_array()
                        .into_iter()
                        .flatten()
                        .filter_map(Value::as_str),
                );
            }
            for each in pair["any_each"].as_array().into_iter().flatten() {
                accepted.extend(
                    each.as_array()
                        .into_iter()
                        .flatten()
                        .filter_map(Value::as_str),
                );
            }
            let found = comparison
                .clauses
                .iter()
                .find(|c| {
                    letter.clauses[c.clause].id == pair["clause"].as_str().unwrap_or_default()
                })
                .and_then(|c| c.reference.as_deref())
                .map(|r| r.trim_start_matches("wording/"));
            match found {
                Some(reference) if accepted.contains(reference) => hits += 1,
                Some(_) => {
                    wrong += 1;
                    missed += u32::from(!accepted.is_empty());
                }
                None => missed += u32::from(!accepted.is_empty() && pair["also_null"] != true),
            }
        }
    }
    let f1 = f64::from(2 * hits) / f64::from(2 * hits + wrong + missed);
    println!("pairing F1 {f1:.3}: {hits} right, {wrong} wrong, {missed} missed");
    // The aim is 0.93; 0.903 at first sight. What is reached is held.
    assert!(f1 >= 0.92, "{f1:.3}");
}
