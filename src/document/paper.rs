//! What kind of paper it is, on which basis and day it was issued, for what kind of aircraft.

use super::alone;
use super::dates::issued;
use super::evidence::{Judged, Tally};
use super::heads::Heads;
use super::papers::{self, Part, What};
use super::signs::{Sign, signs};
use super::sure;
use crate::model::{Basis, CategoryClass, Citation, Found, Genre, Letter, Paper, Span, Text};
use crate::patterns::{PaperMeaning, Patterns, Token};

/// Fills `paper`, `basis`, `issued` and `aircraft` from the words, takes out papers that are no
/// part of the letter. Tells which pages belong to which of the papers handed in.
pub(super) fn tell(
    letter: &mut Letter,
    text: &Text,
    tokens: &[Token],
    patterns: &Patterns,
) -> Vec<Part> {
    let content = &text.content;
    let mut signs = signs(tokens, patterns);
    let parts = papers::parts(letter, text, tokens, &signs, patterns);
    let other = |span: Span| {
        parts
            .iter()
            .any(|p| matches!(p.what, What::Other(_)) && p.span.contains(span))
    };
    signs.retain(|s| !other(s.span));
    let citations: Vec<Citation> = letter
        .citations
        .iter()
        .filter(|c| !other(c.span))
        .cloned()
        .collect();
    papers::settle(letter, text, &parts);
    let heads = Heads::of(letter, content, &parts);
    letter.basis = basis(&signs, &citations, text, &heads);
    (letter.paper, letter.paper_evidence) =
        paper(letter, &signs, text, tokens, &heads, &parts, patterns);
    let found = issued(letter, &signs, tokens, text, &heads, &parts);
    letter.issued = sure::unless_doubtful(found, text);
    letter.aircraft = sure::unless_doubtful(aircraft(&signs, &heads), text);
    parts
}

/// A form with fewer numbered clauses is one, whatever its words.
const FEW_CLAUSES: usize = 3;

/// What paper it is, and the words that told.
fn paper(
    letter: &Letter,
    signs: &[Sign<'_>],
    text: &Text,
    tokens: &[Token],
    head: &Heads,
    parts: &[Part],
    patterns: &Patterns,
) -> (Paper, Vec<Span>) {
    let content = &text.content;
    let of = |meaning: &PaperMeaning| -> Vec<Span> {
        signs
            .iter()
            .filter(|s| s.meaning == meaning)
            .map(|s| s.span)
            .collect()
    };
    let first = |spans: &[Span]| spans.iter().take(3).copied().collect::<Vec<_>>();
    let numbered = letter
        .clauses
        .iter()
        .filter(|c| c.level == 1 && (c.number.is_some() || c.item.is_some()))
        .count();
    let light_sport: Vec<Span> = of(&PaperMeaning::LightSportCategory)
        .into_iter()
        .filter(|s| head.contains(*s) || s.of(content).starts_with("91.327"))
        .collect();
    let experimental = !letter.basis.evidence.is_empty() || head.say(content, "experimental");
    let registration = of(&PaperMeaning::Registration);
    let airman = of(&PaperMeaning::AirmanCertificate);
    let mut certificate = of(&PaperMeaning::Certificate);
    // "We issued your special airworthiness certificate": one sign in running text is no form.
    if let [one] = certificate[..]
        && !stands_alone(content, one)
    {
        certificate.clear();
    }
    let tally = tally_of(letter, content, tokens, parts, patterns);
    let judged = tally.judged();
    let against = |genre: Genre| -> Vec<Span> {
        let of_it = tally.against.iter().filter(|(g, _)| *g == genre);
        of_it.map(|(_, span)| *span).take(3).collect()
    };
    let forms = !(registration.is_empty() && airman.is_empty() && certificate.is_empty());
    if !forms && alone::is_clause(letter, text, tokens, &tally) {
        return (Paper::Clause, first(&tally.words));
    }
    let form =
        |signs: &[Span]| !signs.is_empty() && (judged != Judged::Letter || numbered < FEW_CLAUSES);
    if form(&registration) {
        return (Paper::Registration, first(&registration));
    }
    if !airman.is_empty() && (judged != Judged::Letter || airman.len() > 1 && tally.title == 0) {
        return (Paper::AirmanCertificate, first(&airman));
    }
    match judged {
        Judged::Letter if !light_sport.is_empty() && !experimental => {
            (Paper::LightSportCategory, first(&light_sport))
        }
        Judged::Letter if !certificate.is_empty() && tally.title == 0 && numbered == 0 => {
            (Paper::Certificate, first(&certificate))
        }
        Judged::Letter => (Paper::OperatingLimitations, first(&tally.words)),
        Judged::Other(genre) => (Paper::Other(genre), against(genre)),
        Judged::Unclear if !certificate.is_empty() => (Paper::Certificate, first(&certificate)),
        Judged::Unclear => (Paper::Unknown, Vec::new()),
    }
}

/// Whether words have their line for themselves, as the title of a form has.
fn stands_alone(content: &str, words: Span) -> bool {
    let before = content[..words.start].rsplit('\n').next();
    let behind = content[words.end..].split('\n').next();
    let empty = |rest: Option<&str>| rest.is_none_or(|rest| rest.trim().is_empty());
    empty(before) && empty(behind)
}

/// The evidence of the pages that are taken for the letter, together.
fn tally_of(
    letter: &Letter,
    content: &str,
    tokens: &[Token],
    parts: &[Part],
    patterns: &Patterns,
) -> Tally {
    let of = |span: Span| {
        Tally::of(
            content,
            tokens,
            span,
            &letter.clauses,
            &letter.topics,
            patterns,
        )
    };
    let mine = |p: &&Part| !matches!(p.what, What::Other(_));
    if parts.iter().all(|p| mine(&p)) {
        return of(Span::new(0, content.len()));
    }
    // The letter begins with its own first page, and so do its titles.
    let (mut start, mut end) = (content.len(), 0);
    for part in parts.iter().filter(mine) {
        start = start.min(part.span.start);
        end = end.max(part.span.end);
    }
    of(Span::new(start.min(end), end))
}

/// The paragraph of § 21.191: cited in the head, named in the head, cited anywhere as the purpose,
/// named anywhere; the first of these that tells, and only if it tells one. A head that cites one
/// and names another tells none; nor do words that were read with doubt, unless others say the same.
fn basis(signs: &[Sign<'_>], citations: &[Citation], text: &Text, head: &Heads) -> Found<Basis> {
    let cited: Vec<(Basis, Span)> = citations
        .iter()
        .filter(|c| c.part == "21" && c.section.starts_with("191"))
        .filter_map(|c| Basis::parse(&c.target).map(|b| (b, c.span)))
        .collect();
    let named: Vec<(Basis, Span)> = signs
        .iter()
        .filter_map(|s| match s.meaning {
            PaperMeaning::Basis(b) => Some((*b, s.span)),
            _ => None,
        })
        .filter(|(_, span)| !person_follows(&text.content, *span))
        .collect();
    let in_head = |list: &[(Basis, Span)]| -> Vec<(Basis, Span)> {
        list.iter()
            .filter(|(_, s)| head.contains(*s))
            .copied()
            .collect()
    };
    let (cited_first, named_first) = (in_head(&cited), in_head(&named));
    let all = [&cited_first, &named_first, &cited, &named];
    let Some(candidates) = all.into_iter().find(|c| !c.is_empty()) else {
        return Found::default();
    };
    let evidence = candidates.iter().take(3).map(|(_, s)| *s).collect();
    let Some(one) = one_of(candidates) else {
        return Found {
            value: None,
            evidence,
        };
    };
    if let (Some(cited), Some(named)) = (cited_first.first(), named_first.first())
        && !named_first.iter().any(|(b, _)| is_same(*b, one))
    {
        return Found {
            value: None,
            evidence: vec![cited.1, named.1],
        };
    }
    let is_sure = |(b, span): &&(Basis, Span)| is_same(*b, one) && !sure::is_doubtful(text, *span);
    let sure: Vec<Basis> = all
        .into_iter()
        .flatten()
        .filter(is_sure)
        .map(|(b, _)| *b)
        .collect();
    let value = (!sure.is_empty()).then_some(Basis {
        item: one
            .item
            .filter(|item| sure.iter().any(|b| b.item == Some(*item))),
        ..one
    });
    let found = Found { value, evidence };
    if sure.is_empty() {
        sure::unless_doubtful(found, text)
    } else {
        found
    }
}

/// Whether every rule treats the two alike: exhibition and air racing share their letters.
fn is_same(a: Basis, b: Basis) -> bool {
    let shared = |basis: Basis| matches!(basis.letter, 'd' | 'e');
    a.letter == b.letter || shared(a) && shared(b)
}

/// The basis that all of them are; the one that tells most of it.
fn one_of(candidates: &[(Basis, Span)]) -> Option<Basis> {
    let (first, _) = *candidates.first()?;
    let is_one = candidates.iter().all(|(b, _)| is_same(*b, first));
    let letter = candidates.iter().map(|(b, _)| b.letter).min()?;
    let item = candidates
        .iter()
        .map(|(b, _)| *b)
        .find(|b| b.item.is_some());
    is_one.then(|| item.unwrap_or(Basis { letter, item: None }))
}

/// "amateur-built aircraft builder" names a person, "light-sport repairman" too.
fn person_follows(content: &str, span: Span) -> bool {
    let next = content
        .get(span.end..)
        .unwrap_or("")
        .split_whitespace()
        .next()
        .unwrap_or("");
    ["builder", "repairman", "repairmen"]
        .iter()
        .any(|p| next.to_lowercase().starts_with(p))
}

fn aircraft(signs: &[Sign<'_>], head: &Heads) -> Found<CategoryClass> {
    let found: Vec<(&CategoryClass, Span)> = signs
        .iter()
        .filter_map(|s| match s.meaning {
            PaperMeaning::Category(c) if head.contains(s.span) => Some((c, s.span)),
            _ => None,
        })
        .collect();
    let mut categories: Vec<&str> = found.iter().map(|(c, _)| c.category.as_str()).collect();
    categories.sort_unstable();
    categories.dedup();
    let mut classes: Vec<&str> = found
        .iter()
        .filter_map(|(c, _)| c.class.as_deref())
        .collect();
    classes.sort_unstable();
    classes.dedup();
    Found {
        value: match categories.as_slice() {
            [one] => Some(CategoryClass {
                category: (*one).to_owned(),
                class: match classes.as_slice() {
                    [class] => Some((*class).to_owned()),
                    _ => None,
                },
            }),
            _ => None,
        },
        evidence: found.iter().take(3).map(|(_, s)| *s).collect(),
    }
}
