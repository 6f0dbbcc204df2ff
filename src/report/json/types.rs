//! The shapes of the JSON report.

use serde::Serialize;

#[derive(Serialize)]
pub(super) struct Root {
    pub(super) schema: u32,
    pub(super) tool: Tool,
    pub(super) source: Vec<Source>,
    pub(super) question: Question,
    pub(super) letter: Letter,
    pub(super) notes: Vec<Note>,
    pub(super) clauses: Vec<Clause>,
    pub(super) inspectors: Vec<Inspectors>,
    pub(super) condition: Vec<Defect>,
    pub(super) age: Age,
    pub(super) comparison: Comparison,
    pub(super) answers: Vec<Answer>,
    pub(super) next: Vec<String>,
    pub(super) hazards: Vec<String>,
    pub(super) unverified: Vec<Unverified>,
    pub(super) caution: &'static str,
}

#[derive(Serialize)]
pub(super) struct Tool {
    pub(super) version: &'static str,
    pub(super) patterns: String,
}

#[derive(Serialize)]
pub(super) struct Source {
    pub(super) name: String,
    pub(super) sha256: String,
    pub(super) pages: u32,
    pub(super) read_as: &'static str,
}

#[derive(Serialize)]
pub(super) struct Question {
    pub(super) on: String,
    pub(super) inspection: &'static str,
    pub(super) holder: Option<&'static str>,
    pub(super) owner: Option<&'static str>,
    pub(super) trained: Option<String>,
    pub(super) aircraft: Option<String>,
    pub(super) basis: Option<String>,
    pub(super) issued: Option<String>,
    pub(super) ratings: Option<Vec<&'static str>>,
    pub(super) certificate_for: Option<&'static str>,
    pub(super) earlier_certificate: Option<bool>,
    pub(super) inspection_authorization: Option<bool>,
}

#[derive(Serialize)]
pub(super) struct Letter {
    pub(super) is_letter: bool,
    pub(super) paper: &'static str,
    pub(super) basis: Option<String>,
    pub(super) issued: Option<String>,
    pub(super) aircraft: Option<String>,
    /// Judged on this clause alone.
    pub(super) alone: bool,
    pub(super) amended: Option<String>,
    pub(super) term: Option<String>,
    pub(super) replaced: Vec<Replaced>,
    pub(super) evidence: Vec<Evidence>,
}

#[derive(Serialize)]
pub(super) struct Replaced {
    pub(super) id: Option<String>,
    pub(super) by: &'static str,
    pub(super) source: u16,
    pub(super) page: u32,
    pub(super) line: u32,
    pub(super) text: String,
}

#[derive(Serialize)]
pub(super) struct Evidence {
    /// What it is evidence of, where one list serves several values.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) of: Option<&'static str>,
    pub(super) clause: Option<String>,
    pub(super) source: u16,
    pub(super) page: u32,
    pub(super) line: u32,
    pub(super) text: String,
    pub(super) confidence: f64,
}

#[derive(Serialize)]
pub(super) struct Note {
    pub(super) id: &'static str,
    pub(super) message: String,
    pub(super) page: Option<u32>,
}

#[derive(Serialize)]
pub(super) struct Clause {
    pub(super) id: String,
    pub(super) number: Option<String>,
    pub(super) printed: Option<String>,
    pub(super) item: Option<String>,
    pub(super) level: u8,
    pub(super) parent: Option<String>,
    pub(super) phase: Option<u8>,
    pub(super) source: u16,
    pub(super) page: u32,
    pub(super) line: u32,
    pub(super) text: String,
    pub(super) norms: Vec<Norm>,
    pub(super) topics: Vec<String>,
    pub(super) citations: Vec<Citation>,
}

#[derive(Serialize)]
pub(super) struct Norm {
    pub(super) modality: &'static str,
    pub(super) trigger: Option<String>,
    pub(super) bearer: Option<String>,
    pub(super) action: Option<String>,
    pub(super) conditions: Vec<String>,
    pub(super) exceptions: Vec<String>,
    pub(super) pattern: Option<String>,
    pub(super) quoted: bool,
    pub(super) page: u32,
    pub(super) line: u32,
    pub(super) text: String,
}

#[derive(Serialize)]
pub(super) struct Citation {
    pub(super) text: String,
    pub(super) target: String,
    pub(super) title: u16,
    pub(super) part: String,
    pub(super) section: String,
    pub(super) page: u32,
    pub(super) line: u32,
}

#[derive(Serialize)]
pub(super) struct Inspectors {
    pub(super) clause: String,
    pub(super) form: &'static str,
    pub(super) inspection: &'static str,
    pub(super) named: Vec<&'static str>,
    pub(super) excluded: Vec<&'static str>,
    pub(super) conditions: Vec<String>,
    pub(super) evidence: Vec<Evidence>,
    pub(super) source: u16,
    pub(super) page: u32,
    pub(super) line: u32,
    pub(super) text: String,
    pub(super) doubt: Option<String>,
}

#[derive(Serialize)]
pub(super) struct Defect {
    pub(super) kind: &'static str,
    pub(super) clauses: Vec<String>,
    pub(super) source: Option<u16>,
    pub(super) page: Option<u32>,
    pub(super) message: String,
}

#[derive(Serialize)]
pub(super) struct Age {
    pub(super) best: Option<String>,
    pub(super) by_words: Vec<String>,
    pub(super) with_date: Vec<String>,
    pub(super) candidates: Vec<Candidate>,
    pub(super) evidence: Vec<AgeEvidence>,
    pub(super) notes: Vec<Note>,
}

#[derive(Serialize)]
pub(super) struct Candidate {
    pub(super) wording: String,
    pub(super) weight: f64,
}

#[derive(Serialize)]
pub(super) struct AgeEvidence {
    #[serde(flatten)]
    pub(super) evidence: Evidence,
    pub(super) pattern: String,
    pub(super) points_to: String,
    pub(super) supports: bool,
}

#[derive(Serialize)]
pub(super) struct Comparison {
    pub(super) wording: Option<String>,
    pub(super) note: Option<String>,
    pub(super) clauses: Vec<ClauseComparison>,
}

#[derive(Serialize)]
pub(super) struct ClauseComparison {
    pub(super) clause: String,
    pub(super) reference: Option<String>,
    pub(super) similarity: f64,
    pub(super) same: Option<bool>,
    pub(super) differences: Vec<Difference>,
}

#[derive(Serialize)]
pub(super) struct Difference {
    pub(super) kind: &'static str,
    pub(super) material: bool,
    pub(super) old: String,
    pub(super) new: String,
    pub(super) reason: String,
}

#[derive(Serialize)]
pub(super) struct Answer {
    pub(super) holder: &'static str,
    pub(super) inspection: &'static str,
    pub(super) answer: &'static str,
    pub(super) open_because: Option<&'static str>,
    pub(super) if_met: &'static str,
    pub(super) settled_by: Vec<String>,
    pub(super) rule: RuleKey,
    pub(super) letter: LetterKey,
    pub(super) readings: Vec<Reading>,
    pub(super) next: Vec<String>,
    pub(super) hazards: Vec<String>,
}

#[derive(Serialize)]
pub(super) struct RuleKey {
    pub(super) answer: &'static str,
    pub(super) open_because: Option<&'static str>,
    pub(super) citations: Vec<String>,
    pub(super) conditions: Vec<Condition>,
    pub(super) standing: Vec<String>,
    pub(super) rules: Vec<String>,
    pub(super) notes: Vec<String>,
}

#[derive(Serialize)]
pub(super) struct Condition {
    pub(super) name: String,
    pub(super) met: Option<bool>,
    pub(super) open_because: Option<&'static str>,
    pub(super) words: String,
    pub(super) citation: Option<String>,
}

#[derive(Serialize)]
pub(super) struct LetterKey {
    pub(super) answer: &'static str,
    pub(super) clauses: Vec<String>,
    pub(super) conditions: Vec<Condition>,
    pub(super) evidence: Vec<Evidence>,
    pub(super) notes: Vec<String>,
}

#[derive(Serialize)]
pub(super) struct Reading {
    pub(super) id: String,
    pub(super) answer: &'static str,
    pub(super) held_by: String,
    pub(super) since: String,
    pub(super) later_than_day: bool,
    pub(super) applies_if: Option<String>,
    pub(super) says: String,
    pub(super) support: String,
    pub(super) objection: String,
    pub(super) strength: String,
}

#[derive(Serialize)]
pub(super) struct Unverified {
    pub(super) id: String,
    pub(super) title: String,
    pub(super) locator: String,
    pub(super) grade: String,
    pub(super) checked: String,
}

#[derive(Serialize)]
pub(super) struct Compared {
    pub(super) schema: u32,
    pub(super) source: Vec<Source>,
    pub(super) comparison: Comparison,
    pub(super) age: Age,
}
