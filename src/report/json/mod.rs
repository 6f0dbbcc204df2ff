//! The report as JSON, schema version 1: types of its own, apart from the model, because outside
//! programs rely on them. `schema.json` describes them; a test holds real output against it.

mod parts;
mod types;

use super::Report;

pub(crate) use parts::rounded;

/// The JSON Schema of the report.
pub const SCHEMA: &str = include_str!("schema.json");

/// The report as JSON, indented, with a line end.
#[must_use]
pub fn report(report: &Report<'_>) -> String {
    pretty(&parts::report(report))
}

/// Any value as indented JSON with a line end.
#[must_use]
pub fn pretty<T: serde::Serialize>(value: &T) -> String {
    let mut json =
        serde_json::to_string_pretty(value).unwrap_or_else(|e| format!("{{\"error\": \"{e}\"}}"));
    json.push('\n');
    json
}

/// The first answer of a report, in the shape that it has in one.
pub(crate) fn first_answer(report: &Report<'_>) -> Option<impl serde::Serialize + use<>> {
    parts::answers(report).into_iter().next()
}

/// The comparison and the age alone.
#[must_use]
pub fn comparison(report: &Report<'_>) -> String {
    pretty(&parts::compared(report))
}

/// The differences of a comparison, in the shape that they have in a report.
pub(crate) fn differences(diff: Option<&crate::model::Diff>) -> Vec<impl serde::Serialize + use<>> {
    diff.iter()
        .flat_map(|d| &d.differences)
        .map(parts::difference)
        .collect()
}
