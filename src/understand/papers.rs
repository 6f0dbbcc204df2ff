//! Several papers handed in as one letter: which page belongs to which of them.
//!
//! The certificate beside the letter tells basis and dates; an amendment takes the place of
//! clauses; a person's certificate or a registration is no part of the letter at all.

use super::paper::Sign;
use crate::model::{Defect, DefectKind, Letter, Note, Paper, Span, Text};
use crate::patterns::PaperMeaning;
use crate::read::capital;

/// A page of one of the papers, or several that follow one another.
#[derive(Clone, Debug)]
pub(super) struct Part {
    pub(super) source: u16,
    pub(super) page: u32,
    pub(super) span: Span,
    pub(super) what: What,
}

/// What a part is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum What {
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
pub(super) fn parts(letter: &Letter, text: &Text, signs: &[Sign<'_>]) -> Vec<Part> {
    let mut parts = pages(text);
    if parts.len() < 2 {
        return parts;
    }
    for part in &mut parts {
        part.what = what(letter, text, signs, part.span);
    }
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
    // "3." before a field of a form is a number, too; a form has no clauses that bind
    let binds = letter
        .inspectors
        .iter()
        .any(|r| here(r.span) && r.evidence.len() > 1);
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
pub(super) fn left_out(parts: &[Part]) -> Vec<Span> {
    parts
        .iter()
        .filter(|p| matches!(p.what, What::Other(_)))
        .map(|p| p.span)
        .collect()
}

/// Takes other papers out of what the letter says, lets amendments take the place of clauses, and
/// says both.
pub(super) fn settle(letter: &mut Letter, text: &Text, parts: &[Part]) {
    let name = |part: &Part| {
        text.sources
            .get(usize::from(part.source))
            .filter(|_| text.sources.len() > 1)
            .map_or_else(
                || format!("page {}", part.page),
                |s| format!("the file {}", s.name),
            )
    };
    let mut told: Vec<(u16, What)> = Vec::new();
    for part in parts {
        let What::Other(paper) = part.what else {
            continue;
        };
        letter.inspectors.retain(|r| !part.span.overlaps(r.span));
        letter.condition.push(Defect {
            kind: DefectKind::OtherDocument,
            clauses: Vec::new(),
            span: Some(part.span.trimmed(&text.content)),
            message: format!(
                "{} is {}, no part of the letter; its words were left out of the answer",
                name(part),
                match paper {
                    Paper::Registration => "a registration",
                    _ => "a person's certificate",
                }
            ),
        });
    }
    for part in parts {
        if !matches!(part.what, What::Certificate | What::Amendment)
            || told.contains(&(part.source, part.what))
        {
            continue;
        }
        told.push((part.source, part.what));
        let replaced = if part.what == What::Amendment {
            replace(letter, text, parts, part.source)
        } else {
            Vec::new()
        };
        letter.notes.push(Note {
            id: match part.what {
                What::Certificate => "certificate-beside",
                _ => "amendment",
            }
            .into(),
            message: match (part.what, replaced.as_slice()) {
                (What::Certificate, _) => format!(
                    "{} is the special airworthiness certificate (FAA Form 8130-7): category, purpose and dates were read from it, too.",
                    capital(&name(part))
                ),
                (_, []) => format!(
                    "{} amends the letter; no clause of the letter has one of its numbers, so both stand beside one another.",
                    capital(&name(part))
                ),
                (_, numbers) => format!(
                    "{} amends the letter: for {} {} its words hold, not those of the letter before it. Before the day of the amendment the old words held.",
                    capital(&name(part)),
                    if numbers.len() == 1 { "limitation" } else { "limitations" },
                    numbers.join(", ")
                ),
            },
            page: None,
        });
    }
}

/// Drops what clauses say about inspectors where the amendment has a clause of the same number;
/// tells the numbers.
fn replace(letter: &mut Letter, text: &Text, parts: &[Part], source: u16) -> Vec<String> {
    let amended = |span: Span| text.place(span.start).source == source;
    let kept = |span: Span| {
        parts.iter().any(|p| {
            p.what == What::Letter && p.span.start <= span.start && span.start < p.span.end
        })
    };
    let label = |c: &crate::model::Clause| {
        (c.level == 1)
            .then(|| c.number.as_ref().or(c.item.as_ref()))
            .flatten()
            .map(|n| n.label.clone())
    };
    let new: Vec<String> = letter
        .clauses
        .iter()
        .filter(|c| amended(c.span))
        .filter_map(label)
        .collect();
    let mut replaced = Vec::new();
    let mut spans: Vec<Span> = Vec::new();
    for (n, clause) in letter.clauses.iter().enumerate() {
        if let Some(number) = label(clause).filter(|l| new.contains(l) && kept(clause.span)) {
            let end = letter
                .clauses
                .get(n + 1..)
                .unwrap_or_default()
                .iter()
                .take_while(|c| c.level > 1 || c.parent.is_some())
                .last()
                .map_or(clause.span.end, |c| c.span.end);
            spans.push(Span::new(clause.span.start, end));
            if !replaced.contains(&number) {
                replaced.push(number);
            }
        }
    }
    letter
        .inspectors
        .retain(|r| !spans.iter().any(|s| s.overlaps(r.span)));
    replaced
}
