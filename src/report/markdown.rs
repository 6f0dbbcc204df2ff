//! The report as Markdown.

use super::first::{FirstScreen, NO_CLAUSE};
use super::short::marked;
use super::steps::{self, Told};
use super::{CAUTION, Report, age, days, gaps, readings, why, words};

pub(crate) use super::escape::escape;
use crate::model::Answer;

/// The sentences of the letter that decide, as items of a list.
fn quotes(out: &mut String, report: &Report<'_>, first: &FirstScreen) {
    if report.letter.paper.is_limitations() && first.quoted.is_empty() {
        out.push_str(&format!("- {NO_CLAUSE}\n"));
    }
    for quoted in &first.quoted {
        out.push_str(&format!(
            "- Clause {} ({}) {}: \"{}\"\n",
            escape(&quoted.clause),
            escape(&quoted.place),
            quoted.said,
            marked(&quoted.words),
        ));
    }
    if first.more > 0 {
        out.push_str(&format!("- {} more clauses speak of it\n", first.more));
    }
}

/// Everything that the terminal report says of the question.
#[must_use]
pub fn long(report: &Report<'_>) -> String {
    let first = FirstScreen::of(report);
    let mut out = format!(
        "# {}\n\n**{}**\n\n{CAUTION}\n\n{}\n\n",
        escape(&first.question),
        escape(&first.lead),
        escape(&words::sentence(&first.title)),
    );
    quotes(&mut out, report, &first);
    answers(&mut out, &first);
    clauses(&mut out, report);
    out.push_str("\n## Why\n");
    for answer in report.answers {
        two_keys(&mut out, report, answer);
    }
    readings(&mut out, report);
    list(&mut out, "Next steps", told(steps::next(report)));
    for (title, steps) in super::situations::of(report) {
        list(&mut out, &title, steps);
    }
    let beware = told(steps::beware(report));
    list(&mut out, "Beware in any case", beware);
    list(
        &mut out,
        "Replaced, and counted nowhere",
        super::replaced::lines(&report.view(), report.letter),
    );
    of_the_paper(&mut out, report);
    out
}

/// The answers of the first screen, what to do, the positions, and the cautions.
fn answers(out: &mut String, first: &FirstScreen) {
    out.push_str("\n| who | answer | clause |\n|---|---|---|\n");
    for row in &first.rows {
        let because = if row.because.is_empty() {
            String::new()
        } else {
            format!(": {}", escape(&row.because))
        };
        out.push_str(&format!(
            "| {} | **{}**{} | {} |\n",
            escape(&row.name),
            words::verdict(row.verdict),
            because,
            escape(&row.clause),
        ));
    }
    out.push('\n');
    for (label, sentence) in &first.todo {
        out.push_str(&format!("* **{label}**: {}\n", escape(sentence)));
    }
    for position in &first.positions {
        out.push_str(&format!("* {}\n", escape(position)));
    }
    if !first.cautions.is_empty() {
        out.push_str("\n## Beware with this letter\n\n");
        for caution in &first.cautions {
            out.push_str(&format!("* {}\n", escape(&days::told(caution))));
        }
    }
}

/// What the letter says about who inspects, clause by clause.
fn clauses(out: &mut String, report: &Report<'_>) {
    let view = report.view();
    let clauses = why::clauses(report);
    if !clauses.is_empty() {
        out.push_str("\n## What the letter says about who inspects\n");
    }
    for clause in clauses {
        out.push_str(&format!(
            "\nClause {} ({}), {}; {}:\n\n> {}\n",
            escape(&view.id(clause.rule.clause)),
            escape(&clause.place),
            clause.about,
            clause.stance,
            escape(&view.words(clause.rule.span)),
        ));
    }
}

/// Items under a heading, where there are any.
fn list(out: &mut String, heading: &str, items: Vec<String>) {
    if !items.is_empty() {
        out.push_str(&format!("\n## {heading}\n\n"));
        for item in items {
            out.push_str(&format!("* {}\n", escape(&item)));
        }
    }
}

/// Sentences for everybody, then those for some with the kinds that they are meant for.
fn told(told: Told<'_>) -> Vec<String> {
    let own = told.own.iter().map(|said| match &said.only {
        Some(kinds) => format!("{} ({kinds})", said.sentence),
        None => said.sentence.to_owned(),
    });
    let all = told.general.iter().cloned().chain(own);
    all.map(|said| days::told(&said)).collect()
}

/// Flaws of the letter, its age, the notes, and what of the law was not verified.
fn of_the_paper(out: &mut String, report: &Report<'_>) {
    let flaws = gaps::flaws(report).into_iter();
    let flaws = flaws.map(|flaw| match &flaw.place {
        Some(place) => format!("{} ({place})", flaw.said),
        None => flaw.said,
    });
    list(out, "Condition of the letter", flaws.collect());
    if let Some(age) = report.age.filter(|a| age::known(a)) {
        list(out, "Where the wording comes from", age::with_notes(age));
    }
    list(out, "Notes", gaps::notes(report));
    list(
        out,
        "Relied on, but not verified",
        steps::unverified(report)
            .iter()
            .map(|row| {
                format!(
                    "{} ({}, {})",
                    days::told(&row.said),
                    row.id,
                    days::day(row.checked)
                )
            })
            .collect(),
    );
}

fn two_keys(out: &mut String, report: &Report<'_>, answer: &Answer) {
    let keys = why::keys(report, answer);
    let (rule, letter) = (&keys.rule, &keys.letter);
    out.push_str(&format!(
        "\n**{}**: {}\n\n* The rule {}.",
        escape(&keys.name),
        keys.verdict,
        rule.said,
    ));
    if !rule.citations.is_empty() {
        out.push_str(&format!(
            " {}",
            escape(&days::told(&words::citations(rule.citations)))
        ));
    }
    out.push('\n');
    for condition in rule.conditions.iter().chain(&letter.conditions) {
        let said = escape(&condition.words);
        out.push_str(&format!("  * {}: {said}\n", condition.label));
    }
    let clauses = letter.named(&report.view());
    let clauses = clauses.map_or_else(String::new, |c| format!(" ({})", escape(&c)));
    out.push_str(&format!("* The letter {}{clauses}.\n", letter.said));
}

fn readings(out: &mut String, report: &Report<'_>) {
    let all = readings::readings(report);
    if all.is_empty() {
        return;
    }
    out.push_str("\n## How others read it\n");
    for reading in &all {
        let applied = reading.applied;
        let later = if applied.later_than_day {
            format!(" ({})", readings::LATER)
        } else {
            String::new()
        };
        out.push_str(&format!(
            "\n**{}**, {}{later}: {}\n\n",
            escape(&reading.held_by()),
            escape(&days::told(&applied.since)),
            escape(&applied.says),
        ));
        for (label, said) in reading.weighed() {
            let label = words::capital(label);
            out.push_str(&format!("* {label}: {}\n", escape(said)));
        }
        out.push_str(&format!("* Here: {}\n", escape(&reading.here())));
    }
}
