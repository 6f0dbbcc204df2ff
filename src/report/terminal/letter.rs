//! The letter: clause by clause, its condition, its age, notes.

use super::sheet::{Sheet, bold, dim};
use crate::model::{Clause, ClauseComparison, Diff, Difference, Modality, Norm, Phase};
use crate::report::{Report, age, clean, replaced, words};

pub(super) fn clauses(sheet: &mut Sheet, report: &Report<'_>) {
    let clauses = &report.letter.clauses;
    if clauses.is_empty() {
        return;
    }
    sheet.heading("The letter, clause by clause");
    if let Some(comparison) = report.comparison {
        match (&comparison.wording, &comparison.note) {
            (Some(wording), _) => sheet.para(
                2,
                &format!(
                    "Compared with the wordings held; nearest: {}.",
                    clean::line(wording)
                ),
            ),
            (None, Some(note)) => sheet.para(2, &clean::line(note)),
            (None, None) => {}
        }
    }
    // By clause, once: a letter may have thousands.
    let mut beside: Vec<Beside<'_>> = clauses.iter().map(|_| Beside::default()).collect();
    for norm in report.letter.norms.iter().filter(|n| is_norm(n)) {
        if let Some(beside) = beside.get_mut(norm.clause) {
            beside.norms.push(norm);
        }
    }
    for comparison in report.comparison.iter().flat_map(|c| &c.clauses) {
        if let Some(beside) = beside.get_mut(comparison.clause) {
            beside.comparison = Some(comparison);
        }
    }
    let mut after_paragraph = false;
    for (index, (clause, beside)) in clauses.iter().zip(&beside).enumerate() {
        let plain = clause.number.is_none() && clause.item.is_none() && beside.norms.is_empty();
        if plain {
            if !after_paragraph {
                sheet.blank();
            }
            let place = report.view().place_words(clause.span);
            sheet.hanging(
                2,
                6,
                &format!(
                    "{} {}",
                    dim(&format!("{place}:")),
                    report.view().words(clause.body)
                ),
            );
        } else {
            one(sheet, report, index, clause, beside);
        }
        after_paragraph = plain;
    }
}

/// Whether a norm binds anybody.
pub(crate) fn is_norm(norm: &Norm) -> bool {
    norm.modality != Modality::Statement && !norm.quoted
}

/// What is said beside a clause.
#[derive(Default)]
struct Beside<'a> {
    norms: Vec<&'a Norm>,
    comparison: Option<&'a ClauseComparison>,
}

fn one(sheet: &mut Sheet, report: &Report<'_>, index: usize, clause: &Clause, beside: &Beside<'_>) {
    let view = report.view();
    let indent = 2 + 2 * usize::from(clause.level.saturating_sub(1)).min(4);
    sheet.blank();
    let label = clause.number.as_ref().map_or_else(
        || format!("[{}]", view.id(index)),
        |number| clean::line(&number.printed),
    );
    let mut about = vec![view.place_words(clause.span)];
    if let Some(item) = clause.item.as_ref().filter(|_| clause.number.is_some()) {
        about.push(format!("item {}", clean::line(&item.printed)));
    }
    match clause.phase {
        Some(Phase::One) => about.push("phase I".to_owned()),
        Some(Phase::Two) => about.push("phase II".to_owned()),
        None => {}
    }
    if let Some(topics) = report.letter.topics.get(index).filter(|t| !t.is_empty()) {
        about.push(clean::line(&topics.join(", ")));
    }
    sheet.hanging(
        indent,
        indent + 4,
        &format!("{} {}", bold(&label), dim(&about.join("; "))),
    );
    sheet.para(indent + 4, &view.words(clause.body));
    let norms: Vec<String> = beside.norms.iter().map(|n| norm_words(n)).collect();
    if !norms.is_empty() {
        sheet.hanging(indent + 4, indent + 7, &format!("-> {}", norms.join("; ")));
    }
    if let Some(comparison) = beside.comparison {
        differences(sheet, report, indent + 4, comparison);
    }
}

fn norm_words(norm: &Norm) -> String {
    let mut said = words::modality(norm.modality).to_owned();
    if let Some(trigger) = &norm.trigger {
        said.push_str(&format!(" (\"{}\")", clean::line(&trigger.text)));
    }
    said
}

fn differences(
    sheet: &mut Sheet,
    report: &Report<'_>,
    indent: usize,
    comparison: &ClauseComparison,
) {
    let (Some(reference), Some(diff)) = (&comparison.reference, &comparison.diff) else {
        return;
    };
    let reference = words::wording(reference, report.patterns);
    if diff.same {
        sheet.hanging(indent, indent + 3, &format!("== same words as {reference}"));
        return;
    }
    let material = diff.differences.iter().filter(|d| d.material).count();
    let other = diff.differences.len() - material;
    sheet.hanging(
        indent,
        indent + 3,
        &format!(
            "<> {:.0} % the words of {reference}: {}, {other} of wording only",
            (comparison.similarity * 100.0).floor(),
            matters(material),
        ),
    );
    changes(sheet, indent + 3, diff, |d| d.material);
}

/// "1 difference that matters".
pub(crate) fn matters(material: usize) -> String {
    if material == 1 {
        "1 difference that matters".to_owned()
    } else {
        format!("{material} differences that matter")
    }
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

/// The differences that are wanted, a line for each place.
pub(crate) fn change_lines(diff: &Diff, wanted: impl Fn(&Difference) -> bool) -> Vec<String> {
    let mut groups: Vec<Vec<&Difference>> = Vec::new();
    for difference in diff.differences.iter().filter(|d| wanted(d)) {
        match groups.last_mut() {
            Some(group)
                if group
                    .iter()
                    .all(|d| d.old == difference.old && d.new == difference.new) =>
            {
                group.push(difference);
            }
            _ => groups.push(vec![difference]),
        }
    }
    groups.iter().map(|group| changed(group)).collect()
}

/// The differences at one place in a line.
fn changed(group: &[&Difference]) -> String {
    let Some(first) = group.first() else {
        return String::new();
    };
    let (old, new) = (short(&first.old), short(&first.new));
    let change = match (old.is_empty(), new.is_empty()) {
        (true, _) => format!("has \"{new}\" more"),
        (_, true) => format!("lacks \"{old}\""),
        _ => format!("\"{new}\" instead of \"{old}\""),
    };
    let mut kinds: Vec<&str> = Vec::new();
    let mut reasons: Vec<String> = Vec::new();
    for difference in group {
        let kind = words::difference(difference.kind);
        if !kinds.contains(&kind) {
            kinds.push(kind);
        }
        let reason = clean::line(&difference.reason);
        if !reason.is_empty() && !reasons.contains(&reason) {
            reasons.push(reason);
        }
    }
    let mut said = format!("{}: {change}", kinds.join(", "));
    if !reasons.is_empty() {
        said.push_str(&format!(" - {}", reasons.join("; ")));
    }
    said
}

/// Long words without their middle; the whole stands in the clause above, and in JSON.
fn short(words: &str) -> String {
    const ENDS: usize = 50;
    let words = clean::line(words);
    let count = words.chars().count();
    if count <= 2 * ENDS + 5 {
        return words;
    }
    let mut head: String = words.chars().take(ENDS).collect();
    let mut tail: String = words.chars().skip(count - ENDS).collect();
    // No word is cut in two.
    if let Some((whole, _)) = head.rsplit_once(' ') {
        head = whole.to_owned();
    }
    if let Some((_, whole)) = tail.split_once(' ') {
        tail = whole.to_owned();
    }
    format!("{head} ... {tail}")
}

pub(super) fn condition(sheet: &mut Sheet, report: &Report<'_>) {
    let replaced = replaced::lines(&report.view(), report.letter);
    if !replaced.is_empty() {
        sheet.heading("Replaced, and counted nowhere");
        for line in replaced {
            sheet.hanging(2, 4, &format!("- {line}"));
        }
    }
    if report.letter.findings.is_empty() {
        return;
    }
    sheet.heading("Condition of the letter");
    for defect in &report.letter.findings {
        let place = defect.span.map_or_else(String::new, |s| {
            format!(" ({})", report.view().place_words(s))
        });
        sheet.hanging(
            2,
            4,
            &format!(
                "- {}{} {}",
                words::capital(&words::sentence(&clean::line(&report.defect(defect)))),
                dim(&place),
                dim(&format!("[{}]", defect.kind().name())),
            ),
        );
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
    for evidence in age.evidence.iter().take(8) {
        let view = report.view();
        sheet.hanging(
            2,
            4,
            &format!(
                "- \"{}\" {} {} {}",
                view.words(evidence.span),
                dim(&format!("({})", view.place_words(evidence.span))),
                age::points(evidence.supports),
                clean::line(&evidence.points_to),
            ),
        );
    }
}

pub(super) fn notes(sheet: &mut Sheet, report: &Report<'_>) {
    if report.notes.is_empty() {
        return;
    }
    sheet.heading("Notes");
    for note in report.notes {
        let page = note
            .page()
            .map_or_else(String::new, |p| format!(" (page {p})"));
        sheet.hanging(
            2,
            4,
            &format!(
                "- {}{page}",
                words::sentence(&clean::line(&report.note(note)))
            ),
        );
    }
}

/// With which program and knowledge the report was made, so that it can be made again.
pub(super) fn made_with(sheet: &mut Sheet, report: &Report<'_>) {
    sheet.blank();
    sheet.para(
        0,
        &dim(&format!(
            "whomay {}, patterns {}; `whomay explain ID` shows a rule, a reading or a pattern in full.",
            env!("CARGO_PKG_VERSION"),
            report.patterns.digest(),
        )),
    );
}
