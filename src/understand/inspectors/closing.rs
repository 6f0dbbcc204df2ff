//! Forms that shut out: nobody but, no person unless, may not, need not, should.

use super::carried::Statement;
use super::people::{Person, people};
use super::reading::{Found, SegmentReading};
use super::zones;
use crate::model::{Form, Inspection, InspectorConditionKind};
use crate::patterns::WordList;
use crate::patterns::inspector::{InspectorRole, Meaning, Qualifier};

impl SegmentReading<'_, '_> {
    /// "No one but", "No person may … unless inspected by", "No repair station may".
    pub(super) fn nobody(&self) -> Option<Found> {
        let marked = self.marked;
        if let Some(nobody) = self.first_of(InspectorRole::Nobody, &self.range) {
            let subject = nobody.tokens.end..self.subject().end.max(nobody.tokens.end);
            // "Nobody but X may", "Save for X, nobody may", "Nobody may … except X"
            let places = [
                subject.clone(),
                self.range.start..nobody.tokens.start,
                self.after_modal(),
            ];
            for place in places {
                let Some(but) = self.first_of(InspectorRole::But, &place) else {
                    continue;
                };
                let named = self.people_in(but.tokens.end..place.end);
                if !named.is_empty() {
                    return Some(Found::new(Form::Closed, named));
                }
            }
            if let Some(found) = self.restricted() {
                return Some(found);
            }
            // "No person may perform the inspection unless he holds a mechanic certificate."
            if self.has(InspectorRole::Act)
                && let Some(zone) = self.zones.first()
            {
                let named: Vec<Person> = people(marked, zone.range.start..self.range.end, &[])
                    .into_iter()
                    .filter(|p| !p.kinds(marked).is_empty())
                    .collect();
                if !named.is_empty() {
                    let mut found = Found::new(Form::Closed, named);
                    found.condition_is_statement = true;
                    return Some(found);
                }
            }
            return None;
        }
        let first = self
            .zones
            .iter()
            .find(|z| z.range.start == self.range.start)
            .map_or(self.range.start, |z| (z.range.end + 1).min(self.range.end));
        if !marked.is(first, &["no"]) || self.modal_is(InspectorRole::Denial) {
            return None;
        }
        // "No inspection counts until a mechanic has performed it."
        if let Some(found) = self.restricted() {
            return Some(found);
        }
        let head_next = marked
            .within(&(first + 1..self.range.end.min(first + 5)))
            .next()
            .map(|m| m.meaning);
        match head_next {
            // "No inspection authorization is necessary."
            Some(Meaning::Qualifier(Qualifier::InspectionAuthorization))
                if !self.has(InspectorRole::Act) =>
            {
                Some(Found::new(Form::None, Vec::new()))
            }
            Some(Meaning::Inspection(_)) => {
                let named = self.by_people();
                (!named.is_empty()).then(|| Found::excluded(named))
            }
            Some(Meaning::Head(_) | Meaning::Qualifier(_)) if self.has(InspectorRole::Act) => {
                let persons = self.people_in(self.subject());
                if persons.is_empty() {
                    return None;
                }
                Some(if self.zones.iter().any(|z| z.condition.is_some()) {
                    Found::new(Form::None, persons)
                } else {
                    Found::excluded(persons)
                })
            }
            _ => None,
        }
    }

    /// "… unless it has been inspected by", "not valid unless performed by".
    pub(super) fn restricted(&self) -> Option<Found> {
        let marked = self.marked;
        let opener = marked.within(&self.range).find(|m| {
            matches!(m.meaning, Meaning::Opener(_)) && zones::restricts(marked, m, &self.range)
        })?;
        let mut named = self.by_people();
        if named.is_empty() {
            let act = self.first_of(InspectorRole::Act, &(opener.tokens.end..self.range.end))?;
            named = self.people_in(opener.tokens.end..act.tokens.start);
        }
        (!named.is_empty()).then(|| Found::new(Form::Closed, named))
    }

    pub(super) fn barred(&self) -> Option<Found> {
        if let Some(found) = self.restricted() {
            return Some(found);
        }
        // "shall not be performed by any person except", "persons other than X are not authorized"
        if let Some(but) = self.first_of(InspectorRole::But, &self.range)
            && !self.marked.is(but.tokens.start, &["nor"])
        {
            let end = if but.tokens.start < self.subject().end {
                self.subject().end
            } else {
                self.range.end
            };
            let named = self.people_in(but.tokens.end..end);
            if !named.is_empty() {
                return Some(Found::new(Form::Closed, named));
            }
        }
        if self.has(InspectorRole::Exclusive) {
            return None;
        }
        let mut persons = self.people_in(self.subject());
        if let Some(nor) = self.first_of(InspectorRole::But, &self.after_modal()) {
            persons.extend(self.people_in(nor.tokens.end..self.range.end));
        }
        let by = self.by_people();
        if !by.is_empty() {
            persons = by;
        }
        if persons.is_empty() {
            // "In no event may an owner perform it": the subject stands behind the modal.
            let act = self.first_of(InspectorRole::Act, &self.after_modal());
            let end = act.map_or(self.range.end, |a| a.tokens.start);
            persons = self.people_in(self.after_modal().start..end);
        }
        if persons.is_empty() {
            // "That certificate does not permit him to …"
            let back = self.has_word(&["him", "he", "them", "they", "its", "that"])
                || self.subject().is_empty();
            return (back && !self.mentioned.is_empty() && self.has(InspectorRole::Act)).then(
                || Found {
                    form: Form::None,
                    named: Vec::new(),
                    excluded: Vec::new(),
                    extra: None,
                    condition_is_statement: false,
                },
            );
        }
        // A person who is barred from doing something else is no inspector shut out.
        let acts = self.has(InspectorRole::Act)
            || self.modal.as_ref().is_some_and(|m| {
                let last = m.tokens.end - 1;
                self.marked.is(last, &["to"])
                    || self.marked.listed(last, WordList::Accept)
                    || self.marked.listed(last, WordList::Cover)
            })
            // "Military personnel shall not."
            || self.modal.as_ref().is_some_and(|m| m.tokens.end >= self.trimmed_end());
        if !acts || self.does_something_else() {
            return None;
        }
        let conditional = self.zones.iter().any(|z| {
            z.condition.is_some()
                && z.range.start >= self.subject().end
                && self.marked.is(
                    z.range.start,
                    &["unless", "until", "without", "except", "if"],
                )
        });
        Some(if conditional {
            Found::new(Form::None, persons)
        } else {
            Found::excluded(persons)
        })
    }

    pub(super) fn denied(&self) -> Option<Found> {
        let named: Vec<Person> = self
            .all_people()
            .into_iter()
            .filter(|p| !p.is_bare_authorization() && !p.is_plain_owner())
            .collect();
        let authorization = self.marked.within(&self.range).any(|m| {
            m.meaning == Meaning::Qualifier(Qualifier::InspectionAuthorization)
                || m.meaning
                    == Meaning::Condition(InspectorConditionKind::HoldsInspectionAuthorization)
        });
        (authorization || !named.is_empty()).then(|| Found::new(Form::None, named))
    }

    pub(super) fn advised(&self) -> Option<Found> {
        let mut named = self.by_people();
        if named.is_empty() {
            named = self.people_in(self.subject());
            let after = self.people_in(self.after_modal());
            if named.iter().all(Person::is_plain_owner) && !after.is_empty() {
                named = after;
            } else if !self.has(InspectorRole::Act) || self.does_something_else() {
                return None;
            }
        }
        (!named.is_empty()).then(|| Found::new(Form::None, named))
    }

    /// Persons taken out of a list: "except X", "X excepted", "neither X nor Y being acceptable".
    pub(super) fn excepted(&self, named: &mut Vec<Person>) -> Vec<Person> {
        let marked = self.marked;
        let after = self.after_modal();
        if let Some(neither) = marked
            .within(&after)
            .find(|m| m.is(InspectorRole::Denial) && marked.is(m.tokens.start, &["neither"]))
        {
            return self.people_in(neither.tokens.end..self.range.end);
        }
        let Some(but) = self.first_of(InspectorRole::But, &after) else {
            return Vec::new();
        };
        if marked.is(but.tokens.start, &["excepted"]) {
            let comma = (after.start..but.tokens.start)
                .rev()
                .find(|&i| marked.is(i, &[","]))
                .unwrap_or(after.start);
            let taken = self.people_in(comma..but.tokens.start);
            named.retain(|p| p.tokens.start < comma);
            return taken;
        }
        self.people_in(but.tokens.end..self.range.end)
    }

    pub(super) fn closing(&self, inspection: Option<Inspection>) -> Statement {
        Statement {
            span: self.marked.span(&self.range),
            form: Form::Closed,
            inspection,
            named: Vec::new(),
            excluded: Vec::new(),
            conditions: Vec::new(),
            evidence: self
                .marked
                .within(&self.range)
                .filter(|m| m.is(InspectorRole::Exclusive))
                .map(|m| self.marked.span(&m.tokens))
                .collect(),
            closes: true,
            defines: false,
            unread: None,
        }
    }
}
