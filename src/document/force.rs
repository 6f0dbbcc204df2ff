//! What is in force: clauses that an amendment, a later letter of the same aircraft or a line
//! through them replaced count nowhere, and are shown as replaced.

use std::ops::Range;

use jiff::civil::Date;

use super::dates;
use super::papers::{Part, What};
use super::struck::{marks_behind, struck};
use super::term::term;
use super::tree;
use super::whose::Unit;
use crate::model::{Clause, Found, Letter, Replaced, ReplacedBy, Span, Text};
use crate::patterns::{PaperMeaning, Patterns, Token, TokenKind, WordList};

/// What counts nowhere.
pub(super) struct Settled {
    /// Words that something took the place of.
    pub(super) away: Vec<Span>,
    /// Quotation marks around words that take the place of others: those words are said, not quoted.
    pub(super) marks: Vec<Span>,
}

/// Finds what was replaced, keeps it in [`Letter::replaced`] and tells where it stands.
pub(super) fn settle(
    letter: &mut Letter,
    text: &Text,
    tokens: &[Token],
    parts: &[Part],
    units: &[Unit],
    patterns: &Patterns,
) -> Settled {
    letter.term = term(letter, text, tokens, patterns);
    let mut found: Vec<(Span, Option<usize>, ReplacedBy)> = Vec::new();
    for (span, by) in struck(&text.content) {
        found.push((span, None, by));
    }
    let said = said(letter, text, tokens, patterns);
    letter.amended = amended(letter, text, tokens, parts, &said, patterns);
    found.extend(by_number(letter, &text.content, parts, &said));
    found.extend(earlier(letter, text, units));
    let mut away: Vec<Span> = Vec::new();
    let mut replaced = Vec::new();
    for (span, at, by) in found {
        if away.iter().any(|a| a.contains(span)) {
            continue;
        }
        away.push(span);
        let clause = at.and_then(|n| letter.clauses.get(n)).or_else(|| {
            letter
                .clauses
                .iter()
                .find(|c| span.contains(c.body) && c.body.start < c.body.end)
        });
        replaced.push(Replaced {
            id: clause.map(|c| c.id.clone()),
            span: span.trimmed(&text.content),
            by,
        });
    }
    // The statement that a limitation is replaced is no limitation itself.
    letter.replaced = replaced;
    let marks = said
        .iter()
        .filter(|s| !s.deletes)
        .flat_map(|s| marks_behind(&text.content, s.span.end))
        .collect();
    Settled { away, marks }
}

/// "Limitation 8 is amended to read": the numbers, the words that say so, and whether nothing takes
/// the place.
struct Said {
    span: Span,
    numbers: Vec<String>,
    deletes: bool,
}

fn said(letter: &Letter, text: &Text, tokens: &[Token], patterns: &Patterns) -> Vec<Said> {
    let content = &text.content;
    let mut found = Vec::new();
    for (range, (_, meaning)) in patterns.paper.labels.find(tokens) {
        let deletes = match meaning {
            PaperMeaning::Replaces => false,
            PaperMeaning::Deletes => true,
            _ => continue,
        };
        // "In limitation 12 the words ... are deleted": the limitation stands, with other words.
        if deletes && of_words(content, tokens, &range, patterns) {
            continue;
        }
        let span = Span::new(
            tokens[range.start].span.start,
            tokens[range.end - 1].span.end,
        );
        let before = numbers(content, tokens, range.start, true, patterns);
        let numbers = if before.is_empty() {
            numbers(content, tokens, range.end, false, patterns)
        } else {
            before
        };
        let known: Vec<String> = numbers
            .into_iter()
            .filter(|n| letter.clauses.iter().any(|c| label(c) == Some(n)))
            .collect();
        if !known.is_empty() {
            found.push(Said {
                span,
                numbers: known,
                deletes,
            });
        }
    }
    found
}

/// Whether words announce that clauses are replaced or deleted as a whole, which is carried out here.
pub(crate) fn announces(
    content: &str,
    tokens: &[Token],
    range: &Range<usize>,
    patterns: &Patterns,
) -> bool {
    let within = &tokens[range.clone()];
    let mut labels = patterns.paper.labels.find(within);
    labels.any(|(verb, (_, meaning))| match meaning {
        PaperMeaning::Replaces => true,
        PaperMeaning::Deletes => !of_words(content, within, &verb, patterns),
        _ => false,
    })
}

/// Whether the sentence deletes words of a limitation and not the whole of it.
fn of_words(content: &str, tokens: &[Token], verb: &Range<usize>, patterns: &Patterns) -> bool {
    let stop = |at: &usize| matches!(tokens[*at].span.of(content), "." | ";" | "!");
    let ahead = (verb.end..tokens.len().min(verb.end + REACH)).take_while(|at| !stop(at));
    let behind = (verb.start.saturating_sub(REACH)..verb.start)
        .rev()
        .take_while(|at| !stop(at));
    ahead.chain(behind).any(|at| {
        let word = tokens[at].span.of(content);
        matches!(word, "\"" | "“" | "”") || patterns.list.has(word, WordList::PartOfClause)
    })
}

/// So many tokens away from the verb the numbers stand at most.
const REACH: usize = 22;

/// The numbers of limitations in the same sentence, before or behind a token.
fn numbers(
    content: &str,
    tokens: &[Token],
    at: usize,
    before: bool,
    patterns: &Patterns,
) -> Vec<String> {
    let stop = |t: &Token| matches!(t.span.of(content), "." | ";" | ":" | "!");
    let (start, end) = if before {
        let start = (at.saturating_sub(REACH)..at)
            .rev()
            .find(|i| {
                stop(&tokens[*i])
                    && !(tokens
                        .get(i + 1)
                        .is_some_and(|t| t.kind == TokenKind::Number)
                        && i.checked_sub(1).is_some_and(|p| {
                            tokens[p].is(content, "no") || tokens[p].is(content, "nos")
                        }))
            })
            .map_or(at.saturating_sub(REACH), |i| i + 1);
        (start, at)
    } else {
        let end = (at..tokens.len().min(at + REACH))
            .find(|i| stop(&tokens[*i]))
            .unwrap_or(tokens.len().min(at + REACH));
        (at, end)
    };
    let mut out: Vec<String> = Vec::new();
    let mut named = false;
    let mut through = false;
    for i in start..end {
        let word = tokens[i].span.of(content);
        if patterns
            .paper
            .labels
            .longest_at(tokens, i)
            .is_some_and(|(_, (_, m))| *m == PaperMeaning::LimitationWord)
        {
            named = true;
            continue;
        }
        if !named {
            continue;
        }
        match tokens[i].kind {
            TokenKind::Number if word.len() <= 4 => {
                let label = word.trim_end_matches(['.', ',']).to_owned();
                if through
                    && let (Some(from), Ok(to)) = (
                        out.last().and_then(|n| n.parse::<u32>().ok()),
                        label.parse::<u32>(),
                    )
                {
                    out.extend((from + 1..to.min(from + 60)).map(|n| n.to_string()));
                }
                through = false;
                out.push(label);
            }
            _ => {
                through = word.eq_ignore_ascii_case("through")
                    || word.eq_ignore_ascii_case("to")
                    || word == "-"
                    || word == "–";
                let joins = through
                    || matches!(word, "," | "(" | ")" | "." | "#" | "&" | "[" | "]")
                    || ["and", "no", "nos", "number", "numbers", "or", "s"]
                        .iter()
                        .any(|w| tokens[i].is(content, w));
                // "Limitation 8 of the letter dated …": the list is over
                if !joins && !out.is_empty() {
                    break;
                }
                named &= joins;
            }
        }
    }
    out
}

fn label(clause: &Clause) -> Option<&String> {
    (clause.level == 1)
        .then(|| clause.number.as_ref().or(clause.item.as_ref()))
        .flatten()
        .map(|n| &n.label)
}

/// Clauses of the letter whose numbers an amendment has, or says to be replaced.
fn by_number(
    letter: &Letter,
    content: &str,
    parts: &[Part],
    said: &[Said],
) -> Vec<(Span, Option<usize>, ReplacedBy)> {
    let part_of = |span: Span| {
        parts
            .iter()
            .rfind(|p| p.span.start <= span.start)
            .map(|p| (p.source, p.page, p.what))
    };
    let amends = |span: Span| part_of(span).is_some_and(|(_, _, what)| what == What::Amendment);
    let mut out: Vec<(Span, Option<usize>, ReplacedBy)> = Vec::new();
    let new: Vec<&String> = letter
        .clauses
        .iter()
        .filter(|c| amends(c.span))
        .filter_map(label)
        .collect();
    for (n, clause) in letter.clauses.iter().enumerate() {
        let Some(number) = label(clause) else {
            continue;
        };
        let whole = tree::whole(&letter.clauses, n).unwrap_or(clause.span);
        if new.contains(&number) && !amends(clause.span) {
            out.push((whole, Some(n), ReplacedBy::Amendment));
            continue;
        }
        // What says so stands outside of the clause, behind it or before its paper; where it is
        // followed by a clause of the same number, that one is the new one.
        let told = said.iter().find(|s| {
            s.numbers.contains(number)
                && !clause.span.overlaps(s.span)
                && (s.deletes || !amends(clause.span))
                && !follows(letter, s, n, number)
        });
        if let Some(told) = told {
            let by = if told.deletes {
                ReplacedBy::Deletion
            } else {
                ReplacedBy::Amendment
            };
            // What says so may stand in a paragraph below the clause: it ends there.
            let end = letter
                .clauses
                .iter()
                .filter(|c| c.span.contains(told.span) && c.span.start > clause.span.start)
                .map(|c| c.span.start)
                .fold(whole.end, usize::min);
            let whole = Span::new(whole.start, end.max(clause.span.end));
            out.push((whole.trimmed(content), Some(n), by));
        }
    }
    out
}

/// Whether the clause is the first one of its number behind the words that announce it, and another
/// one of that number stands before them.
fn follows(letter: &Letter, said: &Said, at: usize, number: &String) -> bool {
    let clause = &letter.clauses[at];
    clause.span.start >= said.span.start
        && !said.deletes
        && letter
            .clauses
            .iter()
            .any(|c| c.span.end <= said.span.start && label(c) == Some(number))
}

/// The day of the amendment: the latest day that an amending page, or the sentence that amends,
/// gives.
fn amended(
    letter: &Letter,
    text: &Text,
    tokens: &[Token],
    parts: &[Part],
    said: &[Said],
    patterns: &Patterns,
) -> Found<Date> {
    let mut found: Vec<(Date, Span)> = Vec::new();
    let spans: Vec<Span> = parts
        .iter()
        .filter(|p| p.what == What::Amendment)
        .map(|p| p.span)
        .chain(said.iter().map(|s| {
            Span::new(
                s.span.start.saturating_sub(200),
                (s.span.end + 40).min(text.content.len()),
            )
        }))
        .collect();
    for span in spans {
        let issue = dates::dates(tokens, &text.content, span, patterns);
        found.extend(issue);
    }
    found.retain(|(day, _)| letter.issued.value.is_none_or(|issued| *day > issued));
    found.sort_by_key(|(day, _)| *day);
    Found {
        value: found.last().map(|(day, _)| *day),
        evidence: found.iter().rev().take(2).map(|(_, s)| *s).collect(),
    }
}

/// Letters of the same aircraft that a later one took the place of.
fn earlier(
    letter: &mut Letter,
    text: &Text,
    units: &[Unit],
) -> Vec<(Span, Option<usize>, ReplacedBy)> {
    let mut dated: Vec<(Date, Span)> = units
        .iter()
        .filter(|u| u.letter)
        .filter_map(|u| Some((u.issued?, u.span)))
        .collect();
    dated.sort_by_key(|(day, _)| *day);
    let Some((latest, span)) = dated.last().copied() else {
        return Vec::new();
    };
    let says_who = |span: Span| {
        letter
            .clauses
            .iter()
            .zip(&letter.topics)
            .filter(|(c, _)| span.contains(c.body))
            .filter(|(_, topics)| topics.iter().any(|t| t == "inspection-who"))
            .count()
    };
    let numbered = |span: Span| {
        letter
            .clauses
            .iter()
            .filter(|c| span.contains(c.body) && label(c).is_some())
            .count()
    };
    let mut out = Vec::new();
    for (day, old) in &dated {
        // A set for the other phase is no later letter: it says nothing of the same things.
        let whole = numbered(span) * 2 >= numbered(*old) || says_who(span) > 0;
        if *day < latest && whole && !phases_differ(letter, text, *old, span) {
            out.push((*old, None, ReplacedBy::LaterLetter(latest)));
        }
    }
    if !out.is_empty() {
        letter.issued.value = Some(latest);
    }
    out
}

/// Whether one paper is for phase I and the other for phase II only.
fn phases_differ(letter: &Letter, text: &Text, a: Span, b: Span) -> bool {
    // The clauses of a set for phase II speak of phase I, too: only the words before them tell.
    let head = |span: Span| -> String {
        let first = letter
            .clauses
            .iter()
            .find(|c| c.number.is_some() && span.contains(c.body))
            .map_or(span.end, |c| c.span.start);
        Span::new(span.start, first.max(span.start))
            .of(&text.content)
            .to_lowercase()
    };
    let phase = |head: &str| {
        let two = ["phase ii", "phase 2", "phase two"]
            .iter()
            .any(|p| head.contains(p));
        let one = ["phase i", "phase 1", "phase one"]
            .iter()
            .any(|p| head.replace("phase ii", "").contains(p));
        (one, two)
    };
    matches!(
        (phase(&head(a)), phase(&head(b))),
        ((true, false), (false, true)) | ((false, true), (true, false))
    )
}
