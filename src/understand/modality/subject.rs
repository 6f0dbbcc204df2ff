//! Finds the subject of a modal: the noun phrase on its left, and how its clause hangs in the
//! sentence.

use std::ops::Range;

use super::view::{View, ends};
use crate::patterns::classes::{
    ADVERB, AGENT, ANYONE, BE, CONTENT, COORDINATOR, DETERMINER, FINITE, INFERENCE, MODAL, NOT,
    POSTPOSITIVE, PREPOSITION, PRONOUN, QUANTIFIER, REASON, RELATIVE, SUBORDINATOR, THING, TIME,
};
use crate::patterns::{TokenKind, WordList};
use crate::text::numbers;

/// How a clause hangs in its sentence.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Place {
    /// A main clause with a subject of its own.
    Main,
    /// A further predicate of the subject before it: "and must be recorded".
    Shared,
    /// A relative clause; `true` where a comma parts it.
    Relative(bool),
    /// The content of "that": "ensures that the pilot must".
    Content,
    /// A condition, a comparison, a reason: no clause of its own.
    Embedded,
}

/// A subject and where its clause begins.
#[derive(Clone, Debug)]
pub(super) struct Subject {
    /// The noun phrase; empty where there is none.
    pub(super) phrase: Range<usize>,
    /// How the clause hangs.
    pub(super) place: Place,
    /// First token of the clause, fronted conditions included.
    pub(super) start: usize,
    /// The clause is barred by a word before the subject ("under no circumstances shall").
    pub(super) barred: bool,
}

/// Most tokens that are looked at to the left of a modal: keeps the work linear.
const REACH: usize = 240;

impl Subject {
    fn new(phrase: Range<usize>, place: Place, start: usize) -> Self {
        Self {
            phrase,
            place,
            start,
            barred: false,
        }
    }
}

/// The subject of the modal that begins at `modal` and ends before `after`. `low` is the first
/// token that may belong to the clause; `opening` tells that no main clause stands before it.
pub(super) fn subject(
    view: &View<'_>,
    low: usize,
    modal: usize,
    after: usize,
    high: usize,
    opening: bool,
) -> Subject {
    let far = modal.saturating_sub(REACH).max(low);
    let low = if opening { far } else { low.max(far) };
    if low >= modal {
        return inverted(view, low, modal, after, high, opening);
    }
    let end = trim(view, low, modal);
    if end <= low {
        return inverted(view, low, modal, after, high, opening);
    }
    let last = end - 1;
    if view.has(last, RELATIVE)
        && !(last == low && opening)
        && !(view.is(last, "that") && stands_alone(view, last, low))
    {
        let comma = last > low && view.is_comma(last - 1);
        return Subject::new(antecedent(view, low, last), Place::Relative(comma), last);
    }
    if view.is_any(last, &["as", "than"]) {
        return Subject::new(0..0, Place::Embedded, last);
    }
    if view.has(last, COORDINATOR) {
        if opening || view.is_any(last, &["nor"]) {
            let mut found = inverted(view, last, modal, after, high, opening);
            found.barred |= view.is(last, "nor");
            found.start = last;
            return found;
        }
        return Subject::new(0..0, Place::Shared, last);
    }
    if opening {
        clause(view, low, end, modal, after, high)
    } else {
        match boundary(view, low, end) {
            Some(start) => clause(view, start, end, modal, after, high),
            None => Subject::new(0..0, Place::Embedded, last),
        }
    }
}

/// "that" as a pronoun of its own: "That must be".
fn stands_alone(view: &View<'_>, at: usize, low: usize) -> bool {
    at == low || view.has(at - 1, COORDINATOR | SUBORDINATOR)
}

/// The end of the noun phrase before `modal`: without adverbs, brackets and insertions.
fn trim(view: &View<'_>, low: usize, modal: usize) -> usize {
    let mut end = modal;
    loop {
        let before = end;
        while end > low && view.is_adverb(end - 1) && end - 1 != low {
            end -= 1;
        }
        if end > low && matches!(view.word(end - 1), ")" | "]") {
            let open = view.opener(end - 1, low);
            if open > low && open < end - 1 {
                end = open;
            }
        }
        if end > low && view.is_comma(end - 1) {
            end -= 1;
            // ", as applicable," and the like: an insertion between two commas.
            let comma = (low..end).rev().take(60).find(|j| view.is_comma(*j));
            if let Some(comma) = comma
                && comma > low
                && inserted(view, comma + 1, end)
            {
                end = comma;
            }
        }
        if end == before {
            return end;
        }
    }
}

/// Whether the words between two commas are an insertion: "as applicable", "on behalf of …".
fn inserted(view: &View<'_>, from: usize, end: usize) -> bool {
    let class = view.class(from);
    class & (PREPOSITION | SUBORDINATOR | RELATIVE) != 0
        || view.is_any(from, &["as", "in", "being"])
        || view.in_list(from, WordList::Acting)
        || (view.is(from, "other") && view.is(from + 1, "than"))
        || (end > from + 1 && (ends(view.word(from), "ing") || view.is_participle(from)))
}

/// A subject behind the modal: "Nor may any person …", "Under no circumstances shall the court …".
fn inverted(
    view: &View<'_>,
    low: usize,
    modal: usize,
    after: usize,
    high: usize,
    opening: bool,
) -> Subject {
    let barred =
        (low..modal).any(|i| view.has(i, NOT) || view.is_any(i, &["no", "neither", "nor"]));
    if view.has(after, DETERMINER | PRONOUN) || (barred && view.starts_phrase(after)) {
        let mut end = after;
        for i in after..high.min(after + 12) {
            let class = view.class(i);
            if view.is_mark(i) || class & (PREPOSITION | SUBORDINATOR | RELATIVE | BE | MODAL) != 0
            {
                break;
            }
            end = i + 1;
            if class & (AGENT | THING | PRONOUN) != 0 && !view.has(i + 1, AGENT | THING) {
                break;
            }
        }
        let mut found = Subject::new(after..end, Place::Main, low);
        found.barred = barred;
        return found;
    }
    let place = if opening { Place::Main } else { Place::Shared };
    Subject::new(0..0, place, low)
}

/// The noun phrase before a relative pronoun at `at`.
fn antecedent(view: &View<'_>, low: usize, at: usize) -> Range<usize> {
    let mut end = at;
    while end > low && (view.is_comma(end - 1) || view.has(end - 1, PREPOSITION)) {
        end -= 1;
    }
    match leftmost(view, low, end) {
        Some((start, _)) if end > start => start..end,
        _ => 0..0,
    }
}

/// From the right: the nearest noun phrase with a determiner that is not part of a larger one, and
/// whether a subordinator stands before it.
fn leftmost(view: &View<'_>, low: usize, end: usize) -> Option<(usize, bool)> {
    let mut i = end;
    let mut best = None;
    while i > low {
        i -= 1;
        if matches!(view.word(i), ")" | "]" | "”") {
            i = view.opener(i, low);
            continue;
        }
        let class = view.class(i);
        if i + 1 == end && class & PRONOUN != 0 {
            best = Some(i);
        } else if class & SUBORDINATOR != 0 {
            let start = best.unwrap_or(i + 1);
            return (start < end).then_some((start, true));
        } else if class & DETERMINER == 0 {
            continue;
        } else {
            best = Some(i);
        }
        let Some(start) = best else { continue };
        if start == low {
            return Some((start, false));
        }
        let before = view.class(start - 1);
        if before & SUBORDINATOR != 0 {
            return Some((start, true));
        }
        // "of the council", "both the city and the county": the phrase goes on to the left.
        let goes_on = before & (PREPOSITION | DETERMINER) != 0;
        if !goes_on {
            return Some((start, false));
        }
    }
    best.map(|s| (s, false))
}

/// Where the clause of a later modal begins: behind a semicolon, a conjunction, or a comma.
fn boundary(view: &View<'_>, low: usize, end: usize) -> Option<usize> {
    let mut comma = None;
    let mut i = end;
    while i > low {
        i -= 1;
        let word = view.word(i);
        if matches!(word, ")" | "]" | "”") {
            i = view.opener(i, low);
            continue;
        }
        if matches!(word, ";" | ":" | "." | "?" | "!")
            || (view.is_dash(i) && !view.has(i + 1, COORDINATOR))
        {
            return Some(i + 1);
        }
        let class = view.class(i);
        if class & COORDINATOR != 0 && i + 1 < end {
            let next = view.class(i + 1);
            let parted = i > low && view.is_comma(i - 1);
            let opens = next & (DETERMINER | PRONOUN) != 0
                || (next & (SUBORDINATOR | PREPOSITION) != 0 && comma.is_some())
                || (parted && comma.is_none())
                || (view.starts_phrase(i + 1) && !view.is(i, "or"));
            // "the producer, the handler, or the processor must": a list, not a new clause.
            if opens && (parted || !view.is(i, "or")) {
                return Some(i);
            }
        }
        if class & SUBORDINATOR != 0 && !view.is(i, "provided") {
            match comma {
                None => return None,
                Some(_) if i > low && (view.is_comma(i - 1) || view.has(i - 1, COORDINATOR)) => {
                    let start = if view.has(i - 1, COORDINATOR) {
                        i - 1
                    } else {
                        i
                    };
                    return Some(start);
                }
                Some(_) => {}
            }
        }
        if view.is(i, "provided") || (view.is(i, "except") && view.is(i + 1, "that")) {
            return Some(i);
        }
        if class & RELATIVE != 0 && comma.is_none() {
            return None;
        }
        if view.is_comma(i) && comma.is_none() && view.starts_phrase(i + 1) {
            comma = Some(i + 1);
        }
    }
    comma
}

/// The subject in a clause that begins at `low`; the noun phrase ends at `end`.
fn clause(
    view: &View<'_>,
    low: usize,
    end: usize,
    modal: usize,
    after: usize,
    high: usize,
) -> Subject {
    let Opening {
        mut from,
        place,
        mut commas,
    } = opening(view, low, end);
    while from < end
        && (view.has(from, COORDINATOR)
            || view.is_comma(from)
            || matches!(view.word(from), "*" | "•" | "\"" | "“" | "." | "…"))
    {
        from += 1;
    }
    from = skip_label(view, from, end);
    if from >= end {
        let mut found = inverted(view, low, modal, after, high, true);
        if place != Place::Main {
            found.place = place;
        }
        return found;
    }
    commas.retain(|c| *c > from && *c + 1 < end);
    let parts: Vec<Range<usize>> = std::iter::once(from)
        .chain(commas.iter().map(|c| c + 1))
        .zip(commas.iter().copied().chain(std::iter::once(end)))
        .map(|(a, b)| a..b)
        .collect();
    let start = pick(view, &parts);
    let fronted = |p: usize| {
        view.has(p, PREPOSITION | SUBORDINATOR | BE)
            || (ends(view.word(p), "ing") && view.class(p) == 0)
            || is_span_of_time(view, p)
    };
    let mut found = match start {
        Some(start) => {
            let inner = within(view, start, end, start == from);
            match inner {
                Some(s) => Subject::new(s..end, hanging(view, s), s),
                None => Subject::new(start..end, place, low),
            }
        }
        None if fronted(from) || view.is(from, "to") => match leftmost(view, from, end) {
            Some((s, true)) => Subject::new(s..end, hanging(view, s), s),
            Some((s, false)) if !view.has(s, DETERMINER) || !view.is(s, "no") || s > from + 1 => {
                Subject::new(s..end, place, low)
            }
            _ => bare(view, from, end, place, low, modal, after, high),
        },
        None => Subject::new(from..end, place, low),
    };
    narrow(view, &mut found.phrase);
    found
}

/// Where the words of a clause begin.
struct Opening {
    /// The first token.
    from: usize,
    place: Place,
    /// Its commas, from the left.
    commas: Vec<usize>,
}

/// The hard stops to the left of `end`: semicolon, colon, dash, "that" with a clause behind it.
fn opening(view: &View<'_>, low: usize, end: usize) -> Opening {
    let mut place = Place::Main;
    let mut from = low;
    let mut commas = Vec::new();
    let mut i = end;
    while i > low {
        i -= 1;
        let word = view.word(i);
        if matches!(word, ")" | "]" | "”") {
            i = view.opener(i, low);
            continue;
        }
        let stop = matches!(word, ";" | ":" | "." | "?" | "!")
            || (view.is_dash(i) && view.is_mark(i) && word != "-");
        if stop {
            from = i + 1;
            break;
        }
        // A content clause with a verb of its own is complete: the modal belongs further out.
        let complete = |i: usize| (i + 1..end).any(|j| view.has(j, FINITE));
        if view.is(i, "that") && i > low && opens_content(view, i, low) && !complete(i) {
            from = i + 1;
            let provided = view.is_any(i.wrapping_sub(1), &["provided", "except"])
                || view.in_list(i.wrapping_sub(1), WordList::Resolved)
                || (view.is_comma(i - 1)
                    && view.is_any(i.wrapping_sub(2), &["provided", "except"]));
            let verb = (low..i).rev().take(3).find(|j| view.has(*j, INFERENCE));
            if verb.is_some() {
                place = Place::Embedded;
            } else if !provided {
                place = Place::Content;
            }
            break;
        }
        if view.is_comma(i) {
            commas.push(i);
        }
    }
    commas.reverse();
    Opening {
        from,
        place,
        commas,
    }
}

/// Takes off what stands before the noun phrase: "however the county", "and the pilot", "that the
/// governor", "Article 42 A member".
fn narrow(view: &View<'_>, phrase: &mut Range<usize>) {
    while phrase.len() > 1 {
        let at = phrase.start;
        let class = view.class(at);
        let loose = class & COORDINATOR != 0
            || (class & ADVERB != 0
                && class & (DETERMINER | QUANTIFIER) == 0
                && !view.is(at, "only"))
            || (view.is(at, "that") && view.has(at + 1, DETERMINER));
        if !loose {
            break;
        }
        phrase.start += 1;
    }
    if !view.has(phrase.start, DETERMINER | PRONOUN)
        && !(phrase.clone()).any(|i| view.has(i, RELATIVE))
        && let Some((inner, false)) = leftmost(view, phrase.start, phrase.end)
        && inner > phrase.start
        && !view.is(inner, "other")
        && view.class(inner - 1) & (PREPOSITION | COORDINATOR | DETERMINER) == 0
        && (view.kind(inner - 1) == Some(TokenKind::Number)
            || (inner + 1 == phrase.end && view.has(inner, PRONOUN))
            || (inner - phrase.start <= 4
                && !ends(view.word(inner - 1), "ing")
                && !view.is_participle(inner - 1)))
    {
        phrase.start = inner;
    }
}

/// A clause behind a subordinator: a reason or a contrast says what holds, a condition does not.
fn hanging(view: &View<'_>, start: usize) -> Place {
    let reason = start.checked_sub(1).is_some_and(|b| view.listed(b, REASON));
    if reason {
        Place::Content
    } else {
        Place::Embedded
    }
}

/// "three years after …", "30 days before …".
fn is_span_of_time(view: &View<'_>, at: usize) -> bool {
    (view.has(at, QUANTIFIER) || view.kind(at) == Some(TokenKind::Number))
        && (at + 1..at + 4).any(|i| view.listed(i, TIME))
}

/// A fronted phrase without a determiner behind it: "In Class B airspace pilots must".
#[allow(clippy::too_many_arguments)]
fn bare(
    view: &View<'_>,
    from: usize,
    end: usize,
    place: Place,
    low: usize,
    modal: usize,
    after: usize,
    high: usize,
) -> Subject {
    let front = inverted(view, from, modal, after, high, true);
    if !front.phrase.is_empty() {
        return Subject {
            start: low,
            ..front
        };
    }
    if end > from + 1 && agent_word(view, end - 1) {
        let mut start = end - 1;
        while start > from + 1
            && view.class(start - 1) == 0
            && view.kind(start - 1) == Some(TokenKind::Word)
            && start + 3 > end
        {
            start -= 1;
        }
        return Subject::new(start..end, place, low);
    }
    if view.has(from, SUBORDINATOR) {
        return Subject::new(0..0, Place::Embedded, from);
    }
    Subject::new(from..end, place, low)
}

/// A subordinator inside the noun phrase, with no relative clause before it: the modal belongs to
/// a condition.
fn within(view: &View<'_>, start: usize, end: usize, opening: bool) -> Option<usize> {
    if !opening {
        return None;
    }
    for i in start..end {
        let class = view.class(i);
        if class & RELATIVE != 0 && !view.is(i, "that") {
            return None;
        }
        if class & SUBORDINATOR != 0 && i > start && !view.is_any(i, &["provided", "once", "since"])
        {
            return (i + 1 < end).then_some(i + 1);
        }
    }
    None
}

/// Whether "that" at `i` opens a clause of content, not a relative clause or a noun phrase.
fn opens_content(view: &View<'_>, i: usize, low: usize) -> bool {
    let before = i - 1;
    let behind_comma = view.is_comma(before) && before > low;
    let verb = if behind_comma { before - 1 } else { before };
    if view.listed(verb, CONTENT) {
        return true;
    }
    !behind_comma
        && view.has(i + 1, DETERMINER | PRONOUN)
        && !view.has(before, PREPOSITION | COORDINATOR | SUBORDINATOR)
}

/// "(a)", "(1)", "12." at the head of a sentence.
pub(super) fn skip_label(view: &View<'_>, from: usize, end: usize) -> usize {
    let mut at = from;
    for _ in 0..3 {
        let short = |i: usize| view.word(i).len() <= 4 && !view.is_mark(i);
        let pair = matches!((view.word(at), view.word(at + 2)), ("(", ")") | ("[", "]"));
        let numbered = view.kind(at) == Some(TokenKind::Number)
            || (view.kind(at) == Some(TokenKind::Word) && view.word(at).len() == 1);
        let stop = view.word(at + 1) == "." && numbered;
        let bracket = view.word(at + 1) == ")" && short(at);
        if pair && short(at + 1) && at + 3 < end {
            at += 3;
        } else if (stop || bracket) && at + 2 < end {
            at += 2;
        } else {
            break;
        }
    }
    at
}

/// Which of the parts between commas the subject begins with; `None` where all of them are
/// fronted.
fn pick(view: &View<'_>, parts: &[Range<usize>]) -> Option<usize> {
    let front = |r: &Range<usize>| {
        let class = view.class(r.start);
        (class & (PREPOSITION | SUBORDINATOR) != 0 && class & DETERMINER == 0)
            || view.is_any(r.start, &["to", "as", "be"])
            || (view.is(r.start, "other") && view.is(r.start + 1, "than"))
            || is_span_of_time(view, r.start)
            || (ends(view.word(r.start), "ing") && r.len() > 2 && class == 0)
    };
    let mut at = parts.len().checked_sub(1)?;
    let mut list = false;
    loop {
        let part = parts.get(at)?;
        let coordinated = view.has(part.start, COORDINATOR);
        let head = if coordinated {
            part.start + 1
        } else {
            part.start
        };
        if at == 0 {
            return (!front(part)).then_some(part.start);
        }
        let previous = parts.get(at - 1)?;
        if coordinated && view.is_any(part.start, &["but", "yet"]) {
            return Some(head);
        }
        if coordinated {
            // "…, and the pilot": a list goes on to the left only over short noun phrases.
            // "The aircraft is old, and the pilot": what stands before is a clause of its own.
            let complete = previous.clone().any(|i| view.has(i, FINITE))
                && !previous.clone().any(|i| view.has(i, RELATIVE));
            let short = !front(previous) && !complete && (previous.len() <= 9 || at == 1);
            // "A builder, if certificated, or a mechanic": the list goes on over an insertion.
            if front(previous) && at >= 2 {
                let before = parts.get(at - 2)?;
                if !front(before)
                    && view.is_any(part.start, &["or", "and"])
                    && parts.first().is_some_and(|p| !front(p))
                {
                    list = true;
                    at -= 2;
                    continue;
                }
            }
            if short {
                list = true;
                at -= 1;
                continue;
            }
            return Some(head);
        }
        if front(part) || view.has(part.start, RELATIVE) {
            at -= 1;
            continue;
        }
        if list {
            let item = !front(previous)
                && !view.has(previous.start, RELATIVE)
                && (previous.len() <= 6 || at == 1);
            if item {
                at -= 1;
                continue;
            }
            return Some(part.start);
        }
        let clear = part.len() <= 8 && !part.clone().any(|i| view.has(i, RELATIVE));
        if view.starts_phrase(part.start)
            || view.has(part.start, QUANTIFIER)
            || (clear && any_front(parts, at, &front))
        {
            // An apposition: "The agent, a body of the State, must" begins before the comma.
            return Some(part.start);
        }
        at -= 1;
    }
}

fn any_front(parts: &[Range<usize>], at: usize, front: &dyn Fn(&Range<usize>) -> bool) -> bool {
    parts.iter().take(at).any(front)
}

/// Whether a noun is a person or body: by list, by capitals, or by its ending.
pub(super) fn agent_word(view: &View<'_>, i: usize) -> bool {
    let class = view.class(i);
    if class & AGENT != 0 {
        return true;
    }
    if class != 0 || view.kind(i) != Some(TokenKind::Word) {
        return false;
    }
    let word = view.word(i);
    let word = word
        .strip_suffix("'s")
        .or_else(|| word.strip_suffix("’s"))
        .unwrap_or(word);
    let letters = word.strip_suffix('s').unwrap_or(word);
    if letters.len() >= 2 && letters.chars().all(|c| c.is_ascii_uppercase()) {
        // A roman number names no one.
        return !letters.chars().all(|c| "IVXLC".contains(c));
    }
    // A lower-case abbreviation: no word of English lacks all vowels.
    if word.len() >= 3
        && word
            .chars()
            .all(|c| c.is_ascii_lowercase() && !matches!(c, 'a' | 'e' | 'i' | 'o' | 'u' | 'y'))
    {
        return true;
    }
    letters.len() >= 5 && view.lists.has(letters, WordList::AgentEnding)
}

/// What is known of a noun phrase up to a token.
#[derive(Default)]
struct Heads {
    /// The last noun, where the phrase has one yet.
    head: Option<usize>,
    /// That noun names a person or body.
    agent_seen: bool,
    /// A number of them was named: "two of".
    quantity: bool,
}

impl Heads {
    /// Takes the word at `i`; true where it stands for a person whatever follows it.
    fn take(&mut self, view: &View<'_>, i: usize) -> bool {
        let class = view.class(i);
        if class & PRONOUN != 0 && self.head.is_none() {
            self.quantity = true;
            self.head = Some(i);
            return view.listed(i, ANYONE);
        }
        if view.kind(i) == Some(TokenKind::Word) && class & (DETERMINER | NOT) == 0 {
            self.quantity = class & QUANTIFIER != 0;
            let adjective = self.agent_seen && view.listed(i, POSTPOSITIVE);
            if !adjective {
                self.head = Some(i);
                self.agent_seen = agent_word(view, i);
            }
        } else if class & QUANTIFIER != 0 {
            self.quantity = true;
        }
        false
    }

    /// Whether the last noun names a person or body.
    fn name_agent(&self, view: &View<'_>) -> bool {
        self.head.is_some_and(|h| agent_word(view, h))
    }
}

/// "Four shall serve": members counted before.
fn is_count(view: &View<'_>, phrase: &Range<usize>) -> bool {
    let counted = |i: usize| {
        view.kind(i) == Some(TokenKind::Number)
            || numbers::unit(&view.word(i).to_ascii_lowercase()).is_some_and(|n| n > 1)
    };
    !phrase.is_empty()
        && phrase.len() <= 3
        && phrase.clone().all(counted)
        && view.kind(phrase.start) == Some(TokenKind::Word)
}

/// Whether a noun phrase names a person or body: one of its heads does.
pub(super) fn is_agent(view: &View<'_>, phrase: &Range<usize>) -> bool {
    let mut i = phrase.start;
    let end = phrase.end.min(phrase.start + 80);
    if phrase.len() == 1 && view.has(i, PRONOUN) {
        return !view.is_any(i, &["there", "nothing", "it"]);
    }
    if is_count(view, phrase) {
        return true;
    }
    let mut heads = Heads::default();
    if view.is(i, "that") {
        i += 1;
    }
    while i < end {
        let class = view.class(i);
        let word = view.word(i);
        if matches!(word, "(" | "[" | "“") {
            i = view.closer(i, end).max(i) + 1;
            continue;
        }
        if view.is(i, "of") && (heads.quantity || heads.head.is_none()) {
            heads = Heads::default();
            i += 1;
            continue;
        }
        let joint = class & COORDINATOR != 0 || view.is_comma(i);
        let stop = class & (PREPOSITION | RELATIVE | SUBORDINATOR | MODAL | BE) != 0
            || view.is(i, "to")
            || (heads.agent_seen
                && (ends(word, "ing") || (view.is_participle(i) && class & AGENT == 0)));
        if joint || stop {
            if heads.name_agent(view)
                || (stop && heads.agent_seen && heads.head.is_some_and(|h| !view.has(h, THING)))
            {
                return true;
            }
            heads.head = None;
            if stop && !joint {
                // A second noun phrase behind "and" may name a person still.
                let next = (i..end).find(|j| {
                    view.has(*j, COORDINATOR)
                        && view.is_any(j + 1, &["the", "a", "an", "any", "each", "every"])
                });
                let Some(next) = next else {
                    return false;
                };
                i = next;
                heads.agent_seen = false;
            }
            i += 1;
            continue;
        }
        if heads.take(view, i) {
            return true;
        }
        i += 1;
    }
    heads.name_agent(view)
}
