//! What a segment says, and what it leaves open for the next one.

use crate::model::{Form, Inspection, InspectorCondition, NamedKind, Span};

/// What a segment says about one inspection.
#[derive(Clone, Debug)]
pub(super) struct Statement {
    pub(super) span: Span,
    pub(super) form: Form,
    /// `None` where the segment does not tell which.
    pub(super) inspection: Option<Inspection>,
    pub(super) named: Vec<NamedKind>,
    pub(super) excluded: Vec<NamedKind>,
    pub(super) conditions: Vec<InspectorCondition>,
    pub(super) evidence: Vec<Span>,
    /// Closes what was said before: "No other person may …".
    pub(super) closes: bool,
    /// Defines a term.
    pub(super) defines: bool,
    /// Words for a person that the clause speaks of and that found no place in what was read.
    pub(super) unread: Option<Span>,
}

/// What the segments before have left open.
#[derive(Clone, Debug, Default)]
pub(super) struct Carried {
    pub(super) inspection: Option<Inspection>,
    pub(super) named: Vec<NamedKind>,
    /// Persons that the segment before spoke of, whatever it said of them: "he" looks back to them.
    pub(super) mentioned: Vec<NamedKind>,
    /// The interval spoken of last, where no inspection is named.
    pub(super) interval: Option<Inspection>,
    /// The inspection that the clause before spoke of: "that inspection".
    pub(super) before: Option<Inspection>,
    pub(super) frame: Option<Frame>,
    pub(super) defining: bool,
}

impl Carried {
    /// At the head of a clause, after a clause that spoke of this inspection.
    pub(super) fn after(inspection: Option<Inspection>) -> Self {
        Self {
            before: inspection,
            ..Self::default()
        }
    }
}

/// A lead-in that governs the items after it.
#[derive(Clone, Debug)]
pub(super) struct Frame {
    pub(super) form: Form,
    pub(super) inspection: Option<Inspection>,
    pub(super) evidence: Vec<Span>,
}
