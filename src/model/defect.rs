//! Flaws of the letter, as data; the report says them in words.

use super::{Paper, Span};

/// A flaw in the letter itself.
#[derive(Clone, Debug, PartialEq)]
pub struct Defect {
    /// Which, with what the report says of it.
    pub detail: Detail,
    /// Indexes of the clauses concerned.
    pub clauses: Vec<usize>,
    /// Where to look.
    pub span: Option<Span>,
}

impl Defect {
    /// Which kind of flaw.
    #[must_use]
    pub const fn kind(&self) -> DefectKind {
        self.detail.kind()
    }
}

/// A flaw with its particulars. Words of the letter are those of [`Defect::span`]; a page is that
/// of the file with this index into [`Text::sources`](super::Text::sources), from 1.
#[derive(Clone, Debug, PartialEq)]
pub enum Detail {
    /// The numbering begins at a later number than the first.
    BeginsAt {
        /// That number, as clauses are labelled.
        number: String,
    },
    /// Numbers between two clauses are missing.
    NumbersMissing {
        /// The first of them.
        first: String,
        /// The last of them.
        last: String,
    },
    /// Two clauses have this number.
    NumberTwice {
        /// The number.
        number: String,
    },
    /// A page that the others count is not there.
    PageMissing {
        /// Its number, as printed.
        page: u32,
        /// How many there are, as printed.
        of: u32,
        /// The last page that is there before it.
        behind: Option<u32>,
    },
    /// A page that counts its pages otherwise than the others.
    OtherCount {
        /// The file.
        source: u16,
        /// The page in that file.
        page: u32,
        /// The number that it has, as printed.
        number: u32,
        /// The total that it names.
        of: u32,
        /// The total that the others name.
        usual: u32,
    },
    /// A page, or a file, that is another paper.
    OtherPaper {
        /// The file.
        source: u16,
        /// The page in that file.
        page: u32,
        /// Which paper.
        paper: Paper,
    },
    /// A clause stops in the middle of a sentence; the words are the last of it.
    ClauseCut {
        /// It does so at the end of a page, in a letter whose clauses have their stops.
        at_page_end: bool,
    },
    /// The lines of a page begin or end in the middle of words.
    StripLost {
        /// The file.
        source: u16,
        /// The page in that file.
        page: u32,
        /// Where.
        edge: Edge,
    },
    /// An insert of the template was not filled in.
    Insert,
    /// A line to be filled in was not.
    Blank,
    /// An instruction to the issuing office in brackets.
    Instruction,
    /// The order's own words to the inspector who issues the letter.
    OrderWords {
        /// The order and its revision.
        revision: String,
    },
    /// Two alternatives of one template.
    Alternatives,
    /// Two clauses on the same inspection that cannot both hold.
    Contradiction,
    /// A clause that cites the paragraph of another purpose.
    CitesOtherBasis {
        /// That paragraph: `21.191(d)`.
        citation: String,
    },
    /// A clause worded as one of letters for another purpose.
    WordedForOtherBasis {
        /// The letters of § 21.191 for which it is worded so.
        of: Vec<String>,
        /// The letter of the paper's own paragraph.
        basis: char,
        /// The order and its revision.
        revision: String,
    },
    /// A citation whose place in the rule has moved.
    MovedCitation {
        /// Id of the file in `patterns/outdated/` that says where to.
        pattern: String,
    },
    /// A term that a rule no longer uses.
    DroppedTerm {
        /// Id of the file in `patterns/outdated/` that says so.
        pattern: String,
    },
    /// A word that decides and cannot be read with certainty.
    DoubtfulWord {
        /// What it may be.
        meant: Option<String>,
    },
}

/// Edges of a page that were lost.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Edge {
    /// The left one.
    Left,
    /// The right one.
    Right,
    /// Both.
    Both,
}

impl Detail {
    /// Which kind of flaw.
    #[must_use]
    pub const fn kind(&self) -> DefectKind {
        match self {
            Self::BeginsAt { .. } | Self::NumbersMissing { .. } => DefectKind::MissingNumber,
            Self::NumberTwice { .. } => DefectKind::RepeatedNumber,
            Self::PageMissing { .. } => DefectKind::MissingPage,
            Self::OtherCount { .. } | Self::OtherPaper { .. } => DefectKind::OtherDocument,
            Self::ClauseCut { .. } | Self::StripLost { .. } => DefectKind::Cut,
            Self::Insert | Self::Blank => DefectKind::Unfilled,
            Self::Instruction | Self::OrderWords { .. } => DefectKind::InstructionLeftIn,
            Self::Alternatives => DefectKind::BothAlternatives,
            Self::Contradiction => DefectKind::Contradiction,
            Self::CitesOtherBasis { .. } | Self::WordedForOtherBasis { .. } => {
                DefectKind::OtherBasis
            }
            Self::MovedCitation { .. } => DefectKind::MovedCitation,
            Self::DroppedTerm { .. } => DefectKind::DroppedTerm,
            Self::DoubtfulWord { .. } => DefectKind::DoubtfulWord,
        }
    }
}

/// Kinds of flaw, closed because reports and surveys count them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum DefectKind {
    /// A gap in the numbering.
    MissingNumber,
    /// A number twice.
    RepeatedNumber,
    /// "Page 2 of 3" without page 3.
    MissingPage,
    /// A clause that stops in the middle of a sentence.
    Cut,
    /// `[insert …]`, a blank.
    Unfilled,
    /// An instruction to the issuing inspector.
    InstructionLeftIn,
    /// Both alternatives of a template.
    BothAlternatives,
    /// Two clauses that cannot both hold.
    Contradiction,
    /// A clause of another basis.
    OtherBasis,
    /// A citation whose place in the rule has moved.
    MovedCitation,
    /// A term that a rule no longer uses.
    DroppedTerm,
    /// A word that decides and cannot be read with certainty.
    DoubtfulWord,
    /// Pages that belong to another document.
    OtherDocument,
}

impl DefectKind {
    /// Every flaw.
    pub const ALL: [Self; 13] = [
        Self::MissingNumber,
        Self::RepeatedNumber,
        Self::MissingPage,
        Self::Cut,
        Self::Unfilled,
        Self::InstructionLeftIn,
        Self::BothAlternatives,
        Self::Contradiction,
        Self::OtherBasis,
        Self::MovedCitation,
        Self::DroppedTerm,
        Self::DoubtfulWord,
        Self::OtherDocument,
    ];

    /// The name in machine contracts.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::MissingNumber => "missing-number",
            Self::RepeatedNumber => "repeated-number",
            Self::MissingPage => "missing-page",
            Self::Cut => "cut",
            Self::Unfilled => "unfilled",
            Self::InstructionLeftIn => "instruction-left-in",
            Self::BothAlternatives => "both-alternatives",
            Self::Contradiction => "contradiction",
            Self::OtherBasis => "other-basis",
            Self::MovedCitation => "moved-citation",
            Self::DroppedTerm => "dropped-term",
            Self::DoubtfulWord => "doubtful-word",
            Self::OtherDocument => "other-document",
        }
    }
}
