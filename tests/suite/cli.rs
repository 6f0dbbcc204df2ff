//! The command line, run as a user runs it.

use std::io::Write;
use std::process::{Command as Plain, Stdio};

use assert_cmd::Command;
use predicates::prelude::*;
use serde_json::Value;

const LETTER: &str = "samples/open-list-f.txt";
const DAY: &str = "--on=2026-11-25";

/// The program, with the colors of the one who runs the tests left out.
pub(super) fn whomay() -> Command {
    let mut command = Command::cargo_bin("whomay").unwrap();
    command.env_remove("NO_COLOR").env_remove("CLICOLOR_FORCE");
    command
}

fn json(arguments: &[&str]) -> Value {
    let output = whomay()
        .args(arguments)
        .args(["--format", "json"])
        .output()
        .unwrap();
    assert!(output.status.success(), "{output:?}");
    serde_json::from_slice(&output.stdout).unwrap()
}

fn samples() -> Vec<Value> {
    std::fs::read_to_string("samples/answers.jsonl")
        .unwrap()
        .lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .collect()
}

#[test]
fn every_sample_gives_the_answers_of_its_readme() {
    let mut wrong = Vec::new();
    for sample in samples() {
        let file = sample["file"].as_str().unwrap();
        let on = format!("--on={}", sample["on"].as_str().unwrap());
        let report = json(&["who", &format!("samples/{file}"), &on]);
        for (kind, expected) in sample["answers"].as_object().unwrap() {
            let answers = report["answers"].as_array().unwrap();
            let Some(found) = answers.iter().find(|a| a["holder"] == kind.as_str()) else {
                wrong.push(format!("{file} {kind}: no answer"));
                continue;
            };
            for (said, wanted) in [
                (&found["answer"], &expected["answer"]),
                (&found["if_met"], &expected["if_met"]),
                (&found["letter"]["answer"], &expected["key2"]),
            ] {
                if said != wanted && !wanted.is_null() {
                    wrong.push(format!("{file} {kind}: {said} instead of {wanted}"));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn real_output_keeps_to_the_schema() {
    let schema = whomay().arg("schema").output().unwrap();
    let schema: Value = serde_json::from_slice(&schema.stdout).unwrap();
    let mut compiler = boon::Compiler::new();
    let mut schemas = boon::Schemas::new();
    compiler.add_resource("report.json", schema).unwrap();
    let schema = compiler.compile("report.json", &mut schemas).unwrap();
    for sample in samples() {
        let file = format!("samples/{}", sample["file"].as_str().unwrap());
        let report = json(&["read", &file, DAY]);
        if let Err(error) = schemas.validate(&report, schema) {
            panic!("{file}: {error:#}");
        }
    }
    let facts = [
        "who",
        LETTER,
        DAY,
        "--holder=mechanic",
        "--owner=trust",
        "--trained=glider",
        "--aircraft=rotorcraft/gyroplane",
        "--basis=i2",
        "--issued=2009-01-02",
        "--ratings=airframe,powerplant",
        "--certificate-for=none",
        "--earlier-certificate=no",
        "--inspection=100-hour",
        "--inspection-authorization=yes",
    ];
    let report = json(&facts);
    assert!(schemas.validate(&report, schema).is_ok());
    assert_eq!(report["question"]["basis"], "i2");
    assert_eq!(report["question"]["ratings"][1], "powerplant");
    assert_eq!(report["answers"].as_array().unwrap().len(), 1);

    let mut broken = report;
    broken["answers"][0]["answer"] = "perhaps".into();
    assert!(schemas.validate(&broken, schema).is_err());
}

#[test]
fn the_first_screen_of_every_sample_can_be_acted_on() {
    for sample in samples() {
        let file = format!("samples/{}", sample["file"].as_str().unwrap());
        let output = whomay().args(["read", &file, DAY]).output().unwrap();
        let text = String::from_utf8(output.stdout).unwrap();
        for line in text.lines() {
            assert!(line.chars().count() <= 80, "{file}: {line}");
        }
        let screen: Vec<&str> = text.lines().take(24).collect();
        let screen = screen.join("\n");
        assert!(
            screen.contains("mechanic or an attorney."),
            "{file}\n{screen}"
        );
    }
}

#[test]
fn the_question_alone_has_at_most_60_lines() {
    for sample in samples() {
        let file = format!("samples/{}", sample["file"].as_str().unwrap());
        let output = whomay().args(["who", &file, DAY]).output().unwrap();
        let text = String::from_utf8(output.stdout).unwrap();
        let lines = text.lines().count();
        assert!(lines <= 60, "{file}: {lines} lines\n{text}");
    }
}

#[test]
fn a_report_on_28_clauses_has_at_most_250_lines() {
    let lines = |arguments: &[&str]| {
        let output = whomay().args(arguments).output().unwrap();
        String::from_utf8(output.stdout).unwrap().lines().count()
    };
    for (n, sample) in samples().iter().enumerate() {
        let file = format!("samples/{}", sample["file"].as_str().unwrap());
        let usual = lines(&["read", &file, DAY]);
        assert!(usual <= 250, "{file}: {usual} lines");
        if n % 4 == 0 {
            assert!(lines(&["read", &file, DAY, "--full"]) > usual, "{file}");
        }
    }
    whomay()
        .args(["read", LETTER, "--full", "--format=json"])
        .assert()
        .code(2);
}

#[test]
fn a_clause_that_was_pasted_is_answered_in_plain_text() {
    let clause = "(26) An experimental aircraft builder certificated as a repairman for this \
                  aircraft under § 65.104 or an appropriately rated FAA-certificated mechanic may \
                  perform the condition inspection required by these operating limitations.";
    let output = whomay()
        .args(["who", "-", "--on", "11/25/2026", "--short"])
        .write_stdin(clause)
        .output()
        .unwrap();
    assert!(output.status.success(), "{output:?}");
    let said = String::from_utf8(output.stdout).unwrap();
    assert!(said.lines().count() < 15, "{said}");
    assert!(!said.contains("**") && !said.contains('\\'), "{said}");
    for part in [
        "On Nov 25, 2026 an A&P mechanic can sign the yearly condition inspection.",
        "Judged on this clause alone",
        "In dispute: repair station",
        "Clause 26 (line 1) permits, and does not say that nobody else may: \"An experimental",
        "Not legal advice",
    ] {
        assert!(said.contains(part), "{part} in {said}");
    }
    // The regulator's reported view, and what is held against it.
    let output = whomay()
        .args(["who", LETTER, DAY, "--short"])
        .output()
        .unwrap();
    let said = String::from_utf8(output.stdout).unwrap();
    for part in ["\nThe regulator: no", "\nSome owners: yes"] {
        assert!(said.contains(part), "{part} in {said}");
    }
}

#[test]
fn first_screens() {
    let mut screens = String::new();
    for sample in samples() {
        let file = format!("samples/{}", sample["file"].as_str().unwrap());
        let output = whomay().args(["who", &file, DAY]).output().unwrap();
        let text = String::from_utf8(output.stdout).unwrap();
        let screen: Vec<&str> = text
            .lines()
            .take_while(|l| !l.starts_with("NEXT STEPS"))
            .collect();
        screens.push_str(&screen.join("\n"));
        screens.push_str("\n----\n");
    }
    insta::assert_snapshot!(screens);
}

#[test]
fn the_answer_can_be_the_exit_code() {
    let code = |file: &str, holder: &str| {
        whomay()
            .args(["who", file, DAY, "--status", "--holder", holder])
            .output()
            .unwrap()
            .status
            .code()
    };
    assert_eq!(code(LETTER, "mechanic"), Some(0));
    assert_eq!(code(LETTER, "owner"), Some(1));
    assert_eq!(code(LETTER, "repair-station"), Some(3));
    assert_eq!(code(LETTER, "light-sport-repairman-inspection"), Some(4));
    // Which of eight answers would it be?
    whomay().args(["who", LETTER, "--status"]).assert().code(2);
}

#[test]
fn questions_are_asked_only_while_they_can_change_the_answer() {
    let ask = |typed: &str| {
        let output = whomay()
            .args([
                "who",
                LETTER,
                DAY,
                "--ask",
                "--holder=light-sport-repairman-inspection",
            ])
            .write_stdin(typed)
            .output()
            .unwrap();
        (
            String::from_utf8(output.stdout).unwrap(),
            String::from_utf8(output.stderr).unwrap(),
        )
    };
    let (report, prompts) = ask("not-owner\n");
    assert!(prompts.contains("own the aircraft"), "{prompts}");
    assert!(!prompts.contains("training"), "{prompts}");
    assert!(report.contains("no: no rule gives the right"), "{report}");

    let (report, prompts) = ask("self\nairplane\n");
    assert!(prompts.contains("training"), "{prompts}");
    assert!(report.contains("in dispute: not in its list"), "{report}");
    whomay().args(["who", "-", "--ask"]).assert().code(2);
}

#[test]
fn a_value_that_is_not_accepted_is_named_with_those_that_are() {
    for (option, value, accepted) in [
        ("--owner", "me", "co-owner"),
        ("--holder", "smith", "repair-station"),
        ("--trained", "car", "weight-shift-control"),
        ("--basis", "z", "amateur-built is g"),
        ("--on", "yesterday", "2026-11-25"),
        ("--ratings", "both", "airframe,powerplant"),
        ("--certificate-for", "mine", "this, other, none"),
        ("--earlier-certificate", "maybe", "yes, no"),
        ("--inspection", "weekly", "100-hour"),
        ("--inspection-authorization", "1", "yes, no"),
        ("--format", "xml", "markdown"),
        ("--color", "red", "never"),
    ] {
        whomay()
            .args(["who", LETTER, option, value])
            .assert()
            .code(2)
            .stderr(
                predicate::str::contains(option)
                    .and(predicate::str::contains(value))
                    .and(predicate::str::contains(accepted)),
            );
    }
}

#[test]
fn a_holder_may_be_named_as_the_trade_does() {
    let told = |holder: &str| json(&["who", LETTER, DAY, "--holder", holder]);
    for (short, kind) in [
        ("A&P", "mechanic"),
        ("a&p", "mechanic"),
        ("CRS", "repair-station"),
        ("LSRI", "light-sport-repairman-inspection"),
        ("lsrm", "light-sport-repairman-maintenance"),
        ("Owner", "owner"),
    ] {
        assert_eq!(told(short), told(kind), "{short}");
    }
    let authorized = json(&[
        "who",
        LETTER,
        DAY,
        "--holder=mechanic",
        "--inspection-authorization=yes",
    ]);
    assert_eq!(told("IA"), authorized);
}

#[test]
fn what_cannot_be_done_is_said_with_exit_code_2() {
    whomay()
        .args(["read", "samples/there-is-none.txt"])
        .assert()
        .code(2)
        .stderr(predicate::str::contains("there-is-none.txt"));
    whomay()
        .args(["explain", "modality/no-person-unles"])
        .assert()
        .code(2)
        .stderr(predicate::str::contains("modality/no-person-unless"));
    whomay()
        .args(["show", "clauses", LETTER, "--format", "markdown"])
        .assert()
        .code(2)
        .stderr(predicate::str::contains("terminal, json"));
}

#[test]
fn a_file_is_written_whole_and_never_overwritten_unasked() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("report.json");
    let write = |more: &[&str]| {
        let mut command = whomay();
        command.args(["who", LETTER, DAY, "--format=json", "-o"]);
        command.arg(&file).args(more).assert()
    };
    write(&[])
        .success()
        .stderr(predicate::str::contains("wrote"));
    let report: Value = serde_json::from_slice(&std::fs::read(&file).unwrap()).unwrap();
    assert_eq!(report["schema"], 1);

    std::fs::write(&file, "mine").unwrap();
    write(&[])
        .code(2)
        .stderr(predicate::str::contains("--force"));
    assert_eq!(std::fs::read_to_string(&file).unwrap(), "mine");
    write(&["--force", "--quiet"]).success().stderr("");
    assert_ne!(std::fs::read_to_string(&file).unwrap(), "mine");
    let left: Vec<_> = std::fs::read_dir(folder.path()).unwrap().collect();
    assert_eq!(left.len(), 1, "a temporary file was left behind");

    whomay()
        .args(["who", LETTER, "-o"])
        .arg(folder.path().join("no-folder/report.txt"))
        .assert()
        .code(2);
    whomay()
        .args(["who", LETTER, "-o"])
        .arg(folder.path())
        .assert()
        .code(2);
}

#[test]
fn style_is_optional_and_says_nothing_by_itself() {
    let run = |arguments: &[&str], variable: Option<&str>| {
        let mut command = whomay();
        command.args(["who", LETTER, DAY]).args(arguments);
        if let Some(variable) = variable {
            command.env(variable, "1");
        }
        String::from_utf8(command.output().unwrap().stdout).unwrap()
    };
    let plain = run(&[], None);
    let styled = run(&["--color=always"], None);
    assert!(!plain.contains('\u{1b}'));
    assert!(styled.contains('\u{1b}'));
    assert_eq!(anstream::adapter::strip_str(&styled).to_string(), plain);
    assert_eq!(run(&["--color=never"], Some("CLICOLOR_FORCE")), plain);
    assert_eq!(run(&[], Some("NO_COLOR")), plain);
}

#[test]
fn a_hostile_letter_from_standard_input_cannot_steer_the_terminal() {
    let letter = std::fs::read_to_string(LETTER)
        .unwrap()
        .replace("mechanic", "mech\u{1b}[2J\u{1b}]0;x\u{7}anic")
        .replace("(26)", "(26)\u{202e}\u{9b}31m");
    for command in [
        &["read", "-"][..],
        &["who", "-"],
        &["show", "lines", "-"],
        &["show", "text", "-"],
        &["show", "clauses", "-"],
        &["read", "-", "--format=json"],
        &["read", "-", "--format=markdown"],
    ] {
        let output = whomay()
            .args(command)
            .write_stdin(letter.clone())
            .output()
            .unwrap();
        let text = String::from_utf8(output.stdout).unwrap();
        assert!(!text.is_empty(), "{command:?}");
        for c in text.chars() {
            assert!(c == '\n' || !c.is_control(), "{command:?}: {c:?}");
            assert!(c != '\u{202e}', "{command:?}");
        }
    }
}

#[test]
fn a_closed_pipe_is_success() {
    let mut child = Plain::new(assert_cmd::cargo::cargo_bin("whomay"))
        .args(["show", "lines", "-"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let long = std::fs::read_to_string(LETTER).unwrap().repeat(20);
    child
        .stdin
        .take()
        .unwrap()
        .write_all(long.as_bytes())
        .unwrap();
    let output = child.wait_with_output().unwrap();
    assert!(output.status.success(), "{output:?}");
    assert!(output.stderr.is_empty(), "{output:?}");
}

#[test]
fn each_stage_can_be_shown() {
    for stage in [
        "lines",
        "text",
        "clauses",
        "sentences",
        "norms",
        "citations",
        "topics",
        "inspectors",
        "alignment",
    ] {
        let shown = json(&["show", stage, LETTER]);
        assert_eq!(shown["stage"], stage);
        whomay().args(["show", stage, LETTER]).assert().success();
    }
    let norms = json(&["show", "norms", LETTER]);
    let rows = norms["rows"].as_array().unwrap();
    assert!(
        rows.iter()
            .any(|r| r["clause"] == "26" && r["modality"] == "permission")
    );
}

#[test]
fn what_is_held_is_listed_with_source_and_grade() {
    for list in ["rules", "wordings"] {
        let held = json(&[list]);
        let held = held.as_array().unwrap();
        assert!(!held.is_empty(), "{list}");
        for entry in held {
            assert!(entry["sources"][0]["grade"].is_string(), "{list}: {entry}");
        }
        let id = held[0]["id"].as_str().unwrap();
        whomay()
            .args(["explain", id, "--source"])
            .assert()
            .success()
            .stdout(predicate::str::contains("[[source]]"));
    }
}

#[test]
fn an_amendment_that_settles_a_dispute_is_told_and_two_aircraft_are() {
    let old = std::fs::read_to_string("samples/open-list-f.txt").unwrap();
    let named = "aircraft under § 65.104 or an appropriately rated FAA-certificated mechanic";
    let more = "aircraft under § 65.104, a light-sport repairman with a maintenance rating, or an \
                appropriately rated FAA-certificated mechanic";
    let new = old.replace(named, more);
    assert_ne!(old, new);
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("new.txt");
    std::fs::write(&file, new).unwrap();
    let file = file.to_str().unwrap();
    whomay()
        .args(["compare", "samples/open-list-f.txt", file, DAY])
        .assert()
        .success()
        .stdout(predicate::str::contains("in dispute, if").and(predicate::str::contains("yes, if")))
        .stdout(predicate::str::contains("registration marks").not());
    whomay()
        .args([
            "compare",
            "samples/open-list-f.txt",
            "samples/closed-list.txt",
        ])
        .assert()
        .success()
        .stdout(predicate::str::contains("marks, N0WHO and N0ONLY:"));
}

#[test]
fn ids_tags_and_citations_are_explained_in_sentences() {
    for (name, says) in [
        ("law/light-sport-maintenance", "Source: 14 CFR 65.109"),
        ("65.109", "law/light-sport-maintenance"),
        ("§ 91.319(e)", "outdated/91-319-e"),
        ("moved-citation", "outdated/91-319-e"),
        ("repair-station", "law/repair-station"),
        ("owner", "law/owner-silent-letter"),
        ("91-319-e", "Citation: 91.319(e)"),
    ] {
        whomay()
            .args(["explain", name])
            .assert()
            .success()
            .stdout(predicate::str::contains(says).and(predicate::str::contains("[[").not()));
    }
    for name in ["65.1099", "no-such-tag-at-all"] {
        whomay().args(["explain", name]).assert().code(2);
    }
}

#[test]
fn the_same_input_gives_the_same_bytes() {
    let run = || {
        whomay()
            .args(["read", LETTER, DAY, "--format=json"])
            .output()
            .unwrap()
            .stdout
    };
    assert_eq!(run(), run());
}

#[test]
fn due_days_and_a_calendar() {
    let due = json(&["due", "2026-11-25", "2027-02-10"]);
    assert_eq!(due["inspections"][0]["last_day"], "2027-11-30");
    assert_eq!(due["inspections"][1]["last_day"], "2028-02-29");
    let due = json(&["due", "2012-08-01", "--letter", LETTER]);
    assert_eq!(due["interval"]["kind"], "calendar-months");
    assert_eq!(due["clause"], "22");
    whomay()
        .args(["due", "2026-11-25"])
        .assert()
        .success()
        .stdout(predicate::str::contains("good through Nov 30, 2027"));
    whomay()
        .args(["due", "--calendar", "2026-11-25"])
        .assert()
        .success()
        .stdout(predicate::str::starts_with("BEGIN:VCALENDAR\r\n"));
    // The other days that bind, each once; an altimeter that is not flown by under IFR binds nobody.
    let all = [
        "due",
        "2026-01-20",
        "--on=2026-11-25",
        "--altimeter=2025-03-02",
        "--transponder=2025-04-30",
        "--elt=2026-02-15",
        "--calendar",
    ];
    let calendar = |more: &[&str]| {
        let output = whomay().args(all).args(more).output().unwrap();
        String::from_utf8(output.stdout).unwrap()
    };
    let days = |text: &str| -> Vec<String> {
        text.lines()
            .filter_map(|l| l.strip_prefix("DTSTART;VALUE=DATE:"))
            .map(|l| l.trim().to_owned())
            .collect()
    };
    let under_ifr = calendar(&["--ifr=yes"]);
    assert_eq!(
        days(&under_ifr),
        ["20270131", "20270331", "20270430", "20270228"]
    );
    assert!(under_ifr.contains("UID:altimeter-due-2027-03-31@whomay.invalid"));
    assert_eq!(days(&calendar(&[])), ["20270131", "20270430", "20270228"]);
    assert_eq!(
        days(&calendar(&["--seats=1"])),
        ["20270131", "20270430"],
        "one seat: no transmitter"
    );
    whomay().args(["due", "tomorrow"]).assert().code(2);
}

#[test]
fn an_entry_is_held_against_the_letter() {
    let entry = "December 1, 2025. I certify that this aircraft has been inspected on December 1, \
                 2025 in accordance with the scope and detail of appendix D to part 43, and was \
                 found to be in airworthy condition. Certificate number 0000000, mechanic, \
                 airframe and powerplant.";
    let output = whomay()
        .args(["entry", LETTER, "-", "--format=json", "--on=2026-11-25"])
        .write_stdin(entry)
        .output()
        .unwrap();
    let report: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(report["date"], "2025-12-01");
    assert_eq!(report["signer"], "mechanic");
    assert_eq!(report["answer"]["answer"], "yes");
    // Something is missing and misfits: no last day is claimed.
    assert_eq!(report["verdict"], "defective");
    assert_eq!(report["good_through"], Value::Null);
    assert_eq!(report["due"], Value::Null);
    let missing: Vec<&str> = report["missing"]
        .as_array()
        .unwrap()
        .iter()
        .filter_map(Value::as_str)
        .collect();
    assert!(missing.contains(&"time-in-service"), "{missing:?}");
    let reasons = report["reasons"].as_array().unwrap();
    assert!(reasons.iter().any(|r| r["id"] == "airworthy-instead"));
    whomay()
        .args(["entry", LETTER, "-", "--on=2026-11-25"])
        .write_stdin(entry)
        .assert()
        .success()
        .stdout(
            predicate::str::contains("Defective: have the signer correct the entry.").and(
                predicate::str::contains(
                    "Could a mechanic with airframe and powerplant ratings sign on Dec 1, 2025? yes",
                ),
            ),
        );
    whomay().args(["entry", "-", "-"]).assert().code(2);
}

#[test]
fn a_request_is_drafted_where_it_would_help() {
    let draft = json(&["request", LETTER, DAY]);
    assert_eq!(draft["useful"], true);
    assert!(!draft["blanks"].as_array().unwrap().is_empty());
    let text = whomay()
        .args(["request", LETTER, DAY, "--format=markdown"])
        .output()
        .unwrap();
    let text = String::from_utf8(text.stdout).unwrap();
    assert!(text.contains("## Questions for the FAA office"), "{text}");
    assert!(text.contains("> (26)"), "the clause is quoted: {text}");
    let draft = json(&["request", "samples/not-a-letter.txt", DAY]);
    assert_eq!(draft["useful"], false);
}

#[test]
fn a_letter_is_held_against_the_nearest_wording() {
    let compared = json(&["compare", LETTER]);
    assert!(compared["comparison"]["wording"].is_string());
    let clauses = compared["comparison"]["clauses"].as_array().unwrap();
    assert!(
        clauses
            .iter()
            .any(|c| c["clause"] == "26" && c["same"] == true)
    );
    whomay()
        .args(["compare", LETTER])
        .assert()
        .success()
        .stdout(predicate::str::contains("Nearest wording"));
}

#[test]
fn one_page_for_the_inspector() {
    whomay()
        .args(["read", "--sheet", LETTER, DAY])
        .assert()
        .success()
        .stdout(
            predicate::str::contains("What the log entry has to show".to_uppercase())
                .and(predicate::str::contains("Clause 26"))
                .and(predicate::str::contains("condition for safe operation")),
        );
}

#[test]
fn two_letters_and_a_claim_are_held_against_each_other() {
    let other = json(&["compare", LETTER, "samples/closed-list.txt"]);
    let pairs = other["pairs"].as_array().unwrap();
    assert!(pairs.iter().any(|p| p["relation"] != "same"));
    let same = json(&["compare", LETTER, LETTER]);
    let pairs = same["pairs"].as_array().unwrap();
    assert!(pairs.iter().all(|p| p["relation"] == "same"), "{same:#}");
    whomay()
        .args(["compare", LETTER, "samples/open-list-g.txt"])
        .assert()
        .success()
        .stdout(predicate::str::contains("Old: samples/open-list-f.txt"));

    let claim = "Only the builder may perform the condition inspection.";
    let held = json(&["compare", LETTER, "--claim", claim]);
    assert_eq!(held["statements"][0]["verdict"], "departs");
    assert_eq!(held["statements"][0]["clause"], "26");
    whomay()
        .args(["compare", LETTER, "--claim", claim])
        .assert()
        .success()
        .stdout(predicate::str::contains("is not what the letter says"));
    whomay().args(["compare", "-", "-"]).assert().code(2);
    whomay()
        .args(["compare", LETTER, "--with", LETTER, "--claim", "x"])
        .assert()
        .code(2);
}

#[test]
fn a_letter_of_several_files_can_be_compared() {
    let folder = tempfile::tempdir().unwrap();
    let write = |name: &str, words: &str| {
        let path = folder.path().join(name);
        std::fs::write(&path, words).unwrap();
        path.to_str().unwrap().to_owned()
    };
    let one = write(
        "1.txt",
        "Page 1 of 2\n1. No person may fly it for hire.\n2. It must be placarded.\n",
    );
    let two = write(
        "2.txt",
        "Page 2 of 2\n3. A mechanic may perform the condition inspection.\n",
    );
    let new = write(
        "new.txt",
        "1. No person may fly it for hire.\n2. It must be placarded.\n\
         3. Only a mechanic may perform the condition inspection.\n",
    );
    whomay()
        .args(["compare", &one, &two, &new])
        .assert()
        .code(2)
        .stderr(predicate::str::contains("--with NEW..."));
    let compared = json(&["compare", &one, &two, "--with", &new]);
    let pairs = compared["pairs"].as_array().unwrap();
    let of = |old: &str| {
        let pair = pairs.iter().find(|p| p["old"][0] == old);
        pair.and_then(|p| p["relation"].as_str())
    };
    assert_eq!(
        [of("1"), of("2"), of("3")],
        [Some("same"), Some("same"), Some("changed")]
    );
    let claim = write("claim.txt", "Only a mechanic may perform the inspection.\n");
    let held = json(&["compare", &one, &two, "--claim-file", &claim]);
    assert_eq!(held["statements"][0]["clause"], "3");
    assert_eq!(held["statements"][0]["verdict"], "departs");
}

#[test]
fn an_order_becomes_wordings_that_letters_are_held_against() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("mine");
    let path = path.to_str().unwrap();
    let order = "tests/outside/data/letters/orders/table-form.txt";
    let add = |more: &[&str]| {
        let mut command = whomay();
        command
            .args(["wordings", "add", order, "--series", "9999.1T", "-o", path])
            .args(["--revision", "Order 9999.1T (invented)"])
            .args(["--issued", "2026-01-15"])
            .args(more);
        command
    };
    add(&[]).assert().success().stdout(
        predicate::str::contains("25 wordings")
            .and(predicate::str::contains("Reserved in the order: 55"))
            .and(predicate::str::contains("INSTRUCTION: Select every")),
    );
    let file = std::fs::read_to_string(folder.path().join("mine/wording/9999.1T/17.toml")).unwrap();
    assert!(file.contains("page 3, SHA-256 "), "{file}");
    assert!(file.contains("issued = \"2026-01-15\""), "{file}");
    add(&[])
        .assert()
        .code(2)
        .stderr(predicate::str::contains("is there already"));
    add(&["--force"]).assert().success();
    let one = json(&[
        "compare",
        LETTER,
        "--patterns",
        path,
        "--wording",
        "9999.1T/18",
    ]);
    let clauses = one["comparison"]["clauses"].as_array().unwrap();
    assert!(
        clauses
            .iter()
            .any(|c| c["clause"] == "26" && c["reference"] == "wording/9999.1T/18")
    );
    whomay()
        .args(["compare", LETTER, "--wording", "nothing/1"])
        .assert()
        .code(2)
        .stderr(predicate::str::contains("no wording or series"));
    whomay()
        .args(["wordings", "add", order, "--series", "X"])
        .assert()
        .code(2)
        .stderr(predicate::str::contains("-o FOLDER"));
}

#[test]
fn an_amended_letter_changes_answers() {
    let compared = json(&["compare", LETTER, "samples/closed-list.txt", DAY]);
    let answers = compared["answers"].as_array().unwrap();
    let of = |holder: &str| {
        let found = answers.iter().find(|a| a["holder"] == holder).unwrap();
        (found["old"].clone(), found["new"].clone())
    };
    assert_eq!(of("mechanic"), ("yes".into(), "yes".into()));
    assert_eq!(of("repair-station"), ("disputed".into(), "no".into()));
    for (more, words) in [
        (None, "[gone: may][new: shall]"),
        (Some("--beside"), "No person [may] operate"),
        (Some("--format=markdown"), "~~may~~ **shall**"),
    ] {
        whomay()
            .args(["compare", LETTER, "samples/closed-list.txt", DAY])
            .args(more)
            .assert()
            .success()
            .stdout(
                predicate::str::contains(words).and(predicate::str::contains("repair station")),
            );
    }
    let wide = whomay()
        .args(["compare", LETTER, "samples/closed-list.txt", DAY])
        .args(["--beside", "--width=120"])
        .output()
        .unwrap();
    let longest = String::from_utf8_lossy(&wide.stdout)
        .lines()
        .map(|l| l.chars().count())
        .max();
    assert!(longest.is_some_and(|l| (90..=120).contains(&l)));
}

/// Every option that a report or a page of help advises exists.
#[test]
fn every_option_that_is_named_exists() {
    let run = |arguments: &[&str]| -> String {
        let output = assert_cmd::Command::cargo_bin("whomay")
            .unwrap()
            .current_dir(env!("CARGO_MANIFEST_DIR"))
            .args(arguments)
            .output()
            .unwrap();
        String::from_utf8_lossy(&output.stdout).into_owned()
            + &String::from_utf8_lossy(&output.stderr)
    };
    let options = |words: &str| -> Vec<String> {
        words
            .match_indices("--")
            .filter(|(at, _)| !words[..*at].ends_with(|c: char| c.is_alphanumeric() || c == '-'))
            .map(|(at, _)| {
                let name = &words[at + 2..];
                let end = name
                    .find(|c: char| !(c.is_ascii_lowercase() || c == '-'))
                    .unwrap_or(name.len());
                name[..end].trim_end_matches('-').to_owned()
            })
            .filter(|name| name.len() > 1)
            .collect()
    };
    let mut known = Vec::new();
    for command in [
        "read", "who", "survey", "compare", "due", "entry", "request", "serve", "show",
    ] {
        known.extend(options(&run(&[command, "--help"])));
    }
    for fact in whomay::answer::Fact::ALL {
        if let Some(option) = fact.option() {
            assert!(known.iter().any(|k| k == option), "{option}");
        }
    }
    let two = ["samples/open-list-f.txt", "samples/names-nobody.txt"];
    let mut said = run(&["who", two[0], two[1]]);
    for letter in [
        "repair-stations",
        "light-sport",
        "not-a-letter",
        "contradiction",
    ] {
        let file = format!("samples/{letter}.txt");
        said += &run(&["read", &file]);
        said += &run(&["request", &file]);
    }
    for option in options(&said) {
        assert!(known.contains(&option), "--{option}");
    }
}
