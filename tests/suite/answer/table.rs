//! Every row of the decision table (`tests/suite/data/decision_table.README.md`), written by a
//! second author from the rule text without sight of the code.

use std::collections::BTreeSet;

use serde_json::Value;
use whomay::model::{
    CategoryClass, CertificateFor, Form, Inspection, InspectorConditionKind as Asks, Kind, Letter,
    Ownership, Paper, Question, Ratings,
};

use super::build::{Says, letter, patterns};

const ROWS: &str = include_str!("../data/decision_table.jsonl");

fn text<'v>(value: &'v Value, key: &str) -> Option<&'v str> {
    value.get(key).and_then(Value::as_str)
}

fn kinds(value: &Value, key: &str) -> Vec<Kind> {
    value[key]
        .as_array()
        .into_iter()
        .flatten()
        .filter_map(Value::as_str)
        .map(|name| Kind::from_name(name).unwrap_or_else(|| panic!("kind {name}")))
        .collect()
}

/// README, field `letter.conditions`: each binds only these kinds of the list.
fn conditions(row: &Value, mut list: Says) -> Says {
    use Kind::{
        BuilderRepairman, LightSportRepairman, LightSportRepairmanInspection,
        LightSportRepairmanMaintenance, Mechanic, RepairStation, Repairman,
    };
    let repairmen = [
        BuilderRepairman,
        LightSportRepairman,
        LightSportRepairmanInspection,
        LightSportRepairmanMaintenance,
        Repairman,
    ];
    for name in row["letter"]["conditions"].as_array().into_iter().flatten() {
        let (asks, on): (Asks, &[Kind]) = match name.as_str().unwrap_or_default() {
            "this-aircraft" => (Asks::ThisAircraft, &repairmen),
            "owner-certificated" => (Asks::OwnedByHolder, &repairmen),
            "holds-ia" => (Asks::HoldsInspectionAuthorization, &[Mechanic]),
            "as-authorized-43.3" => (Asks::AsAuthorizedBy433, &[Mechanic, RepairStation]),
            other => panic!("condition {other}"),
        };
        for kind in on {
            if list.named.contains(kind) {
                list = list.if_(asks, Some(*kind));
            }
        }
    }
    list
}

fn letter_of(row: &Value) -> Letter {
    let l = &row["letter"];
    let named = kinds(l, "named");
    let excluded = kinds(l, "excluded");
    let open = |named: &[Kind]| conditions(row, Says::open(named));
    let says = match text(l, "form").unwrap_or_default() {
        "open" | "generic" => vec![open(&named)],
        "closed" => vec![conditions(row, Says::closed(&named))],
        "none-says" | "light-sport-category" => Vec::new(),
        "excluded" => vec![open(&named).excluding(&excluded)],
        "conflict" => vec![open(&named), Says::excludes(&excluded)],
        other => panic!("form {other}"),
    };
    let mut letter = letter(text(row, "basis"), &says);
    letter.issued.value = text(l, "issued").map(|d| d.parse().expect("a day"));
    if text(l, "form") == Some("light-sport-category") {
        letter.paper = Paper::LightSportCategory;
    }
    letter
}

fn question_of(row: &Value) -> Question {
    let facts = &row["facts"];
    let category = |key| text(facts, key).map(|w| CategoryClass::parse(w).expect("a category"));
    let mut question = Question::on(text(row, "on").expect("on").parse().expect("a day"));
    question.inspection =
        Inspection::from_name(text(row, "inspection").expect("inspection")).expect("inspection");
    question.holder = Kind::from_name(text(row, "kind").expect("kind"));
    question.owner = text(facts, "owner").map(|o| Ownership::from_name(o).expect("owner"));
    question.trained = category("trained");
    question.aircraft = category("aircraft");
    question.ratings = text(facts, "ratings").map(|r| Ratings {
        airframe: r.contains("airframe"),
        powerplant: r.contains("powerplant"),
    });
    question.certificate_for =
        text(facts, "certificate_for").map(|c| CertificateFor::from_name(c).expect("card"));
    question.earlier_certificate = text(facts, "earlier_certificate").map(|e| e == "yes");
    question.inspection_authorization = facts.get("holds_ia").and_then(Value::as_bool);
    question
}

#[test]
fn every_row_of_the_decision_table_holds() {
    let mut wrong = Vec::new();
    let mut rows = 0;
    for line in ROWS.lines().filter(|l| !l.trim().is_empty()) {
        let row: Value = serde_json::from_str(line).expect("a row");
        rows += 1;
        let letter = letter_of(&row);
        let answers = whomay::answer(&letter, &question_of(&row), patterns());
        let [got] = answers.as_slice() else {
            panic!("one kind, one answer")
        };
        let settled = |names: Vec<&str>| {
            names
                .into_iter()
                .map(str::to_owned)
                .collect::<BTreeSet<_>>()
        };
        let want_settled = settled(
            row["settled_by"]
                .as_array()
                .into_iter()
                .flatten()
                .filter_map(Value::as_str)
                .collect(),
        );
        let got_settled = settled(got.settled_by.iter().map(String::as_str).collect());
        let mut differs = Vec::new();
        let mut compare = |what: &str, want: Option<&str>, got: Option<&str>| {
            if want != got {
                differs.push(format!("{what}: want {want:?}, got {got:?}"));
            }
        };
        compare("answer", text(&row, "answer"), Some(got.answer.name()));
        compare("if_met", text(&row, "if_met"), Some(got.if_met.name()));
        compare("key2", text(&row, "key2"), Some(got.letter.answer.name()));
        compare(
            "rule",
            text(&row["rule"], "answer"),
            Some(got.rule.answer.name()),
        );
        compare(
            "rule open",
            text(&row["rule"], "open_because"),
            got.rule.open_because.map(|o| o.name()),
        );
        // The table leaves open what stands beside `disputed` (README, point 2).
        if text(&row, "answer") != Some("disputed") {
            compare(
                "open_because",
                text(&row, "open_because"),
                got.open_because.map(|o| o.name()),
            );
        }
        if want_settled != got_settled {
            differs.push(format!(
                "settled_by: want {want_settled:?}, got {got_settled:?}"
            ));
        }
        if !differs.is_empty() {
            wrong.push(format!("{line}\n    {}", differs.join("; ")));
        }
    }
    assert!(rows >= 330, "{rows} rows");
    assert!(
        wrong.is_empty(),
        "{} of {rows} rows:\n{}",
        wrong.len(),
        wrong.join("\n")
    );
}

#[test]
fn a_definition_alone_leaves_a_letter_silent() {
    // The letter of a row without a list has no rule at all; one that only defines says no more.
    let defines = letter(Some("g"), &[Says::new(Form::None, &[Kind::Mechanic])]);
    let silent = letter(Some("g"), &[]);
    let question = Question::on("2026-11-25".parse().expect("a day"));
    let verdicts = |letter: &Letter| {
        whomay::answer(letter, &question, patterns())
            .iter()
            .map(|a| (a.holder, a.answer, a.letter.answer))
            .collect::<Vec<_>>()
    };
    assert_eq!(verdicts(&defines), verdicts(&silent));
}
