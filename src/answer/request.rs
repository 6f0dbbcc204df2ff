//! A draft request for amended limitations, and the questions that the letter raises for the FAA
//! office and for an attorney.
//!
//! No published standard letter was found; this is our own draft and says so. It asks for the
//! complete current set, and is drafted only where the letter is the cause: limitations add nothing
//! to the rule. What is law comes from `patterns/statement/`.

use super::amend::{Amend, amend};
use super::due::says_when;
use super::facts::Facts;
use super::next::{clause_ids, letter_is_the_cause};
use crate::document::named::{self, Named};
use crate::model::{
    Answer, Clause, Inspection, KeyTwo, Kind, Letter, OpenBecause, Ownership, Paper, Question,
    Verdict,
};
use crate::patterns::Patterns;

/// A draft, in parts. A blank to be filled in is written `[like this]`.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Draft {
    /// What this is, and that it is our own draft.
    pub about: String,
    /// Whether an amendment would help anybody: the rule has to let the person in.
    pub useful: bool,
    /// The request itself, part by part; empty where it would help nobody.
    pub parts: Vec<DraftPart>,
    /// Amend or not: what the newest set would add and take away.
    pub amend: Option<Amend>,
    /// The blanks, in order.
    pub blanks: Vec<String>,
    /// What can follow from sending it, and who signs it.
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
pub fn request(
    letter: &Letter,
    text: &str,
    question: &Question,
    answers: &[Answer],
    patterns: &Patterns,
) -> Draft {
    let facts = Facts::resolve(letter, question);
    let say = |name: &str| patterns.statement.say(name, &[]);
    let wanted: Vec<&Answer> = answers
        .iter()
        .filter(|a| a.answer != Verdict::Yes && letter_is_the_cause(a))
        .collect();
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
        draft.amend = Some(amend(letter, text, &facts, patterns));
        let named = named::named(letter, text, patterns);
        draft.parts = letter_parts(letter, text, &facts, &wanted, &named, patterns);
        draft.warnings.extend(filled(&named));
        draft.warnings.extend(
            [
                "request-form",
                "request-whole",
                "request-hours",
                "request-until",
            ]
            .map(say),
        );
        let capacity = match facts.owner {
            Some(Ownership::Company) => Some("request-capacity-company"),
            Some(Ownership::Trust) => Some("request-capacity-trust"),
            Some(Ownership::CoOwner) => Some("request-capacity-co-owner"),
            _ => None,
        };
        draft.warnings.extend(capacity.map(say));
    } else {
        draft.warnings.push(say("request-no-help"));
    }
    draft.for_the_office = office(letter, text, &facts, answers, &wanted, patterns);
    draft.for_an_attorney = attorney(answers, patterns);
    draft.blanks = blanks(&draft.parts);
    draft
}

/// Who writes, by who owns the aircraft.
const fn sender(owner: Option<Ownership>) -> &'static str {
    match owner {
        Some(Ownership::Company) => {
            "From: [name of the company], by [name], [title], with authority to sign for it"
        }
        Some(Ownership::Trust) => "From: [name of the trustee], as trustee of [name of the trust]",
        Some(Ownership::CoOwner) => "From: [names and addresses of all co-owners]",
        _ => "From: [name and address of the registered owner]",
    }
}

/// The aircraft, as far as the letter names it.
fn aircraft(named: &Named) -> String {
    let or_blank =
        |said: &Option<String>, blank: &str| said.clone().unwrap_or_else(|| blank.to_owned());
    format!(
        "Aircraft: {}, serial number {}, registration {}",
        or_blank(&named.make, MAKE),
        or_blank(&named.serial, SERIAL),
        or_blank(&named.mark, MARK)
    )
}

const MAKE: &str = "[make and model]";
const SERIAL: &str = "[serial number]";
const MARK: &str = "[registration mark]";

/// What was taken from the letter, to be looked at before it is sent.
fn filled(named: &Named) -> Option<String> {
    let filled: Vec<&str> = [
        (&named.make, MAKE),
        (&named.serial, SERIAL),
        (&named.mark, MARK),
    ]
    .into_iter()
    .filter(|(said, _)| said.is_some())
    .map(|(_, blank)| blank.trim_matches(['[', ']']))
    .collect();
    (!filled.is_empty()).then(|| {
        format!(
            "Filled in from the letter, to be held against the airworthiness certificate: {}.",
            filled.join(", ")
        )
    })
}

/// The draft, part by part.
fn letter_parts(
    letter: &Letter,
    text: &str,
    facts: &Facts,
    wanted: &[&Answer],
    named: &Named,
    patterns: &Patterns,
) -> Vec<DraftPart> {
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
                sender(facts.owner).to_owned(),
                "Date: [date]".to_owned(),
                aircraft(named),
            ],
        ),
        part(
            "Program letter: amended operating limitations",
            vec![format!(
                "With the enclosed FAA Form 8130-6 I apply for an amended special airworthiness certificate for the experimental purpose of {basis}. The reason is a change to the operating limitations issued on {issued}."
            )],
        ),
    ];
    let quotes = quotes(letter, text, wanted);
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
        [
            "The complete current set of operating limitations of the order in force for this purpose; I propose no wording of my own.".to_owned(),
            "If the current set does not let these persons perform the condition inspection, please tell me so before it is issued:".to_owned(),
        ]
        .into_iter()
        .chain(asked)
        .collect(),
    ));
    parts.push(part(
        "Program",
        vec![
            "Purpose: unchanged, [purpose as in the present program letter].".to_owned(),
            "Flight-test period: [completed on date, or still running].".to_owned(),
            "Area of operation: unchanged, [area]. Changes to the aircraft since the present limitations were issued: [none, or which].".to_owned(),
            patterns.statement.say("request-application", &[]),
        ],
    ));
    parts.push(part(
        "",
        vec!["[signature, and the capacity in which it is given]".to_owned()],
    ));
    parts
}

/// The clauses behind the answers, in their own words.
fn quotes(letter: &Letter, text: &str, wanted: &[&Answer]) -> Vec<String> {
    let mut quotes = Vec::new();
    for index in wanted.iter().flat_map(|a| a.letter.clauses.iter()) {
        if let Some(clause) = letter.clauses.get(*index) {
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
    quotes
}

fn ask_for(answer: &Answer) -> String {
    let rule = answer
        .rule
        .citations
        .first()
        .map_or("", |c| c.paragraph.as_str());
    format!("{} ({rule})", named(answer.holder))
}

/// A kind in the words of a letter.
const fn named(kind: Kind) -> &'static str {
    match kind {
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
    }
}

fn office(
    letter: &Letter,
    text: &str,
    facts: &Facts,
    answers: &[Answer],
    wanted: &[&Answer],
    patterns: &Patterns,
) -> Vec<String> {
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
            let called: Vec<String> = ids.into_iter().map(Clause::called).collect();
            called.join(", ")
        };
        match answer.open_because {
            Some(OpenBecause::Text) => ask.push(format!(
                "What does {clause} say of a {}? The words at hand are unclear or contradict each other.",
                answer.holder.title()
            )),
            _ if answer.if_met == Verdict::Disputed && letter_is_the_cause(answer) => {
                ask.push(format!(
                    "Does the office take {clause} to shut out a {}, or may that person sign without an amended letter? Please answer in writing.",
                    answer.holder.title()
                ));
            }
            _ => {}
        }
        let owned = |c: &crate::model::ConditionResult| {
            c.name == "owned-by-holder" && c.open_because == Some(OpenBecause::Law)
        };
        if answer.rule.conditions.iter().any(owned) {
            ask.push(patterns.statement.say("request-owned", &[]));
        }
    }
    if !wanted.is_empty() {
        ask.push("If the letter is amended: will flight-test hours be imposed again, and which order will the new set follow?".to_owned());
    }
    if facts.earlier_certificate == Some(true) {
        ask.push(patterns.statement.say("request-part-43", &[]));
    }
    if facts.inspection == Inspection::Yearly && !says_when(letter, text, patterns) {
        ask.push("Which inspection, and at which interval, does this letter ask for? No such clause was found.".to_owned());
    }
    ask.push(patterns.statement.say("request-chief-counsel", &[]));
    ask.dedup();
    ask
}

fn attorney(answers: &[Answer], patterns: &Patterns) -> Vec<String> {
    let say = |name: &str| patterns.statement.say(name, &[]);
    let mut ask = Vec::new();
    let disputed = |cause: KeyTwo| {
        answers
            .iter()
            .any(|a| a.letter.answer == cause && a.if_met == Verdict::Disputed && !a.rule.unsettled)
    };
    if disputed(KeyTwo::Unlisted) {
        ask.push(say("request-may"));
        ask.push(say("request-weight"));
    }
    if disputed(KeyTwo::Generic) {
        ask.push("Does the general term in this clause cover the person, when such certificates did not exist on the day of the letter?".to_owned());
    }
    if disputed(KeyTwo::Silent) {
        ask.push(say("request-note-silent"));
    }
    if answers
        .iter()
        .any(|a| a.rule.unsettled && a.if_met == Verdict::Disputed)
    {
        ask.push(say("request-open-rule"));
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
    for template in parts
        .iter()
        .filter(|p| !p.quotes)
        .flat_map(|p| &p.paragraphs)
    {
        for piece in template.split('[').skip(1) {
            if let Some((blank, _)) = piece.split_once(']')
                && !blanks.iter().any(|b| b == blank)
            {
                blanks.push(blank.to_owned());
            }
        }
    }
    blanks
}
