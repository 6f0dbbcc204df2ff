//! An iCalendar file (RFC 5545) of the days on which inspections run out.

use super::due::Due;
use jiff::Timestamp;
use std::fmt::Write as _;

/// The calendar as text: lines of at most 75 octets ended by CRLF, one all-day event for each
/// inspection that can be computed, on the last day on which it is current, with an alarm 30 days
/// before.
///
/// The same dues and stamp give the same bytes: the UID comes from the day of inspection and its
/// number among equal days, and the time stamp (DTSTAMP) from the caller.
#[must_use]
pub fn calendar(dues: &[Due], notes: &[String], stamp: Timestamp) -> String {
    let mut out = String::new();
    let mut line = |text: &str| fold(&mut out, text);
    line("BEGIN:VCALENDAR");
    line("VERSION:2.0");
    line(&format!(
        "PRODID:-//whomay//condition inspection {}//EN",
        env!("CARGO_PKG_VERSION")
    ));
    line("CALSCALE:GREGORIAN");
    for (n, due) in dues.iter().enumerate() {
        let (Some(last), Some(after)) = (due.last_day, due.out_of_date_from) else {
            continue;
        };
        let twin = dues[..n].iter().filter(|d| *d == due).count();
        line("BEGIN:VEVENT");
        line(&format!(
            "UID:inspected-{}-due-{last}-{twin}@whomay.invalid",
            due.inspected
        ));
        line(&format!("DTSTAMP:{}", stamp.strftime("%Y%m%dT%H%M%SZ")));
        line(&format!("DTSTART;VALUE=DATE:{}", last.strftime("%Y%m%d")));
        line(&format!("DTEND;VALUE=DATE:{}", after.strftime("%Y%m%d")));
        line(&format!(
            "SUMMARY:{}",
            escape("Last day of the condition inspection")
        ));
        let mut description = format!("Inspected on {}.", due.inspected);
        for note in notes {
            let _ = write!(description, "\n{note}");
        }
        line(&format!("DESCRIPTION:{}", escape(&description)));
        line("TRANSP:TRANSPARENT");
        line("BEGIN:VALARM");
        line("ACTION:DISPLAY");
        line("TRIGGER:-P30D");
        line(&format!(
            "DESCRIPTION:{}",
            escape("The condition inspection runs out in 30 days")
        ));
        line("END:VALARM");
        line("END:VEVENT");
    }
    line("END:VCALENDAR");
    out
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
