//! Who may inspect, as each clause says it.
//!
//! A clause with its sub-items is cut into segments (main clauses, list items, table rows); each
//! segment is read by itself (`statement`), with what the segments before it left open: the
//! lead-in that governs items, the inspection last spoken of, the persons last named. What the
//! segments say about the same inspection is then put together.

mod bearing;
mod carried;
mod closing;
mod frame;
mod grammatical;
mod granting;
mod marks;
mod people;
mod reading;
mod segment;
mod statement;
mod unit;
mod zones;

use std::ops::Range;

use crate::model::{
    Clause, Form, Inspection, InspectorRule, Kind, Letter, NamedKind, Paper, RuleDoubt, Span,
};
use crate::patterns::{Patterns, Token, WordList};
use crate::understand::Split;

use carried::{Carried, Statement};
use marks::Marked;
use unit::Unit;

/// What a text says of who may inspect.
#[derive(Clone, Debug, Default)]
pub struct Found {
    /// One rule for each inspection that a clause speaks of, in order of the text.
    pub rules: Vec<InspectorRule>,
    /// The sentences on who inspects that were read to their end, whether or not they say who may.
    pub understood: Vec<Span>,
}

/// What the clauses say about who may inspect; papers beside the letter are `left_out`. The clauses are
/// read by so many `threads` at once.
#[must_use]
pub fn inspectors(
    split: &Split<'_>,
    left_out: &[Span],
    threads: usize,
    patterns: &Patterns,
) -> Found {
    let Split {
        text,
        tokens,
        clauses,
        sentences,
        ..
    } = *split;
    let mut rules = Vec::new();
    let mut understood = Vec::new();
    // What "that inspection" at the head of a clause looks back to.
    let mut spoken_of = None;
    let units = units(text, tokens, clauses, left_out, patterns);
    let readings = grammatical::read(split, &units, threads, patterns);
    for (unit, reading) in units.iter().zip(readings) {
        understood.extend(reading.understood);
        if !reading.in_doubt {
            rules.extend(reading.rules);
            let range = tokens.partition_point(|t| t.span.start < unit.body.start)
                ..tokens.partition_point(|t| t.span.start < unit.body.end);
            let marked = Marked::new(text, tokens, range, patterns);
            spoken_of = marked.last_inspection().or(spoken_of);
            continue;
        }
        let range = tokens.partition_point(|t| t.span.start < unit.body.start)
            ..tokens.partition_point(|t| t.span.start < unit.body.end);
        let marked = Marked::new(text, tokens, range, patterns);
        if !marked.speaks_of_inspectors() {
            spoken_of = marked.last_inspection().or(spoken_of);
            rules.extend(reading.rules);
            continue;
        }
        let mut carried = Carried::after(spoken_of);
        spoken_of = marked.last_inspection().or(spoken_of);
        let mut found = Vec::new();
        for segment in segment::segments(&marked, sentences) {
            found.extend(statement::statements(&marked, &segment, &mut carried));
        }
        let mut old = put_together(text, unit.clause, found);
        if old.is_empty() {
            old = reading.rules;
        } else {
            for rule in &mut old {
                rule.doubt = rule.doubt.take().or_else(|| reading.doubt.clone());
            }
            // The guess may pass over an inspection of which the clause speaks, too.
            let guessed: Vec<Inspection> = old.iter().map(|r| r.inspection).collect();
            let passed_over = |rule: &InspectorRule| {
                !guessed.contains(&rule.inspection) && !guessed.contains(&Inspection::Any)
            };
            old.extend(reading.rules.into_iter().filter(passed_over));
        }
        rules.extend(old);
    }
    resolve_defined_terms(text, &mut rules, patterns);
    Found { rules, understood }
}

pub use grammatical::Analysis;

/// How the grammar reads each sentence that bears on who inspects.
#[must_use]
pub fn analyses(text: &str, letter: &Letter, patterns: &Patterns) -> Vec<Analysis> {
    let tokens = patterns.lexicon.tokens(text);
    let sentences = super::sentences::sentences(text, &tokens, &letter.clauses, patterns);
    let units = units(text, &tokens, &letter.clauses, &[], patterns);
    let split = Split {
        text,
        tokens: &tokens,
        clauses: &letter.clauses,
        sentences: &sentences,
        citations: &letter.citations,
    };
    grammatical::analyses(&split, &units, patterns)
}

/// A clause that names somebody who could inspect beside an inspection, in a letter in which no
/// clause was understood to say who may: words that were not understood must not pass for silence.
/// Sentences that were `understood` are none of these; papers beside the letter are `left_out`.
#[must_use]
pub fn overlooked(
    text: &str,
    tokens: &[Token],
    sentences: &[Span],
    letter: &Letter,
    understood: &[Span],
    left_out: &[Span],
    patterns: &Patterns,
) -> Option<InspectorRule> {
    let clauses = &letter.clauses;
    let says_who = letter.inspectors.iter().any(|r| {
        r.form != Form::None && matches!(r.inspection, Inspection::Yearly | Inspection::Any)
    });
    if says_who {
        return None;
    }
    // Where clauses have numbers, a paragraph without one is a heading, a lead-in, a signature.
    let numbered = |c: &Clause| c.number.is_some() || c.item.is_some();
    // So it is in a paper that is no letter.
    let only_numbered = letter.paper == Paper::Unknown || clauses.iter().any(numbered);
    let known = Known::of(understood);
    units(text, tokens, clauses, left_out, patterns)
        .into_iter()
        .find_map(|unit| {
            let clause = clauses.get(unit.clause)?;
            let elsewhere = left_out.iter().any(|part| part.overlaps(unit.body));
            if elsewhere || only_numbered && !numbered(clause) {
                return None;
            }
            let range = tokens.partition_point(|t| t.span.start < unit.body.start)
                ..tokens.partition_point(|t| t.span.start < unit.body.end);
            let marked = Marked::with_quotations(text, tokens, range, patterns);
            let known = |range: &Range<usize>| known.holds(marked.span(range));
            let mut ranges: Vec<_> = segment::segments(&marked, sentences)
                .into_iter()
                .map(|s| s.range)
                .collect();
            // a stray sign can part the person from the inspection: then the clause as a whole tells
            if !ranges.iter().all(known) {
                ranges.push(marked.range.clone());
            }
            let range = ranges
                .into_iter()
                .find(|range| !known(range) && marked.names_inspector_beside_inspection(range))?;
            let span = marked.span(&range);
            let doubt = RuleDoubt::Overlooked;
            Some(InspectorRule::unread(unit.clause, span, span, doubt))
        })
}

/// The passages that were read to their end, by their begin, each with the furthest end so far.
struct Known(Vec<(usize, usize)>);

impl Known {
    fn of(understood: &[Span]) -> Self {
        let mut known: Vec<_> = understood.iter().map(|s| (s.start, s.end)).collect();
        known.sort_unstable();
        let mut furthest = 0;
        for (_, end) in &mut known {
            furthest = furthest.max(*end);
            *end = furthest;
        }
        Self(known)
    }

    /// Whether one of them holds the span.
    fn holds(&self, span: Span) -> bool {
        let begun = self.0.partition_point(|(start, _)| *start <= span.start);
        begun > 0 && self.0[begun - 1].1 >= span.end
    }
}

fn units(
    text: &str,
    tokens: &[Token],
    clauses: &[Clause],
    left_out: &[Span],
    patterns: &Patterns,
) -> Vec<Unit> {
    if clauses.is_empty() {
        return vec![Unit {
            clause: 0,
            numbered: false,
            leads_in: false,
            body: Span::new(
                tokens.first().map_or(0, |t| t.span.start),
                tokens.last().map_or(text.len(), |t| t.span.end),
            ),
        }];
    }
    let mut units: Vec<Unit> = Vec::new();
    for (n, clause) in clauses.iter().enumerate() {
        // a paper beside the letter is no part of a clause, though it follows one
        if left_out.iter().any(|part| part.overlaps(clause.span)) {
            continue;
        }
        match units.last_mut() {
            Some(unit)
                if clause.parent.is_some()
                    || (unit.leads_in && is_list_item(text, clause))
                    || goes_on(text, unit, clause)
                    || breaks_off(text, unit) =>
            {
                unit.body.end = unit.body.end.max(clause.span.end);
            }
            _ => units.push(Unit {
                clause: n,
                numbered: clause.number.is_some(),
                leads_in: leads_in(text, clause, patterns),
                body: Span::new(clause.body.start, clause.span.end.max(clause.body.end)),
            }),
        }
    }
    units
}

/// A paragraph without a number behind a numbered clause that stopped in the middle of a sentence:
/// lines in capitals are taken for paragraphs.
fn goes_on(text: &str, unit: &Unit, clause: &Clause) -> bool {
    let before = unit.body.of(text).trim_end();
    let between = &text[unit.body.end.min(clause.span.start)..clause.span.start];
    let same_paragraph = between.matches('\n').count() < 2;
    (unit.numbered || same_paragraph)
        && clause.number.is_none()
        && clause.item.is_none()
        && !before.ends_with(['.', ':', ';', '!', '?', '"', '”', ')'])
}

/// A clause that ends with "or" is no whole list: the number behind it is that of the next item.
fn breaks_off(text: &str, unit: &Unit) -> bool {
    let before = unit.body.of(text).trim_end();
    let last = before.rsplit(|c: char| !c.is_alphabetic()).next();
    last.is_some_and(|word| matches!(word, "or" | "OR" | "nor" | "and" | "AND"))
}

/// An unnumbered line such as "The condition inspection may be performed by:" governs the items
/// that follow it, although their numbers are of the level of clauses.
fn leads_in(text: &str, clause: &Clause, patterns: &Patterns) -> bool {
    let words = clause.body.of(text).trim_end();
    words.ends_with(':')
        && patterns
            .list
            .within(&words.to_ascii_lowercase(), WordList::Inspecting)
}

/// Whether the clause is an item of a list: numbered, and with no modal in its first sentence; the
/// last item of a list may have swallowed a paragraph without a number that follows it.
fn is_list_item(text: &str, clause: &Clause) -> bool {
    let words = clause.body.of(text).to_ascii_lowercase();
    let words = words.split(".\n").next().unwrap_or_default();
    (clause.number.is_some() || clause.body.of(text).starts_with(['*', '-', '•']))
        && !["may", "must", "shall", "will", "should", "is", "are"]
            .iter()
            .any(|m| words.split(|c: char| !c.is_alphanumeric()).any(|w| w == *m))
}

/// Puts together what the segments of one clause say about the same inspection.
fn put_together(text: &str, clause: usize, statements: Vec<Statement>) -> Vec<InspectorRule> {
    let mut rules: Vec<InspectorRule> = Vec::new();
    for statement in statements {
        if statement.closes {
            // "No other person may perform it": closes what is there, for that inspection or for
            // all of them.
            for rule in &mut rules {
                if statement.inspection.is_none_or(|i| i == rule.inspection)
                    && rule.form == Form::Open
                {
                    rule.form = Form::Closed;
                    rule.evidence.extend(&statement.evidence);
                    rule.span.end = rule.span.end.max(statement.span.end);
                }
            }
            if statement.named.is_empty() {
                continue;
            }
        }
        let inspection = statement.inspection.unwrap_or(Inspection::Any);
        match rules.iter_mut().find(|r| r.inspection == inspection) {
            Some(rule) => {
                // A denial beside a permission adds nothing to the form.
                rule.form = rule.form.min(statement.form);
                if statement.form != Form::None || rule.form == Form::None || statement.defines {
                    add_kinds(&mut rule.named, statement.named);
                }
                add_kinds(&mut rule.excluded, statement.excluded);
                for condition in statement.conditions {
                    if !rule.conditions.contains(&condition) {
                        rule.conditions.push(condition);
                    }
                }
                rule.evidence.extend(statement.evidence);
                rule.span.end = rule.span.end.max(statement.span.end);
                rule.doubt = rule.doubt.take().or(unplaced(statement.unread));
                if statement.defines {
                    drop_defined_term(rule);
                }
            }
            None => rules.push(InspectorRule {
                clause,
                span: statement.span,
                form: statement.form,
                inspection,
                named: statement.named,
                excluded: statement.excluded,
                conditions: statement.conditions,
                demands: false,
                evidence: statement.evidence,
                doubt: unplaced(statement.unread),
            }),
        }
    }
    for rule in &mut rules {
        // Another sentence of the clause may name them after all.
        if let Some(RuleDoubt::Unplaced(unplaced)) = &rule.doubt
            && rule.named.len() > 1
            && rule
                .named
                .iter()
                .chain(&rule.excluded)
                .any(|k| same_words(k.span.of(text), unplaced.of(text)))
        {
            rule.doubt = None;
        }
        let excluded: Vec<Kind> = rule.excluded.iter().map(|k| k.kind).collect();
        if rule.form == Form::None {
            rule.named.retain(|k| !excluded.contains(&k.kind));
        }
        rule.evidence.sort_unstable();
        rule.evidence.dedup();
    }
    rules
}

/// Whether two passages are the same but for their line ends.
fn same_words(a: &str, b: &str) -> bool {
    a.split_whitespace().eq(b.split_whitespace())
}

/// Why a list with a person who found no place in it cannot be relied on.
fn unplaced(unread: Option<Span>) -> Option<RuleDoubt> {
    unread.map(RuleDoubt::Unplaced)
}

fn add_kinds(to: &mut Vec<NamedKind>, kinds: Vec<NamedKind>) {
    for kind in kinds {
        if !to.iter().any(|k| k.kind == kind.kind) {
            to.push(kind);
        }
    }
}

/// "Performed by an authorized inspector", with a definition beside it: the definition names them.
fn drop_defined_term(rule: &mut InspectorRule) {
    if rule.named.iter().any(|k| k.kind != Kind::Other) {
        rule.named.retain(|k| k.kind != Kind::Other);
    }
}

/// A term defined in another clause of the letter: its kinds stand for it everywhere.
fn resolve_defined_terms(text: &str, rules: &mut [InspectorRule], patterns: &Patterns) {
    let says_inspector = |span: Span| {
        let words = span.of(text).to_ascii_lowercase();
        patterns.list.within(&words, WordList::Inspector)
    };
    let is_term = |k: &NamedKind| k.kind == Kind::Other && says_inspector(k.span);
    let defined: Option<Vec<NamedKind>> = rules
        .iter()
        .find(|r| {
            r.form == Form::None
                && !r.named.is_empty()
                && says_inspector(r.span)
                && !r.named.iter().any(is_term)
        })
        .map(|r| r.named.clone());
    let Some(defined) = defined else { return };
    for rule in rules.iter_mut().filter(|r| r.form != Form::None) {
        if rule.named.iter().any(is_term) {
            rule.named.retain(|k| !is_term(k));
            add_kinds(&mut rule.named, defined.clone());
        }
    }
}
