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
    let signer = entry::signer_words(checked, report, &plain);
    parts.push(Part::Words(without_options(&signer)));
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

/// The sentence without what is typed in a terminal: "(--holder)", "; say it with --holder".
fn without_options(said: &str) -> String {
    let mut out = said.to_owned();
    for (open, close) in [
        ("; say it (--", ")"),
        (" (--", ")"),
        ("; say it with --", "."),
    ] {
        while let Some(at) = out.find(open) {
            let behind = out.get(at..).unwrap_or_default();
            let end = behind.find(close).map_or(out.len(), |n| at + n);
            let end = if close == ")" { end + 1 } else { end };
            out.replace_range(at..end.min(out.len()), "");
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::without_options;

    #[test]
    fn nothing_to_type_stands_on_paper() {
        for (said, left) in [
            (
                "Which ratings the mechanic holds is not told (--ratings).",
                "Which ratings the mechanic holds is not told.",
            ),
            (
                "\"AMT\" does not tell which certificate; say it (--holder).",
                "\"AMT\" does not tell which certificate.",
            ),
            (
                "It was not found in the entry; say it with --holder.",
                "It was not found in the entry.",
            ),
            (
                "Missing: the signature (clause 9).",
                "Missing: the signature (clause 9).",
            ),
        ] {
            assert_eq!(without_options(said), left);
        }
    }
}
