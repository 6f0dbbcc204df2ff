//! When inspections run out.

use serde::Serialize;

use super::clean;
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
        Interval::HoursOrDays { hours, days } => say(
            "due-hours-or-days",
            &[("hours", &hours.to_string()), ("days", &days.to_string())],
        ),
        Interval::Months(n) => say("due-months", &[("months", &n.to_string())]),
        Interval::OneOfMonths { least, most } => say(
            "due-one-of-months",
            &[("least", &least.to_string()), ("most", &most.to_string())],
        ),
        Interval::Days(n) => say("due-days", &[("days", &n.to_string())]),
        Interval::CalendarYear => say("due-calendar-year", &[]),
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
        Interval::OneOfMonths { least, .. } => ("one-of-months", Some(*least), None),
        Interval::Days(n) => ("days", Some(*n), None),
        Interval::CalendarYear => ("calendar-year", None, None),
        Interval::Annually => ("annually", None, None),
        Interval::Hours(n) => ("hours", Some(*n), None),
        Interval::HoursOrMonths { hours, months, .. } => {
            ("hours-or-months", Some(*months), Some(*hours))
        }
        Interval::HoursOrDays { hours, days } => ("hours-or-days", Some(*days), Some(*hours)),
        Interval::NotSaid => ("not-said", None, None),
        Interval::NoClause => ("no-clause", None, None),
    };
    JsonInterval {
        kind,
        number,
        hours,
    }
}
