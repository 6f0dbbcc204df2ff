//! Somebody's paraphrase of a limitation held against the letter: which clause it speaks of, and
//! what it adds, drops or turns.

use super::claim_by_words;
use super::claim_counts::{citations, numbers};
use super::claim_facts::{self, Facts, Who};
use super::claim_labels;
use super::claim_marks::marks;
use super::claim_roles;
use super::claim_said::{Statement, sentences};
use super::claim_things::{Held, denies, negates, of_manner_or_agent, on_other_things};
use super::clauses::{Passage, level_one};
use super::index::Index;
use super::tokens::{DiffToken, DiffTokenKind, tokens};
use crate::model::{
    ClaimFinding, ClaimStatement, ClaimVerdict, Form, InspectorRule, Kind, Letter, Modality, Norm,
    Text,
};
use crate::patterns::{ClaimRole, Patterns};

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
    let label_of = |p: &Passage<'_>| letter.clauses.get(p.clause).map(|c| c.id.as_str());
    let known = |label: &str| passages.iter().any(|p| label_of(p) == Some(label));
    let mut said = sentences(words, &known, patterns);
    for said in &mut said {
        let named = passages
            .iter()
            .find(|p| said.plain.label.is_some() && label_of(p) == said.plain.label.as_deref());
        if let Some(passage) = named {
            said.on_inspection_of(&rules_of(letter, passage), patterns);
        }
    }
    let index = Index::of_texts(
        passages.iter().map(|p| p.body),
        said.iter().map(|s| s.plain.words.as_str()),
        patterns,
    );
    let statements: Vec<Statement<'_>> = said.iter().map(|s| s.statement(patterns)).collect();
    // Whom one sentence leaves out another one may name.
    let of_claim: Vec<Kind> = statements.iter().flat_map(|s| s.spoken.clone()).collect();
    statements
        .iter()
        .map(|s| {
            let mut out = judge(s, &of_claim, letter, text, &passages, &index, patterns);
            out.marks = marks(&out.text, &out.findings, patterns);
            out
        })
        .collect()
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
    index: &Index,
) -> (f64, Option<usize>) {
    let probe = index.probe(statement.plain);
    let says_who = |passage: &Passage<'_>| {
        let rules = rules_of(letter, passage);
        ((statement.waives || statement.not_listed) && !rules.is_empty())
            || statement.names_somebody()
                && statement.rules.iter().any(|c| {
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
    let mut nearest: f64 = 0.0;
    for (n, passage) in passages.iter().enumerate() {
        let topic = passage
            .topics
            .iter()
            .any(|t| t != "other" && statement.topics.contains(t));
        let likeness = index
            .look(&probe, n)
            .map_or(0.0, |found| 0.65 * found.of_probe + 0.35 * found.similarity);
        let (who, named) = (says_who(passage), names(passage));
        let score =
            likeness + if who { BOTH_SAY_WHO } else { 0.0 } + if topic { SAME_TOPIC } else { 0.0 };
        // A claim on who inspects speaks of the clause on who inspects, and one that names its
        // clause of that, in whatever words.
        let rank = score + if who { 1.0 } else { 0.0 } + if named { 2.0 } else { 0.0 };
        nearest = nearest.max(score);
        if rank > best.0 && (who || named || score >= SPEAKS_OF) {
            best = (rank, Some(n));
        }
    }
    (best.0.max(nearest).min(1.0), best.1)
}

/// What a statement of the claim comes to, beside the clause that it speaks of.
fn judge(
    statement: &Statement<'_>,
    of_claim: &[Kind],
    letter: &Letter,
    text: &Text,
    passages: &[Passage<'_>],
    index: &Index,
    patterns: &Patterns,
) -> ClaimStatement {
    let (similarity, best) = spoken_of(statement, letter, passages, index);
    let mut out = ClaimStatement {
        text: statement.words.to_owned(),
        marks: Vec::new(),
        clause: None,
        span: None,
        similarity,
        verdict: ClaimVerdict::NoClause,
        findings: Vec::new(),
        beyond: Vec::new(),
        readings: Vec::new(),
        doubt: false,
    };
    let Some(passage) = best.and_then(|n| passages.get(n)) else {
        return out;
    };
    let norm = nearest_norm(statement, passage, letter, text, patterns);
    let rules = rules_of(letter, passage);
    out.clause = Some(passage.clause);
    out.span = Some(norm.map_or(passage.span, |n| n.span));
    let held = Held {
        statement,
        passage,
        norm,
        text,
        index,
        patterns,
    };
    weigh(&held, &rules, letter, of_claim, &mut out);
    out
}

/// Holds a statement against the clause that it speaks of: what it turns, and the verdict.
fn weigh(
    held: &Held<'_>,
    rules: &[&InspectorRule],
    letter: &Letter,
    of_claim: &[Kind],
    out: &mut ClaimStatement,
) {
    let (statement, passage, patterns) = (held.statement, held.passage, held.patterns);
    if let Some(decided) = by_one_word(held, rules, &mut out.findings) {
        out.verdict = decided;
        return;
    }
    let facts = facts(held, rules, letter, of_claim);
    if statement.not_listed && !rules.is_empty() {
        let mut who = Who::default();
        facts.not_listed(&mut who);
        out.findings = who.findings;
        out.verdict = verdict(&out.findings, false, false);
        return;
    }
    let who = facts.compare();
    let beyond = !who.beyond.is_empty() && who.findings.is_empty();
    let about_who = facts.unread
        || statement.names_somebody() && !statement.rules.is_empty() && !rules.is_empty();
    let conditional = rules.iter().any(|r| !r.conditions.is_empty());
    out.findings.extend(who.findings.iter().cloned());
    let kinds = claim_by_words::kinds_said(&statement.spoken);
    let mut named = rules.iter().flat_map(|r| &r.named);
    let shares = named.any(|n| kinds.contains(&n.kind));
    let of_others = about_who && who.unclear && !shares;
    if !(beyond || of_others) {
        out.findings
            .extend(citations(statement.plain, passage, patterns));
    }
    if !who.elsewhere {
        let counted = claim_labels::without_references(statement.plain, patterns);
        out.findings.extend(numbers(&counted, passage, patterns));
    }
    if about_who {
        out.findings.extend(claim_by_words::despite(
            statement.plain,
            conditional,
            patterns,
        ));
    } else {
        if out.findings.is_empty() && of_manner_or_agent(held) {
            out.verdict = ClaimVerdict::Beyond;
            return;
        }
        on_other_things(held, &mut out.findings);
    }
    let unclear = who.unclear || !about_who && is_open(held);
    out.doubt = unclear;
    let unclear = unclear && !same_words(statement.plain, passage.body, patterns);
    out.verdict = verdict(&out.findings, unclear, beyond);
    if out.verdict == ClaimVerdict::Beyond {
        out.readings = claim_facts::readings(&who.beyond, patterns);
        out.beyond = who.beyond;
    }
}

/// What is compared where a statement and a clause say who inspects.
fn facts<'f>(
    held: &'f Held<'_>,
    rules: &'f [&'f InspectorRule],
    letter: &'f Letter,
    of_claim: &'f [Kind],
) -> Facts<'f> {
    let statement = held.statement;
    Facts {
        claim: &statement.rules,
        letter: rules,
        text: held.text,
        plain: statement.plain,
        clause: held.passage.body,
        index: held.index,
        spoken: &statement.spoken,
        of_claim,
        duty: statement
            .norm
            .is_some_and(|n| n.modality == Modality::Obligation),
        no_need: statement.no_need,
        out: &statement.out,
        listed: statement.listed,
        of_one: statement.of_one,
        unread: statement.rules.is_empty() && statement.names_somebody() && !rules.is_empty(),
        norms: &letter.norms,
    }
}

/// Whether a statement on something else than who inspects cannot be told to fit the norm of the
/// clause: one in which nothing bars, where the letter bars; one that denies, where it demands.
fn is_open(held: &Held<'_>) -> bool {
    let statement = held.statement;
    let Some(norm) = held.norm.filter(|_| statement.norm.is_none()) else {
        return false;
    };
    match norm.modality {
        Modality::Prohibition => !negates(statement.plain, held.patterns),
        Modality::Obligation => {
            let denies = |words| denies(words, held.patterns);
            !denies(norm.span.of(&held.text.content)) && denies(statement.plain)
        }
        _ => false,
    }
}

/// The verdict on a statement that takes the need of an inspection authorization away, or names a
/// clause and another inspection than that clause.
fn by_one_word(
    held: &Held<'_>,
    rules: &[&InspectorRule],
    out: &mut Vec<ClaimFinding>,
) -> Option<ClaimVerdict> {
    let statement = held.statement;
    let lists = |r: &&InspectorRule| r.form != Form::None && !r.named.is_empty();
    if statement.waives && !rules.is_empty() {
        out.extend(claim_facts::waived(rules));
        if !statement.rules.iter().any(lists) {
            return Some(verdict(out, false, false));
        }
    }
    statement.label?;
    out.push(claim_by_words::another_inspection(
        statement.plain,
        held.passage.body,
        held.patterns,
    )?);
    Some(ClaimVerdict::Departs)
}

const fn verdict(findings: &[ClaimFinding], unclear: bool, beyond: bool) -> ClaimVerdict {
    if !findings.is_empty() {
        ClaimVerdict::Departs
    } else if unclear {
        ClaimVerdict::Unclear
    } else if beyond {
        ClaimVerdict::Beyond
    } else {
        ClaimVerdict::Fits
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
    let waived = |n: &Norm| claim_roles::has(n.span.of(&text.content), ClaimRole::NoNeed, patterns);
    let norms: Vec<&Norm> = letter
        .norms
        .iter()
        .filter(|n| !n.quoted && passage.span.overlaps(n.span))
        .filter(|n| n.modality != Modality::Statement || waived(n))
        .collect();
    if norms.len() < 2 {
        return norms.into_iter().next();
    }
    let index = Index::of_texts(
        norms.iter().map(|n| n.span.of(&text.content)),
        [statement.plain],
        patterns,
    );
    let probe = index.probe(statement.plain);
    let mut best: Option<(f64, &Norm)> = None;
    for (n, norm) in norms.into_iter().enumerate() {
        let score = index.look(&probe, n).map_or(0.0, |c| c.of_probe);
        if best.is_none_or(|(most, _)| score > most) {
            best = Some((score, norm));
        }
    }
    best.map(|(_, norm)| norm)
}

/// Whether the statement is the clause, word for word: then it fits, whatever it means.
fn same_words(claim: &str, clause: &str, patterns: &Patterns) -> bool {
    let tokens = |text| tokens(text, &patterns.list);
    let (claim, clause) = (tokens(claim), tokens(clause));
    let words = |a: &DiffToken| (a.kind != DiffTokenKind::Mark).then(|| a.word.to_string());
    claim
        .iter()
        .filter_map(words)
        .eq(clause.iter().filter_map(words))
}
