//! What is in dispute, what to do next, what to beware of, what nobody has verified.

use super::sheet::{Sheet, bold, dim};
use crate::model::{Answer, Kind, ReadingApplied, Verdict};
use crate::report::{Report, clean, words};

/// A reading with what it would answer for each kind.
pub(crate) type Grouped<'a> = (&'a ReadingApplied, Vec<(Kind, Verdict)>);

/// The readings, each once, with what it would answer for each kind.
pub(crate) fn grouped<'a>(report: &Report<'a>) -> Vec<Grouped<'a>> {
    let mut groups: Vec<Grouped<'a>> = Vec::new();
    for answer in report.answers {
        for reading in &answer.readings {
            let entry = (answer.holder, reading.answer);
            match groups.iter_mut().find(|(r, _)| {
                r.id == reading.id && r.says == reading.says && r.held_by == reading.held_by
            }) {
                Some((_, kinds)) => kinds.push(entry),
                None => groups.push((reading, vec![entry])),
            }
        }
    }
    groups
}

pub(super) fn readings(sheet: &mut Sheet, report: &Report<'_>) {
    let groups = grouped(report);
    if groups.is_empty() {
        return;
    }
    sheet.heading("How others read it");
    sheet.para(
        2,
        "No order of rank: this program does not decide which reading is right.",
    );
    for (reading, kinds) in groups {
        sheet.blank();
        let since = if reading.since.is_empty() {
            String::new()
        } else {
            format!(", {}", clean::line(&reading.since))
        };
        sheet.hanging(
            2,
            4,
            &format!(
                "{}{since}",
                bold(&words::capital(&clean::line(&reading.held_by)))
            ),
        );
        if reading.later_than_day {
            sheet.para(4, "(later than the day asked about)");
        }
        if let Some(branch) = &reading.applies_if {
            sheet.para(4, &format!("({})", clean::line(branch)));
        }
        let column = 16;
        for (label, said) in [
            ("says", &reading.says),
            ("for it", &reading.support),
            ("against it", &reading.objection),
            ("strength", &reading.strength),
        ] {
            if !said.is_empty() {
                sheet.labelled(4, column, label, &clean::line(said));
            }
        }
        let here: Vec<String> = kinds
            .iter()
            .map(|(kind, verdict)| {
                format!("{}: {}", words::kind_tag(*kind), words::verdict(*verdict))
            })
            .collect();
        sheet.labelled(4, column, "here", &format!("{}.", here.join("; ")));
    }
}

/// Sentences in order, each once, with the kinds that they are meant for.
pub(crate) type Said<'a> = Vec<(&'a str, Vec<Kind>)>;

fn each_once<'a>(report: &Report<'a>, of: impl Fn(&'a Answer) -> &'a [String]) -> Said<'a> {
    let mut said: Said<'_> = Vec::new();
    for answer in report.answers {
        for sentence in of(answer) {
            match said.iter_mut().find(|(s, _)| s == sentence) {
                Some((_, kinds)) => kinds.push(answer.holder),
                None => said.push((sentence, vec![answer.holder])),
            }
        }
    }
    said
}

/// The next steps.
pub(crate) fn steps<'a>(report: &Report<'a>) -> Said<'a> {
    each_once(report, |a| &a.next)
}

/// What can go wrong, without what stands among the cautions already.
pub(crate) fn hazards<'a>(report: &Report<'a>) -> Said<'a> {
    let above = report.cautions();
    let mut said = each_once(report, |a| &a.hazards);
    said.retain(|(hazard, _)| !above.iter().any(|c| c == hazard));
    said
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

/// Whether a general step says it already: what to look at on the certificate of somebody who can
/// sign without doubt.
pub(crate) fn covered(report: &Report<'_>, step: &str) -> bool {
    report
        .answers
        .iter()
        .any(|a| a.answer == Verdict::Yes && step == crate::answer::card_step(a, report.patterns))
}

fn step_line(sheet: &mut Sheet, number: usize, step: &str) {
    sheet.labelled(2, 6, &format!("{number}."), &clean::line(step));
}

/// Situations that fit the letter and the facts.
pub(super) fn situations(sheet: &mut Sheet, report: &Report<'_>) {
    for (title, steps) in crate::report::situations::of(report) {
        sheet.heading(&clean::line(&title));
        for step in &steps {
            sheet.hanging(2, 4, &format!("- {}", clean::line(step)));
        }
    }
}

/// What bears on this letter, at most three, before anything else.
pub(super) fn cautions(sheet: &mut Sheet, report: &Report<'_>) {
    let cautions = report.cautions();
    if cautions.is_empty() {
        return;
    }
    sheet.heading("Beware with this letter");
    for caution in &cautions {
        sheet.hanging(2, 4, &format!("- {}", clean::line(caution)));
    }
}

pub(super) fn beware(sheet: &mut Sheet, report: &Report<'_>) {
    let general = report.hazards();
    let hazards = hazards(report);
    if hazards.is_empty() && general.is_empty() {
        return;
    }
    sheet.heading("Beware in any case");
    for hazard in &general {
        sheet.hanging(2, 4, &format!("- {}", clean::line(hazard)));
    }
    for (hazard, kinds) in hazards {
        let of = only_for(report, &kinds);
        sheet.hanging(2, 4, &format!("- {}{of}", clean::line(hazard)));
    }
}

/// For whom a sentence is meant, where it is not for all.
fn only_for(report: &Report<'_>, kinds: &[Kind]) -> String {
    if kinds.len() >= report.answers.len() {
        return String::new();
    }
    let kinds: Vec<&str> = kinds.iter().map(|k| words::kind_tag(*k)).collect();
    format!(" {}", dim(&format!("[{}]", kinds.join("; "))))
}

pub(super) fn unverified(sheet: &mut Sheet, report: &Report<'_>) {
    if report.answers.is_empty() {
        return;
    }
    let found = report.unverified();
    sheet.heading("Relied on, but not verified");
    sheet.para(
        2,
        "Whatever has one of the grades D, M, I and P above was reported by one person, written from \
         memory, inferred, or is common practice.",
    );
    for (id, source) in found {
        let locator = if source.locator.is_empty() {
            String::new()
        } else {
            format!(", {}", clean::line(&source.locator))
        };
        sheet.hanging(
            2,
            4,
            &format!(
                "- {}{locator}: {} {}",
                clean::line(&source.title),
                words::grade(&source.grade),
                dim(&format!("({id}, {})", source.checked)),
            ),
        );
    }
}
