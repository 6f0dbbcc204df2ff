//! When a condition inspection runs out: calendar months, as common practice counts them.
//!
//! An inspection on any day of a month is current through the last day of the same month twelve
//! calendar months later. No primary source of the regulator was found for the end of the month;
//! the letters say "within the preceding 12 calendar months". Only calendar months are computed;
//! other intervals are explained.

use super::next::clause_of;
use crate::model::Letter;
use jiff::ToSpan;
use jiff::civil::Date;

/// What the letter says about the interval.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Interval {
    /// So many calendar months: computed.
    CalendarMonths(i32),
    /// "12 months" without "calendar": ambiguous.
    Months(i32),
    /// "annually", "yearly", "each year".
    Annually,
    /// So many hours in service.
    Hours(i32),
    /// No words on an interval were found.
    NotSaid,
}

/// When one inspection runs out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Due {
    /// The day of the inspection, as in the log entry.
    pub inspected: Date,
    /// The last day on which it is current, through 24:00; `None` where it cannot be computed.
    pub last_day: Option<Date>,
    /// The day from which on no flight may be made without another inspection.
    pub out_of_date_from: Option<Date>,
    /// Sentences for people: what was counted and on which ground.
    pub notes: Vec<String>,
}

/// The last day of the month `months` calendar months after the month of `day`.
///
/// `None` where the calendar ends (years beyond 9999).
#[must_use]
pub fn last_day_after(day: Date, months: i32) -> Option<Date> {
    day.first_of_month()
        .checked_add(months.months())
        .ok()
        .map(Date::last_of_month)
}

/// When inspections of these days run out, by twelve calendar months or what the letter says.
#[must_use]
pub fn due(dates: &[Date], interval: &Interval) -> Vec<Due> {
    dates.iter().map(|date| one(*date, interval)).collect()
}

fn one(inspected: Date, interval: &Interval) -> Due {
    let mut due = Due {
        inspected,
        last_day: None,
        out_of_date_from: None,
        notes: Vec::new(),
    };
    match interval {
        Interval::CalendarMonths(months) => {
            due.last_day = last_day_after(inspected, *months);
            due.notes.push(format!(
                "{months} calendar months from the month of the inspection, through the last day of the month (common practice, no source of the regulator; § 91.327(b)(2) has the same interval for light-sport category aircraft, eCFR as of 2026-08-24, grade A). The clock starts on the day of the inspection in the entry."
            ));
        }
        Interval::NotSaid => {
            due.last_day = last_day_after(inspected, 12);
            due.notes.push(
                "The letter's interval was not found, or no letter was given: 12 calendar months are taken, the usual ones. Read the letter."
                    .to_owned(),
            );
        }
        Interval::Months(months) => due.notes.push(format!(
            "The letter says «{months} months», not «calendar months»: it could run to the same day of the month or to the end of the month. Nothing is computed; the earlier day is the safe one, and the FAA office can say."
        )),
        Interval::Annually => due.notes.push(
            "The letter says «annually» or the like: it could mean a year to the day or 12 calendar months. Nothing is computed; the earlier day is the safe one, and the FAA office can say."
                .to_owned(),
        ),
        Interval::Hours(hours) => due.notes.push(format!(
            "The letter counts {hours} hours of time in service: no day can be computed; look at the hours in the log."
        )),
    }
    due.out_of_date_from = due.last_day.and_then(|d| d.tomorrow().ok());
    if let Some(last) = due.last_day {
        due.notes.push(format!(
            "Current through 24:00 on {last}. After it no flight, not even to the inspector, without a special flight permit (§ 21.197; from memory, grade M)."
        ));
    }
    due
}

/// What the letter says about the interval of the yearly inspection, with the clause.
///
/// `text` is the normalized text of the letter.
#[must_use]
pub fn interval(letter: &Letter, text: &str) -> (Interval, Option<String>) {
    let mut fallback = None;
    for (clause, topics) in letter.clauses.iter().zip(&letter.topics) {
        if !topics.iter().any(|t| t == "inspection-when") {
            continue;
        }
        let words = clause.body.of(text).to_ascii_lowercase();
        let found = words_interval(&words);
        match found {
            Interval::CalendarMonths(_) => return (found, Some(clause.id.clone())),
            Interval::NotSaid => {}
            other if fallback.is_none() => fallback = Some((other, Some(clause.id.clone()))),
            _ => {}
        }
    }
    fallback.unwrap_or_else(|| {
        (
            Interval::NotSaid,
            clause_of(letter, "inspection-when").map(str::to_owned),
        )
    })
}

/// The first interval in a clause, in lower case.
fn words_interval(words: &str) -> Interval {
    let tokens: Vec<&str> = words
        .split(|c: char| !c.is_alphanumeric())
        .filter(|w| !w.is_empty())
        .collect();
    for (n, token) in tokens.iter().enumerate() {
        let after = |k: usize| tokens.get(n + k).copied().unwrap_or("");
        if let Some(count) = number(token) {
            if after(1) == "calendar" && after(2).starts_with("month") {
                return Interval::CalendarMonths(count);
            }
            if after(1).starts_with("month") {
                return Interval::Months(count);
            }
            if after(1).starts_with("hour") {
                return Interval::Hours(count);
            }
        }
        let each_year = ["each", "every"].contains(token) && after(1) == "year";
        if each_year || ["annually", "yearly"].contains(token) {
            return Interval::Annually;
        }
    }
    Interval::NotSaid
}

fn number(token: &str) -> Option<i32> {
    const WORDS: [(&str, i32); 5] = [
        ("six", 6),
        ("twelve", 12),
        ("eighteen", 18),
        ("hundred", 100),
        ("twentyfour", 24),
    ];
    token
        .parse()
        .ok()
        .filter(|n| (1..=9999).contains(n))
        .or_else(|| WORDS.iter().find(|(w, _)| *w == token).map(|(_, n)| *n))
}
