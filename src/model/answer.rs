//! The answer to a question: two keys, both shown.

use super::{Inspection, KeyNote, Kind, Ratings, Span};
use jiff::civil::Date;

/// The four answers. None is ever collapsed into another.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Verdict {
    /// Both keys turn.
    Yes,
    /// A key does not turn.
    No,
    /// The authorities and the owners read it differently, or the law is unsettled.
    Disputed,
    /// A fact, or the text, is missing.
    Undetermined,
}

impl Verdict {
    /// The name in machine contracts.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Yes => "yes",
            Self::No => "no",
            Self::Disputed => "disputed",
            Self::Undetermined => "undetermined",
        }
    }
}

/// Why an answer is open.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum OpenBecause {
    /// A fact was not given.
    Fact,
    /// The words of the letter are doubtful, lost or contradictory.
    Text,
    /// The law is unsettled.
    Law,
}

impl OpenBecause {
    /// The name in machine contracts.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Fact => "fact",
            Self::Text => "text",
            Self::Law => "law",
        }
    }
}

/// What the rule says of the kind on the day.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RuleAnswer {
    /// The privilege is there.
    Yes,
    /// It is not.
    No,
    /// A fact or the law is open.
    Open,
}

impl RuleAnswer {
    /// The name in machine contracts.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Yes => "yes",
            Self::No => "no",
            Self::Open => "open",
        }
    }
}

/// What the letter says of the kind.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum KeyTwo {
    /// Named.
    Named,
    /// Named to be shut out.
    Excluded,
    /// A closed list lacks the kind.
    ShutOut,
    /// An open list lacks the kind.
    Unlisted,
    /// No clause says who.
    Silent,
    /// A generic term may or may not cover the kind.
    Generic,
    /// Clauses conflict, a deciding word is doubtful, a page is missing.
    Unclear,
}

impl KeyTwo {
    /// The name in machine contracts.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Named => "named",
            Self::Excluded => "excluded",
            Self::ShutOut => "shut-out",
            Self::Unlisted => "unlisted",
            Self::Silent => "silent",
            Self::Generic => "generic",
            Self::Unclear => "unclear",
        }
    }
}

/// A condition of a rule or clause, held against the facts.
#[derive(Clone, Debug, PartialEq)]
pub struct ConditionResult {
    /// Its name: `owned-by-holder`, `category-trained` …
    pub name: String,
    /// Met, not met, or open.
    pub met: Option<bool>,
    /// Why it is open; `None` where it is met or not met.
    pub open_because: Option<OpenBecause>,
    /// Words for people: what it asks.
    pub words: String,
    /// Citation for a rule's condition; empty for a clause's.
    pub citation: String,
}

/// A section that an answer rests on.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct RuleCitation {
    /// The sections: `§§ 65.81(a), 65.85(a)`.
    pub paragraph: String,
    /// Days of force in words, where the file has them: `in force from 2025-10-22`.
    pub days: String,
    /// The state in which it was read, and its grade: `eCFR as of 2026-09-03, grade A`.
    pub read: String,
    /// The day on which that was checked: `2026-11-25`.
    pub checked: String,
}

impl RuleCitation {
    /// The sections, their days of force, and the state in which they were read with its grade:
    /// all but the day of the check.
    #[must_use]
    pub fn short(&self) -> String {
        let mut out = self.paragraph.clone();
        if !self.days.is_empty() {
            out.push_str(", ");
            out.push_str(&self.days);
        }
        if !self.read.is_empty() {
            out.push_str("; ");
            out.push_str(&self.read);
        }
        out
    }
}

impl std::fmt::Display for RuleCitation {
    /// Everything, for people.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.short())?;
        if !self.checked.is_empty() {
            write!(f, ", checked {}", self.checked)?;
        }
        Ok(())
    }
}

/// Key 1.
#[derive(Clone, Debug, PartialEq)]
pub struct RuleKey {
    /// Does it turn?
    pub answer: RuleAnswer,
    /// Why it is open.
    pub open_because: Option<OpenBecause>,
    /// The sections it rests on, each with its date and grade.
    pub citations: Vec<RuleCitation>,
    /// The ids of the files in `patterns/law/` behind it.
    pub rules: Vec<String>,
    /// The conditions, each held against the facts.
    pub conditions: Vec<ConditionResult>,
    /// Conditions that always stand beside a yes and are never asked.
    pub standing: Vec<String>,
    /// Notes: what is inferred, what is unsettled and why.
    pub notes: Vec<RuleNote>,
    /// The law is open even when every open fact turns out well.
    pub unsettled: bool,
}

/// What the reader has to be told about an answer to key 1, as data.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum RuleNote {
    /// A remark of a rule.
    Remark {
        /// Id of the file in `patterns/law/`.
        law: String,
        /// Index of the remark in that file.
        remark: usize,
    },
    /// Which certificate the person holds is not said, so no rule can be looked up.
    CertificateNotSaid,
    /// No rule lets this kind inspect on that day.
    NoRule {
        /// The kind.
        kind: Kind,
        /// The day asked about.
        on: Date,
    },
}

/// Key 2.
#[derive(Clone, Debug, PartialEq)]
pub struct LetterKey {
    /// What the letter says of the kind.
    pub answer: KeyTwo,
    /// Indexes of the clauses.
    pub clauses: Vec<usize>,
    /// The clause's own conditions, each held against the facts.
    pub conditions: Vec<ConditionResult>,
    /// The words that decide.
    pub evidence: Vec<Span>,
    /// Why it is unclear, which other clause speaks too.
    pub notes: Vec<KeyNote>,
}

/// A reading of the dispute, applied to this kind and letter.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadingApplied {
    /// Id of the file in `patterns/reading/`.
    pub id: String,
    /// What the reading would answer here.
    pub answer: Verdict,
    /// What it would answer when all open facts turn out well.
    pub if_met: Verdict,
    /// By whom it is held, by role.
    pub held_by: String,
    /// Since when, as an ISO date or words.
    pub since: String,
    /// Its date is later than the day asked about.
    pub later_than_day: bool,
    /// The branch of an open fact on which it speaks ("if the letter was issued before
    /// 2025-10-22"); `None` where it speaks in any case.
    pub applies_if: Option<String>,
    /// The position in a line, with day and grade; `None` where it is not one of the first.
    pub line: Option<String>,
    /// What it says, in a sentence.
    pub says: String,
    /// Its best support.
    pub support: String,
    /// The best objection.
    pub objection: String,
    /// Its strength as authority, with the grade of our source.
    pub strength: String,
}

/// The answer for one kind.
#[derive(Clone, Debug, PartialEq)]
pub struct Answer {
    /// The kind.
    pub holder: Kind,
    /// A mechanic's ratings, where the question gives them.
    pub ratings: Option<Ratings>,
    /// The inspection.
    pub inspection: Inspection,
    /// The answer.
    pub answer: Verdict,
    /// Why it is open; `None` for yes and no.
    pub open_because: Option<OpenBecause>,
    /// The answer when all open facts turn out well.
    pub if_met: Verdict,
    /// The facts that would settle it, by their option names.
    pub settled_by: Vec<String>,
    /// Key 1.
    pub rule: RuleKey,
    /// Key 2.
    pub letter: LetterKey,
    /// The readings of the dispute that bear on this kind here.
    pub readings: Vec<ReadingApplied>,
    /// What to do next, in order.
    pub next: Vec<String>,
    /// What can go wrong, where it applies here.
    pub hazards: Vec<String>,
}
