use super::notes::{clauses, key_note};
use super::*;
use crate::model::{
    ClaimDetail, Clause, Defect, Detail, Edge, ForceTurned, Inspection, KeyNote, Kind, Letter,
    Paper,
};
use crate::patterns::Patterns;

const WORDS: &str = "1. Only the ow~~ne~~r or\n2. Page two\nends in the";

fn clause(id: &str, start: usize, end: usize) -> Clause {
    let span = Span::new(start, end);
    Clause {
        id: id.into(),
        number: None,
        item: None,
        level: 1,
        parent: None,
        span,
        body: span,
        phase: None,
    }
}

fn letter() -> Letter {
    Letter {
        clauses: vec![clause("1", 0, 24), clause("2", 25, 48)],
        left_out: vec![Span::new(14, 20)],
        ..Letter::default()
    }
}

fn said(detail: Detail, span: (usize, usize)) -> String {
    let flaw = Defect {
        detail,
        clauses: vec![1, 0],
        span: Some(Span::new(span.0, span.1)),
    };
    let (text, letter) = (Text::verbatim(WORDS), letter());
    let patterns = Patterns::embedded().expect("the embedded patterns");
    defect(&View::new(&text, &letter), &patterns, &flaw)
}

#[test]
fn each_flaw_has_its_sentence() {
    let number = || "7".to_owned();
    let missing = |last: &str| Detail::NumbersMissing {
        first: number(),
        last: last.to_owned(),
    };
    let at = |behind| Detail::PageMissing {
        page: 2,
        of: 3,
        behind,
    };
    let (source, page) = (0, 4);
    for (detail, words) in [
        (
            Detail::BeginsAt { number: number() },
            "the numbering begins at 7; what stands before it is not here",
        ),
        (missing("7"), "number 7 is missing"),
        (missing("9"), "numbers 7 to 9 are missing"),
        (
            Detail::NumberTwice { number: number() },
            "the number 7 stands twice",
        ),
        (
            at(Some(1)),
            "page 2 of 3 is not among the pages handed in; it belongs behind page 1",
        ),
        (
            at(None),
            "page 2 of 3 is not among the pages handed in; it belongs at the beginning",
        ),
        (
            Detail::OtherCount {
                source,
                page,
                number: 1,
                of: 9,
                usual: 3,
            },
            "page 4 says «page 1 of 9», the others have «of 3»: it may belong to another \
                 document",
        ),
        (
            Detail::OtherPaper {
                source,
                page,
                paper: Paper::Registration,
            },
            "page 4 is a registration, no part of the letter; its words were left out of the \
                 answer",
        ),
        (
            Detail::ClauseCut { at_page_end: true },
            "limitation 2 stops in the middle of a sentence («… the»)",
        ),
        (
            Detail::StripLost {
                source,
                page,
                edge: Edge::Both,
            },
            "many lines of page 4 break off in the middle of words: a strip at both edges \
                 seems to be lost",
        ),
        (
            Detail::Insert,
            "a blank of the template was not filled: the",
        ),
        (
            Detail::Blank,
            "a blank in limitation 2 (page 1, line 3) was not filled",
        ),
        (
            Detail::Instruction,
            "an instruction to the issuing office was left in: the",
        ),
        (
            Detail::Contradiction,
            "limitations 2 and 1 say different things about who may perform the same \
                 inspection",
        ),
        (
            Detail::WordedForOtherBasis {
                of: vec!["d".into(), "f".into()],
                basis: 'g',
                revision: "an order".into(),
            },
            "This clause is worded as one for § 21.191(d), (f), and the letter is one for \
                 (g): an order.",
        ),
        (
            Detail::DoubtfulWord {
                meant: Some("then".into()),
            },
            "the word «the» (it may be «then») on page 1, line 3 decides and cannot be read \
                 with certainty; look at the paper",
        ),
    ] {
        assert_eq!(said(detail, (45, 48)), words);
    }
}

#[test]
fn words_not_understood_are_quoted_without_what_counts_nowhere() {
    let (text, letter) = (Text::verbatim(WORDS), letter());
    let view = View::new(&text, &letter);
    let not_understood = RuleDoubt::NotUnderstood(vec![Span::new(3, 24), Span::new(28, 41)]);
    assert_eq!(
        in_doubt(&view, 0, &not_understood),
        "the clause speaks of who inspects in words that were not understood: «Only the ow r \
             or», «Page two ends»; read it"
    );
    assert_eq!(
        in_doubt(&view, 1, &RuleDoubt::Overlooked),
        "limitation 2 seems to speak of who inspects, in words that were not understood; read \
             it"
    );
}

#[test]
fn clauses_are_named_by_their_ids() {
    let (text, letter) = (Text::verbatim(WORDS), letter());
    let view = View::new(&text, &letter);
    let patterns = Patterns::embedded().expect("the embedded patterns");
    let note = KeyNote::AnotherInspection {
        clauses: vec![0, 1],
        inspection: Inspection::HundredHour,
    };
    assert_eq!(
        key_note(&view, &patterns, &note),
        "Clauses 1 and 2 speak of another inspection (100-hour), which decides nothing here."
    );
    assert_eq!(clauses(&view, &[]), "Another passage");
    assert_eq!(clauses(&view, &[1]), "Clause 2");
}

#[test]
fn what_a_claim_turns_has_its_sentence() {
    let number = |letter: Option<&str>, last_day| ClaimDetail::Number {
        says: "12 months".into(),
        letter: letter.map(str::to_owned),
        last_day,
    };
    let rival = |letter: Option<&str>| ClaimDetail::Rival {
        says: "solo".into(),
        letter: letter.map(str::to_owned),
    };
    for (detail, words) in [
        (
            ClaimDetail::LeavesOut(Kind::RepairStation),
            "it leaves out somebody whom the letter names: repair station",
        ),
        (
            ClaimDetail::AnotherInspection(Inspection::HundredHour),
            "it speaks of another inspection (100-hour) than the clause",
        ),
        (
            ClaimDetail::Force(ForceTurned::LeaveForDuty),
            "it gives leave where the letter lays a duty",
        ),
        (
            number(Some("12 calendar months"), true),
            "it says 12 months, the letter 12 calendar months: the last day differs",
        ),
        (
            number(Some("24 months"), false),
            "it says 12 months, the letter 24 months",
        ),
        (
            number(None, false),
            "it says 12 months, the clause has no such number",
        ),
        (rival(Some("dual")), "it says solo, the letter dual"),
        (rival(None), "it says solo, which the clause does not"),
        (
            ClaimDetail::DoesAway("whether or not".into()),
            "it does away with a condition of the letter («whether or not»)",
        ),
    ] {
        assert_eq!(claim(&detail), words);
    }
}

#[test]
fn reasons_of_differences() {
    use crate::model::{DifferenceReason as Why, WordsEffect as Effect};
    let list = |words: &[&str]| words.iter().map(|w| (*w).to_owned()).collect::<Vec<_>>();
    let words = |gone: &[&str], come: &[&str], effect| Why::Words {
        gone: list(gone),
        come: list(come),
        effect,
    };
    for (reason, said) in [
        (Why::BlankForms, "two forms of a place to write in"),
        (Why::BlankFilled, "a place to write in is filled in"),
        (Why::Label, "the clause number, or its marks"),
        (
            Why::SameRule(list(&["91.319", "65.104"])),
            "the same rule in another form: 91.319, 65.104",
        ),
        (Why::NoWeight, "words without weight"),
        (Why::MarksOnly, "marks only"),
        (Why::SameWords, "the same words in another form"),
        (Why::NoneOfWeight, "no word of weight differs"),
        (Why::AnotherTerm, "another term"),
        (Why::NewWords, "words that were not there before"),
        (Why::GoneWords, "words that are no longer there"),
        (
            Why::Names(Kind::Owner),
            "it now names: owner without a certificate",
        ),
        (
            Why::NamesNoLonger(Kind::Owner),
            "it no longer names: owner without a certificate",
        ),
        (
            Why::WordingCut,
            "the text of the wording that is held is cut here",
        ),
        (
            words(&["only"], &[], Effect::Scope),
            "«only» is gone: who or what is covered changes",
        ),
        (
            words(&[], &["not"], Effect::TurnsRound),
            "«not» is new: the meaning turns round",
        ),
        (
            words(&["no"], &["not"], Effect::Negation),
            "«no» became «not»: another negation",
        ),
        (
            words(&["must"], &["shall"], Effect::SameForce),
            "«must» became «shall»: the same force",
        ),
        (
            words(&["may"], &["shall"], Effect::EachBars),
            "«may» became «shall»: behind «no person» each of them bars",
        ),
        (
            words(&["may"], &["must"], Effect::Force),
            "«may» became «must»: the force of the norm changes",
        ),
        (
            words(&["12", "3"], &["24"], Effect::Number),
            "«12» «3» became «24»: another number",
        ),
        (
            words(&["day"], &["month"], Effect::Measure),
            "«day» became «month»: another interval or measure",
        ),
        (
            words(&["91.205"], &["91.207"], Effect::ParagraphMoved),
            "«91.205» became «91.207»: the paragraph moved, its words did not change",
        ),
        (
            words(&["91.205"], &["91.207"], Effect::AnotherRule),
            "«91.205» became «91.207»: another rule is cited",
        ),
        (
            words(&["and"], &["or"], Effect::OneOrAll),
            "«and» became «or»: one of them, or all of them",
        ),
        (
            words(&[], &["if"], Effect::Condition),
            "«if» is new: a condition changes",
        ),
    ] {
        assert_eq!(difference_reason(&reason), said);
    }
}

#[test]
fn with_what_a_letter_was_compared() {
    use crate::model::ComparisonNote as Note;
    for (note, said) in [
        (
            Note::BasisOfBuilder,
            "The letter does not say under which paragraph of § 21.191 it was issued; it speaks of the builder with a repairman certificate of § 65.104, as those for (g) do, so it was compared with these.",
        ),
        (
            Note::BasisOfWords {
                clauses: 5,
                basis: 'd',
            },
            "The letter does not say under which paragraph of § 21.191 it was issued; 5 of its clauses are worded as those for (d), so it was compared with these.",
        ),
        (
            Note::NoBasis,
            "The letter does not say under which paragraph of § 21.191 it was issued, and wordings are compared within one basis only; state it with --basis.",
        ),
        (
            Note::NoneHeld('k'),
            "No reference wording is held for § 21.191(k), so the letter was compared with none; an order that you hold can be added.",
        ),
        (
            Note::NoneForPaper,
            "No reference wording is held for such a paper.",
        ),
        (
            Note::AnotherBasis {
                wording: "8130.2F/26".to_owned(),
                basis: 'd',
            },
            "8130.2F/26 is no wording for § 21.191(d), and wordings are compared within one basis only.",
        ),
    ] {
        assert_eq!(comparison_note(&note), said);
    }
}
