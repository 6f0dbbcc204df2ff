//! Conditions, relative clauses and other stretches whose persons are not the persons named.

use std::ops::Range;

use super::marks::{Cue, Marked};
use crate::model::{InspectorCondition, InspectorConditionKind};
use crate::patterns::inspector::{Head, InspectorRole, Meaning, Qualifier};
use crate::patterns::{TokenKind, WordList};

/// A stretch that an opener opens.
#[derive(Clone, Debug)]
pub(super) struct Zone {
    /// Its tokens, the opener included.
    pub(super) range: Range<usize>,
    /// The condition that it is; `None` for a relative clause that only describes.
    pub(super) condition: Option<InspectorConditionKind>,
    /// Whether its qualifiers say more about the person before it.
    pub(super) qualifies: bool,
}

pub(super) fn is_relative(marked: &Marked<'_>, mark: &Cue) -> bool {
    marked.is(mark.tokens.start, &["who", "whose"])
}

/// The zones of a segment, in order, not overlapping.
pub(super) fn zones(marked: &Marked<'_>, segment: &Range<usize>) -> Vec<Zone> {
    let mut zones: Vec<Zone> = Vec::new();
    zones.extend(fronted(marked, segment));
    for mark in marked.within(segment) {
        if mark.is(InspectorRole::Modifier) {
            if zones
                .last()
                .is_none_or(|z| mark.tokens.start >= z.range.end)
            {
                zones.extend(modifier(marked, mark, segment));
            }
            continue;
        }
        let Meaning::Opener(kind) = mark.meaning else {
            continue;
        };
        if zones
            .last()
            .is_some_and(|z| mark.tokens.start < z.range.end)
        {
            continue;
        }
        if restricts(marked, mark, segment) || names_the_only(marked, mark) {
            continue;
        }
        let range = mark.tokens.start..zone_end(marked, mark, segment);
        let kind = kind.or_else(|| told_by_content(marked, mark, &range));
        zones.push(Zone {
            qualifies: !matches!(kind, Some(InspectorConditionKind::Supervised))
                && !denies(marked, &range),
            condition: kind.filter(|_| !denies(marked, &range)),
            range,
        });
    }
    zones
}

/// "are the only persons who may": the relative clause is the statement itself.
fn names_the_only(marked: &Marked<'_>, opener: &Cue) -> bool {
    let Some(person) = marked
        .marks
        .iter()
        .rfind(|m| m.tokens.end == opener.tokens.start && m.meaning == Meaning::Head(Head::Person))
    else {
        return false;
    };
    is_relative(marked, opener)
        && marked
            .marks
            .iter()
            .any(|m| m.tokens.end == person.tokens.start && m.is(InspectorRole::Only))
}

/// "who holds no certificate": says what the person lacks.
fn denies(marked: &Marked<'_>, range: &Range<usize>) -> bool {
    marked.is(range.start, &["who"])
        && (range.start..range.end).any(|i| marked.is(i, &["no", "not"]))
}

/// "unless it has been inspected by a mechanic": what follows the opener is the statement itself.
pub(super) fn restricts(marked: &Marked<'_>, opener: &Cue, segment: &Range<usize>) -> bool {
    if !marked.is(
        opener.tokens.start,
        &["unless", "until", "only", "without", "if", "except"],
    ) {
        return false;
    }
    let rest = opener.tokens.end..segment.end;
    let Some(act) = marked.within(&rest).find(|m| m.is(InspectorRole::Act)) else {
        return false;
    };
    let before = segment.start..opener.tokens.end;
    let barred = marked
        .within(&before)
        .any(|m| m.is(InspectorRole::Bar) || m.is(InspectorRole::Nobody))
        || before
            .clone()
            .any(|i| marked.is(i, &["no", "not"]) || marked.listed(i, WordList::Barred))
        || marked.is(opener.tokens.start, &["only"]);
    let by_person = (act.tokens.end..segment.end)
        .find(|&i| marked.is(i, &["by"]))
        .is_some_and(|by| marked.within(&(by..segment.end)).any(Cue::names_person));
    let person_before = marked
        .within(&(opener.tokens.end..act.tokens.start))
        .any(|m| matches!(m.meaning, Meaning::Head(_)))
        && act.tokens.start > 0
        && marked.is(act.tokens.start - 1, &["has", "have", "had"]);
    barred && (by_person || person_before)
}

fn zone_end(marked: &Marked<'_>, opener: &Cue, segment: &Range<usize>) -> usize {
    let start = opener.tokens.end;
    let mut depth = 0i32;
    for at in start..segment.end {
        if marked.is(at, &["("]) {
            depth += 1;
        }
        if marked.is(at, &[")"]) {
            depth -= 1;
            if depth < 0 {
                return at;
            }
        }
        // The comma in "October 22, 2025" ends nothing.
        let in_date = marked.is(at, &[","])
            && marked
                .tokens
                .get(at + 1)
                .is_some_and(|t| t.kind == TokenKind::Number && t.span.len() == 4);
        let ends_phrase = marked.is(at, &[",", ";", ":"]) && depth == 0 && !in_date;
        let full_stop = marked.is(at, &["."]) && at + 1 >= segment.end;
        if ends_phrase || full_stop {
            return at;
        }
        // "the person who holds … or (b) a mechanic": the next item of a list in the sentence.
        if depth == 0
            && marked.is(at, &["or", "and"])
            && at + 1 < segment.end
            && marked.item_marker(at + 1).is_some()
        {
            return at;
        }
        let inside_phrase = marked
            .marks
            .iter()
            .any(|m| m.tokens.start < at && at < m.tokens.end);
        let next_person = marked.is(at, &["or", "and"])
            && !inside_phrase
            && marked
                .within(&(at + 1..segment.end.min(at + 6)))
                .find(|m| !matches!(m.meaning, Meaning::Condition(_)))
                .is_some_and(|m| {
                    matches!(
                        m.meaning,
                        Meaning::Head(_) | Meaning::Qualifier(Qualifier::MechanicCertificate)
                    )
                });
        // "in the employ of the museum and only at its base": another condition begins.
        let next_opener = marked.is(at, &["or", "and"])
            && !inside_phrase
            && marked
                .marks
                .iter()
                .any(|m| m.tokens.start == at + 1 && matches!(m.meaning, Meaning::Opener(_)));
        if next_opener && at > start {
            return at;
        }
        // "under the supervision of a mechanic or repairman" goes on; others end at the next person.
        if next_person && at > start {
            return at;
        }
        let modal = marked
            .marks
            .iter()
            .any(|m| m.tokens.start == at && m.is_modal());
        // "who may perform", "who shall then": the modal right behind the relative is its own.
        if modal && !(at == start && is_relative(marked, opener)) {
            return at;
        }
    }
    segment.end
}

/// A phrase or clause before the subject: "Under § 65.109, a repairman may …". It ends at its
/// comma, and its modals and persons are not those of the statement.
fn fronted(marked: &Marked<'_>, segment: &Range<usize>) -> Option<Zone> {
    let first = segment.start;
    let opens = marked.is(
        first,
        &[
            "under",
            "notwithstanding",
            "without",
            "subject",
            "from",
            "pursuant",
            "per",
            "as",
            "upon",
            "in",
            "irrespective",
            "regardless",
            "after",
            "before",
            "with",
            "given",
        ],
    );
    if !opens {
        return None;
    }
    let comma = (first..segment.end).find(|&i| marked.is(i, &[","]))?;
    let names = marked
        .within(&(first..comma))
        .any(|m| matches!(m.meaning, Meaning::Inspection(_)) || m.is(InspectorRole::But));
    let bars = marked
        .within(&(first..comma))
        .any(|m| m.is(InspectorRole::Bar));
    let more = marked.within(&(comma..segment.end)).any(Cue::is_modal);
    // "In addition to those named in 24, a repair station …" fronts; "In no event may" does not.
    if names || bars || !more {
        return None;
    }
    let limits = marked.is(first, &["subject"])
        || (marked.is(first, &["from"]) && (first..comma + 3).any(|i| marked.is(i, &["on"])));
    // "From October 22, 2025 on, …": the comma of the date is not the end.
    let end = if marked.is(first, &["from"]) {
        (comma + 1..segment.end)
            .find(|&i| marked.is(i, &[","]))
            .filter(|&next| next - comma <= 4)
            .unwrap_or(comma)
    } else {
        comma
    };
    Some(Zone {
        range: first..end,
        condition: limits.then_some(InspectorConditionKind::Other),
        qualifies: false,
    })
}

/// "a mechanic experienced on the type": a condition, unless the words only name the certificate.
fn modifier(marked: &Marked<'_>, mark: &Cue, segment: &Range<usize>) -> Option<Zone> {
    let start = mark.tokens.start;
    let behind_person = marked.marks.iter().any(|m| {
        m.names_person()
            && m.tokens.start >= segment.start
            && m.tokens.end <= start
            && (m.tokens.end..start).all(|i| marked.is(i, &[",", ")"]))
    });
    if !behind_person {
        return None;
    }
    let end = zone_end(marked, mark, segment);
    let content = mark.tokens.end..end;
    let word = |list| content.clone().any(|i| marked.listed(i, list));
    let names_certificate = marked.within(&content).any(|m| {
        matches!(
            m.meaning,
            Meaning::Qualifier(
                Qualifier::MechanicCertificate
                    | Qualifier::RepairmanCertificate
                    | Qualifier::BuilderCertificate
                    | Qualifier::InspectionRating
                    | Qualifier::MaintenanceRating
                    | Qualifier::LightSport
            )
        ) || m.meaning == Meaning::Head(Head::Repairman)
    });
    // Inside stands a whole condition already, or nothing.
    let whole = marked
        .within(&content)
        .any(|m| matches!(m.meaning, Meaning::Condition(_)))
        && !content
            .clone()
            .any(|i| marked.listed(i, WordList::Year) && marked.lower(i).ends_with('s'));
    if names_certificate || whole || content.is_empty() {
        return None;
    }
    let kind = if word(WordList::Rated) || word(WordList::Category) {
        InspectorConditionKind::AppropriatelyRated
    } else {
        InspectorConditionKind::Other
    };
    Some(Zone {
        range: start..end,
        condition: Some(kind),
        qualifies: false,
    })
}

/// What an opener that can open many things opens here.
fn told_by_content(
    marked: &Marked<'_>,
    opener: &Cue,
    range: &Range<usize>,
) -> Option<InspectorConditionKind> {
    use InspectorConditionKind as C;
    let has = |q: Qualifier| {
        marked
            .within(range)
            .any(|m| m.meaning == Meaning::Qualifier(q))
    };
    let word = |list| range.clone().any(|i| marked.listed(i, list));
    let authorization = has(Qualifier::InspectionAuthorization)
        || marked
            .within(range)
            .any(|m| m.meaning == Meaning::Condition(C::HoldsInspectionAuthorization));
    let kind = if authorization {
        C::HoldsInspectionAuthorization
    } else if word(WordList::Owned) || word(WordList::Owns) {
        C::OwnedByHolder
    } else if word(WordList::Supervised) {
        C::Supervised
    } else if has(Qualifier::RepairmanCertificate)
        || has(Qualifier::BuilderCertificate)
        || marked
            .within(range)
            .any(|m| m.meaning == Meaning::Head(Head::Repairman))
        || word(WordList::Certificated)
    {
        C::Certificated
    } else if word(WordList::Rated) || word(WordList::Category) {
        C::AppropriatelyRated
    } else if range.clone().any(|i| marked.is(i, &["43.3"])) {
        C::AsAuthorizedBy433
    } else {
        C::Other
    };
    // A relative clause is a condition only where it says what the person has to have or be.
    let relative = is_relative(marked, opener);
    let describes = marked
        .within(range)
        .any(|m| m.is(InspectorRole::Act) || m.is(InspectorRole::OtherAct) || m.is_modal());
    // "who holds a repairman certificate" says which person is meant.
    let identifies = kind == C::Certificated || has(Qualifier::MechanicCertificate);
    (!relative || !(describes || identifies)).then_some(kind)
}

/// The conditions of a segment in the order of the text: zones and whole phrases outside of them.
pub(super) fn conditions(
    marked: &Marked<'_>,
    segment: &Range<usize>,
    zones: &[Zone],
) -> Vec<InspectorCondition> {
    let mut found: Vec<InspectorCondition> = zones
        .iter()
        .filter_map(|z| {
            z.condition.map(|kind| InspectorCondition {
                kind,
                span: marked.span(&z.range),
                on: None,
            })
        })
        .collect();
    for mark in marked.within(segment) {
        let inside = zones.iter().any(|z| z.range.contains(&mark.tokens.start));
        if let Meaning::Condition(kind) = mark.meaning
            && !inside
        {
            found.push(InspectorCondition {
                kind,
                span: marked.span(&mark.tokens),
                on: None,
            });
        }
    }
    found.sort_by_key(|c| c.span);
    let mut seen: Vec<String> = Vec::new();
    found.retain(|c| {
        let words = c.span.of(marked.text).to_lowercase();
        let new = !seen.contains(&words);
        seen.push(words);
        new
    });
    found
}
