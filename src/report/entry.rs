//! A log entry held against the letter: what it is worth, why not more, item by item.

use serde::Serialize;

use super::terminal::sheet::{Sheet, bold, dim};
use super::{Report, caution, clean, days, due, first, json, terminal, words};
use crate::answer::{Asked, EntryReport, EntryVerdict, Finding, Item, Reason, Remark};
use crate::model::{Kind, Verdict};
use crate::patterns::Patterns;

/// For people. `report` carries the answer for the signer on the day of the inspection, where
/// there is one.
#[must_use]
pub fn terminal(entry: &EntryReport, report: &Report<'_>, width: usize) -> String {
    let mut sheet = Sheet::new(width);
    let patterns = report.patterns;
    sheet.para(0, &bold(headline(entry.verdict)));
    if report.letter.paper == crate::model::Paper::Clause {
        sheet.para(0, CLAUSE_ALONE);
    }
    sheet.para(0, &good_through(entry, &bold));
    for reason in &entry.reasons {
        sheet.hanging(
            2,
            4,
            &format!("- {}", clean::line(&reason_words(reason, patterns))),
        );
    }
    sheet.hanging(0, 2, &signer_words(entry, report, &bold));
    sheet.para(0, &dim(caution::GENERAL));
    items(&mut sheet, entry, patterns);
    if let Some(statement) = &entry.statement {
        sheet.heading("The statement that the letter gives");
        sheet.para(2, &format!("\"{}\"", clean::line(statement)));
    }
    terminal::inspector_clauses(&mut sheet, report);
    terminal::keys(&mut sheet, report);
    sheet.heading("Notes");
    for note in notes(entry, patterns) {
        sheet.hanging(2, 4, &format!("- {note}"));
    }
    sheet.finish()
}

pub(super) const CLAUSE_ALONE: &str =
    "Judged on this clause alone: no letter around it was handed in.";

const NEVER_TOLD: &str =
    "Whether the signature is genuine, and who signed, can never be told from text.";

pub(super) fn headline(verdict: EntryVerdict) -> &'static str {
    match verdict {
        EntryVerdict::Current => "Current: nothing is missing and nothing misfits.",
        EntryVerdict::Defective => "Defective: have the signer correct the entry.",
        EntryVerdict::InQuestion => "In question: whether this inspection counts cannot be said.",
        EntryVerdict::NotCurrent => "Not current: this entry does not make the aircraft current.",
    }
}

/// Until when it is good, or why no day is given.
pub(super) fn good_through(entry: &EntryReport, strong: &dyn Fn(&str) -> String) -> String {
    match entry.good_through {
        Some(last) => {
            let hours = entry.remarks.iter().find_map(|r| match r {
                Remark::HoursToo(hours) => Some(*hours),
                _ => None,
            });
            let or = hours.map_or_else(String::new, |n| {
                format!(" or {n} hours in service, whichever comes first")
            });
            format!("Good through {}{or}.", strong(&days::day(last)))
        }
        // A day is known, and the certificate ended before the day asked about.
        None if entry.verdict == EntryVerdict::Current
            && entry.due.as_ref().is_some_and(|d| d.last_day.is_some()) =>
        {
            "No \"good through\" is given: the certificate has ended by its own words; see the notes."
                .to_owned()
        }
        None if entry.verdict == EntryVerdict::Current => {
            "No last day is given: the letter's interval sets none that can be computed.".to_owned()
        }
        None => "No \"good through\" is given, because:".to_owned(),
    }
}

/// Whether the signer could sign on the day of the inspection.
pub(super) fn signer_words(
    entry: &EntryReport,
    report: &Report<'_>,
    strong: &dyn Fn(&str) -> String,
) -> String {
    match (report.answers.first(), entry.date) {
        (Some(answer), Some(date)) => {
            let because = match first::because(report, answer) {
                words if words.is_empty() => words,
                words => format!(": {words}"),
            };
            format!(
                "Could {} sign on {}? {}{because}",
                match answer.holder {
                    Kind::Owner => "somebody without a mechanic or repairman certificate",
                    _ => words::holder_in_sentence(answer),
                },
                days::day(date),
                strong(words::verdict(answer.answer)),
            )
        }
        (None, Some(_)) => {
            "Which certificate the signer holds was not found in the entry; say it with --holder."
                .to_owned()
        }
        (_, None) => "Without a day, nobody can say who could sign on it.".to_owned(),
    }
}

fn items(sheet: &mut Sheet, entry: &EntryReport, patterns: &Patterns) {
    sheet.heading(ITEMS);
    for line in item_lines(entry, patterns, &bold, &dim) {
        sheet.hanging(2, 4, &line);
    }
}

pub(super) const ITEMS: &str = "What has to be there, and what the entry says";

/// Item by item: what asks for it and what was found, then the rules.
pub(super) fn item_lines(
    entry: &EntryReport,
    patterns: &Patterns,
    strong: &dyn Fn(&str) -> String,
    faint: &dyn Fn(&str) -> String,
) -> Vec<String> {
    let mut by: Vec<String> = Vec::new();
    let mut lines = Vec::new();
    for checked in &entry.checked {
        let said = checked.found.as_ref().map_or_else(
            || match checked.item {
                // asked for "if appropriate": what is not there is no defect
                Item::Cycles => "not given".to_owned(),
                _ => strong("missing"),
            },
            |found| format!("\"{}\"", clean::line(found)),
        );
        let asked = match &checked.asked_by {
            Asked::Clause(id) => format!("clause {}", clean::line(id)),
            Asked::Statement(name) => {
                let rule = patterns.statement.say(name, &[]);
                let at = by.iter().position(|b| *b == rule).unwrap_or_else(|| {
                    by.push(rule);
                    by.len() - 1
                });
                format!("rule {}", at + 1)
            }
        };
        lines.push(format!(
            "{}: {said} {}",
            words::capital(item_words(checked.item)),
            faint(&format!("({asked})")),
        ));
    }
    let rules = by.iter().enumerate();
    lines.extend(rules.map(|(n, rule)| format!("Rule {}: {}", n + 1, clean::line(rule))));
    lines
}

/// What the reader is told besides.
pub(super) fn notes(entry: &EntryReport, patterns: &Patterns) -> Vec<String> {
    let remarks = entry
        .remarks
        .iter()
        .map(|r| clean::line(&remark_words(r, patterns)));
    std::iter::once(NEVER_TOLD.to_owned())
        .chain(remarks)
        .chain(failed(entry, patterns))
        .collect()
}

/// What asks for an item, for people.
#[must_use]
pub fn asked_words(asked: &Asked, patterns: &Patterns) -> String {
    match asked {
        Asked::Clause(id) => format!("clause {}", clean::line(id)),
        Asked::Statement(name) => patterns.statement.say(name, &[]),
    }
}

/// An item, for people.
#[must_use]
pub const fn item_words(item: Item) -> &'static str {
    match item {
        Item::Date => "the date of the inspection",
        Item::Statement => "the statement of the letter, or a similar one",
        Item::Airworthy => "the statement of part 43 (\"airworthy\")",
        Item::Scope => "the scope (appendix D to part 43, or the program)",
        Item::Extent => "the type of the inspection and its extent in brief",
        Item::TimeInService => "the total time in service",
        Item::Cycles => "the cycles, if appropriate",
        Item::Name => "the name of the inspector",
        Item::Signature => "the signature",
        Item::CertificateNumber => "the certificate number",
        Item::CertificateKind => "the kind of certificate",
    }
}

/// A reason, for people; what is law in it comes from the pattern files.
#[must_use]
pub fn reason_words(reason: &Reason, patterns: &Patterns) -> String {
    let law = |name: &str| patterns.statement.say(name, &[]);
    match reason {
        Reason::FindingNegative(words) => {
            format!("The aircraft was not found to be fit: \"{words}\".")
        }
        Reason::FindingTakenOut(words) => {
            format!("The finding leaves something out: \"{words}\".")
        }
        Reason::FindingContradicts(words) => {
            format!("The finding is affirmative, and a fault stands beside it: \"{words}\".")
        }
        Reason::FindingMissing => "The entry does not say what the inspection found.".to_owned(),
        Reason::OtherMark { entry, letter } => {
            format!("The entry is of {entry}; the letter is of {letter}.")
        }
        Reason::OtherSerial(serial) => {
            format!("The entry has another serial number ({serial}) than the letter.")
        }
        Reason::Unfinished(words) => format!("The work was not finished (\"{words}\")."),
        Reason::OtherWork(words) => format!(
            "The entry records other work (\"{words}\"), not an inspection of the aircraft."
        ),
        Reason::HundredHour => law("entry-100-hour"),
        // Who he is, the question below names: a student is no owner, nor has each mechanic both ratings.
        Reason::Signer(_, Verdict::No) => {
            "The signer could not sign on that day; see below.".to_owned()
        }
        Reason::Signer(_, Verdict::Disputed) => {
            "Whether the signer could sign is in dispute; see below.".to_owned()
        }
        Reason::Signer(..) => "Whether the signer could sign is open; see below.".to_owned(),
        Reason::OtherBuilder { signer, builder } => format!(
            "The letter gives {builder} as the builder, and {signer} signs as one; for which aircraft that card is, the entry does not say (--certificate-for)."
        ),
        Reason::SignerNotTold(words) if words.is_empty() => {
            "Which certificate the signer holds is not told (--holder).".to_owned()
        }
        Reason::SignerNotTold(words) => {
            format!("\"{words}\" does not tell which certificate; say it (--holder).")
        }
        Reason::RatingsNotSaid => {
            "Which ratings the mechanic holds is not told (--ratings).".to_owned()
        }
        Reason::Supervised(_) => law("entry-supervision"),
        Reason::Expired(last) => format!("The last day was {}.", days::day(*last)),
        Reason::Future(day) => format!(
            "The inspection is dated {}, which is still to come.",
            days::day(*day)
        ),
        Reason::BeforeLetter { inspected, issued } => format!(
            "The inspection of {} lies before this letter ({}); the letter then in force decides on it.",
            days::day(*inspected),
            days::day(*issued)
        ),
        Reason::DaysDisagree { statement, entry } => format!(
            "The statement certifies an inspection on {}, after the day of the entry ({}).",
            days::day(*statement),
            days::day(*entry)
        ),
        Reason::AirworthyInstead => law("entry-airworthy"),
        Reason::AnnualInstead => law("entry-annual"),
        Reason::NotUnderstood(words) => {
            format!("What these words do to the inspection was not understood: \"{words}\".")
        }
        Reason::OtherSignature { signature, holder } => {
            format!("{signature} signs, and the certificate is {holder}'s.")
        }
        Reason::Blank => "A blank of a template was not filled in.".to_owned(),
        Reason::Missing(item) => format!("Missing: {}.", item_words(*item)),
        Reason::NoInterval => {
            "The letter sets no interval by which its last day could be told.".to_owned()
        }
    }
}

fn remark_words(remark: &Remark, patterns: &Patterns) -> String {
    let law = |name: &str| patterns.statement.say(name, &[]);
    match remark {
        Remark::Meter(meter) => format!(
            "The hours are those of the {meter} meter; that they are the total time in service, the entry does not say."
        ),
        Remark::GeneralRule => {
            "No clause that was read says what the entry has to show.".to_owned()
        }
        Remark::Part43(name) => law(name),
        Remark::Program(words) => words.clone(),
        Remark::AirworthyBeside => law("entry-airworthy-beside"),
        Remark::StatementsDay { statement, entry } => format!(
            "The entry is of {}, its statement certifies {}: the time runs from the latter.",
            days::day(*entry),
            days::day(*statement)
        ),
        Remark::TwoRatings => law("entry-two-ratings"),
        Remark::HoursToo(hours) => format!(
            "The letter counts hours in service too: {hours} hours after this inspection it has run out, whatever the day."
        ),
        Remark::CertificateEnds(day) => format!(
            "By its own words the certificate or letter ends on {}; after that no flight, whatever the inspection.",
            days::day(*day)
        ),
        Remark::PassedOver(sentences) => {
            let quoted = sentences.iter().map(|s| format!("\"{s}\""));
            format!(
                "Beside the statement stands what was taken for a list of work; whether it takes \
                 something back, judge yourself: {}.",
                quoted.collect::<Vec<_>>().join("; ")
            )
        }
        Remark::SeveralEntries(date) => {
            format!(
                "Several entries were handed in; the one of {} is judged.",
                days::day(*date)
            )
        }
        Remark::SeveralSigners(words) => {
            format!("Several people stand in the entry; the answer is that of \"{words}\".")
        }
        Remark::HolderFollowed { holder, told } => format!(
            "The question says {}, the entry {}; the question is followed.",
            holder.title(),
            told.title()
        ),
    }
}

/// What a failed inspection asks, where this is one.
fn failed(entry: &EntryReport, patterns: &Patterns) -> Vec<String> {
    if !matches!(entry.finding.0, Finding::Negative | Finding::Qualified) {
        return Vec::new();
    }
    let part_43 = entry
        .checked
        .iter()
        .any(|c| c.asked_by == Asked::Statement("records-part-43"));
    let name = if part_43 {
        "entry-failed-part-43"
    } else {
        "entry-failed-letter"
    };
    vec![patterns.statement.say(name, &[])]
}

#[derive(Serialize)]
struct Root<A: Serialize> {
    schema: u32,
    verdict: &'static str,
    good_through: Option<String>,
    reasons: Vec<JsonReason>,
    fields: Fields,
    checked: Vec<JsonChecked>,
    missing: Vec<&'static str>,
    statement: Option<String>,
    date: Option<String>,
    signer: Option<&'static str>,
    answer: Option<A>,
    due: Option<due::JsonDue>,
    notes: Vec<String>,
}

#[derive(Serialize)]
struct JsonReason {
    id: &'static str,
    leaves: &'static str,
    message: String,
}

#[derive(Serialize)]
struct Fields {
    date: Option<String>,
    time: Option<f64>,
    name: Option<String>,
    number: Option<String>,
    certificate: Option<String>,
    finding: &'static str,
    finding_words: String,
    aircraft: Option<String>,
    /// The entry gives the letter's own mark or serial number.
    same_aircraft: bool,
}

#[derive(Serialize)]
struct JsonChecked {
    item: &'static str,
    asked_by: String,
    found: Option<String>,
}

/// For programs.
#[must_use]
pub fn json(entry: &EntryReport, report: &Report<'_>) -> String {
    let patterns = report.patterns;
    let line = |words: &Option<String>| words.as_deref().map(clean::line);
    let mut notes = vec![NEVER_TOLD.to_owned()];
    notes.extend(entry.remarks.iter().map(|r| remark_words(r, patterns)));
    notes.extend(failed(entry, patterns));
    json::pretty(&Root {
        schema: 1,
        verdict: entry.verdict.name(),
        good_through: entry.good_through.map(|d| d.to_string()),
        reasons: entry
            .reasons
            .iter()
            .map(|r| JsonReason {
                id: r.name(),
                leaves: r.leaves().name(),
                message: clean::line(&reason_words(r, patterns)),
            })
            .collect(),
        fields: Fields {
            date: entry.date.map(|d| d.to_string()),
            time: entry.hours.as_ref().map(|(value, _)| *value),
            name: line(&entry.name),
            number: line(&entry.number),
            certificate: entry.signer.as_ref().map(|s| clean::line(&s.words)),
            finding: entry.finding.0.name(),
            finding_words: clean::line(&entry.finding.1),
            aircraft: line(&entry.mark),
            same_aircraft: entry.same_aircraft,
        },
        checked: entry
            .checked
            .iter()
            .map(|c| JsonChecked {
                item: c.item.name(),
                asked_by: asked_words(&c.asked_by, patterns),
                found: line(&c.found),
            })
            .collect(),
        missing: entry.missing.iter().map(|i| i.name()).collect(),
        statement: line(&entry.statement),
        date: entry.date.map(|d| d.to_string()),
        signer: entry.kind().map(crate::model::Kind::name),
        answer: json::first_answer(report),
        due: entry
            .due
            .as_ref()
            .filter(|_| entry.verdict == EntryVerdict::Current)
            .map(|d| due::one(d, &[])),
        notes: notes.iter().map(|n| clean::line(n)).collect(),
    })
}
