//! What kind of paper it is.

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
