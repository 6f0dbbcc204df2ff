//! When inspections run out.

use serde::Serialize;

use super::terminal::sheet::{Sheet, bold};
use super::{clean, json};
use crate::answer::{Due, Interval};
use crate::patterns::Patterns;

/// What was counted, and on which ground: sentences for people.
#[must_use]
pub fn notes(dues: &[Due], interval: &Interval, patterns: &Patterns) -> Vec<String> {
    let say = |name: &str, blanks: &[(&str, &str)]| patterns.statement.say(name, blanks);
    let mut notes = vec![match interval {
        Interval::CalendarMonths(n) => say("due-calendar-months", &[("months", &n.to_string())]),
        Interval::HoursOrMonths {
            hours,
            months,
            calendar,
        } => {
            let months = format!("{months}{}", if *calendar { " calendar" } else { "" });
            say(
                "due-hours-or-months",
                &[("hours", &hours.to_string()), ("months", &months)],
            )
        }
        Interval::Months(n) => say("due-months", &[("months", &n.to_string())]),
        Interval::Annually => say("due-annually", &[]),
        Interval::Hours(n) => say("due-hours", &[("hours", &n.to_string())]),
        Interval::NotSaid => say("due-usual", &[]),
        Interval::NoClause => say("due-no-clause", &[]),
    }];
    if dues.iter().any(|d| d.last_day.is_some()) {
        notes.push(say("no-overrun", &[]));
    }
    notes
}

/// For people: one line an inspection, then what was counted, each sentence once.
#[must_use]
pub fn terminal(
    dues: &[Due],
    interval: &Interval,
    clause: Option<&str>,
    patterns: &Patterns,
    width: usize,
) -> String {
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
    for note in notes(dues, interval, patterns) {
        sheet.hanging(0, 2, &format!("- {}", clean::line(&note)));
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
pub fn json(
    dues: &[Due],
    interval: &Interval,
    clause: Option<&str>,
    patterns: &Patterns,
) -> String {
    let notes = notes(dues, interval, patterns);
    json::pretty(&Root {
        schema: 1,
        interval: self::interval(interval),
        clause: clause.map(clean::line),
        inspections: dues.iter().map(|d| one(d, &notes)).collect(),
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
pub(crate) struct JsonInterval {
    kind: &'static str,
    number: Option<i32>,
    #[serde(skip_serializing_if = "Option::is_none")]
    hours: Option<i32>,
}

/// One inspection in JSON.
#[derive(Serialize)]
pub(crate) struct JsonDue {
    inspected: String,
    last_day: Option<String>,
    out_of_date_from: Option<String>,
    notes: Vec<String>,
}

pub(crate) fn one(due: &Due, notes: &[String]) -> JsonDue {
    JsonDue {
        inspected: due.inspected.to_string(),
        last_day: due.last_day.map(|d| d.to_string()),
        out_of_date_from: due.out_of_date_from.map(|d| d.to_string()),
        notes: notes.iter().map(|n| clean::line(n)).collect(),
    }
}

pub(crate) fn interval(interval: &Interval) -> JsonInterval {
    let (kind, number, hours) = match interval {
        Interval::CalendarMonths(n) => ("calendar-months", Some(*n), None),
        Interval::Months(n) => ("months", Some(*n), None),
        Interval::Annually => ("annually", None, None),
        Interval::Hours(n) => ("hours", Some(*n), None),
        Interval::HoursOrMonths { hours, months, .. } => {
            ("hours-or-months", Some(*months), Some(*hours))
        }
        Interval::NotSaid => ("not-said", None, None),
        Interval::NoClause => ("no-clause", None, None),
    };
    JsonInterval {
        kind,
        number,
        hours,
    }
}
