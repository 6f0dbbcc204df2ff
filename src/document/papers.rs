//! Several papers handed in as one letter: which page belongs to which of them.
//!
//! The certificate beside the letter tells basis and dates; an amendment takes the place of
//! clauses; a person's certificate or a registration is no part of the letter at all.

use super::evidence::{Judged, Tally};
use super::signs::Sign;
use crate::model::{
    Defect, Detail, Genre, Letter, Note, Paper, PaperNote, ReplacedBy, Span, Stands, Text,
};
use crate::patterns::{PaperMeaning, Patterns, Token};

/// A page of one of the papers, or several that follow one another.
#[derive(Clone, Debug)]
pub(crate) struct Part {
    pub(crate) source: u16,
    pub(crate) page: u32,
    pub(crate) span: Span,
    pub(crate) what: What,
}

/// What a part is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum What {
    /// Of the letter.
    Letter,
    /// FAA Form 8130-7 beside it.
    Certificate,
    /// Changes clauses of the letter.
    Amendment,
    /// No part of the letter.
    Other(Paper),
}

/// The pages of the text with what they are. A text of one page is of the letter, whatever it is:
/// then the whole tells.
pub(super) fn parts(
    letter: &Letter,
    text: &Text,
    tokens: &[Token],
    signs: &[Sign<'_>],
    patterns: &Patterns,
) -> Vec<Part> {
    let mut parts = pages(text);
    if parts.len() < 2 {
        return parts;
    }
    for part in &mut parts {
        part.what = what(letter, text, signs, part.span);
    }
    others(&mut parts, letter, text, tokens, patterns);
    if parts.iter().all(|p| p.what != What::Letter) {
        // nothing but other papers: the whole tells which
        parts.iter_mut().for_each(|p| p.what = What::Letter);
        return parts;
    }
    let amending: Vec<u16> = amending(text, signs, &parts);
    for part in &mut parts {
        if part.what == What::Letter && amending.contains(&part.source) {
            part.what = What::Amendment;
        }
    }
    parts
}

/// Files, and pages of one, that are other papers by their evidence: a lease between two letters,
/// the mail before one.
fn others(parts: &mut [Part], letter: &Letter, text: &Text, tokens: &[Token], patterns: &Patterns) {
    let tally = |span: Span| {
        Tally::of(
            &text.content,
            tokens,
            span,
            &letter.clauses,
            &letter.topics,
            patterns,
        )
    };
    let mut at = 0;
    while at < parts.len() {
        let source = parts[at].source;
        let end = parts[at..]
            .iter()
            .position(|p| p.source != source)
            .map_or(parts.len(), |n| at + n);
        let whole = Span::new(parts[at].span.start, parts[end - 1].span.end);
        let all = tally(whole);
        let file: Option<Genre> = match all.judged() {
            Judged::Other(genre) if end - at < parts.len() => Some(genre),
            _ => None,
        };
        for part in &mut parts[at..end] {
            if part.what != What::Letter {
                continue;
            }
            let own = tally(part.span);
            let page = match own.judged() {
                // A page of a letter may mention a lease; a page of a lease says it over and over.
                Judged::Other(genre) if own.other().1 >= PAGE && own.title + own.papers == 0 => {
                    Some(genre)
                }
                _ => None,
            };
            if let Some(genre) = file.or(page) {
                part.what = What::Other(Paper::Other(genre));
            }
        }
        at = end;
    }
}

/// A page of a file is another paper where so much speaks for one, and nothing for a letter.
const PAGE: u32 = 8;

fn pages(text: &Text) -> Vec<Part> {
    let mut parts: Vec<Part> = Vec::new();
    for anchor in &text.anchors {
        match parts.last_mut() {
            Some(last) if (last.source, last.page) == (anchor.source, anchor.page) => {}
            _ => {
                if let Some(last) = parts.last_mut() {
                    last.span.end = anchor.at;
                }
                parts.push(Part {
                    source: anchor.source,
                    page: anchor.page,
                    span: Span::new(anchor.at, text.content.len()),
                    what: What::Letter,
                });
            }
        }
    }
    parts
}

/// A page with the signs of another paper and no numbered clause.
fn what(letter: &Letter, text: &Text, signs: &[Sign<'_>], page: Span) -> What {
    let here = |span: Span| page.start <= span.start && span.start < page.end;
    let numbered = letter
        .clauses
        .iter()
        .filter(|c| c.level == 1 && (c.number.is_some() || c.item.is_some()))
        .filter(|c| here(c.span))
        .count();
    // "3." before a field of a form is a number, too; a form says nothing of who inspects
    let binds = letter
        .clauses
        .iter()
        .zip(&letter.topics)
        .any(|(c, topics)| here(c.span) && topics.iter().any(|t| t == "inspection-who"));
    let count = |meaning: &PaperMeaning| {
        let mut words: Vec<String> = signs
            .iter()
            .filter(|s| s.meaning == meaning && here(s.span))
            .map(|s| s.span.of(&text.content).to_lowercase())
            .collect();
        words.sort();
        words.dedup();
        words.len()
    };
    let voice = count(&PaperMeaning::Letter);
    let airman = count(&PaperMeaning::AirmanCertificate);
    let registration = count(&PaperMeaning::Registration);
    let certificate = count(&PaperMeaning::Certificate);
    // A short last page of a letter may speak of a certificate; a form says so twice or has no
    // clause at all.
    let form =
        |signs: usize| voice < 2 && (signs > 0 && numbered == 0 || signs > 1 && numbered < 2);
    if form(registration) {
        What::Other(Paper::Registration)
    } else if form(airman) {
        What::Other(Paper::AirmanCertificate)
    } else if certificate > 0 && numbered == 0 && !binds {
        What::Certificate
    } else {
        What::Letter
    }
}

/// The files that say of themselves that they amend, where another file is the letter.
fn amending(text: &Text, signs: &[Sign<'_>], parts: &[Part]) -> Vec<u16> {
    let mut letters: Vec<u16> = parts
        .iter()
        .filter(|p| p.what == What::Letter)
        .map(|p| p.source)
        .collect();
    letters.sort_unstable();
    letters.dedup();
    if letters.len() < 2 {
        return Vec::new();
    }
    let amends: Vec<u16> = letters
        .iter()
        .copied()
        .filter(|source| {
            signs.iter().any(|s| {
                *s.meaning == PaperMeaning::Amendment && text.place(s.span.start).source == *source
            })
        })
        .collect();
    if amends.len() == letters.len() {
        return Vec::new();
    }
    amends
}

/// Where papers stand that are no part of the letter.
pub(crate) fn left_out(parts: &[Part]) -> Vec<Span> {
    parts
        .iter()
        .filter(|p| matches!(p.what, What::Other(_) | What::Certificate))
        .map(|p| p.span)
        .collect()
}

/// Says which pages are of other papers, and which is the certificate.
pub(super) fn settle(letter: &mut Letter, text: &Text, parts: &[Part]) {
    let mut told: Vec<u16> = Vec::new();
    for part in parts {
        let What::Other(paper) = part.what else {
            continue;
        };
        letter.findings.push(Defect {
            detail: Detail::OtherPaper {
                source: part.source,
                page: part.page,
                paper,
            },
            clauses: Vec::new(),
            span: Some(part.span.trimmed(&text.content)),
        });
    }
    for part in parts {
        if part.what != What::Certificate || told.contains(&part.source) {
            continue;
        }
        told.push(part.source);
        let note = PaperNote::CertificateBeside(stands(text, part));
        letter.notes.push(Note::Paper(note));
    }
}

fn stands(text: &Text, part: &Part) -> Stands {
    text.sources
        .get(usize::from(part.source))
        .filter(|_| text.sources.len() > 1)
        .map_or(Stands::Page(part.page), |s| Stands::File(s.name.clone()))
}

/// Says what was replaced, and by what.
pub(super) fn tell_replaced(letter: &mut Letter, text: &Text, parts: &[Part]) {
    let listed = |by: fn(ReplacedBy) -> bool| -> Vec<String> {
        let mut ids: Vec<String> = Vec::new();
        for replaced in letter.replaced.iter().filter(|r| by(r.by)) {
            if let Some(id) = &replaced.id
                && !ids.contains(id)
            {
                ids.push(id.clone());
            }
        }
        ids
    };
    let mut notes: Vec<PaperNote> = Vec::new();
    let amended = listed(|by| by == ReplacedBy::Amendment);
    let mut told: Vec<u16> = Vec::new();
    for part in parts.iter().filter(|p| p.what == What::Amendment) {
        if told.contains(&part.source) {
            continue;
        }
        told.push(part.source);
        notes.push(PaperNote::Amendment {
            at: stands(text, part),
            limitations: amended.clone(),
        });
    }
    if told.is_empty() && !amended.is_empty() {
        notes.push(PaperNote::AmendsItself(amended));
    }
    let deleted = listed(|by| by == ReplacedBy::Deletion);
    if !deleted.is_empty() {
        notes.push(PaperNote::Deletion(deleted));
    }
    if letter.replaced.iter().any(|r| r.by == ReplacedBy::Struck) {
        notes.push(PaperNote::StruckThrough);
    }
    let later = letter.replaced.iter().find_map(|r| match r.by {
        ReplacedBy::LaterLetter(day) => Some(day),
        _ => None,
    });
    notes.extend(later.map(PaperNote::LaterLetter));
    letter.notes.extend(notes.into_iter().map(Note::Paper));
}
