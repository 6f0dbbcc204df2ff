//! The data that flows from room to room. Types only: no reading, no matching, no rendering.
//!
//! Offsets are bytes of the normalized text ([`Text::content`]); page and line are worked out
//! once, in the report, through [`Text::place`].

mod answer;
mod basis;
mod citation;
mod claim_detail;
mod clause;
mod comparison;
mod defect;
mod inspectors;
mod key_note;
mod letter;
mod norm;
mod note;
mod paper;
mod question;
mod read_note;
mod reason;
mod span;
mod text;
mod unread;

pub use answer::{
    Answer, ConditionResult, KeyTwo, LetterKey, OpenBecause, ReadingApplied, RuleAnswer,
    RuleCitation, RuleKey, RuleNote, Verdict,
};
pub use basis::{Basis, CategoryClass};
pub use citation::Citation;
pub use claim_detail::{ClaimDetail, ForceTurned};
pub use clause::{Clause, Label, Phase};
pub use comparison::{
    Age, AgeCandidate, AgeEvidence, ClaimFinding, ClaimStatement, ClaimVerdict, ClauseComparison,
    ClausePair, Comparison, Departure, Diff, Difference, DifferenceKind, LetterComparison, Misfit,
    MisfitKind, Op, Relation, Turn,
};
pub use defect::{Defect, DefectKind, Detail, Edge};
pub use inspectors::{
    Form, Inspection, InspectorCondition, InspectorConditionKind, InspectorRule, Kind, NamedKind,
    RuleDoubt,
};
pub use key_note::KeyNote;
pub use letter::{Differs, Found, Letter, Mixed, Replaced, ReplacedBy, Whose};
pub use norm::{Binds, Limiter, Modality, Norm, Phrase};
pub use note::{FactNote, FactStatement, Note, PaperNote, Stands, TooMuch};
pub use paper::{Genre, Paper};
pub use question::{CertificateFor, Ownership, Question, Rating, Ratings};
pub use read_note::{
    Counted, FileNote, GaveUp, LostBlanks, OneReading, OrderBy, PageNote, PageOf, ReadNote,
    ReadNoteKind, Torn,
};
pub use reason::{ComparisonNote, DifferenceReason, WordsEffect};
pub use span::Span;
pub use text::{Anchor, Doubt, Furniture, Picture, Place, ReadAs, Seen, Source, Text};
pub use unread::{Unread, UnreadKind};
