//! The report as Markdown.

use super::first::FirstScreen;
use super::short::marked;
use super::terminal::{covered, grouped, hazards, steps};
use super::{CAUTION, Report, age, words};

pub(crate) use super::escape::escape;
use crate::model::{Answer, Kind};

/// The sentences of the letter that decide, as items of a list.
fn quotes(out: &mut String, report: &Report<'_>, first: &FirstScreen) {
    if report.letter.paper.is_limitations() && first.quoted.is_empty() {
        out.push_str("- No clause of the letter says who may do it\n");
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
        why(&mut out, report, answer);
    }
    readings(&mut out, report);
    list(&mut out, "Next steps", next_steps(report));
    for (title, steps) in super::situations::of(report) {
        list(&mut out, &title, steps);
    }
    let mut beware = report.hazards();
    beware.extend(
        hazards(report)
            .iter()
            .map(|(hazard, kinds)| for_kinds(report, hazard, kinds)),
    );
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
            out.push_str(&format!("* {}\n", escape(caution)));
        }
    }
}

/// What the letter says about who inspects, clause by clause.
fn clauses(out: &mut String, report: &Report<'_>) {
    let view = report.view();
    if !report.letter.inspectors.is_empty() {
        out.push_str("\n## What the letter says about who inspects\n");
        for rule in &report.letter.inspectors {
            out.push_str(&format!(
                "\nClause {} ({}), {}; {}:\n\n> {}\n",
                escape(&view.id(rule.clause)),
                escape(&view.place_words(rule.span)),
                words::inspection(rule.inspection),
                words::stance(rule),
                escape(&view.words(rule.span)),
            ));
        }
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

/// What to do next: for everybody, then for some.
fn next_steps(report: &Report<'_>) -> Vec<String> {
    let general = report.steps();
    let own = steps(report);
    let own = own
        .iter()
        .filter(|(s, _)| !general.iter().any(|g| g == s) && !covered(report, s));
    general
        .iter()
        .cloned()
        .chain(own.map(|(step, kinds)| for_kinds(report, step, kinds)))
        .collect()
}

/// Flaws of the letter, its age, the notes, and what of the law was not verified.
fn of_the_paper(out: &mut String, report: &Report<'_>) {
    let condition = &report.letter.findings;
    list(
        out,
        "Condition of the letter",
        condition
            .iter()
            .map(|d| match d.span {
                Some(span) => {
                    format!("{} ({})", report.defect(d), report.view().place_words(span))
                }
                None => report.defect(d),
            })
            .collect(),
    );
    if let Some(age) = report.age.filter(|a| age::known(a)) {
        list(out, "Where the wording comes from", age::with_notes(age));
    }
    list(
        out,
        "Notes",
        report.notes.iter().map(|n| report.note(n)).collect(),
    );
    let unverified = report.unverified();
    list(
        out,
        "Relied on, but not verified",
        unverified
            .iter()
            .map(|(id, s)| {
                format!(
                    "{}: {} ({id}, {})",
                    s.title,
                    words::grade(&s.grade),
                    s.checked
                )
            })
            .collect(),
    );
}

/// The sentence, with the kinds that it is meant for where it is not for all.
fn for_kinds(report: &Report<'_>, sentence: &str, kinds: &[Kind]) -> String {
    if kinds.len() >= report.answers.len() {
        return sentence.to_owned();
    }
    let kinds: Vec<&str> = kinds.iter().map(|k| words::kind_tag(*k)).collect();
    format!("{sentence} ({})", kinds.join("; "))
}

fn why(out: &mut String, report: &Report<'_>, answer: &Answer) {
    let view = report.view();
    out.push_str(&format!(
        "\n**{}**: {}\n\n* The rule {}.",
        escape(&words::capital(words::holder_title(answer))),
        words::verdict(answer.answer),
        words::rule(answer.rule.answer),
    ));
    if !answer.rule.citations.is_empty() {
        out.push_str(&format!(
            " {}",
            escape(&words::citations(&answer.rule.citations))
        ));
    }
    out.push('\n');
    let conditions = answer
        .rule
        .conditions
        .iter()
        .chain(&answer.letter.conditions);
    for condition in conditions {
        let met = match condition.met {
            Some(true) => "met",
            Some(false) => "not met",
            None => "unknown",
        };
        out.push_str(&format!("  * {met}: {}\n", escape(&condition.words)));
    }
    let ids = view.ids(&answer.letter.clauses);
    let clause = if ids.is_empty() {
        String::new()
    } else {
        format!(" (clause {})", escape(&ids.join(", ")))
    };
    out.push_str(&format!(
        "* The letter {}{}.\n",
        words::key_two(answer.letter.answer),
        clause
    ));
}

fn readings(out: &mut String, report: &Report<'_>) {
    let groups = grouped(report);
    if groups.is_empty() {
        return;
    }
    out.push_str("\n## How others read it\n");
    for (reading, kinds) in groups {
        let here: Vec<String> = kinds
            .iter()
            .map(|(kind, verdict)| format!("{}: {}", kind.title(), words::verdict(*verdict)))
            .collect();
        let later = if reading.later_than_day {
            " (later than the day asked about)"
        } else {
            ""
        };
        out.push_str(&format!(
            "\n**{}**, {}{later}: {}\n\n* For it: {}\n* Against it: {}\n* Strength: {}\n* Here: {}\n",
            escape(&words::capital(&reading.held_by)),
            escape(&reading.since),
            escape(&reading.says),
            escape(&reading.support),
            escape(&reading.objection),
            escape(&reading.strength),
            escape(&here.join("; ")),
        ));
    }
}
