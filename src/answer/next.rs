//! What to do next, concrete and in order: who can sign without doubt, what to look at before the
//! work starts, what it would take for the person asked about, whom to ask.
//!
//! Each step that states law carries its citation with date and grade.

use super::facts::Facts;
use super::state::Fact;
use crate::model::{Answer, KeyTwo, Kind, Letter, OpenBecause, RuleAnswer, Verdict};
use jiff::civil::Date;

/// Steps for the letter as a whole, for the first screen: they hold whoever is asked about.
///
/// `answers` are those of every kind that can be held, `text` is the normalized text of the letter.
#[must_use]
pub fn steps_for_letter(letter: &Letter, text: &str, answers: &[Answer]) -> Vec<String> {
    let mut steps = vec![without_doubt(letter, answers)];
    for answer in answers.iter().filter(|a| a.answer == Verdict::Yes) {
        steps.push(format!(
            "Before a {} starts the work, look at {}.",
            answer.holder.title(),
            card(answer.holder)
        ));
    }
    let record = best_clause(
        letter,
        text,
        "inspection-record",
        &["condition inspection", "certif", "statement"],
    );
    if let Some(record) = record {
        steps.push(format!(
            "The log entry follows {} of the letter; `whomay entry` checks it.",
            called(record)
        ));
    }
    let aboard = best_clause(
        letter,
        text,
        "documents-aboard",
        &["carried in the aircraft", "pilot in command"],
    )
    .map_or_else(String::new, |id| format!("; {} of the letter", called(id)));
    steps.push(format!(
        "Keep the airworthiness certificate and this letter with all its pages in the aircraft (§ 91.203(a), eCFR as of 2026-09-03, grade A{aboard})."
    ));
    if answers
        .iter()
        .any(|a| a.answer == Verdict::Disputed || a.if_met == Verdict::Disputed)
    {
        steps.push(
            "Where the letter is in dispute, amended limitations end it: `whomay request` drafts the letter."
                .to_owned(),
        );
    }
    steps
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
                let called: Vec<String> = clauses.into_iter().map(called).collect();
                format!("by {}", called.join(", "))
            };
            let rule = a.rule.citations.first().map_or("", String::as_str);
            format!("a {}, {by} and {}", a.holder.title(), short(rule))
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
fn short(citation: &str) -> String {
    let (paragraph, read) = citation.split_once("; ").unwrap_or((citation, ""));
    let paragraph = paragraph.split(", in force").next().unwrap_or(paragraph);
    let read = read.split(", checked").next().unwrap_or(read);
    if read.is_empty() {
        paragraph.to_owned()
    } else {
        format!("{paragraph} ({read})")
    }
}

/// The steps for one kind.
pub(super) fn steps(
    letter: &Letter,
    facts: &Facts,
    answer: &Answer,
    everybody: &[Answer],
) -> Vec<String> {
    let mut steps = Vec::new();
    if answer.open_because == Some(OpenBecause::Text) {
        steps.extend(mend_text(answer));
    }
    for fact in answer.settled_by.iter().filter_map(|n| Fact::from_name(n)) {
        steps.push(settle(fact));
    }
    if answer.answer != Verdict::Yes {
        steps.push(without_doubt(letter, everybody));
    }
    if matches!(answer.answer, Verdict::Yes | Verdict::Disputed)
        || answer.if_met != Verdict::No && answer.open_because == Some(OpenBecause::Fact)
    {
        steps.push(format!(
            "Before the work starts, look at {}.",
            card(answer.holder)
        ));
    }
    steps.extend(become_able(facts, answer));
    steps.extend(change_letter(letter, answer, everybody));
    if answer.answer == Verdict::Disputed && answer.rule.answer == RuleAnswer::Open {
        steps.push(
            "Ask the FAA office in writing before the work starts, and an attorney what its answer is worth: the rule itself is open here."
                .to_owned(),
        );
    }
    steps
}

fn mend_text(answer: &Answer) -> Vec<String> {
    let mut steps = vec![
        "Get the whole letter that was in force on that day, with all its pages, and compare the doubtful words with the paper in the aircraft."
            .to_owned(),
    ];
    if answer.letter.answer == KeyTwo::Unclear {
        steps.push(
            "Where a page is lost or two clauses contradict each other, ask the FAA office for a copy from the aircraft's file, and for a corrected letter (common practice, no source)."
                .to_owned(),
        );
    }
    steps
}

fn settle(fact: Fact) -> String {
    match fact {
        Fact::Owner => "Say how the aircraft is owned: self, co-owner, company, trust or not (--owner). A registration is no evidence of ownership (§ 47.5(c), eCFR as of 2026-09-03, grade A).".to_owned(),
        Fact::Basis => "Look at the purpose on the certificate (FAA Form 8130-7) for the paragraph of § 21.191 (--basis).".to_owned(),
        Fact::ClauseCondition => "Read the condition in the clause itself: no option speaks of it.".to_owned(),
        Fact::Holder => "Say which certificate the person holds (--holder).".to_owned(),
        other => match other.option() {
            Some(option) => format!("Find out {} (--{option}).", other.words()),
            None => format!("Find out {}.", other.words()),
        },
    }
}

/// What to see on the person's certificate.
#[must_use]
pub fn card(kind: Kind) -> &'static str {
    match kind {
        Kind::BuilderRepairman => {
            "the repairman certificate (experimental aircraft builder): it has to name this aircraft (§ 65.104(b), eCFR as of 2026-09-03, grade A; display and presentation: § 65.105, not read, grade M)"
        }
        Kind::Mechanic => {
            "the mechanic certificate with airframe and powerplant ratings, and ask for recent experience (§ 65.83, eCFR as of 2026-09-03, grade A)"
        }
        Kind::RepairStation => {
            "the repair station certificate, its ratings and operations specifications: they have to cover this aircraft (§ 145.201, eCFR as of 2026-09-03, grade A)"
        }
        Kind::LightSportRepairmanInspection => {
            "the repairman certificate (light-sport): inspection rating, category, and on an old card the registration listed; and that the holder owns the aircraft (§§ 65.107(f), 65.109(a), eCFR as of 2026-09-03, grade A; display and presentation: § 65.105, not read, grade M)"
        }
        Kind::LightSportRepairmanMaintenance => {
            "the repairman certificate (light-sport): maintenance rating, category, and on an old card the registration listed (§§ 65.107(f), 65.109(b), eCFR as of 2026-09-03, grade A; display and presentation: § 65.105, not read, grade M)"
        }
        _ => "the person's certificate and its ratings",
    }
}

/// What it would take for the person asked about to be able to sign.
fn become_able(facts: &Facts, answer: &Answer) -> Vec<String> {
    let shut = matches!(answer.letter.answer, KeyTwo::Excluded | KeyTwo::ShutOut);
    if answer.answer == Verdict::Yes || shut {
        return Vec::new();
    }
    let new_rule = facts.on >= Date::constant(2025, 10, 22);
    let light_sport = facts
        .basis
        .is_none_or(|b| ['g', 'i', 'k', 'l'].contains(&b.letter));
    let inspection = "To hold an inspection rating: be 18, read, speak, write and understand English, complete a 16-hour course for the category (and class) of the aircraft, pass the provider's written test, and present the evidence to the FAA (§ 65.107(b), (c), eCFR as of 2026-09-03, grade A); then the holder also has to own the aircraft (§ 65.109(a)(1)).";
    let maintenance = "To hold a maintenance rating: be 18, read, speak, write and understand English, complete a course with the content of the mechanic standards for the category (no minimum of hours), pass the provider's written test, and present the evidence to the FAA (§ 65.107(b), (d), eCFR as of 2026-09-03, grade A).";
    let builder = "To hold the builder certificate: be 18, be the primary builder of this aircraft, show the skill to judge its condition, and be a citizen or permanent resident (§ 65.104(a), eCFR as of 2026-09-03, grade A). Having built it, or having helped to, is not enough.";
    let mut steps: Vec<&str> = Vec::new();
    match answer.holder {
        Kind::BuilderRepairman => steps.push(builder),
        Kind::LightSportRepairmanInspection if new_rule && light_sport => steps.push(inspection),
        Kind::LightSportRepairmanMaintenance if new_rule && light_sport => steps.push(maintenance),
        Kind::LightSportRepairmanInspection | Kind::LightSportRepairmanMaintenance => steps.push(
            "No course changes this: the rule of that day gives a light-sport repairman nothing on this certificate (§ 65.109(a)(2), (b)(2); before 2025-10-22 § 65.107(b), (c); grade A).",
        ),
        Kind::Owner => {
            if new_rule && light_sport {
                steps.push(inspection);
            }
            if facts.basis.is_none_or(|b| b.letter == 'g') {
                steps.push(builder);
            }
        }
        Kind::GeneralRepairman => steps.push(
            "Have the repair station that employs the repairman inspect, on its own certificate (§ 65.103(a), eCFR as of 2026-09-03, grade A).",
        ),
        Kind::Mechanic if answer.rule.answer == RuleAnswer::No => steps.push(
            "Have somebody with the other rating inspect and sign the other part (§§ 65.85, 65.87, grade A; that two may share is an inference, grade I).",
        ),
        _ => {}
    }
    steps.into_iter().map(str::to_owned).collect()
}

/// What a changed letter would do, where the letter stands in the way and the rule does not.
fn change_letter(letter: &Letter, answer: &Answer, everybody: &[Answer]) -> Vec<String> {
    let mut steps = Vec::new();
    let in_the_way = match answer.letter.answer {
        KeyTwo::Unlisted | KeyTwo::Generic | KeyTwo::Excluded | KeyTwo::ShutOut => true,
        KeyTwo::Silent => {
            answer.if_met == Verdict::Disputed && answer.rule.answer != RuleAnswer::No
        }
        KeyTwo::Named | KeyTwo::Unclear => false,
    };
    let experimental = letter.paper.is_letter();
    if !in_the_way || !experimental || answer.rule.answer == RuleAnswer::No {
        return steps;
    }
    if answer.holder == Kind::RepairStation
        && everybody
            .iter()
            .any(|a| a.holder == Kind::Mechanic && a.answer == Verdict::Yes)
    {
        steps.push(
            "A mechanic with both ratings who works at the station can inspect and sign on his own certificate (common practice, no source)."
                .to_owned(),
        );
    }
    steps.push(
        "Have the letter amended so that it names the person: application through the FAA's on-line system (\"amend\") with a short program letter, to a FSDO or a designee; `whomay request` drafts it. The result is a new certificate and a whole new set of limitations to the current order, and new flight-test hours have been imposed at times (reports, grade D)."
            .to_owned(),
    );
    steps
}

/// The clause of the topic that says most of the words; the first of equals, numbered ones first.
fn best_clause<'l>(letter: &'l Letter, text: &str, topic: &str, words: &[&str]) -> Option<&'l str> {
    letter
        .clauses
        .iter()
        .zip(&letter.topics)
        .filter(|(_, topics)| topics.iter().any(|t| t == topic))
        .map(|(clause, _)| {
            let body = super::entry_words::fold(clause.body.of(text));
            let hits = words.iter().filter(|w| body.contains(**w)).count();
            (hits, !is_paragraph(&clause.id), clause.id.as_str())
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

/// Paragraphs without a number have ids such as `p8`.
fn is_paragraph(id: &str) -> bool {
    id.strip_prefix('p')
        .is_some_and(|n| !n.is_empty() && n.chars().all(|c| c.is_ascii_digit()))
}

/// How a clause is called in a sentence.
pub(super) fn called(id: &str) -> String {
    id.strip_prefix('p')
        .filter(|_| is_paragraph(id))
        .map_or_else(
            || format!("clause {id}"),
            |n| format!("unnumbered paragraph {n}"),
        )
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
