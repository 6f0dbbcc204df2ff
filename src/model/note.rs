//! What has to be said of a letter and of the facts of a question beside the answers, as data.

use super::{Basis, CategoryClass, ReadNote};
use jiff::civil::Date;

/// Something that the reader of the report has to know.
#[derive(Clone, Debug, PartialEq)]
pub enum Note {
    /// Of the reading of the files.
    Read(ReadNote),
    /// The text asks for more work than any letter; nothing of it was understood.
    TooMuch(TooMuch),
    /// Of the papers that the files were told apart into.
    Paper(PaperNote),
    /// Of the facts.
    Fact(FactNote),
}

/// What a text has too much of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TooMuch {
    /// So many words and marks.
    Words(usize),
    /// So many clauses.
    Clauses(usize),
    /// A sentence of so many words and marks.
    Sentence(usize),
}

/// What was found about the papers.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum PaperNote {
    /// The airworthiness certificate was read, too.
    CertificateBeside(Stands),
    /// A paper amends the letter.
    Amendment {
        /// Where it stands.
        at: Stands,
        /// Ids of the limitations that it replaces; where there are none, both stand.
        limitations: Vec<String>,
    },
    /// The paper amends itself: of these limitations the later words hold.
    AmendsItself(Vec<String>),
    /// An amendment deletes these limitations.
    Deletion(Vec<String>),
    /// Words with a line through them count nowhere.
    StruckThrough,
    /// Of two letters of the aircraft the later one, of this day, counts.
    LaterLetter(Date),
}

/// Where a paper stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Stands {
    /// In the file of this name, of several.
    File(String),
    /// From this page on, of one file.
    Page(u32),
}

/// What there is to know about the facts of a question before any answer.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum FactNote {
    /// A clause was handed in without its letter.
    ClauseAlone,
    /// The question names another paragraph of § 21.191 than the letter.
    BasisContradicts {
        /// By the question, which is followed.
        question: Basis,
        /// By the letter.
        letter: Basis,
    },
    /// The question names a paragraph of § 21.191, the paper is of a light-sport category aircraft.
    NoBasis,
    /// The question names another day of issue than the letter.
    IssuedContradicts {
        /// By the question, which is followed.
        question: Date,
        /// By the letter.
        letter: Date,
    },
    /// The question names another aircraft than the letter.
    AircraftContradicts {
        /// By the question, which is followed.
        question: CategoryClass,
        /// By the letter.
        letter: CategoryClass,
    },
    /// The letter gives two purposes.
    BasisTwice,
    /// The letter gives two days of issue.
    IssuedTwice,
    /// The letter is younger than the day asked about.
    LetterYounger {
        /// The day of the letter.
        issued: Date,
        /// The day asked about.
        on: Date,
    },
    /// An amendment is younger than the day asked about.
    AmendmentYounger {
        /// The day of the amendment.
        amended: Date,
        /// The day asked about.
        on: Date,
    },
    /// The term that the paper states has run out.
    TermRunOut {
        /// The last day of the term.
        day: Date,
        /// The day asked about.
        on: Date,
    },
    /// A sentence of law on the basis or the day.
    Statement {
        /// Which.
        of: FactStatement,
        /// The basis, where it is known.
        basis: Option<Basis>,
        /// The day asked about.
        on: Date,
    },
}

/// A sentence of law that is told of some facts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FactStatement {
    /// The certificate expires.
    Expires,
    /// The basis is younger than the day asked about.
    YoungBasis,
    /// The letter is older than the rules of 1979.
    Before1979,
}

impl FactStatement {
    /// Every one, in the order in which they are told.
    pub const ALL: [Self; 3] = [Self::Expires, Self::YoungBasis, Self::Before1979];

    /// The name of its file in `patterns/statement/`, which says it and of whom it holds.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Expires => "note-expires",
            Self::YoungBasis => "note-young-basis",
            Self::Before1979 => "note-before-1979",
        }
    }

    const fn id(self) -> &'static str {
        match self {
            Self::Expires => "certificate-expires",
            Self::YoungBasis => "basis-younger-than-day",
            Self::Before1979 => "letter-before-1979",
        }
    }
}

impl Note {
    /// A stable name such as `page-is-scan`, for machines.
    #[must_use]
    pub const fn id(&self) -> &'static str {
        match self {
            Self::Read(note) => note.id(),
            Self::TooMuch(_) => "too-much",
            Self::Paper(note) => note.id(),
            Self::Fact(note) => note.id(),
        }
    }

    /// The page that it speaks of.
    #[must_use]
    pub fn page(&self) -> Option<u32> {
        match self {
            Self::Read(note) => note.page(),
            Self::TooMuch(_) | Self::Paper(_) | Self::Fact(_) => None,
        }
    }
}

impl PaperNote {
    const fn id(&self) -> &'static str {
        match self {
            Self::CertificateBeside(_) => "certificate-beside",
            Self::Amendment { .. } | Self::AmendsItself(_) => "amendment",
            Self::Deletion(_) => "deletion",
            Self::StruckThrough => "struck-through",
            Self::LaterLetter(_) => "later-letter",
        }
    }
}

impl FactNote {
    const fn id(&self) -> &'static str {
        match self {
            Self::ClauseAlone => "clause-alone",
            Self::BasisContradicts { .. } | Self::NoBasis => "basis-contradicts",
            Self::IssuedContradicts { .. } => "issued-contradicts",
            Self::AircraftContradicts { .. } => "aircraft-contradicts",
            Self::BasisTwice => "basis-twice",
            Self::IssuedTwice => "issued-twice",
            Self::LetterYounger { .. } => "letter-younger-than-day",
            Self::AmendmentYounger { .. } => "amendment-younger-than-day",
            Self::TermRunOut { .. } => "own-term-run-out",
            Self::Statement { of, .. } => of.id(),
        }
    }
}
