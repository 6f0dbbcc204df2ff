//! Sentences.

use whomay::patterns::Patterns;
use whomay::understand::{sentences::sentences, split::clauses};

fn cut(text: &str) -> Vec<String> {
    let patterns = Patterns::embedded().expect("embedded patterns");
    let tokens = patterns.lexicon.tokens(text);
    let clauses = clauses(text, &tokens, &patterns);
    sentences(text, &tokens, &clauses, &patterns)
        .into_iter()
        .map(|s| s.of(text).split_whitespace().collect::<Vec<_>>().join(" "))
        .collect()
}

#[test]
fn abbreviations_end_no_sentence() {
    for text in [
        "See Sec. 91.319 of the F.A.R. Part 91 and 14 C.F.R. Part 43.",
        "The form is No. 8130-7 of the U.S. Department of Transportation.",
        "Fly with approx. 10 gallons, e.g. For ferry flights.",
        "Doe v. Roe Inc. is a case.",
        "As Pt. 43, App. D says.",
    ] {
        assert_eq!(cut(text), [text]);
    }
}

#[test]
fn stops_end_sentences() {
    assert_eq!(
        cut(
            "VFR day only. No hire. The aircraft of the U.S. The pilot must \"land at once.\" It must be tied."
        ),
        [
            "VFR day only.",
            "No hire.",
            "The aircraft of the U.S.",
            "The pilot must \"land at once.\"",
            "It must be tied."
        ]
    );
}

#[test]
fn clauses_and_headings_end_sentences() {
    assert_eq!(
        cut(
            "PHASE I\n\n1. No hire. Day VFR only\n2. The pilot must carry:\n(a) this paper; and\n(b) a parachute\n\nSample Inspector"
        ),
        [
            "PHASE I",
            "1. No hire.",
            "Day VFR only",
            "2. The pilot must carry:",
            "(a) this paper; and",
            "(b) a parachute",
            "Sample Inspector"
        ]
    );
}

#[test]
fn a_wrapped_line_ends_no_sentence() {
    let text = "No person may operate this aircraft unless within the preceding 12 calendar\nmonths it has had a condition inspection in accordance with the scope of\nAppendix D.";
    assert_eq!(cut(text).len(), 1);
}

#[test]
fn odd_texts_have_sentences() {
    assert!(cut("").is_empty());
    assert!(cut(" \n ").is_empty());
    assert_eq!(cut("..."), ["..."]);
    assert_eq!(cut("é. È."), ["é.", "È."]);
}
