//! Rows as CSV (RFC 4180, UTF-8). A cell that a spreadsheet would take for a formula begins with
//! an apostrophe, so that it is text there.

use super::row::{Amendment, Row};
use crate::model::Kind;
use crate::report::clean;

/// Writes the names of the columns.
///
/// # Errors
/// Where nothing can be written.
pub fn head(kinds: &[Kind]) -> Result<String, csv::Error> {
    let mut cells: Vec<String> = [
        "row",
        "file",
        "error",
        "pages",
        "read_as",
        "paper",
        "basis",
        "year",
        "wording",
        "form",
        "named",
        "excluded",
        "clauses",
        "words",
        "reference",
        "near",
        "defects",
        "doubt",
    ]
    .map(str::to_owned)
    .to_vec();
    for part in ["answer", "if_met", "amendment"] {
        cells.extend(kinds.iter().map(|k| format!("{part}:{}", k.name())));
    }
    line(&cells)
}

/// One row.
///
/// # Errors
/// Where nothing can be written.
pub fn row(row: &Row, kinds: &[Kind]) -> Result<String, csv::Error> {
    let who = row.who.clone().unwrap_or_default();
    let text = |value: &Option<String>| value.clone().unwrap_or_default();
    let mut cells = vec![
        row.row.to_string(),
        row.file.clone(),
        text(&row.error),
        row.pages.map(|p| p.to_string()).unwrap_or_default(),
        text(&row.read_as),
        text(&row.paper),
        text(&row.basis),
        row.year.map(|y| y.to_string()).unwrap_or_default(),
        text(&row.wording),
        row.form.name().to_owned(),
        row.named.join(" "),
        row.excluded.join(" "),
        who.ids.join(" "),
        who.words,
        text(&who.reference),
        text(&who.near),
        row.defects.join(" "),
        row.doubt.join(" "),
    ];
    let of = |kind: &Kind| row.answers.iter().find(|a| a.kind == kind.name());
    for kind in kinds {
        cells.push(of(kind).map(|a| a.answer.clone()).unwrap_or_default());
    }
    for kind in kinds {
        cells.push(of(kind).map(|a| a.if_met.clone()).unwrap_or_default());
    }
    for kind in kinds {
        let name = of(kind).map(|a| amendment(a.amendment)).unwrap_or_default();
        cells.push(name.to_owned());
    }
    line(&cells)
}

/// The name in machine formats.
pub(super) const fn amendment(amendment: Amendment) -> &'static str {
    match amendment {
        Amendment::Never => "never",
        Amendment::Strict => "strict",
        Amendment::Always => "always",
        Amendment::Useless => "useless",
        Amendment::Unknown => "unknown",
    }
}

fn line(cells: &[String]) -> Result<String, csv::Error> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(cells.iter().map(|c| inert(&clean::line(c))))?;
    let bytes = writer
        .into_inner()
        .map_err(|e| csv::Error::from(e.into_error()))?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

/// A cell that is no formula in any spreadsheet.
fn inert(cell: &str) -> String {
    let begins = cell.trim_start().chars().next();
    if begins.is_some_and(|c| "=+-@|%\u{ff1d}\u{ff0b}\u{ff0d}\u{ff20}".contains(c)) {
        format!("'{cell}")
    } else {
        cell.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn formulas_are_text() {
        for cell in ["=1+1", "+1", "-1", "@SUM(A1)", " =1", "\u{ff1d}1", "|cmd"] {
            assert!(inert(cell).starts_with('\''), "{cell}");
        }
        assert_eq!(inert("(26) may"), "(26) may");
        assert_eq!(
            line(&["a\"b".into(), "=x".into()]).unwrap(),
            "\"a\"\"b\",'=x\n"
        );
    }
}
