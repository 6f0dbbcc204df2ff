//! Paraphrases held against a letter.

use whomay::compare::claim;
use whomay::model::{ClaimStatement, ClaimVerdict, Letter, Text, Turn};
use whomay::patterns::Patterns;

const LETTER: &str = "OPERATING LIMITATIONS\nExperimental, amateur-built aircraft, 14 CFR 21.191(g)\n
(1) During the flight-testing phase, no person may be carried in this aircraft during flight unless that person is essential to the purpose of the flight.\n
(2) After completion of phase I flight testing, unless appropriately equipped for night and/or instrument flight in accordance with § 91.205, this aircraft is to be operated under VFR, day only.\n
(3) This aircraft is prohibited from aerobatic flight, that is, an intentional maneuver involving an abrupt change in the aircraft's attitude.\n
(4) No person may operate this aircraft unless within the preceding 12 calendar months it has had a condition inspection performed in accordance with the scope and detail of appendix D to part 43.\n
(5) Condition inspections must be recorded in the aircraft maintenance records.\n
(6) An experimental aircraft builder certificated as a repairman for this aircraft under § 65.104 or an appropriately rated FAA-certificated mechanic may perform the condition inspection required by these operating limitations.\n";

fn judged(words: &str) -> (Letter, Vec<ClaimStatement>) {
    let patterns = Patterns::embedded().expect("the embedded patterns load");
    let text = Text::verbatim(LETTER);
    let letter = whomay::understand(&text, &patterns);
    let said = claim(&letter, &text, words, &patterns);
    (letter, said)
}

/// Clause id, verdict, and each departure with its kind.
fn told(words: &str) -> String {
    let (letter, said) = judged(words);
    said.iter()
        .map(|s| {
            let clause = s
                .clause
                .and_then(|c| letter.clauses.get(c))
                .map_or("-", |c| c.id.as_str());
            let mut line = format!("{clause} {}", s.verdict.name());
            for f in &s.findings {
                line.push_str(&format!(" {}:{}", f.departure.name(), f.kind.name()));
            }
            line
        })
        .collect::<Vec<_>>()
        .join(" / ")
}

#[test]
fn what_a_paraphrase_adds_drops_or_turns() {
    for (words, expected) in [
        (
            "The builder certificated as a repairman for this aircraft or an A&P mechanic may perform the condition inspection.",
            "6 fits",
        ),
        (
            "Only the builder certificated as a repairman for this aircraft or an A&P mechanic may perform the condition inspection.",
            "6 departs adds:limiter",
        ),
        (
            "An A&P mechanic may perform the condition inspection.",
            "6 departs drops:inspector-removed",
        ),
        (
            "The builder certificated as a repairman for this aircraft, an A&P mechanic or a repair station may perform the condition inspection.",
            "6 departs adds:inspector-added",
        ),
        (
            "The condition inspection must be performed by the builder certificated as a repairman for this aircraft or by an A&P mechanic.",
            "6 departs adds:limiter",
        ),
        (
            "The aircraft must have had a condition inspection within the preceding 12 calendar months.",
            "4 fits",
        ),
        (
            "The aircraft must have had a condition inspection within the preceding 24 calendar months.",
            "4 departs turns:number",
        ),
        (
            "This aircraft may conduct aerobatic flight.",
            "3 departs turns:negation",
        ),
        ("Aerobatic flight is prohibited.", "3 fits"),
        (
            "Condition inspections may be recorded in the aircraft maintenance records.",
            "5 departs turns:modality",
        ),
        ("The aircraft may not tow gliders.", "- no-clause"),
        (
            "After completion of phase I flight testing, this aircraft is to be operated under VFR, day only.",
            "2 departs drops:limiter",
        ),
    ] {
        assert_eq!(told(words), expected, "{words}");
    }
}

#[test]
fn a_clause_fits_itself() {
    for words in LETTER.lines().filter(|l| l.starts_with('(')) {
        let (_, said) = judged(&words[4..]);
        assert!(
            said.iter().all(|s| s.verdict == ClaimVerdict::Fits),
            "{words}: {said:?}"
        );
    }
}

/// Letters that differ in what they say of who inspects; see `data/claims-inspectors.tsv`.
fn letter_of(key: &str) -> String {
    let clause = match key {
        "O" => {
            "The condition inspection may be performed by the builder certificated as a repairman for this aircraft under § 65.104 or by an appropriately rated mechanic."
        }
        "C" => {
            "Only the builder certificated as a repairman for this aircraft under § 65.104 or an appropriately rated mechanic may perform the condition inspection."
        }
        "M" => "The condition inspection must be performed by an appropriately rated mechanic.",
        "X" => {
            "The condition inspection may be performed by the builder certificated as a repairman for this aircraft under § 65.104 or by an appropriately rated mechanic. A light-sport repairman may not perform the condition inspection."
        }
        other => panic!("no letter {other}"),
    };
    let begin = LETTER.find("\n(6)").expect("clause 6");
    format!("{}\n(6) {clause}\n", &LETTER[..begin])
}

#[test]
fn claims_on_who_inspects_are_held_against_form_and_kinds() {
    let patterns = Patterns::embedded().expect("the embedded patterns load");
    let mut wrong = Vec::new();
    let mut all = 0;
    for line in include_str!("../data/claims-inspectors.tsv").lines() {
        let fields: Vec<&str> = line.split('\t').collect();
        let [key, words, verdict, turns] = fields[..] else {
            continue;
        };
        all += 1;
        let text = Text::verbatim(&letter_of(key));
        let letter = whomay::understand(&text, &patterns);
        let said = claim(&letter, &text, words, &patterns);
        let found = match said.first().map(|s| s.verdict) {
            Some(ClaimVerdict::Fits) => "fits",
            Some(ClaimVerdict::Departs) => "differs",
            Some(ClaimVerdict::Beyond) => "goes beyond the words",
            Some(ClaimVerdict::Unclear) => "unclear",
            Some(ClaimVerdict::NoClause) => "no clause speaks of it",
            None => "nothing said",
        };
        let findings = said.iter().flat_map(|s| &s.findings);
        let mut told: Vec<&str> = findings.map(|f| f.turn.name()).collect();
        told.sort_unstable();
        told.dedup();
        let told = told.join(",");
        if (found, told.as_str()) != (verdict, turns) {
            wrong.push(format!(
                "{key} {words}: {found} ({told}), not {verdict} ({turns}); {:?}",
                letter
                    .inspectors
                    .iter()
                    .map(|r| (
                        r.form,
                        r.named.iter().map(|n| n.kind).collect::<Vec<_>>(),
                        r.doubt.clone()
                    ))
                    .collect::<Vec<_>>()
            ));
        }
    }
    assert!(all >= 35, "{all}");
    assert!(
        wrong.is_empty(),
        "{} of {all}:\n{}",
        wrong.len(),
        wrong.join("\n")
    );
}

#[test]
fn the_word_that_gives_leave_is_marked_and_the_dispute_has_both_sides() {
    let patterns = Patterns::embedded().expect("the embedded patterns load");
    let text = Text::verbatim(&letter_of("O"));
    let letter = whomay::understand(&text, &patterns);
    let words =
        "Your limitations say that only the builder, a mechanic or a repair station can sign.";
    let said = claim(&letter, &text, words, &patterns);
    let [one] = &said[..] else { panic!("{said:?}") };
    let only = one.findings.iter().find(|f| f.turn == Turn::OnlyAdded);
    let marked = only.and_then(|f| f.span).map(|s| s.of(&text.content));
    assert_eq!(marked, Some("may"));
    let turns: Vec<Turn> = one.findings.iter().map(|f| f.turn).collect();
    assert!(turns.contains(&Turn::KindAdded), "{turns:?}");
    assert_eq!(turns.len(), 2, "{turns:?}");

    let said = claim(
        &letter,
        &text,
        "A light-sport repairman may not perform the condition inspection.",
        &patterns,
    );
    assert_eq!(said[0].verdict, ClaimVerdict::Beyond);
    assert!(said[0].readings.len() >= 2, "{:?}", said[0].readings);
}

/// The words that the findings rest on are marked in the claim, too.
#[test]
fn the_words_of_the_claim_are_marked() {
    let (_, said) = judged(
        "Your limitations say that only the builder, an A&P mechanic or, now and then, a repair station can sign the condition inspection.",
    );
    let marked: Vec<&str> = said
        .iter()
        .flat_map(|s| s.marks.iter().map(|m| m.of(&s.text)))
        .collect();
    assert_eq!(marked, ["only", "repair station"]);
    let turns: Vec<Turn> = said
        .iter()
        .flat_map(|s| &s.findings)
        .map(|f| f.turn)
        .collect();
    assert_eq!(turns, [Turn::KindAdded, Turn::OnlyAdded]);
}

/// Sentences that stand in no set: mechanisms, not items.
#[test]
fn claims_in_other_words_are_judged() {
    for (words, expected) in [
        (
            "Aerobatics are fine in this airplane.",
            "3 departs turns:negation",
        ),
        (
            "Number 3 does not prohibit aerobatic flight.",
            "3 departs turns:negation",
        ),
        (
            "Nobody outside of the certificated builder and a rated mechanic gets to sign off the condition inspection.",
            "6 departs adds:limiter",
        ),
        (
            "It's the builder with the 65.104 certificate or an A&P, and that's it, who may do the condition inspection.",
            "6 departs adds:limiter",
        ),
        (
            "A rated repair station is out when it comes to the condition inspection.",
            "6 beyond",
        ),
        ("May an LSRM do the condition inspection?", "6 beyond"),
        (
            "Number 5 says the inspection need not be recorded in the records.",
            "5 departs turns:negation",
        ),
        (
            "According to 4 it has to have a condition inspection every 24 calendar months.",
            "4 departs turns:number",
        ),
        (
            "My mechanic thinks that 6 lets a mechanic do the transponder check.",
            "6 departs turns:term",
        ),
    ] {
        assert_eq!(told(words), expected, "{words}");
    }
}

/// The word for a clause at the end names none.
#[test]
fn a_claim_may_end_where_a_number_is_expected() {
    for end in ["says clause", "see limitation", "under item", "clause,"] {
        let words = format!("An A&P mechanic may perform the condition inspection, {end}");
        let told = told(&words);
        assert!(
            told.starts_with("6 departs drops:inspector-removed"),
            "{end}: {told}"
        );
    }
}
