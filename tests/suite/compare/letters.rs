//! Two letters, clause by clause.

use whomay::compare::{findings, letters};
use whomay::model::{ClausePair, DefectKind, LetterComparison, Relation, Text};
use whomay::patterns::Patterns;

use super::pairing::{Dice, bare, letter};

fn patterns() -> Patterns {
    Patterns::embedded().expect("the embedded patterns load")
}

fn compared(old: &[&str], new: &[&str]) -> LetterComparison {
    let patterns = patterns();
    let bodies = |b: &[&str]| b.iter().map(|b| (*b).to_owned()).collect::<Vec<_>>();
    let (old_text, old) = letter(&bodies(old), 'g');
    let (new_text, new) = letter(&bodies(new), 'g');
    letters((&old, &old_text), (&new, &new_text), &patterns)
}

fn told(comparison: &LetterComparison) -> Vec<String> {
    comparison
        .pairs
        .iter()
        .map(|p: &ClausePair| {
            let numbers = |n: &[usize]| {
                n.iter()
                    .map(|n| (n + 1).to_string())
                    .collect::<Vec<_>>()
                    .join("+")
            };
            format!(
                "{} {}>{}{}{}",
                p.relation.name(),
                numbers(&p.old),
                numbers(&p.new),
                if p.renumbered { " renumbered" } else { "" },
                if p.moved { " moved" } else { "" }
            )
        })
        .collect()
}

const PURPOSE: &str = "No person may operate this aircraft for other than the purpose of recreation and education as stated in the program letter.";
const DAY: &str = "This aircraft is to be operated under VFR, day only, unless it is appropriately equipped for night flight in accordance with § 91.205.";
const AEROBATICS: &str = "Aerobatic flight is prohibited, that is, an intentional maneuver with an abrupt change in attitude.";
const YEARLY: &str = "No person may operate this aircraft unless within the preceding 12 calendar months it has had a condition inspection performed in accordance with appendix D to part 43.";
const RECORD: &str = "Condition inspections must be recorded in the aircraft maintenance records with the date, signature, certificate number and type of certificate of the inspector.";
const WHO: &str = "An appropriately rated FAA-certificated mechanic may perform the condition inspection required by these operating limitations.";
const TOWING: &str = "This aircraft may not be used for towing gliders or banners.";

#[test]
fn clauses_are_found_again_by_content() {
    assert_eq!(
        told(&compared(
            &[PURPOSE, DAY, AEROBATICS, YEARLY, WHO],
            &[
                PURPOSE,
                &DAY.replace("night flight", "night or instrument flight"),
                YEARLY,
                TOWING,
                &WHO.replace("An ", "Only an "),
            ],
        )),
        [
            "same 1>1",
            "changed 2>2",
            "missing 3>",
            "same 4>3 renumbered",
            "additional >4",
            "changed 5>5",
        ]
    );
}

#[test]
fn merged_split_and_moved_clauses_are_told_apart() {
    let merged = format!("{YEARLY} {RECORD}");
    assert_eq!(
        told(&compared(
            &[PURPOSE, YEARLY, RECORD, WHO],
            &[PURPOSE, &merged, WHO]
        )),
        ["same 1>1", "merged 2+3>2", "same 4>3 renumbered"]
    );
    assert_eq!(
        told(&compared(
            &[PURPOSE, &merged, WHO],
            &[PURPOSE, YEARLY, RECORD, WHO]
        )),
        ["same 1>1", "split 2>2+3", "same 3>4 renumbered"]
    );
    assert_eq!(
        told(&compared(
            &[PURPOSE, DAY, AEROBATICS, YEARLY],
            &[YEARLY, PURPOSE, DAY, AEROBATICS],
        )),
        [
            "same 4>1 renumbered moved",
            "same 1>2 renumbered",
            "same 2>3 renumbered",
            "same 3>4 renumbered",
        ]
    );
}

#[test]
fn a_letter_compared_with_itself_shows_nothing() {
    let all = [PURPOSE, DAY, AEROBATICS, YEARLY, RECORD, WHO, TOWING];
    let comparison = compared(&all, &all);
    assert!(
        comparison.pairs.iter().all(|p| {
            p.relation == Relation::Same && !p.moved && !p.renumbered && p.old == p.new
        })
    );
}

#[test]
fn swapping_the_letters_swaps_the_sides() {
    let patterns = patterns();
    let held: Vec<String> = patterns
        .wording
        .iter()
        .filter(|w| w.file.is_of('g'))
        .map(|w| bare(&w.file.text).to_owned())
        .collect();
    for seed in 0..10 {
        let dice = &mut Dice::new(seed);
        let pick = |dice: &mut Dice| -> Vec<String> {
            held.iter().filter(|_| dice.chance(50)).cloned().collect()
        };
        let (a, b) = (pick(dice), pick(dice));
        let (a_text, a) = letter(&a, 'g');
        let (b_text, b) = letter(&b, 'g');
        let there = letters((&a, &a_text), (&b, &b_text), &patterns);
        let back = letters((&b, &b_text), (&a, &a_text), &patterns);
        let sorted = |c: &LetterComparison, swap: bool| {
            let mut pairs: Vec<(Vec<usize>, Vec<usize>)> = c
                .pairs
                .iter()
                .map(|p| {
                    if swap {
                        (p.new.clone(), p.old.clone())
                    } else {
                        (p.old.clone(), p.new.clone())
                    }
                })
                .collect();
            pairs.sort();
            pairs
        };
        assert_eq!(sorted(&there, false), sorted(&back, true), "seed {seed}");
    }
}

#[test]
fn flaws_that_show_beside_the_wordings() {
    let patterns = patterns();
    let kinds = |bodies: &[&str]| -> Vec<(DefectKind, Vec<usize>)> {
        let bodies: Vec<String> = bodies.iter().map(|b| (*b).to_owned()).collect();
        let (text, letter): (Text, _) = letter(&bodies, 'g');
        findings(&letter, &text, &patterns)
            .into_iter()
            .map(|d| (d.kind(), d.clauses))
            .collect()
    };
    let prohibited = "This aircraft is prohibited from aerobatic flight, that is, an intentional maneuver involving an abrupt change in the aircraft's attitude, an abnormal attitude, or abnormal acceleration not necessary for normal flight.";
    let permitted = "This aircraft may conduct aerobatic flight in accordance with the provisions of § 91.303. Aerobatics must not be attempted until sufficient flight experience has been gained to establish that the aircraft is satisfactorily controllable and in compliance with § 91.319(b). The flight-tested aerobatic maneuvers are loop and roll.";
    let exhibition = "No person may operate this aircraft for other than the purpose of exhibition, or to participate in events, in accordance with 14 CFR § 21.191(d) or § 21.191(e). This aircraft must be operated as described in the owner operator's program letter.";
    let instruction = "The ASI may impose any additional limitations deemed necessary in the interest of safety. The ASI and/or designee must review each imposed operating limitation with the applicant.";
    assert_eq!(kinds(&[PURPOSE, DAY, prohibited, YEARLY, WHO]), []);
    assert_eq!(
        kinds(&[PURPOSE, prohibited, permitted]),
        [(DefectKind::BothAlternatives, vec![1, 2])]
    );
    assert_eq!(
        kinds(&[PURPOSE, exhibition]),
        [(DefectKind::OtherBasis, vec![1])]
    );
    assert_eq!(
        kinds(&[instruction, PURPOSE]),
        [(DefectKind::InstructionLeftIn, vec![0])]
    );
}

/// Letters as they are read, with the topics of their clauses.
fn compared_as_read(old: &str, new: &str) -> LetterComparison {
    let patterns = patterns();
    let read = |words: &str| {
        let text = Text::verbatim(words);
        (whomay::understand(&text, &patterns), text)
    };
    let (old, new) = (read(old), read(new));
    letters((&old.0, &old.1), (&new.0, &new.1), &patterns)
}

#[test]
fn clauses_in_other_words_are_the_same_where_nothing_else_comes_near() {
    let old = format!("1. {PURPOSE}\n2. {DAY}\n3. No person may be carried for hire.\n");
    let new = format!(
        "1. {PURPOSE}\n2. Flying for hire is out of the question.\n3. It must be flown in \
         daylight, and never at night.\n"
    );
    assert_eq!(
        told(&compared_as_read(&old, &new)),
        [
            "same 1>1",
            "reworded 3>2 renumbered moved",
            "reworded 2>3 renumbered"
        ]
    );
    // Of what shares hardly a word, nothing is said.
    let belts = format!("1. {PURPOSE}\n2. Seat belts must be worn.\n");
    let caps = format!("1. {PURPOSE}\n2. Fuel caps must be marked.\n");
    assert_eq!(
        told(&compared_as_read(&belts, &caps)),
        ["same 1>1", "missing 2>", "additional >2"]
    );
}

#[test]
fn a_letterhead_is_no_clause() {
    let letter = |number: u32| {
        format!(
            "Experimental operating limitations, aircraft N0KH1, serial number {number} \
             (INVENTED)\n\n1. {YEARLY}\n2. {TOWING}\n"
        )
    };
    let comparison = compared_as_read(&letter(7), &letter(8));
    let relations: Vec<Relation> = comparison.pairs.iter().map(|p| p.relation).collect();
    assert_eq!(relations, [Relation::Same, Relation::Same]);
}

#[test]
fn names_of_who_signs_make_no_clauses_alike() {
    let letter = |last: &str| {
        format!(
            "1. {YEARLY}\n\n2. {last}\n\nJ. Quillon-Marsh (INVENTED)\nAviation Safety Inspector\n"
        )
    };
    let (old, new) = (letter("Towing is forbidden."), letter("Mend the fabric."));
    let comparison = compared_as_read(&old, &new);
    assert_eq!(
        told(&comparison),
        ["same 1>1", "missing 2>", "additional >2"]
    );
    // What stays, stays the same whoever signs.
    let other = old.replace("J. Quillon-Marsh", "R. Ostler");
    let comparison = compared_as_read(&old, &other);
    assert_eq!(told(&comparison), ["same 1>1", "same 2>2"]);
}
