//! JSON Lines of `whomay passages`: what the stages find in a passage, or how two wordings differ.

use serde::{Deserialize, Serialize};

use super::{View, findings};
use crate::model::{
    Citation, Clause, Diff, Difference, InspectorRule, Letter, Modality, NamedKind, Norm, Op,
    Phrase, Span, Text,
};
use crate::patterns::Patterns;
use crate::understand::{self, Context, Passage};

/// One line of input. Fields that are not named here are ignored.
#[derive(Debug, Deserialize)]
pub struct Request {
    id: serde_json::Value,
    text: Option<String>,
    old: Option<String>,
    new: Option<String>,
    stem: Option<String>,
    part: Option<String>,
    section: Option<String>,
}

#[derive(Serialize)]
struct Found<'a> {
    id: &'a serde_json::Value,
    clauses: Vec<JsonClause<'a>>,
    sentences: Vec<JsonSpan>,
    norms: Vec<JsonNorm<'a>>,
    labels: Vec<&'static str>,
    topics: Vec<&'a str>,
    citations: Vec<JsonCitation<'a>>,
    inspectors: Vec<JsonInspectors<'a>>,
}

#[derive(Serialize)]
struct JsonSpan {
    start: usize,
    end: usize,
}

#[derive(Serialize)]
struct JsonClause<'a> {
    number: Option<&'a str>,
    label: Option<&'a str>,
    level: u8,
    start: usize,
    end: usize,
}

#[derive(Serialize)]
struct JsonNorm<'a> {
    modality: &'static str,
    start: usize,
    end: usize,
    trigger: Option<&'a str>,
    bearer: Option<&'a str>,
    action: Option<&'a str>,
    conditions: Vec<&'a str>,
    exceptions: Vec<&'a str>,
    pattern: Option<&'a str>,
    quoted: bool,
}

#[derive(Serialize)]
struct JsonCitation<'a> {
    start: usize,
    end: usize,
    text: &'a str,
    target: &'a str,
    title: u16,
    part: &'a str,
    section: &'a str,
}

#[derive(Serialize)]
struct JsonInspectors<'a> {
    start: usize,
    end: usize,
    form: &'static str,
    inspection: &'static str,
    named: Vec<&'static str>,
    excluded: Vec<&'static str>,
    conditions: Vec<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    doubt: Option<String>,
}

#[derive(Serialize)]
struct Compared<'a> {
    id: &'a serde_json::Value,
    same: bool,
    ops: Vec<(&'static str, &'a str)>,
    differences: Vec<JsonDifference<'a>>,
}

#[derive(Serialize)]
struct JsonDifference<'a> {
    kind: &'static str,
    material: bool,
    old: &'a str,
    new: &'a str,
    reason: String,
}

#[derive(Serialize)]
struct Failed<'a> {
    line: usize,
    error: &'a str,
}

/// Answers one line of input with one line of output, without its line end.
///
/// A line that cannot be used gives `{"line": n, "error": "…"}`.
#[must_use]
pub fn answer_line(number: usize, line: &str, patterns: &Patterns) -> String {
    let failed = |error: &str| {
        json(&Failed {
            line: number,
            error,
        })
    };
    let request: Request = match serde_json::from_str(line) {
        Ok(request) => request,
        Err(error) => return failed(&format!("not a usable JSON object: {error}")),
    };
    match (&request.text, &request.old, &request.new) {
        (Some(text), None, None) => {
            let context = Context {
                stem: request.stem.as_deref().filter(|s| !s.trim().is_empty()),
                part: request.part.as_deref(),
                section: request.section.as_deref(),
            };
            let passage = understand::passage(text, context, patterns);
            json(&found(&request.id, text, &passage))
        }
        (None, Some(old), Some(new)) => json(&compared(
            &request.id,
            &crate::compare::diff(old, new, patterns),
        )),
        _ => failed("expected «text», or «old» and «new»"),
    }
}

fn json<T: Serialize>(value: &T) -> String {
    serde_json::to_string(value).unwrap_or_else(|e| format!("{{\"error\":\"{e}\"}}"))
}

fn found<'a>(id: &'a serde_json::Value, text: &'a str, passage: &'a Passage) -> Found<'a> {
    let mut labels: Vec<Modality> = passage
        .norms
        .iter()
        .filter(|n| n.modality != Modality::Statement && !n.quoted)
        .map(|n| n.modality)
        .collect();
    labels.sort_unstable();
    labels.dedup();
    let mut topics: Vec<&str> = Vec::new();
    for topic in passage.topics.iter().flatten() {
        if !topics.contains(&topic.as_str()) {
            topics.push(topic);
        }
    }
    Found {
        id,
        clauses: passage.clauses.iter().map(clause).collect(),
        sentences: passage
            .sentences
            .iter()
            .map(|s| JsonSpan {
                start: s.start,
                end: s.end,
            })
            .collect(),
        norms: passage.norms.iter().map(|n| norm(text, n)).collect(),
        labels: labels.into_iter().map(Modality::name).collect(),
        topics,
        citations: passage
            .citations
            .iter()
            .map(|c| citation(text, c))
            .collect(),
        inspectors: passage
            .inspectors
            .iter()
            .map(|r| inspectors(text, r))
            .collect(),
    }
}

fn clause(clause: &Clause) -> JsonClause<'_> {
    let label = clause.number.as_ref().or(clause.item.as_ref());
    JsonClause {
        number: clause.number.as_ref().map(|n| n.printed.as_str()),
        label: label.map(|n| n.label.as_str()),
        level: clause.level,
        start: clause.span.start,
        end: clause.span.end,
    }
}

fn norm<'a>(text: &'a str, norm: &'a Norm) -> JsonNorm<'a> {
    let words = |p: &'a Option<Phrase>| p.as_ref().map(|p| p.text.as_str());
    let spans = |s: &[Span]| s.iter().map(|s| s.of(text)).collect();
    JsonNorm {
        modality: norm.modality.name(),
        start: norm.span.start,
        end: norm.span.end,
        trigger: words(&norm.trigger),
        bearer: words(&norm.bearer),
        action: words(&norm.action),
        conditions: spans(&norm.conditions),
        exceptions: spans(&norm.exceptions),
        pattern: norm.pattern.as_deref(),
        quoted: norm.quoted,
    }
}

fn citation<'a>(text: &'a str, citation: &'a Citation) -> JsonCitation<'a> {
    JsonCitation {
        start: citation.span.start,
        end: citation.span.end,
        text: citation.span.of(text),
        target: &citation.target,
        title: citation.title,
        part: &citation.part,
        section: &citation.section,
    }
}

fn inspectors<'a>(text: &'a str, rule: &'a InspectorRule) -> JsonInspectors<'a> {
    let names = |kinds: &[NamedKind]| {
        let mut names: Vec<&'static str> = Vec::new();
        for kind in kinds {
            if !names.contains(&kind.kind.name()) {
                names.push(kind.kind.name());
            }
        }
        names
    };
    JsonInspectors {
        start: rule.span.start,
        end: rule.span.end,
        form: rule.form.name(),
        inspection: rule.inspection.name(),
        named: names(&rule.named),
        excluded: names(&rule.excluded),
        conditions: conditions(text, rule),
        doubt: rule.doubt.as_ref().and_then(|_| {
            let text = Text::verbatim(text);
            findings::doubt(&View::new(&text, &Letter::default()), rule)
        }),
    }
}

/// The words of the conditions; one that is put on two kinds is one condition.
fn conditions<'a>(text: &'a str, rule: &'a InspectorRule) -> Vec<&'a str> {
    let mut words: Vec<&str> = Vec::new();
    for condition in &rule.conditions {
        let said = condition.span.of(text);
        if !words.iter().any(|w| w.eq_ignore_ascii_case(said)) {
            words.push(said);
        }
    }
    words
}

fn compared<'a>(id: &'a serde_json::Value, diff: &'a Diff) -> Compared<'a> {
    Compared {
        id,
        same: diff.same,
        ops: diff
            .ops
            .iter()
            .map(|op| match op {
                Op::Keep(words) => ("=", words.as_str()),
                Op::Delete(words) => ("-", words.as_str()),
                Op::Insert(words) => ("+", words.as_str()),
            })
            .collect(),
        differences: diff.differences.iter().map(difference).collect(),
    }
}

fn difference(difference: &Difference) -> JsonDifference<'_> {
    JsonDifference {
        kind: difference.kind.name(),
        material: difference.material,
        old: &difference.old,
        new: &difference.new,
        reason: findings::difference_reason(&difference.reason),
    }
}
