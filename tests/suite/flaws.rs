//! Flaws of letters as the command line tells them: one invented letter with each of them, and
//! letters without.

use assert_cmd::Command;
use serde_json::Value;

const FLAWED: &str = "OPERATING LIMITATIONS
Experimental, amateur-built, 14 CFR 21.191(g). All names invented.
Aircraft: Example Two, N0WHO. Issued: 2012-03-04

1. No person may operate this aircraft for other than the purpose of recreation and education, \
under § 91.319(e).
2. This aircraft is prohibited from aerobatic flight, that is, an intentional maneuver involving \
an abrupt change in the aircraft's attitude, an abnormal attitude, or abnormal acceleration not \
necessary for normal flight.
3. This aircraft may conduct aerobatic flight in accordance with the provisions of § 91.303. \
Aerobatics must not be attempted until sufficient flight experience has been gained to establish \
that the aircraft is satisfactorily controllable and in compliance with § 91.319(b).
4. This aircraft may only operate from [identify name of airport].
5. All flights must stay in the area. [The inspector must describe the area.]
6. No person may operate this aircraft for other than the purpose of exhibition under § 21.191(d).
7. Only an appropriately rated mechanic may perform the condition inspection.
8. The condition inspection must be performed by the builder holding the repairman certificate \
for this aircraft or a certificated repair station.
";

fn flaws(arguments: &[&str], letter: &str) -> Vec<(String, Vec<String>)> {
    let output = Command::cargo_bin("whomay")
        .expect("the program")
        .args(arguments)
        .args(["--format", "json", "-"])
        .write_stdin(letter)
        .output()
        .expect("it runs");
    assert!(output.status.success(), "{output:?}");
    let report: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    report["condition"]
        .as_array()
        .into_iter()
        .flatten()
        .map(|d| {
            let clauses = d["clauses"].as_array().into_iter().flatten();
            (
                d["kind"].as_str().unwrap_or_default().to_owned(),
                clauses
                    .filter_map(|c| c.as_str().map(str::to_owned))
                    .collect(),
            )
        })
        .collect()
}

#[test]
fn each_flaw_is_told_with_its_clauses() {
    let found = flaws(&["read", "--on=2026-11-25"], FLAWED);
    for (kind, clauses) in [
        ("moved-citation", vec!["1"]),
        ("both-alternatives", vec!["2", "3"]),
        ("unfilled", vec!["4"]),
        ("instruction-left-in", vec!["5"]),
        ("other-basis", vec!["6"]),
        ("contradiction", vec!["7", "8"]),
    ] {
        assert!(
            found.iter().any(|(k, c)| k == kind && *c == clauses),
            "{kind} in {found:?}"
        );
    }
    assert_eq!(found.len(), 6, "{found:?}");
}

#[test]
fn a_clause_alone_is_no_flaw() {
    for left_out in 1..=8u32 {
        let letter: String = FLAWED
            .lines()
            .filter(|line| !line.starts_with(&format!("{left_out}. ")))
            .map(|line| format!("{line}\n"))
            .collect();
        let found = flaws(&["read", "--on=2026-11-25"], &letter);
        let has = |kind: &str| found.iter().any(|(k, _)| k == kind);
        assert_eq!(has("both-alternatives"), !(2..=3).contains(&left_out));
        assert_eq!(has("contradiction"), !(7..=8).contains(&left_out));
        assert_eq!(has("other-basis"), left_out != 6);
    }
}
