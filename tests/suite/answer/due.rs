//! Due dates, the calendar file, the questions that are worth asking.

use whomay::answer::{Fact, Interval, ask, calendar, due, last_day_after, set};
use whomay::model::{Kind, Question};
use whomay::report::due::notes;

use super::build::{Says, letter, patterns};

fn day(words: &str) -> jiff::civil::Date {
    words.parse().expect("a day")
}

#[test]
fn only_calendar_months_are_computed() {
    let dates = [day("2027-02-10")];
    let computed = &due(&dates, &Interval::CalendarMonths(12))[0];
    assert_eq!(computed.last_day, Some(day("2028-02-29")));
    assert_eq!(computed.out_of_date_from, Some(day("2028-03-01")));
    for interval in [
        Interval::Months(12),
        Interval::Annually,
        Interval::Hours(100),
        Interval::NoClause,
    ] {
        let due = &due(&dates, &interval)[0];
        assert_eq!(due.last_day, None);
        assert!(!notes(std::slice::from_ref(due), &interval, patterns())[0].is_empty());
    }
    assert_eq!(last_day_after(day("9999-12-01"), 12), None);
}

/// "25 hours or 90 days, whichever is sooner": the days are counted, and the hours are told.
#[test]
fn days_beside_hours_give_the_latest_day() {
    let interval = Interval::HoursOrDays {
        hours: 25,
        days: 90,
    };
    let due = &due(&[day("2026-05-04")], &interval)[0];
    assert_eq!(due.last_day, Some(day("2026-08-02")));
    assert!(notes(std::slice::from_ref(due), &interval, patterns())[0].contains("25 hours"));
}

#[test]
fn a_calendar_is_folded_at_75_octets_and_the_same_every_time() {
    let dues = due(
        &[day("2026-05-14"), day("2026-05-14"), day("2025-12-31")],
        &Interval::CalendarMonths(12),
    );
    let stamp: jiff::Timestamp = "2026-11-25T08:00:00Z".parse().expect("a stamp");
    let said = notes(&dues, &Interval::CalendarMonths(12), patterns());
    let text = calendar(&dues, &[], &said, stamp);
    assert_eq!(text, calendar(&dues, &[], &said, stamp));
    assert!(text.ends_with("END:VCALENDAR\r\n"));
    for line in text.split_terminator("\r\n") {
        assert!(line.len() <= 75, "{line}");
        assert!(!line.contains('\n') && !line.contains('\r'));
    }
    let unfolded = text.replace("\r\n ", "");
    let uids: Vec<&str> = unfolded.lines().filter(|l| l.starts_with("UID:")).collect();
    assert_eq!(uids.len(), 3);
    assert!(uids[0] != uids[1] && uids[1] != uids[2], "{uids:?}");
    assert!(unfolded.contains("DTSTART;VALUE=DATE:20270531"));
    assert!(unfolded.contains("DTEND;VALUE=DATE:20270601"));
    assert!(unfolded.contains("DTSTAMP:20261125T080000Z"));
    assert!(unfolded.contains(
        "(common practice\\, no source\\; § 91.327(b)(2)\\, eCFR as of 2026-08-24\\, grade A)"
    ));
}

#[test]
fn only_questions_that_can_change_the_answer_are_asked() {
    let open = letter(
        Some("g"),
        &[Says::open(&[Kind::BuilderRepairman, Kind::Mechanic])],
    );
    let mut question = Question::on(day("2026-11-25"));
    question.holder = Some(Kind::LightSportRepairmanInspection);
    let facts = |q: &Question| {
        ask(&open, q, patterns())
            .into_iter()
            .map(|a| a.fact)
            .collect::<Vec<_>>()
    };
    assert_eq!(
        facts(&question),
        [Fact::Owner, Fact::Trained, Fact::Aircraft]
    );
    assert!(set(&mut question, Fact::Owner, "not-owner"));
    assert!(facts(&question).is_empty());
    let mut mechanic = Question::on(day("2026-11-25"));
    mechanic.holder = Some(Kind::Mechanic);
    assert_eq!(facts(&mechanic), [Fact::Ratings]);
    assert!(!set(&mut mechanic, Fact::Ratings, "rotor"));
}
