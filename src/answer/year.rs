//! The year of an aircraft: everything that runs out, and what does so first.
//!
//! The terms are files of `patterns/statement/` with a `[term]`; the inspection's own comes from
//! the letter. What does not apply to this aircraft is said with its ground and counts nowhere.

use super::due::{Due, Interval, due, ends_after, interval, last_day_after};
use super::facts::Facts;
use crate::model::{Basis, CategoryClass, Letter, Question, Text};
use crate::patterns::{EntryRole, Patterns, Term, TermOf};
use jiff::ToSpan;
use jiff::civil::Date;

/// What only the user knows of the aircraft's year. What is not given stays open.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct YearFacts {
    /// Hours left until the hours of the letter's interval are used up.
    pub hours_left: Option<f64>,
    /// The day printed on the certificate.
    pub expires: Option<Date>,
    /// The day on which the certificate was issued or renewed.
    pub certified: Option<Date>,
    /// The last test of altimeter and static system.
    pub altimeter: Option<Date>,
    /// The aircraft is flown under IFR.
    pub ifr: Option<bool>,
    /// The last test of the transponder.
    pub transponder: Option<Date>,
    /// The last inspection of the emergency locator transmitter.
    pub elt: Option<Date>,
    /// The day on which the transmitter was taken out, with placard and entry.
    pub elt_removed: Option<Date>,
    /// Seats, the pilot's included.
    pub seats: Option<u32>,
    /// What the flight is for.
    pub flight: Option<Flight>,
    /// The aircraft.
    pub aircraft: Option<CategoryClass>,
    /// The paragraph of § 21.191.
    pub basis: Option<Basis>,
}

impl YearFacts {
    /// The same with aircraft and purpose from the letter, where they are not given.
    #[must_use]
    pub fn beside(mut self, letter: Option<&Letter>) -> Self {
        let Some(letter) = letter else {
            return self;
        };
        self.aircraft = self.aircraft.or_else(|| letter.aircraft.value.clone());
        self.basis = self.basis.or(letter.basis.value);
        self
    }
}

/// What a flight is for, as far as a rule asks it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Flight {
    /// The purpose of the certificate: exhibition, racing, market survey, crew training.
    Purpose,
    /// Training within 50 nautical miles of the airport.
    LocalTraining,
    /// Design and testing.
    Testing,
    /// To the place where the transmitter is repaired or installed.
    FerryForElt,
    /// Any other.
    Other,
}

impl Flight {
    /// Every value.
    pub const ALL: [Self; 5] = [
        Self::Purpose,
        Self::LocalTraining,
        Self::Testing,
        Self::FerryForElt,
        Self::Other,
    ];

    /// The flight of that name.
    #[must_use]
    pub fn from_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|f| f.name() == name)
    }

    /// The name of the option.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Purpose => "purpose",
            Self::LocalTraining => "local-training",
            Self::Testing => "testing",
            Self::FerryForElt => "ferry-for-elt",
            Self::Other => "other",
        }
    }
}

/// Something that runs out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Limit {
    /// What.
    pub of: TermOf,
    /// The last good day; `None` where it is not known.
    pub last_day: Option<Date>,
    /// The name of the statement that sets it; empty for the inspection and a printed day.
    pub by: String,
    /// It does not bind here, for the reason of the statement of this name.
    pub exempt: Option<&'static str>,
}

/// The year of an aircraft.
#[derive(Clone, Debug, PartialEq)]
pub struct Year {
    /// The last inspection.
    pub due: Due,
    /// The letter's interval.
    pub interval: Interval,
    /// The clause that sets it.
    pub clause: Option<String>,
    /// Everything that runs out, the inspection first.
    pub limits: Vec<Limit>,
    /// The earliest day, and what runs out on it.
    pub next: Option<(Date, Vec<TermOf>)>,
    /// Hours left of an interval in hours.
    pub hours_left: Option<f64>,
    /// What has run out on the day asked about.
    pub overdue: Vec<TermOf>,
    /// The hours are used up.
    pub hours_over: bool,
    /// The day asked about.
    pub on: Date,
    /// That an inspection program is needed beside it, where the letter shows such an aircraft or does
    /// not tell (§ 91.409(e), (f)).
    pub program: Option<String>,
}

impl Year {
    /// Whether anything that binds has run out.
    #[must_use]
    pub fn is_overdue(&self) -> bool {
        self.hours_over || !self.overdue.is_empty()
    }
}

/// Works out the year after an inspection of that day.
///
/// `letter` is the letter with its text, where one was given.
#[must_use]
pub fn year(
    inspected: Date,
    on: Date,
    letter: Option<(&Letter, &Text)>,
    facts: &YearFacts,
    patterns: &Patterns,
) -> Year {
    let (interval, clause) = match letter {
        None => (Interval::NotSaid, None),
        Some((letter, text)) => interval(letter, &text.content, patterns),
    };
    let due = due(&[inspected], &interval).remove(0);
    let mut limits = vec![Limit {
        of: TermOf::Inspection,
        last_day: due.last_day,
        by: String::new(),
        exempt: None,
    }];
    limits.extend(certificate(letter, facts, on, patterns));
    limits.extend(equipment(facts, patterns));
    let running = || {
        limits
            .iter()
            .filter(|l| l.exempt.is_none())
            .filter_map(|l| Some((l.last_day?, l.of)))
    };
    let next = running().map(|(day, _)| day).min().map(|first| {
        let what = running().filter(|(day, _)| *day == first);
        (first, what.map(|(_, of)| of).collect())
    });
    let mut overdue: Vec<TermOf> = running()
        .filter(|(day, _)| *day < on)
        .map(|(_, of)| of)
        .collect();
    // An ambiguous interval is over only where it is so on every reading of it.
    if due.last_day.is_none() && due.over_after.is_some_and(|day| day < on) {
        overdue.insert(0, TermOf::Inspection);
    }
    let hours = matches!(
        interval,
        Interval::Hours(_) | Interval::HoursOrMonths { .. } | Interval::HoursOrDays { .. }
    );
    let hours_left = facts.hours_left.filter(|_| hours);
    Year {
        hours_over: hours_left.is_some_and(|h| h <= 0.0),
        due,
        interval,
        clause,
        next,
        hours_left,
        overdue,
        limits,
        on,
        program: letter.and_then(|(letter, text)| {
            let mut question = Question::on(on);
            question.aircraft.clone_from(&facts.aircraft);
            question.basis = facts.basis;
            let facts = Facts::resolve(letter, &question);
            super::program::needed(letter, &text.content, &facts, patterns)
        }),
    }
}

/// The certificate's own end: the day printed on it, else the longest term that the rule allows.
fn certificate(
    letter: Option<(&Letter, &Text)>,
    facts: &YearFacts,
    on: Date,
    patterns: &Patterns,
) -> Option<Limit> {
    let limit = |last_day, by: &str| Limit {
        of: TermOf::Certificate,
        last_day,
        by: by.to_owned(),
        exempt: None,
    };
    let printed = facts
        .expires
        .or_else(|| letter.and_then(|(l, _)| l.term.value))
        .or_else(|| letter.and_then(|(_, text)| expires(&text.content, on, patterns)));
    if printed.is_some() {
        return Some(limit(printed, ""));
    }
    let issued = facts
        .certified
        .or_else(|| letter.and_then(|(l, _)| l.issued.value));
    let said = letter.and_then(|(l, text)| ends_after(l, &text.content, patterns));
    if let (Some(day), Some(months)) = (issued, said) {
        return Some(limit(day.checked_add(months.months()).ok(), ""));
    }
    let basis = facts
        .basis
        .or_else(|| letter.and_then(|(l, _)| l.basis.value))?;
    let (file, term) = patterns
        .statement
        .terms(TermOf::Certificate)
        .find(|(f, _)| f.file.holds.of(None, Some(basis), on, issued))?;
    let name = file.name();
    Some(limit(issued.and_then(|day| end(day, term)), name))
}

/// The last good day of a term that runs from that day.
fn end(from: Date, term: &Term) -> Option<Date> {
    if term.calendar {
        last_day_after(from, term.months)
    } else {
        from.checked_add(term.months.months()).ok()
    }
}

/// The day of "The certificate expires: ...", where the letter prints one.
#[must_use]
pub fn expires(text: &str, today: Date, patterns: &Patterns) -> Option<Date> {
    super::entry::labelled_day(text, EntryRole::Expires, today, patterns)
}

/// Altimeter, transponder, emergency locator transmitter.
fn equipment(facts: &YearFacts, patterns: &Patterns) -> Vec<Limit> {
    let limit = |of: TermOf, tested: Option<Date>, exempt: Option<&'static str>| {
        let (file, term) = patterns.statement.terms(of).next()?;
        Some(Limit {
            of,
            last_day: tested.and_then(|day| end(day, term)),
            by: file.name().to_owned(),
            exempt,
        })
    };
    let ifr_only = (facts.ifr != Some(true)).then_some("altimeter-ifr-only");
    let exempt = elt_exempt(facts, patterns);
    // Taken out with placard and entry, the aircraft may fly for a while without it.
    let removed = facts
        .elt_removed
        .filter(|_| exempt.is_none())
        .and_then(|day| {
            let (file, _) = patterns.statement.terms(TermOf::Elt).next()?;
            let days = file.file.term.as_ref()?.removed_days?;
            Some(Limit {
                of: TermOf::Elt,
                last_day: day.checked_add(days.days()).ok(),
                by: "elt-removed".to_owned(),
                exempt: None,
            })
        });
    [
        limit(TermOf::Altimeter, facts.altimeter, ifr_only),
        limit(TermOf::Transponder, facts.transponder, None),
        removed.or_else(|| limit(TermOf::Elt, facts.elt, exempt)),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// Why no transmitter is required, where none is.
fn elt_exempt(facts: &YearFacts, patterns: &Patterns) -> Option<&'static str> {
    let (_, term) = patterns.statement.terms(TermOf::Elt).next()?;
    let airplane = facts
        .aircraft
        .as_ref()
        .is_none_or(|a| term.categories.is_empty() || term.categories.contains(&a.category));
    let by_basis = facts
        .basis
        .is_some_and(|b| term.exempt.iter().any(|e| e.letter == b.letter));
    if !airplane {
        Some("elt-airplanes-only")
    } else if facts.seats == Some(1) {
        Some("elt-one-seat")
    } else if by_basis {
        Some("elt-research")
    } else {
        match facts.flight? {
            Flight::Purpose => facts
                .basis
                .is_some_and(|b| ('b'..='f').contains(&b.letter))
                .then_some("elt-purpose"),
            Flight::LocalTraining => Some("elt-local-training"),
            Flight::Testing => Some("elt-testing"),
            Flight::FerryForElt => Some("elt-ferry"),
            Flight::Other => None,
        }
    }
}
