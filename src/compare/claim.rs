//! Somebody's paraphrase of a limitation held against the letter: which clause it speaks of, and
//! what it adds, drops or turns.

use super::atoms::{AtomKind, atoms};
use super::cite;
use super::claim_facts::{self, Facts};
use super::claim_words::{self, Plain};
use super::clauses::{Passage, level_one};
use super::pool::Pool;
use super::words::{self, Role, role};
use crate::model::{
    ClaimFinding, ClaimStatement, ClaimVerdict, Departure, DifferenceKind, InspectorRule, Letter,
    Modality, Norm, Text, Turn,
};
use crate::patterns::Patterns;
use crate::understand::{self, Context, Passage as Understood};

/// The least score at which a statement speaks of a clause.
const SPEAKS_OF: f64 = 0.34;
/// What it adds to the score that the statement and the clause both say who may inspect.
const BOTH_SAY_WHO: f64 = 0.3;
/// What it adds that both have a topic in common.
const SAME_TOPIC: f64 = 0.12;

/// Holds a paraphrase against the letter, statement by statement.
#[must_use]
pub fn claim(
    letter: &Letter,
    text: &Text,
    words: &str,
    patterns: &Patterns,
) -> Vec<ClaimStatement> {
    let passages = level_one(letter, text);
    let said = sentences(words, patterns);
    let pool = Pool::of_texts(
        passages.iter().map(|p| p.body),
        said.iter().map(|s| s.plain.words.as_str()),
        patterns,
    );
    said.iter()
        .map(|said| {
            let understood = &said.understood;
            let statement = Statement {
                words: said.original,
                plain: &said.plain.words,
                label: said.plain.label.as_deref(),
                norm: understood
                    .norms
                    .iter()
                    .find(|n| n.modality != Modality::Statement),
                rules: understood.inspectors.iter().collect(),
                topics: understood.topics.iter().flatten().cloned().collect(),
            };
            judge(&statement, letter, text, &passages, &pool, patterns)
        })
        .collect()
}

/// A sentence of the claim, and the same as a clause would say it.
struct Said<'w> {
    original: &'w str,
    plain: Plain,
    understood: Understood,
}

impl<'w> Said<'w> {
    fn of(original: &'w str, patterns: &Patterns) -> Self {
        let plain = claim_words::plain(original, patterns);
        let understood = understand::passage(&plain.words, Context::default(), patterns);
        Self {
            original,
            plain,
            understood,
        }
    }

    fn binds(&self) -> bool {
        let norms = &self.understood.norms;
        norms.iter().any(|n| n.modality != Modality::Statement)
            || !self.understood.inspectors.is_empty()
    }
}

/// The sentences of the claim that say something binding; the whole claim where none does.
fn sentences<'w>(words: &'w str, patterns: &Patterns) -> Vec<Said<'w>> {
    let whole = understand::passage(words, Context::default(), patterns);
    let some: Vec<Said<'w>> = whole
        .sentences
        .iter()
        .map(|s| s.trimmed(words))
        .filter(|s| !s.is_empty())
        .map(|s| Said::of(s.of(words), patterns))
        .filter(Said::binds)
        .collect();
    if some.is_empty() && !words.trim().is_empty() {
        return vec![Said::of(words.trim(), patterns)];
    }
    some
}

/// A statement of the claim.
struct Statement<'c> {
    /// As it was made.
    words: &'c str,
    /// As a clause would say it; the spans of norms and rules belong to it.
    plain: &'c str,
    /// The clause that it names.
    label: Option<&'c str>,
    norm: Option<&'c Norm>,
    rules: Vec<&'c InspectorRule>,
    topics: Vec<String>,
}

/// What the letter says of who inspects in a clause.
fn rules_of<'l>(letter: &'l Letter, passage: &Passage<'_>) -> Vec<&'l InspectorRule> {
    letter
        .inspectors
        .iter()
        .filter(|r| r.clause == passage.clause || passage.span.contains(r.span))
        .collect()
}

/// The clause that the statement speaks of, and how well it fits, 0 to 1.
fn spoken_of(
    statement: &Statement<'_>,
    letter: &Letter,
    passages: &[Passage<'_>],
    pool: &Pool,
) -> (f64, Option<usize>) {
    let probe = pool.probe(statement.plain);
    let says_who = |passage: &Passage<'_>| {
        let rules = rules_of(letter, passage);
        statement.rules.iter().any(|c| {
            rules
                .iter()
                .any(|r| claim_facts::same_inspection(c.inspection, r.inspection))
        })
    };
    let names = |passage: &Passage<'_>| {
        statement.label.is_some_and(|label| {
            letter
                .clauses
                .get(passage.clause)
                .is_some_and(|c| c.id == label)
        })
    };
    let mut best: (f64, Option<usize>) = (0.0, None);
    for (n, passage) in passages.iter().enumerate() {
        let topic = passage
            .topics
            .iter()
            .any(|t| t != "other" && statement.topics.contains(t));
        let likeness = pool
            .look(&probe, n)
            .map_or(0.0, |found| 0.65 * found.of_probe + 0.35 * found.similarity);
        let (who, named) = (says_who(passage), names(passage));
        let score =
            likeness + if who { BOTH_SAY_WHO } else { 0.0 } + if topic { SAME_TOPIC } else { 0.0 };
        // A claim on who inspects speaks of the clause on who inspects, and one that names its
        // clause of that, in whatever words.
        let rank = score + if who { 1.0 } else { 0.0 } + if named { 2.0 } else { 0.0 };
        if rank > best.0 && (who || named || score >= SPEAKS_OF) {
            best = (rank, Some(n));
        }
    }
    (best.0.min(1.0), best.1)
}

fn judge(
    statement: &Statement<'_>,
    letter: &Letter,
    text: &Text,
    passages: &[Passage<'_>],
    pool: &Pool,
    patterns: &Patterns,
) -> ClaimStatement {
    let (similarity, best) = spoken_of(statement, letter, passages, pool);
    let mut out = ClaimStatement {
        text: statement.words.to_owned(),
        clause: None,
        span: None,
        similarity,
        verdict: ClaimVerdict::NoClause,
        findings: Vec::new(),
        beyond: Vec::new(),
        readings: Vec::new(),
    };
    let Some(passage) = best.and_then(|n| passages.get(n)) else {
        return out;
    };
    let norm = nearest_norm(statement, passage, letter, text, patterns);
    let rules = rules_of(letter, passage);
    let facts = Facts {
        claim: &statement.rules,
        letter: &rules,
        text,
        duty: statement
            .norm
            .is_some_and(|n| n.modality == Modality::Obligation),
        norms: &letter.norms,
    };
    let who = facts.compare();
    out.clause = Some(passage.clause);
    out.span = Some(norm.map_or(passage.span, |n| n.span));
    out.findings = who.findings;
    let beyond = !who.beyond.is_empty() && out.findings.is_empty();
    if statement.rules.is_empty() || rules.is_empty() {
        out.findings.extend(force(statement, norm));
    }
    out.findings.extend(numbers(statement.plain, passage));
    if !beyond && !who.denial {
        out.findings
            .extend(conditions(statement, norm, passage, text, pool));
    }
    out.findings.extend(citations(statement.plain, passage));
    out.verdict = if !out.findings.is_empty() {
        ClaimVerdict::Departs
    } else if who.unclear && !same_words(statement.plain, passage.body) {
        ClaimVerdict::Unclear
    } else if beyond {
        ClaimVerdict::Beyond
    } else {
        ClaimVerdict::Fits
    };
    if out.verdict == ClaimVerdict::Beyond {
        out.readings = claim_facts::readings(&who.beyond, patterns);
        out.beyond = who.beyond;
    }
    out
}

/// The norm of the clause whose words the statement has most of.
fn nearest_norm<'l>(
    statement: &Statement<'_>,
    passage: &Passage<'_>,
    letter: &'l Letter,
    text: &Text,
    patterns: &Patterns,
) -> Option<&'l Norm> {
    let norms: Vec<&Norm> = letter
        .norms
        .iter()
        .filter(|n| !n.quoted && n.modality != Modality::Statement && passage.span.overlaps(n.span))
        .collect();
    if norms.len() < 2 {
        return norms.into_iter().next();
    }
    let pool = Pool::of_texts(
        norms.iter().map(|n| n.span.of(&text.content)),
        [statement.plain],
        patterns,
    );
    let probe = pool.probe(statement.plain);
    let mut best: Option<(f64, &Norm)> = None;
    for (n, norm) in norms.into_iter().enumerate() {
        let score = pool.look(&probe, n).map_or(0.0, |c| c.of_probe);
        if best.is_none_or(|(most, _)| score > most) {
            best = Some((score, norm));
        }
    }
    best.map(|(_, norm)| norm)
}

/// May for must, barred for permitted.
fn force(statement: &Statement<'_>, norm: Option<&Norm>) -> Option<ClaimFinding> {
    use Modality::{Obligation, Permission, Prohibition, Restriction};
    let (claim, norm) = (statement.norm?, norm?);
    let (departure, kind, says) = match (claim.modality, norm.modality) {
        (Permission, Obligation) => (
            Departure::Turns,
            DifferenceKind::Modality,
            "it gives leave where the letter lays a duty",
        ),
        (Obligation, Permission) => (
            Departure::Turns,
            DifferenceKind::Modality,
            "it lays a duty where the letter gives leave",
        ),
        (Permission, Prohibition) => (
            Departure::Turns,
            DifferenceKind::Negation,
            "it permits what the letter bars",
        ),
        (Obligation, Prohibition) => (
            Departure::Turns,
            DifferenceKind::Negation,
            "it demands what the letter bars",
        ),
        (Prohibition, Permission) => (
            Departure::Turns,
            DifferenceKind::Negation,
            "it bars what the letter permits",
        ),
        (Prohibition, Obligation) => (
            Departure::Turns,
            DifferenceKind::Negation,
            "it bars what the letter demands",
        ),
        (Restriction, Permission) => (
            Departure::Adds,
            DifferenceKind::Limiter,
            "it limits what the letter permits without a limit",
        ),
        (Permission, Restriction) => (
            Departure::Drops,
            DifferenceKind::Limiter,
            "it permits without the limit that the letter sets",
        ),
        (Prohibition, Restriction) => (
            Departure::Drops,
            DifferenceKind::Limiter,
            "it bars wholly what the letter bars with a way out",
        ),
        (Restriction, Prohibition) => (
            Departure::Adds,
            DifferenceKind::Limiter,
            "it gives a way out that the letter does not give",
        ),
        _ => return None,
    };
    let turn = match (kind, claim.modality) {
        (DifferenceKind::Modality, Permission) => Turn::MayForMust,
        (DifferenceKind::Modality, _) => Turn::MustForMay,
        (DifferenceKind::Negation, _) => Turn::Negation,
        (_, Restriction) if departure == Departure::Adds && norm.modality == Permission => {
            Turn::OnlyAdded
        }
        (_, Permission) => Turn::OnlyDropped,
        _ => Turn::Condition,
    };
    Some(ClaimFinding {
        turn,
        departure,
        kind,
        message: says.to_owned(),
        span: Some(
            norm.trigger
                .as_ref()
                .and_then(|t| t.span)
                .unwrap_or(norm.span),
        ),
    })
}

/// A number with the words around it that say what it counts.
struct Count {
    value: String,
    measure: Option<String>,
    calendar: bool,
}

fn counts(text: &str) -> Vec<Count> {
    let atoms = atoms(text);
    let cited = cite::citations(&atoms);
    let word = |n: usize| atoms.get(n).map_or("", |a| &*a.word);
    let mut out = Vec::new();
    for (n, atom) in atoms.iter().enumerate() {
        if cited.iter().any(|c| c.atoms.contains(&n)) || atom.kind == AtomKind::Mark {
            continue;
        }
        let Some(value) = words::number(&atom.word, false) else {
            continue;
        };
        let calendar = word(n + 1) == "calendar";
        let next = word(n + 1 + usize::from(calendar));
        let measure = (role(next) == Role::Measure).then(|| words::stem(next).to_owned());
        if measure.is_some() || atom.kind == AtomKind::Number {
            out.push(Count {
                value,
                measure,
                calendar,
            });
        }
    }
    out
}

fn numbers(claim: &str, passage: &Passage<'_>) -> Vec<ClaimFinding> {
    let of_letter = counts(passage.body);
    let mut out = Vec::new();
    for count in counts(claim) {
        let same = of_letter.iter().find(|c| c.value == count.value);
        let what = |c: &Count| {
            format!(
                "{}{}{}",
                c.value,
                if c.calendar { " calendar" } else { "" },
                c.measure
                    .as_deref()
                    .map(|m| format!(" {m}s"))
                    .unwrap_or_default()
            )
        };
        match same {
            Some(same) if same.calendar && !count.calendar && count.measure.is_some() => {
                out.push(ClaimFinding {
                    turn: Turn::Number,
                    departure: Departure::Drops,
                    kind: DifferenceKind::Number,
                    message: format!(
                        "it says {}, the letter {}: the last day differs",
                        what(&count),
                        what(same)
                    ),
                    span: Some(passage.span),
                });
            }
            Some(_) => {}
            None => {
                let other = of_letter
                    .iter()
                    .find(|c| c.measure.is_some() && c.measure == count.measure);
                out.push(match other {
                    Some(other) => ClaimFinding {
                        turn: Turn::Number,
                        departure: Departure::Turns,
                        kind: DifferenceKind::Number,
                        message: format!("it says {}, the letter {}", what(&count), what(other)),
                        span: Some(passage.span),
                    },
                    None => ClaimFinding {
                        turn: Turn::Number,
                        departure: Departure::Adds,
                        kind: DifferenceKind::Number,
                        message: format!("it says {}, the clause has no such number", what(&count)),
                        span: None,
                    },
                });
            }
        }
    }
    out
}

/// The least part of a condition that must be found on the other side.
const THERE: f64 = 0.35;

/// Conditions and exceptions that are on one side only.
fn conditions(
    statement: &Statement<'_>,
    norm: Option<&Norm>,
    passage: &Passage<'_>,
    text: &Text,
    pool: &Pool,
) -> Vec<ClaimFinding> {
    let mut out = Vec::new();
    if let Some(norm) = norm {
        let exceptions = norm.exceptions.iter().map(|s| (s, DifferenceKind::Limiter));
        let conditions = norm.conditions.iter().map(|s| (s, DifferenceKind::Term));
        for (span, kind) in exceptions.chain(conditions) {
            let words = one_line(span.of(&text.content));
            if pool.share(&words, statement.plain) < THERE {
                out.push(ClaimFinding {
                    turn: Turn::Condition,
                    departure: Departure::Drops,
                    kind,
                    message: format!("it leaves out «{words}»"),
                    span: Some(*span),
                });
            }
        }
    }
    if let Some(norm) = statement.norm {
        let exceptions = norm.exceptions.iter().map(|s| (s, DifferenceKind::Limiter));
        let conditions = norm.conditions.iter().map(|s| (s, DifferenceKind::Term));
        for (span, kind) in exceptions.chain(conditions) {
            let words = one_line(span.of(statement.plain));
            if pool.share(&words, passage.body) < THERE {
                out.push(ClaimFinding {
                    turn: Turn::Condition,
                    departure: Departure::Adds,
                    kind,
                    message: format!("the clause does not say «{words}»"),
                    span: None,
                });
            }
        }
    }
    out
}

fn citations(claim: &str, passage: &Passage<'_>) -> Vec<ClaimFinding> {
    let targets = |text: &str| -> Vec<String> {
        cite::citations(&atoms(text))
            .into_iter()
            .map(|c| c.target)
            .collect()
    };
    let of_letter = targets(passage.body);
    targets(claim)
        .into_iter()
        .filter(|t| {
            !of_letter
                .iter()
                .any(|l| l.starts_with(t.as_str()) || t.starts_with(l.as_str()))
        })
        .map(|target| ClaimFinding {
            turn: Turn::Citation,
            departure: if of_letter.is_empty() {
                Departure::Adds
            } else {
                Departure::Turns
            },
            kind: DifferenceKind::Citation,
            message: format!("it cites {target}, which the clause does not"),
            span: None,
        })
        .collect()
}

/// Whether the statement is the clause, word for word: then it fits, whatever it means.
fn same_words(claim: &str, clause: &str) -> bool {
    let (claim, clause) = (atoms(claim), atoms(clause));
    let words = |a: &super::atoms::Atom| (a.kind != AtomKind::Mark).then(|| a.word.to_string());
    claim
        .iter()
        .filter_map(words)
        .eq(clause.iter().filter_map(words))
}

fn one_line(words: &str) -> String {
    words.split_whitespace().collect::<Vec<_>>().join(" ")
}
