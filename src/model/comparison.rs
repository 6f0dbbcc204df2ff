//! A letter held against reference wordings or another letter.

use super::{Note, Span};

/// One piece of a word-level comparison.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Op {
    /// In both wordings.
    Keep(String),
    /// Only in the old one.
    Delete(String),
    /// Only in the new one.
    Insert(String),
}

/// Two wordings compared.
#[derive(Clone, Debug, PartialEq)]
pub struct Diff {
    /// No change of wording: spacing, line breaks, quotes, dashes, case of a heading aside.
    pub same: bool,
    /// The whole comparison; rebuilds both texts.
    pub ops: Vec<Op>,
    /// The changes with their kinds.
    pub differences: Vec<Difference>,
}

/// One change.
#[derive(Clone, Debug, PartialEq)]
pub struct Difference {
    /// What changed.
    pub kind: DifferenceKind,
    /// Whether the norm changed.
    pub material: bool,
    /// Old words; empty for an insertion.
    pub old: String,
    /// New words; empty for a deletion.
    pub new: String,
    /// Why it is material or not.
    pub reason: String,
}

/// Kinds of change.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum DifferenceKind {
    /// may ↔ must ↔ shall ↔ must not.
    Modality,
    /// A kind of inspector came in.
    InspectorAdded,
    /// A kind of inspector went.
    InspectorRemoved,
    /// "only", "unless", "except" came or went.
    Limiter,
    /// "not", "no", "never" came or went.
    Negation,
    /// A number or an interval.
    Number,
    /// Another rule is cited.
    Citation,
    /// Another term.
    Term,
    /// Words of no weight.
    Editorial,
}

impl DifferenceKind {
    /// The name in machine contracts.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Modality => "modality",
            Self::InspectorAdded => "inspector-added",
            Self::InspectorRemoved => "inspector-removed",
            Self::Limiter => "limiter",
            Self::Negation => "negation",
            Self::Number => "number",
            Self::Citation => "citation",
            Self::Term => "term",
            Self::Editorial => "editorial",
        }
    }
}

/// One clause of the letter and the reference clause nearest to it.
#[derive(Clone, Debug, PartialEq)]
pub struct ClauseComparison {
    /// Index of the letter's clause.
    pub clause: usize,
    /// Id of the wording file; `None` where nothing is near enough.
    pub reference: Option<String>,
    /// 0 to 1.
    pub similarity: f64,
    /// The comparison, reference as old, letter as new; `None` without a reference.
    pub diff: Option<Diff>,
}

/// The letter against all wordings held for its basis.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Comparison {
    /// The revision whose wordings are nearest; `None` where none is held or none is near.
    pub wording: Option<String>,
    /// One entry a clause of level 1.
    pub clauses: Vec<ClauseComparison>,
    /// Why nothing could be compared, where so.
    pub note: Option<String>,
}

/// Which revisions the letter could come from.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Age {
    /// The likeliest, where the words tell; `None` for "cannot tell".
    pub best: Option<String>,
    /// All candidates with weights that add up to 1, heaviest first.
    pub candidates: Vec<AgeCandidate>,
    /// The features behind them.
    pub evidence: Vec<AgeEvidence>,
    /// What does not fit: a stated date and a wording of another time.
    pub notes: Vec<Note>,
}

/// A candidate revision.
#[derive(Clone, Debug, PartialEq)]
pub struct AgeCandidate {
    /// Revision family.
    pub wording: String,
    /// 0 to 1.
    pub weight: f64,
}

/// A feature of the words that dates the letter.
#[derive(Clone, Debug, PartialEq)]
pub struct AgeEvidence {
    /// Id of the file in `patterns/age/`.
    pub pattern: String,
    /// Where the words stand.
    pub span: Span,
    /// What it points to, in words.
    pub points_to: String,
    /// Whether it speaks for [`Age::best`]; true where there is none.
    pub supports: bool,
}
