//! Rows and summary for the terminal.

mod summary;

use std::fmt::Write as _;

use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

use super::row::{Row, RowAnswer, Standing};
use crate::model::Kind;
use crate::report::clean;

pub use summary::summary;

/// The kinds that have a column, and its head.
const COLUMNS: [(Kind, &str); 5] = [
    (Kind::BuilderRepairman, "BLDR"),
    (Kind::Mechanic, "MECH"),
    (Kind::RepairStation, "STN"),
    (Kind::LightSportRepairmanInspection, "LSI"),
    (Kind::LightSportRepairmanMaintenance, "LSM"),
];

/// Columns beside the file name and the answers.
const FIXED: usize = 35;
/// Columns of an answer.
const ANSWER: usize = 5;
/// A shorter name of a file tells little; then a row takes several lines.
const SHORTEST: usize = 8;
/// Sentences are no longer than this, however wide the terminal is.
const MEASURE: usize = 80;
/// Sentences are no shorter than this, however narrow it is.
const NARROWEST: usize = 32;

fn columns(wanted: Option<Kind>) -> Vec<(Kind, &'static str)> {
    match wanted {
        None => COLUMNS.to_vec(),
        Some(kind) => COLUMNS
            .into_iter()
            .find(|(k, _)| *k == kind)
            .or(Some((kind, "MAY?")))
            .into_iter()
            .collect(),
    }
}

/// Columns for the name of the file; `None` where a row takes several lines.
fn name_columns(wanted: Option<Kind>, width: usize) -> Option<usize> {
    let beside = FIXED + ANSWER * columns(wanted).len();
    width.checked_sub(beside).filter(|n| *n >= SHORTEST)
}

/// The heads of the columns.
#[must_use]
pub fn head(wanted: Option<Kind>, width: usize) -> String {
    let Some(name) = name_columns(wanted, width) else {
        return String::new();
    };
    let mut out = format!("{:>5} {:name$} READ  §  YEAR FORM   ", "ROW", "FILE");
    for (_, head) in columns(wanted) {
        let _ = write!(out, " {head:4}");
    }
    out.push_str(" FLAWS\n");
    out
}

/// One row.
#[must_use]
pub fn row(row: &Row, wanted: Option<Kind>, width: usize) -> String {
    let Some(name) = name_columns(wanted, width) else {
        return narrow(row, wanted, width.max(NARROWEST));
    };
    let file = fit(&clean::line(&row.file), name);
    let mut out = format!("{:>5} {file} ", row.row);
    if let Some(error) = &row.error {
        let words = format!("not read: {}", clean::line(error));
        let first = " ".repeat(UnicodeWidthStr::width(out.as_str()));
        let lines = textwrap::wrap(
            &words,
            textwrap::Options::new(width)
                .initial_indent(&first)
                .subsequent_indent("      "),
        );
        for (n, line) in lines.iter().enumerate() {
            out.push_str(if n == 0 { line.trim_start() } else { line });
            out.push('\n');
        }
        return out;
    }
    let _ = write!(
        out,
        "{:5} {:2} {:4} {:7}",
        read(row),
        row.basis.as_deref().unwrap_or("-"),
        year(row),
        form(row.form),
    );
    for (kind, _) in columns(wanted) {
        let _ = write!(out, " {:4}", said(row, kind));
    }
    let flaws = match row.defects.len() {
        0 => "-".to_owned(),
        n => n.to_string(),
    };
    let _ = writeln!(out, " {flaws:>5}");
    out
}

/// A row in several lines.
fn narrow(row: &Row, wanted: Option<Kind>, width: usize) -> String {
    let indent = "      ";
    let file = fit(&clean::line(&row.file), width - indent.len());
    let mut out = format!("{:>5} {}\n", row.row, file.trim_end());
    let words = if let Some(error) = &row.error {
        format!("not read: {}", clean::line(error))
    } else {
        // What belongs together is not parted at the end of a line.
        let mut parts = vec![
            read(row),
            format!("§\u{a0}{}", row.basis.as_deref().unwrap_or("-")),
            year(row),
            form(row.form).to_owned(),
        ];
        let answers = columns(wanted);
        parts.extend(
            answers
                .iter()
                .map(|(kind, head)| format!("{head}\u{a0}{}", said(row, *kind))),
        );
        if !row.defects.is_empty() {
            parts.push(format!("flaws\u{a0}{}", row.defects.len()));
        }
        parts.join(", ")
    };
    let options = textwrap::Options::new(width)
        .initial_indent(indent)
        .subsequent_indent(indent);
    out.push_str(&textwrap::fill(&words, options).replace('\u{a0}', " "));
    out.push('\n');
    out
}

fn read(row: &Row) -> String {
    let way = match row.read_as.as_deref() {
        Some("pdf-text") => "pdf",
        Some("pdf-scan") => "scan",
        Some("image") => "img",
        Some(other) => other,
        None => "",
    };
    let doubt = row
        .doubt
        .iter()
        .any(|d| d == "doubtful-words" || d == "deciding-words");
    format!("{way}{}", if doubt { "?" } else { "" })
}

fn year(row: &Row) -> String {
    row.year.map_or_else(|| "-".to_owned(), |y| y.to_string())
}

fn said(row: &Row, kind: Kind) -> &'static str {
    let answer = row.answers.iter().find(|a| a.kind == kind.name());
    answer.map_or("-", short)
}

const fn form(standing: Standing) -> &'static str {
    match standing {
        Standing::Open => "open",
        Standing::Closed => "closed",
        Standing::Silent => "silent",
        Standing::Contradictory => "contra",
        Standing::Doubtful => "doubt",
        Standing::LightSportCategory => "s-lsa",
        Standing::NoLetter => "none",
        Standing::Unreadable => "unread",
    }
}

/// An answer in four letters. What is open is never shown as what it could become.
fn short(answer: &RowAnswer) -> &'static str {
    match (answer.answer.as_str(), answer.if_met.as_str()) {
        ("yes", _) => "yes",
        ("no", _) => "no",
        ("disputed", _) => "disp",
        (_, "yes") => "if:y",
        (_, "disputed") => "if:d",
        _ => "open",
    }
}

/// A name in so many columns; what is too much goes from its front, where folders stand.
fn fit(name: &str, columns: usize) -> String {
    let width = name.width();
    if width <= columns {
        return format!("{name}{}", " ".repeat(columns - width));
    }
    let mut end = Vec::new();
    let mut left = columns.saturating_sub(1);
    for c in name.chars().rev() {
        let w = c.width().unwrap_or(0);
        if w > left {
            break;
        }
        left -= w;
        end.push(c);
    }
    let kept: String = end.into_iter().rev().collect();
    format!("…{kept}{}", " ".repeat(left))
}

/// What the short words of the table mean.
fn legend(wanted: Option<Kind>) -> String {
    let mut out = String::new();
    if wanted.is_none() {
        out.push_str(
            "BLDR builder with the repairman certificate, MECH mechanic, STN repair station, LSI \
             and LSM light-sport repairman with inspection or maintenance rating. ",
        );
    }
    out.push_str(
        "yes, no; disp: in dispute; if:y open, yes if all open facts turn out well; if:d open, \
         then in dispute; open: not to be told. READ with ?: words in doubt. § is the paragraph of \
         § 21.191. FORM contra: its clauses cannot all hold; doubt: deciding words are doubtful or \
         lost; none: no letter of operating limitations; s-lsa: light-sport category.",
    );
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_fit_their_column() {
        for name in [
            "a",
            "a very long name of a letter.pdf",
            "日本語の長い名前のファイル.txt",
        ] {
            assert_eq!(fit(name, 20).width(), 20, "{name}");
        }
        assert!(fit("a very long name of a letter.pdf", 20).ends_with("letter.pdf"));
    }

    #[test]
    fn a_row_is_never_wider_than_the_terminal() {
        let unread = Row::unreadable(
            7,
            "folder/name-of-a-file.txt".into(),
            "the file is empty (0 bytes); copy or download it again".into(),
        );
        let mut read = unread.clone();
        read.error = None;
        read.read_as = Some("pdf-scan".into());
        read.doubt = vec!["doubtful-words".into()];
        read.form = Standing::Contradictory;
        read.year = Some(2008);
        for width in [32, 40, 67, 68, 80, 200] {
            for wanted in [None, Some(Kind::Mechanic), Some(Kind::Owner)] {
                for of in [&unread, &read] {
                    let out = head(wanted, width) + &row(of, wanted, width);
                    for line in out.lines() {
                        assert!(line.width() <= width, "{width}: {line}");
                    }
                }
            }
        }
    }
}
