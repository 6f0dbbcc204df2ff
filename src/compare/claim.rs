//! Somebody's paraphrase of a limitation held against the letter: which clause it speaks of, and
//! what it adds, drops or turns.

use super::atoms::{AtomKind, atoms};
use super::cite;
use super::claim_facts::{self, Facts};
use super::clauses::{Passage, level_one};
use super::pool::Pool;
use super::words::{self, Role, role};
use crate::model::{
    ClaimFinding, ClaimStatement, ClaimVerdict, Departure, DifferenceKind, InspectorRule, Letter,
    Modality, Norm, Span, Text,
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
    let understood = understand::passage(words, Context::default(), patterns);
    let passages = level_one(letter, text);
    let statements = statements(words, &understood);
    let pool = Pool::of_texts(
        passages.iter().map(|p| p.body),
        statements.iter().map(|s| s.of(words)),
        patterns,
    );
    statements
        .into_iter()
        .map(|span| {
            let statement = Statement {
                words: span.of(words).trim(),
                norm: understood
                    .norms
                    .iter()
                    .find(|n| span.overlaps(n.span) && n.modality != Modality::Statement),
                rules: understood
                    .inspectors
                    .iter()
                    .filter(|r| span.overlaps(r.span))
                    .collect(),
                topics: topics(&understood, span),
                whole: words,
            };
            judge(&statement, letter, text, &passages, &pool, patterns)
        })
        .collect()
}

/// The sentences of the claim that say something binding; the whole claim where none does.
fn statements(words: &str, understood: &Understood) -> Vec<Span> {
    let binding = |span: &Span| {
        understood
            .norms
            .iter()
            .any(|n| n.modality != Modality::Statement && span.overlaps(n.span))
            || understood.inspectors.iter().any(|r| span.overlaps(r.span))
    };
    let some: Vec<Span> = understood
        .sentences
        .iter()
        .map(|s| s.trimmed(words))
        .filter(|s| !s.is_empty() && binding(s))
        .collect();
    if some.is_empty() {
        let all = Span::new(0, words.len()).trimmed(words);
        return if all.is_empty() {
            Vec::new()
        } else {
            vec![all]
        };
    }
    some
}

fn topics(understood: &Understood, span: Span) -> Vec<String> {
    understood
        .clauses
        .iter()
        .zip(&understood.topics)
        .filter(|(c, _)| c.span.overlaps(span))
        .flat_map(|(_, t)| t.iter().cloned())
        .collect()
}

/// A statement of the claim.
struct Statement<'c> {
    words: &'c str,
    /// The text that the norm's spans belong to.
    whole: &'c str,
    norm: Option<&'c Norm>,
    rules: Vec<&'c InspectorRule>,
    topics: Vec<String>,
}

fn judge(
    statement: &Statement<'_>,
    letter: &Letter,
    text: &Text,
    passages: &[Passage<'_>],
    pool: &Pool,
    patterns: &Patterns,
) -> ClaimStatement {
    let probe = pool.probe(statement.words);
    let rules_of = |passage: &Passage<'_>| -> Vec<&InspectorRule> {
        letter
            .inspectors
            .iter()
            .filter(|r| r.clause == passage.clause || passage.span.contains(r.span))
            .collect()
    };
    let best = passages
        .iter()
        .enumerate()
        .filter_map(|(n, passage)| {
            let found = pool.look(&probe, n)?;
            let rules = rules_of(passage);
            let who = statement.rules.iter().any(|c| {
                rules
                    .iter()
                    .any(|r| claim_facts::same_inspection(c.inspection, r.inspection))
            });
            let topic = letter.topics.get(passage.clause).is_some_and(|t| {
                t.iter()
                    .any(|t| t != "other" && statement.topics.contains(t))
            });
            let score = 0.65 * found.of_probe
                + 0.35 * found.similarity
                + if who { BOTH_SAY_WHO } else { 0.0 }
                + if topic { SAME_TOPIC } else { 0.0 };
            Some((score.min(1.0), n))
        })
        .fold(None::<(f64, usize)>, |best, (score, n)| match best {
            Some((most, _)) if score <= most => best,
            _ => Some((score, n)),
        })
        .filter(|(score, _)| *score >= SPEAKS_OF);
    let Some((similarity, passage)) = best.and_then(|(s, n)| Some((s, passages.get(n)?))) else {
        return ClaimStatement {
            text: statement.words.to_owned(),
            clause: None,
            span: None,
            similarity: best.map_or(0.0, |(s, _)| s),
            verdict: ClaimVerdict::NoClause,
            findings: Vec::new(),
        };
    };
    let norm = nearest_norm(statement, passage, letter, text, patterns);
    let rules = rules_of(passage);
    let span = norm.map_or(passage.span, |n| n.span);
    let facts = Facts {
        claim: &statement.rules,
        letter: &rules,
        text,
    };
    let mut findings = facts.findings();
    if statement.rules.is_empty() || rules.is_empty() {
        findings.extend(force(statement, norm));
    }
    findings.extend(numbers(statement.words, passage));
    findings.extend(conditions(statement, norm, passage, text, pool));
    findings.extend(citations(statement.words, passage));
    ClaimStatement {
        text: statement.words.to_owned(),
        clause: Some(passage.clause),
        span: Some(span),
        similarity,
        verdict: if findings.is_empty() {
            ClaimVerdict::Fits
        } else {
            ClaimVerdict::Departs
        },
        findings,
    }
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
        [statement.words],
        patterns,
    );
    let probe = pool.probe(statement.words);
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
    Some(ClaimFinding {
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
                        departure: Departure::Turns,
                        kind: DifferenceKind::Number,
                        message: format!("it says {}, the letter {}", what(&count), what(other)),
                        span: Some(passage.span),
                    },
                    None => ClaimFinding {
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
            if pool.share(&words, statement.words) < THERE {
                out.push(ClaimFinding {
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
            let words = one_line(span.of(statement.whole));
            if pool.share(&words, passage.body) < THERE {
                out.push(ClaimFinding {
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

fn one_line(words: &str) -> String {
    words.split_whitespace().collect::<Vec<_>>().join(" ")
}
