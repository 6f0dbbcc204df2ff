//! The first screen, 24 lines of 80 columns: a person must be able to act on it.

use super::dispute;
use super::sheet::{Sheet, bold, dim, verdict};
use crate::report::first::{FirstScreen, Quoted, Row};
use crate::report::{CAUTION, Report, clean};

/// Columns of the names; the longest in one line has 35.
const WHO: usize = 35;
/// Columns of the clauses.
const CLAUSE: usize = 7;

pub(super) fn screen(sheet: &mut Sheet, report: &Report<'_>) {
    let first = FirstScreen::of(report);
    sheet.para(0, &bold(&first.lead));
    sheet.para(0, &dim(CAUTION));
    sheet.blank();
    sheet.para(0, &format!("{}{}", first.title, source(report)));
    for quoted in &first.quoted {
        sentence(sheet, quoted);
    }
    if first.more > 0 {
        sheet.para(2, &format!("{} more, in the report.", first.more));
    }
    if first.quoted.is_empty() && report.letter.paper.is_limitations() {
        sheet.para(0, "No clause says who may do it.");
    }
    sheet.blank();
    if first.rows.is_empty() {
        sheet.para(0, "No answer was worked out.");
    } else if sheet.width() < 60 {
        for row in &first.rows {
            narrow(sheet, row);
        }
    } else {
        table(sheet, &first.rows);
    }
    sheet.blank();
    for (label, sentence) in &first.todo {
        sheet.hanging(0, 2, &format!("{} {sentence}", bold(&format!("{label}:"))));
    }
    for position in &first.positions {
        sheet.hanging(0, 2, &format!("- {position}"));
    }
    dispute::cautions(sheet, &first.cautions);
}

fn source(report: &Report<'_>) -> String {
    let [source, rest @ ..] = report.text.sources.as_slice() else {
        return String::new();
    };
    let more = match rest.len() {
        0 => String::new(),
        n => format!(" and {n} more"),
    };
    format!(" [{}{more}]", clean::line(file_name(&source.name)))
}

/// A sentence of the letter; the deciding words stand between « and », so that they are told apart
/// without style too.
fn sentence(sheet: &mut Sheet, quoted: &Quoted) {
    let mut said = format!(
        "{} {} {}: \"",
        bold(&format!("Clause {}", quoted.clause)),
        dim(&format!("({})", quoted.place)),
        quoted.said
    );
    for piece in &quoted.words {
        if piece.deciding {
            said.push_str(&format!("«{}»", bold(&piece.text)));
        } else {
            said.push_str(&piece.text);
        }
    }
    said.push('"');
    sheet.hanging(0, 2, &said);
}

fn table(sheet: &mut Sheet, rows: &[Row]) {
    let answer = sheet.width() - WHO - CLAUSE - 4;
    sheet.row(&[
        (WHO, &dim("WHO")),
        (answer, &dim("ANSWER")),
        (CLAUSE, &dim("CLAUSE")),
    ]);
    for row in rows {
        let cell = answer_words(row);
        sheet.row(&[(WHO, &row.name), (answer, &cell), (CLAUSE, &row.clause)]);
    }
}

fn answer_words(row: &Row) -> String {
    let said = verdict(row.verdict);
    if row.because.is_empty() {
        said
    } else {
        format!("{said}: {}", row.because)
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
        &format!("{}: {}{clause}", row.name, answer_words(row)),
    );
}

/// The file without its folder: the reader knows the folder, and the line has 80 columns.
fn file_name(name: &str) -> &str {
    name.rsplit(['/', '\\']).next().unwrap_or(name)
}
