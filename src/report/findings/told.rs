//! What has to be said of a letter and of the facts of a question beside the answers, in sentences.

use super::reading::read_note;
use crate::model::{FactNote, Misfit, MisfitKind, Note, PaperNote, Stands, TooMuch};
use crate::patterns::Patterns;

/// A note as sentences, with the remedy where there is one.
#[must_use]
pub fn note(patterns: &Patterns, note: &Note) -> String {
    match note {
        Note::Read(note) => read_note(note),
        Note::TooMuch(what) => too_much(*what),
        Note::Paper(note) => of_papers(note),
        Note::Fact(note) => of_facts(patterns, note),
    }
}

/// That a text has more of something than any letter.
#[must_use]
pub fn too_much(what: TooMuch) -> String {
    let what = match what {
        TooMuch::Words(count) => format!("{count} words"),
        TooMuch::Clauses(count) => format!("{count} clauses"),
        TooMuch::Sentence(count) => format!("a sentence of {count} words"),
    };
    format!(
        "This is too much to read: the text has {what}, as no letter does. Hand over only the \
         pages of the letter."
    )
}

/// That a stated date and the words of a letter are of different times.
#[must_use]
pub fn misfit(misfit: &Misfit) -> String {
    let Misfit {
        issued, wording, ..
    } = misfit;
    let but = match misfit.kind {
        MisfitKind::CameLater(from) => format!("came later (about {from}): check the date."),
        MisfitKind::ReplacedBefore(until) => {
            format!("was replaced about {until}: an office may have used an old template.")
        }
    };
    format!(
        "The letter says that it was issued on {issued}, but its words are those of {wording}, \
         which {but}"
    )
}

fn of_papers(note: &PaperNote) -> String {
    match note {
        PaperNote::CertificateBeside(at) => format!(
            "{} is the special airworthiness certificate (FAA Form 8130-7): category, purpose and \
             dates were read from it, too.",
            stands(at)
        ),
        PaperNote::Amendment { at, limitations } if limitations.is_empty() => format!(
            "{} amends the letter; no clause of the letter has one of its numbers, so both stand \
             beside one another.",
            stands(at)
        ),
        PaperNote::Amendment { at, limitations } => format!(
            "{} amends the letter: for {} its words hold, not those of the letter before it. \
             Before the day of the amendment the old words held.",
            stands(at),
            listed(limitations)
        ),
        PaperNote::AmendsItself(limitations) => format!(
            "The paper amends itself: for {} the later words hold. Before the day of the \
             amendment the old words held.",
            listed(limitations)
        ),
        PaperNote::Deletion(limitations) => format!(
            "An amendment deletes {}; nothing of it counts.",
            listed(limitations)
        ),
        PaperNote::StruckThrough => "Words with a line through them count nowhere.".to_owned(),
        PaperNote::LaterLetter(day) => format!(
            "Two letters of the same aircraft were handed in: the later one, of {day}, is taken \
             to be in force, and nothing of the earlier one counts."
        ),
    }
}

fn stands(at: &Stands) -> String {
    match at {
        Stands::File(name) => format!("The file {name}"),
        Stands::Page(page) => format!("Page {page}"),
    }
}

/// "limitations 4, 7".
fn listed(limitations: &[String]) -> String {
    let name = if limitations.len() == 1 {
        "limitation"
    } else {
        "limitations"
    };
    format!("{name} {}", limitations.join(", "))
}

fn of_facts(patterns: &Patterns, note: &FactNote) -> String {
    let statement = &patterns.statement;
    match note {
        FactNote::ClauseAlone => CLAUSE_ALONE.to_owned(),
        FactNote::BasisContradicts { question, letter } => format!(
            "The question says § 21.191{question}, the letter § 21.191{letter}. The answers \
             follow the question; check the certificate."
        ),
        FactNote::NoBasis => NO_BASIS.to_owned(),
        FactNote::IssuedContradicts { question, letter } => format!(
            "The question says that the letter was issued on {question}, the letter says \
             {letter}. The answers follow the question; check the letter."
        ),
        FactNote::AircraftContradicts { question, letter } => format!(
            "The question says that the aircraft is {question}, the letter {letter}. The answers \
             follow the question; check the certificate."
        ),
        FactNote::BasisTwice => twice("two purposes of § 21.191"),
        FactNote::IssuedTwice => twice("two issue dates"),
        FactNote::LetterYounger { issued, on } => format!(
            "The letter was issued on {issued}, after the day asked about ({on}). The letter in \
             force on that day counts, and it is not this one."
        ),
        FactNote::AmendmentYounger { amended, on } => format!(
            "The amendment is of {amended}, after the day asked about ({on}). On that day the \
             words before it held."
        ),
        FactNote::TermRunOut { day, on } => statement.say(
            "note-term-run-out",
            &[("day", &day.to_string()), ("on", &on.to_string())],
        ),
        FactNote::Statement { of, basis, on } => {
            let basis = basis.map_or_else(String::new, |b| b.to_string());
            let blanks = [("basis", basis.as_str()), ("on", &on.to_string())];
            statement.say(of.name(), &blanks)
        }
    }
}

const CLAUSE_ALONE: &str = "Judged on this clause alone: no letter around it was handed in. \
    Another clause, an amendment or the certificate can say otherwise; hand in all pages of the \
    operating limitations.";
const NO_BASIS: &str = "The question names a paragraph of § 21.191, but the paper is that of a \
    light-sport category aircraft, which has no experimental certificate. The answers follow the \
    paper.";

fn twice(what: &str) -> String {
    format!("The letter gives {what}; none is relied on. Say which one holds.")
}
