//! What one segment says: the forms in which letters name, limit, extend, exclude or deny.

use std::ops::Range;

use super::carried::{Carried, Statement};
use super::marks::{Cue, Marked};
use super::people::Person;
use super::reading::{Found, SegmentReading};
use super::segment::Segment;
use super::zones;
use crate::model::{Form, Inspection, InspectorCondition, Kind, NamedKind, Span};
use crate::patterns::WordList;
use crate::patterns::inspector::{Head, InspectorRole, Meaning};

/// What a segment says, one statement for each inspection that it speaks of.
pub(super) fn statements(
    marked: &Marked<'_>,
    segment: &Segment,
    carried: &mut Carried,
) -> Vec<Statement> {
    let parts = by_inspection(marked, &segment.range);
    if parts.len() > 1 {
        let found: Vec<Statement> = parts
            .into_iter()
            .flat_map(|(range, inspection)| {
                one(
                    marked,
                    &segment.range,
                    range,
                    segment,
                    carried,
                    Some(inspection),
                )
            })
            .collect();
        return found;
    }
    one(
        marked,
        &segment.range,
        segment.range.clone(),
        segment,
        carried,
        None,
    )
}

/// "A may do the condition and B the 100-hour inspection", "yearly: A; 100-hour: B" in one
/// segment: the parts, each with its inspection; one part where the persons are not interleaved.
fn by_inspection(marked: &Marked<'_>, range: &Range<usize>) -> Vec<(Range<usize>, Inspection)> {
    let mut parts: Vec<(Range<usize>, Inspection)> = Vec::new();
    let mut inspections: Vec<(usize, Inspection)> = Vec::new();
    for mark in marked.within(range) {
        if let Meaning::Inspection(Some(i)) = mark.meaning
            && inspections.last().is_none_or(|(_, last)| *last != i)
        {
            inspections.push((mark.tokens.start, i));
        }
    }
    if inspections.len() < 2 {
        return vec![(range.clone(), Inspection::Any)];
    }
    let person_in = |r: Range<usize>| {
        marked
            .within(&r)
            .any(|m| matches!(m.meaning, Meaning::Head(_)) || m.names_person())
    };
    for (n, (start, inspection)) in inspections.iter().enumerate() {
        let end = inspections.get(n + 1).map_or(range.end, |(s, _)| *s);
        if !person_in(*start..end) {
            return vec![(range.clone(), Inspection::Any)];
        }
        let from = if n == 0 { range.start } else { *start };
        parts.push((from..end, *inspection));
    }
    parts
}

/// "\"Inspector B\" is an A&P mechanic": a quoted term, and what it is.
fn defines_term(marked: &Marked<'_>, range: &Range<usize>) -> bool {
    let quote = |i: usize| marked.is(i, &["\"", "“", "”"]);
    // "An approved inspector is an A&P mechanic."
    let term = marked
        .within(range)
        .next()
        .filter(|m| m.meaning == Meaning::Head(Head::Other) && m.tokens.start <= range.start + 1);
    if let Some(term) = term
        && marked.listed(term.tokens.end - 1, WordList::Inspector)
        && marked.is(term.tokens.end, &["is", "are"])
        && !marked.within(range).any(Cue::is_modal)
    {
        return true;
    }
    quote(range.start)
        && (range.start + 1..range.end.min(range.start + 8))
            .find(|&i| quote(i))
            .is_some_and(|close| marked.is(close + 1, &["is", "are", ":"]))
}

/// What a part of a segment says; `given` is its inspection where the segment speaks of several.
fn one(
    marked: &Marked<'_>,
    whole: &Range<usize>,
    range: Range<usize>,
    segment: &Segment,
    carried: &mut Carried,
    given: Option<Inspection>,
) -> Vec<Statement> {
    let zones = zones::zones(marked, &range);
    let in_zone = |at: usize| zones.iter().any(|z| z.range.contains(&at));
    let modal = marked
        .within(&range)
        .chain(marked.within(whole))
        .find(|m| m.is_modal() && !in_zone(m.tokens.start))
        .cloned();
    let reading = SegmentReading {
        marked,
        range: range.clone(),
        zones,
        modal,
        mentioned: carried.mentioned.clone(),
    };
    let mut inspections = match given {
        Some(i) => vec![i],
        None => reading.inspections(),
    };
    if inspections.is_empty() && carried.frame.is_some() && segment.item {
        // A row of a table tells its inspection by the interval alone.
        inspections.extend(reading.interval());
    }
    let speaks = !inspections.is_empty() || reading.has_inspection_word();
    let closes = reading.has(InspectorRole::Exclusive);
    let only_heading = reading.has(InspectorRole::Defines) && reading.all_people().is_empty();
    if only_heading {
        carried.defining = true;
    }
    let defines = marked.within(whole).any(|m| m.is(InspectorRole::Defines))
        || defines_term(marked, whole)
        || (carried.defining && reading.modal.is_none());
    let mut found = reading.find(segment, carried, speaks, defines);
    if closes && found.as_ref().is_some_and(|f| f.form == Form::Open) {
        // "by the following persons and no others"
        if let Some(f) = &mut found {
            f.form = Form::Closed;
        }
    }
    let inspections: Vec<Option<Inspection>> = if inspections.is_empty() {
        vec![reading.generic_inspection(carried)]
    } else {
        inspections.into_iter().map(Some).collect()
    };
    reading.leave_frame(segment, &found, &inspections, speaks, closes, carried);
    let named_here = marked
        .within(&range)
        .any(|m| matches!(m.meaning, Meaning::Inspection(Some(_))));
    if let Some(Some(i)) = inspections.last()
        && (named_here || found.is_some())
    {
        carried.inspection = Some(*i);
    }
    reading.leave_mentions(carried);
    let Some(found) = found else {
        let inspection = inspections.first().copied().flatten();
        let talks = speaks || reading.has(InspectorRole::Act) || reading.has_listed(WordList::List);
        let said = reading.by_pronoun(inspection).or_else(|| {
            (closes && talks).then(|| reading.closing(inspection.filter(|_| named_here)))
        });
        return said.into_iter().collect();
    };
    inspections
        .into_iter()
        .map(|inspection| reading.state(&found, inspection, defines, closes, carried))
        .collect()
}

impl SegmentReading<'_, '_> {
    /// Reads the segment: who is named, who is shut out, in which form.
    fn find(
        &self,
        segment: &Segment,
        carried: &Carried,
        speaks: bool,
        defines: bool,
    ) -> Option<Found> {
        if let Some(frame) = carried.frame.as_ref()
            && self.modal.is_none()
            && (segment.item || segment.goes_on)
        {
            let named = self.all_people();
            if !named.is_empty() {
                let form = if self.only_limits(&named) {
                    Form::Closed
                } else {
                    frame.form
                };
                return Some(Found::new(form, named));
            }
        }
        if defines {
            return self.definition(speaks);
        }
        // What this clause spoke of may be looked back to by a word; what the clause before spoke
        // of only by who inspects. "Repairs are to be performed by" is about the repairs.
        let here = carried.inspection.or(carried.interval).is_some();
        let agent = self.has(InspectorRole::Agent);
        let subject = self.subject();
        let of_other_work = self
            .marked
            .within(&subject)
            .any(|m| m.is(InspectorRole::OtherAct));
        let about = speaks
            || ((agent || self.begins_with_pronoun()) && (here || carried.before.is_some()))
            || (here && !of_other_work && self.refers_back());
        if !about {
            return None;
        }
        self.nobody()
            .or_else(|| self.restricted())
            .or_else(|| self.of_agent())
            .or_else(|| match self.modal.as_ref().map(|m| m.meaning) {
                Some(Meaning::Plain(InspectorRole::Bar)) => self.barred(),
                Some(Meaning::Plain(InspectorRole::Denial)) => self.denied(),
                Some(Meaning::Plain(InspectorRole::Advise)) => self.advised(),
                Some(Meaning::Plain(InspectorRole::Reserve)) => {
                    let named = self.people_in(self.after_modal());
                    (!named.is_empty()).then(|| Found::new(Form::Closed, named))
                }
                _ => self
                    .passive()
                    .or_else(|| self.active(carried))
                    .or_else(|| self.table()),
            })
    }

    /// Leaves to the segments after it the interval and the persons that it speaks of.
    fn leave_mentions(&self, carried: &mut Carried) {
        carried.interval = self.interval().or(carried.interval);
        let mentioned: Vec<NamedKind> = self
            .all_people()
            .iter()
            .flat_map(|p| p.kinds(self.marked))
            .collect();
        if !mentioned.is_empty() {
            carried.mentioned = mentioned;
        }
    }

    /// "It may be done by": the subject is what the clause before spoke of.
    fn begins_with_pronoun(&self) -> bool {
        let subject = self.subject();
        subject.len() <= 2 && self.marked.is(subject.start, &["it", "this", "that"])
    }

    fn refers_back(&self) -> bool {
        self.has(InspectorRole::Act)
            || self.has(InspectorRole::Exclusive)
            || self.has_word(&["it", "so", "this", "too", "likewise"])
            || (self.modal_is(InspectorRole::Grant) && self.has_word(&["well", "also"]))
            || self.modal_is(InspectorRole::Bar)
            || (self.modal_is(InspectorRole::Duty) && !self.all_people().is_empty())
    }

    fn definition(&self, speaks: bool) -> Option<Found> {
        let after = match self.first_of(InspectorRole::Defines, &self.range) {
            Some(mark) => mark.tokens.end..self.range.end,
            None => {
                let is = self
                    .range
                    .clone()
                    .find(|&i| self.marked.is(i, &[":", "is", "are"]));
                is.map_or(self.range.start, |c| c + 1)..self.range.end
            }
        };
        let term = self.has_listed(WordList::InspectorTerm);
        let named = self.people_in(after.clone());
        // "shall be performed by a Competent Inspector, which term signifies …"
        let before = self.range.start..after.start;
        let performed = self
            .marked
            .within(&before)
            .any(|m| m.is(InspectorRole::Act));
        let form = match self.modal.as_ref().map(|m| m.meaning) {
            Some(Meaning::Plain(InspectorRole::Duty)) if performed => Form::Closed,
            Some(Meaning::Plain(InspectorRole::Grant)) if performed => Form::Open,
            _ => Form::None,
        };
        ((speaks || term) && !named.is_empty()).then(|| Found::new(form, named))
    }

    /// What it says of one inspection.
    fn state(
        &self,
        found: &Found,
        inspection: Option<Inspection>,
        defines: bool,
        closes: bool,
        carried: &mut Carried,
    ) -> Statement {
        let marked = self.marked;
        let kinds = |persons: &[Person]| {
            let mut kinds: Vec<NamedKind> = Vec::new();
            for named in persons.iter().flat_map(|p| p.kinds(marked)) {
                if !kinds.iter().any(|k| k.kind == named.kind) {
                    kinds.push(named);
                }
            }
            kinds
        };
        let named = kinds(&found.named);
        let mut excluded = kinds(&found.excluded);
        let barred_back =
            self.modal_is(InspectorRole::Bar) && named.is_empty() && excluded.is_empty();
        if barred_back {
            excluded.clone_from(&self.mentioned);
        }
        let mut evidence = self.evidence(carried);
        evidence.extend(named.iter().chain(&excluded).map(|k| k.span));
        if !named.is_empty() {
            carried.named.clone_from(&named);
        }
        Statement {
            span: marked.span(&(self.range.start..self.trimmed_end())),
            form: found.form,
            inspection,
            named,
            excluded,
            conditions: self.conditions(found),
            evidence,
            closes: closes && found.form == Form::Closed,
            defines,
            unread: self.unread(found),
        }
    }

    /// What it asks of those whom it names.
    fn conditions(&self, found: &Found) -> Vec<InspectorCondition> {
        let marked = self.marked;
        let mut conditions = zones::conditions(marked, &self.range, &self.zones);
        // "When used for towing, … must be performed by": says when the inspection is due.
        let subject_end = marked.span(&self.subject()).end;
        if !self.by_people().is_empty() {
            conditions.retain(|c| {
                let words = c.span.of(marked.text).to_ascii_lowercase();
                let when = ["when", "while", "until", "upon"]
                    .iter()
                    .any(|w| words.starts_with(w));
                !(when && c.span.end <= subject_end)
            });
        }
        if self.modal_is(InspectorRole::Denial) || found.condition_is_statement {
            conditions.clear();
        }
        conditions.extend(found.named.iter().filter_map(Person::owner_condition));
        if found.named.iter().any(|p| p.owner_condition().is_some()) {
            conditions.extend(self.this_aircraft());
        }
        if let Some(extra) = &found.extra {
            conditions.retain(|c| !extra.span.overlaps(c.span));
            conditions.push(extra.clone());
        }
        conditions.sort_by_key(|c| c.span);
        self.attached(conditions, &found.named)
    }

    /// The words that it rests on, but for the persons: the modal, the limits, the lead-in.
    fn evidence(&self, carried: &Carried) -> Vec<Span> {
        let marked = self.marked;
        let mut evidence: Vec<Span> = Vec::new();
        if let Some(frame) = carried.frame.as_ref().filter(|_| self.modal.is_none()) {
            evidence.extend(&frame.evidence);
        }
        evidence.extend(self.modal.iter().map(|m| marked.span(&m.tokens)));
        evidence.extend(
            marked
                .within(&self.range)
                .filter(|m| {
                    m.is(InspectorRole::Only)
                        || m.is(InspectorRole::Nobody)
                        || m.is(InspectorRole::But)
                        || m.is(InspectorRole::Exclusive)
                })
                .map(|m| marked.span(&m.tokens)),
        );
        evidence
    }

    /// A mechanic, repairman or repair station whom a list passes over: then the list was not read
    /// to its end, and must not shut anybody out.
    fn unread(&self, found: &Found) -> Option<Span> {
        if found.form == Form::None || found.named.is_empty() {
            return None;
        }
        let marked = self.marked;
        let strong = [
            Kind::Mechanic,
            Kind::RepairStation,
            Kind::Repairman,
            Kind::BuilderRepairman,
            Kind::LightSportRepairman,
            Kind::LightSportRepairmanInspection,
            Kind::LightSportRepairmanMaintenance,
        ];
        let known: Vec<Kind> = found
            .named
            .iter()
            .chain(&found.excluded)
            .flat_map(|p| p.kinds(marked))
            .map(|k| k.kind)
            .collect();
        self.all_people()
            .iter()
            .flat_map(|p| p.kinds(marked))
            .find(|k| strong.contains(&k.kind) && !known.contains(&k.kind))
            .map(|k| k.span)
    }

    /// Each condition put on the kinds whose person it stands with; a condition that stands with
    /// nobody (behind the verb, or one that speaks of all) is put on all.
    fn attached(
        &self,
        conditions: Vec<InspectorCondition>,
        persons: &[Person],
    ) -> Vec<InspectorCondition> {
        use crate::model::InspectorConditionKind as C;
        let marked = self.marked;
        let spans: Vec<Span> = persons.iter().map(|p| marked.span(&p.tokens)).collect();
        let verbs: Vec<Span> = marked
            .within(&self.range)
            .filter(|m| m.is(InspectorRole::Act) || m.is_modal())
            .map(|m| marked.span(&m.tokens))
            .collect();
        let verb_between = |a: usize, b: usize| verbs.iter().any(|v| a <= v.start && v.end <= b);
        let mut out = Vec::new();
        for condition in conditions {
            let at = condition.span;
            let before = spans.iter().rposition(|s| s.start <= at.start);
            let after = spans.iter().position(|s| s.start >= at.end);
            // "appropriately rated mechanic": only a few words stand before the noun.
            let leads = after.filter(|&i| {
                let gap = Span::new(at.end, spans[i].start).of(marked.text);
                gap.split_whitespace().count() <= 3
                    && !gap.contains([',', ';', ':'])
                    && !gap
                        .split_whitespace()
                        .any(|w| matches!(w, "or" | "and" | "by"))
            });
            let person = match (leads, before) {
                _ if condition.kind == C::AsAuthorizedBy433 => None,
                (Some(i), _) => Some(i),
                (None, Some(i)) if !verb_between(spans[i].end, at.start) => Some(i),
                _ => None,
            };
            match person {
                Some(i) => {
                    out.extend(
                        persons[i]
                            .kinds(marked)
                            .into_iter()
                            .map(|k| InspectorCondition {
                                on: Some(k.kind),
                                ..condition.clone()
                            }),
                    )
                }
                None => out.push(condition),
            }
        }
        out
    }

    /// "for this aircraft", which says something only beside a certificate that may name another.
    fn this_aircraft(&self) -> Option<InspectorCondition> {
        let marked = self.marked;
        let at = self.range.clone().find(|&i| {
            marked.is(i, &["for"])
                && marked.is(i + 1, &["this", "the"])
                && marked.listed(i + 2, WordList::Aircraft)
        })?;
        Some(InspectorCondition {
            kind: crate::model::InspectorConditionKind::ThisAircraft,
            span: marked.span(&(at..at + 3)),
            on: None,
        })
    }
}
