//! The answer: two keys, the law by date, the readings of a dispute, what to do next.
//!
//! Key 1 is the rule of the day (`law`), key 2 the letter (`letter`); `table` puts them
//! together. The other files say what follows: readings, next steps, hazards, the day on which an
//! inspection runs out, the log entry, the draft request. All are pure functions on the letter,
//! the question and the patterns.

mod amend;
mod ask;
mod calendar;
mod clause;
mod due;
mod entry;
mod facts;
mod hazards;
mod law;
mod letter;
mod next;
mod program;
mod readings;
mod request;
mod situations;
mod state;
mod table;
mod year;

use crate::model::{
    Answer, InspectorConditionKind, KeyNote, KeyTwo, Kind, Letter, Note, Question, RuleKey, Verdict,
};
use crate::patterns::Patterns;

use facts::Facts;
use law::KeyOneFound;
use letter::KeyTwoFound;
use readings::Case;

pub use amend::{Amend, AmendRow, Replaced};
pub use ask::{Ask, ask, set};
pub use calendar::{Event, calendar};
pub use due::{Due, Interval, due, interval, last_day_after};
pub use entry::{
    Asked, Checked, EntryReport, EntryVerdict, Finding, Item, Reason, Remark, Signer, entry,
    mark_of, serial_of,
};
pub use facts::{notes, paper_looks_like};
pub use hazards::{cautions, hazards_for_letter};
pub use law::{ExampleOutcome, try_example};
pub use next::{ENDS_DISPUTE, card, card_step, steps_for_letter, tells_how_to_hold, without_doubt};
pub use readings::speaks;
pub use request::{Draft, DraftPart, request};
pub use situations::{situations, with as situations_with};
pub use state::Fact;
pub use year::{Flight, Limit, Year, YearFacts, expires, year};

/// A question with its answers, and what the reader has to be told about both.
#[derive(Clone, Debug)]
pub struct Answered {
    /// The question.
    pub question: Question,
    /// The answers, in the order of the kinds.
    pub answers: Vec<Answer>,
    /// Notes on the letter and on the facts of the question.
    pub notes: Vec<Note>,
}

/// Answers the question, with the notes that a report shows.
#[must_use]
pub fn answered(letter: &Letter, question: Question, patterns: &Patterns) -> Answered {
    let answers = answer(letter, &question, patterns);
    let mut told = letter.notes.clone();
    told.extend(notes(letter, &question, patterns));
    Answered {
        question,
        answers,
        notes: told,
    }
}

/// Answers the question for the kind asked about, or for every kind that can be held.
#[must_use]
pub fn answer(letter: &Letter, question: &Question, patterns: &Patterns) -> Vec<Answer> {
    let facts = Facts::resolve(letter, question);
    // The next steps of each kind tell who can sign without doubt, so everybody is answered.
    let everybody: Vec<Answer> = Kind::HOLDERS
        .into_iter()
        .map(|kind| one(letter, &facts, kind, patterns))
        .collect();
    let mut wanted = match question.holder {
        None => everybody.clone(),
        Some(kind) => vec![
            everybody
                .iter()
                .find(|a| a.holder == kind)
                .cloned()
                .unwrap_or_else(|| one(letter, &facts, kind, patterns)),
        ],
    };
    for answer in &mut wanted {
        answer.next = next::steps(letter, &facts, answer, &everybody, patterns);
        answer.hazards = hazards::hazards(answer, patterns);
    }
    wanted
}

/// What a clause that obliges in a case of its own leaves open is no question where the answer in that case
/// and out of it is the same.
fn one(letter: &Letter, facts: &Facts, kind: Kind, patterns: &Patterns) -> Answer {
    let answer = in_any_case(letter, facts, kind, patterns);
    let cases: Vec<usize> = letter
        .inspectors
        .iter()
        .filter(|rule| clause::obliges_in_a_case(rule))
        .map(|rule| rule.clause)
        .collect();
    if cases.is_empty() || answer.answer != Verdict::Undetermined {
        return answer;
    }
    let mut without = letter.clone();
    without
        .inspectors
        .retain(|rule| !clause::obliges_in_a_case(rule));
    let mut within = letter.clone();
    for rule in &mut within.inspectors {
        rule.conditions
            .retain(|c| c.kind != InspectorConditionKind::Case);
    }
    let out_of_it = in_any_case(&without, facts, kind, patterns);
    let mut in_it = in_any_case(&within, facts, kind, patterns);
    if in_it.answer != out_of_it.answer || in_it.answer == Verdict::Undetermined {
        return answer;
    }
    in_it.letter.notes.push(KeyNote::EitherWay(cases));
    in_it
}

fn in_any_case(letter: &Letter, facts: &Facts, kind: Kind, patterns: &Patterns) -> Answer {
    let key_two = letter::key_two(letter, facts, kind, patterns);
    // Whether some clause says who may inspect decides what the rule says of an owner.
    let listed = match key_two.key.answer {
        KeyTwo::Silent => false,
        KeyTwo::Unclear => key_two.list_found,
        _ => true,
    };
    let key_one = law::key_one(facts, kind, listed, patterns);
    if facts.mixed {
        let mut key_two = key_two;
        key_two.key.answer = KeyTwo::Unclear;
        key_two.key.conditions.clear();
        key_two.key.notes = vec![KeyNote::DifferentAircraft];
        return assemble(
            facts,
            kind,
            key_one.key,
            key_two,
            table::Decision::unknown(),
        );
    }
    if !letter.paper.is_limitations() {
        // A paper that is no letter of operating limitations gets no answer but `undetermined`.
        return assemble(
            facts,
            kind,
            key_one.key,
            key_two,
            table::Decision::unknown(),
        );
    }
    let decided = both_keys(kind, &key_one, &key_two);
    let case = Case {
        facts,
        branches: &key_one.branches,
        split_on_basis: key_one.split_on_basis,
        clause: &key_two.state,
        rated_mechanic_named: readings::rated_mechanic_named(letter, &key_two.key.clauses),
    };
    let mut answer = assemble(facts, kind, key_one.key.clone(), key_two.clone(), decided);
    answer.readings = readings::apply(&case, &answer, patterns);
    if !answer.readings.is_empty() {
        answer
            .letter
            .notes
            .extend(readings::gap_note(facts, kind, patterns));
    }
    answer
}

/// The table on every basis that is possible; the best of them is what the answer could become.
fn both_keys(kind: Kind, key_one: &KeyOneFound, key_two: &KeyTwoFound) -> table::Decision {
    let decided = key_one
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
    if key_one.split_on_basis {
        decided.with_open_basis(key_two.key.answer)
    } else {
        decided
    }
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
        ratings: facts.ratings.filter(|_| kind == Kind::Mechanic),
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
