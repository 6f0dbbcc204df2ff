//! A log entry against a letter, and the draft request.

use whomay::answer::{
    EntryReport, EntryVerdict, Interval, Item, Reason, Remark, entry, interval, request,
};
use whomay::model::{
    Basis, Clause, Form, Inspection, InspectorRule, Kind, Letter, NamedKind, Paper, Question, Span,
    Text, Verdict,
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
                by_card: false,
            })
            .to_vec(),
        excluded: Vec::new(),
        conditions: Vec::new(),
        demands: false,
        evidence: vec![span],
        doubt: None,
    });
    (letter, text)
}

fn question() -> Question {
    Question::on("2026-11-25".parse().expect("a day"))
}

fn check(words: &str) -> EntryReport {
    let (letter, text) = sample();
    entry(&letter, &text, words, &question(), patterns())
}

/// The statement of the letter, filled in.
const STATEMENT: &str = "I certify that this aircraft has been inspected on 14 May 2026 in accordance with the scope and detail of appendix D to part 43, and was found to be in a condition for safe operation.";

fn day(words: &str) -> jiff::civil::Date {
    words.parse().expect("a day")
}

#[test]
fn a_whole_entry_is_current() {
    let report = check(&format!(
        "May 14, 2026  TT 412.6 hrs. {STATEMENT}\nSigned: Sample Wrench, A&P 1234567"
    ));
    assert!(report.reasons.is_empty(), "{report:#?}");
    assert_eq!(report.verdict, EntryVerdict::Current);
    assert_eq!(report.good_through, Some(day("2027-05-31")));
    assert_eq!(report.date, Some(day("2026-05-14")));
    assert_eq!(report.kind(), Some(Kind::Mechanic));
    assert_eq!(report.hours.map(|h| h.0), Some(412.6));
    assert_eq!(report.name.as_deref(), Some("Sample Wrench"));
    assert_eq!(report.number.as_deref(), Some("1234567"));
    assert_eq!(report.answer.map(|a| a.answer), Some(Verdict::Yes));
}

#[test]
fn what_is_missing_and_wrong_is_said() {
    // On that day the rule let no light-sport repairman sign on (g).
    let report = check(
        "6/2/25 Annual inspection completed. Aircraft found airworthy. LSRM Sample Repairman",
    );
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
    assert_eq!(report.verdict, EntryVerdict::NotCurrent);
    assert!(report.reasons.contains(&Reason::AirworthyInstead));
    assert!(report.reasons.contains(&Reason::AnnualInstead));
    assert_eq!(report.kind(), Some(Kind::LightSportRepairmanMaintenance));
    assert_eq!(report.answer.map(|a| a.answer), Some(Verdict::No));
    assert_eq!(report.good_through, None);
}

/// A verdict other than `current`, with the reason that leaves it, and never a last day.
#[track_caller]
fn leaves(words: &str, verdict: EntryVerdict, reason: &str) {
    let report = check(words);
    let names: Vec<&str> = report.reasons.iter().map(Reason::name).collect();
    assert_eq!(report.verdict, verdict, "{words}: {names:?}");
    assert_eq!(report.good_through, None, "{words}");
    assert!(names.contains(&reason), "{words}: {names:?}");
}

const SIGNED: &str = "TT 412.6. Signed: Pat Wrench, A&P 1234567";

#[test]
fn a_finding_that_is_turned_or_leaves_something_out_is_no_finding() {
    use EntryVerdict::{Defective, InQuestion, NotCurrent};
    let not = STATEMENT.replace("was found", "was NOT found");
    leaves(&format!("{not} {SIGNED}"), NotCurrent, "finding-negative");
    let never = STATEMENT.replace("found to be", "found not to be");
    leaves(&format!("{never} {SIGNED}"), NotCurrent, "finding-negative");
    let except = STATEMENT.replace("operation.", "operation except engine.");
    leaves(
        &format!("{except} {SIGNED}"),
        NotCurrent,
        "finding-with-exception",
    );
    leaves(
        &format!("{STATEMENT} Propeller cracked at the hub. {SIGNED}"),
        InQuestion,
        "finding-beside-fault",
    );
    leaves(
        &format!("14 May 2026 Condition inspection per appendix D. {SIGNED}"),
        Defective,
        "finding-missing",
    );
    for apart in [
        "\n- except wings\n",
        "\n* except for the left wing.\n",
        "\nExceptions: left wing.\n",
    ] {
        let report = check(&format!("{STATEMENT}{apart}{SIGNED}"));
        assert_eq!(report.verdict, InQuestion, "{apart}");
    }
    let none = check(&format!("{STATEMENT}\nExceptions: none.\n{SIGNED}"));
    assert_eq!(none.verdict, EntryVerdict::Current);
    for mended in [
        "Left brake leaking, replaced O-ring.",
        "Tire worn out. Replaced it.",
        "No cracks found.",
        "Recommend new hoses at next inspection, old ones show minor leaks.",
    ] {
        let report = check(&format!("{STATEMENT} {mended} {SIGNED}"));
        assert_eq!(report.verdict, EntryVerdict::Current, "{mended}");
    }
}

#[test]
fn days_that_cannot_be_leave_the_entry_in_question() {
    use EntryVerdict::{Current, Defective, NotCurrent};
    let on = |day: &str| STATEMENT.replace("14 May 2026", day);
    leaves(
        &format!("{} {SIGNED}", on("14 May 2027")),
        Defective,
        "future",
    );
    leaves(
        &format!("{} {SIGNED}", on("2 May 2008")),
        NotCurrent,
        "before-letter",
    );
    leaves(
        &format!("{} {SIGNED}", on("14MAY25")),
        NotCurrent,
        "expired",
    );
    leaves(
        &format!("May 1, 2026 {STATEMENT} {SIGNED}"),
        Defective,
        "days-disagree",
    );
    // The time runs from the day that the statement certifies.
    let later = check(&format!("June 2, 2026 {STATEMENT} {SIGNED}"));
    assert_eq!(
        (later.verdict, later.good_through),
        (Current, Some(day("2027-05-31")))
    );
    // The number of a directive is no day.
    let directive = check(&format!("{STATEMENT} AD 2011-10-09 c/w. {SIGNED}"));
    assert_eq!(directive.date, Some(day("2026-05-14")));
}

#[test]
fn signers_are_read_as_mechanics_sign() {
    let kind = |words: &str| check(&format!("{STATEMENT} TT 412.6 {words}"));
    for (words, wanted) in [
        ("J. Doe AP/IA 3456789", Kind::Mechanic),
        ("J. Doe AMT 3456789", Kind::Mechanic),
        ("J. Doe A & P #3456789IA", Kind::Mechanic),
        (
            "J. Doe, Repairman (Experimental Aircraft Builder) 3456789",
            Kind::BuilderRepairman,
        ),
        ("J. Doe LSRI 3456789", Kind::LightSportRepairmanInspection),
        (
            "J. Doe, Repairman (Light-Sport), maintenance rating, 3456789",
            Kind::LightSportRepairmanMaintenance,
        ),
        ("J. Doe for CRS X0YR123Z", Kind::RepairStation),
        ("J. Doe, private pilot 3456789", Kind::Owner),
        ("J. Doe, student mechanic", Kind::Owner),
    ] {
        assert_eq!(kind(words).kind(), Some(wanted), "{words}");
        assert_eq!(kind(words).name.as_deref(), Some("J. Doe"), "{words}");
    }
    let single = kind("Al Frame, airframe mechanic 7654321");
    // What the aircraft is, this letter does not say: one rating is enough for a glider.
    assert_eq!(single.verdict, EntryVerdict::InQuestion);
    let both = kind("Al Frame, airframe mechanic 7654321\nPia Power, powerplant mechanic 1237654");
    assert_eq!(both.verdict, EntryVerdict::Current);
    assert!(both.remarks.contains(&Remark::TwoRatings));
    let other =
        kind("Bo Builder, Repairman (Experimental Aircraft Builder) 7654321 for another aircraft");
    assert_eq!(other.verdict, EntryVerdict::NotCurrent);
    let helped = kind(
        "done by Sam Student under the supervision of Pat Wrench A&P 1234567. Signed: Pat Wrench",
    );
    assert_eq!(helped.verdict, EntryVerdict::InQuestion);
}

#[test]
fn a_signer_who_is_not_told_gets_no_answer() {
    let report = check("2026-01-02 inspected, Sample, repairman");
    assert_eq!(report.kind(), None);
    assert!(report.answer.is_none());
    assert!(
        report
            .reasons
            .iter()
            .any(|r| matches!(r, Reason::SignerNotTold(_)))
    );
    assert_eq!(check("").missing.len(), 8);
}

#[test]
fn the_interval_comes_from_the_letter() {
    let (letter, text) = sample();
    assert_eq!(
        interval(&letter, &text, patterns()),
        (Interval::CalendarMonths(12), Some("22".to_owned()))
    );
}

/// Invented clauses; `None` where none sets an interval.
#[test]
fn an_interval_says_how_often_and_not_how_long() {
    let of = |clause: &str| {
        let letter = format!(
            "OPERATING LIMITATIONS\n\n1. No person may operate this aircraft for other than the purpose of \
             operating an amateur-built aircraft.\n2. {clause}\n3. Aerobatic flight is prohibited.\n"
        );
        let text = Text::verbatim(&letter);
        let letter = whomay::understand(&text, patterns());
        interval(&letter, &text.content, patterns()).0
    };
    for (clause, expected) in [
        (
            "The condition inspection must be recorded, and each such record must be kept for 12 calendar months.",
            Interval::NoClause,
        ),
        (
            "A condition inspection is good for 12 calendar months.",
            Interval::CalendarMonths(12),
        ),
        (
            "A condition inspection is valid through the end of the same calendar month of the following year.",
            Interval::CalendarMonths(12),
        ),
        (
            "An inspection equal in scope and detail to appendix D of part 43 is required every eighteen (18) calendar months.",
            Interval::CalendarMonths(18),
        ),
        (
            "This aircraft must be inspected within the preceding 100 hours of time in service and within the \
             preceding 12 calendar months.",
            Interval::HoursOrMonths {
                hours: 100,
                months: 12,
                calendar: true,
            },
        ),
    ] {
        assert_eq!(of(clause), expected, "{clause}");
    }
}

#[test]
fn a_request_quotes_the_clause_and_marks_its_blanks() {
    let (letter, text) = sample();
    let mut question = question();
    question.holder = Some(Kind::LightSportRepairmanInspection);
    let answers = whomay::answer(&letter, &question, patterns());
    let draft = request(&letter, &text, &question, &answers, patterns());
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
    assert!(!request(&letter, &text, &question, &answers, patterns()).useful);
}

/// A whole statement, and words elsewhere that take it back or narrow it: never good, and the words
/// are told. Invented; what stands beside without harm is in the last list.
#[test]
fn words_that_take_the_statement_back_leave_it_in_question() {
    let with = |words: &str| {
        check(&format!(
            "2026-05-14. Total time 412.6 hours. I certify that this aircraft has been inspected on \
             2026-05-14 in accordance with the scope and detail of appendix D to part 43, and was \
             found to be in a condition for safe operation. {words} Bo Example, A&P 0000001"
        ))
    };
    for words in [
        "Rudder cables must be replaced first.",
        "The left wing was not opened.",
        "Cowling only.",
        "For one flight to the paint shop.",
        "VOID.",
        "Draft for the owner.",
        "If the new hose arrives this counts.",
        "Mr. Sample says all is well.",
        "Certificate surrendered in March.",
        "Sample entry for training.",
        "But the left wing has rot.",
        "Owner says the wings were inspected.",
        "Provided the trim cable is new.",
        "Tail section excluded.",
        "Engine inspected by M. Hale.",
        "Same as last year.",
        "No access to the tailcone.",
        "This inspection covers the airframe.",
        "Hose replaced before next flight.",
    ] {
        let report = with(words);
        assert_eq!(report.verdict, EntryVerdict::InQuestion, "{words}");
        assert_eq!(report.good_through, None, "{words}");
        assert!(
            report
                .reasons
                .iter()
                .any(|r| matches!(r, Reason::NotUnderstood(_))),
            "{words}: {:?}",
            report.reasons
        );
    }
    for words in [
        "Oil changed, filter cut: no metal.",
        "No leaks found.",
        "Recommend new tires, they will be due next annual.",
        "Transponder test not due.",
        "Compression 78/80 77/80 78/80 76/80.",
        "Oil sample sent to the lab.",
        "Air added to tires as required.",
        "Filter cut open, carbon but no metal.",
        "Owner reports rough mag drop. Cleaned plugs.",
        "Placards required by the operating limitations in place.",
        "Inspected by Bo Example.",
        "Replaced cracked spring.",
        "Hose leaking, replaced.",
    ] {
        assert_eq!(with(words).verdict, EntryVerdict::Current, "{words}");
    }
    assert_eq!(with("Not to be flown.").verdict, EntryVerdict::NotCurrent);
    let other = check(
        "2026-05-14. Total time 412.6 hours. I certify that this aircraft has been inspected on \
         2026-05-14 in accordance with the scope and detail of appendix D to part 43, and was found \
         to be in a condition for safe operation. Bo Example, A&P 0000001. Signed: Cy Other",
    );
    assert_eq!(other.verdict, EntryVerdict::InQuestion);
}

/// What is said of a part in words that no file knows may be a fault; work on it, a sound state and a
/// reading are none. Invented sentences.
#[test]
fn a_state_of_a_part_that_no_file_knows_is_a_doubt() {
    let with = |words: &str| {
        check(&format!(
            "2026-05-14. Total time 412.6 hours. {STATEMENT} {words} Bo Example, A&P 0000001"
        ))
    };
    for words in [
        "Nose strut sags badly.",
        "Rib splintered beside the jig hole.",
        "Wing bolt at no. 3 eaten thin.",
        "AD 2020-01-02 open.",
    ] {
        assert_eq!(with(words).verdict, EntryVerdict::InQuestion, "{words}");
    }
    for words in [
        "Nose strut wibbled.",
        "Nose strut reserviced.",
        "Nose strut sound.",
        "Nose strut sags badly. Serviced.",
        "2 bushings, 1 lens, 4 nuts.",
        "Brake pads at 50 percent.",
    ] {
        assert_eq!(with(words).verdict, EntryVerdict::Current, "{words}");
    }
}

/// A cylinder that loses more than 25 percent of the pressure of the differential test is a fault without a word
/// of one (FAA AC 43.13-1B, chapter 8, from memory), and so is a figure beyond a limit that the entry itself
/// states.
#[test]
fn readings_beyond_their_limits_are_doubts() {
    let with = |words: &str| {
        check(&format!(
            "2026-05-14. Total time 412.6 hours. {STATEMENT} {words} Bo Example, A&P 0000001"
        ))
    };
    for words in [
        "Cyl. no. 3 at 30/80.",
        "Compression: 74/80, 59/80, 76/80.",
        "Compression 1) 74 2) 22 3) 76 4) 75 over 80.",
        "Brake disc .150, min .160.",
        "Play 3/16, max 1/8.",
        "Oil pressure hot idle 18 psi (limit 25 min).",
        "Oil pressure hot idle 18 psi, min 25\nPlugs cleaned",
        "Oil pressure hot idle   18 psi   (limit 25 min)\nCompression   75 / 76 / 74 / 76\n",
        "Hinge play 1/4 inch, book allows 1/16.",
    ] {
        assert_eq!(with(words).verdict, EntryVerdict::InQuestion, "{words}");
    }
    for words in [
        "Cyl. no. 3 at 60/80.",
        "Compression: 74/80, 72/80, 76/80.",
        "Compression 1) 74 2) 72 3) 76 4) 75 over 80.",
        "Cyl. no. 3 at 30/80, valve lapped, now 74/80.",
        "Brake disc .170, min .160.",
        "Play 1/16, max 1/8.",
        "Oil pressure hot idle 28 psi (limit 25 min).",
        "Oil pressure 60 psi after 25 min.",
        "Oil pressure hot idle 18 psi (limit 25 min). Adjusted, now 35 psi.",
        "Hinge play 1/32 inch, book allows 1/16.",
    ] {
        assert_eq!(with(words).verdict, EntryVerdict::Current, "{words}");
    }
}

/// A fault is mended by work on it, not by work on something else that stands before it, nor by the
/// sentence on the inspection itself.
#[test]
fn a_fault_is_mended_by_work_on_it_alone() {
    let inspected = "Condition inspection complied with per scope and detail of appendix D to part 43, \
                     found in a condition for safe operation.";
    let with = |words: &str| {
        check(&format!(
            "2026-05-14. Total time 412.6 hours. {words} {inspected} Bo Example, A&P 0000001"
        ))
    };
    for words in [
        "Replaced oil filter and found cracked propeller.",
        "Cleaned plugs, propeller cracked.",
        "Alternator belt cracked.",
    ] {
        let report = with(words);
        assert_eq!(report.verdict, EntryVerdict::InQuestion, "{words}");
        assert!(
            matches!(report.reasons[0], Reason::FindingContradicts(_)),
            "{words}: {:?}",
            report.reasons
        );
    }
    for words in [
        "Replaced cracked muffler.",
        "Alternator belt was cracked, new belt fitted.",
        "Exhaust bracket broken. Welded and refitted.",
    ] {
        assert_eq!(with(words).verdict, EntryVerdict::Current, "{words}");
    }
}

#[test]
fn a_number_glued_to_its_label_is_taken_apart() {
    let with = |head: &str, foot: &str| {
        check(&format!(
            "2026-05-14. {head} Condition inspection per scope and detail of appendix D to part 43, \
             found in a condition for safe operation. {foot}"
        ))
    };
    for (head, foot, number) in [
        ("TT412.6", "Bo Example AP0000001", "0000001"),
        ("TTAF 412.6", "Bo Example, A&P0000001", "0000001"),
        ("TTAF412.6", "Bo Example A&P IA0000001", "0000001"),
    ] {
        let report = with(head, foot);
        assert_eq!(report.verdict, EntryVerdict::Current, "{foot}: {report:?}");
        assert_eq!(report.number.as_deref(), Some(number), "{foot}");
        assert_eq!(report.hours.map(|h| h.0), Some(412.6), "{head}");
        assert_eq!(report.name.as_deref(), Some("Bo Example"), "{foot}");
    }
    // What stands behind no name is the number of a part.
    let report = with(
        "TT 412.6. Replaced oil filter AP48110811.",
        "Bo Example, owner",
    );
    assert_eq!(report.kind(), Some(Kind::Owner));
    assert_eq!(report.verdict, EntryVerdict::NotCurrent);
}

#[test]
fn what_nothing_was_known_of_is_told() {
    let told = |words: &str| {
        let report = check(&format!(
            "2026-05-14. Total time 412.6 hours. {words} {STATEMENT} Bo Example, A&P 0000001"
        ));
        assert_eq!(report.verdict, EntryVerdict::Current, "{words}");
        report.remarks
    };
    let passed = |words: &str| Remark::PassedOver(vec![words.to_owned()]);
    let weather = "Saturday was dull and windy.";
    assert!(told(weather).contains(&passed(weather)));
    for words in [
        "Oil changed and filter replaced.",
        "No leaks found.",
        "78/80 77/80.",
    ] {
        let remarks = told(words);
        assert!(
            !remarks.iter().any(|r| matches!(r, Remark::PassedOver(_))),
            "{words}: {remarks:?}"
        );
    }
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

/// A clause without a word of the inspection asks for what an entry shows; one on other entries does not.
#[test]
fn what_an_entry_shows_is_heard_in_a_clause_of_its_own() {
    let asked = |clause: &str| -> Vec<&str> {
        let words = format!(
            "OPERATING LIMITATIONS\nEXPERIMENTAL, 14 CFR § 21.191(g)\n\n1. These operating limitations must be \
             carried in the aircraft.\n\n2. No person may operate this aircraft unless within the preceding 12 \
             calendar months it has had a condition inspection.\n\n3. {clause}\n"
        );
        let text = whomay::model::Text::verbatim(&words);
        let letter = whomay::understand(&text, patterns());
        let found = entry(&letter, &text.content, "5/14/26", &question(), patterns());
        found.checked.iter().map(|c| c.item.name()).collect()
    };
    for (clause, items) in [
        (
            "The entry shall give date, total time, and the words prescribed.",
            vec!["date", "statement", "time-in-service"],
        ),
        (
            "Entries are to show the date, total time in service and the certificate number.",
            vec!["date", "time-in-service", "certificate-number"],
        ),
        (
            "The signoff must state the aircraft total time and the date.",
            vec!["date", "time-in-service"],
        ),
        (
            "The record shall hold: date; total time; name.",
            vec!["date", "time-in-service", "name"],
        ),
    ] {
        assert_eq!(asked(clause), items, "{clause}");
    }
    let general = vec!["date", "signature", "certificate-number"];
    for clause in [
        "Entries for fuel must give the date and total time.",
        "Flight test entries must give the date and total time.",
        "The pilot must log the total time of each flight.",
    ] {
        assert_eq!(asked(clause), general, "{clause}");
    }
}
