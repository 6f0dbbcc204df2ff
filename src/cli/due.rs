//! `whomay due`.

use std::mem::ManuallyDrop;
use std::path::PathBuf;
use std::process::ExitCode;

use anyhow::bail;
use clap::Args;
use jiff::civil::Date;

use super::letter;
use super::shared::{LetterFiles, Shared};
use super::values::{self, Format};
use crate::answer::{self, Flight, YearFacts};
use crate::model::{Basis, CategoryClass};
use crate::patterns::Patterns;
use crate::report::{due, year};

/// What only the user knows of the aircraft's year.
#[derive(Debug, Args)]
#[command(next_help_heading = "Facts (what is not given stays open)")]
pub(super) struct Year {
    /// The day on which it is asked what is overdue; today unless given
    #[arg(long, value_name = "DATE", value_parser = values::date)]
    on: Option<Date>,
    /// Hours left of an interval in hours
    #[arg(long, value_name = "HOURS", allow_negative_numbers = true)]
    hours_left: Option<f64>,
    /// The day printed on the certificate, where it ends
    #[arg(long, value_name = "DATE", value_parser = values::date)]
    expires: Option<Date>,
    /// The day on which the certificate was issued or renewed
    #[arg(long, value_name = "DATE", value_parser = values::date)]
    issued: Option<Date>,
    /// The last test of altimeter and static system
    #[arg(long, value_name = "DATE", value_parser = values::date)]
    altimeter: Option<Date>,
    /// The aircraft is flown under IFR: yes, no
    #[arg(long, value_name = "YES|NO", value_parser = values::yes_no)]
    ifr: Option<bool>,
    /// The last test of the transponder
    #[arg(long, value_name = "DATE", value_parser = values::date)]
    transponder: Option<Date>,
    /// The last inspection of the emergency locator transmitter
    #[arg(long, value_name = "DATE", value_parser = values::date)]
    elt: Option<Date>,
    /// The day on which the transmitter was taken out, with placard and entry
    #[arg(long, value_name = "DATE", value_parser = values::date)]
    elt_removed: Option<Date>,
    /// Seats, the pilot's included
    #[arg(long, value_name = "NUMBER")]
    seats: Option<u32>,
    /// What the flight is for: purpose, local-training, testing, ferry-for-elt, other
    #[arg(long, value_name = "WHAT", value_parser = values::flight)]
    flight: Option<Flight>,
    /// What the aircraft is: airplane, glider, …
    #[arg(long, value_name = "CATEGORY[/CLASS]", value_parser = values::category)]
    aircraft: Option<CategoryClass>,
    /// Paragraph of 14 CFR 21.191 on the certificate: g is amateur-built
    #[arg(long, value_name = "LETTER", value_parser = values::basis)]
    basis: Option<Basis>,
}

/// When inspections of these days run out, by the letter's own interval where one is given, and
/// the year after the last of them.
pub(super) fn run(
    shared: &Shared,
    dates: &[Date],
    files: &[PathBuf],
    calendar: bool,
    asked: &Year,
) -> anyhow::Result<ExitCode> {
    shared.only("due", &Format::REPORT)?;
    let read = if files.is_empty() {
        None
    } else {
        Some(letter::read(shared, &LetterFiles::one(files))?)
    };
    let own;
    let patterns: &Patterns = match &read {
        Some(read) => &read.patterns,
        None => {
            own = ManuallyDrop::new(shared.load()?);
            &own
        }
    };
    let letter = read.as_ref().map(|r| (&r.letter, &r.text));
    let Some(last) = dates.iter().max() else {
        bail!("no day of an inspection");
    };
    let facts = YearFacts {
        hours_left: asked.hours_left,
        expires: asked.expires,
        certified: asked.issued,
        altimeter: asked.altimeter,
        ifr: asked.ifr,
        transponder: asked.transponder,
        elt: asked.elt,
        elt_removed: asked.elt_removed,
        seats: asked.seats,
        flight: asked.flight,
        aircraft: asked.aircraft.clone(),
        basis: asked.basis,
    }
    .beside(letter.map(|(l, _)| l));
    // The clock is read here only, for a day that is not given.
    let on = asked.on.unwrap_or_else(|| jiff::Zoned::now().date());
    let found = answer::year(*last, on, letter, &facts, patterns);
    let dues = answer::due(dates, &found.interval);
    // Whoever names a calendar file wants one.
    let named = shared
        .output
        .as_ref()
        .and_then(|file| file.extension())
        .is_some_and(|end| end.eq_ignore_ascii_case("ics"));
    let result = if calendar || named {
        ics(*last, &found, &dues, patterns)?
    } else {
        match shared.format {
            Format::Json => year::json(&found, &dues, patterns),
            Format::Markdown => year::paper(&found, &dues, patterns).markdown(),
            Format::Html => year::paper(&found, &dues, patterns).html(),
            _ => year::paper(&found, &dues, patterns).terminal(shared.columns()),
        }
    };
    shared.write(&result)?;
    Ok(ExitCode::SUCCESS)
}

/// The calendar file. A stamp from the input keeps the same bytes for the same input.
fn ics(
    last: Date,
    found: &answer::Year,
    dues: &[answer::Due],
    patterns: &Patterns,
) -> anyhow::Result<String> {
    let Ok(midnight) = last.to_zoned(jiff::tz::TimeZone::UTC) else {
        bail!("no day that a calendar could hold");
    };
    let further = year::events(found, patterns);
    if further.is_empty() && dues.iter().all(|d| d.last_day.is_none()) {
        bail!("the letter's interval gives no day; `whomay due` without --calendar says why");
    }
    let notes = due::notes(dues, &found.interval, patterns);
    Ok(answer::calendar(
        dues,
        &further,
        &notes,
        midnight.timestamp(),
    ))
}
