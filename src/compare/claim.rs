//! Somebody's paraphrase of a limitation held against the letter: which clause it speaks of, and
//! what it adds, drops or turns.

use super::atoms::{Atom, AtomKind, atoms};
use super::claim_counts::{citations, numbers};
use super::claim_facts::{self, Facts};
use super::claim_norms::{Stance, conditions, force, unlimited};
use super::claim_words::{self, Plain};
use super::clauses::{Passage, level_one};
use super::pool::Pool;
use crate::model::{
    ClaimFinding, ClaimStatement, ClaimVerdict, InspectorRule, Letter, Modality, Norm, Text, Turn,
};
use crate::patterns::{ClaimRole, Patterns};
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
            let has = |role| claim_words::has(&said.plain.words, role, patterns);
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
                no_need: has(ClaimRole::NoNeed),
                waives: claim_words::has(said.original, ClaimRole::Waives, patterns),
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
pub(super) struct Statement<'c> {
    /// As it was made.
    words: &'c str,
    /// As a clause would say it; the spans of norms and rules belong to it.
    pub(super) plain: &'c str,
    /// The clause that it names.
    label: Option<&'c str>,
    pub(super) norm: Option<&'c Norm>,
    rules: Vec<&'c InspectorRule>,
    topics: Vec<String>,
    /// It takes a duty or a need away.
    no_need: bool,
    /// It takes the need of an inspection authorization away.
    waives: bool,
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
        (statement.waives && !rules.is_empty())
            || statement.rules.iter().any(|c| {
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
        doubt: false,
    };
    let Some(passage) = best.and_then(|n| passages.get(n)) else {
        return out;
    };
    let norm = nearest_norm(statement, passage, letter, text, patterns);
    let rules = rules_of(letter, passage);
    out.clause = Some(passage.clause);
    out.span = Some(norm.map_or(passage.span, |n| n.span));
    if statement.waives && !rules.is_empty() {
        out.findings.extend(claim_facts::waived(&rules));
        out.verdict = verdict(&out.findings, false, false);
        return out;
    }
    let spoken = claim_facts::spoken(statement.plain, patterns);
    let facts = Facts {
        claim: &statement.rules,
        letter: &rules,
        text,
        plain: statement.plain,
        clause: passage.body,
        pool,
        spoken: &spoken,
        duty: statement
            .norm
            .is_some_and(|n| n.modality == Modality::Obligation),
        no_need: statement.no_need,
        norms: &letter.norms,
    };
    let who = facts.compare();
    out.findings = who.findings;
    let beyond = !who.beyond.is_empty() && out.findings.is_empty();
    let both_say_who = !statement.rules.is_empty() && !rules.is_empty();
    if !both_say_who {
        let words_of_letter = norm.map_or(passage.body, |n| n.span.of(&text.content));
        let modality = |n: Option<&Norm>| n.map_or(Modality::Statement, |n| n.modality);
        let waived = modality(norm) == Modality::Statement
            && claim_words::has(words_of_letter, ClaimRole::NoNeed, patterns);
        let claimed = Stance::of(modality(statement.norm), statement.no_need);
        let stands = Stance::of(modality(norm), waived);
        out.findings.extend(force(claimed, stands, norm));
        out.findings
            .extend(unlimited(claimed, stands, norm, statement.plain));
        // What denies a duty altogether denies it on every condition.
        let denied = matches!(claimed, Stance::Bars | Stance::NoNeed)
            && out.findings.iter().any(|f| f.turn == Turn::Negation);
        let norm = norm.filter(|_| !denied);
        out.findings
            .extend(conditions(statement, norm, passage, text, pool));
    }
    if !who.elsewhere {
        let counted = claim_words::without_labels(statement.plain, patterns);
        out.findings.extend(numbers(&counted, passage));
    }
    if !beyond {
        out.findings.extend(citations(statement.plain, passage));
    }
    out.doubt = who.unclear;
    let unclear = who.unclear && !same_words(statement.plain, passage.body);
    out.verdict = verdict(&out.findings, unclear, beyond);
    if out.verdict == ClaimVerdict::Beyond {
        out.readings = claim_facts::readings(&who.beyond, patterns);
        out.beyond = who.beyond;
    }
    out
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
    let waived = |n: &Norm| claim_words::has(n.span.of(&text.content), ClaimRole::NoNeed, patterns);
    let norms: Vec<&Norm> = letter
        .norms
        .iter()
        .filter(|n| !n.quoted && passage.span.overlaps(n.span))
        .filter(|n| n.modality != Modality::Statement || waived(n))
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

/// Whether the statement is the clause, word for word: then it fits, whatever it means.
fn same_words(claim: &str, clause: &str) -> bool {
    let (claim, clause) = (atoms(claim), atoms(clause));
    let words = |a: &Atom| (a.kind != AtomKind::Mark).then(|| a.word.to_string());
    claim
        .iter()
        .filter_map(words)
        .eq(clause.iter().filter_map(words))
}

/// Words on one line.
pub(super) fn one_line(words: &str) -> String {
    words.split_whitespace().collect::<Vec<_>>().join(" ")
}
