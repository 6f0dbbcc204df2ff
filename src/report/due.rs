//! When inspections run out.

use serde::Serialize;

use super::terminal::sheet::{Sheet, bold};
use super::{clean, json};
use crate::answer::{Due, Interval};

/// For people: one line an inspection, then what was counted, each sentence once.
#[must_use]
pub fn terminal(dues: &[Due], clause: Option<&str>, width: usize) -> String {
    let mut sheet = Sheet::new(width);
    for due in dues {
        let said = match (due.last_day, due.out_of_date_from) {
            (Some(last), Some(from)) => {
                format!(
                    "good through {}, no more from {from}",
                    bold(&last.to_string())
                )
            }
            (Some(last), None) => format!("good through {}", bold(&last.to_string())),
            (None, _) => "cannot be computed; see below".to_owned(),
        };
        sheet.hanging(0, 2, &format!("Inspected {}: {said}", due.inspected));
    }
    sheet.blank();
    let mut seen: Vec<&str> = Vec::new();
    for note in dues.iter().flat_map(|d| &d.notes) {
        if !seen.contains(&note.as_str()) {
            seen.push(note);
            sheet.hanging(0, 2, &format!("- {}", clean::line(note)));
        }
    }
    if let Some(clause) = clause {
        sheet.hanging(
            0,
            2,
            &format!(
                "- The interval stands in clause {} of the letter.",
                clean::line(clause)
            ),
        );
    }
    sheet.finish()
}

/// For programs.
#[must_use]
pub fn json(dues: &[Due], interval: &Interval, clause: Option<&str>) -> String {
    json::pretty(&Root {
        schema: 1,
        interval: self::interval(interval),
        clause: clause.map(clean::line),
        inspections: dues.iter().map(one).collect(),
    })
}

#[derive(Serialize)]
struct Root {
    schema: u32,
    interval: JsonInterval,
    clause: Option<String>,
    inspections: Vec<JsonDue>,
}

#[derive(Serialize)]
struct JsonInterval {
    kind: &'static str,
    number: Option<i32>,
}

/// One inspection in JSON.
#[derive(Serialize)]
pub(crate) struct JsonDue {
    inspected: String,
    last_day: Option<String>,
    out_of_date_from: Option<String>,
    notes: Vec<String>,
}

pub(crate) fn one(due: &Due) -> JsonDue {
    JsonDue {
        inspected: due.inspected.to_string(),
        last_day: due.last_day.map(|d| d.to_string()),
        out_of_date_from: due.out_of_date_from.map(|d| d.to_string()),
        notes: due.notes.iter().map(|n| clean::line(n)).collect(),
    }
}

fn interval(interval: &Interval) -> JsonInterval {
    let (kind, number) = match interval {
        Interval::CalendarMonths(n) => ("calendar-months", Some(*n)),
        Interval::Months(n) => ("months", Some(*n)),
        Interval::Annually => ("annually", None),
        Interval::Hours(n) => ("hours", Some(*n)),
        Interval::NotSaid => ("not-said", None),
    };
    JsonInterval { kind, number }
}
