//! Norms: what a main clause permits, demands, bars or states (deontic modality).

use super::Span;

/// Deontic modality of a main clause.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Modality {
    /// "X may …": leave is given.
    Permission,
    /// "X must / shall …": a duty.
    Obligation,
    /// "X may not / must not …": barred without a way out.
    Prohibition,
    /// "no person may … unless", "only X may": barred for everybody who does not meet the condition.
    Restriction,
    /// No norm: definitions, effects, facts.
    Statement,
}

impl Modality {
    /// The name in machine contracts and pattern files.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Permission => "permission",
            Self::Obligation => "obligation",
            Self::Prohibition => "prohibition",
            Self::Restriction => "restriction",
            Self::Statement => "statement",
        }
    }
}

/// Words that stand in the text, or were taken over from a lead-in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Phrase {
    /// The words, blanks folded.
    pub text: String,
    /// Where they stand; `None` for words of a lead-in given apart from the text.
    pub span: Option<Span>,
}

/// What "only" limits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Binds {
    /// The subject: "only a mechanic may".
    Subject,
    /// The agent of a passive: "only by a mechanic".
    Agent,
    /// A time or the light: "day only".
    Time,
    /// A place: "only from Sample Field".
    Place,
    /// A case or a manner: "only if", "only under VFR".
    Condition,
    /// A thing or an act: "only those maneuvers".
    Object,
}

impl Binds {
    /// The name in machine contracts.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Subject => "subject",
            Self::Agent => "agent",
            Self::Time => "time",
            Self::Place => "place",
            Self::Condition => "condition",
            Self::Object => "object",
        }
    }
}

/// "only" in a norm, and what it limits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Limiter {
    /// The word.
    pub span: Span,
    /// What it limits.
    pub binds: Binds,
}

/// The norm of one main clause.
#[derive(Clone, Debug, PartialEq)]
pub struct Norm {
    /// Index of the clause in which it stands.
    pub clause: usize,
    /// What it does.
    pub modality: Modality,
    /// The main clause.
    pub span: Span,
    /// The words that make the modality, as narrow as can be.
    pub trigger: Option<Phrase>,
    /// Who may, must or must not; `None` for passives without an agent.
    pub bearer: Option<Phrase>,
    /// What they may, must or must not do.
    pub action: Option<Phrase>,
    /// "if", "when", "during", "within" …
    pub conditions: Vec<Span>,
    /// "unless", "except" …
    pub exceptions: Vec<Span>,
    /// "only", and what it limits.
    pub limiter: Option<Limiter>,
    /// Id of the pattern file behind the trigger.
    pub pattern: Option<String>,
    /// Whether it stands inside a quotation (a log-entry text): then it binds nobody.
    pub quoted: bool,
}
