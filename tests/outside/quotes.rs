//! A quote is the letter's words and nothing else: no running head or foot of its pages, no line
//! that rules them. Over every sample and letter here that has several pages.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use whomay::Case;
use whomay::patterns::Patterns;
use whomay::read::{Limits, read_bytes};
use whomay::report::View;

fn files(dir: &Path, out: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(dir).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            files(&path, out);
        } else if path.extension().is_some_and(|e| e == "txt") {
            out.push(path);
        }
    }
}

/// In small letters, blanks folded, figures alike.
fn folded(line: &str) -> String {
    line.split_whitespace()
        .collect::<Vec<_>>()
        .join(" ")
        .to_lowercase()
        .replace(|c: char| c.is_ascii_digit(), "#")
}

/// Lines that stand at the head or foot of two pages and more.
fn furniture(letter: &str) -> Vec<String> {
    let mut seen: BTreeMap<String, BTreeSet<usize>> = BTreeMap::new();
    for (n, page) in letter.split('\u{c}').enumerate() {
        let lines: Vec<&str> = page.lines().filter(|l| !l.trim().is_empty()).collect();
        let ends = lines.iter().take(4).chain(lines.iter().rev().take(4));
        for line in ends {
            seen.entry(folded(line)).or_default().insert(n);
        }
    }
    seen.into_iter()
        .filter(|(line, pages)| pages.len() > 1 && line.len() > 8)
        .map(|(line, _)| line)
        .collect()
}

#[test]
fn quotes_hold_the_words_of_the_letter_only() {
    let patterns = Patterns::embedded().unwrap();
    let mut all = Vec::new();
    for dir in [
        "samples",
        "tests/outside/data/letters",
        "tests/outside/data/letters-2",
        "tests/outside/data/papers",
    ] {
        files(Path::new(dir), &mut all);
    }
    let (mut quotes, mut wrong) = (0, Vec::new());
    // A table of an order is no letter; its pages repeat the heads of the columns.
    all.retain(|p| !p.components().any(|c| c.as_os_str() == "orders"));
    for path in all {
        let Ok(letter) = std::fs::read_to_string(&path) else {
            continue;
        };
        let furniture = furniture(&letter);
        if furniture.is_empty() {
            continue;
        }
        let limits = Limits::default();
        let text = read_bytes("letter.txt", letter.into_bytes(), &limits).unwrap();
        let case = Case::of(text, &patterns);
        let view = View::new(&case.text, &case.letter);
        let clauses = case.letter.clauses.iter().map(|c| c.span);
        let rules = case.letter.inspectors.iter().map(|r| r.span);
        for span in clauses.chain(rules) {
            quotes += 1;
            let words = folded(&view.words(span));
            for line in furniture.iter().filter(|l| words != **l) {
                if words.contains(line.as_str()) {
                    wrong.push(format!("{}: «{line}» in «{words}»", path.display()));
                }
            }
        }
    }
    assert!(quotes > 300, "{quotes}");
    assert!(
        wrong.is_empty(),
        "{} of {quotes}:\n{}",
        wrong.len(),
        wrong.join("\n")
    );
}
