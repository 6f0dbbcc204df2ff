//! Less of a letter never makes it more certain: where a page or a clause is taken out, nobody whose
//! answer was `undetermined` gets a `yes`. Over the samples and the letters of `data/removal.jsonl`,
//! which `generated/make.py` made (seed 2024; those with an answer open for its text).
//!
//! Taken out is what leaves a trace: a clause between two that are counted, a page of counted clauses.
//! A paragraph without number, or the last clause, leaves none, and nobody could tell.

use whomay::Case;
use whomay::model::{Answer, Clause, DefectKind, KeyTwo, Kind, Question, Verdict};
use whomay::patterns::Patterns;
use whomay::read::{Limits, read_bytes};

fn answers(letter: &str, patterns: &Patterns) -> (Case, Vec<Answer>) {
    let text = read_bytes("letter.txt", letter.as_bytes().to_vec(), &Limits::default()).unwrap();
    let case = Case::of(text, patterns);
    let question = Question::on(jiff::civil::date(2026, 11, 25));
    let answers = whomay::answer(&case.letter, &question, patterns);
    (case, answers)
}

fn undetermined(answers: &[Answer]) -> Vec<Kind> {
    answers
        .iter()
        .filter(|a| a.answer == Verdict::Undetermined)
        .map(|a| a.holder)
        .collect()
}

/// Whether the label counts: a figure or a letter.
fn counted(clause: &Clause) -> bool {
    clause.number.as_ref().is_some_and(|n| {
        n.label.parse::<u32>().is_ok()
            || n.label.len() == 1 && n.label.chars().all(|c| c.is_ascii_alphabetic())
    })
}

/// The letter without one clause of its first level at a time, and without one page at a time.
fn shortened(case: &Case) -> Vec<(String, String)> {
    let content = &case.text.content;
    let clauses = &case.letter.clauses;
    let mut out = Vec::new();
    let tops: Vec<usize> = (0..clauses.len())
        .filter(|n| clauses[*n].level <= 1)
        .collect();
    for (n, top) in tops.iter().enumerate() {
        let next = tops[n + 1..].iter().find(|t| counted(&clauses[**t]));
        let Some(next) = next.filter(|_| counted(&clauses[*top])) else {
            continue;
        };
        let (from, to) = (clauses[*top].span.start, clauses[*next].span.start);
        let less = format!("{}{}", &content[..from], &content[to..]);
        out.push((format!("clause {}", clauses[*top].id), less));
    }
    let pages: Vec<&str> = content.split('\u{c}').collect();
    if pages.len() > 1 {
        for n in 0..pages.len() - 1 {
            let mut less = pages.clone();
            less.remove(n);
            out.push((format!("page {}", n + 1), less.join("\u{c}")));
        }
    }
    out
}

#[test]
fn less_of_a_letter_is_never_more_certain() {
    let patterns = Patterns::embedded().unwrap();
    let mut letters: Vec<(String, String)> =
        std::fs::read_to_string("tests/outside/data/removal.jsonl")
            .unwrap()
            .lines()
            .map(|line| {
                let row: serde_json::Value = serde_json::from_str(line).unwrap();
                let of = |key: &str| row[key].as_str().unwrap().to_owned();
                (of("id"), of("letter"))
            })
            .collect();
    for entry in std::fs::read_dir("samples").unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_some_and(|e| e == "txt") {
            letters.push((
                path.display().to_string(),
                std::fs::read_to_string(&path).unwrap(),
            ));
        }
    }
    let (mut tried, mut turned) = (0, Vec::new());
    for (id, letter) in &letters {
        let (case, whole) = answers(letter, &patterns);
        let open = undetermined(&whole);
        if open.is_empty() {
            continue;
        }
        for (what, less) in shortened(&case) {
            tried += 1;
            let (less, found) = answers(&less, &patterns);
            // A clause that is still there names the person; that another one could stand in the gap
            // is told beside the answer.
            let told = less.letter.findings.iter().any(|d| {
                matches!(
                    d.kind(),
                    DefectKind::MissingNumber | DefectKind::MissingPage
                )
            });
            for answer in found {
                let named = answer.letter.answer == KeyTwo::Named && told;
                if answer.answer == Verdict::Yes && !named && open.contains(&answer.holder) {
                    turned.push(format!("{id} without {what}: {}", answer.holder.name()));
                }
            }
        }
    }
    assert!(tried > 200, "{tried}");
    assert!(
        turned.is_empty(),
        "{} of {tried}:\n{}",
        turned.len(),
        turned.join("\n")
    );
}
