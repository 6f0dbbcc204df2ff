//! A letter held against reference wordings or another letter.

use jiff::civil::Date;

use super::{ClaimDetail, ComparisonNote, DifferenceReason, Kind, Span};

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
    pub reason: DifferenceReason,
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
    /// With what it was compared where it does not say, or why with nothing.
    pub note: Option<ComparisonNote>,
}

/// Which revisions the letter could come from.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Age {
    /// The one that the words tell; `None` for "cannot tell".
    pub best: Option<String>,
    /// Those that the words do not tell apart, likeliest first; empty where they tell nothing.
    pub by_words: Vec<String>,
    /// Those of `by_words` in whose time the stated date is; empty without a date.
    pub with_date: Vec<String>,
    /// All candidates with weights that add up to 1, heaviest first.
    pub candidates: Vec<AgeCandidate>,
    /// The features behind them.
    pub evidence: Vec<AgeEvidence>,
    /// A stated date that does not fit the wording.
    pub misfit: Option<Misfit>,
}

/// A stated date, and words that most likely come from a revision of another time.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Misfit {
    /// The stated day.
    pub issued: Date,
    /// The revision.
    pub wording: String,
    /// How its time stands to the day.
    pub kind: MisfitKind,
}

impl Misfit {
    /// Its stable name, for machines.
    pub const ID: &'static str = "date-and-wording";
}

/// How the time of a revision stands to a stated day.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MisfitKind {
    /// It came later, about this day.
    CameLater(Date),
    /// It was replaced long before, about this day.
    ReplacedBefore(Date),
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
    /// Whether it speaks for one of [`Age::by_words`]; true where there are none.
    pub supports: bool,
}

/// How a clause of one letter stands to the other letter.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Relation {
    /// In both, with the same wording.
    Same,
    /// In both, with other words here and there.
    Changed,
    /// In both, with most words changed.
    Reworded,
    /// Several old clauses are one now.
    Merged,
    /// One old clause is several now.
    Split,
    /// Only in the old letter.
    Missing,
    /// Only in the new letter.
    Additional,
}

impl Relation {
    /// The name in machine contracts.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Same => "same",
            Self::Changed => "changed",
            Self::Reworded => "reworded",
            Self::Merged => "merged",
            Self::Split => "split",
            Self::Missing => "missing",
            Self::Additional => "additional",
        }
    }
}

/// Clauses of two letters that say the same thing.
#[derive(Clone, Debug, PartialEq)]
pub struct ClausePair {
    /// How they stand to each other.
    pub relation: Relation,
    /// Indexes of the old letter's clauses; several where they were merged.
    pub old: Vec<usize>,
    /// Indexes of the new letter's clauses; several where one was split.
    pub new: Vec<usize>,
    /// 0 to 1; 0 for a clause that stands alone.
    pub similarity: f64,
    /// Their numbers differ.
    pub renumbered: bool,
    /// They stand in another order among the clauses that both letters have.
    pub moved: bool,
    /// The words; `None` for a clause that stands alone.
    pub diff: Option<Diff>,
}

/// A letter held against another one, clause by clause.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct LetterComparison {
    /// In the order of the new letter; clauses that are missing there stand where the old letter
    /// had them.
    pub pairs: Vec<ClausePair>,
}

/// What somebody's statement about a letter comes to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum ClaimVerdict {
    /// Nothing in it departs from the clause.
    Fits,
    /// It adds, drops or turns something.
    Departs,
    /// The letter neither says nor denies it: its list is open and does not name the person.
    Beyond,
    /// A deciding word of the claim or of the clause was not understood.
    Unclear,
    /// No clause of the letter speaks of it.
    NoClause,
}

impl ClaimVerdict {
    /// The name in machine contracts.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Fits => "fits",
            Self::Departs => "departs",
            Self::Beyond => "beyond",
            Self::Unclear => "unclear",
            Self::NoClause => "no-clause",
        }
    }
}

/// What a statement does to the meaning of the clause it speaks of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Departure {
    /// It says something that the clause does not say.
    Adds,
    /// It leaves out something that the clause says.
    Drops,
    /// It says something else in its place.
    Turns,
}

impl Departure {
    /// The name in machine contracts.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Adds => "adds",
            Self::Drops => "drops",
            Self::Turns => "turns",
        }
    }
}

/// What a statement makes of the clause, by the name that a reader knows it by.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Turn {
    /// The claim limits the list, the letter does not.
    OnlyAdded,
    /// The letter limits the list, the claim does not.
    OnlyDropped,
    /// The claim names a kind that the letter does not name.
    KindAdded,
    /// The claim leaves out a kind that the letter names.
    KindDropped,
    /// The claim says must where the letter says may.
    MustForMay,
    /// The claim says may where the letter says must.
    MayForMust,
    /// One bars what the other permits or demands.
    Negation,
    /// A number.
    Number,
    /// How often, or how long ago at most.
    Interval,
    /// A condition or an exception that one side has.
    Condition,
    /// Another rule is cited.
    Citation,
    /// It speaks of another inspection than the clause.
    AnotherInspection,
}

impl Turn {
    /// The name, for people and in machine contracts.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::OnlyAdded => "only added",
            Self::OnlyDropped => "only dropped",
            Self::KindAdded => "kind added",
            Self::KindDropped => "kind dropped",
            Self::MustForMay => "must for may",
            Self::MayForMust => "may for must",
            Self::Negation => "negation",
            Self::Number => "number",
            Self::Interval => "interval",
            Self::Condition => "condition",
            Self::Citation => "citation",
            Self::AnotherInspection => "another inspection",
        }
    }
}

/// One departure of a statement from the clause.
#[derive(Clone, Debug, PartialEq)]
pub struct ClaimFinding {
    /// By which name a reader knows it.
    pub turn: Turn,
    /// What it does.
    pub departure: Departure,
    /// What kind of thing.
    pub kind: DifferenceKind,
    /// What it says otherwise.
    pub detail: ClaimDetail,
    /// The words of the letter behind it, where it has some.
    pub span: Option<Span>,
}

/// One statement of a claim, held against the letter.
#[derive(Clone, Debug, PartialEq)]
pub struct ClaimStatement {
    /// The words of the claim.
    pub text: String,
    /// Where in [`Self::text`] the words stand that the findings rest on.
    pub marks: Vec<Span>,
    /// Index of the letter's clause that it speaks of.
    pub clause: Option<usize>,
    /// Where the clause's words stand that it speaks of.
    pub span: Option<Span>,
    /// 0 to 1.
    pub similarity: f64,
    /// What it comes to.
    pub verdict: ClaimVerdict,
    /// What it adds, drops or turns.
    pub findings: Vec<ClaimFinding>,
    /// The kinds that it speaks of and the letter neither names nor shuts out.
    pub beyond: Vec<Kind>,
    /// Ids of the readings of that dispute, the one in favor and the one against alike.
    pub readings: Vec<String>,
    /// Words of the claim or of the clause that may bear on it were not understood; the findings
    /// are of those that were.
    pub doubt: bool,
}
