//! The first screen, 24 lines of 80 columns: a person must be able to act on it.

use super::sheet::{Sheet, bold, dim};
use crate::report::first::{FirstScreen, Row};
use crate::report::{CAUTION, Report, clean, words};

/// Columns of the names; the longest has 34.
const WHO: usize = 34;
/// Columns of the clauses.
const CLAUSE: usize = 8;

pub(super) fn screen(sheet: &mut Sheet, report: &Report<'_>) {
    let first = FirstScreen::of(report);
    let mut question = first.question.clone();
    if let [source, ..] = report.text.sources.as_slice() {
        let more = match report.text.sources.len() {
            1 => String::new(),
            n => format!(" and {} more", n - 1),
        };
        question.push_str(&format!(
            " [{}{more}]",
            clean::line(file_name(&source.name))
        ));
    }
    sheet.para(0, &bold(&first.title));
    sheet.para(0, &question);
    sheet.blank();
    if first.rows.is_empty() {
        sheet.para(0, "No answer was worked out.");
    } else if sheet.width() < 60 {
        for row in &first.rows {
            narrow(sheet, row);
        }
    } else {
        let answer = sheet.width() - WHO - CLAUSE - 4;
        sheet.row(&[
            (WHO, &dim("WHO")),
            (answer, &dim("ANSWER")),
            (CLAUSE, &dim("CLAUSE")),
        ]);
        for row in &first.rows {
            let cell = answer_words(row);
            sheet.row(&[
                (WHO, words::kind_short(row.kind)),
                (answer, &cell),
                (CLAUSE, &row.clause),
            ]);
        }
    }
    sheet.blank();
    for (label, sentence) in &first.todo {
        sheet.hanging(0, 2, &format!("{} {sentence}", bold(&format!("{label}:"))));
    }
    for position in &first.positions {
        sheet.hanging(0, 2, &format!("- {position}"));
    }
    sheet.para(0, &dim(CAUTION));
}

fn answer_words(row: &Row) -> String {
    let verdict = bold(words::verdict(row.verdict));
    if row.because.is_empty() {
        verdict
    } else {
        format!("{verdict}: {}", row.because)
    }
}

/// A row where there is no room for columns.
fn narrow(sheet: &mut Sheet, row: &Row) {
    let clause = if row.clause == "-" {
        String::new()
    } else {
        format!(" (clause {})", row.clause)
    };
    sheet.hanging(
        0,
        2,
        &format!(
            "{}: {}{clause}",
            words::kind_short(row.kind),
            answer_words(row)
        ),
    );
}

/// The file without its folder: the reader knows the folder, and the line has 80 columns.
fn file_name(name: &str) -> &str {
    name.rsplit(['/', '\\']).next().unwrap_or(name)
}
