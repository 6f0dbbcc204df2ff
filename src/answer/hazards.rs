//! What can go wrong, printed where it applies.

use super::facts::Facts;
use crate::model::{Answer, Inspection, KeyTwo, Letter, Question, RuleAnswer, Verdict};
use crate::patterns::{Patterns, TermOf};

/// What bears on the letter at hand and is more than general: chosen for it, the weightiest first.
#[must_use]
pub fn cautions(
    letter: &Letter,
    text: &str,
    question: &Question,
    answers: &[Answer],
    patterns: &Patterns,
) -> Vec<String> {
    let facts = Facts::resolve(letter, question);
    let say = |name: &str| patterns.statement.say(name, &[]);
    let mut cautions = Vec::new();
    let term = letter
        .term
        .value
        .or_else(|| super::year::expires(text, facts.on, patterns));
    if let Some(last) = term {
        cautions.push(if last < facts.on {
            format!(
                "The certificate ran out on {last}. {}",
                say("certificate-printed")
            )
        } else {
            format!(
                "The certificate runs until {last}. {}",
                say("certificate-printed")
            )
        });
    } else if told("hazard-certificate-expires", &facts, patterns) {
        cautions.push(say("hazard-certificate-expires"));
    }
    if let Some(words) = super::program::needed(letter, text, &facts, patterns) {
        cautions.push(words);
    }
    if told("note-before-1979", &facts, patterns) {
        cautions.push(say("note-before-1979"));
    }
    // Somebody whom the rule may let in, and the letter shuts out.
    if answers.iter().any(|a| {
        matches!(a.letter.answer, KeyTwo::Excluded | KeyTwo::ShutOut)
            && a.rule.answer != RuleAnswer::No
    }) {
        cautions.push(say("hazard-operator"));
    }
    cautions
}

fn told(name: &str, facts: &Facts, patterns: &Patterns) -> bool {
    patterns
        .statement
        .get(name)
        .is_some_and(|s| s.file.holds.of(None, facts.basis, facts.on, facts.issued))
}

/// Hazards of the letter as a whole.
#[must_use]
pub fn hazards_for_letter(
    letter: &Letter,
    question: &Question,
    patterns: &Patterns,
) -> Vec<String> {
    let facts = Facts::resolve(letter, question);
    let say = |name: &str| patterns.statement.say(name, &[]);
    let mut hazards = Vec::new();
    if facts.inspection == Inspection::Yearly {
        hazards.push(say("no-overrun"));
    }
    let exempt = patterns
        .statement
        .terms(TermOf::Elt)
        .next()
        .is_some_and(|(_, term)| {
            let other = facts
                .aircraft
                .as_ref()
                .is_some_and(|a| !term.categories.contains(&a.category));
            let purpose = facts
                .basis
                .is_some_and(|b| term.exempt.iter().any(|e| e.letter == b.letter));
            other || purpose
        });
    let elt = if exempt {
        ""
    } else {
        ", and the inspection of the emergency locator transmitter,"
    };
    hazards.push(patterns.statement.say("hazard-equipment", &[("elt", elt)]));
    hazards.push(say("hazard-replaced"));
    hazards
}

/// Hazards of acting on one answer.
pub(super) fn hazards(answer: &Answer, patterns: &Patterns) -> Vec<String> {
    if answer.answer == Verdict::Yes {
        return Vec::new();
    }
    vec![patterns.statement.say("hazard-operator", &[])]
}
