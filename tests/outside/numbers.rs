//! Clause numbers: of whole letters against their keys, and of pages from the middle of letters,
//! alone, clean and with one line in ten damaged.
//!
//! Source: the keys of `data/letters/` and `data/letters-2/`, and the whole letters themselves.

use std::collections::BTreeMap;

use serde_json::Value;
use whomay::patterns::Patterns;
use whomay::understand::split::clauses;

fn labels(text: &str, patterns: &Patterns) -> Vec<(usize, String)> {
    clauses(text, &patterns.lexicon.tokens(text), patterns)
        .iter()
        .filter(|c| c.level == 1)
        .filter_map(|c| {
            let label = c.number.as_ref().or(c.item.as_ref())?;
            Some((label.span.start, label.label.clone()))
        })
        .collect()
}

/// Right, too many, missed: as multisets.
fn score(found: &[String], known: &[String]) -> (usize, usize, usize) {
    let count = |list: &[String]| {
        let mut counts: BTreeMap<String, usize> = BTreeMap::new();
        for label in list {
            *counts.entry(label.clone()).or_default() += 1;
        }
        counts
    };
    let (found, known) = (count(found), count(known));
    let right: usize = found
        .iter()
        .map(|(l, n)| (*n).min(known.get(l).copied().unwrap_or(0)))
        .sum();
    let all = |counts: &BTreeMap<String, usize>| counts.values().sum::<usize>();
    (right, all(&found) - right, all(&known) - right)
}

fn f1((right, many, missed): (usize, usize, usize)) -> f64 {
    let right = 2.0 * f64::from(u32::try_from(right).expect("few"));
    let wrong = f64::from(u32::try_from(many + missed).expect("few"));
    right / (right + wrong).max(1.0)
}

fn add(sum: &mut (usize, usize, usize), one: (usize, usize, usize)) {
    *sum = (sum.0 + one.0, sum.1 + one.1, sum.2 + one.2);
}

fn folder(name: &str) -> String {
    format!("{}/{name}", env!("CARGO_MANIFEST_DIR"))
}

#[test]
fn numbers_of_whole_letters_are_those_of_the_key() {
    let patterns = Patterns::embedded().expect("the embedded patterns are well formed");
    for set in ["letters", "letters-2"] {
        let place = folder(&format!("tests/outside/data/{set}"));
        let key = std::fs::read_to_string(format!("{place}/gold.jsonl")).expect("a key");
        let mut sum = (0, 0, 0);
        for line in key.lines() {
            let key: Value = serde_json::from_str(line).expect("one JSON object a line");
            let file = key["file"].as_str().expect("every line names a file");
            let text = std::fs::read_to_string(format!("{place}/{file}")).expect("it is there");
            let known: Vec<String> = key["pairs"]
                .as_array()
                .expect("pairs")
                .iter()
                .filter_map(|p| p["clause"].as_str())
                // "01" is 1, and a paragraph without a number has none
                .map(|l| l.trim_start_matches('0').to_owned())
                .filter(|l| !l.is_empty())
                .collect();
            let found: Vec<String> = labels(&text, &patterns)
                .into_iter()
                .map(|(_, l)| l)
                .collect();
            // the heading of a part, "A" over A.1, is no clause in the key
            let heads = |l: &String| {
                let part = format!("{l}.");
                found.iter().any(|o| o.starts_with(&part))
                    || l.bytes().all(|b| b.is_ascii_uppercase())
                        && known.iter().all(|k| k.bytes().all(|b| b.is_ascii_digit()))
            };
            let found: Vec<String> = found.iter().filter(|l| !heads(l)).cloned().collect();
            let one = score(&found, &known);
            if one.1 + one.2 > 0 {
                println!("{set}/{file}: {one:?} found {found:?} known {known:?}");
            }
            add(&mut sum, one);
        }
        println!("{set}: numbers F1 {:.3} {sum:?}", f1(sum));
        assert!(f1(sum) >= 0.97);
    }
}

/// Lines of a page.
const PAGE: usize = 40;

/// The letters and samples, whole.
fn wholes() -> Vec<(String, String)> {
    let mut out = Vec::new();
    for place in [
        "tests/outside/data/letters",
        "tests/outside/data/letters-2",
        "samples",
    ] {
        let mut names: Vec<_> = std::fs::read_dir(folder(place))
            .expect("a folder")
            .filter_map(|e| Some(e.ok()?.path()))
            .filter(|p| p.extension().is_some_and(|e| e == "txt"))
            .filter(|p| !p.ends_with("not-a-letter.txt"))
            .collect();
        names.sort();
        for path in names {
            let name = path.display().to_string();
            let text = whomay::read(
                std::slice::from_ref(&name),
                &whomay::read::Limits::default(),
            )
            .expect("it is text");
            out.push((name, text.content));
        }
    }
    out
}

/// A line as a bad copy shows it: in turn without its end, with dirt in it, without its beginning.
fn damaged(n: usize, line: &str) -> String {
    let chars: Vec<char> = line.chars().collect();
    match n % 3 {
        0 => chars.iter().take(chars.len() * 2 / 3).collect(),
        1 => chars
            .iter()
            .enumerate()
            .map(|(i, c)| if i % 5 == 3 { '#' } else { *c })
            .collect(),
        _ => {
            // the number stays, the words behind it go
            let head: String = chars.iter().take(4).collect();
            let rest: String = chars.iter().skip(chars.len() / 2).collect();
            format!("{head}{rest}")
        }
    }
}

fn pages(spoil: bool) -> f64 {
    let patterns = Patterns::embedded().expect("the embedded patterns are well formed");
    let mut sum = (0, 0, 0);
    for (name, text) in wholes() {
        let known = labels(&text, &patterns);
        let lines: Vec<&str> = text.split_inclusive('\n').collect();
        let mut at = 0;
        for (n, page) in lines.chunks(PAGE).enumerate() {
            let start = at;
            at += page.iter().map(|l| l.len()).sum::<usize>();
            if n == 0 {
                continue;
            }
            let expected: Vec<String> = known
                .iter()
                .filter(|(place, _)| start <= *place && *place < at)
                .map(|(_, l)| l.clone())
                .collect();
            let words: String = page
                .iter()
                .enumerate()
                .map(|(i, line)| {
                    if spoil && i % 10 == 4 {
                        format!("{}\n", damaged(n + i / 10, line.trim_end()))
                    } else {
                        (*line).to_owned()
                    }
                })
                .collect();
            let found: Vec<String> = labels(&words, &patterns)
                .into_iter()
                .map(|(_, l)| l)
                .collect();
            let one = score(&found, &expected);
            if one.1 + one.2 > 0 {
                let short = name.rsplit('/').next().unwrap_or_default();
                println!(
                    "{short} page {}: {one:?} found {found:?} expected {expected:?}",
                    n + 1
                );
            }
            add(&mut sum, one);
        }
    }
    println!("pages, spoilt {spoil}: F1 {:.3} {sum:?}", f1(sum));
    f1(sum)
}

#[test]
fn numbers_of_pages_from_the_middle() {
    assert!(pages(false) >= 0.97);
}

#[test]
fn numbers_of_damaged_pages_from_the_middle() {
    assert!(pages(true) >= 0.93);
}
