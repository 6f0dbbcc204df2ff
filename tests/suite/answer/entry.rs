//! A log entry against a letter, and the draft request.

use whomay::answer::{Interval, Item, entry, interval, request};
use whomay::model::{
    Basis, Clause, Form, Inspection, InspectorRule, Kind, Letter, NamedKind, Paper, Question, Span,
    Verdict,
};

use super::build::patterns;

/// Our own words in the manner of an amateur-built letter of 2008.
const CLAUSES: [(&str, &str, &str); 3] = [
    (
        "22",
        "inspection-when",
        "(22) No person must operate this aircraft unless within the preceding 12 calendar months it has had a condition inspection.",
    ),
    (
        "23",
        "inspection-record",
        "(23) Condition inspections must be recorded in the aircraft maintenance records showing the following, or a similarly worded, statement: \u{201c}I certify that this aircraft has been inspected on [insert date] in accordance with the scope and detail of appendix D to part 43, and was found to be in a condition for safe operation.\u{201d} The entry will include the aircraft's total time-in-service, and the name, signature, certificate number, and type of certificate held by the person performing the inspection.",
    ),
    (
        "26",
        "inspection-who",
        "(26) The builder under § 65.104 or an appropriately rated mechanic may perform the condition inspection.",
    ),
];

fn sample() -> (Letter, String) {
    let mut text = String::new();
    let mut letter = Letter {
        paper: Paper::OperatingLimitations,
        ..Letter::default()
    };
    for (id, topic, words) in CLAUSES {
        let span = Span::new(text.len(), text.len() + words.len());
        text.push_str(words);
        text.push('\n');
        letter.clauses.push(Clause {
            id: id.to_owned(),
            number: None,
            item: None,
            level: 1,
            parent: None,
            span,
            body: span,
            phase: None,
        });
        letter.topics.push(vec![topic.to_owned()]);
    }
    letter.basis.value = Basis::parse("g");
    letter.issued.value = Some("2008-05-14".parse().expect("a day"));
    let span = letter.clauses[2].span;
    letter.inspectors.push(InspectorRule {
        clause: 2,
        span,
        form: Form::Open,
        inspection: Inspection::Yearly,
        named: [Kind::BuilderRepairman, Kind::Mechanic]
            .map(|kind| NamedKind {
                kind,
                span,
                pattern: "inspector/test".to_owned(),
            })
            .to_vec(),
        excluded: Vec::new(),
        conditions: Vec::new(),
        evidence: vec![span],
        doubt: None,
    });
    (letter, text)
}

fn question() -> Question {
    Question::on("2026-11-25".parse().expect("a day"))
}

#[test]
fn a_whole_entry_lacks_nothing() {
    let (letter, text) = sample();
    let words = "May 14, 2026  TT 412.6 hrs. I certify that this aircraft has been inspected on 14 May 2026 in accordance with the scope and detail of appendix D to part 43, and was found to be in a condition for safe operation.\nSigned: Sample Mechanic, A&P 1234567";
    let report = entry(&letter, &text, words, &question(), patterns());
    assert!(report.missing.is_empty(), "{report:#?}");
    assert!(report.wrong.is_empty(), "{:?}", report.wrong);
    assert_eq!(report.date, Some("2026-05-14".parse().expect("a day")));
    assert_eq!(report.signer, Some(Kind::Mechanic));
    assert_eq!(report.answer.map(|a| a.answer), Some(Verdict::Yes));
    assert_eq!(
        report.due.and_then(|d| d.last_day),
        Some("2027-05-31".parse().expect("a day"))
    );
    assert!(report.notes[0].contains("never be told from text"));
}

#[test]
fn what_is_missing_and_wrong_is_said() {
    let (letter, text) = sample();
    let words = "6/2/25 Annual inspection completed per part 43 app D. Aircraft found airworthy. LSRM Sample Repairman";
    let report = entry(&letter, &text, words, &question(), patterns());
    assert_eq!(
        report.missing,
        [
            Item::Statement,
            Item::Scope,
            Item::TimeInService,
            Item::Name,
            Item::Signature,
            Item::CertificateNumber,
        ]
    );
    assert_eq!(report.wrong.len(), 2, "{:?}", report.wrong);
    // On that day the rule let no light-sport repairman sign on (g).
    assert_eq!(report.signer, Some(Kind::LightSportRepairmanMaintenance));
    assert_eq!(report.answer.map(|a| a.answer), Some(Verdict::No));
}

#[test]
fn a_signer_who_is_not_told_gets_no_answer() {
    let (letter, text) = sample();
    let report = entry(
        &letter,
        &text,
        "2026-01-02 inspected, Sample, repairman",
        &question(),
        patterns(),
    );
    assert_eq!(report.signer, None);
    assert!(report.answer.is_none());
    assert!(report.notes.iter().any(|n| n.contains("--holder")));
    let empty = entry(&letter, &text, "", &question(), patterns());
    assert_eq!(empty.missing.len(), 8);
}

#[test]
fn the_interval_comes_from_the_letter() {
    let (letter, text) = sample();
    assert_eq!(
        interval(&letter, &text),
        (Interval::CalendarMonths(12), Some("22".to_owned()))
    );
}

#[test]
fn a_request_quotes_the_clause_and_marks_its_blanks() {
    let (letter, text) = sample();
    let mut question = question();
    question.holder = Some(Kind::LightSportRepairmanInspection);
    let answers = whomay::answer(&letter, &question, patterns());
    let draft = request(&letter, &text, &question, &answers);
    assert!(draft.useful);
    assert!(draft.about.contains("our own"));
    let quoted: Vec<&String> = draft
        .parts
        .iter()
        .filter(|p| p.quotes)
        .flat_map(|p| &p.paragraphs)
        .collect();
    assert_eq!(quoted, [CLAUSES[2].2]);
    assert!(draft.blanks.contains(&"serial number".to_owned()));
    assert!(
        draft
            .warnings
            .iter()
            .any(|w| w.contains("flight-test hours"))
    );
    assert!(draft.for_the_office.iter().any(|w| w.contains("clause 26")));
    assert!(
        draft
            .for_an_attorney
            .iter()
            .any(|w| w.contains("536 U.S. 73"))
    );
    // A mechanic is named already, and an owner has nothing from the rule: no draft.
    question.holder = Some(Kind::Mechanic);
    let answers = whomay::answer(&letter, &question, patterns());
    assert!(!request(&letter, &text, &question, &answers).useful);
}

proptest::proptest! {
    #[test]
    fn no_entry_can_break_it(
        words in "\\PC{0,200}",
        noise in proptest::collection::vec("[0-9/ -]{1,12}|may|tt|signed|/s/|a&p|hours|repairman|é|\u{201c}", 0..12),
    ) {
        let (letter, text) = sample();
        for entry_text in [words.clone(), noise.join(" "), format!("{words}{}", noise.concat())] {
            let report = entry(&letter, &text, &entry_text, &question(), patterns());
            assert!(report.checked.len() >= 3);
        }
    }
}
