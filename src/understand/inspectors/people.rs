//! The persons and firms named in a stretch of a segment: noun phrases told apart, each turned
//! into kinds.

use std::ops::Range;

use super::marks::Marked;
use super::zones::Zone;
use crate::model::{InspectorCondition, InspectorConditionKind, NamedKind, Span};
use crate::patterns::inspector::{Head, Meaning, Qualifier, Role, kinds_of};

/// One person or firm.
#[derive(Clone, Debug, Default)]
pub(super) struct Person {
    head: Option<Head>,
    said: Vec<Qualifier>,
    file: usize,
    /// Tokens of the noun phrase, as far as its marks reach.
    pub(super) tokens: Range<usize>,
    /// Where "owner" stands, where the person is an owner with a certificate.
    owner: Option<Span>,
}

impl Person {
    fn is_empty(&self) -> bool {
        self.head.is_none() && self.said.is_empty()
    }

    /// Only an inspection authorization is spoken of, nobody who holds it.
    pub(super) fn is_bare_authorization(&self) -> bool {
        self.head.is_none() && self.said == [Qualifier::InspectionAuthorization]
    }

    /// The owner, without a certificate.
    pub(super) fn is_plain_owner(&self) -> bool {
        self.head == Some(Head::Owner) && self.said.is_empty()
    }

    /// The kinds that the words stand for.
    pub(super) fn kinds(&self, marked: &Marked<'_>) -> Vec<NamedKind> {
        let pattern = marked
            .patterns
            .inspector
            .files
            .get(self.file)
            .map(|f| f.id.clone())
            .unwrap_or_default();
        kinds_of(self.head, &self.said)
            .into_iter()
            .map(|kind| NamedKind {
                kind,
                span: marked.span(&self.tokens),
                pattern: pattern.clone(),
            })
            .collect()
    }

    /// "An owner certificated as a repairman": the condition that lies in the head.
    pub(super) fn owner_condition(&self) -> Option<InspectorCondition> {
        self.owner
            .filter(|_| !self.said.is_empty())
            .map(|span| InspectorCondition {
                kind: InspectorConditionKind::OwnedByHolder,
                span,
                on: None,
            })
    }
}

/// The persons named in a range of tokens; zones belong to the person before them.
pub(super) fn people(marked: &Marked<'_>, range: Range<usize>, zones: &[Zone]) -> Vec<Person> {
    let mut people: Vec<Person> = Vec::new();
    let mut current = Person::default();
    let mut separated = false;
    // "an appropriately rated person": somebody certificated, though not said as what.
    let mut rated = false;
    let mut at = range.start;
    while at < range.end {
        let zone = zones.iter().find(|z| z.range.contains(&at));
        let mark = marked
            .marks
            .binary_search_by(|m| m.tokens.start.cmp(&at))
            .ok()
            .and_then(|i| marked.marks.get(i))
            .filter(|m| m.tokens.end <= range.end);
        let Some(mark) = mark else {
            if zone.is_none() && separates(marked, at) {
                separated = true;
            }
            at += 1;
            continue;
        };
        at = mark.tokens.end;
        let quals_of = |m: Meaning| match m {
            Meaning::Qualifier(q) => Some(q),
            Meaning::Head(Head::Repairman) => Some(Qualifier::RepairmanCertificate),
            _ => None,
        };
        if let Some(zone) = zone {
            if zone.qualifies
                && let Some(q) = quals_of(mark.meaning)
                && !(q == Qualifier::InspectionAuthorization || q == Qualifier::MechanicCertificate)
                && !current.is_empty()
            {
                current.said.push(q);
            }
            continue;
        }
        let starts_new = |current: &Person| !current.is_empty() && separated;
        match mark.meaning {
            Meaning::Head(head) => {
                if starts_new(&current) {
                    people.push(std::mem::take(&mut current));
                }
                separated = false;
                if current.is_empty() {
                    current.tokens = mark.tokens.clone();
                    current.file = mark.file;
                }
                current.tokens.end = mark.tokens.end;
                if head == Head::Person && rated {
                    current.said.push(Qualifier::Certificated);
                }
                rated = false;
                match (current.head, head) {
                    (None | Some(Head::Person), _) => {
                        current.head = Some(head);
                        current.file = mark.file;
                        if head == Head::Owner {
                            current.owner = Some(marked.span(&mark.tokens));
                        }
                    }
                    (Some(_), Head::Person) => {}
                    (Some(Head::Owner), Head::Repairman) => {
                        current.said.push(Qualifier::RepairmanCertificate);
                    }
                    (Some(Head::Owner), Head::Mechanic) => {
                        current.said.push(Qualifier::MechanicCertificate);
                    }
                    (Some(Head::Builder), Head::Repairman) => {
                        current.said.push(Qualifier::RepairmanCertificate);
                    }
                    (Some(_), Head::Repairman) => {
                        current.said.push(Qualifier::RepairmanCertificate);
                    }
                    // "a repairman certificated as its builder"
                    (Some(Head::Repairman), Head::Builder) => {
                        current.said.push(Qualifier::BuilderCertificate);
                    }
                    // "a repairman employed with a repair station": the first noun heads.
                    (Some(Head::Repairman | Head::Mechanic | Head::RepairStation), _) => {}
                    // "the owner's mechanic", "builder's mechanic": the last noun heads.
                    (Some(_), Head::Owner) => {}
                    (Some(_), other) => current.head = Some(other),
                }
            }
            Meaning::Qualifier(qualifier) => {
                let rating = matches!(
                    qualifier,
                    Qualifier::InspectionRating
                        | Qualifier::MaintenanceRating
                        | Qualifier::InspectionAuthorization
                );
                if !rating && starts_new(&current) {
                    people.push(std::mem::take(&mut current));
                }
                if !rating {
                    separated = false;
                }
                if current.is_empty() {
                    current.tokens = mark.tokens.clone();
                    current.file = mark.file;
                }
                current.tokens.end = mark.tokens.end;
                current.said.push(qualifier);
            }
            Meaning::Condition(InspectorConditionKind::AppropriatelyRated) => rated = true,
            // "not only the builder but also a mechanic"
            Meaning::Plain(Role::Ignore | Role::But) => separated = true,
            _ => {}
        }
    }
    if !current.is_empty() {
        people.push(current);
    }
    people
}

/// Whether the token at `at` ends one person and lets another begin.
fn separates(marked: &Marked<'_>, at: usize) -> bool {
    if marked.is(
        at,
        &["or", "and", "by", "/", "|", "-", "–", "—", ":", ";", "."],
    ) {
        return true;
    }
    // "the builder, holding a certificate": the same person goes on.
    let next = at + 1;
    let goes_on = marked.is(
        next,
        &["holding", "under", "being", "having", "with", "when", "if"],
    ) || (marked.is(next, &["certificated", "certified"])
        && marked.is(next + 1, &["as", "under", "by"]));
    marked.is(at, &[","]) && !goes_on
}
