//! A log entry held against the letter.

use serde::Serialize;

use super::terminal::sheet::{Sheet, bold, dim};
use super::{CAUTION, Report, clean, due, first, json, terminal, words};
use crate::answer::EntryReport;

/// For people. `report` carries the answer for the signer on the day of the entry, where there is
/// one.
#[must_use]
pub fn terminal(entry: &EntryReport, report: &Report<'_>, width: usize) -> String {
    let mut sheet = Sheet::new(width);
    sheet.para(0, &bold(&headline(entry)));
    if report.letter.paper == crate::model::Paper::Clause {
        sheet.para(
            0,
            "Judged on this clause alone: no letter around it was handed in.",
        );
    }
    match (entry.signer, report.answers.first(), entry.date) {
        (Some(_), Some(answer), Some(date)) => {
            let because = first::because(report, answer);
            let because = if because.is_empty() {
                String::new()
            } else {
                format!(": {because}")
            };
            sheet.hanging(
                0,
                2,
                &format!(
                    "Could {} sign on {date}? {}{because}",
                    words::kind_in_sentence(answer.holder),
                    bold(words::verdict(answer.answer)),
                ),
            );
        }
        (None, ..) => sheet.para(
            0,
            "Which certificate the signer holds was not found in the entry; say it with --holder.",
        ),
        _ => sheet.para(0, "Without a day, nobody can say who could sign on it."),
    }
    if let Some(last) = entry.due.as_ref().and_then(|d| d.last_day) {
        sheet.para(
            0,
            &format!(
                "The inspection is good through {}.",
                bold(&last.to_string())
            ),
        );
    }
    sheet.para(0, &dim(CAUTION));

    sheet.heading("What the letter asks for, and the entry says");
    for checked in &entry.checked {
        let title = checked.item.title();
        let said = checked.found.as_ref().map_or_else(
            || bold("missing"),
            |found| format!("\"{}\"", clean::line(found)),
        );
        sheet.hanging(
            2,
            4,
            &format!(
                "{}: {said} {}",
                words::capital(title),
                dim(&format!("({})", clean::line(&checked.asked_by))),
            ),
        );
    }
    if !entry.wrong.is_empty() {
        sheet.heading("What does not fit");
        for wrong in &entry.wrong {
            sheet.hanging(2, 4, &format!("- {}", clean::line(wrong)));
        }
    }
    if let Some(statement) = &entry.statement {
        sheet.heading("The statement that the letter gives");
        sheet.para(2, &format!("\"{}\"", clean::line(statement)));
    }
    terminal::inspector_clauses(&mut sheet, report);
    terminal::keys(&mut sheet, report);
    if !entry.notes.is_empty() {
        sheet.heading("Notes");
        for note in &entry.notes {
            sheet.hanging(2, 4, &format!("- {}", clean::line(note)));
        }
    }
    sheet.finish()
}

fn headline(entry: &EntryReport) -> String {
    let missing: Vec<&str> = entry.missing.iter().map(|i| i.title()).collect();
    match (missing.is_empty(), entry.wrong.is_empty()) {
        (true, true) => "Everything that the letter asks for is in the entry.".to_owned(),
        (true, false) => "Nothing is missing in the entry, but something does not fit.".to_owned(),
        (false, _) => format!("Missing in the entry: {}.", missing.join("; ")),
    }
}

/// For programs.
#[must_use]
pub fn json(entry: &EntryReport, report: &Report<'_>) -> String {
    #[derive(Serialize)]
    struct Root<A: Serialize> {
        schema: u32,
        checked: Vec<Checked>,
        missing: Vec<&'static str>,
        wrong: Vec<String>,
        statement: Option<String>,
        date: Option<String>,
        signer: Option<&'static str>,
        answer: Option<A>,
        due: Option<due::JsonDue>,
        notes: Vec<String>,
    }
    #[derive(Serialize)]
    struct Checked {
        item: &'static str,
        asked_by: String,
        found: Option<String>,
    }
    json::pretty(&Root {
        schema: 1,
        checked: entry
            .checked
            .iter()
            .map(|c| Checked {
                item: c.item.name(),
                asked_by: clean::line(&c.asked_by),
                found: c.found.as_deref().map(clean::line),
            })
            .collect(),
        missing: entry.missing.iter().map(|i| i.name()).collect(),
        wrong: entry.wrong.iter().map(|w| clean::line(w)).collect(),
        statement: entry.statement.as_deref().map(clean::line),
        date: entry.date.map(|d| d.to_string()),
        signer: entry.signer.map(crate::model::Kind::name),
        answer: json::first_answer(report),
        due: entry.due.as_ref().map(due::one),
        notes: entry.notes.iter().map(|n| clean::line(n)).collect(),
    })
}
