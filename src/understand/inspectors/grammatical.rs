//! The clauses by the grammar: analyses → who may inspect.

use std::ops::Range;

use super::bearing;
use super::unit::Unit;
use crate::grammar::{
    Around, Before, ClauseReading, Grammar, Named, Persons, Place, SentenceReading, Statement,
    Understood, What, asks_of, flag, join, read_sentences, tree,
};
use crate::model::{
    Clause, Form, Inspection, InspectorCondition, InspectorConditionKind, InspectorRule, Kind,
    NamedKind, RuleDoubt, Span,
};
use crate::patterns::{Patterns, Token};
use crate::text::registration::only_mark;
use crate::threads::spread;
use crate::understand::Split;

/// What the grammar makes of a clause.
pub(super) struct Read {
    /// What it says.
    pub(super) rules: Vec<InspectorRule>,
    /// A sentence of it was not understood.
    pub(super) in_doubt: bool,
    /// Which words.
    pub(super) doubt: Option<RuleDoubt>,
    /// The sentences on who inspects that were read to their end.
    pub(super) understood: Vec<Span>,
}

/// A sentence as the grammar reads it, for people.
#[derive(Clone, Debug)]
pub struct Analysis {
    /// The sentence.
    pub span: Span,
    /// Read, or in doubt.
    pub verdict: &'static str,
    /// The words that found no place.
    pub left: Vec<Span>,
    /// The tree, one phrase a line.
    pub tree: String,
    /// Ids of the files of rules that it rests on.
    pub files: Vec<String>,
}

/// The sentences that bear on who inspects, as they are read.
pub(super) fn analyses(split: &Split<'_>, units: &[Unit], patterns: &Patterns) -> Vec<Analysis> {
    let Split { text, tokens, .. } = *split;
    let grammar = Grammar::of(patterns);
    let mut out = Vec::new();
    for reading in clause_readings(split, units, 1, patterns) {
        for sentence in &reading.sentences {
            let left = match &sentence.understood {
                Understood::Beside => continue,
                Understood::Read => Vec::new(),
                Understood::Doubt(words) => words.clone(),
            };
            out.push(Analysis {
                span: sentence.span,
                verdict: sentence.understood.name(),
                left,
                tree: tree(grammar, text, tokens, sentence),
                files: grammar
                    .files_of(sentence)
                    .into_iter()
                    .filter_map(|n| patterns.grammar.rules.get(n))
                    .cloned()
                    .collect(),
            });
        }
    }
    out
}

/// Reads every clause, so many `threads` at once.
pub(super) fn read(
    split: &Split<'_>,
    units: &[Unit],
    threads: usize,
    patterns: &Patterns,
) -> Vec<Read> {
    let Split {
        text,
        tokens,
        clauses,
        ..
    } = *split;
    let mut readings = clause_readings(split, units, threads, patterns);
    follow_references(text, clauses, units, &mut readings);
    join_additions(&mut readings);
    weigh_openings(text, clauses, units, &mut readings);
    readings
        .iter()
        .zip(units)
        .map(|(reading, unit)| rules_of(tokens, unit.clause, reading, patterns))
        .collect()
}

/// "The persons named in limitation 7": whom that clause names. One that is not there, or names
/// nobody, or is in doubt itself, leaves the statement in doubt.
fn follow_references(
    text: &str,
    clauses: &[Clause],
    units: &[Unit],
    readings: &mut [ClauseReading],
) {
    let named: Vec<Option<Persons>> = readings
        .iter()
        .map(|r| {
            let lists = r
                .statements
                .iter()
                .filter(|s| s.form != Form::None && s.persons.flags & flag::REFERS == 0);
            let mut all: Option<Persons> = None;
            for list in lists {
                // of two lists that differ, a reference does not say which is meant
                let differs = all.as_ref().is_some_and(|a| a.named != list.persons.named);
                if !list.doubt.is_empty() || differs {
                    return None;
                }
                all = Some(list.persons.clone());
            }
            all.filter(|p| !p.named.is_empty())
        })
        .collect();
    for reading in readings {
        let targets: Vec<Option<usize>> = reading
            .sentences
            .iter()
            .flat_map(|s| &s.places)
            .filter(|p| p.what == What::Reference)
            .map(|p| referred(p.span.of(text), clauses, units))
            .collect();
        for statement in &mut reading.statements {
            if statement.persons.flags & flag::REFERS == 0 {
                continue;
            }
            let lists: Option<Vec<&Persons>> = targets
                .iter()
                .map(|target| target.and_then(|t| named.get(t)).and_then(Option::as_ref))
                .collect();
            let lists = lists.filter(|lists| !lists.is_empty());
            if !lists.is_some_and(|lists| refer(&mut statement.persons, statement.form, &lists)) {
                statement.doubt.push(statement.span);
            }
        }
    }
}

/// Puts those of other clauses in the place of a reference to them; whether it can be told what then is said.
fn refer(persons: &mut Persons, form: Form, lists: &[&Persons]) -> bool {
    let meant = || lists.iter().flat_map(|list| &list.named);
    if persons.flags & flag::OUT == 0 {
        persons.named.extend(meant().copied());
        return true;
    }
    // "Must not be performed by a person named in limitation 7": who is shut out beside a list of the same
    // clause, or only on a condition, is not told
    persons.excluded.extend(meant().map(|named| named.kind));
    form == Form::None && persons.named.is_empty() && meant().all(Named::is_whole_kind)
}

/// "In addition to those named in limitation 8, a mechanic may": a clause that only adds to the list of
/// an earlier one speaks for both; beside a list in doubt it is in doubt.
fn join_additions(readings: &mut [ClauseReading]) {
    for n in 0..readings.len() {
        let (before, rest) = readings.split_at_mut(n);
        let Some(here) = rest.first_mut() else {
            continue;
        };
        for k in 0..here.statements.len() {
            let statement = &here.statements[k];
            if !statement.adds {
                continue;
            }
            // those of a clause stand in the order of the inspections
            let own = here.statements.iter();
            let own = own.filter(|s| s.span.start < statement.span.start);
            let clauses = before.iter().rev().flat_map(|r| &r.statements);
            let list = own.chain(clauses).find(|s| {
                s.form != Form::None
                    && !s.persons.named.is_empty()
                    && (s.inspection == statement.inspection || s.inspection == Inspection::Any)
            });
            if let Some(list) = list.cloned() {
                let statement = &mut here.statements[k];
                statement.persons.named.extend(list.persons.named);
                statement.form = list.form;
                statement.doubt.extend(list.doubt);
            }
        }
    }
}

/// "The list in limitation 7 is not exclusive": a closed list that the letter elsewhere says is not
/// all is in doubt. Of which list it speaks, its reference says, else the clause that it stands in,
/// else it may be any.
fn weigh_openings(text: &str, clauses: &[Clause], units: &[Unit], readings: &mut [ClauseReading]) {
    let lists = |r: &ClauseReading| r.statements.iter().any(|s| s.form != Form::None);
    for n in 0..readings.len() {
        let opened = std::mem::take(&mut readings[n].opened);
        let Some(&words) = opened.first() else {
            continue;
        };
        let mut of: Vec<usize> = readings[n]
            .sentences
            .iter()
            .filter(|s| opened.contains(&s.span))
            .flat_map(|s| &s.places)
            .filter(|p| p.what == What::Reference)
            .filter_map(|p| referred(p.span.of(text), clauses, units))
            .collect();
        if of.is_empty() {
            of = if lists(&readings[n]) {
                vec![n]
            } else {
                (0..readings.len()).collect()
            };
        }
        for at in of {
            let Some(reading) = readings.get_mut(at) else {
                continue;
            };
            for statement in &mut reading.statements {
                if statement.form == Form::Closed {
                    statement.doubt.push(words);
                }
            }
        }
    }
}

/// The unit of the clause that the words of a reference name.
fn referred(words: &str, clauses: &[Clause], units: &[Unit]) -> Option<usize> {
    // "limitation 5 above", "paragraph 5 of this letter": the last word that numbers a clause
    let clause = words
        .split(|c: char| !c.is_ascii_alphanumeric())
        .rev()
        .filter(|w| !w.is_empty())
        .find_map(|label| {
            clauses.iter().position(|c| {
                c.id.eq_ignore_ascii_case(label)
                    || c.number
                        .as_ref()
                        .is_some_and(|n| n.label.eq_ignore_ascii_case(label))
            })
        })?;
    units.iter().rposition(|u| u.clause <= clause)
}

fn clause_readings(
    split: &Split<'_>,
    units: &[Unit],
    threads: usize,
    patterns: &Patterns,
) -> Vec<ClauseReading> {
    let Split {
        text,
        tokens,
        clauses,
        sentences,
        citations,
    } = *split;
    let grammar = Grammar::of(patterns);
    let mut labels: Vec<Span> = clauses
        .iter()
        .filter_map(|c| c.number.as_ref().map(|n| n.span))
        .collect();
    labels.sort_unstable();
    let terms = grammar.terms(text, tokens);
    let mark = only_mark(text);
    let around = Around {
        citations,
        labels: &labels,
        terms: &terms,
        mark: mark.as_deref(),
    };
    let read = |n: usize| {
        let body = units[n].body;
        let range = tokens.partition_point(|t| t.span.start < body.start)
            ..tokens.partition_point(|t| t.span.start < body.end);
        let ranges = sentence_ranges(text, tokens, range, sentences);
        read_sentences(grammar, text, tokens, &ranges, &around)
    };
    // what a clause says by itself; then what it says behind those before it
    let mut before = Before::default();
    let mut readings: Vec<ClauseReading> =
        spread(&vec![(); threads.max(1)], units.len(), |n, ()| read(n))
            .into_iter()
            .map(|sentences| {
                let reading = join(sentences, &before);
                before.inspection = reading.inspection;
                before.defined.clone_from(&reading.defined);
                reading
            })
            .collect();
    let scene = bearing::Scene {
        text,
        tokens,
        grammar,
        patterns,
    };
    bearing::weigh(&scene, clauses, units, &around, &mut readings);
    readings
}

/// The sentences of a clause as ranges of tokens. Items of a list go on with their sentence, and
/// so does what follows a colon.
pub(super) fn sentence_ranges(
    text: &str,
    tokens: &[Token],
    range: Range<usize>,
    sentences: &[Span],
) -> Vec<Range<usize>> {
    let mut out: Vec<Range<usize>> = Vec::new();
    let mut start = range.start;
    let mut quoted = Quoted::default();
    let mut seen = start;
    let first =
        sentences.partition_point(|s| s.end <= tokens.get(range.start).map_or(0, |t| t.span.start));
    for sentence in &sentences[first.min(sentences.len())..] {
        let at = tokens.partition_point(|t| t.span.start < sentence.start);
        if at >= range.end {
            break;
        }
        if at <= start {
            continue;
        }
        let stop = matches!(tokens[at - 1].span.of(text), "." | "?" | "!" | "\"" | "”");
        // the words of an entry are one with the sentence that gives them
        quoted.read(text, &tokens[seen..at]);
        seen = at;
        if stop && !quoted.is_open() {
            out.push(start..at);
            start = at;
            quoted = Quoted::default();
        }
    }
    if start < range.end {
        out.push(start..range.end);
    }
    out
}

/// The quotation marks that were met.
#[derive(Default)]
struct Quoted {
    straight: usize,
    curly: isize,
}

impl Quoted {
    fn read(&mut self, text: &str, tokens: &[Token]) {
        for token in tokens {
            match token.span.of(text) {
                "\"" => self.straight += 1,
                "“" => self.curly += 1,
                "”" => self.curly -= 1,
                _ => {}
            }
        }
    }

    /// Whether a quotation is open behind them.
    const fn is_open(&self) -> bool {
        self.straight % 2 == 1 || self.curly > 0
    }
}

/// The statements of a clause as rules.
fn rules_of(tokens: &[Token], clause: usize, reading: &ClauseReading, patterns: &Patterns) -> Read {
    let mut rules = Vec::new();
    let mut first_doubt = None;
    for statement in &reading.statements {
        let doubt = (!statement.doubt.is_empty())
            .then(|| RuleDoubt::NotUnderstood(statement.doubt.clone()));
        first_doubt = first_doubt.or_else(|| doubt.clone());
        let stated = Stated {
            statement,
            sentences: &reading.sentences,
        };
        rules.extend(stated.rule(tokens, clause, doubt, patterns));
    }
    Read {
        rules,
        in_doubt: first_doubt.is_some(),
        doubt: first_doubt,
        understood: reading
            .sentences
            .iter()
            .filter(|s| matches!(s.understood, Understood::Read))
            .map(|s| s.span)
            .collect(),
    }
}

/// A statement of a clause, with the sentences that its words stand in.
struct Stated<'a> {
    statement: &'a Statement,
    sentences: &'a [SentenceReading],
}

impl Stated<'_> {
    /// The rule that it is; none where it neither names nor shuts out anybody, nor is in doubt.
    fn rule(
        &self,
        tokens: &[Token],
        clause: usize,
        doubt: Option<RuleDoubt>,
        patterns: &Patterns,
    ) -> Option<InspectorRule> {
        let statement = self.statement;
        let persons = &statement.persons;
        let named = |kinds: &mut dyn Iterator<Item = (Kind, bool)>| -> Vec<NamedKind> {
            let mut all: Vec<NamedKind> = kinds
                .map(|(kind, by_card)| {
                    let span = self.span_of(kind);
                    NamedKind {
                        kind,
                        span,
                        pattern: pattern_at(tokens, span, patterns),
                        by_card,
                    }
                })
                .collect();
            all.sort_by_key(|n| n.span);
            all
        };
        let mut kinds = named(&mut persons.named.iter().map(|n| (n.kind, is_by_card(n))));
        kinds.dedup_by_key(|n| n.kind);
        let excluded = named(&mut persons.excluded.iter().map(|kind| (*kind, false)));
        if persons.flags & flag::WIDER != 0 {
            kinds.push(NamedKind {
                kind: Kind::Other,
                span: statement.span,
                pattern: "grammar/lists".to_owned(),
                by_card: false,
            });
        }
        if statement.form == Form::None
            && persons.flags & flag::DENIES == 0
            && kinds.is_empty()
            && excluded.is_empty()
            && doubt.is_none()
        {
            return None;
        }
        let mut evidence: Vec<Span> = kinds.iter().chain(&excluded).map(|k| k.span).collect();
        evidence.extend(statement.doubt.iter().copied());
        if evidence.is_empty() {
            evidence.push(statement.span);
        }
        evidence.sort_unstable();
        evidence.dedup();
        Some(InspectorRule {
            clause,
            span: statement.span,
            form: statement.form,
            inspection: statement.inspection,
            named: kinds,
            excluded,
            conditions: self.conditions(),
            demands: statement.form == Form::None && persons.flags & flag::ASKED != 0,
            evidence,
            doubt,
        })
    }

    /// What its sentences are made of.
    fn places(&self) -> impl Iterator<Item = &Place> {
        self.sentences.iter().flat_map(|s| &s.places)
    }

    /// The words for a kind of person; the whole statement where none are for it alone.
    fn span_of(&self, kind: Kind) -> Span {
        self.places()
            .find(
                |p| matches!(&p.what, What::Person(ps) if ps.named.iter().any(|n| n.kind == kind)),
            )
            .map_or(self.statement.span, |p| p.span)
    }

    /// What it asks of the persons that it names, and of the whole, in order of the text.
    fn conditions(&self) -> Vec<InspectorCondition> {
        let persons = &self.statement.persons;
        let mut conditions = Vec::new();
        for place in self.places() {
            match &place.what {
                What::Asks(of, asks) => {
                    for n in &of.named {
                        let same = persons.named.iter().find(|m| m.kind == n.kind);
                        for kind in asks_of(same.map_or(0, |m| m.asks) & asks) {
                            let condition = InspectorCondition {
                                kind,
                                span: place.span,
                                on: Some(n.kind),
                            };
                            if !is_own(kind, n.kind) && !conditions.contains(&condition) {
                                conditions.push(condition);
                            }
                        }
                    }
                }
                What::Proviso(asks) => {
                    for n in &persons.named {
                        conditions.extend(asks_of(n.asks & asks).map(|kind| InspectorCondition {
                            kind,
                            span: place.span,
                            on: Some(n.kind),
                        }));
                    }
                }
                What::Condition | What::Case if persons.flags & flag::CONDITION != 0 => {
                    let case = matches!(place.what, What::Case);
                    conditions.push(InspectorCondition {
                        kind: if case {
                            InspectorConditionKind::Case
                        } else {
                            InspectorConditionKind::Other
                        },
                        span: place.span,
                        on: None,
                    });
                }
                _ => {}
            }
        }
        // No rule may lose a condition because it does not tell where it stands.
        let told = conditions.iter().any(|c| {
            matches!(
                c.kind,
                InspectorConditionKind::Case | InspectorConditionKind::Other
            )
        });
        if persons.flags & flag::CONDITION != 0 && !told {
            conditions.push(InspectorCondition {
                kind: InspectorConditionKind::Other,
                span: self.statement.span,
                on: None,
            });
        }
        // "An owner certificated as a repairman": the noun itself asks something.
        for n in &persons.named {
            for kind in asks_of(n.asks) {
                let told = conditions
                    .iter()
                    .any(|c: &InspectorCondition| c.kind == kind && c.on == Some(n.kind));
                if !told && !is_own(kind, n.kind) {
                    conditions.push(InspectorCondition {
                        kind,
                        span: self.span_of(n.kind),
                        on: Some(n.kind),
                    });
                }
            }
        }
        conditions.sort_by_key(|c| c.span);
        conditions
    }
}

/// A condition that the kind itself says: a builder's certificate is for this aircraft alone.
const fn is_own(condition: InspectorConditionKind, kind: Kind) -> bool {
    matches!(condition, InspectorConditionKind::ThisAircraft)
        && matches!(kind, Kind::BuilderRepairman)
}

/// Whether the words name the builder by a certificate for this aircraft alone, which others may hold, too.
fn is_by_card(named: &Named) -> bool {
    named.kind == Kind::BuilderRepairman
        && asks_of(named.asks).any(|asked| asked == InspectorConditionKind::ThisAircraft)
}

/// The file of words that knows the words at a place.
fn pattern_at(tokens: &[Token], span: Span, patterns: &Patterns) -> String {
    let at = tokens.partition_point(|t| t.span.start < span.start);
    let words = &patterns.grammar.compiled_words;
    // The file of the noun; a word may stand in lists of other kinds, too.
    let names = |[file, class]: &[u16; 2]| {
        let (category, _) = words.classes.get(*file as usize)?.get(*class as usize)?;
        let name = patterns.grammar.compiled_rules.name(*category);
        matches!(name, "N" | "CN").then_some(*file)
    };
    let mut found: Vec<_> = patterns.grammar.phrases_at(tokens, at).collect();
    found.sort_by_key(|(end, _)| std::cmp::Reverse(*end));
    let file = found
        .iter()
        .find_map(|(_, meanings)| meanings.iter().find_map(names))
        .or_else(|| found.first()?.1.first().map(|[file, _]| *file));
    file.and_then(|file| patterns.grammar.words.get(file as usize))
        .map_or_else(|| "grammar/persons".to_owned(), String::clone)
}
