//! Clause splitting: letters of our own invention in every numbering style, one snapshot each, and
//! what holds for any text.

use std::fmt::Write as _;

use proptest::prelude::*;
use whomay::model::{Clause, Phase};
use whomay::patterns::Patterns;
use whomay::patterns::numbering::NumberingRole;
use whomay::understand::split::clauses;

fn patterns() -> &'static Patterns {
    static PATTERNS: std::sync::OnceLock<Patterns> = std::sync::OnceLock::new();
    PATTERNS.get_or_init(|| Patterns::as_written().expect("embedded patterns"))
}

fn split(text: &str) -> Vec<Clause> {
    clauses(text, &patterns().lexicon.tokens(text), patterns())
}

/// One line a clause: id, number, item, parent, phase, and the words.
fn table(text: &str) -> String {
    let found = split(text);
    let mut out = String::new();
    for clause in &found {
        let number = clause.number.as_ref().map_or("", |n| n.printed.as_str());
        let item = clause.item.as_ref().map_or("", |n| n.printed.as_str());
        let parent = clause.parent.map_or("", |p| found[p].id.as_str());
        let phase = match clause.phase {
            Some(Phase::One) => "I",
            Some(Phase::Two) => "II",
            None => "",
        };
        let words: Vec<&str> = clause.body.of(text).split_whitespace().collect();
        let _ = writeln!(
            out,
            "{:indent$}{} | {number} | {item} | in {parent} | {phase} | {}",
            "",
            clause.id,
            words.join(" "),
            indent = (usize::from(clause.level) - 1) * 2,
        );
    }
    out
}

#[test]
fn letters_split_in_every_style() {
    insta::glob!("split/*.txt", |path| {
        let text = std::fs::read_to_string(path).expect("a text");
        insta::assert_snapshot!(table(&text));
    });
}

#[test]
fn windows_line_ends_change_nothing() {
    let text = "(1) No hire.\n(2) The pilot may do\n(a) loops;\n(b) rolls.\n";
    let ids = |t: &str| -> Vec<String> { split(t).into_iter().map(|c| c.id).collect() };
    assert_eq!(ids(text), ids(&text.replace('\n', "\r\n")));
}

#[test]
fn no_abbreviation_runs_over_the_end_of_a_line() {
    let text = "a. No hire.\nb. No towing.\nc. The chart is enclosure A.\nd. It ends with phase I.\n\
                e. The log must be kept.\n";
    let ids: Vec<String> = split(text).into_iter().map(|c| c.id).collect();
    assert_eq!(ids, ["a", "b", "c", "d", "e"]);
}

#[test]
fn references_start_no_clause() {
    for text in [
        "Weight is limited\n62.5 pounds a seat.",
        "It applies (see 91.319(i)) and to\n(43) persons.",
        "in accordance with the scope and detail of appendix D to part\n43. The entry is made.",
        "as required by limitation\n10. The pilot must comply with it at any time and place.",
        "the words of paragraph\n(a)(1) of this section apply",
        "see limitations 8 and\n9. The pilot must comply with both of them at any time.",
    ] {
        let numbers = split(text).iter().filter(|c| c.number.is_some()).count();
        assert_eq!(numbers, 0, "{text}");
    }
}

#[test]
fn every_numbering_file_hits_and_misses() {
    let patterns = patterns();
    for loaded in &patterns.numbering.files {
        let numbering = &patterns.numbering;
        let set = match loaded.file.role {
            NumberingRole::Reference | NumberingRole::Note => &numbering.words,
            NumberingRole::Head => &numbering.heads,
            NumberingRole::Abbreviation
            | NumberingRole::BeforeNumber
            | NumberingRole::Name
            | NumberingRole::MayEnd => &numbering.abbreviations,
            NumberingRole::PhaseOne | NumberingRole::PhaseTwo | NumberingRole::PhaseBoth => {
                &numbering.phases
            }
        };
        let words = |text: &str| -> Vec<String> {
            let tokens = patterns.lexicon.tokens(text);
            set.find(&tokens)
                .filter(|(_, role)| **role == loaded.file.role)
                .map(|(r, _)| {
                    text[tokens[r.start].span.start..tokens[r.end - 1].span.end].to_owned()
                })
                .collect()
        };
        for hit in &loaded.file.hit {
            assert!(
                words(&hit.text).contains(&hit.span),
                "{}: {:?} in «{}»",
                loaded.id,
                words(&hit.text),
                hit.text
            );
        }
        for miss in &loaded.file.miss {
            assert_eq!(words(&miss.text), [""; 0], "{}: {}", loaded.id, miss.text);
        }
    }
}

/// What has to hold of the clauses of any text.
fn check(text: &str) {
    let found = split(text);
    let mut ids = std::collections::BTreeSet::new();
    let mut end = 0;
    for (n, clause) in found.iter().enumerate() {
        assert!(ids.insert(clause.id.clone()), "id {} twice", clause.id);
        for span in [clause.span, clause.body] {
            assert!(text.get(span.start..span.end).is_some(), "{span:?}");
        }
        assert!(clause.span.start >= end, "clauses overlap");
        assert!(clause.level >= 1);
        assert!(clause.parent.is_none_or(|p| p < n));
        end = clause.span.end;
    }
    // No word of the text lies outside of the clauses.
    let inside: usize = found
        .iter()
        .map(|c| {
            c.span
                .of(text)
                .chars()
                .filter(|c| !c.is_whitespace())
                .count()
        })
        .sum();
    assert_eq!(inside, text.chars().filter(|c| !c.is_whitespace()).count());
}

proptest! {
    #[test]
    fn any_text_is_covered(text in "\\PC{0,200}") {
        check(&text);
    }

    #[test]
    fn any_row_of_marks_is_covered(parts in proptest::collection::vec(prop_oneof![
        Just("(1)"), Just("2."), Just("(a)"), Just("(i)"), Just("[3]"), Just("4)"), Just("\n"), Just("\n\n"), Just(" "),
        Just("The pilot may."), Just("or"), Just("“"), Just("\""), Just("PHASE I"), Just("Phase II Limitations: 1 thru 6, 8 (not 3)"),
        Just("NOTE:"), Just("§ 91.319(b)"), Just("é–"), Just("•"), Just("|"), Just("1-2."), Just("2.3.1"), Just(":"), Just(";"), Just("means"),
        Just("For the purposes of this section"), Just("(15)"), Just("(Applicability: All)"), Just("\u{a0}"), Just("item"),
    ], 0..60)) {
        check(&parts.join(" "));
        check(&parts.concat());
    }
}

#[test]
fn a_long_text_takes_linear_time() {
    for piece in [
        "(1) ",
        "(a)(1)",
        "\"",
        "( ",
        "1. The ",
        "means ",
        "PHASE I ",
        "(15) ",
        "and (2), ",
        "A ",
        ") ",
        ". ",
        "\n1",
        "Phase I Limitations: 1, ",
        "(i) (ii) (iii) ",
    ] {
        let text = piece.repeat(15_000);
        let begun = crate::attacks::worked();
        let _ = split(&text);
        let took = crate::attacks::worked() - begun;
        assert!(took.as_secs() < 5, "{piece:?} took {took:?}");
    }
}

/// Pages from the middle of letters as copies show them.
#[test]
fn numbers_that_rise_down_a_page_number_it() {
    let numbers = |text: &str| -> Vec<String> {
        split(text)
            .into_iter()
            .filter(|c| c.level == 1)
            .filter_map(|c| Some(c.number?.label))
            .collect()
    };
    for (text, known) in [
        // a head without a stop stands above the first number
        (
            "Serial 00000\n9. The pilot shall advise each person carried of the nature of\nthis aircraft\n10. No person may be carried for hire\n11. Aerobatic flight is prohibited\n",
            vec!["9", "10", "11"],
        ),
        (
            "OS Jan 2017\n(17) The aircraft must be flown by day\n(18) The owner must keep the records:\n(1) of flights\n(2) of repairs\n(3) of inspections\n(19) No person may be carried for hire\n",
            vec!["17", "18", "19"],
        ),
        // lines that break off, without their stops
        (
            "N0WHO page 2\n12. This aircraft must not be used for towi\n13. Flights over densely populated ar\n14. The pilot must hold a cert\n15. Condition inspections must be rec\n",
            vec!["12", "13", "14", "15"],
        ),
        // blanks before a dot and within brackets
        (
            "3 . The pilot must be alone.\n4 . Fly by day.\n5 . No hire.\n",
            vec!["3", "4", "5"],
        ),
        (
            "(14 ) The pilot must be alone.\n(15 ) Fly by day.\n(16 ) No hire.\n",
            vec!["14", "15", "16"],
        ),
        // a number that begins in the middle of a line
        (
            "5. Fly by day.\n6. Aerobatic flight is prohibited. 7. After each flight the pilot makes an\nentry.\n8. No hire.\n",
            vec!["5", "6", "7", "8"],
        ),
        // references that stand at the heads of lines are no numbers
        (
            "4. The pilot must follow the rules of\n91 and of part\n43 as they are.\n5. Fly by day.\n",
            vec!["4", "5"],
        ),
    ] {
        assert_eq!(numbers(text), known, "{text}");
    }
}

#[test]
fn an_initial_at_the_head_of_a_letter_is_no_number() {
    let list = "a) Fly by day only.\n\nb) Carry no passengers.\n\nc) Keep this aboard.\n";
    let ids = |text: &str| -> Vec<String> {
        let numbered = split(text).into_iter().filter(|c| c.number.is_some());
        numbered.map(|c| c.id).collect()
    };
    let letter = format!("F. Castle-Moor (INVENTED)\nRepresentative\n\n{list}");
    assert_eq!(ids(&letter), ["a", "b", "c"]);
    // A letter of which the first pages are lost begins in the middle.
    let rest = "F. Carry no passengers.\n\nG. Keep this aboard.\n";
    assert_eq!(ids(rest), ["F", "G"]);
}

#[test]
fn a_lettered_list_of_many_sentences_is_the_letter_whatever_leads_in() {
    let list = |items: std::ops::RangeInclusive<char>| {
        let mut text = "The following shall apply to this aircraft:\n\n".to_owned();
        for letter in items {
            let _ = write!(
                text,
                "  {letter}.  Rule {letter} of this list binds every pilot.\n\n"
            );
        }
        // Who signs has an initial that reads as a number.
        text + "\nB. Nobody, Inspector\n"
    };
    let level_of = |text: &str, id: &str| split(text).iter().find(|c| c.id == id).map(|c| c.level);
    assert_eq!(level_of(&list('a'..='j'), "a"), Some(1));
    // A short list is what its lead-in speaks of.
    assert_eq!(level_of(&list('a'..='c'), "p1(a)"), Some(2));
}
