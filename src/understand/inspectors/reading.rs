//! A segment with its zones and its governing modal worked out, and what can be asked of it.

use std::ops::Range;

use super::carried::Carried;
use super::marks::{Cue, Marked};
use super::people::{Person, people};
use super::zones::Zone;
use crate::model::{Form, Inspection, InspectorCondition, NamedKind};
use crate::patterns::WordList;
use crate::patterns::inspector::{InspectorRole, Meaning};

/// A segment with its zones and its governing modal worked out.
pub(super) struct SegmentReading<'m, 'a> {
    pub(super) marked: &'m Marked<'a>,
    pub(super) range: Range<usize>,
    pub(super) zones: Vec<Zone>,
    pub(super) modal: Option<Cue>,
    /// Persons that the segment before spoke of.
    pub(super) mentioned: Vec<NamedKind>,
}

/// How persons are spoken of in a segment.
pub(super) struct Found {
    pub(super) form: Form,
    pub(super) named: Vec<Person>,
    pub(super) excluded: Vec<Person>,
    pub(super) extra: Option<InspectorCondition>,
    /// The words that look like a condition are the statement itself.
    pub(super) condition_is_statement: bool,
}

impl Found {
    pub(super) fn new(form: Form, named: Vec<Person>) -> Self {
        Self {
            form,
            named,
            excluded: Vec::new(),
            extra: None,
            condition_is_statement: false,
        }
    }

    pub(super) fn excluded(excluded: Vec<Person>) -> Self {
        Self {
            excluded,
            ..Self::new(Form::None, Vec::new())
        }
    }
}

impl SegmentReading<'_, '_> {
    pub(super) fn has(&self, role: InspectorRole) -> bool {
        self.marked.within(&self.range).any(|m| m.is(role))
    }

    pub(super) fn has_word(&self, words: &[&str]) -> bool {
        self.range.clone().any(|i| self.marked.is(i, words))
    }

    pub(super) fn has_listed(&self, list: WordList) -> bool {
        self.range.clone().any(|i| self.marked.listed(i, list))
    }

    pub(super) fn modal_is(&self, role: InspectorRole) -> bool {
        self.modal.as_ref().is_some_and(|m| m.is(role))
    }

    pub(super) fn has_inspection_word(&self) -> bool {
        self.marked.within(&self.range).any(|m| {
            (matches!(m.meaning, Meaning::Inspection(_)) && !self.only_dates(m))
                || (m.is(InspectorRole::Act)
                    && self.marked.listed(m.tokens.start, WordList::Inspecting))
        })
    }

    /// "Maintenance between condition inspections": the inspection only says when.
    pub(super) fn only_dates(&self, inspection: &Cue) -> bool {
        let Some(before) = inspection.tokens.start.checked_sub(1) else {
            return false;
        };
        let before = if self
            .marked
            .is(before, &["the", "each", "any", "a", "every"])
            && before > 0
        {
            before - 1
        } else {
            before
        };
        (self.marked.is(
            before,
            &["between", "before", "after", "following", "since"],
        ) || self.marked.listed(before, WordList::Pending))
            && self
                .marked
                .within(&(self.range.start..inspection.tokens.start))
                .any(|m| m.is(InspectorRole::OtherAct))
    }

    /// The inspections named by their own names, or told by an interval.
    pub(super) fn inspections(&self) -> Vec<Inspection> {
        let mut found = Vec::new();
        for mark in self.marked.within(&self.range) {
            if let Meaning::Inspection(Some(i)) = mark.meaning
                && !found.contains(&i)
                && !self.only_dates(mark)
            {
                found.push(i);
            }
        }
        if found.is_empty() && self.has_inspection_word() {
            for mark in self.marked.within(&self.range) {
                if let Meaning::Interval(i) = mark.meaning
                    && !found.contains(&i)
                {
                    found.push(i);
                }
            }
            found.truncate(1);
        }
        found
    }

    /// Which inspection "the inspection", "inspections required by these limitations" or no word
    /// at all stands for.
    pub(super) fn generic_inspection(&self, carried: &Carried) -> Option<Inspection> {
        let word = self
            .marked
            .within(&self.range)
            .find(|m| m.meaning == Meaning::Inspection(None));
        let general = word.is_some_and(|m| {
            let last = m.tokens.end - 1;
            let plural = self.marked.listed(last, WordList::Inspection)
                && self.marked.lower(last).ends_with('s');
            let before = m.tokens.start > 0
                && self.marked.is(
                    m.tokens.start - 1,
                    &["any", "all", "every", "each", "an", "no"],
                );
            let of_letter = (m.tokens.end..self.range.end.min(m.tokens.end + 7)).any(|i| {
                self.marked.is(i, &["herein"]) || self.marked.listed(i, WordList::Document)
            });
            of_letter || (plural && !self.marked.is(m.tokens.start, &["these", "such"])) || before
        });
        if general {
            return Some(Inspection::Any);
        }
        let back = word.is_none_or(|m| {
            self.marked
                .is(m.tokens.start, &["that", "this", "such", "the"])
                || m.tokens.start > 0
                    && self
                        .marked
                        .is(m.tokens.start - 1, &["that", "this", "such", "the"])
        });
        carried
            .inspection
            .or(carried.frame.as_ref().and_then(|f| f.inspection))
            .or(carried.interval)
            .or(carried.before.filter(|_| back))
    }

    /// The interval that the segment names.
    pub(super) fn interval(&self) -> Option<Inspection> {
        self.marked
            .within(&self.range)
            .find_map(|m| match m.meaning {
                Meaning::Interval(i) => Some(i),
                _ => None,
            })
    }

    pub(super) fn people_in(&self, range: Range<usize>) -> Vec<Person> {
        people(self.marked, range, &self.zones)
            .into_iter()
            .filter(|p| !p.kinds(self.marked).is_empty())
            .collect()
    }

    pub(super) fn all_people(&self) -> Vec<Person> {
        self.people_in(self.range.clone())
    }

    /// Tokens before the modal.
    pub(super) fn subject(&self) -> Range<usize> {
        let end = self.modal.as_ref().map_or(self.range.end, |m| {
            m.tokens.start.clamp(self.range.start, self.range.end)
        });
        self.range.start..end
    }

    pub(super) fn after_modal(&self) -> Range<usize> {
        let start = self.modal.as_ref().map_or(self.range.start, |m| {
            m.tokens.end.clamp(self.range.start, self.range.end)
        });
        start..self.range.end
    }

    pub(super) fn first_of(&self, role: InspectorRole, range: &Range<usize>) -> Option<Cue> {
        self.marked.within(range).find(|m| m.is(role)).cloned()
    }

    /// Persons after "performed by", "inspected by".
    pub(super) fn by_people(&self) -> Vec<Person> {
        let marked = self.marked;
        let mut verb: Option<&Cue> = None;
        let mut marks = marked.within(&self.range).peekable();
        for at in self.range.clone() {
            while let Some(mark) = marks.next_if(|m| m.tokens.start <= at) {
                if mark.is(InspectorRole::Act) || mark.is(InspectorRole::OtherAct) {
                    verb = Some(mark);
                }
            }
            let by = marked.is(at, &["by"])
                || (marked.is(at, &["to"])
                    && verb.is_some_and(|v| v.is(InspectorRole::Act) && v.tokens.end == at + 1));
            if !by || self.in_zone(at) || self.starts_opener(at) {
                continue;
            }
            let Some(act) = verb.filter(|v| v.is(InspectorRole::Act)) else {
                continue;
            };
            if !self.is_passive(act) || self.other_participle_before(at, act) {
                continue;
            }
            let found = self.people_in(at + 1..self.by_end(at + 1));
            if !found.is_empty() {
                return found;
            }
        }
        Vec::new()
    }

    pub(super) fn in_zone(&self, at: usize) -> bool {
        self.zones.iter().any(|z| z.range.contains(&at))
    }

    pub(super) fn starts_opener(&self, at: usize) -> bool {
        self.marked
            .marks
            .iter()
            .any(|m| m.tokens.contains(&at) && matches!(m.meaning, Meaning::Opener(_)))
    }

    /// "performed", "done", "carried out": a form that an agent can follow.
    pub(super) fn is_passive(&self, act: &Cue) -> bool {
        let first = self.marked.lower(act.tokens.start);
        first.ends_with("ed") || self.marked.listed(act.tokens.start, WordList::Done)
    }

    /// "inspections required by": the agent is that of another verb.
    pub(super) fn other_participle_before(&self, by: usize, act: &Cue) -> bool {
        let Some(before) = by.checked_sub(1) else {
            return false;
        };
        if act.tokens.contains(&before) {
            return false;
        }
        let word = self.marked.lower(before);
        word.ends_with("ed") || word == "for"
    }

    pub(super) fn by_end(&self, start: usize) -> usize {
        let marked = self.marked;
        for at in start..self.range.end {
            if self.in_zone(at) {
                continue;
            }
            if marked.is(at, &["using", "before", "whenever", "during"])
                || (marked.is(at, &["per"])
                    && (marked.is(at + 1, &["the"]) || marked.listed(at + 1, WordList::RulePart)))
                || (marked.is(at, &["in"]) && marked.listed(at + 1, WordList::InAccordance))
            {
                return at;
            }
            // "… and recorded in": another verb begins; "a maintenance or inspection rating" is none.
            let verb = |m: &Cue| m.is(InspectorRole::OtherAct) && marked.lower(at).ends_with("ed");
            let stops = marked.marks.iter().any(|m| {
                m.tokens.start == at && (m.is_modal() || verb(m) || m.is(InspectorRole::But))
            });
            if stops && at > start {
                return at;
            }
        }
        self.range.end
    }

    /// Whether "only" stands next to the persons, so that it limits them.
    pub(super) fn only_limits(&self, persons: &[Person]) -> bool {
        let marked = self.marked;
        marked.within(&self.range).any(|only| {
            if !only.is(InspectorRole::Only) || self.in_zone(only.tokens.start) {
                return false;
            }
            if only.tokens.start > 0 && marked.is(only.tokens.start - 1, &["not"]) {
                return false;
            }
            if marked.is(only.tokens.end.saturating_sub(1), &["by"])
                || marked.is(only.tokens.end, &["by"])
            {
                return !persons.is_empty();
            }
            persons.iter().any(|p| {
                let before = p.tokens.start >= only.tokens.end
                    && p.tokens.start - only.tokens.end <= 7
                    && !self.crosses(only.tokens.end..p.tokens.start);
                let after = only.tokens.start >= p.tokens.end
                    && (p.tokens.end..only.tokens.start).all(|i| {
                        self.in_zone(i)
                            || marked.is(i, &[")", ","])
                            || marked.listed(i, WordList::Certificate)
                            || marked.marks.iter().any(|m| {
                                m.tokens.contains(&i) && matches!(m.meaning, Meaning::Condition(_))
                            })
                    });
                before || after
            })
        })
    }

    /// Whether a verb, preposition of place or mark stands in between.
    pub(super) fn crosses(&self, range: Range<usize>) -> bool {
        let marked = self.marked;
        marked.within(&range).any(|m| {
            m.is_modal() || m.is(InspectorRole::Act) || matches!(m.meaning, Meaning::Inspection(_))
        }) || range.into_iter().any(|i| {
            marked.is(
                i,
                &["in", "at", "during", "on", "under", "for", "to", ".", ";"],
            )
        })
    }

    /// The end of the segment without its closing mark.
    pub(super) fn trimmed_end(&self) -> usize {
        let mut end = self.range.end;
        while end > self.range.start && self.marked.is(end - 1, &[".", ";", ",", ":", "|"]) {
            end -= 1;
        }
        end
    }

    /// Whether the first verb after the modal is no act of inspecting.
    pub(super) fn does_something_else(&self) -> bool {
        self.marked
            .within(&self.after_modal())
            .find(|m| m.is(InspectorRole::Act) || m.is(InspectorRole::OtherAct))
            .is_some_and(|m| m.is(InspectorRole::OtherAct))
    }
}
