//! The persons and firms named in a stretch of a segment: noun phrases told apart, each turned
//! into kinds.

use std::ops::Range;

use super::marks::{Cue, Marked};
use super::zones::Zone;
use crate::model::{InspectorCondition, InspectorConditionKind, NamedKind, Span};
use crate::patterns::WordList;
use crate::patterns::inspector::{Head, InspectorRole, Meaning, Qualifier, kinds_of};

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

    /// Takes a further noun of the phrase: the head of it, or what the person holds.
    fn take_head(&mut self, head: Head, marked: &Marked<'_>, mark: &Cue) {
        match (self.head, head) {
            (None | Some(Head::Person), _) => {
                self.head = Some(head);
                self.file = mark.file;
                if head == Head::Owner {
                    self.owner = Some(marked.span(&mark.tokens));
                }
            }
            (Some(_), Head::Person) => {}
            (Some(Head::Owner), Head::Mechanic) => {
                self.said.push(Qualifier::MechanicCertificate);
            }
            (Some(_), Head::Repairman) => {
                self.said.push(Qualifier::RepairmanCertificate);
            }
            // "a repairman certificated as its builder"
            (Some(Head::Repairman), Head::Builder) => {
                self.said.push(Qualifier::BuilderCertificate);
            }
            // "a repairman employed with a repair station": the first noun heads.
            (Some(Head::Repairman | Head::Mechanic | Head::RepairStation), _) => {}
            // "the owner's mechanic", "builder's mechanic": the last noun heads.
            (Some(_), Head::Owner) => {}
            (Some(_), other) => self.head = Some(other),
        }
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
                by_card: false,
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
    let mut found = Found::default();
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
                found.separated = true;
            }
            at += 1;
            continue;
        };
        at = mark.tokens.end;
        match zone {
            Some(zone) => found.in_zone(zone, mark.meaning),
            None => found.take(marked, mark),
        }
    }
    if !found.current.is_empty() {
        found.people.push(found.current);
    }
    found.people
}

/// The persons found so far, and the one whose words go on.
#[derive(Default)]
struct Found {
    people: Vec<Person>,
    current: Person,
    /// A word between persons was met: the next noun is another one.
    separated: bool,
    /// "An appropriately rated person": somebody certificated, though not said as what.
    rated: bool,
}

impl Found {
    /// Takes a mark within a zone: it says more of the person before it, or nothing.
    fn in_zone(&mut self, zone: &Zone, meaning: Meaning) {
        let said = match meaning {
            Meaning::Qualifier(q) => Some(q),
            Meaning::Head(Head::Repairman) => Some(Qualifier::RepairmanCertificate),
            _ => None,
        };
        if zone.qualifies
            && let Some(q) = said
            && !(q == Qualifier::InspectionAuthorization || q == Qualifier::MechanicCertificate)
            && !self.current.is_empty()
        {
            self.current.said.push(q);
        }
    }

    fn take(&mut self, marked: &Marked<'_>, mark: &Cue) {
        match mark.meaning {
            Meaning::Head(head) => {
                self.begin(mark, true);
                if head == Head::Person && self.rated {
                    self.current.said.push(Qualifier::Certificated);
                }
                self.rated = false;
                self.current.take_head(head, marked, mark);
            }
            Meaning::Qualifier(qualifier) => {
                let rating = matches!(
                    qualifier,
                    Qualifier::InspectionRating
                        | Qualifier::MaintenanceRating
                        | Qualifier::InspectionAuthorization
                );
                self.begin(mark, !rating);
                self.current.said.push(qualifier);
            }
            Meaning::Condition(InspectorConditionKind::AppropriatelyRated) => self.rated = true,
            // "not only the builder but also a mechanic"
            Meaning::Plain(InspectorRole::Ignore | InspectorRole::But) => self.separated = true,
            _ => {}
        }
    }

    /// Goes on with the person of before, or, where the mark may begin one and a word stands
    /// between, with the next.
    fn begin(&mut self, mark: &Cue, may_begin: bool) {
        if may_begin {
            if self.separated && !self.current.is_empty() {
                self.people.push(std::mem::take(&mut self.current));
            }
            self.separated = false;
        }
        if self.current.is_empty() {
            self.current.tokens = mark.tokens.clone();
            self.current.file = mark.file;
        }
        self.current.tokens.end = mark.tokens.end;
    }
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
    let goes_on = marked.is(next, &["under", "being", "having", "with", "when", "if"])
        || marked.listed(next, WordList::Holding)
        || (marked.listed(next, WordList::Certificated)
            && marked.is(next + 1, &["as", "under", "by"]));
    marked.is(at, &[","]) && !goes_on
}
