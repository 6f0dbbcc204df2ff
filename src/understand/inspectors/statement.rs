//! What one segment says: the forms in which letters name, limit, extend, exclude or deny.

use std::ops::Range;

use super::marks::{Mark, Marked};
use super::people::{Person, people};
use super::segment::Segment;
use super::zones::{self, Zone};
use crate::model::{Form, Inspection, InspectorCondition, InspectorConditionKind, NamedKind, Span};
use crate::patterns::inspector::{Head, Meaning, Qualifier, Role};

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
}

/// What the segments before have left open.
#[derive(Clone, Debug, Default)]
pub(super) struct Carried {
    inspection: Option<Inspection>,
    named: Vec<NamedKind>,
    /// Persons that the segment before spoke of, whatever it said of them: "he" looks back to them.
    mentioned: Vec<NamedKind>,
    /// The interval spoken of last, where no inspection is named.
    interval: Option<Inspection>,
    /// The inspection that the clause before spoke of: "that inspection".
    before: Option<Inspection>,
    frame: Option<Frame>,
    defining: bool,
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
struct Frame {
    form: Form,
    inspection: Option<Inspection>,
    evidence: Vec<Span>,
}

/// A segment with its zones and its governing modal worked out.
struct Reading<'m, 'a> {
    marked: &'m Marked<'a>,
    range: Range<usize>,
    zones: Vec<Zone>,
    modal: Option<Mark>,
    /// Persons that the segment before spoke of.
    mentioned: Vec<NamedKind>,
}

/// How persons are spoken of in a segment.
struct Found {
    form: Form,
    named: Vec<Person>,
    excluded: Vec<Person>,
    extra: Option<InspectorCondition>,
}

impl Found {
    fn new(form: Form, named: Vec<Person>) -> Self {
        Self {
            form,
            named,
            excluded: Vec::new(),
            extra: None,
        }
    }

    fn excluded(excluded: Vec<Person>) -> Self {
        Self {
            form: Form::None,
            named: Vec::new(),
            excluded,
            extra: None,
        }
    }
}

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
        && marked.lower(term.tokens.end - 1).starts_with("inspector")
        && marked.is(term.tokens.end, &["is", "are"])
        && !marked.within(range).any(Mark::is_modal)
    {
        return true;
    }
    quote(range.start)
        && (range.start + 1..range.end.min(range.start + 8))
            .find(|&i| quote(i))
            .is_some_and(|close| marked.is(close + 1, &["is", "are", ":"]))
}

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
    let reading = Reading {
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
    let closes = reading.has(Role::Exclusive);
    let only_heading = reading.has(Role::Defines) && reading.all_people().is_empty();
    if only_heading {
        carried.defining = true;
    }
    let defines = marked.within(whole).any(|m| m.is(Role::Defines))
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
    carried.interval = reading.interval().or(carried.interval);
    let mentioned: Vec<NamedKind> = reading
        .all_people()
        .iter()
        .flat_map(|p| p.kinds(marked))
        .collect();
    if !mentioned.is_empty() {
        carried.mentioned = mentioned;
    }
    let Some(found) = found else {
        if let Some(statement) = reading.by_pronoun(inspections.first().copied().flatten()) {
            return vec![statement];
        }
        let talks = speaks || reading.has(Role::Act) || reading.has_word(&["list"]);
        return if closes && talks {
            vec![
                reading.closing(
                    inspections
                        .first()
                        .copied()
                        .flatten()
                        .filter(|_| named_here),
                ),
            ]
        } else {
            Vec::new()
        };
    };
    inspections
        .into_iter()
        .map(|inspection| reading.state(&found, inspection, defines, closes, carried))
        .collect()
}

impl Reading<'_, '_> {
    fn has(&self, role: Role) -> bool {
        self.marked.within(&self.range).any(|m| m.is(role))
    }

    fn has_word(&self, words: &[&str]) -> bool {
        self.range.clone().any(|i| self.marked.is(i, words))
    }

    fn modal_is(&self, role: Role) -> bool {
        self.modal.as_ref().is_some_and(|m| m.is(role))
    }

    fn has_inspection_word(&self) -> bool {
        self.marked.within(&self.range).any(|m| {
            (matches!(m.meaning, Meaning::Inspection(_)) && !self.only_dates(m))
                || (m.is(Role::Act) && self.marked.lower(m.tokens.start).starts_with("inspect"))
        })
    }

    /// "Maintenance between condition inspections": the inspection only says when.
    fn only_dates(&self, inspection: &Mark) -> bool {
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
        self.marked.is(
            before,
            &[
                "between",
                "before",
                "after",
                "following",
                "since",
                "pending",
            ],
        ) && self
            .marked
            .within(&(self.range.start..inspection.tokens.start))
            .any(|m| m.is(Role::OtherAct))
    }

    /// The inspections named by their own names, or told by an interval.
    fn inspections(&self) -> Vec<Inspection> {
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
    fn generic_inspection(&self, carried: &Carried) -> Option<Inspection> {
        let word = self
            .marked
            .within(&self.range)
            .find(|m| m.meaning == Meaning::Inspection(None));
        let general = word.is_some_and(|m| {
            let plural = self.marked.lower(m.tokens.end - 1) == "inspections";
            let before = m.tokens.start > 0
                && self.marked.is(
                    m.tokens.start - 1,
                    &["any", "all", "every", "each", "an", "no"],
                );
            let of_letter = (m.tokens.end..self.range.end.min(m.tokens.end + 7)).any(|i| {
                self.marked.is(
                    i,
                    &[
                        "limitations",
                        "limitation",
                        "letter",
                        "herein",
                        "certificate",
                    ],
                )
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
    fn interval(&self) -> Option<Inspection> {
        self.marked
            .within(&self.range)
            .find_map(|m| match m.meaning {
                Meaning::Interval(i) => Some(i),
                _ => None,
            })
    }

    /// "…; on the strength of it he may inspect": the persons are those spoken of before.
    fn by_pronoun(&self, inspection: Option<Inspection>) -> Option<Statement> {
        let mentioned = &self.mentioned;
        let subject = self.subject();
        // "… may not, but may perform": no subject of its own.
        let pronoun = subject.is_empty()
            || subject
                .clone()
                .any(|i| self.marked.is(i, &["he", "she", "they"]));
        let inspects = self.has_inspection_word() || inspection.is_some();
        if !self.modal_is(Role::Grant)
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
        })
    }

    fn people_in(&self, range: Range<usize>) -> Vec<Person> {
        people(self.marked, range, &self.zones)
            .into_iter()
            .filter(|p| !p.kinds(self.marked).is_empty())
            .collect()
    }

    fn all_people(&self) -> Vec<Person> {
        self.people_in(self.range.clone())
    }

    /// Tokens before the modal.
    fn subject(&self) -> Range<usize> {
        let end = self.modal.as_ref().map_or(self.range.end, |m| {
            m.tokens.start.clamp(self.range.start, self.range.end)
        });
        self.range.start..end
    }

    fn after_modal(&self) -> Range<usize> {
        let start = self.modal.as_ref().map_or(self.range.start, |m| {
            m.tokens.end.clamp(self.range.start, self.range.end)
        });
        start..self.range.end
    }

    fn first_of(&self, role: Role, range: &Range<usize>) -> Option<Mark> {
        self.marked.within(range).find(|m| m.is(role)).cloned()
    }

    /// Persons after "performed by", "inspected by".
    fn by_people(&self) -> Vec<Person> {
        let marked = self.marked;
        let mut verb: Option<&Mark> = None;
        let mut marks = marked.within(&self.range).peekable();
        for at in self.range.clone() {
            while let Some(mark) = marks.next_if(|m| m.tokens.start <= at) {
                if mark.is(Role::Act) || mark.is(Role::OtherAct) {
                    verb = Some(mark);
                }
            }
            let by = marked.is(at, &["by"])
                || (marked.is(at, &["to"])
                    && verb.is_some_and(|v| v.is(Role::Act) && v.tokens.end == at + 1));
            if !by || self.in_zone(at) || self.starts_opener(at) {
                continue;
            }
            let Some(act) = verb.filter(|v| v.is(Role::Act)) else {
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

    fn in_zone(&self, at: usize) -> bool {
        self.zones.iter().any(|z| z.range.contains(&at))
    }

    fn starts_opener(&self, at: usize) -> bool {
        self.marked
            .marks
            .iter()
            .any(|m| m.tokens.contains(&at) && matches!(m.meaning, Meaning::Opener(_)))
    }

    /// "performed", "done", "carried out": a form that an agent can follow.
    fn is_passive(&self, act: &Mark) -> bool {
        let first = self.marked.lower(act.tokens.start);
        first.ends_with("ed")
            || ["done", "made", "undertaken", "performance"].contains(&first.as_str())
    }

    /// "inspections required by": the agent is that of another verb.
    fn other_participle_before(&self, by: usize, act: &Mark) -> bool {
        let Some(before) = by.checked_sub(1) else {
            return false;
        };
        if act.tokens.contains(&before) {
            return false;
        }
        let word = self.marked.lower(before);
        word.ends_with("ed") || word == "for"
    }

    fn by_end(&self, start: usize) -> usize {
        let marked = self.marked;
        for at in start..self.range.end {
            if self.in_zone(at) {
                continue;
            }
            if marked.is(at, &["using", "before", "whenever", "during"])
                || (marked.is(at, &["per"]) && marked.is(at + 1, &["the", "appendix", "part"]))
                || (marked.is(at, &["in"]) && marked.is(at + 1, &["accordance", "lieu"]))
            {
                return at;
            }
            let stops = marked.marks.iter().any(|m| {
                m.tokens.start == at && (m.is_modal() || m.is(Role::OtherAct) || m.is(Role::But))
            });
            if stops && at > start {
                return at;
            }
        }
        self.range.end
    }

    /// Whether "only" stands next to the persons, so that it limits them.
    fn only_limits(&self, persons: &[Person]) -> bool {
        let marked = self.marked;
        marked.within(&self.range).any(|only| {
            if !only.is(Role::Only) || self.in_zone(only.tokens.start) {
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
                            || marked.is(i, &[")", ",", "certificate", "certificates"])
                            || marked.marks.iter().any(|m| {
                                m.tokens.contains(&i) && matches!(m.meaning, Meaning::Condition(_))
                            })
                    });
                before || after
            })
        })
    }

    /// Whether a verb, preposition of place or mark stands in between.
    fn crosses(&self, range: Range<usize>) -> bool {
        let marked = self.marked;
        marked
            .within(&range)
            .any(|m| m.is_modal() || m.is(Role::Act) || matches!(m.meaning, Meaning::Inspection(_)))
            || range.into_iter().any(|i| {
                marked.is(
                    i,
                    &["in", "at", "during", "on", "under", "for", "to", ".", ";"],
                )
            })
    }

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
        let known = carried.inspection.or(carried.interval).or(carried.before);
        let agent = self.has(Role::Agent);
        let about = speaks || (known.is_some() && (agent || self.refers_back()));
        if !about {
            return None;
        }
        self.nobody()
            .or_else(|| self.restricted())
            .or_else(|| self.of_agent())
            .or_else(|| match self.modal.as_ref().map(|m| m.meaning) {
                Some(Meaning::Plain(Role::Bar)) => self.barred(),
                Some(Meaning::Plain(Role::Denial)) => self.denied(),
                Some(Meaning::Plain(Role::Advise)) => self.advised(),
                Some(Meaning::Plain(Role::Reserve)) => {
                    let named = self.people_in(self.after_modal());
                    (!named.is_empty()).then(|| Found::new(Form::Closed, named))
                }
                _ => self
                    .passive()
                    .or_else(|| self.active(carried))
                    .or_else(|| self.table()),
            })
    }

    /// "The inspector may be X", "Who may do it: X", "Authorized to make the inspection are X":
    /// what stands behind says who.
    fn of_agent(&self) -> Option<Found> {
        let marked = self.marked;
        let first = marked.within(&self.range).next()?;
        let starts = first.tokens.start <= self.range.start + 1;
        let agent = starts && first.is(Role::Agent);
        let asks = marked.is(self.range.start, &["who"]);
        let inverted = starts && first.is(Role::Grant) && first.tokens.start == self.range.start;
        if !(agent || asks || inverted) {
            return None;
        }
        let from = first.tokens.end;
        // The word behind which the persons stand: "be", "are", a colon.
        let at =
            (from..self.range.end).find(|&i| marked.is(i, &["be", "is", "are", ":", "hold"]))?;
        let other_verb = marked.within(&(from..at + 3)).any(|m| {
            m.is(Role::OtherAct)
                || m.is(Role::Causative)
                || m.is(Role::Denial)
                || m.is(Role::Advise)
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

    fn refers_back(&self) -> bool {
        self.has(Role::Act)
            || self.has(Role::Exclusive)
            || self.has_word(&["it", "so", "this", "too", "likewise"])
            || (self.modal_is(Role::Grant) && self.has_word(&["well", "also"]))
            || self.modal_is(Role::Bar)
            || (self.modal_is(Role::Duty) && !self.all_people().is_empty())
    }

    fn definition(&self, speaks: bool) -> Option<Found> {
        let after = match self.first_of(Role::Defines, &self.range) {
            Some(mark) => mark.tokens.end..self.range.end,
            None => {
                let is = self
                    .range
                    .clone()
                    .find(|&i| self.marked.is(i, &[":", "is", "are"]));
                is.map_or(self.range.start, |c| c + 1)..self.range.end
            }
        };
        let term = self.has_word(&["inspector", "inspectors", "inspecting"]);
        let named = self.people_in(after.clone());
        // "shall be performed by a Competent Inspector, which term signifies …"
        let before = self.range.start..after.start;
        let performed = self.marked.within(&before).any(|m| m.is(Role::Act));
        let form = match self.modal.as_ref().map(|m| m.meaning) {
            Some(Meaning::Plain(Role::Duty)) if performed => Form::Closed,
            Some(Meaning::Plain(Role::Grant)) if performed => Form::Open,
            _ => Form::None,
        };
        ((speaks || term) && !named.is_empty()).then(|| Found::new(form, named))
    }

    /// "No one but", "No person may … unless inspected by", "No repair station may".
    fn nobody(&self) -> Option<Found> {
        let marked = self.marked;
        if let Some(nobody) = self.first_of(Role::Nobody, &self.range) {
            let subject = nobody.tokens.end..self.subject().end.max(nobody.tokens.end);
            // "Nobody but X may", "Save for X, nobody may", "Nobody may … except X"
            let places = [
                subject.clone(),
                self.range.start..nobody.tokens.start,
                self.after_modal(),
            ];
            for place in places {
                let Some(but) = self.first_of(Role::But, &place) else {
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
            if self.has(Role::Act)
                && let Some(zone) = self.zones.first()
            {
                let named: Vec<Person> = people(marked, zone.range.clone(), &[])
                    .into_iter()
                    .filter(|p| !p.kinds(marked).is_empty())
                    .collect();
                if !named.is_empty() {
                    return Some(Found::new(Form::Closed, named));
                }
            }
            return None;
        }
        let first = self
            .zones
            .iter()
            .find(|z| z.range.start == self.range.start)
            .map_or(self.range.start, |z| (z.range.end + 1).min(self.range.end));
        if !marked.is(first, &["no"]) || self.modal_is(Role::Denial) {
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
                if !self.has(Role::Act) =>
            {
                Some(Found::new(Form::None, Vec::new()))
            }
            Some(Meaning::Inspection(_)) => {
                let named = self.by_people();
                (!named.is_empty()).then(|| Found::excluded(named))
            }
            Some(Meaning::Head(_) | Meaning::Qualifier(_)) if self.has(Role::Act) => {
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
    fn restricted(&self) -> Option<Found> {
        let marked = self.marked;
        let opener = marked.within(&self.range).find(|m| {
            matches!(m.meaning, Meaning::Opener(_)) && zones::restricts(marked, m, &self.range)
        })?;
        let mut named = self.by_people();
        if named.is_empty() {
            let act = self.first_of(Role::Act, &(opener.tokens.end..self.range.end))?;
            named = self.people_in(opener.tokens.end..act.tokens.start);
        }
        (!named.is_empty()).then(|| Found::new(Form::Closed, named))
    }

    fn barred(&self) -> Option<Found> {
        if let Some(found) = self.restricted() {
            return Some(found);
        }
        // "shall not be performed by any person except", "persons other than X are not authorized"
        if let Some(but) = self.first_of(Role::But, &self.range)
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
        if self.has(Role::Exclusive) {
            return None;
        }
        let mut persons = self.people_in(self.subject());
        if let Some(nor) = self.first_of(Role::But, &self.after_modal()) {
            persons.extend(self.people_in(nor.tokens.end..self.range.end));
        }
        let by = self.by_people();
        if !by.is_empty() {
            persons = by;
        }
        if persons.is_empty() {
            // "In no event may an owner perform it": the subject stands behind the modal.
            let act = self.first_of(Role::Act, &self.after_modal());
            let end = act.map_or(self.range.end, |a| a.tokens.start);
            persons = self.people_in(self.after_modal().start..end);
        }
        if persons.is_empty() {
            // "That certificate does not permit him to …"
            let back = self.has_word(&["him", "he", "them", "they", "its", "that"])
                || self.subject().is_empty();
            return (back && !self.mentioned.is_empty() && self.has(Role::Act)).then(|| Found {
                form: Form::None,
                named: Vec::new(),
                excluded: Vec::new(),
                extra: None,
            });
        }
        // A person who is barred from doing something else is no inspector shut out.
        let acts = self.has(Role::Act)
            || self.modal.as_ref().is_some_and(|m| {
                let last = self.marked.lower(m.tokens.end - 1);
                last.starts_with("accept") || ["include", "to", "cover", "valid"].contains(&last.as_str())
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

    /// Whether the first verb after the modal is no act of inspecting.
    fn does_something_else(&self) -> bool {
        self.marked
            .within(&self.after_modal())
            .find(|m| m.is(Role::Act) || m.is(Role::OtherAct))
            .is_some_and(|m| m.is(Role::OtherAct))
    }

    fn denied(&self) -> Option<Found> {
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

    fn advised(&self) -> Option<Found> {
        let mut named = self.by_people();
        if named.is_empty() {
            named = self.people_in(self.subject());
            let after = self.people_in(self.after_modal());
            if named.iter().all(Person::is_plain_owner) && !after.is_empty() {
                named = after;
            } else if !self.has(Role::Act) || self.does_something_else() {
                return None;
            }
        }
        (!named.is_empty()).then(|| Found::new(Form::None, named))
    }

    fn passive(&self) -> Option<Found> {
        let mut named = self.by_people();
        if named.is_empty() {
            return None;
        }
        let excluded = self.excepted(&mut named);
        named.extend(self.also());
        // "will honor no inspection other than one performed by X"
        let first = named.first().map_or(self.range.end, |p| p.tokens.start);
        let none_but = self
            .first_of(Role::But, &(self.range.start..first))
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
        let form = if self.only_limits(&named) || self.modal_is(Role::Duty) || present {
            Form::Closed
        } else {
            Form::Open
        };
        Some(Found {
            form,
            named,
            excluded,
            extra: None,
        })
    }

    /// Persons taken out of a list: "except X", "X excepted", "neither X nor Y being acceptable".
    fn excepted(&self, named: &mut Vec<Person>) -> Vec<Person> {
        let marked = self.marked;
        let after = self.after_modal();
        if let Some(neither) = marked
            .within(&after)
            .find(|m| m.is(Role::Denial) && marked.is(m.tokens.start, &["neither"]))
        {
            return self.people_in(neither.tokens.end..self.range.end);
        }
        let Some(but) = self.first_of(Role::But, &after) else {
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

    /// "… and so may a repair station", "as is any mechanic".
    fn also(&self) -> Vec<Person> {
        let marked = self.marked;
        let verbs = ["is", "are", "may", "can"];
        let start = self
            .range
            .clone()
            .find(|&i| marked.is(i, &["so", "as"]) && marked.is(i + 1, &verbs));
        start.map_or_else(Vec::new, |i| self.people_in(i + 2..self.range.end))
    }

    fn active(&self, carried: &Carried) -> Option<Found> {
        let marked = self.marked;
        let modal = self.modal.as_ref()?;
        let subject = self.subject();
        let mut named = self.people_in(subject.clone());
        let mut excluded = Vec::new();
        if let Some(but) = self.first_of(Role::But, &subject) {
            named = self.people_in(subject.start..but.tokens.start);
            excluded = self.people_in(but.tokens.end..subject.end);
        } else {
            excluded.extend(self.excepted(&mut named));
        }
        if modal.is(Role::Grant) {
            // "are the only persons who may perform"
            let only_persons = marked.within(&subject).any(|m| {
                m.is(Role::Only)
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
            if named.is_empty() && self.has(Role::Act) {
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
            return Some(Found {
                form,
                named,
                excluded,
                extra: None,
            });
        }
        if !modal.is(Role::Duty) || named.is_empty() {
            return None;
        }
        let acts_before = marked.within(&subject).any(|m| m.is(Role::Act));
        let causes = marked
            .marks
            .iter()
            .any(|m| m.is(Role::Causative) && m.tokens.start == modal.tokens.end);
        if acts_before {
            // "A repair station that performs the inspection must hold …"
            if self.does_something_else() {
                return None;
            }
            let end = self.trimmed_end();
            let mut found = Found::new(Form::None, named);
            found.extra = Some(InspectorCondition {
                kind: self.demanded(modal.tokens.end..end),
                span: marked.span(&(modal.tokens.start..end)),
                on: None,
            });
            return Some(found);
        }
        // "Note: The mechanic must also hold an inspection authorization."
        let holds = self
            .after_modal()
            .take(3)
            .any(|i| marked.is(i, &["hold", "possess", "have", "be"]));
        let demand = self.demanded(modal.tokens.end..self.trimmed_end());
        if holds
            && demand != InspectorConditionKind::Other
            && carried.inspection.is_some()
            && !self.has(Role::Act)
            && !named.iter().all(Person::is_plain_owner)
        {
            let mut found = Found::new(Form::None, named);
            found.extra = Some(InspectorCondition {
                kind: demand,
                span: marked.span(&(modal.tokens.start..self.trimmed_end())),
                on: None,
            });
            return Some(found);
        }
        let acts = marked
            .within(&self.after_modal())
            .find(|m| m.is(Role::Act) || m.is(Role::OtherAct) || m.is(Role::Causative))
            .is_some_and(|m| m.is(Role::Act));
        (acts && !causes).then_some(Found {
            form: Form::Closed,
            named,
            excluded,
            extra: None,
        })
    }

    /// The end of the segment without its closing mark.
    fn trimmed_end(&self) -> usize {
        let mut end = self.range.end;
        while end > self.range.start && self.marked.is(end - 1, &[".", ";", ",", ":", "|"]) {
            end -= 1;
        }
        end
    }

    fn demanded(&self, range: Range<usize>) -> crate::model::InspectorConditionKind {
        use crate::model::InspectorConditionKind as C;
        let word = |w: &[&str]| range.clone().any(|i| self.marked.is(i, w));
        if word(&["owner", "own", "owned"]) {
            C::OwnedByHolder
        } else if word(&["authorization", "ia"]) {
            C::HoldsInspectionAuthorization
        } else if word(&["rating", "ratings", "rated", "trained"]) {
            C::AppropriatelyRated
        } else {
            C::Other
        }
    }

    /// Persons of "It is permissible for X to perform", "a repairman is acceptable", "may be X".
    fn people_granted(&self) -> Vec<Person> {
        let marked = self.marked;
        let after = self.after_modal();
        let Some(start) = after.clone().find(|&i| marked.is(i, &["for"])) else {
            return Vec::new();
        };
        let end = self
            .first_of(Role::Act, &(start..after.end))
            .map_or(after.end, |m| m.tokens.start);
        self.people_in(start + 1..end)
    }

    /// "You may use a mechanic or a repair station."
    fn people_chosen(&self) -> Vec<Person> {
        let chooses = self.marked.marks.iter().any(|m| {
            m.is(Role::Causative)
                && Some(m.tokens.start) == self.modal.as_ref().map(|m| m.tokens.end)
                && self.marked.is(
                    m.tokens.start,
                    &["use", "choose", "engage", "select", "hire", "employ"],
                )
        });
        if chooses {
            self.people_in(self.after_modal())
        } else {
            Vec::new()
        }
    }

    /// Whether what is granted is an inspection: "may perform", "is acceptable for".
    fn grants_inspection(&self) -> bool {
        let marked = self.marked;
        let Some(modal) = &self.modal else {
            return false;
        };
        let accepts = marked.lower(modal.tokens.end - 1).starts_with("accept")
            || marked.lower(modal.tokens.start).starts_with("accept")
            || marked.is(modal.tokens.end, &["for", "as"]);
        if accepts {
            return true;
        }
        // "A mechanic is authorized as well."
        let elliptic = marked
            .within(&self.after_modal())
            .all(|m| !m.is(Role::Act) && !m.is(Role::OtherAct))
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
            .any(|m| m.is(Role::Causative) && m.tokens.start == modal.tokens.end);
        !causes
            && marked
                .within(&self.after_modal())
                .find(|m| m.is(Role::Act) || m.is(Role::OtherAct))
                .is_some_and(|m| m.is(Role::Act))
            && !self.removes_before_act()
    }

    /// "may remove cowlings in preparation for the inspection performed by …": another verb comes
    /// first, the act of inspecting is too far from the modal.
    fn removes_before_act(&self) -> bool {
        let Some(act) = self.first_of(Role::Act, &self.after_modal()) else {
            return true;
        };
        let gap = self.after_modal().start..act.tokens.start;
        gap.len() > 6
    }

    /// A row or terse line: "Annual condition inspection: A&P only."
    fn table(&self) -> Option<Found> {
        let marked = self.marked;
        if self.modal.is_some() {
            return None;
        }
        let interval = self.interval().is_some();
        let inspection = marked.within(&self.range).find(|m| {
            matches!(m.meaning, Meaning::Inspection(Some(_)))
                || (interval && m.meaning == Meaning::Inspection(None))
        })?;
        if marked.within(&self.range).any(|m| m.is(Role::OtherAct)) {
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

    /// A lead-in leaves its form and inspection to the items after it.
    fn leave_frame(
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
        let known = carried.inspection.is_some() && self.modal_is(Role::Grant);
        if !(segment.leads_in || header) || !(speaks || header || known) {
            if self.modal.is_some() {
                carried.frame = None;
            }
            return;
        }
        let only = self.has(Role::Only) && !self.has_word(&["not"]);
        let form = match self.modal.as_ref().map(|m| m.meaning) {
            _ if closes || only => Form::Closed,
            Some(Meaning::Plain(Role::Duty)) if self.is_causative_or_other() => return,
            Some(Meaning::Plain(Role::Duty | Role::Reserve)) => Form::Closed,
            Some(Meaning::Plain(Role::Grant)) => Form::Open,
            Some(Meaning::Plain(Role::Advise)) => Form::None,
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

    fn is_causative_or_other(&self) -> bool {
        self.does_something_else()
    }

    /// A heading: "Who may perform it".
    fn asks_who(&self) -> bool {
        self.marked.is(self.range.start, &["who"])
            && self.marked.is(self.range.start + 1, &["may", "can"])
            && self.has(Role::Act)
            && self.range.len() <= 10
    }

    /// The head of a table: "… MAY BE PERFORMED BY".
    fn has_by_header(&self) -> bool {
        let marked = self.marked;
        marked.within(&self.range).any(|m| {
            m.is(Role::Act)
                && marked.is(m.tokens.end, &["by"])
                && self.by_people().is_empty()
                && m.tokens.end + 2 >= self.trimmed_end()
        })
    }

    fn closing(&self, inspection: Option<Inspection>) -> Statement {
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
                .filter(|m| m.is(Role::Exclusive))
                .map(|m| self.marked.span(&m.tokens))
                .collect(),
            closes: true,
            defines: false,
        }
    }

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
        let barred_back = self.modal_is(Role::Bar) && named.is_empty() && excluded.is_empty();
        if barred_back {
            excluded.clone_from(&self.mentioned);
        }
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
        if self.modal_is(Role::Denial) {
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
        let conditions = self.attached(conditions, &found.named);
        let mut evidence: Vec<Span> = Vec::new();
        if let Some(frame) = carried.frame.as_ref().filter(|_| self.modal.is_none()) {
            evidence.extend(&frame.evidence);
        }
        evidence.extend(self.modal.iter().map(|m| marked.span(&m.tokens)));
        evidence.extend(
            marked
                .within(&self.range)
                .filter(|m| {
                    m.is(Role::Only)
                        || m.is(Role::Nobody)
                        || m.is(Role::But)
                        || m.is(Role::Exclusive)
                })
                .map(|m| marked.span(&m.tokens)),
        );
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
            conditions,
            evidence,
            closes: closes && found.form == Form::Closed,
            defines,
        }
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
            .filter(|m| m.is(Role::Act) || m.is_modal())
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
                && marked.is(i + 2, &["aircraft"])
        })?;
        Some(InspectorCondition {
            kind: crate::model::InspectorConditionKind::ThisAircraft,
            span: marked.span(&(at..at + 3)),
            on: None,
        })
    }
}
