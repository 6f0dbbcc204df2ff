//! Hits and misses of the pattern files, and what a doubt and a place become.

use super::*;
use crate::model::{Place, Text};

fn by_ocr(words: &str) -> Text {
    let mut text = Text::verbatim(words);
    text.ocr = vec![Span::new(0, words.len())];
    text
}

fn patterns() -> Patterns {
    Patterns::as_written().expect("the embedded patterns")
}

#[test]
fn every_slip_file_corrects_its_hits_and_leaves_its_misses() {
    let patterns = patterns();
    for loaded in &patterns.slip.files {
        for hit in &loaded.file.hit {
            let text = correct(by_ocr(&hit.text), &patterns);
            let becomes = if hit.becomes.is_empty() {
                &hit.text
            } else {
                &hit.becomes
            };
            assert_eq!(&text.content, becomes, "{}", loaded.id);
            if !hit.doubts.is_empty() {
                assert!(
                    text.doubts
                        .iter()
                        .any(|d| d.span.of(&text.content) == hit.doubts && d.meant.is_some()),
                    "{}: {:?}",
                    loaded.id,
                    text.doubts
                );
            }
        }
        for miss in &loaded.file.miss {
            let text = correct(by_ocr(&miss.text), &patterns);
            assert_eq!(text.content, miss.text, "{}: {}", loaded.id, miss.why);
            assert!(text.doubts.is_empty(), "{}: {:?}", loaded.id, text.doubts);
        }
    }
}

#[test]
fn only_text_read_by_ocr_is_corrected() {
    let patterns = patterns();
    let words = "(1) appendix D to pan 43\n(2) appendix D to pan 43";
    let mut text = Text::verbatim(words);
    text.ocr = vec![Span::new(0, 24)];
    let text = correct(text, &patterns);
    assert_eq!(
        text.content,
        "(1) appendix D to part 43\n(2) appendix D to pan 43"
    );
}

#[test]
fn slips_in_running_text() {
    let patterns = patterns();
    for (read, printed) in [
        (
            "the scope and detail of appendix D to pan 43, or",
            "the scope and detail of appendix D to part 43, or",
        ),
        ("under § 65.1O4 for", "under § 65.104 for"),
        ("with § 9l.319(b) and", "with § 91.319(b) and"),
        ("with $91.205.", "with § 91.205."),
        ("of l4 CFR part 9I.", "of 14 CFR part 91."),
        (
            "the preceding I2 calendar months",
            "the preceding 12 calendar months",
        ),
        ("a l00-hour inspection", "a 100-hour inspection"),
        ("is recorded bymaintenance", "is recorded by maintenance"),
        (
            "maintained inaccordance with",
            "maintained in accordance with",
        ),
        ("found tobe in a condition", "found to be in a condition"),
        (
            "records of theaircraft.The owner",
            "records of the aircraft. The owner",
        ),
        ("appendix D to part43", "appendix D to part 43"),
        ("inspection must he recorded", "inspection must be recorded"),
        (
            "EXPERIMENTAL 0PERATING LIMITATIONS",
            "EXPERIMENTAL OPERATING LIMITATIONS",
        ),
        (
            "the aircraft rnaintenance records",
            "the aircraft maintenance records",
        ),
        ("(@) a student", "(a) a student"),
    ] {
        assert_eq!(correct(by_ocr(read), &patterns).content, printed);
    }
}

#[test]
fn clause_numbers_by_sequence() {
    let patterns = patterns();
    for (read, printed) in [
        (
            "10. One.\nI1. Two.\n12. Three.",
            "10. One.\n11. Two.\n12. Three.",
        ),
        (
            "(9) One.\n(lO) Two.\n(11) Three.",
            "(9) One.\n(10) Two.\n(11) Three.",
        ),
        ("l. One.\n2. Two.", "1. One.\n2. Two."),
        ("1.No person\n2.The owner", "1. No person\n2. The owner"),
        ("(26)An owner", "(26) An owner"),
        // letters and roman numbers stay
        (
            "(k) One.\n(l) Two.\n(m) Three.",
            "(k) One.\n(l) Two.\n(m) Three.",
        ),
        ("(i) One.\n(ii) Two.", "(i) One.\n(ii) Two."),
        (
            "I. GENERAL\n1. One.\n2. Two.",
            "I. GENERAL\n1. One.\n2. Two.",
        ),
    ] {
        assert_eq!(correct(by_ocr(read), &patterns).content, printed);
    }
}

#[test]
fn names_and_registrations_stay() {
    let patterns = patterns();
    for words in [
        "Marrow Kestrel M-2, registration N0WHO, serial 0-INVENTED",
        "at the flight office of Marrow Field",
        "built by R. Tolliver of Ashcombe",
    ] {
        assert_eq!(correct(by_ocr(words), &patterns).content, words);
    }
}

#[test]
fn words_that_decide_are_doubted_and_never_corrected() {
    let patterns = patterns();
    for (read, meant) in [
        ("An FAA-certificated mechanlc", "mechanic"),
        ("the repairrnan", "repairman"),
        ("he rnay sign", "may"),
        ("it rnust be signed", "must"),
        ("it rnust not", "must"),
        ("it shal1 be", "shall"),
        ("un1ess he", "unless"),
        ("on1y by", "only"),
    ] {
        let text = correct(by_ocr(read), &patterns);
        assert_eq!(text.content, read);
        let doubt = text
            .doubts
            .iter()
            .find(|d| d.meant.as_deref() == Some(meant));
        assert!(
            doubt.is_some_and(|d| d.confidence < 0.85),
            "{read}: {:?}",
            text.doubts
        );
    }
}

#[test]
fn a_weak_word_that_decides_is_marked_as_such() {
    let patterns = patterns();
    let mut text = by_ocr("a mechanic may sign on the day");
    let weak = |span| Doubt {
        span,
        confidence: 0.55,
        meant: None,
    };
    text.doubts = vec![weak(Span::new(11, 14)), weak(Span::new(27, 30))];
    let text = correct(text, &patterns);
    let meant: Vec<&str> = text
        .doubts
        .iter()
        .filter_map(|d| d.meant.as_deref())
        .collect();
    // «day» read badly may be «may»
    assert_eq!(meant, ["may", "may"]);
}

#[test]
fn places_and_doubts_move_along_and_the_original_is_told() {
    let patterns = patterns();
    let mut text = by_ocr("as in pan 43\nunder § 65.1O4 by the\nowner");
    let at = text.content.find("owner").expect("it is there");
    text.doubts.push(Doubt {
        span: Span::new(at, at + 5),
        confidence: 0.4,
        meant: None,
    });
    let text = correct(text, &patterns);
    assert_eq!(text.content, "as in part 43\nunder § 65.104 by the\nowner");
    let owner = text
        .doubts
        .iter()
        .find(|d| d.confidence < 0.5)
        .expect("it is kept");
    assert_eq!(owner.span.of(&text.content), "owner");
    assert_eq!(
        text.place(owner.span.start),
        Place {
            source: 0,
            page: 1,
            line: 3
        }
    );
    let slip = |line, read: &str, taken: &str| {
        let (read, taken) = (read.to_owned(), taken.to_owned());
        ReadNote::page_note(1, PageNote::Slip { line, read, taken })
    };
    assert_eq!(
        text.notes,
        [slip(1, "pan", "part"), slip(2, "65.1O4", "65.104")]
    );
    let part = |d: &&Doubt| d.span.of(&text.content) == "part";
    let part = text.doubts.iter().find(part);
    assert_eq!(part.map(|d| d.confidence), Some(CORRECTED));
}

#[test]
fn hostile_runs_end_soon() {
    let patterns = patterns();
    let run = "l1IO0rnclvvii|".repeat(2000);
    let glued = "theofthe".repeat(4);
    let words = format!(
        "{run} {glued} {}",
        "aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa ".repeat(500)
    );
    let begun = std::time::Instant::now();
    let _ = correct(by_ocr(&words), &patterns);
    assert!(begun.elapsed().as_secs() < 20, "{:?}", begun.elapsed());
}

#[test]
fn letters_without_slips_stay_as_they_are() {
    let patterns = patterns();
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut seen = 0;
    for folder in ["samples", "tests/outside/data/letters"] {
        for entry in std::fs::read_dir(root.join(folder)).expect("it is in the repository") {
            let path = entry.expect("a file").path();
            if path.extension().is_none_or(|e| e != "txt") {
                continue;
            }
            let words = std::fs::read_to_string(&path).expect("it is text");
            let text = correct(by_ocr(&words), &patterns);
            let told = &text.notes;
            assert!(told.is_empty(), "{}: {told:#?}", path.display());
            let doubts: Vec<&str> = text.doubts.iter().map(|d| d.span.of(&words)).collect();
            assert!(doubts.is_empty(), "{}: {doubts:?}", path.display());
            seen += 1;
        }
    }
    assert!(seen > 40, "{seen}");
}
