//! A draft request for amended limitations, and the questions that the letter raises for the FAA
//! office and for an attorney.
//!
//! No published standard letter was found; this is our own draft and says so. Rendering (Markdown,
//! plain text) is the report's work.

use super::facts::Facts;
use super::next::{called, clause_ids, clause_of};
use crate::model::{
    Answer, Inspection, KeyTwo, Kind, Letter, OpenBecause, Paper, Question, RuleAnswer, Verdict,
};

/// A draft, in parts. A blank to be filled in is written `[like this]`.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Draft {
    /// What this is, and that it is our own draft.
    pub about: String,
    /// Whether an amendment would help anybody: the rule has to let the person in.
    pub useful: bool,
    /// The request itself, part by part; empty where it would help nobody.
    pub parts: Vec<DraftPart>,
    /// The blanks, in order.
    pub blanks: Vec<String>,
    /// What can follow from sending it.
    pub warnings: Vec<String>,
    /// Questions for the FAA office.
    pub for_the_office: Vec<String>,
    /// Questions for an attorney.
    pub for_an_attorney: Vec<String>,
}

/// A part of the draft.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DraftPart {
    /// A heading, or nothing.
    pub heading: String,
    /// Paragraphs.
    pub paragraphs: Vec<String>,
    /// The part quotes the letter word for word.
    pub quotes: bool,
}

fn part(heading: &str, paragraphs: Vec<String>) -> DraftPart {
    DraftPart {
        heading: heading.to_owned(),
        paragraphs,
        quotes: false,
    }
}

/// Drafts the request from the letter and the answers to the question.
///
/// `text` is the normalized text of the letter; `answers` are those of [`super::answer`].
#[must_use]
pub fn request(letter: &Letter, text: &str, question: &Question, answers: &[Answer]) -> Draft {
    let facts = Facts::resolve(letter, question);
    let wanted: Vec<&Answer> = answers.iter().filter(|a| helps(a)).collect();
    let mut draft = Draft {
        about: "A draft of our own, for the owner to check and complete. No published standard letter was found; the FAA office decides what it wants. Not legal advice.".to_owned(),
        useful: !wanted.is_empty() && letter.paper.is_letter(),
        ..Draft::default()
    };
    if letter.paper == Paper::Clause {
        draft.warnings.push(
            "Judged on this clause alone: hold the draft against the whole letter first."
                .to_owned(),
        );
    }
    if draft.useful {
        draft.parts = letter_parts(letter, text, &facts, &wanted);
        draft.warnings.extend([
            "The result is a new certificate and a whole new set of limitations to the current order, not a change of one line (reports, grade D).".to_owned(),
            "New flight-test hours have been imposed at times (reports, grade D). Ask before you send it.".to_owned(),
            "Until the new letter is in the aircraft, the one in force binds (§ 91.9(a), eCFR as of 2026-09-03, grade A).".to_owned(),
        ]);
    } else {
        draft.warnings.push(
            "An amended letter would help nobody who was asked about: either the letter does not stand in the way, or the rule lets none of them in, and a letter cannot add to the rule (grade I)."
                .to_owned(),
        );
    }
    draft.for_the_office = office(letter, &facts, answers);
    draft.for_an_attorney = attorney(answers);
    draft.blanks = blanks(&draft.parts);
    draft
}

/// Whether naming the kind in the letter would change its answer for the better.
fn helps(answer: &Answer) -> bool {
    let letter = match answer.letter.answer {
        KeyTwo::Unlisted | KeyTwo::ShutOut | KeyTwo::Excluded | KeyTwo::Generic => true,
        KeyTwo::Silent => answer.if_met == Verdict::Disputed,
        // Clauses that contradict each other: a corrected letter helps.
        KeyTwo::Unclear => !answer.letter.clauses.is_empty(),
        KeyTwo::Named => false,
    };
    letter && answer.rule.answer != RuleAnswer::No
}

fn letter_parts(letter: &Letter, text: &str, facts: &Facts, wanted: &[&Answer]) -> Vec<DraftPart> {
    let basis = facts.basis.map_or_else(
        || "[paragraph of § 21.191]".to_owned(),
        |b| format!("§ 21.191{b}"),
    );
    let issued = facts
        .issued
        .map_or_else(|| "[date of issue]".to_owned(), |d| d.to_string());
    let mut parts = vec![
        part(
            "",
            vec![
                "To: [FAA Flight Standards District Office, or designee]".to_owned(),
                "From: [name and address of the registered owner]".to_owned(),
                "Date: [date]".to_owned(),
                "Aircraft: [make and model], serial number [serial number], registration [registration mark]".to_owned(),
            ],
        ),
        part(
            "Program letter: amended operating limitations",
            vec![format!(
                "I apply for amended operating limitations for this aircraft, which has a special airworthiness certificate for the experimental purpose of {basis}. The reason for the amendment is a change to the operating limitations issued on {issued}."
            )],
        ),
    ];
    let clauses: Vec<usize> = wanted
        .iter()
        .flat_map(|a| a.letter.clauses.iter().copied())
        .collect();
    let mut quotes = Vec::new();
    for index in clauses {
        if let Some(clause) = letter.clauses.get(index) {
            let words = clause
                .span
                .of(text)
                .split_whitespace()
                .collect::<Vec<_>>()
                .join(" ");
            if !words.is_empty() && !quotes.contains(&words) {
                quotes.push(words);
            }
        }
    }
    if quotes.is_empty() {
        parts.push(part(
            "What the letter says now",
            vec![
                "The present limitations do not say who may perform the condition inspection."
                    .to_owned(),
            ],
        ));
    } else {
        parts.push(DraftPart {
            heading: "What the letter says now".to_owned(),
            paragraphs: quotes,
            quotes: true,
        });
    }
    let asked: Vec<String> = wanted.iter().map(|a| ask_for(a)).collect();
    parts.push(part(
        "What I ask for",
        std::iter::once(
            "That one limitation says who may perform the condition inspection, and that it names, besides those whom it names now:"
                .to_owned(),
        )
        .chain(asked)
        .collect(),
    ));
    parts.push(part(
        "Program",
        vec![
            "Purpose: unchanged, [purpose as in the present program letter].".to_owned(),
            "Flight-test period: [completed on date, or still running].".to_owned(),
            "Area of operation: unchanged, [area]. Changes to the aircraft since the present limitations were issued: [none, or which].".to_owned(),
            "I enclose the present operating limitations, all pages, and the airworthiness certificate. (What an application holds: § 21.193, eCFR as of 2026-09-03, grade A.)".to_owned(),
        ],
    ));
    parts.push(part("", vec!["[signature]".to_owned()]));
    parts
}

fn ask_for(answer: &Answer) -> String {
    let rule = answer
        .rule
        .citations
        .first()
        .map_or("", |c| c.split([',', ';']).next().unwrap_or(c));
    let who = match answer.holder {
        Kind::BuilderRepairman => {
            "the holder of the repairman certificate (experimental aircraft builder) for this aircraft"
        }
        Kind::Mechanic => "an appropriately rated mechanic",
        Kind::RepairStation => "an appropriately rated repair station",
        Kind::LightSportRepairmanInspection => {
            "the owner, holding a repairman certificate (light-sport) with an inspection rating for the category of this aircraft"
        }
        Kind::LightSportRepairmanMaintenance => {
            "a holder of a repairman certificate (light-sport) with a maintenance rating for the category of this aircraft"
        }
        other => other.title(),
    };
    format!("{who} ({rule})")
}

fn office(letter: &Letter, facts: &Facts, answers: &[Answer]) -> Vec<String> {
    let issued = facts
        .issued
        .map_or_else(|| "[date of issue]".to_owned(), |d| d.to_string());
    let mut ask = vec![format!(
        "Is the letter of {issued} the one in force for this aircraft, and does your file hold the same pages?"
    )];
    for answer in answers {
        let ids = clause_ids(letter, &answer.letter.clauses);
        let clause = if ids.is_empty() {
            "a letter that names nobody".to_owned()
        } else {
            let called: Vec<String> = ids.into_iter().map(called).collect();
            called.join(", ")
        };
        match answer.open_because {
            Some(OpenBecause::Text) => ask.push(format!(
                "What does {clause} say of a {}? The words at hand are unclear or contradict each other.",
                answer.holder.title()
            )),
            _ if answer.if_met == Verdict::Disputed && answer.letter.answer != KeyTwo::Named => {
                ask.push(format!(
                    "Does the office take {clause} to shut out a {}, or may that person sign without an amended letter? Please answer in writing.",
                    answer.holder.title()
                ));
            }
            _ => {}
        }
        for condition in answer
            .rule
            .conditions
            .iter()
            .filter(|c| c.name == "owned-by-holder")
        {
            if condition.open_because == Some(OpenBecause::Law) {
                ask.push(format!(
                    "The aircraft is not owned in the holder's own name alone. Does the office accept it as «owned by the holder» ({})?",
                    condition.citation
                ));
            }
        }
    }
    if answers.iter().any(helps) {
        ask.push("If the letter is amended: will flight-test hours be imposed again, and which order will the new set follow?".to_owned());
    }
    if facts.earlier_certificate == Some(true) {
        ask.push("The aircraft earlier had another kind of airworthiness certificate. Does the office apply part 43 to it (§ 43.1(b)), and whom does it accept for the return to service (§ 43.7)?".to_owned());
    }
    if facts.inspection == Inspection::Yearly && clause_of(letter, "inspection-when").is_none() {
        ask.push("Which inspection, and at which interval, does this letter ask for? No such clause was found.".to_owned());
    }
    ask.dedup();
    ask
}

fn attorney(answers: &[Answer]) -> Vec<String> {
    let mut ask = Vec::new();
    let disputed = |cause: KeyTwo| {
        answers
            .iter()
            .any(|a| a.letter.answer == cause && a.if_met == Verdict::Disputed)
    };
    if disputed(KeyTwo::Unlisted) {
        ask.push("Does «may» in this clause shut out persons whom it does not name? (§ 1.3(b)(2) speaks of \"this chapter\"; Echazabal, 536 U.S. 73, 80-81; Barnhart, 537 U.S. 149, 169 n.12; Vonn, 535 U.S. 55, 65.)".to_owned());
        ask.push("What weight has a fact sheet of the regulator against the words of the letter, for an operator who is charged under § 91.9(a)?".to_owned());
    }
    if disputed(KeyTwo::Generic) {
        ask.push("Does the general term in this clause cover the person, when such certificates did not exist on the day of the letter?".to_owned());
    }
    if disputed(KeyTwo::Silent) {
        ask.push(
            "Does the regulator's note on amateur-built aircraft reach a letter that names nobody?"
                .to_owned(),
        );
    }
    if answers.iter().any(|a| {
        a.rule.open_because == Some(OpenBecause::Law)
            || a.rule
                .conditions
                .iter()
                .any(|c| c.open_because == Some(OpenBecause::Law))
    }) {
        ask.push("The rule itself is open for a person asked about (see its line): which reading would you defend, and what follows for the inspections already signed?".to_owned());
    }
    if !ask.is_empty() {
        ask.push(
            "Would the insurer contest cover after an inspection signed by that person?".to_owned(),
        );
    }
    ask
}

fn blanks(parts: &[DraftPart]) -> Vec<String> {
    let mut blanks = Vec::new();
    for paragraph in parts
        .iter()
        .filter(|p| !p.quotes)
        .flat_map(|p| &p.paragraphs)
    {
        for piece in paragraph.split('[').skip(1) {
            if let Some((blank, _)) = piece.split_once(']')
                && !blanks.iter().any(|b| b == blank)
            {
                blanks.push(blank.to_owned());
            }
        }
    }
    blanks
}
