//! `whomay due`.

use std::process::ExitCode;

use anyhow::bail;
use jiff::civil::Date;

use super::args::{LetterFiles, Shared};
use super::letter;
use super::values::Format;
use crate::answer::{self, Interval};
use crate::report::due;

/// When inspections of these days run out, by the letter's own interval where one is given.
pub(super) fn run(
    shared: &Shared,
    dates: &[Date],
    files: &[String],
    calendar: bool,
) -> anyhow::Result<ExitCode> {
    shared.only("due", &[Format::Terminal, Format::Json])?;
    let (interval, clause) = if files.is_empty() {
        (Interval::NotSaid, None)
    } else {
        let read = letter::read(shared, &LetterFiles::one(files))?;
        answer::interval(&read.letter, &read.text.content)
    };
    let dues = answer::due(dates, &interval);
    let result = if calendar {
        // The clock is not read: a stamp from the input keeps the same bytes for the same input.
        let Some(stamp) = dates.iter().max().and_then(|day| {
            let midnight = day.to_zoned(jiff::tz::TimeZone::UTC).ok()?;
            Some(midnight.timestamp())
        }) else {
            bail!("no day that a calendar could hold");
        };
        if dues.iter().all(|d| d.last_day.is_none()) {
            bail!("the letter's interval gives no day; `whomay due` without --calendar says why");
        }
        answer::calendar(&dues, stamp)
    } else {
        match shared.format {
            Format::Json => due::json(&dues, &interval, clause.as_deref()),
            _ => due::terminal(&dues, clause.as_deref(), shared.columns()),
        }
    };
    shared.write(&result)?;
    Ok(ExitCode::SUCCESS)
}
