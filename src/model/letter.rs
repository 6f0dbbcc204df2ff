//! Everything that the words of the letter alone say.

use super::{
    Basis, CategoryClass, Citation, Clause, Defect, InspectorRule, Norm, Note, Paper, Span, Unread,
};
use jiff::civil::Date;

/// A letter understood. Vectors that speak of a clause use its index in `clauses`.
#[derive(Clone, Debug, Default)]
pub struct Letter {
    /// What kind of paper it is.
    pub paper: Paper,
    /// The words that told, for a paper that is no letter of operating limitations or that is one.
    pub paper_evidence: Vec<Span>,
    /// Clauses in the order of the text.
    pub clauses: Vec<Clause>,
    /// Norms in the order of the text.
    pub norms: Vec<Norm>,
    /// Topics of each clause, by their names in `patterns/topic/`, parallel to `clauses`.
    pub topics: Vec<Vec<String>>,
    /// Citations in the order of the text.
    pub citations: Vec<Citation>,
    /// What the clauses say about who may inspect.
    pub inspectors: Vec<InspectorRule>,
    /// The paragraph of § 21.191 under which the certificate was issued.
    pub basis: Found<Basis>,
    /// The day on which the letter was issued.
    pub issued: Found<Date>,
    /// Category and class of the aircraft, where the head of the letter gives them.
    pub aircraft: Found<CategoryClass>,
    /// The day of the last amendment, where the papers have one and it is later than the letter.
    pub amended: Found<Date>,
    /// The day on which the paper's own term runs out, where it names one.
    pub term: Found<Date>,
    /// What counts nowhere, because something took its place.
    pub replaced: Vec<Replaced>,
    /// Pieces of the text that count nowhere (other papers, what was replaced, the marks around
    /// it), ascending: no quote of what is in force holds them.
    pub left_out: Vec<Span>,
    /// Papers of different aircraft, handed in as one letter.
    pub mixed: Option<Mixed>,
    /// What was not read.
    pub unread: Vec<Unread>,
    /// What is missing, doubtful or contradictory.
    pub findings: Vec<Defect>,
    /// What the reader has to be told.
    pub notes: Vec<Note>,
}

/// A value that the words tell, with the words.
#[derive(Clone, Debug, PartialEq)]
pub struct Found<T> {
    /// The value; `None` where the words do not tell or tell two different ones.
    pub value: Option<T>,
    /// The words behind it; where two values contradict, the words of both.
    pub evidence: Vec<Span>,
}

impl<T> Default for Found<T> {
    fn default() -> Self {
        Self {
            value: None,
            evidence: Vec::new(),
        }
    }
}

/// Words that something took the place of.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Replaced {
    /// The id of the clause, where they are one.
    pub id: Option<String>,
    /// The words.
    pub span: Span,
    /// What took their place.
    pub by: ReplacedBy,
}

/// What took the place of words.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ReplacedBy {
    /// A clause of an amendment.
    Amendment,
    /// Nothing: an amendment deletes them.
    Deletion,
    /// A later letter of the same aircraft, of that day.
    LaterLetter(Date),
    /// A line through them.
    Struck,
}

impl ReplacedBy {
    /// The name in machine contracts.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Amendment => "amendment",
            Self::Deletion => "deletion",
            Self::LaterLetter(_) => "later-letter",
            Self::Struck => "struck",
        }
    }
}

/// Papers of different aircraft.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mixed {
    /// The papers of each aircraft, in the order of the text.
    pub letters: Vec<Vec<Span>>,
    /// What differs.
    pub differences: Vec<Differs>,
}

/// A value that differs between papers.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Differs {
    /// Which.
    pub whose: Whose,
    /// The words, for each of [`Mixed::letters`].
    pub spans: Vec<Vec<Span>>,
}

/// What tells whose a letter is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Whose {
    /// The registration mark.
    Mark,
    /// The serial number.
    Serial,
    /// The make.
    Make,
    /// The day of issue.
    Day,
}
