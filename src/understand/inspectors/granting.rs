//! Forms that name: may, must be performed by, is acceptable, tables, "the inspector may be".

use std::ops::Range;

use super::carried::{Carried, Statement};
use super::marks::Cue;
use super::people::Person;
use super::reading::{Found, SegmentReading};
use super::zones;
use crate::model::{Form, Inspection, InspectorCondition, InspectorConditionKind};
use crate::patterns::WordList;
use crate::patterns::inspector::{Head, InspectorRole, Meaning};

impl SegmentReading<'_, '_> {
    /// "The inspector may be X", "Who may do it: X", "Authorized to make the inspection are X":
    /// what stands behind says who.
    pub(super) fn of_agent(&self) -> Option<Found> {
        let marked = self.marked;
        let first = marked.within(&self.range).next()?;
        let starts = first.tokens.start <= self.range.start + 1;
        let agent = starts && first.is(InspectorRole::Agent);
        let asks = marked.is(self.range.start, &["who"]);
        let inverted =
            starts && first.is(InspectorRole::Grant) && first.tokens.start == self.range.start;
        if !(agent || asks || inverted) {
            return None;
        }
        let from = first.tokens.end;
        // The word behind which the persons stand: "be", "are", a colon.
        let at = (from..self.range.end).find(|&i| {
            marked.is(i, &["be", "is", "are", ":"]) || marked.listed(i, WordList::Hold)
        })?;
        let other_verb = marked.within(&(from..at + 3)).any(|m| {
            m.is(InspectorRole::OtherAct)
                || m.is(InspectorRole::Causative)
                || m.is(InspectorRole::Denial)
                || m.is(InspectorRole::Advise)
        });
        let named = self.people_in(at + 1..self.range.end);
        if other_verb || named.is_empty() {
            return None;
        }
        let word = |w: &[&str]| (from..at + 1).any(|i| marked.is(i, w));
        let open = inverted || word(&["may", "can"]) || (asks && !word(&["must", "shall"]));
        let form = if open && !self.only_limits(&named) {
            Form::Open
        } else {
            Form::Closed
        };
        Some(Found::new(form, named))
    }

    pub(super) fn passive(&self) -> Option<Found> {
        let mut named = self.by_people();
        if named.is_empty() {
            return None;
        }
        let excluded = self.excepted(&mut named);
        named.extend(self.also());
        // "will honor no inspection other than one performed by X"
        let first = named.first().map_or(self.range.end, |p| p.tokens.start);
        let none_but = self
            .first_of(InspectorRole::But, &(self.range.start..first))
            .is_some_and(|b| {
                (self.range.start..b.tokens.start).any(|i| self.marked.is(i, &["no", "not"]))
            });
        if none_but {
            return Some(Found::new(Form::Closed, named));
        }
        // What was done once says nothing of who may do it.
        if self.modal.is_none() && self.has_word(&["was", "were", "been"]) {
            return None;
        }
        let present = self.modal.is_none() && self.has_word(&["is", "are"]);
        let form = if self.only_limits(&named) || self.modal_is(InspectorRole::Duty) || present {
            Form::Closed
        } else {
            Form::Open
        };
        Some(Found {
            excluded,
            ..Found::new(form, named)
        })
    }

    /// "… and so may a repair station", "as is any mechanic".
    pub(super) fn also(&self) -> Vec<Person> {
        let marked = self.marked;
        let verbs = ["is", "are", "may", "can"];
        let start = self
            .range
            .clone()
            .find(|&i| marked.is(i, &["so", "as"]) && marked.is(i + 1, &verbs));
        start.map_or_else(Vec::new, |i| self.people_in(i + 2..self.range.end))
    }

    /// "X may perform", "X shall perform": the persons are the subject.
    pub(super) fn active(&self, carried: &Carried) -> Option<Found> {
        let modal = self.modal.as_ref()?;
        let subject = self.subject();
        let mut named = self.people_in(subject.clone());
        let mut excluded = Vec::new();
        if let Some(but) = self.first_of(InspectorRole::But, &subject) {
            named = self.people_in(subject.start..but.tokens.start);
            excluded = self.people_in(but.tokens.end..subject.end);
        } else {
            excluded.extend(self.excepted(&mut named));
        }
        if modal.is(InspectorRole::Grant) {
            return self.granted(&subject, named, excluded);
        }
        if !modal.is(InspectorRole::Duty) || named.is_empty() {
            return None;
        }
        self.obliged(modal, &subject, named, excluded, carried)
    }

    /// "X may perform": `named` and `excluded` are those of the subject.
    fn granted(
        &self,
        subject: &Range<usize>,
        mut named: Vec<Person>,
        excluded: Vec<Person>,
    ) -> Option<Found> {
        let marked = self.marked;
        // "are the only persons who may perform"
        let only_persons = marked.within(subject).any(|m| {
            m.is(InspectorRole::Only)
                && marked
                    .within(&(m.tokens.end..subject.end.min(m.tokens.end + 3)))
                    .any(|p| p.meaning == Meaning::Head(Head::Person))
        }) && !named.is_empty()
            && self.zones.iter().all(|z| z.range.start > subject.start);
        if named.is_empty() || named.iter().all(Person::is_plain_owner) {
            let chosen = self.people_chosen();
            if !chosen.is_empty() {
                return Some(Found::new(Form::Open, chosen));
            }
        }
        if named.is_empty() {
            named = self.people_granted();
        }
        if named.is_empty() && self.has(InspectorRole::Act) {
            // "Eligible to perform: X"
            let colon = self.after_modal().find(|&i| marked.is(i, &[":"]));
            named = colon.map_or_else(Vec::new, |c| self.people_in(c..self.range.end));
            if !named.is_empty() {
                return Some(Found::new(Form::Open, named));
            }
        }
        named.extend(self.also());
        if named.is_empty() || !self.grants_inspection() {
            return None;
        }
        let form = if only_persons || self.only_limits(&named) {
            Form::Closed
        } else {
            Form::Open
        };
        Some(Found {
            excluded,
            ..Found::new(form, named)
        })
    }

    /// "X shall perform", or what X must have who performs it.
    fn obliged(
        &self,
        modal: &Cue,
        subject: &Range<usize>,
        named: Vec<Person>,
        excluded: Vec<Person>,
        carried: &Carried,
    ) -> Option<Found> {
        let marked = self.marked;
        let demand = |named: Vec<Person>| {
            let end = self.trimmed_end();
            let mut found = Found::new(Form::None, named);
            found.extra = Some(InspectorCondition {
                kind: self.demanded(modal.tokens.end..end),
                span: marked.span(&(modal.tokens.start..end)),
                on: None,
            });
            found
        };
        if marked.within(subject).any(|m| m.is(InspectorRole::Act)) {
            // "A repair station that performs the inspection must hold …"
            return (!self.does_something_else()).then(|| demand(named));
        }
        // "Note: The mechanic must also hold an inspection authorization."
        let holds = self.after_modal().take(3).any(|i| {
            marked.is(i, &["have", "be"])
                || marked.listed(i, WordList::Hold)
                || marked.listed(i, WordList::Possess)
        });
        let demanded = self.demanded(modal.tokens.end..self.trimmed_end());
        if holds
            && demanded != InspectorConditionKind::Other
            && carried.inspection.is_some()
            && !self.has(InspectorRole::Act)
            && !named.iter().all(Person::is_plain_owner)
        {
            return Some(demand(named));
        }
        let causes = marked
            .marks
            .iter()
            .any(|m| m.is(InspectorRole::Causative) && m.tokens.start == modal.tokens.end);
        let acts = marked
            .within(&self.after_modal())
            .find(|m| {
                m.is(InspectorRole::Act)
                    || m.is(InspectorRole::OtherAct)
                    || m.is(InspectorRole::Causative)
            })
            .is_some_and(|m| m.is(InspectorRole::Act));
        (acts && !causes).then_some(Found {
            excluded,
            ..Found::new(Form::Closed, named)
        })
    }

    pub(super) fn demanded(&self, range: Range<usize>) -> crate::model::InspectorConditionKind {
        use crate::model::InspectorConditionKind as C;
        let word = |list| range.clone().any(|i| self.marked.listed(i, list));
        if word(WordList::Owned) {
            C::OwnedByHolder
        } else if word(WordList::Authorization) {
            C::HoldsInspectionAuthorization
        } else if word(WordList::Rated) {
            C::AppropriatelyRated
        } else {
            C::Other
        }
    }

    /// Persons of "It is permissible for X to perform", "a repairman is acceptable", "may be X".
    pub(super) fn people_granted(&self) -> Vec<Person> {
        let marked = self.marked;
        let after = self.after_modal();
        let Some(start) = after.clone().find(|&i| marked.is(i, &["for"])) else {
            return Vec::new();
        };
        let end = self
            .first_of(InspectorRole::Act, &(start..after.end))
            .map_or(after.end, |m| m.tokens.start);
        self.people_in(start + 1..end)
    }

    /// "You may use a mechanic or a repair station."
    pub(super) fn people_chosen(&self) -> Vec<Person> {
        let chooses = self.marked.marks.iter().any(|m| {
            m.is(InspectorRole::Causative)
                && Some(m.tokens.start) == self.modal.as_ref().map(|m| m.tokens.end)
                && self.marked.listed(m.tokens.start, WordList::Choose)
        });
        if chooses {
            self.people_in(self.after_modal())
        } else {
            Vec::new()
        }
    }

    /// Whether what is granted is an inspection: "may perform", "is acceptable for".
    pub(super) fn grants_inspection(&self) -> bool {
        let marked = self.marked;
        let Some(modal) = &self.modal else {
            return false;
        };
        let accepts = marked.listed(modal.tokens.end - 1, WordList::Accept)
            || marked.listed(modal.tokens.start, WordList::Accept)
            || marked.is(modal.tokens.end, &["for", "as"]);
        if accepts {
            return true;
        }
        // "A mechanic is authorized as well."
        let elliptic = marked
            .within(&self.after_modal())
            .all(|m| !m.is(InspectorRole::Act) && !m.is(InspectorRole::OtherAct))
            && self.has_word(&["well", "too", "also", "likewise"]);
        if elliptic {
            return true;
        }
        let so = self
            .range
            .clone()
            .any(|i| marked.is(i, &["so"]) && marked.is(i + 1, &["may", "can", "is", "are"]));
        if so {
            return true;
        }
        let causes = marked
            .marks
            .iter()
            .any(|m| m.is(InspectorRole::Causative) && m.tokens.start == modal.tokens.end);
        !causes
            && marked
                .within(&self.after_modal())
                .find(|m| m.is(InspectorRole::Act) || m.is(InspectorRole::OtherAct))
                .is_some_and(|m| m.is(InspectorRole::Act))
            && !self.removes_before_act()
    }

    /// "may remove cowlings in preparation for the inspection performed by …": another verb comes
    /// first, the act of inspecting is too far from the modal.
    pub(super) fn removes_before_act(&self) -> bool {
        let Some(act) = self.first_of(InspectorRole::Act, &self.after_modal()) else {
            return true;
        };
        let gap = self.after_modal().start..act.tokens.start;
        gap.len() > 6
    }

    /// A row or terse line: "Annual condition inspection: A&P only."
    pub(super) fn table(&self) -> Option<Found> {
        let marked = self.marked;
        if self.modal.is_some() {
            return None;
        }
        let interval = self.interval().is_some();
        let inspection = marked.within(&self.range).find(|m| {
            matches!(m.meaning, Meaning::Inspection(Some(_)))
                || (interval && m.meaning == Meaning::Inspection(None))
        })?;
        if marked
            .within(&self.range)
            .any(|m| m.is(InspectorRole::OtherAct))
        {
            return None;
        }
        let cell = inspection.tokens.end..self.range.end;
        let separator = cell
            .clone()
            .find(|&i| marked.is(i, &[":", "|", "-", "–", "—", "/", "by"]))?;
        let named = self.people_in(separator..self.range.end);
        if named.is_empty() {
            return None;
        }
        let form = if self.only_limits(&named) {
            Form::Closed
        } else {
            Form::Open
        };
        Some(Found::new(form, named))
    }

    /// "…; on the strength of it he may inspect": the persons are those spoken of before.
    pub(super) fn by_pronoun(&self, inspection: Option<Inspection>) -> Option<Statement> {
        let mentioned = &self.mentioned;
        let subject = self.subject();
        // "… may not, but may perform": no subject of its own.
        let pronoun = subject.is_empty()
            || subject
                .clone()
                .any(|i| self.marked.is(i, &["he", "she", "they"]));
        let inspects = self.has_inspection_word() || inspection.is_some();
        if !self.modal_is(InspectorRole::Grant)
            || !pronoun
            || mentioned.is_empty()
            || !inspects
            || !self.grants_inspection()
        {
            return None;
        }
        Some(Statement {
            span: self.marked.span(&(self.range.start..self.trimmed_end())),
            form: Form::Open,
            inspection,
            named: mentioned.clone(),
            excluded: Vec::new(),
            conditions: zones::conditions(self.marked, &self.range, &self.zones),
            evidence: self
                .modal
                .iter()
                .map(|m| self.marked.span(&m.tokens))
                .collect(),
            closes: false,
            defines: false,
            unread: None,
        })
    }
}
