//! How far a key turns: met, not met, open for facts, open in law. States add up.

use std::collections::BTreeSet;

use crate::model::{ConditionResult, OpenBecause, RuleAnswer};

/// A fact that only the user knows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fact {
    /// Paragraph of § 21.191.
    Basis,
    /// How the person owns the aircraft.
    Owner,
    /// What a light-sport repairman was trained for.
    Trained,
    /// What the aircraft is.
    Aircraft,
    /// A mechanic's ratings.
    Ratings,
    /// Which aircraft the certificate names.
    CertificateFor,
    /// Inspection authorization.
    HoldsIa,
    /// Whether there was an earlier certificate of another kind.
    EarlierCertificate,
    /// Issue date of the letter.
    Issued,
    /// Which certificate the person holds.
    Holder,
    /// A condition of the clause that no option speaks of.
    ClauseCondition,
    /// The day on which a rule took effect, which was not found.
    EffectiveDay,
}

impl Fact {
    /// Every fact, in the order in which it is asked.
    pub const ALL: [Self; 12] = [
        Self::Basis,
        Self::Owner,
        Self::Trained,
        Self::Aircraft,
        Self::Ratings,
        Self::CertificateFor,
        Self::HoldsIa,
        Self::EarlierCertificate,
        Self::Issued,
        Self::Holder,
        Self::ClauseCondition,
        Self::EffectiveDay,
    ];

    /// The option of the command line that says it; `None` where there is none.
    #[must_use]
    pub const fn option(self) -> Option<&'static str> {
        match self {
            Self::HoldsIa => Some("inspection-authorization"),
            Self::ClauseCondition | Self::EffectiveDay => None,
            other => Some(other.name()),
        }
    }

    /// The name in `settled_by`.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Basis => "basis",
            Self::Owner => "owner",
            Self::Trained => "trained",
            Self::Aircraft => "aircraft",
            Self::Ratings => "ratings",
            Self::CertificateFor => "certificate-for",
            Self::HoldsIa => "holds-ia",
            Self::EarlierCertificate => "earlier-certificate",
            Self::Issued => "issued",
            Self::Holder => "holder",
            Self::ClauseCondition => "clause-condition",
            Self::EffectiveDay => "effective-day",
        }
    }

    /// The fact of that name.
    #[must_use]
    pub fn from_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|f| f.name() == name)
    }

    /// What has to be known, in words: "whether ..." or "which ...".
    #[must_use]
    pub const fn meaning(self) -> &'static str {
        match self {
            Self::Basis => {
                "for which purpose the certificate was issued (the letter of § 21.191 on it)"
            }
            Self::Owner => "whether the person owns the aircraft in his or her own name",
            Self::Trained => "for which category (and class) the person was trained",
            Self::Aircraft => "which category and class the aircraft is",
            Self::Ratings => "which ratings the mechanic holds",
            Self::CertificateFor => "which aircraft the person's certificate lists",
            Self::HoldsIa => "whether the mechanic holds an inspection authorization",
            Self::EarlierCertificate => {
                "whether the FAA issued another kind of airworthiness certificate for the aircraft before"
            }
            Self::Issued => "on which day the letter was issued",
            Self::Holder => "which certificate the person holds",
            Self::ClauseCondition => "whether the condition that the clause adds is met",
            Self::EffectiveDay => "on which day in 1979 the rule took effect",
        }
    }
}

/// How far a key turns. Empty is "it turns".
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct State {
    /// It does not turn, whatever else is open.
    pub(super) no: bool,
    /// The facts that are open.
    pub(super) facts: BTreeSet<Fact>,
    /// The law is open even when all facts turn out well.
    pub(super) law: bool,
}

impl State {
    pub(super) fn met() -> Self {
        Self::default()
    }

    pub(super) fn not_met() -> Self {
        Self {
            no: true,
            ..Self::default()
        }
    }

    pub(super) fn open_law() -> Self {
        Self {
            law: true,
            ..Self::default()
        }
    }

    pub(super) fn open_facts(facts: &[Fact]) -> Self {
        Self {
            facts: facts.iter().copied().collect(),
            ..Self::default()
        }
    }

    /// Both together.
    pub(super) fn and(mut self, other: &Self) -> Self {
        self.no |= other.no;
        self.law |= other.law;
        self.facts.extend(&other.facts);
        self
    }

    /// For the better of two ways to the same end.
    pub(super) fn rank(&self) -> u8 {
        match (self.no, self.facts.is_empty(), self.law) {
            (true, _, _) => 0,
            (_, false, true) => 1,
            (_, true, true) => 2,
            (_, false, false) => 3,
            (_, true, false) => 4,
        }
    }

    /// Met, not met or open, as a condition shows it.
    pub(super) fn as_met(&self) -> Option<bool> {
        if self.no {
            Some(false)
        } else if self.facts.is_empty() && !self.law {
            Some(true)
        } else {
            None
        }
    }
}

/// What key 1 says in the words of the contract.
pub(super) fn rule_answer(state: &State) -> (RuleAnswer, Option<OpenBecause>) {
    if state.no {
        (RuleAnswer::No, None)
    } else if !state.facts.is_empty() {
        (RuleAnswer::Open, Some(OpenBecause::Fact))
    } else if state.law {
        (RuleAnswer::Open, Some(OpenBecause::Law))
    } else {
        (RuleAnswer::Yes, None)
    }
}

/// A condition as the report shows it.
pub(super) fn result(name: &str, words: &str, state: &State) -> ConditionResult {
    ConditionResult {
        name: name.to_owned(),
        met: state.as_met(),
        open_because: rule_answer(state).1,
        words: words.to_owned(),
        citation: String::new(),
    }
}
