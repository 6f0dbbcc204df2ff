//! Papers that are no letters and odd letters that are, clauses pasted alone, and mixtures of the
//! letters of two aircraft: written by an author who had not seen the program.
//!
//! Source: `data/papers/`; its README tells how it is labelled.

use std::path::PathBuf;

use serde_json::Value;
use whomay::model::{Answer, Paper, Question, Verdict};
use whomay::patterns::Patterns;
use whomay::read::Limits;
use whomay::{Case, read};

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/outside/data/papers")
}

fn rows(name: &str) -> Vec<Value> {
    std::fs::read_to_string(folder().join(name))
        .expect("the key is in the repository")
        .lines()
        .filter(|line| !line.trim().is_empty())
        .map(|line| serde_json::from_str(line).expect("one JSON object a line"))
        .collect()
}

fn words<'v>(row: &'v Value, names: &[&str]) -> Option<&'v str> {
    names.iter().find_map(|name| row[*name].as_str())
}

fn files(row: &Value) -> Vec<String> {
    let one = words(row, &["file", "name"]).map(str::to_owned);
    let many = row["files"].as_array().map(|list| {
        list.iter()
            .filter_map(|f| f.as_str().map(str::to_owned))
            .collect()
    });
    let place = |name: String| {
        [folder(), folder().join("papers"), folder().join("mixed")]
            .iter()
            .map(|f| f.join(&name))
            .find(|path| path.exists())
            .map_or(name, |path| path.display().to_string())
    };
    many.or_else(|| one.map(|f| vec![f]))
        .unwrap_or_default()
        .into_iter()
        .map(place)
        .collect()
}

fn certain(answers: &[Answer]) -> bool {
    answers.iter().any(|a| a.answer != Verdict::Undetermined)
}

fn question() -> Question {
    Question::on(jiff::civil::date(2026, 11, 25))
}

/// Whether the key says that the paper is a letter.
fn is_letter(row: &Value) -> bool {
    row["is_letter"]
        .as_bool()
        .or_else(|| row["letter"].as_bool())
        .expect("every line says whether it is a letter")
}

#[test]
fn no_other_paper_gets_a_certain_answer_and_letters_are_letters() {
    let patterns = Patterns::embedded().expect("the embedded patterns are well formed");
    let (mut sure, mut taken, mut letters, mut others) = (Vec::new(), Vec::new(), 0, 0);
    for row in rows("papers.jsonl") {
        let files = files(&row);
        let text = read(&files, &Limits::default()).expect("it is read");
        let case = Case::of(text, &patterns);
        let answers = whomay::answer(&case.letter, &question(), &patterns);
        let told = format!("{files:?}: {}", case.letter.paper.name());
        if is_letter(&row) {
            letters += 1;
            if !case.letter.paper.is_limitations() {
                taken.push(told);
            }
        } else {
            others += 1;
            // A light-sport CATEGORY set is no experimental letter, and the rule answers for it.
            let category = case.letter.paper == Paper::LightSportCategory;
            if certain(&answers) && !category {
                sure.push(told);
            }
        }
    }
    println!("certain answers on {others} other papers: {sure:#?}");
    println!("of {letters} letters taken for something else: {taken:#?}");
    assert!(letters >= 30 && others >= 30);
    assert!(sure.is_empty());
    assert!(taken.len() <= 1);
}

#[test]
fn clauses_pasted_alone_are_answered_and_said_to_be_alone() {
    let patterns = Patterns::embedded().expect("the embedded patterns are well formed");
    let mut missed = Vec::new();
    let mut count = 0;
    for row in rows("pasted.jsonl") {
        count += 1;
        let words = words(&row, &["text", "clause"]).expect("every line has its words");
        let text = whomay::read::read_bytes("-", words.as_bytes().to_vec(), &Limits::default())
            .expect("it is text");
        let case = Case::of(text, &patterns);
        if case.letter.paper != Paper::Clause {
            missed.push(format!("{}: {words}", case.letter.paper.name()));
        }
    }
    println!("of {count} clauses pasted alone not told as such: {missed:#?}");
    assert!(count >= 30);
    assert!(missed.is_empty());
}

#[test]
fn letters_of_two_aircraft_are_never_answered_together() {
    let patterns = Patterns::embedded().expect("the embedded patterns are well formed");
    let (mut melted, mut stopped) = (Vec::new(), Vec::new());
    for row in rows("mixed.jsonl") {
        let files = files(&row);
        let text = read(&files, &Limits::default()).expect("it is read");
        let case = Case::of(text, &patterns);
        let answers = whomay::answer(&case.letter, &question(), &patterns);
        let stop = ["true_mixture"]
            .iter()
            .find_map(|name| row[*name].as_bool())
            .unwrap_or(true);
        match (stop, case.letter.mixed.is_some()) {
            (true, false) if certain(&answers) => melted.push(format!("{files:?}")),
            (false, true) => stopped.push(format!("{files:?}")),
            _ => {}
        }
    }
    println!("two aircraft in one verdict: {melted:#?}");
    println!("one aircraft, and a stop: {stopped:#?}");
    assert!(melted.is_empty() && stopped.is_empty());
}
