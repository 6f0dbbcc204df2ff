//! The report in short: each part on few lines, for what is read first. What is left out here stands
//! in the full form.

use super::sheet::{Sheet, bold, dim};
use crate::model::{Answer, InspectorRule};
use crate::report::clauses::{self, Clause, Compared};
use crate::report::diff::change_lines;
use crate::report::first::FirstScreen;
use crate::report::{Report, age, clean, days, readings, why, words};

/// Differences that are shown of one clause.
const CHANGES: usize = 2;
/// Column in which the text beside a label starts.
const COLUMN: usize = 12;

/// The clauses on who inspects that the first screen does not quote.
pub(super) fn inspectors(sheet: &mut Sheet, report: &Report<'_>) {
    let quoted = FirstScreen::of(report).quoted;
    // Of words that are not clear that is said once: which inspection they speak of is in doubt, too.
    let told = |rule: &InspectorRule| {
        let mut unclear = quoted
            .iter()
            .filter_map(|q| report.letter.inspectors.get(q.rule));
        rule.doubt.is_some() && unclear.any(|r| r.doubt.is_some() && r.span.overlaps(rule.span))
    };
    let clauses = why::clauses(report).into_iter().enumerate();
    let others: Vec<why::Clause<'_>> = clauses
        .filter(|(n, clause)| !quoted.iter().any(|q| q.rule == *n) && !told(clause.rule))
        .map(|(_, clause)| clause)
        .collect();
    if others.is_empty() {
        return;
    }
    let view = report.view();
    sheet.heading("What else the letter says about who inspects");
    for clause in others {
        sheet.hanging(
            2,
            4,
            &format!(
                "{} {}: {}; {}: \"{}\"",
                bold(&format!("Clause {}", view.id(clause.rule.clause))),
                dim(&format!("({})", clause.place)),
                clause.about,
                clause.stance,
                view.words(clause.rule.span),
            ),
        );
    }
}

/// The two keys of every kind: the rule, what keeps it open, the letter.
pub(super) fn keys(sheet: &mut Sheet, report: &Report<'_>) {
    if report.answers.is_empty() {
        return;
    }
    sheet.heading("Why: does a rule give the right, and does the letter let the person in?");
    for answer in report.answers {
        key(sheet, report, answer);
    }
}

fn key(sheet: &mut Sheet, report: &Report<'_>, answer: &Answer) {
    let why::Keys {
        name,
        verdict,
        because,
        rule,
        letter,
    } = why::keys(report, answer);
    let mut said = format!("{}: {verdict}", bold(&name));
    if !because.is_empty() {
        said.push_str(&format!(" ({because})"));
    }
    sheet.hanging(2, 4, &said);
    sheet.labelled(4, COLUMN, "rule", &clean::line(&rule.cited()));
    let conditions = rule.conditions.iter().chain(&letter.conditions);
    for condition in conditions.filter(|c| !c.met) {
        sheet.labelled(4, COLUMN, condition.label, &clean::line(&condition.words));
    }
    let mut said = letter.said.to_owned();
    if let Some(clauses) = letter.named(&report.view()) {
        said.push_str(&format!(" ({clauses})"));
    }
    sheet.labelled(4, COLUMN, "letter", &said);
}

/// The readings of the dispute, without what speaks for and against them.
pub(super) fn readings(sheet: &mut Sheet, report: &Report<'_>) {
    let all = readings::readings(report);
    if all.is_empty() {
        return;
    }
    sheet.heading("How others read it, in no order of rank");
    for reading in &all {
        let applied = reading.applied;
        let since = if applied.since.is_empty() {
            String::new()
        } else {
            format!(", {}", days::told(&clean::line(&applied.since)))
        };
        let later = if applied.later_than_day {
            format!(" ({})", readings::LATER)
        } else {
            String::new()
        };
        sheet.hanging(
            2,
            4,
            &format!(
                "- {}{since}{later}: {} {}",
                bold(&clean::line(&reading.held_by())),
                words::first_sentence(&clean::line(&applied.says)),
                dim(&format!("[{}]", reading.here())),
            ),
        );
    }
}

/// What to beware of whoever signs.
pub(super) fn beware(sheet: &mut Sheet, report: &Report<'_>) {
    let general = report.hazards();
    if general.is_empty() {
        return;
    }
    sheet.heading("Beware in any case");
    for hazard in &general {
        sheet.hanging(2, 4, &format!("- {}", days::told(&clean::line(hazard))));
    }
}

/// Where the wording comes from, without the evidence.
pub(super) fn origin(sheet: &mut Sheet, report: &Report<'_>) {
    let Some(age) = report.age.filter(|a| age::known(a)) else {
        return;
    };
    sheet.heading("Where the wording comes from");
    for sentence in age::with_notes(age) {
        sheet.para(2, &clean::line(&sentence));
    }
}

/// The letter: a line for a clause that is as its wording, some more for one that is not.
pub(super) fn clauses(sheet: &mut Sheet, report: &Report<'_>) {
    let clauses = clauses::clauses(report);
    if clauses.is_empty() {
        return;
    }
    sheet.heading("The letter, clause by clause");
    if let Some(wording) = report.comparison.and_then(|c| c.wording.as_ref()) {
        let nearest = clean::line(wording);
        sheet.para(
            2,
            &format!(
                "= same words as the wording held, ~ worded a little otherwise, <> other in what \
                 matters, no mark: near no wording. Nearest: {nearest}."
            ),
        );
    }
    let (plain, told): (Vec<&Clause<'_>>, Vec<&Clause<'_>>) =
        clauses.iter().partition(|c| c.is_plain());
    for clause in told {
        one(sheet, report, clause);
    }
    let said = match plain.len() {
        0 => return,
        1 => "A paragraph without a number is".to_owned(),
        n => format!("{n} paragraphs without a number are"),
    };
    sheet.para(2, &format!("{said} left out here."));
}

fn one(sheet: &mut Sheet, report: &Report<'_>, clause: &Clause<'_>) {
    let does = clause.does();
    let does = if does.is_empty() {
        String::new()
    } else {
        format!(" {}:", does.join(", "))
    };
    let page = report.text.place(clause.clause.span.start).page;
    let body = report.view().words(clause.clause.body);
    let line = format!("{} p. {page},{does} {body}", clause.label);
    let Some(compared) = &clause.compared else {
        return sheet.cut_line(2, &line, "");
    };
    let Compared { short, diff, .. } = compared;
    if diff.same {
        return sheet.cut_line(2, &line, &format!(" = {short}"));
    }
    if compared.material == 0 {
        return sheet.cut_line(2, &line, &format!(" ~ {short}"));
    }
    sheet.cut_line(2, &line, "");
    let said = format!("<> not quite {short}: {}", compared.matters());
    sheet.cut_line(6, &said, "");
    let lines = change_lines(diff, |d| d.material);
    for line in lines.iter().take(CHANGES) {
        sheet.cut_line(6, &format!("* {line}"), "");
    }
    if lines.len() > CHANGES {
        sheet.cut_line(6, &format!("* and {} more", lines.len() - CHANGES), "");
    }
}
