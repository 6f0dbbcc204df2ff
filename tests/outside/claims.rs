//! What people say about their letters, held against the letters.
//!
//! Source: `data/letters/claims.jsonl`, 40 claims by an author who did not see the program; the
//! README beside it tells how they are labelled.

use serde_json::Value;
use whomay::model::{ClaimFinding, ClaimStatement, ClaimVerdict, Departure, DifferenceKind};
use whomay::patterns::Patterns;

/// Whether a finding is the turn of the key. A list of inspectors that "must" perform the work is
/// one that "only" they may: the key calls it by the one name or the other.
fn is_turn(finding: &ClaimFinding, turn: &str) -> bool {
    use Departure::{Adds, Drops, Turns};
    use DifferenceKind as Kind;
    let (name, about) = turn.split_once(':').unwrap_or((turn, ""));
    let title = match about {
        "builder-repairman" => "builder",
        "mechanic" => "mechanic",
        "repair-station" => "repair station",
        "light-sport-repairman" | "light-sport-repairman-maintenance" => "light-sport repairman",
        "light-sport-repairman-inspection" => "light-sport repairman",
        other => other,
    };
    let names = finding
        .message
        .to_lowercase()
        .contains(&title.to_lowercase());
    match (name, finding.departure, finding.kind) {
        ("must-for-may", Turns, Kind::Modality) | ("must-for-may", Adds, Kind::Limiter) => true,
        ("may-for-must", Turns, Kind::Modality) | ("may-for-must", Drops, Kind::Limiter) => true,
        ("only-added", Adds, Kind::Limiter) | ("only-dropped", Drops, Kind::Limiter) => true,
        ("kind-lost", _, Kind::InspectorRemoved) | ("kind-gained", _, Kind::InspectorAdded) => {
            names
        }
        ("condition-left-out", Drops, Kind::Term | Kind::Limiter | Kind::Negation) => true,
        ("condition-added", Adds, Kind::Term | Kind::Limiter) => true,
        ("negation", _, Kind::Negation) | ("number-changed", _, Kind::Number) => true,
        _ => false,
    }
}

fn names(value: &Value) -> Vec<&str> {
    value
        .as_array()
        .into_iter()
        .flatten()
        .filter_map(Value::as_str)
        .collect()
}

#[test]
fn claims_are_held_against_the_clause_they_speak_of() {
    let patterns = Patterns::embedded().expect("the embedded patterns are well formed");
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/outside/data/letters");
    let keys = std::fs::read_to_string(format!("{folder}/claims.jsonl"))
        .expect("the key is in the repository");
    let (mut all, mut verdicts, mut clauses, mut with_clause) = (0, 0, 0, 0);
    let (mut turns, mut turns_found, mut fits_wrongly, mut exact) = (0, 0, 0, 0);
    for line in keys.lines() {
        let key: Value = serde_json::from_str(line).expect("one JSON object a line");
        let file = format!("{folder}/{}", key["letter"].as_str().expect("a letter"));
        let text = whomay::read(&[file], &whomay::read::Limits::default()).expect("it is text");
        let letter = whomay::understand(&text, &patterns);
        let words = key["claim"].as_str().expect("a claim");
        let found: Vec<ClaimStatement> = whomay::compare::claim(&letter, &text, words, &patterns);
        // The heaviest statement stands for the claim.
        let verdict = if found.iter().any(|s| s.verdict == ClaimVerdict::Departs) {
            "differs"
        } else if found.iter().any(|s| s.verdict == ClaimVerdict::Fits) {
            "fits"
        } else {
            "no-clause"
        };
        all += 1;
        let right = key["verdict"] == verdict;
        verdicts += usize::from(right);
        fits_wrongly += usize::from(key["verdict"] == "differs" && verdict == "fits");
        if let Some(clause) = key["clause"].as_str() {
            with_clause += 1;
            clauses += usize::from(found.iter().any(|s| {
                s.clause
                    .and_then(|c| letter.clauses.get(c))
                    .is_some_and(|c| c.id.split('/').next() == Some(clause))
            }));
        }
        let findings: Vec<&ClaimFinding> = found.iter().flat_map(|s| &s.findings).collect();
        let told = |turn: &str| findings.iter().any(|f| is_turn(f, turn));
        let wanted = names(&key["turns"]);
        let any = names(&key["turns_any"]);
        turns += wanted.len();
        turns_found += wanted.iter().filter(|t| told(t)).count();
        let enough = if any.is_empty() {
            wanted.iter().all(|t| told(t))
        } else {
            any.iter().any(|t| told(t))
        };
        exact += usize::from(right && enough);
        if std::env::var_os("CLAIMS").is_some() && !(right && enough) {
            println!("-- {} {}: {words}", key["letter"], key["clause"]);
            println!("   key {} {:?}; found {verdict}", key["verdict"], wanted);
            for s in &found {
                let id = s.clause.map(|c| letter.clauses[c].id.clone());
                println!("   {id:?} {:.2} «{}»", s.similarity, s.text);
                for f in &s.findings {
                    println!("     {:?} {:?}: {}", f.departure, f.kind, f.message);
                }
            }
        }
    }
    println!(
        "claims: verdict {verdicts} of {all}, clause {clauses} of {with_clause}, \
         turns {turns_found} of {turns}, right in all {exact}, fits wrongly {fits_wrongly}"
    );
    // A changed meaning that is said to fit is the worst fault.
    assert_eq!(fits_wrongly, 0);
    // At first sight 37, 35, 29 and 34.
    assert!(verdicts >= 37, "{verdicts}");
    assert_eq!(clauses, with_clause);
    assert!(turns_found >= 29, "{turns_found} of {turns}");
    assert!(exact >= 34, "{exact}");
}
