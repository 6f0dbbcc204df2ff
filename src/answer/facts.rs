//! The facts of a case: the question's options first, else the letter's words.

use super::state::Fact;
use crate::model::{
    Basis, CategoryClass, CertificateFor, Found, Genre, Inspection, Letter, Note, Ownership, Paper,
    Question, Ratings,
};
use crate::patterns::{Patterns, Regime};
use jiff::civil::Date;

/// Everything that the two keys are held against.
#[derive(Clone, Debug)]
pub(super) struct Facts {
    pub(super) on: Date,
    pub(super) inspection: Inspection,
    pub(super) regime: Regime,
    pub(super) basis: Option<Basis>,
    pub(super) issued: Option<Date>,
    pub(super) owner: Option<Ownership>,
    pub(super) trained: Option<CategoryClass>,
    pub(super) aircraft: Option<CategoryClass>,
    pub(super) ratings: Option<Ratings>,
    pub(super) certificate_for: Option<CertificateFor>,
    pub(super) earlier_certificate: Option<bool>,
    pub(super) holds_ia: Option<bool>,
    /// The papers are of different aircraft, and nobody said that they are of one.
    pub(super) mixed: bool,
}

impl Facts {
    pub(super) fn resolve(letter: &Letter, question: &Question) -> Self {
        let regime = if letter.paper == Paper::LightSportCategory {
            Regime::LightSportCategory
        } else {
            Regime::Experimental
        };
        Self {
            on: question.on,
            // "Inspections required by these limitations" are asked about as the yearly one.
            inspection: match question.inspection {
                Inspection::Any => Inspection::Yearly,
                other => other,
            },
            regime,
            basis: match regime {
                Regime::LightSportCategory => None,
                Regime::Experimental => basis(question.basis, letter.basis.value),
            },
            issued: question.issued.or(letter.issued.value),
            owner: question.owner,
            trained: question.trained.clone(),
            aircraft: aircraft(question.aircraft.as_ref(), letter.aircraft.value.as_ref()),
            ratings: question.ratings,
            certificate_for: question.certificate_for,
            earlier_certificate: question.earlier_certificate,
            holds_ia: question.inspection_authorization,
            mixed: letter.mixed.is_some() && !question.same_aircraft,
        }
    }
}

/// The option goes before the letter, except where the letter says the same more precisely.
fn basis(option: Option<Basis>, letter: Option<Basis>) -> Option<Basis> {
    match (option, letter) {
        (Some(o), Some(l)) if o.letter == l.letter && o.item.is_none() => Some(l),
        (Some(o), _) => Some(o),
        (None, l) => l,
    }
}

fn aircraft(
    option: Option<&CategoryClass>,
    letter: Option<&CategoryClass>,
) -> Option<CategoryClass> {
    match (option, letter) {
        (Some(o), Some(l)) if o.category == l.category && o.class.is_none() => Some(l.clone()),
        (Some(o), _) => Some(o.clone()),
        (None, l) => l.cloned(),
    }
}

/// What the reader has to be told about the facts before any answer: contradictions between the
/// letter and the options, values that the letter gives twice, a letter that is younger than the
/// day asked about, a basis of a certificate that runs out.
#[must_use]
pub fn notes(letter: &Letter, question: &Question, patterns: &Patterns) -> Vec<Note> {
    let mut notes = Vec::new();
    let mut note = |id: &str, message: String| {
        notes.push(Note {
            id: id.to_owned(),
            message,
            page: None,
        });
    };
    if letter.paper == Paper::Clause {
        note(
            "clause-alone",
            "Judged on this clause alone: no letter around it was handed in. Another clause, an amendment or the certificate can say otherwise; hand in all pages of the operating limitations."
                .to_owned(),
        );
    }
    contradictions(letter, question, &mut note);
    twice(&letter.basis, Fact::Basis, &mut note);
    twice(&letter.issued, Fact::Issued, &mut note);
    let facts = Facts::resolve(letter, question);
    if letter.paper == Paper::LightSportCategory && question.basis.is_some() {
        note(
            "basis-contradicts",
            "The question names a paragraph of § 21.191, but the paper is that of a light-sport category aircraft, which has no experimental certificate. The answers follow the paper."
                .to_owned(),
        );
    }
    out_of_time(letter, &facts, patterns, &mut note);
    let told = |name: &str| {
        patterns
            .statement
            .get(name)
            .is_some_and(|s| s.file.holds.of(None, facts.basis, facts.on, facts.issued))
    };
    let basis = facts.basis.map_or_else(String::new, |b| b.to_string());
    let on = facts.on.to_string();
    for (id, name) in [
        ("certificate-expires", "note-expires"),
        ("basis-younger-than-day", "note-young-basis"),
        ("letter-before-1979", "note-before-1979"),
    ] {
        if told(name) {
            let blanks = [("basis", basis.as_str()), ("on", on.as_str())];
            note(id, patterns.statement.say(name, &blanks));
        }
    }
    notes
}

/// What the question says otherwise than the letter.
fn contradictions(letter: &Letter, question: &Question, note: &mut impl FnMut(&str, String)) {
    if let (Some(option), Some(own)) = (question.basis, letter.basis.value)
        && (option.letter != own.letter
            || (option.item.is_some() && own.item.is_some() && option.item != own.item))
    {
        note(
            "basis-contradicts",
            format!(
                "The question says § 21.191{option}, the letter § 21.191{own}. The answers follow the question; check the certificate."
            ),
        );
    }
    if let (Some(option), Some(own)) = (question.issued, letter.issued.value)
        && option != own
    {
        note(
            "issued-contradicts",
            format!(
                "The question says that the letter was issued on {option}, the letter says {own}. The answers follow the question; check the letter."
            ),
        );
    }
    if let (Some(option), Some(own)) = (&question.aircraft, &letter.aircraft.value)
        && (option.category != own.category
            || (option.class.is_some() && own.class.is_some() && option.class != own.class))
    {
        note(
            "aircraft-contradicts",
            format!(
                "The question says that the aircraft is {option}, the letter {own}. The answers follow the question; check the certificate."
            ),
        );
    }
}

/// A letter, an amendment or a term of its own that does not reach the day asked about.
fn out_of_time(
    letter: &Letter,
    facts: &Facts,
    patterns: &Patterns,
    note: &mut impl FnMut(&str, String),
) {
    if let Some(issued) = facts.issued
        && issued > facts.on
    {
        note(
            "letter-younger-than-day",
            format!(
                "The letter was issued on {issued}, after the day asked about ({}). The letter in force on that day counts, and it is not this one.",
                facts.on
            ),
        );
    }
    if let Some(day) = letter.amended.value
        && day > facts.on
    {
        note(
            "amendment-younger-than-day",
            format!(
                "The amendment is of {day}, after the day asked about ({}). On that day the words before it held.",
                facts.on
            ),
        );
    }
    if let Some(day) = letter.term.value
        && day < facts.on
    {
        let day = day.to_string();
        let on = facts.on.to_string();
        let blanks = [("day", day.as_str()), ("on", on.as_str())];
        note(
            "own-term-run-out",
            patterns.statement.say("note-term-run-out", &blanks),
        );
    }
}

fn twice<T>(found: &Found<T>, fact: Fact, note: &mut impl FnMut(&str, String)) {
    if found.value.is_none() && found.evidence.len() > 1 {
        note(
            &format!("{}-twice", fact.name()),
            format!(
                "The letter gives {}; none is relied on. Say which one holds.",
                named(fact)
            ),
        );
    }
}

/// What a letter gives that gives two values of a fact.
const fn named(fact: Fact) -> &'static str {
    match fact {
        Fact::Basis => "two purposes of § 21.191",
        Fact::Issued => "two issue dates",
        other => other.meaning(),
    }
}

const fn genre_looks_like(genre: Genre) -> &'static str {
    match genre {
        Genre::Lease => "a lease; hand in the operating limitations of the aircraft",
        Genre::Agreement => {
            "a contract or the rules of a club; hand in the operating limitations of the aircraft"
        }
        Genre::Sale => {
            "a contract of sale or an offer; hand in the operating limitations of the aircraft"
        }
        Genre::Insurance => {
            "an insurance policy; hand in the operating limitations of the aircraft"
        }
        Genre::Article => {
            "an article or a post; hand in the operating limitations of your own aircraft"
        }
        Genre::Correspondence => {
            "a message about limitations; hand in the operating limitations themselves, or one clause of them and nothing else"
        }
        Genre::Directive => {
            "a directive or a bulletin; hand in the operating limitations of the aircraft"
        }
        Genre::Manual => {
            "a handbook, a manual or a list of tasks; hand in the operating limitations of the aircraft"
        }
        Genre::Permit => {
            "a permit or certificate of another kind, no experimental certificate; hand in the operating limitations of an experimental certificate, where the aircraft has one"
        }
        Genre::Foreign => {
            "a paper of another country; this program knows the rules of the United States only"
        }
        Genre::Record => {
            "a maintenance record or an invoice; hand in the operating limitations of the aircraft"
        }
        Genre::Application => {
            "an application; hand in the operating limitations that were issued on it"
        }
        Genre::Guidance => {
            "an order, a rule or another paper on limitations in general; hand in the operating limitations of the aircraft"
        }
        Genre::Data => "text made for machines; hand in the operating limitations of the aircraft",
    }
}

/// What a paper that is no letter of operating limitations looks like, and what to hand in
/// instead; `None` for a letter.
#[must_use]
pub const fn paper_looks_like(paper: Paper) -> Option<&'static str> {
    match paper {
        Paper::OperatingLimitations | Paper::Clause => None,
        Paper::Other(genre) => Some(genre_looks_like(genre)),
        Paper::LightSportCategory => Some(
            "the operating limitations of a light-sport category aircraft: no experimental certificate, and a rule says who inspects",
        ),
        Paper::Certificate => Some(
            "a special airworthiness certificate alone (FAA Form 8130-7); hand in the operating limitations that are attached to it",
        ),
        Paper::AirmanCertificate => {
            Some("a person's certificate; hand in the operating limitations of the aircraft")
        }
        Paper::Registration => {
            Some("a registration; hand in the operating limitations of the aircraft")
        }
        Paper::Unknown => Some(
            "no US letter of operating limitations that could be told; hand in the operating limitations of the aircraft, all pages",
        ),
    }
}
