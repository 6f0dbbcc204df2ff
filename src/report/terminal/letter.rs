//! The letter: clause by clause, its condition, its age, notes.

use super::sheet::{Sheet, bold, dim};
use crate::model::{Diff, Difference};
use crate::report::clauses::{self, Clause, Compared};
use crate::report::diff::change_lines;
use crate::report::{Report, age, asked, gaps, replaced};

pub(super) fn clauses(sheet: &mut Sheet, report: &Report<'_>) {
    let clauses = clauses::clauses(report);
    if clauses.is_empty() {
        return;
    }
    sheet.heading("The letter, clause by clause");
    if let Some(said) = clauses::compared_with(report) {
        sheet.para(2, &said);
    }
    let mut after_paragraph = false;
    for clause in &clauses {
        let plain = clause.is_plain();
        if plain {
            if !after_paragraph {
                sheet.blank();
            }
            let place = report.view().place_words(clause.clause.span);
            let body = report.view().words(clause.clause.body);
            sheet.hanging(2, 6, &format!("{} {body}", dim(&format!("{place}:"))));
        } else {
            one(sheet, report, clause);
        }
        after_paragraph = plain;
    }
}

fn one(sheet: &mut Sheet, report: &Report<'_>, clause: &Clause<'_>) {
    let level = usize::from(clause.clause.level.saturating_sub(1));
    let indent = 2 + 2 * level.min(4);
    sheet.blank();
    let about = dim(&clause.about.join("; "));
    sheet.hanging(
        indent,
        indent + 4,
        &format!("{} {about}", bold(&clause.label)),
    );
    sheet.para(indent + 4, &report.view().words(clause.clause.body));
    let reads_as = clause.reads_as();
    if !reads_as.is_empty() {
        sheet.hanging(indent + 4, indent + 7, &format!("-> {reads_as}"));
    }
    if let Some(compared) = &clause.compared {
        differences(sheet, indent + 4, compared);
    }
}

fn differences(sheet: &mut Sheet, indent: usize, compared: &Compared<'_>) {
    let Compared { wording, diff, .. } = compared;
    if diff.same {
        sheet.hanging(indent, indent + 3, &format!("== same words as {wording}"));
        return;
    }
    sheet.hanging(
        indent,
        indent + 3,
        &format!(
            "<> {:.0} % the words of {wording}: {}, {} of wording only",
            compared.percent,
            compared.matters(),
            diff.differences.len() - compared.material,
        ),
    );
    changes(sheet, indent + 3, diff, |d| d.material);
}

/// The differences that are wanted; those at one place together.
pub(crate) fn changes(
    sheet: &mut Sheet,
    indent: usize,
    diff: &Diff,
    wanted: impl Fn(&Difference) -> bool,
) {
    for line in change_lines(diff, wanted) {
        sheet.hanging(indent, indent + 2, &format!("* {line}"));
    }
}

pub(super) fn condition(sheet: &mut Sheet, report: &Report<'_>) {
    let replaced = replaced::lines(&report.view(), report.letter);
    if !replaced.is_empty() {
        sheet.heading("Replaced, and counted nowhere");
        for line in replaced {
            sheet.hanging(2, 4, &format!("- {line}"));
        }
    }
    let flaws = gaps::flaws(report);
    if flaws.is_empty() {
        return;
    }
    sheet.heading("Condition of the letter");
    for flaw in &flaws {
        let place = flaw.place.as_ref();
        let place = dim(&place.map_or_else(String::new, |p| format!(" ({p})")));
        let kind = dim(&format!("[{}]", flaw.kind));
        sheet.hanging(2, 4, &format!("- {}{place} {kind}", flaw.said));
    }
}

pub(crate) fn age(sheet: &mut Sheet, report: &Report<'_>) {
    let Some(age) = report.age.filter(|a| age::known(a)) else {
        return;
    };
    sheet.heading("Where the wording comes from");
    for sentence in age::sentences(age) {
        sheet.para(2, &sentence);
    }
    if let Some(misfit) = age::misfit(age) {
        sheet.hanging(2, 4, &format!("{} {misfit}", bold("!")));
    }
    let view = report.view();
    for feature in age::features(&view, age) {
        let words = view.words(feature.span);
        let place = dim(&format!("({})", feature.place));
        let line = format!("- \"{words}\" {place} {}", feature.points_to);
        sheet.hanging(2, 4, &line);
    }
}

pub(super) fn notes(sheet: &mut Sheet, report: &Report<'_>) {
    let notes = gaps::notes(report);
    if notes.is_empty() {
        return;
    }
    sheet.heading("Notes");
    for note in &notes {
        sheet.hanging(2, 4, &format!("- {note}"));
    }
}

/// With which program and knowledge the report was made, so that it can be made again.
pub(super) fn made_with(sheet: &mut Sheet, report: &Report<'_>) {
    sheet.blank();
    let said = format!(
        "{}; `whomay explain ID` shows a rule, a reading or a pattern in full.",
        asked::made_with(report.patterns)
    );
    sheet.para(0, &dim(&said));
}
