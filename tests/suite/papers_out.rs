//! Papers to hand in: memos and draft requests as files of a word processor, and as pages.

use std::fs;
use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Command as Plain, Stdio};

use predicates::prelude::*;

use super::cli::whomay;

const DAY: &str = "--on=2026-11-25";

/// The lines of a word processor's file, by the reader of this program.
fn lines(file: &Path) -> Vec<String> {
    let output = whomay().args(["show", "lines"]).arg(file).output().unwrap();
    assert!(output.status.success(), "{output:?}");
    String::from_utf8(output.stdout)
        .unwrap()
        .lines()
        .filter_map(|line| {
            line.trim()
                .split_once(' ')
                .map(|(_, words)| words.to_owned())
        })
        .filter(|line| !line.is_empty())
        .collect()
}

#[test]
fn a_memo_has_question_answer_clause_authorities_sides_and_what_settles_it() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("memo.docx");
    whomay()
        .args(["who", "samples/open-list-f.txt", DAY, "--format=docx", "-o"])
        .arg(&file)
        .assert()
        .success();
    let lines = lines(&file);
    let all = lines.join("\n");
    let mut at = 0;
    for part in [
        "Question",
        "Short answer",
        "The clause",
        "Authorities",
        "Both sides",
        "What would settle it",
        "Questions of law",
        "Limits of this memo",
    ] {
        let found = lines.iter().skip(at).position(|line| line == part);
        at += found.unwrap_or_else(|| panic!("no «{part}» behind line {at}: {all}")) + 1;
    }
    for said in [
        "Who may sign the yearly condition inspection on Nov 25, 2026?",
        "no other fact was given",
        // word for word, with its label
        "\"(26) An experimental aircraft builder certificated as a repairman for this aircraft \
         under § 65.104 or an appropriately rated FAA-certificated mechanic may perform the condition \
         inspection required by these operating limitations.\"",
        "Clause 26 (page 5, line 22)",
        // the authorities in full
        "§§ 65.81(a), 65.85(a), 65.87(a), in force from Oct 22, 2025; eCFR as of Sep 3, 2026, grade A",
        "Chevron U.S.A. Inc. v. Echazabal, 536 U.S. 73, 80-81 (2002)",
        "in dispute",
        "Do you own the aircraft?",
        "Not legal advice",
    ] {
        assert!(all.contains(said), "{said}: {all}");
    }
    for typed in ["whomay who", "whomay request", "--ask", "`"] {
        assert!(!all.contains(typed), "{typed}: {all}");
    }
    let again = folder.path().join("again.docx");
    whomay()
        .args(["who", "samples/open-list-f.txt", DAY, "--format=docx", "-o"])
        .arg(&again)
        .assert()
        .success();
    assert!(fs::read(&file).unwrap() == fs::read(&again).unwrap());
}

#[test]
fn a_memo_is_a_page_too_and_nothing_else() {
    let page = whomay()
        .args([
            "who",
            "samples/closed-list.txt",
            DAY,
            "--memo",
            "--format=html",
        ])
        .output()
        .unwrap();
    let page = String::from_utf8(page.stdout).unwrap();
    assert!(page.contains("<h2>Short answer</h2>"), "{page}");
    // Word for word, with an ellipsis where the clause goes on, and the deciding words marked.
    let quoted = "limitation 9 <strong>must</strong> be performed by the <strong>builder</strong> of this \
                  aircraft";
    assert!(page.contains(quoted), "{page}");
    assert!(
        page.contains("powerplant ratings</strong>. ...\u{201d}</blockquote>"),
        "{page}"
    );
    // A list that is closed by its own words is no dispute.
    assert!(!page.contains("Both sides"), "{page}");
    for other in ["terminal", "json", "markdown", "csv"] {
        whomay()
            .args([
                "who",
                "samples/closed-list.txt",
                "--memo",
                "--format",
                other,
            ])
            .assert()
            .code(2)
            .stderr(predicate::str::contains("it has html, docx"));
    }
    whomay()
        .args(["read", "samples/closed-list.txt", "--format=docx"])
        .assert()
        .code(2)
        .stderr(predicate::str::contains("has no --format docx"));
}

#[test]
fn several_letters_become_a_memo_each() {
    let folder = tempfile::tempdir().unwrap();
    let each = |to: &Path| {
        let mut command = whomay();
        command
            .args([
                "who",
                "--each",
                "samples/open-list-f.txt",
                "samples/closed-list.txt",
            ])
            .args([DAY, "--format=docx", "-o"])
            .arg(to);
        command
    };
    each(folder.path()).assert().success();
    let mut names: Vec<String> = fs::read_dir(folder.path())
        .unwrap()
        .map(|e| e.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    assert_eq!(names, ["closed-list-memo.docx", "open-list-f-memo.docx"]);
    // Each holds its own letter alone.
    let closed = lines(&folder.path().join("closed-list-memo.docx")).join("\n");
    assert!(
        closed.contains("closed-list.txt") && !closed.contains("open-list-f"),
        "{closed}"
    );
    // Nothing is written over, and several do not go into one file.
    each(folder.path())
        .assert()
        .code(2)
        .stderr(predicate::str::contains("is there already"));
    each(&folder.path().join("one.docx"))
        .assert()
        .code(2)
        .stderr(predicate::str::contains("-o FOLDER"));
}

#[test]
fn a_request_is_filled_with_what_the_letter_calls_its_aircraft() {
    let folder = tempfile::tempdir().unwrap();
    let draft = |letter: &str| {
        let file = folder.path().join(letter).with_extension("docx");
        whomay()
            .args([
                "request",
                &format!("samples/{letter}"),
                DAY,
                "--format=docx",
                "-o",
            ])
            .arg(&file)
            .assert()
            .success();
        lines(&file)
    };
    let filled = draft("open-list-f.txt");
    let aircraft = "Aircraft: Madeup MU-7, serial number DEMO-001, registration N0WHO";
    assert!(filled.iter().any(|l| l == aircraft), "{filled:#?}");
    assert!(
        !filled.iter().any(|l| l == "serial number"),
        "no blank any more: {filled:#?}"
    );
    assert!(
        filled.iter().any(|l| l == "Not to be sent with it"),
        "{filled:#?}"
    );
    let telegraphic = draft("repair-stations.txt");
    let aircraft = "Aircraft: Placeholder PH-4, serial number DEMO-005, registration N0STAO";
    assert!(
        telegraphic.iter().any(|l| l == aircraft),
        "{telegraphic:#?}"
    );
}

#[test]
fn a_start_without_words_and_without_a_terminal_opens_the_page() {
    let folder = tempfile::tempdir().unwrap();
    let start = || {
        let mut command = Plain::new(env!("CARGO_BIN_EXE_whomay"));
        command
            .env("XDG_RUNTIME_DIR", folder.path())
            .env("PATH", "")
            .env_remove("WAYLAND_DISPLAY")
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped());
        command
    };
    // A script has no desktop: the usage, and no program that never ends.
    let script = start().env_remove("DISPLAY").output().unwrap();
    assert_eq!(script.status.code(), Some(2), "{script:?}");
    let mut clicked = start().env("DISPLAY", ":99").spawn().unwrap();
    let mut line = String::new();
    let out = clicked.stdout.take().unwrap();
    BufReader::new(out).read_line(&mut line).unwrap();
    clicked.kill().unwrap();
    clicked.wait().unwrap();
    assert!(line.starts_with("http://127.0.0.1:"), "{line}");
}
