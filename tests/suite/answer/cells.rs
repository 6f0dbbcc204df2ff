//! The table of answers, cell by cell: what the letter says down, what the rule says across.

use whomay::model::{
    CategoryClass, KeyTwo, Kind, Letter, OpenBecause, Ownership, Question, RuleAnswer, Verdict,
};

use super::build::{Says, letter, patterns};

use Kind::{
    LightSportRepairmanInspection as Inspecting, LightSportRepairmanMaintenance as Maintaining,
    Mechanic, Owner, RepairStation as Station, Repairman,
};
use Verdict::{Disputed, No, Undetermined, Yes};

/// Key 1 of a light-sport repairman with an inspection rating, in the order of the columns.
const RULE: [(&str, RuleAnswer, Option<OpenBecause>); 4] = [
    ("no", RuleAnswer::No, None),
    ("yes", RuleAnswer::Yes, None),
    ("fact", RuleAnswer::Open, Some(OpenBecause::Fact)),
    ("law", RuleAnswer::Open, Some(OpenBecause::Law)),
];

fn question(column: &str) -> Question {
    let mut q = Question::on("2026-11-25".parse().expect("a day"));
    q.trained = CategoryClass::parse("airplane");
    q.aircraft = CategoryClass::parse("airplane");
    q.owner = match column {
        "no" => Some(Ownership::NotOwner),
        "yes" => Some(Ownership::OwnName),
        "law" => Some(Ownership::Company),
        _ => None,
    };
    q
}

fn row(letter: &Letter, kind: Kind, key_two: KeyTwo) -> Vec<(Verdict, Verdict)> {
    RULE.iter()
        .map(|(column, rule, because)| {
            let mut q = question(column);
            q.holder = Some(kind);
            let answer = whomay::answer(letter, &q, patterns()).remove(0);
            assert_eq!(answer.letter.answer, key_two, "{column}");
            assert_eq!(
                (answer.rule.answer, answer.rule.open_because),
                (*rule, *because)
            );
            (answer.answer, answer.if_met)
        })
        .collect()
}

const SHUT: [(Verdict, Verdict); 4] = [(No, No); 4];
const NAMED: [(Verdict, Verdict); 4] = [
    (No, No),
    (Yes, Yes),
    (Undetermined, Yes),
    (Disputed, Disputed),
];
const DISPUTED: [(Verdict, Verdict); 4] = [
    (No, No),
    (Disputed, Disputed),
    (Undetermined, Disputed),
    (Disputed, Disputed),
];
const UNCLEAR: [(Verdict, Verdict); 4] = [
    (No, No),
    (Undetermined, Undetermined),
    (Undetermined, Undetermined),
    (Undetermined, Undetermined),
];

#[test]
fn every_cell() {
    let g = |says: &[Says]| letter(Some("g"), says);
    let excluded = g(&[Says::open(&[Mechanic]).excluding(&[Inspecting])]);
    assert_eq!(row(&excluded, Inspecting, KeyTwo::Excluded), SHUT);
    let shut_out = g(&[Says::closed(&[Mechanic])]);
    assert_eq!(row(&shut_out, Inspecting, KeyTwo::ShutOut), SHUT);
    let named = g(&[Says::open(&[Mechanic, Inspecting])]);
    assert_eq!(row(&named, Inspecting, KeyTwo::Named), NAMED);
    let unlisted = g(&[Says::open(&[Mechanic])]);
    assert_eq!(row(&unlisted, Inspecting, KeyTwo::Unlisted), DISPUTED);
    for basis in ["i", "k", "l"] {
        assert_eq!(
            row(&letter(Some(basis), &[]), Inspecting, KeyTwo::Silent),
            NAMED
        );
    }
    assert_eq!(row(&g(&[]), Inspecting, KeyTwo::Silent), DISPUTED);
    let generic = g(&[Says::open(&[Repairman, Mechanic])]);
    assert_eq!(row(&generic, Inspecting, KeyTwo::Generic), DISPUTED);
    let unclear = g(&[Says::open(&[Inspecting]), Says::closed(&[Mechanic])]);
    assert_eq!(row(&unclear, Inspecting, KeyTwo::Unclear), UNCLEAR);
}

#[test]
fn the_other_kinds_under_a_silent_letter() {
    let q = question("fact");
    let of = |basis: &str, kind: Kind| {
        let mut q = q.clone();
        q.holder = Some(kind);
        let a = whomay::answer(&letter(Some(basis), &[]), &q, patterns()).remove(0);
        (a.answer, a.open_because)
    };
    for kind in [Kind::BuilderRepairman, Mechanic, Station] {
        assert_eq!(of("g", kind), (Yes, None));
    }
    assert_eq!(
        of("d", Kind::BuilderRepairman),
        (Disputed, Some(OpenBecause::Law))
    );
    assert_eq!(of("i", Maintaining), (Yes, None));
    assert_eq!(of("g", Maintaining), (Disputed, Some(OpenBecause::Law)));
    assert_eq!(of("g", Owner), (Undetermined, Some(OpenBecause::Law)));
    for kind in [Kind::GeneralRepairman, Kind::Manufacturer] {
        assert_eq!(of("g", kind), (No, None));
    }
}
