//! What the reader says, in the query of the address: nothing of it is kept anywhere else.

use jiff::civil::Date;

use crate::answer::{Fact, Flight, YearFacts};
use crate::model::{Basis, CategoryClass, Inspection, Kind, Letter, Question};
use crate::report::{days, words};

/// Names of the days that can be said.
const DAYS: [&str; 7] = [
    "inspected",
    "expires",
    "certified",
    "altimeter",
    "transponder",
    "elt",
    "elt-removed",
];

/// Names of what can be said of the aircraft's year.
pub(super) const OF_YEAR: [&str; 10] = [
    "hours-left",
    "expires",
    "certified",
    "altimeter",
    "ifr",
    "transponder",
    "elt",
    "elt-removed",
    "seats",
    "flight",
];

/// The facts of an address.
#[derive(Clone, Debug)]
pub(super) struct Facts {
    pub(super) question: Question,
    /// The day of the last inspection, for the calendar.
    pub(super) inspected: Option<Date>,
    /// What is known of the aircraft's year.
    year: YearFacts,
    /// Which of several letters, from 1.
    pub(super) letter: Option<usize>,
    /// What was said, as it stands in addresses.
    given: Vec<(String, String)>,
}

impl Facts {
    /// Reads a query.
    ///
    /// # Errors
    /// A sentence that names what is not understood.
    pub(super) fn of(query: Option<&str>, today: Date) -> Result<Self, String> {
        let mut facts = Self {
            question: Question::on(today),
            inspected: None,
            year: YearFacts::default(),
            letter: None,
            given: Vec::new(),
        };
        for (name, value) in form_urlencoded::parse(query.unwrap_or_default().as_bytes()) {
            let (name, value) = (name.as_ref(), value.trim());
            if value.is_empty() {
                continue;
            }
            if facts.set(name, value).is_none() {
                return Err(match name {
                    day if day == "on" || DAYS.contains(&day) => {
                        format!("A day is written as {}.", days::TYPED)
                    }
                    _ => "One of the answers is not among those that can be given.".to_owned(),
                });
            }
            facts.given.push((name.to_owned(), value.to_owned()));
        }
        Ok(facts)
    }

    fn set(&mut self, name: &str, value: &str) -> Option<()> {
        match name {
            "on" => self.question.on = days::typed(value)?,
            "inspected" => self.inspected = Some(days::typed(value)?),
            "letter" => self.letter = Some(value.parse().ok().filter(|n| (1..=99).contains(n))?),
            "same-aircraft" => {
                (value == "yes").then_some(())?;
                self.question.same_aircraft = true;
            }
            "holder" => {
                let kind = Kind::from_name(value).filter(|k| Kind::HOLDERS.contains(k))?;
                self.question.holder = Some(kind);
            }
            "inspection" => {
                self.question.inspection = Inspection::from_name(value)
                    .filter(|i| matches!(i, Inspection::Yearly | Inspection::HundredHour))?;
            }
            of_year if OF_YEAR.contains(&of_year) => self.set_year(of_year, value)?,
            fact => {
                let fact = Fact::from_name(fact)?;
                crate::answer::set(&mut self.question, fact, value).then_some(())?;
            }
        }
        Some(())
    }

    fn set_year(&mut self, name: &str, value: &str) -> Option<()> {
        let day = || days::typed(value);
        let year = &mut self.year;
        match name {
            "hours-left" => {
                let hours: f64 = value.parse().ok().filter(|h: &f64| h.is_finite())?;
                year.hours_left = Some(hours);
            }
            "expires" => year.expires = Some(day()?),
            "certified" => year.certified = Some(day()?),
            "altimeter" => year.altimeter = Some(day()?),
            "transponder" => year.transponder = Some(day()?),
            "elt" => year.elt = Some(day()?),
            "elt-removed" => year.elt_removed = Some(day()?),
            "ifr" => {
                year.ifr = Some(match value {
                    "yes" => true,
                    "no" => false,
                    _ => return None,
                });
            }
            "seats" => year.seats = Some(value.parse().ok().filter(|n| (1..=99).contains(n))?),
            "flight" => year.flight = Some(Flight::from_name(value)?),
            _ => return None,
        }
        Some(())
    }

    /// What is known of the year of this letter's aircraft.
    pub(super) fn year(&self, letter: &Letter) -> YearFacts {
        YearFacts {
            aircraft: self.question.aircraft.clone(),
            basis: self.question.basis,
            ..self.year.clone()
        }
        .beside(Some(letter))
    }

    /// What was said, but for the fields of a form that shows them itself.
    pub(super) fn but<'a>(&'a self, shown: &'a [&str]) -> impl Iterator<Item = (&'a str, &'a str)> {
        self.given
            .iter()
            .map(|(name, value)| (name.as_str(), value.as_str()))
            .filter(|(name, _)| !shown.contains(name))
    }

    /// What was said under that name.
    pub(super) fn given(&self, name: &str) -> Option<&str> {
        let found = self.given.iter().rev().find(|(n, _)| n == name);
        found.map(|(_, value)| value.as_str())
    }

    /// The question as if this fact had not been said.
    pub(super) fn without(&self, fact: Fact) -> Question {
        let mut question = self.question.clone();
        match fact {
            Fact::Basis => question.basis = None,
            Fact::Owner => question.owner = None,
            Fact::Trained => question.trained = None,
            Fact::Aircraft => question.aircraft = None,
            Fact::Ratings => question.ratings = None,
            Fact::CertificateFor => question.certificate_for = None,
            Fact::HoldsIa => question.inspection_authorization = None,
            Fact::EarlierCertificate => question.earlier_certificate = None,
            Fact::Issued => question.issued = None,
            Fact::Holder | Fact::ClauseCondition | Fact::EffectiveDay => {}
        }
        question
    }

    /// The query with one thing more said.
    pub(super) fn query_with(&self, name: &str, value: &str) -> String {
        let mut more = self.clone();
        more.given.push((name.to_owned(), value.to_owned()));
        more.query()
    }

    /// The query for an address; empty where nothing was said.
    pub(super) fn query(&self) -> String {
        let mut out = form_urlencoded::Serializer::new(String::new());
        for (name, value) in &self.given {
            out.append_pair(name, value);
        }
        let out = out.finish();
        if out.is_empty() {
            out
        } else {
            format!("?{out}")
        }
    }
}

/// The question behind a fact, for a person.
pub(super) fn asked(fact: Fact) -> &'static str {
    words::fact_question(fact.name()).unwrap_or("Do you know this?")
}

/// What helps to answer it.
pub(super) const fn hint(fact: Fact) -> &'static str {
    match fact {
        Fact::Basis => {
            "The special airworthiness certificate says for which purpose it was issued."
        }
        Fact::Owner => {
            "Say it for the person who would sign. A registration alone is no evidence of it."
        }
        Fact::Trained => {
            "It stands on the certificate or the course record of the light-sport repairman."
        }
        Fact::Aircraft => "As the letter or the registration calls it.",
        Fact::Ratings => "They stand on the mechanic certificate.",
        Fact::CertificateFor => "Look at the repairman certificate itself.",
        Fact::HoldsIa => "It comes on top of the mechanic certificate.",
        Fact::EarlierCertificate => {
            "Such as a standard or a restricted certificate of the FAA, before the experimental one. A foreign certificate does not count."
        }
        Fact::Issued | Fact::Holder | Fact::ClauseCondition | Fact::EffectiveDay => "",
    }
}

/// An answer in plain words.
pub(super) fn option(fact: Fact, value: &str) -> String {
    let said = match (fact, value) {
        (Fact::Owner, "self") => "Yes, in the own name",
        (Fact::Owner, "co-owner") => "Yes, together with others",
        (Fact::Owner, "company") => "Through a company",
        (Fact::Owner, "trust") => "Through a trust",
        (Fact::Owner, "not-owner") => "No",
        (Fact::Ratings, "airframe,powerplant") => "Airframe and powerplant",
        (Fact::Ratings, "airframe") => "Airframe only",
        (Fact::Ratings, "powerplant") => "Powerplant only",
        (Fact::CertificateFor, "this") => "Yes, this aircraft",
        (Fact::CertificateFor, "other") => "No, another one",
        (Fact::CertificateFor, "none") => "It names none",
        (_, "yes") => "Yes",
        (_, "no") => "No",
        (Fact::Basis, value) => {
            return Basis::parse(value).map_or_else(
                || value.to_owned(),
                |b| format!("{}, § 21.191{b}", words::capital(words::basis(b))),
            );
        }
        (Fact::Trained | Fact::Aircraft, value) => return category(value),
        (_, value) => value,
    };
    said.to_owned()
}

/// "Airplane, single-engine land".
fn category(value: &str) -> String {
    let Some(parsed) = CategoryClass::parse(value) else {
        return value.to_owned();
    };
    let category = words::capital(&parsed.category);
    match parsed.class.as_deref() {
        Some(class) => {
            let class = ["-land", "-sea"]
                .into_iter()
                .find_map(|end| Some(format!("{} {}", class.strip_suffix(end)?, &end[1..])));
            let plain = parsed.class.clone().unwrap_or_default();
            format!("{category}, {}", class.unwrap_or(plain))
        }
        None => format!("{category}, class not known"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn an_address_carries_the_facts() {
        let today = date(2026, 11, 25);
        let facts = Facts::of(
            Some("owner=self&trained=airplane%2Fsingle-engine-land&ratings=&on=2026-01-02"),
            today,
        )
        .expect("all known");
        assert_eq!(facts.question.on, date(2026, 1, 2));
        assert!(facts.question.owner.is_some());
        assert_eq!(facts.given("ratings"), None);
        assert_eq!(
            facts.query(),
            "?owner=self&trained=airplane%2Fsingle-engine-land&on=2026-01-02"
        );
        assert_eq!(Facts::of(None, today).expect("nothing said").query(), "");
        for wrong in [
            "owner=king",
            "on=soon",
            "holder=faa-inspector",
            "x=1",
            "hours-left=many",
            "hours-left=inf",
            "elt=soon",
            "ifr=maybe",
            "seats=0",
            "flight=home",
        ] {
            assert!(Facts::of(Some(wrong), today).is_err(), "{wrong}");
        }
    }

    #[test]
    fn an_address_carries_the_year() {
        let query =
            "inspected=2026-03-14&hours-left=12.5&elt=2026-05-01&ifr=no&seats=2&flight=testing";
        let facts = Facts::of(Some(query), date(2026, 11, 25)).expect("all known");
        let year = facts.year(&Letter::default());
        assert_eq!(year.hours_left, Some(12.5));
        assert_eq!(year.elt, Some(date(2026, 5, 1)));
        assert_eq!((year.ifr, year.seats), (Some(false), Some(2)));
        assert_eq!(year.flight, Some(Flight::Testing));
        let kept: Vec<_> = facts.but(&OF_YEAR).collect();
        assert_eq!(kept, [("inspected", "2026-03-14")]);
    }

    #[test]
    fn answers_are_in_plain_words() {
        assert_eq!(
            option(Fact::Trained, "airplane/single-engine-land"),
            "Airplane, single-engine land"
        );
        assert_eq!(option(Fact::Aircraft, "glider"), "Glider, class not known");
        assert_eq!(option(Fact::Basis, "g"), "Amateur-built, § 21.191(g)");
    }
}
