//! Finds the words that make a modality: "may", "must not", "is required to", "is prohibited".

use std::ops::Range;

use super::view::View;
use crate::model::Modality;
use crate::patterns::classes::{ADVERB, BE, DETERMINER, MODAL, NOT};
use crate::patterns::{ModalRole, TokenKind, WordList};

/// A trigger in a sentence.
#[derive(Clone, Debug)]
pub(super) struct Group {
    /// Its tokens, from the first to the last that counts, "not" included.
    pub(super) range: Range<usize>,
    /// The file behind it.
    pub(super) file: usize,
    /// What it does, negation by "not" counted.
    pub(super) modality: Modality,
    /// What it does behind "no", "neither".
    pub(super) negated: Modality,
    /// How it works.
    pub(super) role: ModalRole,
    /// The subject, where the trigger brings it: "No person may".
    pub(super) subject: Option<Range<usize>>,
    /// "not" stands in it.
    pub(super) not: bool,
}

/// All triggers that stand between or behind a subject, in order.
pub(super) fn groups(view: &View<'_>, range: &Range<usize>) -> Vec<Group> {
    let mut out = Vec::new();
    let mut i = range.start;
    while i < range.end {
        match at(view, i, range) {
            Some(group) => {
                i = group.range.end.max(i + 1);
                out.push(group);
            }
            None => i += 1,
        }
    }
    out
}

fn at(view: &View<'_>, i: usize, range: &Range<usize>) -> Option<Group> {
    let known = view.known;
    let (mut end, mut file) = known
        .phrases
        .longest_at(view.tokens, i)
        .map(|(end, file)| (end, *file))
        .or_else(|| around_adverbs(view, i, range.end))?;
    // "may not only … but also" denies nothing.
    if view.is(end, "only") && end > i + 1 && view.has(end - 1, NOT) {
        let plain = view.tokens.get(i..end - 1)?;
        (end, file) = known
            .phrases
            .longest_at(plain, 0)
            .map(|(n, file)| (i + n, *file))?;
    }
    let trigger = known.trigger_of(file)?;
    if end > range.end
        || !matches!(trigger.role, ModalRole::Modal | ModalRole::Predicate)
        || is_noun(view, i)
    {
        return None;
    }
    let mut group = Group {
        range: i..end,
        file,
        modality: trigger.modality,
        negated: trigger.negated.unwrap_or(Modality::Prohibition),
        role: trigger.role,
        subject: None,
        not: (i..end).any(|t| view.has(t, NOT)) || view.is(i, "cannot"),
    };
    if view.is(i, "no") {
        group.subject = Some(i + 1..end - 1);
        return Some(group);
    }
    if group.not {
        return Some(group);
    }
    // "may, however, not", "must also not": the negation belongs to the modal.
    let mut j = end;
    while j < range.end && (view.is_adverb(j) || view.is_comma(j)) {
        j += 1;
    }
    if j < range.end
        && view.has(j, NOT)
        && !view.is_any(j + 1, &["only", "less", "more"])
        && !view.in_list(j + 1, WordList::Exceeding)
    {
        let mut words: Vec<_> = view.tokens.get(i..end)?.to_vec();
        words.extend(view.tokens.get(j));
        let negative = known
            .phrases
            .longest_at(&words, 0)
            .filter(|(n, _)| *n == words.len())
            .and_then(|(_, &file)| known.trigger_of(file));
        group.not = true;
        group.range.end = j + 1;
        match negative {
            Some(trigger) => {
                group.file = trigger.file;
                group.modality = trigger.modality;
                group.role = trigger.role;
            }
            None => group.modality = group.negated,
        }
    }
    Some(group)
}

/// "is primarily responsible for": a phrase with adverbs behind its first word.
fn around_adverbs(view: &View<'_>, i: usize, end: usize) -> Option<(usize, usize)> {
    if !view.has(i, BE) || !view.is_adverb(i + 1) {
        return None;
    }
    let from = (i + 1..end.min(i + 4)).find(|j| !view.is_adverb(*j))?;
    let mut words = vec![*view.tokens.get(i)?];
    words.extend(view.tokens.get(from..end.min(from + 4))?);
    let (count, file) = view.known.phrases.longest_at(&words, 0)?;
    (count > 1).then_some((from + count - 1, *file))
}

/// "May 14", "at will", "the will of": a month or a noun.
fn is_noun(view: &View<'_>, i: usize) -> bool {
    if !view.has(i, MODAL) {
        return false;
    }
    let before = i.checked_sub(1);
    let capital = view.word(i).starts_with(|c: char| c.is_ascii_uppercase())
        && view.word(i).chars().skip(1).all(|c| c.is_lowercase());
    if view.is(i, "may") && capital {
        let number = |n: usize| view.kind(n) == Some(TokenKind::Number);
        if number(i + 1) || (view.is_comma(i + 1) && number(i + 2)) || before.is_some_and(number) {
            return true;
        }
    }
    if view.is(i, "may") || view.is(i, "shall") {
        return false;
    }
    before.is_some_and(|b| {
        view.is_any(b, &["the", "a", "an", "at", "his", "her", "their"])
            || view.in_list(b, WordList::BeforeWill)
    })
}

/// The verb behind a modal: the first token that is no adverb and no insertion between commas.
pub(super) fn verb_at(view: &View<'_>, from: usize, end: usize) -> usize {
    let mut v = from;
    while v < end {
        if view.is_comma(v) {
            let close = (v + 1..end.min(v + 40)).find(|j| view.is_comma(*j));
            match close {
                Some(c) => v = c + 1,
                None => v += 1,
            }
        } else if view.is_adverb(v) && !view.has(v, BE) {
            v += 1;
        } else if let Some(after) = set_phrase(view, v) {
            v = after;
        } else if view.word(v) == "(" && view.closer(v, end) > v {
            v = view.closer(v, end) + 1;
        } else {
            break;
        }
    }
    v
}

/// Set phrases between a modal and its verb: "at any time", "in particular".
fn set_phrase(view: &View<'_>, at: usize) -> Option<usize> {
    if !view.is_any(at, &["at", "in", "where", "if", "as"]) {
        return None;
    }
    let words = view.lists.row(WordList::SetPhrase, |n| view.word(at + n))?;
    Some(at + words)
}

/// The participle of a passive whose "be" stands at `v`.
pub(super) fn passive(view: &View<'_>, v: usize, end: usize) -> Option<usize> {
    if !view.has(v, BE) {
        return None;
    }
    let mut p = v + 1;
    while p < end && (view.is_adverb(p) || view.has(p, ADVERB | NOT)) {
        p += 1;
    }
    // "be established and maintained": the first one is enough.
    (p < end && view.is_participle(p) && !view.has(p, DETERMINER)).then_some(p)
}
