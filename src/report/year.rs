//! The year of an aircraft: what runs out, when, on which ground.

use serde::Serialize;

use super::paper::{Paper, Part};
use super::{clean, days, due, json};
use crate::answer::{Due, Event, Interval, Year};
use crate::patterns::{Circumstance, Patterns, TermOf};

/// What runs out, in a sentence.
#[must_use]
pub const fn what(of: TermOf) -> &'static str {
    match of {
        TermOf::Inspection => "the condition inspection",
        TermOf::Certificate => "the airworthiness certificate itself",
        TermOf::Altimeter => "the altimeter test",
        TermOf::Transponder => "the transponder test",
        TermOf::Elt => "the inspection of the emergency locator transmitter",
    }
}

const fn name(of: TermOf) -> &'static str {
    match of {
        TermOf::Inspection => "inspection",
        TermOf::Certificate => "certificate",
        TermOf::Altimeter => "altimeter",
        TermOf::Transponder => "transponder",
        TermOf::Elt => "elt",
    }
}

/// The paper: the next limit first, then each that runs, then the grounds.
#[must_use]
pub fn paper(year: &Year, dues: &[Due], patterns: &Patterns) -> Paper {
    let told =
        |items: Vec<String>| -> Vec<String> { items.iter().map(|item| days::told(item)).collect() };
    let mut paper = Paper::new(&days::told(&headline(year)));
    let inspected = dues
        .iter()
        .map(|d| match (d.last_day, d.out_of_date_from) {
            (Some(last), Some(_)) if year.hours_over => format!(
                "Inspected {}: the hours are used up; the calendar alone would run through {last}.",
                d.inspected
            ),
            (Some(last), Some(from)) => format!(
                "Inspected {}: good through {last}{}, no more from {from}.",
                d.inspected,
                hours_too(year)
            ),
            _ => format!(
                "Inspected {}: no last day can be given; see below.",
                d.inspected
            ),
        })
        .collect();
    paper.parts.push(Part::List(told(inspected)));
    // The altimeter, the transponder and the ELT bar some flights only; each says which below.
    let mut ran_out = Vec::new();
    if year.hours_over || year.overdue.contains(&TermOf::Inspection) {
        ran_out.push(Circumstance::Overdue);
    }
    if year.overdue.contains(&TermOf::Certificate) {
        ran_out.push(Circumstance::CertificateExpires);
    }
    if !ran_out.is_empty() {
        if ran_out.contains(&Circumstance::Overdue) {
            paper.list(
                "Overdue: what a special flight permit asks",
                told(permit(patterns)),
            );
        }
        for (title, steps) in super::situations::with(&ran_out, patterns) {
            paper.list(&title, told(steps));
        }
    }
    paper.list("Everything that runs", told(running(year, patterns)));
    paper.list(
        "Beware with this letter",
        told(year.program.iter().cloned().collect()),
    );
    let mut grounds = due::notes(dues, &year.interval, patterns);
    if let Some(clause) = &year.clause {
        grounds.push(format!(
            "The interval stands in clause {clause} of the letter."
        ));
    } else if year.interval == Interval::CalendarMonths(12) {
        grounds.push(patterns.statement.say("due-light-sport-category", &[]));
    }
    paper.list("How it was counted", told(grounds));
    paper
}

/// The next limit, in a line.
#[must_use]
pub fn headline(year: &Year) -> String {
    let mut said = match &year.next {
        _ if !year.overdue.is_empty() => {
            let of: Vec<&str> = year.overdue.iter().map(|o| what(*o)).collect();
            format!("Overdue on {}: {}", year.on, super::words::list(&of, "and"))
        }
        Some((day, of)) => {
            let of: Vec<&str> = of.iter().map(|o| what(*o)).collect();
            let of = super::words::list(&of, "and");
            match year.hours_left {
                Some(left) => {
                    format!("Next limit: {left} more hours, and {day} at the latest ({of})")
                }
                None => format!("Next limit: {day}{}, {of}", hours_too(year)),
            }
        }
        None => "No day can be given on which something runs out".to_owned(),
    };
    match year.hours_left {
        Some(left) if left <= 0.0 => {
            said = format!("Overdue on {}: the hours are used up", year.on);
        }
        Some(left) if year.next.is_none() => {
            said = format!("Next limit: {left} more hours; they give no day");
        }
        _ => {}
    }
    said
}

/// That hours in service run beside the calendar, where how many are left is not known.
fn hours_too(year: &Year) -> String {
    match (&year.interval, year.hours_left) {
        (Interval::HoursOrMonths { hours, .. } | Interval::HoursOrDays { hours, .. }, None) => {
            format!(" or {hours} hours in service, whichever comes first")
        }
        (Interval::HoursOrMonths { .. } | Interval::HoursOrDays { .. }, Some(left)) => {
            format!(" or {left} more hours, whichever comes first")
        }
        _ => String::new(),
    }
}

/// What to do where something is overdue.
fn permit(patterns: &Patterns) -> Vec<String> {
    ["permit-when", "permit-what", "permit-inspection"]
        .iter()
        .map(|name| patterns.statement.say(name, &[]))
        .collect()
}

fn running(year: &Year, patterns: &Patterns) -> Vec<String> {
    year.limits
        .iter()
        .map(|limit| {
            let what = super::words::capital(what(limit.of));
            let ground = match limit.exempt {
                Some(reason) => patterns.statement.say(reason, &[]),
                None if limit.by.is_empty() => String::new(),
                None => patterns.statement.say(&limit.by, &[]),
            };
            let day = match limit.last_day {
                Some(day) if day < year.on => format!("ran out on {day}"),
                Some(day) => format!("through {day}"),
                None => "day not known".to_owned(),
            };
            match (limit.exempt, limit.of) {
                (Some(_), _) => format!("{what}: not asked here. {ground}"),
                (None, TermOf::Certificate) if limit.by.is_empty() => format!(
                    "{what}: {day}. {}",
                    patterns.statement.say("certificate-printed", &[])
                ),
                _ => format!("{what}: {day}. {ground}").trim_end().to_owned(),
            }
        })
        .collect()
}

/// What runs out beside the inspection, for a calendar: the certificate, the altimeter, the
/// transponder, the emergency locator transmitter, where the day is known and binds.
#[must_use]
pub fn events(year: &Year, patterns: &Patterns) -> Vec<Event> {
    year.limits
        .iter()
        .zip(running(year, patterns))
        .filter(|(limit, _)| limit.exempt.is_none() && limit.of != TermOf::Inspection)
        .filter_map(|(limit, said)| {
            let what = what(limit.of);
            Some(Event {
                last: limit.last_day?,
                name: name(limit.of).to_owned(),
                summary: format!("Last day of {what}"),
                alarm: format!("{} runs out in 30 days", super::words::capital(what)),
                description: clean::line(&said),
            })
        })
        .collect()
}

#[derive(Serialize)]
struct Root {
    schema: u32,
    interval: due::JsonInterval,
    clause: Option<String>,
    inspections: Vec<due::JsonDue>,
    on: String,
    limits: Vec<JsonLimit>,
    next: Option<JsonNext>,
    hours_left: Option<f64>,
    overdue: Vec<&'static str>,
    is_overdue: bool,
}

#[derive(Serialize)]
struct JsonLimit {
    of: &'static str,
    last_day: Option<String>,
    binds: bool,
    message: String,
}

#[derive(Serialize)]
struct JsonNext {
    /// Hours that may run out before the day.
    hours: Option<f64>,
    day: Option<String>,
    of: Vec<&'static str>,
}

/// For programs.
#[must_use]
pub fn json(year: &Year, dues: &[Due], patterns: &Patterns) -> String {
    let notes = due::notes(dues, &year.interval, patterns);
    let said = running(year, patterns);
    json::pretty(&Root {
        schema: 1,
        interval: due::interval(&year.interval),
        clause: year.clause.as_deref().map(clean::line),
        inspections: dues.iter().map(|d| due::one(d, &notes)).collect(),
        on: year.on.to_string(),
        limits: year
            .limits
            .iter()
            .zip(said)
            .map(|(limit, message)| JsonLimit {
                of: name(limit.of),
                last_day: limit.last_day.map(|d| d.to_string()),
                binds: limit.exempt.is_none(),
                message: clean::line(&message),
            })
            .collect(),
        next: (year.next.is_some() || year.hours_left.is_some()).then(|| JsonNext {
            hours: year.hours_left,
            day: year.next.as_ref().map(|(day, _)| day.to_string()),
            of: year
                .next
                .iter()
                .flat_map(|(_, of)| of.iter().map(|o| name(*o)))
                .collect(),
        }),
        hours_left: year.hours_left,
        overdue: year.overdue.iter().map(|o| name(*o)).collect(),
        is_overdue: year.is_overdue(),
    })
}
