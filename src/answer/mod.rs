//! The answer: two keys, the law by date, the readings of a dispute, what to do next.
//!
//! Key 1 is the rule of the day ([`law`]), key 2 the letter ([`letter`]); [`table`] puts them
//! together. The other files say what follows: readings, next steps, hazards, the day on which an
//! inspection runs out, the log entry, the draft request. All are pure functions on the letter,
//! the question and the patterns.

mod clause;
mod facts;
mod law;
mod letter;
mod state;
mod table;

use crate::model::{
    Answer, KeyTwo, Kind, Letter, LetterKey, OpenBecause, Paper, Question, RuleAnswer, RuleKey,
    Verdict,
};
use crate::patterns::Patterns;

use facts::Facts;
use letter::KeyTwoFound;
use state::State;

pub use facts::{notes, paper_looks_like};
pub use law::{ExampleOutcome, try_example};
pub use state::Fact;

/// Answers the question for the kind asked about, or for every kind that can be held.
#[must_use]
pub fn answer(letter: &Letter, question: &Question, patterns: &Patterns) -> Vec<Answer> {
    let facts = Facts::resolve(letter, question);
    let kinds: &[Kind] = match &question.holder {
        Some(kind) => std::slice::from_ref(kind),
        None => &Kind::HOLDERS,
    };
    kinds
        .iter()
        .map(|kind| one(letter, &facts, *kind, patterns))
        .collect()
}

fn one(letter: &Letter, facts: &Facts, kind: Kind, patterns: &Patterns) -> Answer {
    let key_two = letter::key_two(letter, facts, kind, patterns);
    // Whether some clause says who may inspect decides what the rule says of an owner.
    let listed = match key_two.key.answer {
        KeyTwo::Silent => false,
        KeyTwo::Unclear => key_two.list_found,
        _ => true,
    };
    let found = law::key_one(facts, kind, listed, patterns);
    if !matches!(
        letter.paper,
        Paper::OperatingLimitations | Paper::LightSportCategory
    ) {
        return no_letter(facts, kind, found.key, key_two.key);
    }
    let decided = found
        .branches
        .iter()
        .map(|branch| {
            table::decide(
                key_two.key.answer,
                kind,
                branch.basis,
                &branch.state,
                &key_two.state,
            )
        })
        .reduce(|best, next| {
            if table::rank(next.if_met) > table::rank(best.if_met) {
                next
            } else {
                best
            }
        })
        .unwrap_or_else(table::Decision::unknown);
    let decided = if found.split_on_basis {
        decided.with_open_basis(key_two.key.answer)
    } else {
        decided
    };
    assemble(facts, kind, found.key, key_two, decided)
}

fn assemble(
    facts: &Facts,
    kind: Kind,
    rule: RuleKey,
    key_two: KeyTwoFound,
    decided: table::Decision,
) -> Answer {
    Answer {
        holder: kind,
        inspection: facts.inspection,
        answer: decided.answer,
        open_because: decided.open_because,
        if_met: decided.if_met,
        settled_by: decided.facts.iter().map(|f| f.name().to_owned()).collect(),
        rule,
        letter: key_two.key,
        readings: Vec::new(),
        next: Vec::new(),
        hazards: Vec::new(),
    }
}

/// A paper that is no letter of operating limitations gets no answer but `undetermined`.
fn no_letter(facts: &Facts, kind: Kind, rule: RuleKey, letter: LetterKey) -> Answer {
    Answer {
        holder: kind,
        inspection: facts.inspection,
        answer: Verdict::Undetermined,
        open_because: Some(OpenBecause::Text),
        if_met: Verdict::Undetermined,
        settled_by: Vec::new(),
        rule,
        letter,
        readings: Vec::new(),
        next: Vec::new(),
        hazards: Vec::new(),
    }
}

/// What key 1 says in the words of the contract.
fn rule_answer(state: &State) -> (RuleAnswer, Option<OpenBecause>) {
    if state.no {
        (RuleAnswer::No, None)
    } else if !state.facts.is_empty() {
        (RuleAnswer::Open, Some(OpenBecause::Fact))
    } else if state.law {
        (RuleAnswer::Open, Some(OpenBecause::Law))
    } else {
        (RuleAnswer::Yes, None)
    }
}
