//! Everything that the words of the letter alone say.

use super::{CategoryClass, Citation, Clause, Defect, InspectorRule, Norm, Note, Span, Unread};
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

/// What kind of paper was handed in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Paper {
    /// Operating limitations of an experimental aircraft.
    OperatingLimitations,
    /// Operating limitations of a light-sport category aircraft: no experimental certificate.
    LightSportCategory,
    /// Something else, or nothing that could be told.
    #[default]
    Unknown,
    /// A special airworthiness certificate (FAA Form 8130-7) alone.
    Certificate,
    /// A person's certificate.
    AirmanCertificate,
    /// A registration.
    Registration,
    /// One to a few sentences about who inspects, with no paper around them.
    Clause,
    /// A paper of another kind.
    Other(Genre),
}

/// Kinds of paper that are no letter of operating limitations and are taken for one.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Genre {
    /// A lease.
    Lease,
    /// Another contract, rules of a club.
    Agreement,
    /// A contract of sale, an offer.
    Sale,
    /// An insurance policy.
    Insurance,
    /// An article, a column, a post.
    Article,
    /// A message about a letter.
    Correspondence,
    /// An airworthiness directive, a bulletin of a maker.
    Directive,
    /// A handbook, a manual, a list of tasks.
    Manual,
    /// A permit or certificate of another kind.
    Permit,
    /// A paper of another country.
    Foreign,
    /// A log entry, a work order.
    Record,
    /// An application.
    Application,
    /// An order, a circular, a rule.
    Guidance,
    /// Text for machines: JSON, tables, markup.
    Data,
}

impl Genre {
    /// Every kind.
    pub const ALL: [Self; 14] = [
        Self::Lease,
        Self::Agreement,
        Self::Sale,
        Self::Insurance,
        Self::Article,
        Self::Correspondence,
        Self::Directive,
        Self::Manual,
        Self::Permit,
        Self::Foreign,
        Self::Record,
        Self::Application,
        Self::Guidance,
        Self::Data,
    ];

    /// The name in machine contracts and pattern files.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Lease => "lease",
            Self::Agreement => "agreement",
            Self::Sale => "sale",
            Self::Insurance => "insurance",
            Self::Article => "article",
            Self::Correspondence => "correspondence",
            Self::Directive => "directive",
            Self::Manual => "manual",
            Self::Permit => "permit",
            Self::Foreign => "foreign",
            Self::Record => "record",
            Self::Application => "application",
            Self::Guidance => "guidance",
            Self::Data => "data",
        }
    }

    /// The kind of that name.
    #[must_use]
    pub fn from_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|g| g.name() == name)
    }
}

impl Paper {
    /// The name in machine contracts.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::OperatingLimitations => "operating-limitations",
            Self::LightSportCategory => "light-sport-category",
            Self::Unknown => "unknown",
            Self::Certificate => "certificate",
            Self::AirmanCertificate => "airman-certificate",
            Self::Registration => "registration",
            Self::Clause => "clause",
            Self::Other(genre) => genre.name(),
        }
    }

    /// Whether it is a letter of an experimental aircraft, or a clause of one.
    #[must_use]
    pub const fn is_letter(self) -> bool {
        matches!(self, Self::OperatingLimitations | Self::Clause)
    }

    /// Whether it is a US letter of operating limitations, experimental or not, or a clause of one.
    #[must_use]
    pub const fn is_limitations(self) -> bool {
        matches!(
            self,
            Self::OperatingLimitations | Self::LightSportCategory | Self::Clause
        )
    }
}

/// A paragraph of 14 CFR 21.191.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Basis {
    /// `a` to `l`.
    pub letter: char,
    /// The number under (i): 1, 2 or 3.
    pub item: Option<u8>,
}

impl Basis {
    /// Reads `g`, `(g)`, `i2`, `(i)(2)`, `21.191(g)`.
    #[must_use]
    pub fn parse(words: &str) -> Option<Self> {
        let words = words.trim().to_ascii_lowercase();
        let words = words.strip_prefix("§").unwrap_or(&words).trim();
        let words = words.strip_prefix("21.191").unwrap_or(words);
        let bare: String = words.chars().filter(char::is_ascii_alphanumeric).collect();
        let mut chars = bare.chars();
        let letter = chars.next().filter(|c| ('a'..='l').contains(c))?;
        let item = match (letter, chars.next()) {
            (_, None) => None,
            ('i', Some(d @ '1'..='3')) => u8::try_from(d.to_digit(10)?).ok(),
            _ => return None,
        };
        chars.next().is_none().then_some(Self { letter, item })
    }

    /// The name in machine contracts: `g`, `i2`.
    #[must_use]
    pub fn name(self) -> String {
        self.item.map_or_else(
            || self.letter.to_string(),
            |n| format!("{}{n}", self.letter),
        )
    }
}

impl std::fmt::Display for Basis {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "({})", self.letter)?;
        self.item.map_or(Ok(()), |n| write!(f, "({n})"))
    }
}
