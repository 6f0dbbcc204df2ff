//! The facts of a case: the question's options first, else the letter's words.

use crate::model::{
    Basis, CategoryClass, CertificateFor, FactNote, FactStatement, Found, Genre, Inspection,
    Letter, Note, Ownership, Paper, Question, Ratings,
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
    if letter.paper == Paper::Clause {
        notes.push(FactNote::ClauseAlone);
    }
    contradictions(letter, question, &mut notes);
    if twice(&letter.basis) {
        notes.push(FactNote::BasisTwice);
    }
    if twice(&letter.issued) {
        notes.push(FactNote::IssuedTwice);
    }
    let facts = Facts::resolve(letter, question);
    if letter.paper == Paper::LightSportCategory && question.basis.is_some() {
        notes.push(FactNote::NoBasis);
    }
    out_of_time(letter, &facts, &mut notes);
    let (basis, on) = (facts.basis, facts.on);
    for of in FactStatement::ALL {
        let statement = patterns.statement.get(of.name());
        if statement.is_some_and(|s| s.file.holds.of(None, basis, on, facts.issued)) {
            notes.push(FactNote::Statement { of, basis, on });
        }
    }
    notes.into_iter().map(Note::Fact).collect()
}

/// What the question says otherwise than the letter.
fn contradictions(letter: &Letter, question: &Question, notes: &mut Vec<FactNote>) {
    if let (Some(option), Some(own)) = (question.basis, letter.basis.value)
        && (option.letter != own.letter
            || (option.item.is_some() && own.item.is_some() && option.item != own.item))
    {
        notes.push(FactNote::BasisContradicts {
            question: option,
            letter: own,
        });
    }
    if let (Some(option), Some(own)) = (question.issued, letter.issued.value)
        && option != own
    {
        notes.push(FactNote::IssuedContradicts {
            question: option,
            letter: own,
        });
    }
    if let (Some(option), Some(own)) = (&question.aircraft, &letter.aircraft.value)
        && (option.category != own.category
            || (option.class.is_some() && own.class.is_some() && option.class != own.class))
    {
        notes.push(FactNote::AircraftContradicts {
            question: option.clone(),
            letter: own.clone(),
        });
    }
}

/// A letter, an amendment or a term of its own that does not reach the day asked about.
fn out_of_time(letter: &Letter, facts: &Facts, notes: &mut Vec<FactNote>) {
    let on = facts.on;
    if let Some(issued) = facts.issued.filter(|day| *day > on) {
        notes.push(FactNote::LetterYounger { issued, on });
    }
    if let Some(amended) = letter.amended.value.filter(|day| *day > on) {
        notes.push(FactNote::AmendmentYounger { amended, on });
    }
    if let Some(day) = letter.term.value.filter(|day| *day < on) {
        notes.push(FactNote::TermRunOut { day, on });
    }
}

/// Whether the letter gives two values of a fact, so that none is relied on.
fn twice<T>(found: &Found<T>) -> bool {
    found.value.is_none() && found.evidence.len() > 1
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
