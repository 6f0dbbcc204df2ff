//! Lead-ins and heads of tables: what they leave to the items after them.

use super::carried::{Carried, Frame};
use super::reading::{Found, SegmentReading};
use super::segment::Segment;
use crate::model::{Form, Inspection};
use crate::patterns::inspector::{InspectorRole, Meaning};

impl SegmentReading<'_, '_> {
    /// A lead-in leaves its form and inspection to the items after it.
    pub(super) fn leave_frame(
        &self,
        segment: &Segment,
        found: &Option<Found>,
        inspections: &[Option<Inspection>],
        speaks: bool,
        closes: bool,
        carried: &mut Carried,
    ) {
        if let Some(found) = found {
            // "Eligible to perform: X; Y; Z"
            if self.range.end < self.marked.range.end
                && self.marked.is(self.range.end - 1, &[";", ",", "and", "or"])
                && !found.named.is_empty()
                && found.form != Form::None
            {
                carried.frame = Some(Frame {
                    form: found.form,
                    inspection: inspections.first().copied().flatten(),
                    evidence: self
                        .modal
                        .iter()
                        .map(|m| self.marked.span(&m.tokens))
                        .collect(),
                });
            }
            return;
        }
        if self.asks_who() {
            carried.frame = Some(Frame {
                form: Form::Open,
                inspection: inspections.first().copied().flatten(),
                evidence: vec![self.marked.span(&self.range)],
            });
            return;
        }
        let header = self.has_by_header();
        let known = carried.inspection.is_some() && self.modal_is(InspectorRole::Grant);
        if !(segment.leads_in || header) || !(speaks || header || known) {
            if self.modal.is_some() {
                carried.frame = None;
            }
            return;
        }
        let only = self.has(InspectorRole::Only) && !self.has_word(&["not"]);
        let form = match self.modal.as_ref().map(|m| m.meaning) {
            _ if closes || only => Form::Closed,
            Some(Meaning::Plain(InspectorRole::Duty)) if self.is_causative_or_other() => return,
            Some(Meaning::Plain(InspectorRole::Duty | InspectorRole::Reserve)) => Form::Closed,
            Some(Meaning::Plain(InspectorRole::Grant)) => Form::Open,
            Some(Meaning::Plain(InspectorRole::Advise)) => Form::None,
            Some(_) => return,
            None if header => Form::Open,
            None => return,
        };
        carried.frame = Some(Frame {
            form,
            inspection: inspections.first().copied().flatten(),
            evidence: self
                .modal
                .iter()
                .map(|m| self.marked.span(&m.tokens))
                .collect(),
        });
    }

    pub(super) fn is_causative_or_other(&self) -> bool {
        self.does_something_else()
    }

    /// A heading: "Who may perform it".
    pub(super) fn asks_who(&self) -> bool {
        self.marked.is(self.range.start, &["who"])
            && self.marked.is(self.range.start + 1, &["may", "can"])
            && self.has(InspectorRole::Act)
            && self.range.len() <= 10
    }

    /// The head of a table: "… MAY BE PERFORMED BY".
    pub(super) fn has_by_header(&self) -> bool {
        let marked = self.marked;
        marked.within(&self.range).any(|m| {
            m.is(InspectorRole::Act)
                && marked.is(m.tokens.end, &["by"])
                && self.by_people().is_empty()
                && m.tokens.end + 2 >= self.trimmed_end()
        })
    }
}
