//! Reads one main clause: what it does, who bears it, what is to be done.

use std::ops::Range;

use super::adjunct::adjuncts;
use super::group::{Group, passive, verb_at};
use super::limiter;
use super::subject::{Place, Subject, is_agent, skip_label};
use super::view::{View, ends};
use crate::model::{Binds, Limiter, Modality, Norm};
use crate::patterns::classes::{
    ADVERB, AGENT, BE, COORDINATOR, DETERMINER, HAVE, NOT, PREPOSITION, PRONOUN, PROSE, RELATIVE,
    STATIVE, STATUS, SUBORDINATOR,
};
use crate::patterns::{ModalRole, TokenKind, WordList};

/// Longest trigger, in tokens, that is shown as one piece from "no" or "only" to the modal.
const LONGEST_TRIGGER: usize = 40;

/// A clause with its trigger and subject.
pub(super) struct MainClause<'a> {
    pub(super) view: View<'a>,
    pub(super) group: Group,
    pub(super) subject: Subject,
    /// Tokens of the whole clause.
    pub(super) range: Range<usize>,
    pub(super) quoted: &'a [bool],
}

/// Words that stand in front of a subject and change the norm.
#[derive(Default)]
struct Front {
    /// Index of the file, and the token where it begins.
    barred: Option<(Option<usize>, usize)>,
    only: Option<(usize, usize)>,
    disclaimer: Option<(usize, usize)>,
    /// "no more than": leave up to a number, and none beyond it.
    cap: Option<(usize, usize)>,
    /// The noun phrase without those words.
    phrase: Range<usize>,
}

/// What a clause does, and the words that do it.
struct Force {
    modality: Modality,
    /// What it does where it is denied.
    negated: Modality,
    /// Index of the file that knows the words.
    file: usize,
    trigger: Range<usize>,
    /// The token of the verb.
    verb: usize,
    /// A frame behind the modal says it: "is required to".
    framed: bool,
}

impl Force {
    /// What words in front of the subject make of it: "no person may", a disclaimer.
    const fn put_in_front(&mut self, front: &Front) {
        if let Some((bar, at)) = front.barred {
            if !matches!(
                (self.modality, self.negated),
                (Modality::Statement, Modality::Statement)
            ) {
                self.modality = self.negated;
            }
            if let Some(bar) = bar {
                self.file = bar;
            }
            if self.trigger.end - at <= LONGEST_TRIGGER {
                self.trigger.start = at;
            }
        }
        if let Some((disclaimer, at)) = front.disclaimer {
            self.modality = Modality::Statement;
            self.file = disclaimer;
            self.trigger.start = at;
        }
    }
}

/// Words and marks among which the subject of a ban says who is left out of it.
const LONGEST_SUBJECT: usize = 200;

impl MainClause<'_> {
    /// The norm of the clause; `None` where the trigger turns out to be none.
    pub(super) fn norm(&self, clause: usize) -> Option<Norm> {
        let view = &self.view;
        let group = &self.group;
        let end = self.range.end;
        let mut front = self.front();
        let mut agent = front.disclaimer.is_none() && is_agent(view, &front.phrase);
        // "Nor may any person operate": the verb stands behind the subject.
        let behind = group.range.end.max(self.subject.phrase.end);
        let verb = verb_at(view, behind, end);
        let participle = if group.role == ModalRole::Modal {
            passive(view, verb, end)
        } else {
            None
        };
        if !self.subject_fits(agent, participle.is_some()) {
            return None;
        }
        let mut force = self.force(verb, participle.is_some(), agent, &front);
        force.put_in_front(&front);
        let barred = force.modality == Modality::Prohibition;
        let core_start = front.phrase.start.min(force.trigger.start);
        let core = if front.phrase.is_empty() {
            force.trigger.clone()
        } else {
            core_start..force.trigger.end.max(front.phrase.end)
        };
        let mut bounds = adjuncts(view, &self.range, &core, barred, self.quoted);
        if barred && let Some(at) = self.exempt(&front.phrase) {
            let until = trim(view, at, group.range.start);
            bounds.exceptions.insert(0, view.span(&(at..until)));
            front.phrase.end = front.phrase.end.min(at);
            agent = is_agent(view, &front.phrase);
        }
        if barred && !bounds.exceptions.is_empty() {
            force.modality = Modality::Restriction;
        }
        self.restrict(&mut force, &front);
        let bearer = self.bearer(
            &front,
            agent,
            participle.filter(|_| !force.framed),
            force.verb,
            force.framed,
            force.trigger.end,
        );
        let action = self.action(force.verb, force.trigger.end, bounds.first, &front, agent);
        Some(Norm {
            clause,
            modality: force.modality,
            span: view.span(&(self.range.start..trim(view, self.range.start, end))),
            trigger: view.phrase(&force.trigger),
            bearer: bearer.and_then(|b| view.phrase(&b)),
            action: action.and_then(|a| view.phrase(&a)),
            conditions: bounds.conditions,
            exceptions: bounds.exceptions,
            limiter: self.limiter(force.modality, &front),
            pattern: view.known.id(force.file).map(str::to_owned),
            quoted: self.quoted.get(group.range.start).copied().unwrap_or(false),
        })
    }

    /// What the trigger says by itself, and with the frame behind it.
    fn force(&self, verb: usize, passive: bool, agent: bool, front: &Front) -> Force {
        let view = &self.view;
        let group = &self.group;
        let mut force = Force {
            modality: group.modality,
            negated: group.negated,
            file: group.file,
            trigger: group.range.clone(),
            verb,
            framed: false,
        };
        if let Some((frame_file, frame_end)) = self.frame(verb, agent, front)
            && let Some(compiled) = view.known.trigger_of(frame_file)
        {
            let own = compiled.negated.unwrap_or(Modality::Statement);
            force.modality = if group.not { own } else { compiled.modality };
            force.negated = own;
            force.file = frame_file;
            force.trigger.end = frame_end;
            force.framed = true;
            if view.is_any(frame_end - 1, &["to", "from", "for"]) {
                force.verb = verb_at(view, frame_end, self.range.end);
            }
        } else if force.modality != Modality::Statement
            && let Some(possible) = self.possibility(verb, passive, agent, front)
        {
            force.modality = Modality::Statement;
            force.file = possible;
        }
        force
    }

    /// What "only" or "no more than" makes of it, before the trigger or behind it.
    fn restrict(&self, force: &mut Force, front: &Front) {
        let Force {
            modality,
            file,
            trigger,
            verb,
            ..
        } = force;
        if let Some((only, at)) = front.only
            && matches!(modality, Modality::Permission | Modality::Obligation)
        {
            *modality = Modality::Restriction;
            *file = only;
            if trigger.end.saturating_sub(at) <= LONGEST_TRIGGER {
                trigger.start = trigger.start.min(at);
                trigger.end = trigger.end.max(at + 1);
            }
        } else if *modality == Modality::Permission
            && let Some((cap, at)) = front.cap
        {
            *modality = Modality::Restriction;
            *file = cap;
            if trigger.end.saturating_sub(at) <= LONGEST_TRIGGER {
                trigger.start = at;
            }
        } else if *modality == Modality::Permission
            && let Some((only, at)) = self.only_behind(trigger.end)
        {
            *modality = Modality::Restriction;
            *file = only;
            if at <= trigger.end + 4 {
                trigger.end = at + 1;
                if *verb == at {
                    *verb = verb_at(&self.view, at + 1, self.range.end);
                }
            }
        }
    }

    /// "Only", and what it binds.
    fn limiter(&self, modality: Modality, front: &Front) -> Option<Limiter> {
        let view = &self.view;
        match front.only {
            _ if modality == Modality::Statement => None,
            Some((_, at)) => Some(Limiter {
                span: view.span(&(at..at + 1)),
                binds: Binds::Subject,
            }),
            None => self
                .only_behind(self.group.range.end)
                .map(|(_, at)| limiter::of(view, at, &self.range, false)),
        }
    }

    /// Whether the trigger is one here, with this subject.
    pub(super) fn fits(&self) -> bool {
        let front = self.front();
        let agent = is_agent(&self.view, &front.phrase);
        let verb = verb_at(&self.view, self.group.range.end, self.range.end);
        self.subject_fits(agent, passive(&self.view, verb, self.range.end).is_some())
    }

    /// What stands before the head of the subject.
    fn front(&self) -> Front {
        let view = &self.view;
        let mut front = Front {
            phrase: self.subject.phrase.clone(),
            ..Front::default()
        };
        // A bracket behind the noun belongs to it: "repairman certificate (light-sport)".
        if !front.phrase.is_empty() && view.word(front.phrase.end) == "(" {
            let close = view.closer(front.phrase.end, self.group.range.start);
            if close > front.phrase.end + 1 && close < self.group.range.start {
                front.phrase.end = close + 1;
            }
        }
        if self.group.subject.is_some() || matches!(self.subject.place, Place::Relative(_)) {
            return front;
        }
        if self.subject.barred {
            let before = self.range.start..self.group.range.start;
            let bars = |i: &usize| view.has(*i, NOT) || view.is_any(*i, &["no", "neither", "nor"]);
            let at = before
                .clone()
                .find(|i| self.role_at(*i, ModalRole::Negator).is_some())
                .or_else(|| before.clone().find(bars))
                .unwrap_or(self.group.range.start);
            front.barred = Some((self.role_at(at, ModalRole::Negator).map(|(f, _)| f), at));
        }
        // "only" may stand in front of the phrase, where the adverbs were taken off.
        let shared = self.subject.place == Place::Shared;
        if let Some(before) = front.phrase.start.checked_sub(1)
            && !shared
            && before >= self.range.start
            && let Some((file, _)) = self.role_at(before, ModalRole::Limiter)
        {
            front.only = Some((file, before));
        }
        let mut at = front.phrase.start;
        for _ in 0..2 {
            if at >= front.phrase.end {
                break;
            }
            if let Some((file, after)) = self.role_at(at, ModalRole::Disclaimer) {
                front.disclaimer = Some((file, at));
                at = after;
            } else if let Some((file, after)) = self.role_at(at, ModalRole::Limiter) {
                front.only = Some((file, at));
                at = after;
            } else if let Some((file, after)) = self.role_at(at, ModalRole::Negator) {
                let number = view.kind(after) == Some(TokenKind::Number) || view.word(after) == ".";
                let cap = self.view.known.trigger_of(file);
                if cap.is_some_and(|c| c.modality == Modality::Restriction) {
                    front.cap = Some((file, at));
                    at = after;
                    break;
                }
                if number || view.in_list(after, WordList::Later) {
                    break;
                }
                front.barred = Some((Some(file), at));
                at = after;
            }
        }
        front.phrase.start = at.min(front.phrase.end);
        let gap = if shared {
            self.subject.start
        } else {
            front.phrase.end
        };
        for i in gap..self.group.range.start {
            if let Some((file, _)) = self.role_at(i, ModalRole::Limiter) {
                front.only = front.only.or(Some((file, i)));
            }
        }
        while !front.phrase.is_empty()
            && let Some((file, _)) = self.role_at(front.phrase.end - 1, ModalRole::Limiter)
        {
            front.only = front.only.or(Some((file, front.phrase.end - 1)));
            front.phrase.end -= 1;
        }
        front
    }

    /// Who is left out of a ban by the subject itself: "no person other than the builder may",
    /// "no one but a mechanic may".
    fn exempt(&self, phrase: &Range<usize>) -> Option<usize> {
        let view = &self.view;
        let mut i = phrase.start;
        if i >= self.group.range.start {
            return None;
        }
        let end = self.group.range.start.min(phrase.start + LONGEST_SUBJECT);
        while i < end {
            if view.has(i, RELATIVE) {
                return None;
            }
            let but = view.is(i, "but")
                && i <= phrase.start + 2
                && i > 0
                && (view.has(i - 1, PRONOUN | AGENT) || view.is(i - 1, "none"));
            let other = (view.is(i, "other") && view.is(i + 1, "than"))
                || view.is_any(i, &["except", "excepting"]);
            if but || other {
                return Some(i);
            }
            i += 1;
        }
        None
    }

    fn role_at(&self, at: usize, role: ModalRole) -> Option<(usize, usize)> {
        let (after, &file) = self.view.known.phrases.longest_at(self.view.tokens, at)?;
        let trigger = self.view.known.trigger_of(file)?;
        (trigger.role == role).then_some((file, after))
    }

    /// Whether the trigger takes this subject: "is to" of a purpose is no duty.
    fn subject_fits(&self, agent: bool, passive: bool) -> bool {
        use crate::patterns::Subject as Wanted;
        match self
            .view
            .known
            .trigger_of(self.group.file)
            .map(|t| t.subject)
        {
            Some(Wanted::Agent) => agent || passive,
            Some(Wanted::Thing) => !agent,
            Some(Wanted::Passive) => passive,
            _ => true,
        }
    }

    /// The frame behind the modal: its file, and one past its last token.
    fn frame(&self, verb: usize, agent: bool, front: &Front) -> Option<(usize, usize)> {
        use crate::patterns::Subject as Wanted;
        let view = &self.view;
        if self.group.role != ModalRole::Modal {
            return None;
        }
        let mut places = Vec::with_capacity(9);
        places.push(self.group.range.start);
        let mut i = verb;
        while i < self.range.end && places.len() < 9 {
            if view.has(i, BE | HAVE) || !view.is_adverb(i) {
                places.push(i);
            }
            i += 1;
        }
        let words: Vec<_> = places
            .iter()
            .filter_map(|i| view.tokens.get(*i).copied())
            .collect();
        let frames = &view.known.frames;
        let (count, &file) = frames
            .longest_at(&words, 0)
            .or_else(|| frames.longest_at(&words, 1))?;
        let trigger = view.known.trigger_of(file)?;
        let fits = match trigger.subject {
            Wanted::Any | Wanted::Passive => true,
            Wanted::Agent => agent,
            Wanted::Thing => !agent,
            Wanted::Speaker => {
                front.phrase.len() == 1
                    && view.is_any(front.phrase.start, &["it", "we", "one", "i", "you"])
            }
        };
        let last = count.checked_sub(1).and_then(|c| places.get(c))?;
        fits.then_some((file, last + 1))
    }

    /// "may" that tells what can happen, not what is allowed; "will" that foretells.
    fn possibility(&self, verb: usize, passive: bool, agent: bool, front: &Front) -> Option<usize> {
        let view = &self.view;
        let start = self.group.range.start;
        let phrase = &front.phrase;
        let alone = phrase.len() == 1;
        let first = phrase.start;
        let file = |id: &str| view.known.files.iter().position(|f| f.id == id);
        if view.is(start, "must") && start > 0 && view.is(start - 1, "so") {
            return file("modality/must-be-noted");
        }
        if view.is(start, "may") {
            let prose = !agent
                && !phrase.is_empty()
                && self.range.clone().any(|i| view.has(i, PROSE))
                && !self.group.not;
            if prose {
                return file("modality/may-of-possibility");
            }
            let perfect = view.has(verb, HAVE) && view.is_participle(verb + 1);
            let speaker = alone && view.is_any(first, &["we", "one", "i"]);
            let pointing = alone
                && !passive
                && view.is_any(
                    first,
                    &["this", "that", "these", "those", "it", "there", "which"],
                );
            let being = !passive && !agent && view.has(verb, BE) && !phrase.is_empty();
            if perfect || speaker || pointing || being {
                return file("modality/may-of-possibility");
            }
        } else if view.is(start, "will")
            && ((alone && view.is_any(first, &["we", "i", "you"]))
                || (!agent && !passive && self.range.clone().any(|i| view.has(i, PROSE))))
        {
            return file("modality/will-of-effect");
        }
        None
    }

    /// "only" in the predicate: its file and its place.
    fn only_behind(&self, from: usize) -> Option<(usize, usize)> {
        let view = &self.view;
        let mut i = from;
        while i < self.range.end {
            if view.has(i, RELATIVE) || matches!(view.word(i), ";" | ":") {
                return None;
            }
            if matches!(view.word(i), "(" | "[" | "“") {
                i = view.closer(i, self.range.end) + 1;
                continue;
            }
            if let Some((file, _)) = self.role_at(i, ModalRole::Limiter)
                && !(i > 0 && view.has(i - 1, NOT))
                && !self.quoted.get(i).copied().unwrap_or(false)
            {
                return Some((file, i));
            }
            i += 1;
        }
        None
    }

    fn bearer(
        &self,
        front: &Front,
        agent: bool,
        participle: Option<usize>,
        verb: usize,
        framed: bool,
        after: usize,
    ) -> Option<Range<usize>> {
        let view = &self.view;
        if let (Some(phrase), None) = (&self.group.subject, participle) {
            return is_agent(view, phrase).then(|| phrase.clone());
        }
        if front.disclaimer.is_some() {
            return None;
        }
        // "It is prohibited for any person to", "is the responsibility of the owner".
        let dummy = front.phrase.len() == 1 && view.is(front.phrase.start, "it");
        if dummy && let Some(found) = self.behind("for", verb) {
            return Some(found);
        }
        if after > 0 && view.is(after - 1, "of") {
            return self.noun_phrase(after);
        }
        // "Passengers are prohibited": the bar is on carrying them, not on them.
        let link = ["to", "from", "for"];
        let bare = self.group.role == ModalRole::Predicate
            && !(after > 0 && view.is_any(after - 1, &link))
            && !view.is_any(after, &link);
        if bare {
            return None;
        }
        if let Some(p) = participle {
            if agent && view.has(p, STATUS) {
                return Some(front.phrase.clone());
            }
            return self.by_agent(p);
        }
        // "shall be subject to review by the board".
        if view.has(verb, BE) && view.is(verb + 1, "subject") && view.is(verb + 2, "to") {
            return self.by_agent(verb + 2);
        }
        if dummy {
            if framed || view.has(verb, STATIVE | BE | HAVE) || front.only.is_some() {
                return None;
            }
            return self
                .named_before(front)
                .or_else(|| Some(front.phrase.clone()));
        }
        if !agent || front.phrase.is_empty() {
            return None;
        }
        if front.phrase.len() == 1
            && view.is_any(
                front.phrase.start,
                &["this", "that", "these", "those", "it", "both", "they"],
            )
        {
            return match view.word(front.phrase.start) {
                "they" | "They" => self
                    .named_before(front)
                    .or_else(|| Some(front.phrase.clone())),
                _ => None,
            };
        }
        Some(front.phrase.clone())
    }

    /// For a pronoun: the person or body named as subject of the condition in front.
    fn named_before(&self, front: &Front) -> Option<Range<usize>> {
        let view = &self.view;
        let found = (self.range.start..front.phrase.start)
            .take(60)
            .filter(|i| view.has(*i, DETERMINER) || (*i > 0 && view.has(*i - 1, SUBORDINATOR)))
            .filter(|i| !view.in_list(i + 1, WordList::Event))
            .find_map(|i| self.noun_phrase(i))?;
        (found.end < front.phrase.start).then_some(found)
    }

    /// The agent in the noun phrase behind a preposition.
    fn behind(&self, preposition: &str, from: usize) -> Option<Range<usize>> {
        let at = (from..self.range.end.min(from + 12)).find(|i| self.view.is(*i, preposition))?;
        self.noun_phrase(at + 1)
    }

    /// The agent of a passive: "performed by the owner".
    fn by_agent(&self, participle: usize) -> Option<Range<usize>> {
        let view = &self.view;
        let end = self.range.end.min(participle + 160);
        let mut i = participle + 1;
        while i < end {
            if matches!(view.word(i), "(" | "[" | "“") {
                i = view.closer(i, end) + 1;
                continue;
            }
            if matches!(view.word(i), ";" | ":") {
                return None;
            }
            if view.is(i, "by") {
                let last = i - 1;
                let own = last == participle
                    || !view.is_participle(last)
                    || view.has(last - 1, COORDINATOR)
                    || view.is_comma(last - 1);
                if own && let Some(found) = self.noun_phrase(i + 1) {
                    return Some(found);
                }
            }
            i += 1;
        }
        None
    }

    /// A noun phrase that begins at `from`, if it names a person or body.
    fn noun_phrase(&self, from: usize) -> Option<Range<usize>> {
        let view = &self.view;
        if is_verbish(view.word(from)) && !view.has(from, AGENT) {
            return None;
        }
        let mut end = from;
        let mut seen = false;
        let mut modified = false;
        while end < self.range.end.min(from + 40) {
            let class = view.class(end);
            if view.is_mark(end) && !matches!(view.word(end), "&" | "/" | "." | "(" | ")")
                || view.word(end) == "." && end + 1 == self.range.end
            {
                break;
            }
            if view.word(end) == "(" {
                end = view.closer(end, self.range.end).max(end) + 1;
                continue;
            }
            if modified {
                let adjunct = view.known.adjuncts.longest_at(view.tokens, end).is_some();
                if class & SUBORDINATOR != 0 || adjunct {
                    break;
                }
                end += 1;
                continue;
            }
            // "the person who holds the certificate", "persons not involved with the decision".
            let named = seen && is_agent(view, &(from..end));
            if named
                && (view.is(end, "who")
                    || is_verbish(view.word(end))
                    || (view.is_participle(end + usize::from(class & NOT != 0))
                        && class & AGENT == 0))
                && !view.has(end, COORDINATOR)
            {
                modified = true;
                end += 1;
                continue;
            }
            // "where the operator fails": a verb in the third person.
            let word = view.word(end);
            let verb = seen
                && class == 0
                && view.has(end - 1, AGENT)
                && ends(word, "s")
                && word.starts_with(char::is_lowercase);
            let stop = verb
                || class & (SUBORDINATOR | BE | HAVE | NOT | RELATIVE) != 0
                || (class & PREPOSITION != 0 && !view.is(end, "of"))
                || view.is(end, "to")
                || (class & ADVERB != 0 && class & DETERMINER == 0);
            if stop {
                break;
            }
            if class & DETERMINER == 0 && view.kind(end) == Some(TokenKind::Word) {
                seen = true;
            }
            end += 1;
        }
        while end > from && view.has(end - 1, COORDINATOR) {
            end -= 1;
        }
        (end > from && is_agent(view, &(from..end))).then_some(from..end)
    }

    fn action(
        &self,
        verb: usize,
        after: usize,
        adjunct: Option<usize>,
        front: &Front,
        agent: bool,
    ) -> Option<Range<usize>> {
        let view = &self.view;
        let end = trim(view, self.range.start, self.range.end);
        // "shall be eligible for": the frame belongs to the act; "shall be required to" does not.
        let link = after > 0 && view.is_any(after - 1, &["to", "from", "of", "for"]);
        let mut from = if link { verb.max(after) } else { verb };
        if self.group.role == ModalRole::Predicate {
            from = after;
            if view.is_any(from, &["from", "to", "for"]) {
                from += 1;
            }
            // "Aerobatic flight is prohibited": the act is the subject.
            let link = link || view.is_any(after, &["from", "to"]);
            if from >= end || adjunct == Some(after) || !link {
                let dummy = front.phrase.len() == 1 && view.has(front.phrase.start, PRONOUN);
                if !(dummy || front.phrase.is_empty() || agent && link) {
                    return Some(front.phrase.clone());
                }
            }
        }
        // "is the responsibility of the owner to have …": the act stands behind the bearer.
        if after > 0
            && view.is(after - 1, "of")
            && let Some(bearer) = self.noun_phrase(after)
            && view.is(bearer.end, "to")
        {
            from = bearer.end + 1;
        }
        // "shall: (1) keep …": the first item, without its label.
        if matches!(view.word(from), ":" | "—") {
            from = skip_label(view, from + 1, end);
        }
        let until = match adjunct {
            Some(a) if a > from => a,
            _ => end,
        };
        let until = trim(view, from, until.min(end));
        (from < until).then_some(from..until)
    }
}

/// Without stops, commas and conjunctions at the end.
pub(super) fn trim(view: &View<'_>, from: usize, mut end: usize) -> usize {
    while end > from + 1
        && (matches!(view.word(end - 1), "." | "," | ";" | ":" | "—" | "-")
            || view.has(end - 1, COORDINATOR))
    {
        end -= 1;
    }
    end
}

/// A finite or third-person verb by its ending would need a lexicon; only participles are sure.
fn is_verbish(word: &str) -> bool {
    ends(word, "ing") && word.len() > 5
}
