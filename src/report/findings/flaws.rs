//! Flaws of the letter.

use super::{doubtful_word, of_file, one_line};
use crate::model::{Defect, Detail, Edge, Paper, Place, Span, Text};
use crate::patterns::{Patterns, cited};
use crate::report::View;

/// A flaw of the letter as a sentence, most without capital and stop.
#[must_use]
pub fn defect(view: &View<'_>, patterns: &Patterns, defect: &Defect) -> String {
    let text = view.text;
    let words = || defect.span.map_or("", |s| s.of(&text.content));
    let clause = |n: usize| {
        let index = defect.clauses.get(n);
        let clause = index.and_then(|i| view.letter.clauses.get(*i));
        clause.map_or("?", |c| c.id.as_str())
    };
    match &defect.detail {
        Detail::BeginsAt { number } => {
            format!("the numbering begins at {number}; what stands before it is not here")
        }
        Detail::NumbersMissing { first, last } if first == last => {
            format!("number {first} is missing")
        }
        Detail::NumbersMissing { first, last } => {
            format!("numbers {first} to {last} are missing")
        }
        Detail::NumberTwice { number } => format!("the number {number} stands twice"),
        Detail::PageMissing { page, of, behind } => page_missing(*page, *of, *behind),
        Detail::OtherCount {
            source,
            page,
            number,
            of,
            usual,
        } => other_count(&of_file(text, *source), *page, (*number, *of), *usual),
        Detail::OtherPaper {
            source,
            page,
            paper,
        } => other_paper(text, *source, *page, *paper),
        Detail::StripLost { source, page, edge } => {
            strip_lost(&of_file(text, *source), *page, *edge)
        }
        Detail::ClauseCut { at_page_end } => {
            let end = defect.span.filter(|_| *at_page_end);
            let at = end.map_or_else(String::new, |span| end_of_page(text, span));
            let (clause, words) = (clause(0), words());
            format!("limitation {clause} stops in the middle of a sentence{at} («… {words}»)")
        }
        Detail::Insert => format!(
            "a blank of the template was not filled: {}",
            one_line(words())
        ),
        Detail::Blank => blank(clause(0), text.place(defect.span.map_or(0, |s| s.start))),
        Detail::Instruction => format!(
            "an instruction to the issuing office was left in: {}",
            one_line(words())
        ),
        Detail::OrderWords { revision } => format!(
            "These are the order's words to the inspector who issues the letter ({revision})."
        ),
        Detail::Alternatives => "These two clauses are alternatives of one template; only one of \
                                 them can have been meant."
            .to_owned(),
        Detail::Contradiction => format!(
            "limitations {} and {} say different things about who may perform the same inspection",
            clause(0),
            clause(1)
        ),
        Detail::CitesOtherBasis { citation } => format!(
            "This clause speaks of § {citation}, and the letter is one for another paragraph."
        ),
        Detail::WordedForOtherBasis {
            of,
            basis,
            revision,
        } => worded_for(of, *basis, revision),
        Detail::MovedCitation { pattern } | Detail::DroppedTerm { pattern } => {
            outdated(pattern, patterns)
        }
        Detail::DoubtfulWord { meant } => {
            doubtful_word(text, defect.span.unwrap_or_default(), meant.as_deref())
        }
    }
}

fn blank(clause: &str, place: Place) -> String {
    format!(
        "a blank in limitation {clause} (page {}, line {}) was not filled",
        place.page, place.line
    )
}

fn worded_for(of: &[String], basis: char, revision: &str) -> String {
    format!(
        "This clause is worded as one for § 21.191({}), and the letter is one for ({basis}): \
         {revision}.",
        of.join("), (")
    )
}

/// What counts its pages otherwise than the others.
fn other_count(file: &str, page: u32, (number, of): (u32, u32), usual: u32) -> String {
    format!(
        "page {page}{file} says «page {number} of {of}», the others have «of {usual}»: it may \
         belong to another document"
    )
}

/// " at the end of page 2", where there are several.
fn end_of_page(text: &Text, span: Span) -> String {
    if text.pages() < 2 {
        return String::new();
    }
    let place = text.place(span.end.saturating_sub(1));
    let file = of_file(text, place.source);
    format!(" at the end of page {}{file}", place.page)
}

fn page_missing(page: u32, of: u32, behind: Option<u32>) -> String {
    let place = behind.map_or_else(
        || "at the beginning".to_owned(),
        |before| format!("behind page {before}"),
    );
    format!("page {page} of {of} is not among the pages handed in; it belongs {place}")
}

fn other_paper(text: &Text, source: u16, page: u32, paper: Paper) -> String {
    let which = match text.sources.get(usize::from(source)) {
        Some(file) if text.sources.len() > 1 => format!("the file {}", file.name),
        _ => format!("page {page}"),
    };
    let what = match paper {
        Paper::Registration => "a registration",
        Paper::AirmanCertificate => "a person's certificate",
        _ => "another paper",
    };
    format!("{which} is {what}, no part of the letter; its words were left out of the answer")
}

fn strip_lost(file: &str, page: u32, edge: Edge) -> String {
    let edge = match edge {
        Edge::Left => "its left edge",
        Edge::Right => "its right edge",
        Edge::Both => "both edges",
    };
    format!(
        "many lines of page {page}{file} break off in the middle of words: a strip at {edge} \
         seems to be lost"
    )
}

/// What a rule has moved or dropped, with what says so.
fn outdated(pattern: &str, patterns: &Patterns) -> String {
    let files = &patterns.outdated.files;
    files.iter().find(|f| f.id == pattern).map_or_else(
        || pattern.to_owned(),
        |f| format!("{} ({})", f.file.says, cited(&f.file.source)),
    )
}
