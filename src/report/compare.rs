//! The letter beside the reference wordings.

use super::terminal::sheet::{Sheet, bold, dim};
use super::terminal::{age, changes, matters};
use super::{CAUTION, Report, clean};
use crate::model::{ClauseComparison, Comparison};

/// For people: a summary, then every clause that is not word for word a wording that is held.
#[must_use]
pub fn terminal(report: &Report<'_>, width: usize) -> String {
    let mut sheet = Sheet::new(width);
    let Some(comparison) = report.comparison else {
        return sheet.finish();
    };
    summary(&mut sheet, comparison);
    for clause in &comparison.clauses {
        one(&mut sheet, report, clause);
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

fn one(sheet: &mut Sheet, report: &Report<'_>, comparison: &ClauseComparison) {
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
    changes(sheet, 4, diff, |_| true);
}
