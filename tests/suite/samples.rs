//! The answers in `samples/answers.jsonl`, worked out by hand before the program ran on the
//! letters, against the program's, for every kind.

use std::path::PathBuf;

use assert_cmd::Command;
use serde_json::Value;

fn samples() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("samples")
}

fn rows() -> Vec<Value> {
    std::fs::read_to_string(samples().join("answers.jsonl"))
        .unwrap()
        .lines()
        .map(|l| serde_json::from_str(l).unwrap())
        .collect()
}

fn report(file: &str, more: &[&str]) -> Value {
    let out = Command::new(env!("CARGO_BIN_EXE_whomay"))
        .arg("read")
        .arg(samples().join(file))
        .args(["--on", "2026-11-25", "--format", "json"])
        .args(more)
        .assert()
        .success();
    serde_json::from_slice(&out.get_output().stdout).unwrap()
}

fn sorted(value: &Value) -> Vec<String> {
    let mut names: Vec<String> = value
        .as_array()
        .unwrap()
        .iter()
        .map(|v| v.as_str().unwrap().to_owned())
        .collect();
    names.sort();
    names
}

#[test]
fn every_sample_has_the_answers_worked_out_by_hand() {
    let mut wrong = Vec::new();
    for row in rows() {
        let file = row["file"].as_str().unwrap();
        let report = report(file, &[]);
        let letter = &report["letter"];
        let basis = letter["basis"].as_str().map(|b| &b[..1]);
        assert_eq!(basis, row["basis"].as_str(), "{file}: basis");
        assert_eq!(letter["issued"], row["issued"], "{file}: issued");
        assert_eq!(letter["is_letter"], row["is_letter"], "{file}: is_letter");
        let answers: Vec<&Value> = report["answers"]
            .as_array()
            .unwrap()
            .iter()
            .filter(|a| a["inspection"] == "yearly")
            .collect();
        assert_eq!(answers.len(), 8, "{file}");
        for answer in answers {
            let kind = answer["holder"].as_str().unwrap();
            let right = &row["answers"][kind];
            for key in ["answer", "open_because", "if_met"] {
                if answer[key] != right[key] {
                    wrong.push(format!(
                        "{file} {kind} {key}: {} is {}",
                        answer[key], right[key]
                    ));
                }
            }
            // A paper that is no letter says nothing: nothing to compare.
            if !right["key2"].is_null() && answer["letter"]["answer"] != right["key2"] {
                wrong.push(format!(
                    "{file} {kind} letter: {}",
                    answer["letter"]["answer"]
                ));
            }
            if sorted(&answer["settled_by"]) != sorted(&right["settled_by"]) {
                wrong.push(format!("{file} {kind} settled by {}", answer["settled_by"]));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn the_100_hour_inspection_has_its_own_list() {
    let row = rows()
        .into_iter()
        .find(|r| r["file"] == "open-and-100-hour.txt")
        .unwrap();
    let report = report("open-and-100-hour.txt", &["--inspection", "100-hour"]);
    for answer in report["answers"].as_array().unwrap() {
        let kind = answer["holder"].as_str().unwrap();
        let right = &row["other_inspections"]["100-hour"]["answers"][kind];
        assert_eq!(answer["answer"], right["answer"], "{kind}");
    }
}
