//! One page for the inspector: the clause that names him, the scope, the log entry that the letter
//! wants. To be printed and handed over before the work starts.

use super::terminal::sheet::{Sheet, bold};
use super::{CAUTION, Report, clean, first, words};
use crate::answer;
use crate::model::{Form, Inspection, Verdict};

/// The page.
#[must_use]
pub fn terminal(report: &Report<'_>, width: usize) -> String {
    let view = report.view();
    let mut sheet = Sheet::new(width);
    let first = first::FirstScreen::of(report);
    sheet.para(0, &bold("For the inspector, before the work starts"));
    sheet.para(0, &first.title);
    sheet.para(0, &format!("Drawn up for {}.", report.question.on));

    sheet.heading("Who may sign");
    for rule in &report.letter.inspectors {
        if rule.form == Form::None || rule.inspection == Inspection::Other {
            continue;
        }
        let place = view.place_words(rule.span);
        sheet.hanging(
            2,
            4,
            &format!(
                "Clause {} ({place}), {}: \"{}\"",
                view.id(rule.clause),
                words::inspection(rule.inspection),
                view.words(rule.span),
            ),
        );
    }
    let mut sure = false;
    for answer in report.answers.iter().filter(|a| a.answer == Verdict::Yes) {
        sure = true;
        sheet.hanging(
            2,
            4,
            &format!(
                "[ ] {}: look at {}.",
                words::capital(answer.holder.title()),
                clean::line(answer::card(answer.holder)),
            ),
        );
    }
    if !sure {
        sheet.para(
            2,
            "Nobody without doubt: see the whole report before anybody starts.",
        );
    }

    let mut scope = report
        .letter
        .clauses
        .iter()
        .enumerate()
        .filter(|(n, _)| has_topic(report, *n, "inspection-when"))
        .peekable();
    if scope.peek().is_some() {
        sheet.heading("When and how far");
        for (n, clause) in scope {
            sheet.hanging(
                2,
                4,
                &format!("Clause {}: {}", view.id(n), view.words(clause.body)),
            );
        }
    }

    let entry = answer::entry(
        report.letter,
        &report.text.content,
        "",
        report.question,
        report.patterns,
    );
    sheet.heading("What the log entry has to show");
    for checked in &entry.checked {
        sheet.hanging(
            2,
            6,
            &format!(
                "[ ] {} ({})",
                words::capital(super::entry::item_words(checked.item)),
                clean::line(&super::entry::asked_words(
                    &checked.asked_by,
                    report.patterns
                ))
            ),
        );
    }
    if let Some(statement) = &entry.statement {
        sheet.blank();
        sheet.para(2, "The statement, or a similar one:");
        sheet.para(4, &format!("\"{}\"", clean::line(statement)));
    }
    sheet.blank();
    sheet.para(0, CAUTION);
    sheet.finish()
}

fn has_topic(report: &Report<'_>, clause: usize, topic: &str) -> bool {
    report
        .letter
        .topics
        .get(clause)
        .is_some_and(|topics| topics.iter().any(|t| t == topic))
}
