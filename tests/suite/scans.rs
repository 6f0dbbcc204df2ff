//! Scans, faxes and photos of the sample letters: what is read from the picture against what is
//! read from the letter's own text.

use std::collections::BTreeMap;
use std::path::PathBuf;
use std::process::Command as Process;

use assert_cmd::Command;
use whomay::model::{Kind, Letter, Question, ReadNote, Text};
use whomay::patterns::Patterns;
use whomay::read::{Limits, Ocr};

fn samples() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("samples")
}

fn limits() -> Limits {
    Limits {
        worker: Some(env!("CARGO_BIN_EXE_whomay").into()),
        // other tests run beside this one
        ocr_seconds: 600,
        ..Limits::default()
    }
}

fn letter(files: &[&str], patterns: &Patterns, limits: &Limits) -> (Text, Letter) {
    let files: Vec<String> = files
        .iter()
        .map(|f| samples().join(f).display().to_string())
        .collect();
    let text = whomay::read(&files, limits).unwrap();
    let text = whomay::read::correct(text, patterns);
    let letter = whomay::understand(&text, patterns);
    (text, letter)
}

/// Each kind with its answer and why it is open.
fn answers(letter: &Letter, patterns: &Patterns) -> BTreeMap<(Kind, String), String> {
    let question = Question::on("2026-11-25".parse().unwrap());
    whomay::answer(letter, &question, patterns)
        .iter()
        .map(|a| {
            let key = (a.holder, format!("{:?}", a.inspection));
            (key, format!("{:?} {:?}", a.answer, a.open_because))
        })
        .collect()
}

fn words(text: &Text) -> Vec<String> {
    text.content
        .replace(['\u{201c}', '\u{201d}'], "\"")
        .replace(['\u{2018}', '\u{2019}'], "'")
        .replace(['\u{2013}', '\u{2014}'], "-")
        .split_whitespace()
        .map(str::to_owned)
        .collect()
}

/// Words to put in, take out or change, as a share of the words that are right.
fn word_errors(right: &Text, read: &Text) -> f64 {
    let (right, read) = (words(right), words(read));
    let wrong = strsim::generic_levenshtein(&right, &read);
    wrong as f64 / right.len() as f64
}

/// Clause numbers in both, and all in the letter's own text.
fn numbers(right: &Letter, read: &Letter) -> (usize, usize) {
    let labels = |l: &Letter| -> Vec<String> {
        l.clauses
            .iter()
            .filter_map(|c| Some(c.number.as_ref()?.label.clone()))
            .collect()
    };
    let (right, mut read) = (labels(right), labels(read));
    let all = right.len();
    let found = right
        .iter()
        .filter(|label| {
            let at = read.iter().position(|r| r == *label);
            at.map(|at| read.remove(at)).is_some()
        })
        .count();
    (found, all)
}

/// Pictures, the same letter as text, and the largest share of wrong words.
///
/// Those behind the fifth are read only with `WHOMAY_SCANS=all`: all ten take three minutes of a core,
/// and every way of reading (gray, fax, photo, turned, a page among text) is in the first five.
const SCANS: &[(&[&str], &str, f64)] = &[
    (&["scans/open-list-g-300-gray.pdf"], "open-list-g.txt", 0.01),
    (&["scans/contradiction-fax.tif"], "contradiction.txt", 0.02),
    (
        &[
            "scans/open-and-100-hour-photo-1.jpg",
            "scans/open-and-100-hour-photo-2.jpg",
        ],
        "open-and-100-hour.txt",
        0.03,
    ),
    (
        &["scans/exhibition-only-sideways.pdf"],
        "exhibition-only.txt",
        0.03,
    ),
    (
        &["scans/open-list-f-page-5-scanned.pdf"],
        "open-list-f.pdf",
        0.01,
    ),
    (
        &["scans/closed-list-200-bilevel.pdf"],
        "closed-list.txt",
        0.015,
    ),
    (
        &["scans/repair-stations-150-noisy.pdf"],
        "repair-stations.txt",
        0.02,
    ),
    (
        &["scans/numbers-at-end-two-columns.pdf"],
        "numbers-at-end.pdf",
        0.03,
    ),
    (&["scans/lettered-upside-down.pdf"], "lettered.pdf", 0.03),
    (
        &["scans/light-sport-3-degrees.pdf"],
        "light-sport.txt",
        0.03,
    ),
];

#[test]
fn scans_are_read_like_the_letters_that_they_show() {
    let patterns = Patterns::embedded().unwrap();
    let (mut found, mut all) = (0, 0);
    let mut wrong = Vec::new();
    let every_day = std::env::var("WHOMAY_SCANS").is_err();
    for &(scan, of, most) in &SCANS[..if every_day { 5 } else { SCANS.len() }] {
        let (right, right_letter) = letter(&[of], &patterns, &limits());
        let (read, read_letter) = letter(scan, &patterns, &limits());
        let errors = word_errors(&right, &read);
        if errors > most {
            wrong.push(format!("{scan:?}: word errors {errors:.4}, at most {most}"));
        }
        let (f, a) = numbers(&right_letter, &read_letter);
        (found, all) = (found + f, all + a);
        let (expected, got) = (
            answers(&right_letter, &patterns),
            answers(&read_letter, &patterns),
        );
        if expected != got {
            wrong.push(format!("{scan:?}: {got:?}, not {expected:?}"));
        }
        println!("{scan:?}: word errors {errors:.4}, clause numbers {f} of {a}");
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(
        found as f64 >= 0.98 * all as f64,
        "clause numbers {found} of {all}"
    );
}

#[test]
fn a_scan_says_how_it_was_read() {
    let patterns = Patterns::embedded().unwrap();
    let (text, _) = letter(
        &["scans/open-list-f-page-5-scanned.pdf"],
        &patterns,
        &limits(),
    );
    let by_ocr: Vec<Option<u32>> = text
        .notes
        .iter()
        .filter(|n| n.id() == "page-by-ocr")
        .map(ReadNote::page)
        .collect();
    assert_eq!(by_ocr, [Some(5)], "the other pages have text");
}

#[test]
fn without_ocr_a_scan_is_said_to_be_one() {
    Command::new(env!("CARGO_BIN_EXE_whomay"))
        .args(["who", "--ocr", "off"])
        .arg(samples().join("scans/closed-list-200-bilevel.pdf"))
        .assert()
        .code(2)
        .stderr(predicates::str::contains("2 of 2 pages are scans"));
}

#[test]
fn a_folder_without_models_is_named() {
    Command::new(env!("CARGO_BIN_EXE_whomay"))
        .args(["who", "--ocr-models"])
        .arg(samples().join("scans"))
        .arg(samples().join("scans/contradiction-fax.tif"))
        .assert()
        .code(2)
        .stderr(predicates::str::contains("it needs detector.onnx"));
}

#[test]
fn a_page_that_takes_too_long_is_given_up_and_said() {
    let hasty = Limits {
        ocr_seconds: 0,
        ..limits()
    };
    let file = samples()
        .join("scans/contradiction-fax.tif")
        .display()
        .to_string();
    let error = whomay::read(&[file], &hasty).unwrap_err();
    assert!(error.message.contains("took too long"), "{error}");
}

#[test]
fn the_second_engine_reads_a_clean_scan() {
    if Process::new("tesseract").arg("--version").output().is_err() {
        println!("skipped: tesseract not found");
        return;
    }
    let patterns = Patterns::embedded().unwrap();
    let by_tesseract = Limits {
        ocr: Ocr::Tesseract,
        ..limits()
    };
    let (right, _) = letter(&["open-list-f.pdf"], &patterns, &limits());
    let (read, _) = letter(
        &["scans/open-list-f-page-5-scanned.pdf"],
        &patterns,
        &by_tesseract,
    );
    let errors = word_errors(&right, &read);
    assert!(errors < 0.05, "word errors {errors}");
}
