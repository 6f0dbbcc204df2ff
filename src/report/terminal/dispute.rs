//! What is in dispute, what to do next, what to beware of, what nobody has verified.

use super::sheet::{Sheet, bold, dim};
use crate::model::{Answer, Verdict};
use crate::report::readings::{self, Reading};
use crate::report::steps::{self, Said, Told, Unverified, covered};
use crate::report::{Report, clean, days, words};

pub(super) fn readings(sheet: &mut Sheet, report: &Report<'_>) {
    let all = readings::readings(report);
    if all.is_empty() {
        return;
    }
    sheet.heading("How others read it");
    sheet.para(2, readings::NO_RANK);
    for reading in &all {
        one(sheet, reading);
    }
}

fn one(sheet: &mut Sheet, reading: &Reading<'_>) {
    const COLUMN: usize = 16;
    let applied = reading.applied;
    sheet.blank();
    let since = if applied.since.is_empty() {
        String::new()
    } else {
        format!(", {}", clean::line(&applied.since))
    };
    let held_by = bold(&clean::line(&reading.held_by()));
    sheet.hanging(2, 4, &format!("{held_by}{since}"));
    if applied.later_than_day {
        sheet.para(4, &format!("({})", readings::LATER));
    }
    if let Some(branch) = &applied.applies_if {
        sheet.para(4, &format!("({})", clean::line(branch)));
    }
    if !applied.says.is_empty() {
        sheet.labelled(4, COLUMN, "says", &clean::line(&applied.says));
    }
    for (label, said) in reading.weighed() {
        sheet.labelled(4, COLUMN, label, &clean::line(said));
    }
    sheet.labelled(4, COLUMN, "here", &format!("{}.", reading.here()));
}

pub(super) fn next(sheet: &mut Sheet, report: &Report<'_>) {
    next_for(sheet, report, |_| true, |_| true);
}

/// The steps of the kinds that are wanted, after those that hold whoever signs.
fn next_for(
    sheet: &mut Sheet,
    report: &Report<'_>,
    wanted: impl Fn(&Answer) -> bool,
    shown: impl Fn(&str) -> bool,
) {
    let general = report.steps();
    let answers: Vec<&Answer> = report.answers.iter().filter(|a| wanted(a)).collect();
    if general.is_empty() && answers.iter().all(|a| a.next.is_empty()) {
        return;
    }
    sheet.heading("Next steps");
    let mut said: Vec<&str> = Vec::new();
    for step in &general {
        said.push(step);
        step_line(sheet, said.len(), step);
    }
    for answer in answers {
        let (new, known): (Vec<&String>, Vec<&String>) = answer
            .next
            .iter()
            .filter(|step| !covered(report, step) && shown(step))
            .partition(|step| !said.contains(&step.as_str()));
        if new.is_empty() {
            continue;
        }
        sheet.blank();
        let mut heading = bold(&words::capital(words::holder_title(answer)));
        let mut above: Vec<usize> = known
            .iter()
            .filter_map(|step| said.iter().position(|s| s == step))
            .map(|n| n + 1)
            .collect();
        above.sort_unstable();
        let above: Vec<String> = above.iter().map(ToString::to_string).collect();
        if !above.is_empty() {
            heading.push_str(&format!(" - see {}, and:", words::list(&above, "and")));
        }
        sheet.hanging(2, 4, &heading);
        for step in new {
            said.push(step);
            step_line(sheet, said.len(), step);
        }
    }
}

/// The steps that hold whoever signs; those of the kind that was asked about where it is one.
pub(super) fn next_shortly(sheet: &mut Sheet, report: &Report<'_>) {
    let general = report.steps();
    if general.is_empty() {
        let alone = report.answers.len() == 1;
        // How to come by a certificate is told in the whole report.
        return next_for(
            sheet,
            report,
            |a| alone || a.answer != Verdict::No,
            |step| alone || !crate::answer::tells_how_to_hold(step, report.patterns),
        );
    }
    sheet.heading("Next steps");
    // Who can sign without doubt and what ends a dispute stand on the first screen.
    let said = |step: &&String| step.as_str() == crate::answer::ENDS_DISPUTE;
    let steps = general.iter().skip(1).filter(|step| !said(step));
    for (n, step) in steps.enumerate() {
        step_line(sheet, n + 1, step);
    }
}

fn step_line(sheet: &mut Sheet, number: usize, step: &str) {
    sheet.labelled(2, 6, &format!("{number}."), &days::told(&clean::line(step)));
}

/// Situations that fit the letter and the facts.
pub(super) fn situations(sheet: &mut Sheet, report: &Report<'_>) {
    for (title, steps) in crate::report::situations::of(report) {
        sheet.heading(&clean::line(&title));
        for step in &steps {
            sheet.hanging(2, 4, &format!("- {}", days::told(&clean::line(step))));
        }
    }
}

/// What bears on this letter, at most three, before anything else.
pub(super) fn cautions(sheet: &mut Sheet, cautions: &[String]) {
    if cautions.is_empty() {
        return;
    }
    sheet.heading("Beware with this letter");
    for caution in cautions {
        sheet.hanging(2, 4, &format!("- {}", days::told(&clean::line(caution))));
    }
}

pub(super) fn beware(sheet: &mut Sheet, report: &Report<'_>) {
    let Told { general, own } = steps::beware(report);
    if general.is_empty() && own.is_empty() {
        return;
    }
    sheet.heading("Beware in any case");
    for hazard in &general {
        sheet.hanging(2, 4, &format!("- {}", days::told(&clean::line(hazard))));
    }
    for Said { sentence, only } in own {
        let only = only.map_or_else(String::new, |kinds| {
            format!(" {}", dim(&format!("[{kinds}]")))
        });
        sheet.hanging(
            2,
            4,
            &format!("- {}{only}", days::told(&clean::line(sentence))),
        );
    }
}

pub(super) fn unverified(sheet: &mut Sheet, report: &Report<'_>) {
    if report.answers.is_empty() {
        return;
    }
    sheet.heading("Relied on, but not verified");
    sheet.para(2, steps::UNVERIFIED);
    for Unverified { said, id, checked } in steps::unverified(report) {
        let behind = dim(&format!("({id}, {})", days::day(checked)));
        sheet.hanging(
            2,
            4,
            &format!("- {} {behind}", days::told(&clean::line(&said))),
        );
    }
}
