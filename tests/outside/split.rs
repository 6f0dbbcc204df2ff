//! Clause splitting against sections of 14 CFR, whose paragraphs are known: their breaks taken out,
//! or hard wrapped. Source: `data/cfr.SOURCE.md`.

use serde::Deserialize;
use whomay::patterns::Patterns;
use whomay::understand::split::clauses;

#[derive(Deserialize)]
struct Section {
    section: String,
    paragraphs: Vec<String>,
}

fn sections() -> Vec<Section> {
    include_str!("data/cfr_sections.jsonl")
        .lines()
        .map(|l| serde_json::from_str(l).expect("a section"))
        .collect()
}

fn starts(text: &str, patterns: &Patterns) -> Vec<usize> {
    clauses(text, &patterns.lexicon.tokens(text), patterns)
        .iter()
        // The second of "(a)(1)" may or may not count as a start.
        .filter(|c| c.span.start == 0 || text[..c.span.start].ends_with(char::is_whitespace))
        .map(|c| c.span.start)
        .collect()
}

/// Sections in which every start is found and none too many.
fn right(join: impl Fn(&[String]) -> (String, Vec<usize>)) -> (usize, Vec<String>) {
    let patterns = Patterns::embedded().expect("embedded patterns");
    let mut right = 0;
    let mut wrong = Vec::new();
    for section in sections() {
        let (text, gold) = join(&section.paragraphs);
        if starts(&text, &patterns) == gold {
            right += 1;
        } else {
            wrong.push(section.section);
        }
    }
    (right, wrong)
}

#[test]
fn wrapped_sections() {
    let (_, wrong) = right(|paragraphs| {
        let mut text = String::new();
        let mut gold = Vec::new();
        for paragraph in paragraphs {
            gold.push(text.len());
            text.push_str(&textwrap::fill(paragraph, 78));
            text.push('\n');
        }
        (text, gold)
    });
    assert!(wrong.is_empty(), "wrong: {wrong:?}");
}

#[test]
fn run_in_sections() {
    let (right, wrong) = right(|paragraphs| {
        let mut text = String::new();
        let mut gold = Vec::new();
        for paragraph in paragraphs {
            gold.push(text.len());
            text.push_str(paragraph);
            text.push(' ');
        }
        (text, gold)
    });
    assert!(
        right * 100 >= (right + wrong.len()) * 94,
        "wrong: {wrong:?}"
    );
}
