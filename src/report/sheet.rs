//! One page for the inspector, to be printed and handed over before the work starts: who may sign,
//! every clause that bears on the condition, what to look at, the entry ready to sign, and the
//! entry for an inspection that failed.

use super::paper::{Paper, Part};
use super::{Report, entry, first, words};
use crate::answer::{self, Asked, EntryReport};
use crate::model::{Form, Inspection, Verdict};
use crate::patterns::cited;

/// The page.
#[must_use]
pub fn paper(report: &Report<'_>) -> Paper {
    let first = first::FirstScreen::of(report);
    let mut paper = Paper::new("For the inspector, before the work starts");
    paper.compact = true;
    paper.parts.push(Part::Words(first.title));
    paper
        .parts
        .push(Part::Words(format!("Drawn up for {}.", report.question.on)));
    who(&mut paper, report);
    paper.list("Beware with this letter", report.cautions());
    scope(&mut paper, report);
    let asked = answer::entry(
        report.letter,
        &report.text.content,
        "",
        report.question,
        report.patterns,
    );
    record(&mut paper, report, &asked);
    failed(&mut paper, report, &asked);
    paper
}

/// The clauses that say who inspects, word for word.
pub(super) fn inspectors(report: &Report<'_>) -> Vec<String> {
    let view = report.view();
    report
        .letter
        .inspectors
        .iter()
        .filter(|r| r.form != Form::None && r.inspection != Inspection::Other)
        .map(|rule| {
            format!(
                "Clause {} ({}), {}: \"{}\"",
                view.id(rule.clause),
                view.place_words(rule.span),
                words::inspection(rule.inspection),
                view.words(rule.span),
            )
        })
        .collect()
}

fn who(paper: &mut Paper, report: &Report<'_>) {
    paper.parts.push(Part::Heading("Who may sign".to_owned()));
    paper.parts.push(Part::List(inspectors(report)));
    let sure: Vec<String> = report
        .answers
        .iter()
        .filter(|a| a.answer == Verdict::Yes)
        .map(|a| {
            format!(
                "{}: look at {}.",
                words::capital(words::holder_title(a)),
                answer::card(a, report.patterns)
            )
        })
        .collect();
    paper.parts.push(if sure.is_empty() {
        let whom = if report.question.holder.is_some() {
            "Whether the person asked about may is not without doubt"
        } else {
            "Nobody without doubt"
        };
        Part::Words(format!(
            "{whom}: see the whole report before anybody starts."
        ))
    } else {
        Part::Ticks(sure)
    });
}

/// Topics whose clauses bear on the condition of the aircraft.
const CONDITION: [&str; 4] = [
    "inspection-when",
    "placard-marking",
    "equipment",
    "weight-cg",
];

/// Words by which another clause bears on it.
const BEARS: [&str; 8] = [
    "inspection",
    "inspected",
    "placard",
    "life limit",
    "life-limit",
    "must be replaced",
    "maintained",
    "securely mounted",
];

fn scope(paper: &mut Paper, report: &Report<'_>) {
    let view = report.view();
    let clauses: Vec<String> = report
        .letter
        .clauses
        .iter()
        .enumerate()
        .filter(|(n, clause)| {
            let topics = report.letter.topics.get(*n);
            let is = |topic: &str| topics.is_some_and(|t| t.iter().any(|t| t == topic));
            let body = view.words(clause.body).to_lowercase();
            // A letterhead ("Manufacturing Inspection District Office") lays nothing down.
            let norm = report.letter.norms.iter().any(|m| m.clause == *n);
            CONDITION.iter().any(|t| is(t))
                || norm
                    && !is("inspection-who")
                    && !is("inspection-record")
                    && BEARS.iter().any(|w| body.contains(w))
        })
        .map(|(n, clause)| format!("Clause {}: {}", view.id(n), view.words(clause.body)))
        .collect();
    if !clauses.is_empty() {
        paper.parts.push(Part::Heading(
            "What the letter asks of the aircraft, whole clauses".to_owned(),
        ));
        paper.parts.push(Part::Ticks(clauses));
    }
    let Some(groups) = report.patterns.statement.get("appendix-d") else {
        return;
    };
    paper.parts.push(Part::Heading(
        "The groups of appendix D to part 43".to_owned(),
    ));
    let groups_listed: &str = &groups.file.says;
    let list = groups_listed.split("; ").map(str::to_owned);
    paper.parts.push(Part::Ticks(list.collect()));
    paper.parts.push(Part::Words(format!(
        "{}. By its own words it is for annual and 100-hour inspections; a letter borrows its scope and detail.",
        cited(&groups.file.source)
    )));
}

fn record(paper: &mut Paper, report: &Report<'_>, asked: &EntryReport) {
    paper
        .parts
        .push(Part::Heading("What the log entry has to show".to_owned()));
    let mut rules: Vec<String> = Vec::new();
    let items = asked
        .checked
        .iter()
        .map(|checked| {
            let by = match &checked.asked_by {
                Asked::Clause(id) => format!("clause {id}"),
                Asked::Statement(name) => {
                    let rule = report.patterns.statement.say(name, &[]);
                    if !rules.contains(&rule) {
                        rules.push(rule);
                    }
                    "rule".to_owned()
                }
            };
            format!("{} ({by})", words::capital(entry::item_words(checked.item)))
        })
        .collect();
    paper.parts.push(Part::Ticks(items));
    for rule in rules {
        paper.parts.push(Part::Words(format!("Rule: {rule}")));
    }
    paper
        .parts
        .push(Part::Lower("The entry, ready to sign".to_owned()));
    paper.parts.push(Part::Quote(head(report)));
    paper.parts.push(Part::Quote(statement(asked)));
    if part_43(asked) {
        paper.parts.push(Part::Quote(
            "I certify that this aircraft has been inspected in accordance with a condition inspection and was determined to be in airworthy condition."
                .to_owned(),
        ));
    }
    paper.parts.push(Part::Quote(FOOT.to_owned()));
}

const FOOT: &str =
    "Name: ____  Signature: ____  Certificate number: ____  Kind of certificate and ratings: ____";

/// Day, aircraft, hours.
fn head(report: &Report<'_>) -> String {
    let open = || "____".to_owned();
    let text = &report.text.content;
    let mark = answer::mark_of(text, report.patterns).unwrap_or_else(open);
    let serial = answer::serial_of(text, report.patterns).unwrap_or_else(open);
    format!(
        "Date: ____  Aircraft: {mark}  Serial number: {serial}  Total time in service: ____ hours"
    )
}

/// The letter's own statement with its blanks opened; without one, the usual words.
fn statement(asked: &EntryReport) -> String {
    let Some(own) = &asked.statement else {
        return "I certify that this aircraft has been inspected on ____ in accordance with the scope and detail of appendix D to part 43, and was found to be in a condition for safe operation. (The letter gives no statement of its own.)".to_owned();
    };
    let mut out = String::new();
    let mut rest = own.as_str();
    while let Some((before, after)) = rest.split_once('[') {
        out.push_str(before);
        out.push_str("____");
        rest = after.split_once(']').map_or("", |(_, after)| after);
    }
    out.push_str(rest);
    out
}

fn part_43(asked: &EntryReport) -> bool {
    asked
        .checked
        .iter()
        .any(|c| c.asked_by == Asked::Statement("records-part-43"))
}

fn failed(paper: &mut Paper, report: &Report<'_>, asked: &EntryReport) {
    let say = |name: &str| report.patterns.statement.say(name, &[]);
    paper
        .parts
        .push(Part::Heading("If the aircraft does not pass".to_owned()));
    paper.parts.push(Part::Words(if part_43(asked) {
        say("sheet-failed-part-43")
    } else {
        say("entry-failed-letter")
    }));
    paper.parts.push(Part::Quote(head(report)));
    paper.parts.push(Part::Quote(
        "I certify that this aircraft has been inspected on ____ in accordance with a condition inspection and a list of discrepancies and unairworthy items dated ____ has been provided for the aircraft owner or operator."
            .to_owned(),
    ));
    paper.parts.push(Part::Quote(FOOT.to_owned()));
    paper.parts.push(Part::Lower(
        "List of discrepancies, signed and dated".to_owned(),
    ));
    paper.parts.push(Part::Ticks(vec![
        "____".to_owned(),
        "____".to_owned(),
        "____".to_owned(),
    ]));
}
