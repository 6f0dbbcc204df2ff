//! No law in the code: sentences of law come from the pattern files, each with paragraph, state read
//! and grade, and reach every output with them.

use std::path::{Path, PathBuf};
use std::process::Command;

fn files(dir: &Path, out: &mut Vec<PathBuf>) {
    let mut entries: Vec<PathBuf> = std::fs::read_dir(dir)
        .unwrap()
        .map(|e| e.unwrap().path())
        .collect();
    entries.sort();
    for path in entries {
        if path.is_dir() {
            files(&path, out);
        } else if path.extension().is_some_and(|e| e == "rs") {
            out.push(path);
        }
    }
}

/// The code of a file without comments and without its tests.
fn code(path: &Path) -> String {
    let text = std::fs::read_to_string(path).unwrap();
    let text = text
        .split("#[cfg(test)]\nmod tests")
        .next()
        .unwrap_or_default();
    text.lines()
        .filter(|line| !line.trim_start().starts_with("//"))
        .collect::<Vec<_>>()
        .join("\n")
}

/// What only a pattern file may say: a grade of a source, the state of the eCFR, the day of a rule,
/// a case with its reporter, a page of the Federal Register.
fn law(code: &str) -> Vec<String> {
    let mut found = Vec::new();
    let mut hold = |what: &str, at: usize| {
        let from = code[..at].rfind('\n').map_or(0, |n| n + 1);
        let to = code[at..].find('\n').map_or(code.len(), |n| at + n);
        found.push(format!("{what}: {}", code[from..to].trim()));
    };
    for grade in ["A", "B", "C", "D", "M", "I", "P"] {
        for end in [")", ",", ";", ".", "\""] {
            for (at, _) in code.match_indices(&format!("grade {grade}{end}")) {
                hold("a grade", at);
            }
        }
    }
    for words in [
        "eCFR as of",
        "(from memory",
        "; from memory",
        " U.S. ",
        "Federal Register",
        "90 FR",
        "44 FR",
    ] {
        for (at, _) in code.match_indices(words) {
            hold(words, at);
        }
    }
    for day in [
        "1979, 8",
        "2004, 9",
        "2025, 10",
        "2026, 7",
        "2025-10-22",
        "2004-09-01",
        "1979-08-09",
        "2026-07-24",
    ] {
        for (at, _) in code.match_indices(day) {
            hold("the day of a rule", at);
        }
    }
    found
}

#[test]
fn no_law_stands_in_the_code() {
    let mut all = Vec::new();
    files(Path::new("src"), &mut all);
    let mut found = Vec::new();
    for path in all {
        for line in law(&code(&path)) {
            found.push(format!("{}: {line}", path.display()));
        }
    }
    assert!(
        found.is_empty(),
        "{} places:\n{}",
        found.len(),
        found.join("\n")
    );
    // The test sees what it looks for.
    assert_eq!(law("x(\"(§ 21.197; from memory, grade M)\")").len(), 2);
    assert_eq!(law("Date::constant(2025, 10, 22)").len(), 1);
}

fn run(arguments: &[&str]) -> String {
    let output = Command::new(env!("CARGO_BIN_EXE_whomay"))
        .args(arguments)
        .output()
        .unwrap();
    assert!(output.status.success(), "{arguments:?}: {output:?}");
    String::from_utf8(output.stdout).unwrap()
}

/// The paragraphs and list items of a Markdown text that the program says itself: quotes of the
/// letter, tables and headings are left out, and what stands in the letter's own clauses.
fn own_words(markdown: &str) -> Vec<String> {
    markdown
        .lines()
        .map(str::trim)
        .filter(|line| !line.starts_with('>') && !line.starts_with('|') && !line.starts_with('#'))
        .filter(|line| !line.is_empty() && !line.contains("Clause ") && !line.contains("\u{22}"))
        .map(|line| line.replace(['\\', '\u{2060}'], ""))
        .collect()
}

/// A section of the regulations other than § 21.191, which names the purpose of a certificate.
fn cites_law(line: &str) -> bool {
    line.match_indices('§').any(|(at, _)| {
        let rest = line[at..].trim_start_matches('§').trim_start();
        rest.starts_with(|c: char| c.is_ascii_digit()) && !rest.starts_with("21.191")
    })
}

/// Sections of the long report and of the other papers in which the program speaks.
#[test]
fn every_statement_of_law_carries_date_and_grade() {
    let mut letters: Vec<PathBuf> = std::fs::read_dir("samples")
        .unwrap()
        .map(|e| e.unwrap().path())
        .filter(|p| p.extension().is_some_and(|e| e == "txt"))
        .collect();
    letters.sort();
    let mut checked = 0;
    let mut bare = Vec::new();
    for letter in letters {
        let path = letter.to_str().unwrap();
        let day = "--on=2026-11-25";
        let outputs = [
            run(&["read", path, day, "--format=markdown"]),
            run(&["read", path, day, "--sheet", "--format=markdown"]),
            run(&["request", path, day, "--format=markdown"]),
            run(&[
                "due",
                "2025-11-03",
                "--letter",
                path,
                day,
                "--format=markdown",
            ]),
        ];
        for text in outputs {
            // What others hold, and why the keys turn, stand with sources of their own.
            let text = text
                .split("\n## ")
                .filter(|part| {
                    ![
                        "How others read it",
                        "Relied on",
                        "Notes",
                        "Condition",
                        "Where the",
                        "Draft",
                    ]
                    .iter()
                    .any(|own| part.starts_with(own))
                })
                .collect::<Vec<_>>()
                .join("\n## ");
            for line in own_words(&text).into_iter().filter(|l| cites_law(l)) {
                checked += 1;
                let graded = line.contains("grade ") || line.contains("common practice");
                let dated = line.contains("as of") || line.contains("(20") || line.contains("19");
                // The conditions of a key stand below its citation.
                let below = ["* met", "* unknown", "* not met"]
                    .iter()
                    .any(|head| line.starts_with(head));
                let carried = graded && dated;
                if !(below || carried) {
                    bare.push(format!("{path}: {line}"));
                }
            }
        }
    }
    assert!(checked > 200, "{checked}");
    assert!(
        bare.is_empty(),
        "{} of {checked}:\n{}",
        bare.len(),
        bare.join("\n")
    );
}
