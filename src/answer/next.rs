//! What to do next, concrete and in order: who can sign without doubt, what to look at before the
//! work starts, what it would take for the person asked about, whom to ask.
//!
//! What is law in a step comes from `patterns/statement/`, with paragraph, state read and grade.

use super::facts::Facts;
use super::state::Fact;
use crate::model::{
    Answer, Clause, KeyTwo, Kind, Letter, OpenBecause, Rating, Ratings, RuleAnswer, RuleCitation,
    Verdict,
};
use crate::patterns::{Patterns, WordList};

/// Steps for the letter as a whole, for the first screen: they hold whoever is asked about.
///
/// `answers` are those of every kind that can be held, `text` is the normalized text of the letter.
#[must_use]
pub fn steps_for_letter(
    letter: &Letter,
    text: &str,
    answers: &[Answer],
    patterns: &Patterns,
) -> Vec<String> {
    let mut steps = vec![without_doubt(letter, answers)];
    for answer in answers.iter().filter(|a| a.answer == Verdict::Yes) {
        steps.push(format!(
            "Before a {} starts the work, look at {}.",
            answer.holder.title(),
            card(answer, patterns)
        ));
    }
    let record = best_clause(
        letter,
        text,
        "inspection-record",
        patterns.list.stems(WordList::OfRecord),
    );
    if let Some(record) = record {
        steps.push(format!(
            "The log entry follows {} of the letter; `whomay entry` checks it.",
            Clause::called(record)
        ));
    }
    let aboard = best_clause(
        letter,
        text,
        "documents-aboard",
        patterns.list.stems(WordList::OfPapersAboard),
    )
    .map_or_else(String::new, |id| {
        format!("; see {} of the letter", Clause::called(id))
    });
    steps.push(patterns.statement.say("aboard", &[("clause", &aboard)]));
    if answers
        .iter()
        .any(|a| a.if_met == Verdict::Disputed && letter_is_the_cause(a))
    {
        steps.push(ENDS_DISPUTE.to_owned());
    }
    steps
}

/// The step that ends a dispute of which the letter is the cause.
pub const ENDS_DISPUTE: &str = "Where the letter is the cause of a dispute, amended limitations end it: `whomay request` drafts the letter.";

/// Whether the step tells how to come by a certificate.
#[must_use]
pub fn tells_how_to_hold(step: &str, patterns: &Patterns) -> bool {
    ["able-builder", "able-inspection", "able-maintenance"]
        .iter()
        .any(|name| patterns.statement.say(name, &[]) == step)
}

/// Whether the letter alone stands in the way: the rule lets the person in, or would once the
/// open facts turn out well. Limitations add nothing to a rule that says no or is open itself.
pub(super) fn letter_is_the_cause(answer: &Answer) -> bool {
    let in_the_way = match answer.letter.answer {
        KeyTwo::Unlisted | KeyTwo::Generic | KeyTwo::Excluded | KeyTwo::ShutOut => true,
        KeyTwo::Silent => answer.if_met == Verdict::Disputed,
        // Clauses that contradict each other: a corrected letter helps.
        KeyTwo::Unclear => !answer.letter.clauses.is_empty(),
        KeyTwo::Named => false,
    };
    in_the_way && answer.rule.answer != RuleAnswer::No && !answer.rule.unsettled
}

/// "Who can sign without doubt today": the kinds with a yes, each with clause and rule.
#[must_use]
pub fn without_doubt(letter: &Letter, answers: &[Answer]) -> String {
    let sure: Vec<String> = answers
        .iter()
        .filter(|a| a.answer == Verdict::Yes)
        .map(|a| {
            let clauses = clause_ids(letter, &a.letter.clauses);
            let by = if clauses.is_empty() {
                "no clause says who".to_owned()
            } else {
                let called: Vec<String> = clauses.into_iter().map(Clause::called).collect();
                format!("by {}", called.join(", "))
            };
            let rule = a.rule.citations.first().map_or_else(String::new, short);
            format!("a {}, {by} and {rule}", a.holder.title())
        })
        .collect();
    if sure.is_empty() {
        "Nobody can be said to be able to sign without doubt on what is known here; settle the open points first."
            .to_owned()
    } else {
        format!("Who can sign without doubt: {}.", sure.join("; "))
    }
}

/// A citation without its days of force and the day checked: paragraph, state read, grade.
fn short(citation: &RuleCitation) -> String {
    if citation.read.is_empty() {
        citation.paragraph.clone()
    } else {
        format!("{} ({})", citation.paragraph, citation.read)
    }
}

/// The steps for one kind.
pub(super) fn steps(
    letter: &Letter,
    facts: &Facts,
    answer: &Answer,
    everybody: &[Answer],
    patterns: &Patterns,
) -> Vec<String> {
    let say = |name: &str| patterns.statement.say(name, &[]);
    let mut steps = Vec::new();
    let shut = matches!(answer.letter.answer, KeyTwo::Excluded | KeyTwo::ShutOut);
    if told(patterns, "step-builder-card", facts, answer.holder)
        && facts.certificate_for.is_none()
        && !shut
        && answer.rule.answer != RuleAnswer::No
    {
        steps.push(say("step-builder-card"));
    }
    if answer.open_because == Some(OpenBecause::Text) {
        steps.push(
            "Get the whole letter that was in force on that day, with all its pages, and compare the doubtful words with the paper in the aircraft."
                .to_owned(),
        );
        if answer.letter.answer == KeyTwo::Unclear {
            steps.push(say("step-copy"));
        }
    }
    for fact in answer.settled_by.iter().filter_map(|n| Fact::from_name(n)) {
        steps.push(settle(fact, patterns));
    }
    if answer.answer != Verdict::Yes {
        steps.push(without_doubt(letter, everybody));
    }
    if matches!(answer.answer, Verdict::Yes | Verdict::Disputed)
        || answer.if_met != Verdict::No && answer.open_because == Some(OpenBecause::Fact)
    {
        steps.push(card_step(answer, patterns));
    }
    steps.extend(become_able(facts, answer, patterns));
    steps.extend(change_letter(letter, answer, everybody, patterns));
    if answer.if_met == Verdict::Disputed && answer.rule.unsettled {
        steps.push(say("step-ask-open-rule"));
    }
    steps
}

/// Whether a statement is told of this kind on these facts.
fn told(patterns: &Patterns, name: &str, facts: &Facts, kind: Kind) -> bool {
    patterns.statement.get(name).is_some_and(|s| {
        s.file
            .holds
            .of(Some(kind), facts.basis, facts.on, facts.issued)
    })
}

fn settle(fact: Fact, patterns: &Patterns) -> String {
    match fact {
        Fact::Owner => patterns.statement.say("registration-no-evidence", &[]),
        Fact::Basis => "Look at the purpose on the certificate (FAA Form 8130-7) for the paragraph of § 21.191 (--basis).".to_owned(),
        Fact::ClauseCondition => "Read the condition in the clause itself: no option speaks of it.".to_owned(),
        Fact::EffectiveDay => "Nobody who asks today can settle it: on which day in 1979 the rule took effect was not found.".to_owned(),
        Fact::Holder => "Say which certificate the person holds (--holder).".to_owned(),
        other => match other.option() {
            Some(option) => format!("Find out {} (--{option}).", other.meaning()),
            None => format!("Find out {}.", other.meaning()),
        },
    }
}

/// The step that asks to look at the person's certificate.
#[must_use]
pub fn card_step(answer: &Answer, patterns: &Patterns) -> String {
    format!(
        "Before the work starts, look at {}.",
        card(answer, patterns)
    )
}

/// What to see on the person's certificate.
#[must_use]
pub fn card(answer: &Answer, patterns: &Patterns) -> String {
    let say = |name: &str| patterns.statement.say(name, &[]);
    match answer.holder {
        Kind::BuilderRepairman => say("card-builder"),
        Kind::Mechanic => match answer.ratings.and_then(Ratings::alone) {
            Some(Rating::Airframe) => say("card-mechanic-airframe"),
            Some(Rating::Powerplant) => say("card-mechanic-powerplant"),
            None => say("card-mechanic"),
        },
        Kind::RepairStation => say("card-repair-station"),
        Kind::LightSportRepairmanInspection => say("card-light-sport-repairman-inspection"),
        Kind::LightSportRepairmanMaintenance => say("card-light-sport-repairman-maintenance"),
        _ => "the person's certificate and its ratings".to_owned(),
    }
}

/// What it would take for the person asked about to be able to sign.
fn become_able(facts: &Facts, answer: &Answer, patterns: &Patterns) -> Vec<String> {
    let shut = matches!(answer.letter.answer, KeyTwo::Excluded | KeyTwo::ShutOut);
    if answer.answer == Verdict::Yes || shut {
        return Vec::new();
    }
    let kind = answer.holder;
    let light_sport = matches!(
        kind,
        Kind::LightSportRepairmanInspection | Kind::LightSportRepairmanMaintenance
    );
    let mut names: Vec<&str> = ["able-inspection", "able-maintenance", "able-builder"]
        .into_iter()
        .filter(|name| told(patterns, name, facts, kind))
        // The first step asks for the card already.
        .filter(|name| *name != "able-builder" || !told(patterns, "step-builder-card", facts, kind))
        .collect();
    match kind {
        _ if light_sport && names.is_empty() => names.push("able-none"),
        Kind::GeneralRepairman => names.push("able-employer"),
        Kind::Mechanic if answer.rule.answer == RuleAnswer::No => names.push("able-other-rating"),
        _ => {}
    }
    names
        .into_iter()
        .map(|name| patterns.statement.say(name, &[]))
        .collect()
}

/// What a changed letter would do, where the letter is the cause; else why it would do nothing.
fn change_letter(
    letter: &Letter,
    answer: &Answer,
    everybody: &[Answer],
    patterns: &Patterns,
) -> Vec<String> {
    let experimental = letter.paper.is_letter();
    if !experimental || matches!(answer.answer, Verdict::Yes) {
        return Vec::new();
    }
    let in_the_way = !matches!(answer.letter.answer, KeyTwo::Named | KeyTwo::Silent);
    if in_the_way && answer.rule.answer == RuleAnswer::No {
        return vec![patterns.statement.say("step-no-rule", &[])];
    }
    if in_the_way && answer.rule.unsettled {
        let other = "settle what the rule says, below";
        return vec![
            patterns
                .statement
                .say("step-rule-first", &[("other", other)]),
        ];
    }
    if !letter_is_the_cause(answer) || answer.letter.answer == KeyTwo::Unclear {
        return Vec::new();
    }
    let mut steps = Vec::new();
    if answer.holder == Kind::RepairStation
        && everybody
            .iter()
            .any(|a| a.holder == Kind::Mechanic && a.answer == Verdict::Yes)
    {
        steps.push(patterns.statement.say("step-mechanic-of-station", &[]));
    }
    steps.push(patterns.statement.say("step-amend", &[]));
    steps
}

/// The clause of the topic that says most of the words; the first of equals, numbered ones first.
fn best_clause<'l, 'w>(
    letter: &'l Letter,
    text: &str,
    topic: &str,
    words: impl Iterator<Item = &'w str>,
) -> Option<&'l str> {
    let words: Vec<&str> = words.collect();
    letter
        .clauses
        .iter()
        .zip(&letter.topics)
        .filter(|(_, topics)| topics.iter().any(|t| t == topic))
        .map(|(clause, _)| {
            let body = fold(clause.body.of(text));
            let hits = words.iter().filter(|w| body.contains(**w)).count();
            (hits, !clause.is_paragraph(), clause.id.as_str())
        })
        .reduce(|best, next| {
            if (next.0, next.1) > (best.0, best.1) {
                next
            } else {
                best
            }
        })
        .map(|(_, _, id)| id)
}

/// Lower case, one blank for any.
fn fold(text: &str) -> String {
    text.split_whitespace()
        .collect::<Vec<_>>()
        .join(" ")
        .to_lowercase()
}

/// The id of the first clause with the topic.
pub(super) fn clause_of<'l>(letter: &'l Letter, topic: &str) -> Option<&'l str> {
    letter
        .clauses
        .iter()
        .zip(&letter.topics)
        .find(|(_, topics)| topics.iter().any(|t| t == topic))
        .map(|(clause, _)| clause.id.as_str())
}

/// Ids of clauses by their indexes.
pub(super) fn clause_ids<'l>(letter: &'l Letter, clauses: &[usize]) -> Vec<&'l str> {
    clauses
        .iter()
        .filter_map(|i| letter.clauses.get(*i))
        .map(|c| c.id.as_str())
        .collect()
}
