//! Stray signs in the clause that names inspectors: dirt of a scan, markup of a web page, inches.
//! They may make the letter harder to read; they must not make it look silent.

use std::io::Write;

use proptest::prelude::*;
use whomay::model::{Answer, Kind, Question, Verdict};
use whomay::patterns::Patterns;
use whomay::read::{Limits, correct, read};

const BEFORE: &str = "Operating limitations, amateur-built, 14 CFR 21.191(g), issued May 14, 2008\n\n(1) No person may operate this aircraft unless within the preceding 12 calendar months it has had a condition inspection.\n\n(2) ";
const CLAUSE: &str = "An experimental aircraft builder certificated as a repairman for this aircraft under § 65.104 or an appropriately rated FAA-certificated mechanic may perform the condition inspection required by these operating limitations.";
const AFTER: &str = "\n\n(3) Condition inspections must be recorded in the aircraft logbook.\n";

/// Between words.
const SEEN: &[&str] = &[
    "\"",
    "“",
    "\"><svg>",
    "<b>",
    "</i>",
    "<img src=x>",
    "&lt;",
    "*",
    "_",
    "|",
    "(",
    "[a](b)",
    "\u{7}",
];
/// Within words, too.
const UNSEEN: &[&str] = &[
    "\u{1b}[31m",
    "\u{7}",
    "\u{202e}",
    "\u{200b}",
    "\u{ad}",
    "\u{feff}",
];

fn answers(clause: &str, patterns: &Patterns) -> Vec<Answer> {
    let mut file = tempfile::NamedTempFile::new().unwrap();
    write!(file, "{BEFORE}{clause}{AFTER}").unwrap();
    let text = read(&[file.path().display().to_string()], &Limits::default()).unwrap();
    let letter = whomay::understand(&correct(text, patterns), patterns);
    whomay::answer(
        &letter,
        &Question::on("2026-11-25".parse().unwrap()),
        patterns,
    )
}

fn of(answers: &[Answer], kind: Kind) -> Verdict {
    answers.iter().find(|a| a.holder == kind).unwrap().answer
}

#[test]
fn a_mark_that_nothing_closes_quotes_nothing() {
    let patterns = Patterns::embedded().unwrap();
    for clause in [
        CLAUSE.to_owned(),
        format!("\"{CLAUSE}"),
        format!("Prop 72\" by 48: {CLAUSE}"),
        CLAUSE.replace("mechanic may", "mechanic “may"),
    ] {
        let answers = answers(&clause, &patterns);
        let got = [Kind::BuilderRepairman, Kind::Mechanic, Kind::RepairStation]
            .map(|kind| of(&answers, kind));
        assert_eq!(
            got,
            [Verdict::Yes, Verdict::Yes, Verdict::Disputed],
            "{clause}"
        );
    }
}

#[test]
fn a_whole_clause_in_quotation_marks_is_not_silence() {
    let patterns = Patterns::embedded().unwrap();
    let answers = answers(&format!("\"{CLAUSE}\""), &patterns);
    assert_ne!(of(&answers, Kind::RepairStation), Verdict::Yes);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn stray_signs_never_make_silence(
        seen in prop::collection::vec((0..SEEN.len(), 0..CLAUSE.len()), 0..6),
        unseen in prop::collection::vec((0..UNSEEN.len(), 0..CLAUSE.len()), 0..6),
    ) {
        let patterns = patterns();
        let mut clause = CLAUSE.to_owned();
        for (sign, at) in unseen {
            clause.insert_str(clause.floor_char_boundary(at), UNSEEN[sign]);
        }
        for (sign, at) in seen {
            let at = clause[..clause.floor_char_boundary(at)].rfind(' ').map_or(0, |b| b + 1);
            clause.insert_str(at, &format!("{} ", SEEN[sign]));
        }
        let answers = answers(&clause, patterns);
        // the list is open, and a repair station is not in it
        let got = of(&answers, Kind::RepairStation);
        prop_assert!(!matches!(got, Verdict::Yes | Verdict::No), "{got:?}: {clause:?}");
    }
}

fn patterns() -> &'static Patterns {
    static PATTERNS: std::sync::OnceLock<Patterns> = std::sync::OnceLock::new();
    PATTERNS.get_or_init(|| Patterns::embedded().unwrap())
}

#[test]
fn a_list_that_runs_in_its_sentence_is_read_to_its_end() {
    let patterns = Patterns::embedded().unwrap();
    for clause in [
        "No person other than (a) the builder, being the holder of a repairman certificate issued \
         under § 65.104 for this aircraft, and (b) a mechanic holding the appropriate ratings shall \
         conduct the condition inspection.",
        "The condition inspection may be made by either (a) the person who holds the repairman \
         certificate for this aircraft as its builder under § 65.104 or (b) an FAA mechanic with \
         airframe and powerplant ratings, and by nobody else.",
        "Condition inspection done only by (1) builder holding repairman certificate for this aircraft or\n\
         (2) A&P mechanic.",
    ] {
        let answers = answers(clause, &patterns);
        let got = [Kind::BuilderRepairman, Kind::Mechanic, Kind::RepairStation]
            .map(|kind| of(&answers, kind));
        assert_eq!(got, [Verdict::Yes, Verdict::Yes, Verdict::No], "{clause}");
    }
}

#[test]
fn words_that_were_understood_leave_silence() {
    let patterns = Patterns::embedded().unwrap();
    // A copy for whoever inspects, a duty to tell the office, a list for another inspection: none
    // says who may do the yearly one.
    for clause in [
        "A copy of the mechanic certificate must be kept with the records of the aircraft.",
        "The annual inspection of this aircraft need not be performed by a repair station.",
        "Only a mechanic with airframe and powerplant ratings may perform the 100-hour inspection.",
    ] {
        let answers = answers(clause, &patterns);
        let got = [Kind::BuilderRepairman, Kind::Mechanic, Kind::RepairStation]
            .map(|kind| of(&answers, kind));
        assert_eq!(got, [Verdict::Yes, Verdict::Yes, Verdict::Yes], "{clause}");
    }
    // The same with a word that nobody knows.
    for clause in [
        "Only a mechanic may florbish the yearly inspection.",
        "The yearly inspection is a brellish to a repair station and the builder.",
    ] {
        assert_ne!(
            of(&answers(clause, &patterns), Kind::BuilderRepairman),
            Verdict::Yes,
            "{clause}"
        );
    }
}

#[test]
fn a_letter_without_numbers_is_not_silent_where_its_words_were_not_understood() {
    let patterns = Patterns::embedded().unwrap();
    let letter = |words: &str| {
        let mut file = tempfile::NamedTempFile::new().unwrap();
        write!(
            file,
            "Operating limitations, amateur-built, 14 CFR 21.191(g), issued May 14, 2008\n\n\
             Once in 12 calendar months the airplane needs a condition inspection.\n\n{words}\n\n\
             Fly by day only.\n"
        )
        .unwrap();
        let text = read(&[file.path().display().to_string()], &Limits::default()).unwrap();
        let letter = whomay::understand(&text, &patterns);
        let question = Question::on("2026-11-25".parse().unwrap());
        of(
            &whomay::answer(&letter, &question, &patterns),
            Kind::RepairStation,
        )
    };
    let unclear = "If you hold the builder's repairman certificate you can do it yourself; otherwise \
                   any mechanic with both ratings can.";
    assert_eq!(letter(unclear), Verdict::Undetermined);
    assert_eq!(letter("Keep to the test area."), Verdict::Yes);
}
