//! The letter beside the reference wordings, beside another letter, beside what somebody says
//! about it.

use serde::Serialize;

use super::terminal::sheet::{Sheet, bold, dim};
use super::terminal::{age, changes, matters};
use super::{CAUTION, Report, View, clean, json, letters, words};
use crate::model::{ClaimStatement, ClaimVerdict, ClauseComparison, Comparison, Departure, Op};

/// For people: a summary, then every clause that is not word for word a wording that is held.
#[must_use]
pub fn terminal(report: &Report<'_>, width: usize, side_by_side: bool) -> String {
    let mut sheet = Sheet::new(width);
    let Some(comparison) = report.comparison else {
        return sheet.finish();
    };
    summary(&mut sheet, comparison);
    for clause in &comparison.clauses {
        one(&mut sheet, report, clause, side_by_side);
    }
    age(&mut sheet, report);
    sheet.finish()
}

fn summary(sheet: &mut Sheet, comparison: &Comparison) {
    let of = |wanted: &dyn Fn(&ClauseComparison) -> bool| {
        comparison.clauses.iter().filter(|c| wanted(c)).count()
    };
    let same = of(&|c| c.diff.as_ref().is_some_and(|d| d.same));
    let weighty = of(&|c| {
        c.diff
            .as_ref()
            .is_some_and(|d| !d.same && d.differences.iter().any(|d| d.material))
    });
    let alone = of(&|c| c.diff.is_none());
    let light = comparison.clauses.len() - same - weighty - alone;
    match &comparison.wording {
        Some(wording) => sheet.para(
            0,
            &bold(&format!("Nearest wording: {}", clean::line(wording))),
        ),
        None => sheet.para(0, &bold("No wording is near")),
    }
    if let Some(note) = &comparison.note {
        sheet.para(0, &clean::line(note));
    }
    sheet.para(
        0,
        &format!(
            "Of {} clauses {same} have the same words, {weighty} differ in a way that matters, \
             {light} in wording only, {alone} have no wording beside them.",
            comparison.clauses.len()
        ),
    );
    sheet.para(
        0,
        "A difference that matters changes who, what, when or how many; it is no fault by itself.",
    );
    sheet.para(0, &dim(CAUTION));
}

/// Below this a clause has other words throughout: single changes would say nothing.
const OTHER_WORDS: f64 = 0.5;

fn one(sheet: &mut Sheet, report: &Report<'_>, comparison: &ClauseComparison, side_by_side: bool) {
    let view = report.view();
    let (Some(reference), Some(diff)) = (&comparison.reference, &comparison.diff) else {
        return;
    };
    if diff.same {
        return;
    }
    let Some(clause) = report.letter.clauses.get(comparison.clause) else {
        return;
    };
    let material = diff.differences.iter().filter(|d| d.material).count();
    sheet.blank();
    sheet.hanging(
        0,
        4,
        &format!(
            "{} {} {:.0} % like {}: {}",
            bold(&format!("Clause {}", view.id(comparison.clause))),
            dim(&format!("({})", view.place_words(clause.span))),
            (comparison.similarity * 100.0).floor(),
            clean::line(reference),
            matters(material),
        ),
    );
    if side_by_side {
        letters::both(sheet, diff, true);
        changes(sheet, 4, diff, |d| d.material);
    } else if comparison.similarity < OTHER_WORDS {
        let text = |old| {
            let ops = diff.ops.iter().filter_map(|op| match op {
                Op::Keep(words) => Some(words),
                Op::Delete(words) => Some(words).filter(|_| old),
                Op::Insert(words) => Some(words).filter(|_| !old),
            });
            clean::line(&ops.map(String::as_str).collect::<String>())
        };
        sheet.hanging(4, 6, &format!("letter:  {}", text(false)));
        sheet.hanging(4, 6, &format!("wording: {}", text(true)));
        let mut kinds: Vec<&str> = Vec::new();
        for difference in diff.differences.iter().filter(|d| d.material) {
            let kind = words::difference(difference.kind);
            if !kinds.contains(&kind) {
                kinds.push(kind);
            }
        }
        if !kinds.is_empty() {
            sheet.hanging(
                4,
                6,
                &format!("* other words; look at: {}", kinds.join(", ")),
            );
        }
    } else {
        changes(sheet, 4, diff, |_| true);
    }
}

/// What somebody says about the letter, held against it, for people.
#[must_use]
pub fn claim(view: View<'_>, statements: &[ClaimStatement], width: usize) -> String {
    let mut sheet = Sheet::new(width);
    for statement in statements {
        sheet.blank();
        sheet.para(0, &format!("\"{}\"", clean::line(&statement.text)));
        let said = match statement.verdict {
            ClaimVerdict::Fits => "fits the letter",
            ClaimVerdict::Departs => "is not what the letter says",
            ClaimVerdict::NoClause => "no clause of the letter speaks of it",
        };
        sheet.hanging(2, 4, &format!("-> {}", bold(said)));
        if let Some(clause) = statement.clause {
            let quote = statement.span.map_or_else(String::new, |span| {
                format!(
                    " {}: \"{}\"",
                    dim(&format!("({})", view.place_words(span))),
                    view.words(span)
                )
            });
            sheet.hanging(2, 4, &format!("clause {}{quote}", view.id(clause)));
        }
        for finding in &statement.findings {
            let departure = match finding.departure {
                Departure::Adds => "adds",
                Departure::Drops => "leaves out",
                Departure::Turns => "turns",
            };
            sheet.hanging(
                2,
                4,
                &format!(
                    "* {departure} ({}): {}",
                    words::difference(finding.kind),
                    clean::line(&finding.message)
                ),
            );
        }
    }
    if statements.is_empty() {
        sheet.para(
            0,
            "The claim says nothing that could be held against the letter.",
        );
    }
    sheet.blank();
    sheet.para(0, &dim(CAUTION));
    sheet.finish()
}

/// The same for programs.
#[must_use]
pub fn claim_json(view: View<'_>, statements: &[ClaimStatement]) -> String {
    #[derive(Serialize)]
    struct Root {
        schema: u32,
        statements: Vec<Statement>,
    }
    #[derive(Serialize)]
    struct Statement {
        text: String,
        verdict: &'static str,
        clause: Option<String>,
        words: Option<String>,
        similarity: f64,
        findings: Vec<Finding>,
    }
    #[derive(Serialize)]
    struct Finding {
        departure: &'static str,
        kind: &'static str,
        message: String,
        words: Option<String>,
    }
    json::pretty(&Root {
        schema: 1,
        statements: statements
            .iter()
            .map(|s| Statement {
                text: clean::line(&s.text),
                verdict: s.verdict.name(),
                clause: s.clause.map(|c| view.id(c)),
                words: s.span.map(|span| view.words(span)),
                similarity: json::rounded(s.similarity),
                findings: s
                    .findings
                    .iter()
                    .map(|f| Finding {
                        departure: f.departure.name(),
                        kind: f.kind.name(),
                        message: clean::line(&f.message),
                        words: f.span.map(|span| view.words(span)),
                    })
                    .collect(),
            })
            .collect(),
    })
}
