//! Rows as JSON Lines: one object a letter, and the summary as the last one. `schema.json`
//! describes both; a test holds real output against it.

use serde::Serialize;
use serde_json::{Map, Value, json};

use super::row::{Row, Standing};
use super::summary::{ByStanding, Summary};
use crate::model::Question;
use crate::report::clean;

/// The JSON Schema of one line.
pub const SCHEMA: &str = include_str!("schema.json");

#[derive(Serialize)]
struct Line<'r> {
    schema: u8,
    r#type: &'static str,
    #[serde(flatten)]
    row: &'r Row,
}

/// One row.
///
/// # Errors
/// None that can happen; the type is that of the library.
pub fn row(row: &Row) -> serde_json::Result<String> {
    let mut row = row.clone();
    row.file = clean::line(&row.file);
    row.error = row.error.as_deref().map(clean::line);
    if let Some(who) = &mut row.who {
        who.words = clean::line(&who.words);
        who.ids.iter_mut().for_each(|id| *id = clean::line(id));
    }
    let mut line = serde_json::to_string(&Line {
        schema: 1,
        r#type: "letter",
        row: &row,
    })?;
    line.push('\n');
    Ok(line)
}

/// The summary.
#[must_use]
pub fn summary(summary: &Summary, question: &Question, digest: &str) -> String {
    let by = |counts: &ByStanding| -> Value {
        Standing::ALL
            .iter()
            .zip(counts)
            .map(|(s, n)| (s.name().to_owned(), json!(n)))
            .collect::<Map<String, Value>>()
            .into()
    };
    let kinds: Vec<Value> = summary
        .kinds
        .iter()
        .map(|k| {
            json!({
                "kind": k.kind, "yes": k.yes, "no": k.no, "disputed": k.disputed,
                "undetermined": k.undetermined,
                "undetermined_if_met_yes": k.open_yes,
                "undetermined_if_met_disputed": k.open_disputed,
                "amendment": {
                    "strictest_reading": k.strict, "open_reading": k.always, "never": k.never,
                    "useless": k.useless, "unknown": k.unknown,
                },
            })
        })
        .collect();
    let grouped = |map: &std::collections::BTreeMap<String, ByStanding>| -> Value {
        map.iter()
            .map(|(name, counts)| (clean::line(name), by(counts)))
            .collect::<Map<String, Value>>()
            .into()
    };
    let wordings: Vec<Value> = summary
        .clusters
        .clusters()
        .into_iter()
        .map(|c| {
            json!({
                "words": clean::line(&c.words), "letters": c.letters, "rows": c.rows,
                "form": c.form, "named": c.named, "near": c.near,
            })
        })
        .collect();
    let value = json!({
        "schema": 1,
        "type": "summary",
        "tool": {"version": env!("CARGO_PKG_VERSION"), "patterns": digest},
        "on": question.on.to_string(),
        "inspection": question.inspection.name(),
        "files": summary.rows,
        "form": by(&summary.form),
        "by_age": grouped(&summary.age),
        "by_basis": grouped(&summary.basis),
        "wordings": summary.wording,
        "kinds": kinds,
        "reading": summary.reading,
        "defects": summary.defects,
        "known_clauses": summary.clusters.known(),
        "new_clauses": wordings,
        "new_clauses_in_no_cluster": summary.clusters.more(),
    });
    format!("{value}\n")
}
