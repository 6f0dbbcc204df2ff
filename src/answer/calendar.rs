//! An iCalendar file (RFC 5545) of the days on which inspections run out.

use super::due::Due;
use jiff::Timestamp;
use jiff::civil::Date;
use std::fmt::Write as _;

/// Something that runs out beside the inspection.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Event {
    /// The last good day.
    pub last: Date,
    /// What tells it from others of that day: `altimeter`.
    pub name: String,
    /// What it is, for people.
    pub summary: String,
    /// What is said thirty days before.
    pub alarm: String,
    /// The ground, for people.
    pub description: String,
}

/// The calendar as text: lines of at most 75 octets ended by CRLF, one all-day event for each
/// inspection that can be computed, on the last day on which it is current, with an alarm 30 days
/// before; then the same for what runs out beside it.
///
/// The same days and stamp give the same bytes: the UID comes from the day of inspection and its
/// number among equal days, or from what runs out and when, and the time stamp (DTSTAMP) from the
/// caller.
#[must_use]
pub fn calendar(dues: &[Due], further: &[Event], notes: &[String], stamp: Timestamp) -> String {
    let mut out = String::new();
    for line in [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        concat!(
            "PRODID:-//whomay//condition inspection ",
            env!("CARGO_PKG_VERSION"),
            "//EN"
        ),
        "CALSCALE:GREGORIAN",
    ] {
        fold(&mut out, line);
    }
    for (n, due) in dues.iter().enumerate() {
        let Some(last) = due.last_day else {
            continue;
        };
        let twin = dues[..n].iter().filter(|d| *d == due).count();
        let mut description = format!("Inspected on {}.", due.inspected);
        for note in notes {
            let _ = write!(description, "\n{note}");
        }
        let event = Event {
            last,
            name: String::new(),
            summary: "Last day of the condition inspection".to_owned(),
            alarm: "The condition inspection runs out in 30 days".to_owned(),
            description,
        };
        let uid = format!("inspected-{}-due-{last}-{twin}", due.inspected);
        one(&mut out, &uid, &event, stamp);
    }
    for event in further {
        let uid = format!("{}-due-{}", event.name, event.last);
        one(&mut out, &uid, event, stamp);
    }
    fold(&mut out, "END:VCALENDAR");
    out
}

fn one(out: &mut String, uid: &str, event: &Event, stamp: Timestamp) {
    // A day without a next one is the end of the calendar; then there is no event.
    let Ok(after) = event.last.tomorrow() else {
        return;
    };
    let mut line = |text: &str| fold(out, text);
    line("BEGIN:VEVENT");
    line(&format!("UID:{uid}@whomay.invalid"));
    line(&format!("DTSTAMP:{}", stamp.strftime("%Y%m%dT%H%M%SZ")));
    line(&format!(
        "DTSTART;VALUE=DATE:{}",
        event.last.strftime("%Y%m%d")
    ));
    line(&format!("DTEND;VALUE=DATE:{}", after.strftime("%Y%m%d")));
    line(&format!("SUMMARY:{}", escape(&event.summary)));
    line(&format!("DESCRIPTION:{}", escape(&event.description)));
    line("TRANSP:TRANSPARENT");
    line("BEGIN:VALARM");
    line("ACTION:DISPLAY");
    line("TRIGGER:-P30D");
    line(&format!("DESCRIPTION:{}", escape(&event.alarm)));
    line("END:VALARM");
    line("END:VEVENT");
}

/// RFC 5545, 3.3.11: backslash, semicolon, comma and line break of a text value.
fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '\\' => out.push_str("\\\\"),
            ';' => out.push_str("\\;"),
            ',' => out.push_str("\\,"),
            '\n' => out.push_str("\\n"),
            c if c.is_control() => {}
            c => out.push(c),
        }
    }
    out
}

/// RFC 5545, 3.1: no line longer than 75 octets without the line break; a continuation starts
/// with a blank. No character is cut in two.
fn fold(out: &mut String, line: &str) {
    let mut width = 0;
    for c in line.chars() {
        if width + c.len_utf8() > 75 {
            out.push_str("\r\n ");
            width = 1;
        }
        out.push(c);
        width += c.len_utf8();
    }
    out.push_str("\r\n");
}
