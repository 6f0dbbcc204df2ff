//! The files of `patterns/reading/`, and which of them bear on which kind, letter and day.

use whomay::answer::speaks;
use whomay::model::{InspectorConditionKind as Asks, Kind, Question, Verdict};

use super::build::{Says, letter, patterns};

#[test]
fn every_hit_and_miss_of_the_readings_holds() {
    for reading in &patterns().reading {
        for hit in &reading.file.hit {
            assert!(speaks(&reading.file, hit), "{}: {hit:?}", reading.id);
        }
        for miss in &reading.file.miss {
            assert!(!speaks(&reading.file, miss), "{}: {miss:?}", reading.id);
        }
    }
}

fn ids(on: &str, issued: Option<&str>, kind: Kind, says: &[Says]) -> Vec<(String, Verdict, bool)> {
    let mut letter = letter(Some("g"), says);
    letter.issued.value = issued.map(|d| d.parse().expect("a day"));
    let mut question = Question::on(on.parse().expect("a day"));
    question.holder = Some(kind);
    question.owner = Some(whomay::model::Ownership::OwnName);
    question.trained = whomay::model::CategoryClass::parse("airplane");
    question.aircraft = question.trained.clone();
    whomay::answer(&letter, &question, patterns())
        .remove(0)
        .readings
        .into_iter()
        .map(|r| (r.id, r.answer, r.later_than_day))
        .collect()
}

const OPEN: [Kind; 2] = [Kind::BuilderRepairman, Kind::Mechanic];
const INSPECTION: Kind = Kind::LightSportRepairmanInspection;

#[test]
fn the_note_speaks_of_letters_before_the_rule_only() {
    let list = [Says::open(&OPEN).if_(Asks::AppropriatelyRated, Some(Kind::Mechanic))];
    let before = ids("2026-11-25", Some("2008-05-14"), INSPECTION, &list);
    assert!(before.contains(&("reading/regulator-note".into(), Verdict::No, false)));
    assert!(before.contains(&("reading/open-list".into(), Verdict::Yes, false)));
    assert!(before.contains(&(
        "reading/owners-association".into(),
        Verdict::Disputed,
        false
    )));
    assert!(before.contains(&("reading/named-term".into(), Verdict::Yes, false)));
    let after = ids("2026-11-25", Some("2025-11-12"), INSPECTION, &list);
    assert!(!after.iter().any(|(id, ..)| id == "reading/regulator-note"));
    assert!(after.contains(&("reading/regulator-wider".into(), Verdict::No, false)));
}

#[test]
fn an_undated_letter_shows_both_branches() {
    let list = [Says::open(&OPEN)];
    let both: Vec<_> = ids("2026-11-25", None, INSPECTION, &list)
        .into_iter()
        .filter(|(id, ..)| id == "reading/regulator-note")
        .map(|(_, answer, _)| answer)
        .collect();
    assert_eq!(both, [Verdict::No, Verdict::Disputed]);
}

#[test]
fn a_reading_later_than_the_day_is_marked() {
    let list = [Says::open(&OPEN)];
    let readings = ids("2025-11-01", Some("2008-05-14"), INSPECTION, &list);
    assert!(readings.contains(&("reading/regulator-note".into(), Verdict::No, true)));
    assert!(readings.contains(&("reading/open-list".into(), Verdict::Yes, false)));
}

#[test]
fn no_statement_of_the_regulator_bears_on_a_repair_station() {
    let readings = ids(
        "2026-11-25",
        Some("2008-05-14"),
        Kind::RepairStation,
        &[Says::open(&OPEN)],
    );
    let names: Vec<&str> = readings.iter().map(|(id, ..)| id.as_str()).collect();
    assert_eq!(
        names,
        ["reading/exhaustive-list", "reading/open-list-trade"]
    );
}

#[test]
fn certain_answers_have_no_readings_but_the_named_term() {
    assert!(ids("2026-11-25", None, Kind::Mechanic, &[Says::open(&OPEN)]).is_empty());
    let term = Says::closed(&OPEN).if_(Asks::AppropriatelyRated, Some(Kind::Mechanic));
    let shut = ids("2026-11-25", None, INSPECTION, &[term]);
    assert_eq!(shut, [("reading/named-term".into(), Verdict::Yes, false)]);
    // It is about the term "appropriately rated mechanic", and says nothing of a letter without it.
    assert!(ids("2026-11-25", None, INSPECTION, &[Says::closed(&OPEN)]).is_empty());
}
