//! Text out of PDFs, against another general-purpose PDF reader (`lopdf`) and against the text
//! that went into them. Source of the files: `tests/outside/data/read/README.md`.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use crate::producers::character_error;
use whomay::model::Text;
use whomay::read::{Limits, read};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/outside/data/read")
}

fn limits() -> Limits {
    Limits {
        worker: Some(PathBuf::from(env!("CARGO_BIN_EXE_whomay"))),
        ..Limits::default()
    }
}

fn ours(path: &Path) -> Text {
    read(&[path.display().to_string()], &limits()).expect("a sound PDF")
}

/// The PDFs that can be read, in order of their names.
fn files() -> Vec<PathBuf> {
    let mut files: Vec<PathBuf> = std::fs::read_dir(folder())
        .expect("the folder is in the repository")
        .map(|entry| entry.expect("a file").path())
        .filter(|path| path.extension().is_some_and(|e| e == "pdf"))
        .filter(|path| !path.ends_with("qpdf_needs_password.pdf"))
        .collect();
    files.sort();
    files
}

fn words(text: &str) -> Vec<&str> {
    text.split_whitespace().collect()
}

/// How often each letter and digit occurs: what two readers have in common, whatever the order
/// in which they give lines and wherever they part words.
fn letters(text: &str) -> BTreeMap<char, usize> {
    let mut count = BTreeMap::new();
    for c in text.chars().filter(|c| c.is_ascii_alphanumeric()) {
        *count.entry(c).or_insert(0) += 1;
    }
    count
}

#[test]
fn every_producer_gives_back_the_text_that_went_in() {
    let truth = std::fs::read_to_string(folder().join("letter.txt")).expect("it is there");
    let truth = words(&truth).join(" ");
    let files = files();
    assert!(files.len() >= 14, "{} files", files.len());
    let mut sum = 0.0;
    for file in &files {
        let read = words(&ours(file).content).join(" ");
        let error = character_error(&truth, &read);
        println!(
            "{:<40} {error:.4}",
            file.file_name().unwrap_or_default().display()
        );
        assert!(error <= 0.03, "{}: {error:.4}\n{read}", file.display());
        #[expect(clippy::cast_precision_loss, reason = "a few files")]
        let count = files.len() as f64;
        sum += error / count;
    }
    assert!(sum <= 0.005, "mean {sum:.4}");
}

#[test]
fn clause_numbers_stand_at_the_start_of_their_lines() {
    for file in files() {
        let text = ours(&file).content;
        for number in [1, 8, 9, 10, 15, 22, 23, 26] {
            let head = format!("({number}) ");
            assert!(
                text.lines().any(|l| l.starts_with(&head)),
                "{}: {head}\n{text}",
                file.display()
            );
        }
    }
}

#[test]
fn another_reader_finds_the_same_letters() {
    for file in files() {
        let document = lopdf::Document::load(&file).expect("a sound PDF");
        let pages: Vec<u32> = document.get_pages().keys().copied().collect();
        let other = document.extract_text(&pages).expect("a sound PDF");
        let read = ours(&file);
        // the other reader leaves heads and page numbers in
        let mut all = read.content.clone();
        for line in &read.furniture {
            all.push_str(&line.text);
        }
        // hyphens of broken words are no letters, ligatures are
        let other = other.replace('\u{fb01}', "fi").replace('\u{fb02}', "fl");
        let other = other
            .replace('\u{fb00}', "ff")
            .replace('\u{fb03}', "ffi")
            .replace('\u{fb04}', "ffl");
        let (a, b) = (letters(&all), letters(&other));
        let total: usize = a.values().sum();
        let off: usize = ('0'..='z')
            .map(|c| {
                let (a, b) = (
                    a.get(&c).copied().unwrap_or(0),
                    b.get(&c).copied().unwrap_or(0),
                );
                a.abs_diff(b)
            })
            .sum();
        println!(
            "{:<40} {off} of {total}",
            file.file_name().unwrap_or_default().display()
        );
        assert!(
            off * 200 <= total,
            "{}: {off} of {total} letters\n{other}",
            file.display()
        );
    }
}

#[test]
fn a_password_is_asked_for() {
    let path = folder().join("qpdf_needs_password.pdf");
    let error = read(&[path.display().to_string()], &limits()).expect_err("it is encrypted");
    assert!(
        error.message.contains("opens only with a password"),
        "{error}"
    );
}
