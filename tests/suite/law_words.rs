//! No law in the code: sentences of law come from the pattern files, each with paragraph, state read
//! and grade, and reach every output with them.

use std::path::{Path, PathBuf};

use jiff::civil::Date;
use whomay::answer::{YearFacts, due, entry, request, year};
use whomay::compare::{age, compare};
use whomay::model::{Ownership, Question, Text};
use whomay::patterns::Patterns;
use whomay::report::{self, Report, html, json, markdown, sheet, terminal};

/// The files of code below a folder, in order.
pub(crate) fn files(dir: &Path, out: &mut Vec<PathBuf>) {
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

/// A section of the regulations other than § 21.191, which names the purpose of a certificate.
fn cites_law(line: &str) -> bool {
    line.match_indices('§').any(|(at, _)| {
        let rest = line[at..].trim_start_matches('§').trim_start();
        rest.starts_with(|c: char| c.is_ascii_digit()) && !rest.starts_with("21.191")
    })
}

/// Whether the sentence has a day or state, and a grade, of its own.
fn carried(line: &str) -> bool {
    let graded = line.contains("grade ") || line.contains("common practice");
    let dated = ["as of", "checked 20", "(20", ", 20", "; 20", "March 2021"]
        .iter()
        .any(|d| line.contains(d));
    graded && dated
}

/// What stands below the citation of a rule, which has date and grade: its conditions.
fn below(line: &str) -> bool {
    let line = line.trim_start_matches(['*', '-', ' ']);
    ["met", "unknown", "not met", "unsettled", "always"]
        .iter()
        .any(|head| {
            let rest = line.to_lowercase();
            rest.strip_prefix(head)
                .is_some_and(|r| r.starts_with(':') || r.starts_with(" ("))
        })
}

/// Parts in which the letter speaks, or somebody whose position has a source of its own.
const OTHERS: [&str; 11] = [
    "How others read it",
    "Relied on",
    "What is in dispute",
    "What the letter says",
    "Where the wording",
    "Where the",
    "Draft",
    "Amend or not",
    "The letter",
    "Clauses",
    "About this report",
];

/// A clause of the letter on the page for the inspector, whole, to be ticked.
fn of_letter(line: &str) -> bool {
    ["[ ] Clause ", "* [ ] Clause ", "\u{2610} Clause "]
        .iter()
        .any(|head| line.starts_with(head))
}

fn of_others(heading: &str) -> bool {
    let heading = heading.trim_start_matches(['#', ' ']).to_lowercase();
    OTHERS
        .iter()
        .any(|o| heading.starts_with(&o.to_lowercase()))
}

/// The program's own sentences in a Markdown text: no quotes, tables, headings.
fn of_markdown(text: &str) -> Vec<String> {
    let mut own = true;
    let mut out = Vec::new();
    for line in text.lines() {
        if line.starts_with('#') {
            // What stands under a lower heading belongs to the part.
            if !line.starts_with("###") {
                own = !of_others(line) || line.starts_with("# ");
            }
            continue;
        }
        let line = line.trim().replace(['\\', '\u{2060}'], "");
        let skip = line.starts_with(['>', '|', '"']) || line.is_empty() || of_letter(&line);
        if own && !skip {
            out.push(line);
        }
    }
    out
}

/// The same of a terminal text so wide that no line of it is wrapped; headings are in capitals.
fn of_terminal(text: &str) -> Vec<String> {
    let mut own = true;
    let mut out = Vec::new();
    for line in text.lines() {
        let heading = !line.starts_with(' ')
            && line.chars().any(char::is_alphabetic)
            && !line.chars().any(char::is_lowercase);
        if heading {
            own = !of_others(line);
            continue;
        }
        let line = line.trim();
        if own && !line.starts_with('"') && !line.is_empty() && !of_letter(line) {
            out.push(line.to_owned());
        }
    }
    out
}

/// The same of a page: the text of its blocks.
fn of_html(text: &str) -> Vec<String> {
    let mut own = true;
    let mut quoted = false;
    let mut heading = false;
    let mut block = String::new();
    let mut out = Vec::new();
    for piece in text.split('<').skip(1) {
        let (tag, words) = piece.split_once('>').unwrap_or((piece, ""));
        let name = tag
            .trim_start_matches('/')
            .split([' ', '\n'])
            .next()
            .unwrap_or_default();
        let closes = tag.starts_with('/');
        match name {
            "blockquote" | "q" | "style" | "script" | "table" => quoted = !closes,
            "h1" | "h2" => heading = !closes,
            _ => {}
        }
        let ends = [
            "p", "li", "dd", "dt", "h1", "h2", "h3", "section", "ul", "ol", "dl", "div",
        ];
        if ends.contains(&name) {
            let line = block.split_whitespace().collect::<Vec<_>>().join(" ");
            block.clear();
            if closes && ["h1", "h2"].contains(&name) {
                own = !of_others(&line);
            } else if own && !line.is_empty() && !of_letter(&line) {
                out.push(line);
            }
        }
        if !quoted || heading {
            block.push_str(words);
        }
    }
    out
}

/// The same of JSON: every text that is no quote of the letter. What a rule asks stands beside its
/// citation, and what somebody holds beside its day and strength.
fn of_json(value: &serde_json::Value, out: &mut Vec<String>) {
    match value {
        serde_json::Value::Object(map) => {
            if let Some(citations) = map.get("citations").and_then(|c| c.as_array()) {
                let all = citations.iter().all(|c| c.as_str().is_some_and(carried));
                assert!(all, "{citations:?}");
            }
            let rule = map.contains_key("citations");
            let reading = map.contains_key("held_by");
            for (key, value) in map {
                let others = [
                    "text",
                    "quote",
                    "words",
                    "comparison",
                    "clauses",
                    "norms",
                    "parts",
                    "amend",
                    "source",
                    "sources",
                    "citation",
                ];
                let stands = key == "conditions" || rule && key == "standing";
                if others.contains(&key.as_str()) || stands || reading {
                    continue;
                }
                of_json(value, out);
            }
        }
        serde_json::Value::Array(all) => all.iter().for_each(|v| of_json(v, out)),
        serde_json::Value::String(words) => out.push(words.clone()),
        _ => {}
    }
}

/// The program's own sentences of an output in that format.
fn own_words(output: &str, format: &str) -> Vec<String> {
    match format {
        "markdown" => of_markdown(output),
        "html" => of_html(output),
        "json" => {
            let mut out = Vec::new();
            of_json(&serde_json::from_str(output).unwrap(), &mut out);
            out
        }
        _ => of_terminal(&plain(output)),
    }
}

/// The line without what it quotes.
fn unquoted(line: &str) -> String {
    let outside = |line: &str, mark: char| {
        let parts: Vec<&str> = line.split(mark).step_by(2).collect();
        parts.join(" ")
    };
    let line = outside(&line.replace("&quot;", "\""), '"');
    outside(&line.replace('\u{bb}', "\u{ab}"), '\u{ab}')
}

/// The text without the sequences that make it bold or dim.
fn plain(text: &str) -> String {
    let mut out = String::new();
    for (n, piece) in text.split("\u{1b}[").enumerate() {
        let words = piece.split_once('m').map_or(piece, |(_, words)| words);
        out.push_str(if n == 0 { piece } else { words });
    }
    out
}

fn letter_of(path: &Path) -> Text {
    let bytes = std::fs::read(path).unwrap();
    let name = path.display().to_string();
    whomay::read::read_bytes(&name, bytes, &whomay::read::Limits::default()).unwrap()
}

const ENTRY: &str = "2026-08-14. Total time 655.0. I certify that this aircraft has been inspected on \
     2026-08-14 and was found airworthy. Linus Harbottle, A&P 0005512";

/// No line of a terminal text is wrapped.
const WIDE: usize = 100_000;

/// Everything that the program makes of a letter, by command and format.
fn outputs(path: &Path, patterns: &Patterns) -> Vec<(&'static str, &'static str, String)> {
    let text = letter_of(path);
    let case = whomay::Case::of(text, patterns);
    let (letter, text) = (&case.letter, &case.text);
    let on: Date = "2026-11-25".parse().unwrap();
    let mut out = Vec::new();
    for earlier in [None, Some(true)] {
        let mut question = Question::on(on);
        question.earlier_certificate = earlier;
        question.owner = earlier.map(|_| Ownership::Trust);
        let answers = whomay::answer(letter, &question, patterns);
        let (comparison, age) = (compare(letter, text, patterns), age(letter, text, patterns));
        let report = Report {
            text,
            letter,
            question: &question,
            answers: &answers,
            notes: &letter.notes,
            comparison: Some(&comparison),
            age: Some(&age),
            patterns,
        };
        let sheet = sheet::paper(&report);
        let draft = request(letter, &text.content, &question, &answers, patterns);
        let facts = YearFacts {
            ifr: Some(true),
            basis: letter.basis.value,
            ..YearFacts::default()
        };
        let done = "2025-10-03".parse().unwrap();
        let year = year(done, on, Some((letter, text)), &facts, patterns);
        let dues = due(&[done], &year.interval);
        let paper = report::year::paper(&year, &dues, patterns);
        let checked = entry(letter, &text.content, ENTRY, &question, patterns);
        out.extend([
            ("read", "terminal", terminal::whole(&report, WIDE)),
            ("read", "markdown", markdown::long(&report)),
            ("read", "html", html::letter(&report, &[])),
            ("read", "json", json::report(&report)),
            ("who", "terminal", terminal::question(&report, WIDE)),
            ("who", "html", html::question(&report)),
            ("memo", "html", report::memo::html(&report)),
            ("sheet", "terminal", sheet.terminal(WIDE)),
            ("sheet", "markdown", sheet.markdown()),
            ("sheet", "html", sheet.html()),
            (
                "request",
                "terminal",
                report::request::terminal(&draft, WIDE),
            ),
            ("request", "markdown", report::request::markdown(&draft)),
            ("request", "json", report::request::json(&draft)),
            ("due", "terminal", paper.terminal(WIDE)),
            ("due", "markdown", paper.markdown()),
            ("due", "html", paper.html()),
            ("due", "json", report::year::json(&year, &dues, patterns)),
            (
                "entry",
                "terminal",
                report::entry::terminal(&checked, &report, WIDE),
            ),
            ("entry", "json", report::entry::json(&checked, &report)),
        ]);
    }
    out
}

#[test]
fn every_statement_of_law_carries_date_and_grade() {
    let patterns = Patterns::embedded().unwrap();
    let mut letters: Vec<PathBuf> = std::fs::read_dir("samples")
        .unwrap()
        .map(|e| e.unwrap().path())
        .filter(|p| p.extension().is_some_and(|e| e == "txt"))
        .collect();
    letters.sort();
    let mut checked = std::collections::BTreeMap::new();
    let mut bare = Vec::new();
    for letter in letters {
        for (command, format, output) in outputs(&letter, &patterns) {
            for line in own_words(&output, format) {
                if !cites_law(&unquoted(&line)) {
                    continue;
                }
                *checked.entry(format).or_insert(0) += 1;
                if !(below(&line) || carried(&line)) {
                    bare.push(format!("{command} {} {format}: {line}", letter.display()));
                }
            }
        }
    }
    assert!(
        checked.len() == 4 && checked.values().all(|n| *n > 500),
        "{checked:?}"
    );
    assert!(
        bare.is_empty(),
        "{} of {checked:?}:\n{}",
        bare.len(),
        bare.join("\n")
    );
}

/// At most three cautions stand under the first table, and none of them again among the general
/// ones.
#[test]
fn cautions_are_few_and_said_once() {
    let patterns = Patterns::embedded().unwrap();
    for letter in ["closed-list", "exhibition-only", "open-list-g"] {
        let path = format!("samples/{letter}.txt");
        for (command, format, output) in outputs(Path::new(&path), &patterns) {
            if !["read", "who"].contains(&command) || format == "json" {
                continue;
            }
            let bound = output.matches("The rule binds the operator").count();
            assert!(bound <= 1, "{letter} {command} {format}: {bound}");
        }
        let text = letter_of(Path::new(&path));
        let case = whomay::Case::of(text, &patterns);
        let question = Question::on("2026-11-25".parse().unwrap());
        let answers = whomay::answer(&case.letter, &question, &patterns);
        let report = Report {
            text: &case.text,
            letter: &case.letter,
            question: &question,
            answers: &answers,
            notes: &case.letter.notes,
            comparison: None,
            age: None,
            patterns: &patterns,
        };
        let cautions = report.cautions();
        assert!(cautions.len() <= 3, "{letter}: {cautions:?}");
        let shut = cautions.iter().any(|c| c.contains("binds the operator"));
        assert_eq!(shut, letter != "open-list-g", "{letter}: {cautions:?}");
    }
}
