//! A log entry held against the letter, as a paper for people: the same sentences as in a terminal.

use super::paper::{Paper, Part};
use super::{Report, entry, sheet, why};
use crate::answer::EntryReport;
use crate::model::Paper as Kind;

/// The paper. `report` carries the answer for the signer on the day of the inspection, where there
/// is one.
#[must_use]
pub fn paper(checked: &EntryReport, report: &Report<'_>) -> Paper {
    let plain = |words: &str| words.to_owned();
    let patterns = report.patterns;
    let mut paper = Paper::new(entry::headline(checked.verdict));
    if report.letter.paper == Kind::Clause {
        paper
            .parts
            .push(Part::Words(entry::CLAUSE_ALONE.to_owned()));
    }
    let parts = &mut paper.parts;
    parts.push(Part::Words(entry::good_through(checked, &plain)));
    let reasons = checked.reasons.iter();
    let reasons: Vec<String> = reasons.map(|r| entry::reason_words(r, patterns)).collect();
    if !reasons.is_empty() {
        parts.push(Part::List(reasons));
    }
    parts.push(Part::Words(entry::signer_words(checked, report, &plain)));
    paper.list(
        entry::ITEMS,
        entry::item_lines(checked, patterns, &plain, &plain),
    );
    if let Some(statement) = &checked.statement {
        paper.parts.push(Part::Heading(
            "The statement that the letter gives".to_owned(),
        ));
        paper.parts.push(Part::Quote(statement.clone()));
    }
    paper.list("Who may inspect, by the letter", sheet::inspectors(report));
    paper.list("Why", why_lines(report));
    paper.list("Notes", entry::notes(checked, patterns));
    paper
}

/// Both keys for the signer.
fn why_lines(report: &Report<'_>) -> Vec<String> {
    let mut lines = Vec::new();
    for answer in report.answers {
        let keys = why::keys(report, answer);
        lines.push(format!("The rule {}", keys.rule.cited()));
        let conditions = keys.rule.conditions.iter().chain(&keys.letter.conditions);
        lines.extend(
            conditions
                .filter(|c| !c.met)
                .map(|c| format!("{}: {}", super::words::capital(c.label), c.words)),
        );
        let mut said = format!("The letter {}", keys.letter.said);
        if let Some(clauses) = keys.letter.named(&report.view()) {
            said.push_str(&format!(" ({clauses})"));
        }
        lines.push(said);
    }
    lines
}
