//! The HTML page of a letter: it brings everything with it, every link leads somewhere, every
//! deciding word is marked, and nothing that a letter says becomes markup, in any format.
//! `tests/pages/` opens the pages in a browser.

use std::collections::BTreeSet;
use std::path::Path;

use assert_cmd::Command;
use whomay::model::{Question, Span};
use whomay::patterns::Patterns;
use whomay::read::Limits;
use whomay::report::html::{PageImage, WordBox};
use whomay::report::{Report, html as pages};

const LETTER: &str = "samples/open-list-f.pdf";
const NASTY: &str = "tests/pages/nasty.txt";
const DAY: &str = "--on=2026-11-25";

fn run(arguments: &[&str]) -> String {
    let output = Command::cargo_bin("whomay")
        .unwrap()
        .env_remove("CLICOLOR_FORCE")
        .args(arguments)
        .output()
        .unwrap();
    assert!(output.status.success(), "{arguments:?}: {output:?}");
    String::from_utf8(output.stdout).unwrap()
}

fn html(letter: &str) -> String {
    run(&["read", letter, DAY, "--format=html"])
}

/// The values of an attribute, in order.
fn values<'a>(page: &'a str, attribute: &str) -> Vec<&'a str> {
    let head = format!(" {attribute}=\"");
    page.split(head.as_str())
        .skip(1)
        .filter_map(|rest| rest.split_once('"').map(|(value, _)| value))
        .collect()
}

/// The text of a page as its reader sees it: without tags and style, with characters again.
fn seen(page: &str) -> String {
    let body = page.split_once("<body>").unwrap().1;
    let mut text = String::new();
    for piece in body.split('<') {
        text.push_str(piece.split_once('>').map_or(piece, |(_, words)| words));
    }
    let text = text
        .replace("&lt;", "<")
        .replace("&gt;", ">")
        .replace("&quot;", "\"")
        .replace("&#39;", "'")
        .replace("&amp;", "&");
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn samples() -> Vec<String> {
    let mut names: Vec<String> = std::fs::read_dir("samples")
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|e| e == "txt" || e == "pdf"))
        .map(|path| path.to_str().unwrap().to_owned())
        .collect();
    names.sort();
    names.push(NASTY.to_owned());
    names
}

#[test]
fn every_link_leads_to_one_place_on_the_page() {
    for letter in samples() {
        let page = html(&letter);
        let ids = values(&page, "id");
        let places: BTreeSet<&str> = ids.iter().copied().collect();
        assert_eq!(ids.len(), places.len(), "{letter}: an id twice");
        for to in values(&page, "href") {
            let place = to.strip_prefix('#').unwrap_or("");
            assert!(places.contains(place), "{letter}: {to}");
        }
    }
}

#[test]
fn a_page_loads_nothing_and_runs_nothing() {
    for letter in samples() {
        let page = html(&letter);
        let tags: BTreeSet<&str> = page
            .split('<')
            .skip(1)
            .filter_map(|rest| rest.split([' ', '>', '/', '\n']).next())
            .collect();
        for tag in [
            "script", "iframe", "img", "link", "form", "object", "b", "i",
        ] {
            assert!(!tags.contains(tag), "{letter}: <{tag}>");
        }
        for attribute in ["src", "style", "onclick", "onload", "onerror", "srcset"] {
            assert!(values(&page, attribute).is_empty(), "{letter}: {attribute}");
        }
        assert_eq!(page.matches("<style>").count(), 1, "{letter}");
        assert_eq!(page.matches("<meta http-equiv").count(), 1, "{letter}");
        assert!(page.contains("default-src 'none'; style-src 'sha256-"));
    }
}

#[test]
fn the_whole_letter_stands_on_the_page_with_its_deciding_words_marked() {
    let page = html(LETTER);
    let text = seen(&page).replace('\u{a0}', " ");
    let report: serde_json::Value =
        serde_json::from_str(&run(&["read", LETTER, DAY, "--format=json"])).unwrap();
    for clause in report["clauses"].as_array().unwrap() {
        let words = clause["text"].as_str().unwrap();
        // Where a page turns within a clause, the page says so.
        let mut at = 0;
        for word in words.split(' ') {
            let found = text[at..].find(word);
            assert!(found.is_some(), "{word} of {words}");
            at += found.unwrap();
        }
    }
    for rule in report["inspectors"].as_array().unwrap() {
        for evidence in rule["evidence"].as_array().unwrap() {
            let words = evidence["text"].as_str().unwrap();
            assert!(
                page.replace('\u{a0}', " ")
                    .contains(&format!("\">{words}</a></mark>")),
                "{words}"
            );
        }
    }
    // Every kind has its two keys, and the deciding words lead to statements.
    for answer in report["answers"].as_array().unwrap() {
        let anchor = format!("kind-{}", answer["holder"].as_str().unwrap());
        assert!(values(&page, "id").contains(&anchor.as_str()), "{anchor}");
    }
    assert!(values(&page, "href").contains(&"#kind-mechanic"));
    assert!(values(&page, "href").iter().any(|to| to.starts_with("#w-")));
}

#[test]
fn a_six_page_letter_stays_light() {
    let page = html(LETTER);
    assert!(page.len() < 300_000, "{} bytes", page.len());
}

#[test]
fn the_question_alone_leads_to_no_place_in_the_letter() {
    let page = run(&["who", LETTER, DAY, "--format=html"]);
    let ids: BTreeSet<&str> = values(&page, "id").into_iter().collect();
    for to in values(&page, "href") {
        assert!(ids.contains(to.trim_start_matches('#')), "{to}");
    }
    assert!(!page.contains("id=\"letter\""));
    assert!(page.len() < html(LETTER).len());
}

#[test]
fn a_hostile_letter_is_inert_in_every_format() {
    let folder = tempfile::tempdir().unwrap();
    let name = "a <b onload=x> & [x](javascript:y) \u{202e}\u{1b}[2J.txt";
    let file = folder.path().join(name);
    std::fs::copy(NASTY, &file).unwrap();
    let file = file.to_str().unwrap();
    for command in ["read", "who"] {
        for format in ["terminal", "json", "markdown", "html"] {
            let out = run(&[command, file, DAY, "--format", format]);
            for c in out.chars() {
                let steers = c != '\n' && c.is_control()
                    || ('\u{202a}'..='\u{202e}').contains(&c)
                    || ('\u{2066}'..='\u{2069}').contains(&c);
                assert!(!steers, "{command} {format}: {c:?}");
            }
            if format == "html" {
                assert!(!out.contains("<b onclick"), "{command}");
                assert!(out.contains("&lt;b onclick"), "{command}");
            }
        }
    }
    for arguments in [
        &["read", file, DAY, "--format=markdown"][..],
        &["who", file, DAY, "--short", "--format=markdown"],
    ] {
        let markdown = run(arguments);
        for live in [
            "](javascript",
            "![p]",
            " <b",
            " <svg",
            "https://",
            "@everyone",
            "| a | b",
        ] {
            assert!(!markdown.contains(live), "{live} in {markdown}");
        }
    }
}

#[test]
fn the_short_form_has_quote_and_rule_in_under_fifteen_lines() {
    let holders = [
        "mechanic",
        "repair-station",
        "light-sport-repairman-inspection",
        "",
    ];
    // The first letter for all of them, every other for one: each run loads the whole program.
    for (n, letter) in samples().into_iter().enumerate() {
        let those = if n == 0 {
            &holders[..]
        } else {
            &holders[n % 4..][..1]
        };
        for &holder in those {
            let mut arguments = vec!["who", letter.as_str(), DAY, "--short"];
            let told = format!("--holder={holder}");
            if !holder.is_empty() {
                arguments.push(&told);
            }
            let short = run(&arguments);
            assert!(short.lines().count() < 15, "{letter}: {short}");
            assert!(short.contains("Not legal advice"), "{letter}");
        }
    }
    let short = run(&[
        "who",
        LETTER,
        DAY,
        "--short",
        "--format=markdown",
        "--holder=mechanic",
    ]);
    for part in [
        "- **Yes**: mechanic",
        "- Clause 26 (page 5, line 17)",
        "**may** perform the condition inspection",
        "§§ 65.81(a), 65.85(a), 65.87(a)",
    ] {
        assert!(short.contains(part), "{part} in {short}");
    }
}

#[test]
fn several_files_keep_their_names_and_pages_apart() {
    let page = run(&[
        "read",
        "samples/open-list-f.txt",
        "samples/names-nobody.txt",
        "--same-aircraft",
        DAY,
        "--format=html",
    ]);
    for name in ["open-list-f.txt", "names-nobody.txt"] {
        assert!(
            page.contains(&format!("<bdi>, {name}</bdi></h3>")),
            "{name}"
        );
    }
}

/// A gray picture of one point.
const POINT: &[u8] = &[
    0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a, 0x00, 0x00, 0x00, 0x0d, 0x49, 0x48, 0x44, 0x52,
    0x00, 0x00, 0x00, 0x01, 0x00, 0x00, 0x00, 0x01, 0x08, 0x00, 0x00, 0x00, 0x00, 0x3a, 0x7e, 0x9b,
    0x55, 0x00, 0x00, 0x00, 0x0a, 0x49, 0x44, 0x41, 0x54, 0x78, 0x9c, 0x63, 0xf8, 0x00, 0x00, 0x00,
    0xf2, 0x00, 0xf1, 0x9c, 0xf1, 0x1d, 0xe6, 0x00, 0x00, 0x00, 0x00, 0x49, 0x45, 0x4e, 0x44, 0xae,
    0x42, 0x60, 0x82,
];

/// Stands for a reader that keeps the pictures of scanned pages: every word of page 1 gets a box on
/// a grid. The page is left in the folder for temporary files, where `tests/pages/` opens it.
#[test]
fn the_picture_of_a_page_stands_beside_its_text_with_the_clause_outlined() {
    let patterns = Patterns::embedded().unwrap();
    let text = whomay::read(
        &["samples/contradiction.txt".to_owned()],
        &Limits::default(),
    )
    .unwrap();
    let letter = whomay::understand(&text, &patterns);
    let question = Question::on(jiff::civil::date(2026, 11, 25));
    let answers = whomay::answer(&letter, &question, &patterns);
    let report = Report {
        text: &text,
        letter: &letter,
        question: &question,
        answers: &answers,
        notes: &letter.notes,
        comparison: None,
        age: None,
        patterns: &patterns,
    };
    let mut words = Vec::new();
    let mut at = 0;
    for word in text.content.split_inclusive(char::is_whitespace) {
        let span = Span::new(at, at + word.trim_end().len());
        at += word.len();
        let place = text.place(span.start);
        if place.page == 1 && !span.is_empty() {
            let on_line = words.iter().filter(|w: &&WordBox| w.y == place.line * 16);
            let x = 40 + 60 * u32::try_from(on_line.count()).unwrap();
            words.push(WordBox {
                span,
                x,
                y: place.line * 16,
                width: 50,
                height: 12,
            });
        }
    }
    let image = PageImage {
        source: 0,
        page: 1,
        file: POINT,
        href: None,
        width: 850,
        height: 1100,
        words,
    };
    let page = pages::letter(&report, &[image]);
    assert_eq!(page.matches("<figure>").count(), 1);
    assert!(page.contains("href=\"data:image/png;base64,iVBORw0KGgo"));
    assert!(page.matches("class=\"outline\"").count() >= 1);
    assert!(page.contains("as scanned; outlined: clause 9."), "{page}");
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR"));
    std::fs::write(folder.join("pictured.html"), page).unwrap();
}
