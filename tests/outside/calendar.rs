//! "12 calendar months" against the vectors of the trade and against another date library.
//!
//! The vectors: common practice, no source of the regulator (an inspection on any day of a month is
//! current through the last day of the same month a year later). The arithmetic: `chrono` 0.4,
//! `Months`, over random days.

use chrono::{Datelike, Months, NaiveDate};
use whomay::answer::last_day_after;

fn day(words: &str) -> jiff::civil::Date {
    words.parse().expect("a day")
}

#[test]
fn the_vectors_of_the_trade() {
    for (inspected, last) in [
        ("2011-07-01", "2012-07-31"),
        ("2014-06-06", "2015-06-30"),
        // A common wrong answer is 1 September 2013.
        ("2012-08-01", "2013-08-31"),
        ("2027-02-10", "2028-02-29"),
        ("2025-12-31", "2026-12-31"),
        ("2026-01-31", "2027-01-31"),
    ] {
        assert_eq!(
            last_day_after(day(inspected), 12),
            Some(day(last)),
            "{inspected}"
        );
    }
}

/// The last day of a month by the other library: the first of the next month, less one day.
fn by_chrono(date: NaiveDate, months: u32) -> NaiveDate {
    date.with_day(1)
        .and_then(|first| first.checked_add_months(Months::new(months + 1)))
        .and_then(|next| next.pred_opt())
        .expect("within the calendar")
}

#[test]
fn month_arithmetic_agrees_with_another_library() {
    let mut state = 0x1234_5678_9abc_def1_u64;
    let mut roll = |sides: u64| {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        state % sides
    };
    let first = NaiveDate::from_ymd_opt(1900, 1, 1).expect("a day");
    for _ in 0..20_000 {
        let date = first + chrono::Days::new(roll(110_000));
        let months = u32::try_from(roll(37)).expect("small");
        let want = by_chrono(date, months).to_string();
        let got = last_day_after(
            day(&date.to_string()),
            i32::try_from(months).expect("small"),
        )
        .expect("within the calendar")
        .to_string();
        assert_eq!(got, want, "{date} and {months} months");
    }
}

#[test]
fn every_day_of_a_leap_cycle() {
    let mut date = NaiveDate::from_ymd_opt(2023, 1, 1).expect("a day");
    while date.year() < 2029 {
        let got = last_day_after(day(&date.to_string()), 12).expect("within the calendar");
        assert_eq!(got.to_string(), by_chrono(date, 12).to_string());
        date = date.succ_opt().expect("a day");
    }
}
