//! One letter laid out in many ways by many programs: character accuracy against the text that
//! went in, rows of its table, places of its numbers, and another general-purpose reader beside it.
//! Source of the files: `tests/outside/data/producers/make.py`.

use std::path::{Path, PathBuf};

use serde_json::Value;
use similar::{Algorithm, DiffOp, capture_diff_slices};
use whomay::model::Text;
use whomay::read::{Limits, read};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/outside/data/producers")
}

fn files() -> Vec<PathBuf> {
    let mut files: Vec<PathBuf> = std::fs::read_dir(folder())
        .expect("the folder is in the repository")
        .map(|entry| entry.expect("a file").path())
        .filter(|path| path.extension().is_some_and(|e| e == "pdf"))
        .collect();
    files.sort();
    files
}

fn ours(path: &Path) -> Text {
    let limits = Limits {
        worker: Some(PathBuf::from(env!("CARGO_BIN_EXE_whomay"))),
        ..Limits::default()
    };
    read(&[path.display().to_string()], &limits).expect("a sound PDF")
}

/// Kind, number and words of each block; rows of a table are blocks of their own.
fn blocks() -> Vec<(String, String, String)> {
    let letter = std::fs::read_to_string(folder().join("letter.json")).expect("it is there");
    let letter: Value = serde_json::from_str(&letter).expect("it is JSON");
    let word = |v: &Value| v.as_str().unwrap_or_default().to_owned();
    let mut out = Vec::new();
    for block in letter.as_array().expect("a list") {
        if let Some(rows) = block[2].as_array() {
            for row in rows {
                let cells: Vec<String> = row.as_array().expect("cells").iter().map(word).collect();
                out.push(("row".to_owned(), String::new(), cells.join(" ")));
            }
        } else {
            out.push((word(&block[0]), word(&block[1]), word(&block[2])));
        }
    }
    out
}

fn truth() -> String {
    let all: Vec<String> = blocks()
        .into_iter()
        .map(|(_, number, words)| format!("{number} {words}"))
        .collect();
    folded(&all.join(" "))
}

fn folded(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Share of characters that have to be changed to make `read` of `truth`.
pub(crate) fn character_error(truth: &str, read: &str) -> f64 {
    let [truth, read] = [truth, read].map(|text| text.chars().collect::<Vec<_>>());
    // Runs between what is equal; what stands on both sides of one is changed and not lost and added.
    let changes = capture_diff_slices(Algorithm::Myers, &truth, &read);
    let wrong: usize = changes
        .split(|op| matches!(op, DiffOp::Equal { .. }))
        .map(|run| {
            let minus: usize = run.iter().map(|op| op.old_range().len()).sum();
            let plus: usize = run.iter().map(|op| op.new_range().len()).sum();
            minus.max(plus)
        })
        .sum();
    #[expect(clippy::cast_precision_loss, reason = "a few thousand characters")]
    let share = wrong as f64 / truth.len().max(1) as f64;
    share
}

#[expect(clippy::cast_precision_loss, reason = "a few files")]
fn mean(all: &[f64]) -> f64 {
    all.iter().sum::<f64>() / all.len().max(1) as f64
}

/// Bar: mean accuracy at least 0.995, worst at least 0.97.
#[test]
fn every_layout_gives_back_the_text_that_went_in() {
    let truth = truth();
    let files = files();
    assert!(files.len() >= 19, "{} files", files.len());
    let mut errors = Vec::new();
    for file in &files {
        let read = folded(&ours(file).content);
        let error = character_error(&truth, &read);
        println!(
            "{:<32} {error:.4}",
            file.file_name().unwrap_or_default().display()
        );
        assert!(error <= 0.03, "{}: {error:.4}\n{read}", file.display());
        errors.push(error);
    }
    let mean = mean(&errors);
    println!("mean {mean:.4}");
    assert!(mean <= 0.005, "mean {mean:.4}");
}

#[test]
fn numbers_lead_their_clauses_and_rows_stay_rows() {
    let blocks = blocks();
    for file in files() {
        let text = ours(&file).content;
        for (kind, number, words) in &blocks {
            let first: Vec<&str> = words.split_whitespace().take(3).collect();
            let head = folded(&format!("{number} {}", first.join(" ")));
            if kind == "row" {
                assert!(
                    text.lines().any(|l| folded(l) == *words),
                    "{}: row «{words}»\n{text}",
                    file.display()
                );
            } else if !number.is_empty() {
                assert!(
                    text.lines().any(|l| l.starts_with(&head)),
                    "{}: «{head}»\n{text}",
                    file.display()
                );
            }
        }
    }
}

#[test]
fn stamps_and_fax_lines_are_kept_beside_the_text() {
    let text = ours(&folder().join("reportlab_fax.pdf"));
    let beside: Vec<&str> = text.furniture.iter().map(|f| f.text.as_str()).collect();
    assert!(beside.iter().any(|l| l.contains("FAX NO.")), "{beside:?}");
    assert!(beside.contains(&"RECEIVED"), "{beside:?}");
    assert!(!text.content.contains("FAX NO.") && !text.content.contains("RECEIVED"));
}

/// `pdftotext` (Debian: poppler-utils) on the same files, where it is installed; its figures on the
/// machine that made the files stand in `tests/outside/README.md`.
#[test]
fn another_reader_does_no_better() {
    let truth = truth();
    let (mut errors, mut other) = (Vec::new(), Vec::new());
    for file in files() {
        let Ok(output) = std::process::Command::new("pdftotext")
            .arg(&file)
            .arg("-")
            .output()
        else {
            println!("skipped: pdftotext not found");
            return;
        };
        let words = folded(&String::from_utf8_lossy(&output.stdout));
        other.push(character_error(&truth, &words));
        errors.push(character_error(&truth, &folded(&ours(&file).content)));
        println!(
            "{:<32} {:.4} {:.4}",
            file.file_name().unwrap_or_default().display(),
            errors.last().copied().unwrap_or_default(),
            other.last().copied().unwrap_or_default()
        );
    }
    let (ours, other) = (mean(&errors), mean(&other));
    println!("mean {ours:.4} against {other:.4}");
    assert!(ours <= other, "{ours:.4} against {other:.4}");
}
