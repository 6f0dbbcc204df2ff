//! The letter beside the reference wordings.

use super::diff::{change_lines, matters};
use super::findings::comparison_note;
use super::markdown::escape;
use super::terminal::sheet::{Sheet, bold, dim};
use super::terminal::{age as age_part, changes};
use super::{CAUTION, Report, age, clean, diff, letters, words};
use crate::model::{ClauseComparison, Comparison, Diff, Op};

/// Below this a clause has other words throughout: single changes would say nothing.
const OTHER_WORDS: f64 = 0.5;

/// A clause that is not word for word a wording that is held.
pub(super) struct Held<'a> {
    /// «Clause 9».
    pub(super) clause: String,
    /// Where it stands.
    pub(super) place: String,
    /// «87 % like wording/...».
    pub(super) like: String,
    /// How many differences matter.
    pub(super) material: usize,
    /// Whether it has other words throughout.
    pub(super) other_words: bool,
    /// The wording as old, the letter as new.
    pub(super) diff: &'a Diff,
}

/// What there is to show of a clause; nothing where its words are those of the wording, or where none
/// is near.
pub(super) fn held<'a>(report: &Report<'_>, comparison: &'a ClauseComparison) -> Option<Held<'a>> {
    let diff = comparison.diff.as_ref().filter(|d| !d.same)?;
    let reference = comparison.reference.as_ref()?;
    let clause = report.letter.clauses.get(comparison.clause)?;
    let view = report.view();
    Some(Held {
        clause: format!("Clause {}", view.id(comparison.clause)),
        place: view.place_words(clause.span),
        like: format!(
            "{:.0} % like {}",
            (comparison.similarity * 100.0).floor(),
            words::wording(reference, report.patterns)
        ),
        material: diff.differences.iter().filter(|d| d.material).count(),
        other_words: comparison.similarity < OTHER_WORDS,
        diff,
    })
}

/// What the whole comparison comes to, in sentences; the first is the head.
pub(super) fn summary(report: &Report<'_>, comparison: &Comparison) -> Vec<String> {
    // Letterhead, signatures and furniture have no number and no wording beside them.
    let clauses: Vec<&ClauseComparison> = comparison
        .clauses
        .iter()
        .filter(|c| {
            let clause = report.letter.clauses.get(c.clause);
            c.diff.is_some() || clause.is_some_and(|c| c.number.is_some() || c.item.is_some())
        })
        .collect();
    let of =
        |wanted: &dyn Fn(&ClauseComparison) -> bool| clauses.iter().filter(|c| wanted(c)).count();
    let same = of(&|c| c.diff.as_ref().is_some_and(|d| d.same));
    let weighty = of(&|c| {
        c.diff
            .as_ref()
            .is_some_and(|d| !d.same && d.differences.iter().any(|d| d.material))
    });
    let alone = of(&|c| c.diff.is_none());
    let light = clauses.len() - same - weighty - alone;
    let head = comparison.wording.as_ref().map_or_else(
        || "No wording is near".to_owned(),
        |wording| format!("Nearest wording: {}", words::order(wording)),
    );
    let mut out = vec![head];
    let note = comparison.note.as_ref();
    out.extend(note.map(|n| clean::line(&comparison_note(n))));
    out.push(format!(
        "Of {} clauses {same} have the same words, {weighty} differ in a way that matters, \
         {light} in wording only, {alone} have no wording beside them.",
        clauses.len()
    ));
    out.push(
        "A difference that matters changes who, what, when or how many; it is no fault by itself."
            .to_owned(),
    );
    out
}

/// For people: a summary, then every clause that is not word for word a wording that is held.
#[must_use]
pub fn terminal(report: &Report<'_>, width: usize, side_by_side: bool) -> String {
    let mut sheet = Sheet::new(width);
    let Some(comparison) = report.comparison else {
        return sheet.finish();
    };
    for (n, sentence) in summary(report, comparison).iter().enumerate() {
        if n == 0 {
            sheet.para(0, &bold(sentence));
        } else {
            sheet.para(0, sentence);
        }
    }
    sheet.para(0, &dim(CAUTION));
    for clause in &comparison.clauses {
        if let Some(held) = held(report, clause) {
            one(&mut sheet, &held, side_by_side);
        }
    }
    age_part(&mut sheet, report);
    sheet.finish()
}

fn one(sheet: &mut Sheet, held: &Held<'_>, side_by_side: bool) {
    sheet.blank();
    sheet.hanging(
        0,
        4,
        &format!(
            "{} {} {}: {}",
            bold(&held.clause),
            dim(&format!("({})", held.place)),
            held.like,
            matters(held.material),
        ),
    );
    if side_by_side {
        letters::both(sheet, held.diff, true);
        changes(sheet, 4, held.diff, |d| d.material);
    } else if held.other_words {
        sheet.hanging(4, 6, &format!("letter:  {}", whole(held.diff, false)));
        sheet.hanging(4, 6, &format!("wording: {}", whole(held.diff, true)));
        if let Some(line) = look_at(held.diff) {
            sheet.hanging(4, 6, &format!("* {line}"));
        }
    } else {
        changes(sheet, 4, held.diff, |_| true);
    }
}

/// One of the two texts.
fn whole(diff: &Diff, old: bool) -> String {
    let ops = diff.ops.iter().filter_map(|op| match op {
        Op::Keep(words) => Some(words),
        Op::Delete(words) => Some(words).filter(|_| old),
        Op::Insert(words) => Some(words).filter(|_| !old),
    });
    clean::line(&ops.map(String::as_str).collect::<String>())
}

/// For a clause in other words: the kinds of what may differ.
pub(super) fn look_at(diff: &Diff) -> Option<String> {
    let mut kinds: Vec<&str> = Vec::new();
    for difference in diff.differences.iter().filter(|d| d.material) {
        let kind = words::difference(difference.kind);
        if !kinds.contains(&kind) {
            kinds.push(kind);
        }
    }
    (!kinds.is_empty()).then(|| format!("other words; look at: {}", kinds.join(", ")))
}

/// For a page of Markdown.
#[must_use]
pub fn markdown(report: &Report<'_>) -> String {
    let Some(comparison) = report.comparison else {
        return String::new();
    };
    let mut out = String::from("# The letter beside the wordings held\n");
    for sentence in summary(report, comparison) {
        out.push_str(&format!("\n{}\n", escape(&sentence)));
    }
    out.push_str(&format!("\n{CAUTION}\n"));
    for held in comparison.clauses.iter().filter_map(|c| held(report, c)) {
        out.push_str(&format!(
            "\n## {}: {}\n\n{} ({})\n\n",
            escape(&held.clause),
            matters(held.material),
            escape(&held.like),
            escape(&held.place),
        ));
        if held.other_words {
            out.push_str(&format!(
                "* letter: {}\n* wording: {}\n",
                escape(&whole(held.diff, false)),
                escape(&whole(held.diff, true))
            ));
            if let Some(line) = look_at(held.diff) {
                out.push_str(&format!("* {line}\n"));
            }
        } else {
            out.push_str(&format!("{}\n\n", diff::markdown(held.diff, escape)));
            for line in change_lines(held.diff, |_| true) {
                out.push_str(&format!("* {}\n", escape(&line)));
            }
        }
    }
    if let Some(found) = report.age.filter(|a| age::known(a)) {
        out.push_str("\n## Where the wording comes from\n\n");
        for sentence in age::with_notes(found) {
            out.push_str(&format!("* {}\n", escape(&sentence)));
        }
    }
    out
}
