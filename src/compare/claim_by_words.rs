//! What single words of a claim tell, whatever else of it was understood: that a list is closed
//! or open, that somebody stands in no list, that another inspection is meant, that a condition
//! does not count. They only ever find a difference or a doubt, never that a claim fits.

use super::claim_facts::{Facts, Who, covers};
use super::claim_roles::role_at;
use crate::model::{
    ClaimDetail, ClaimFinding, Departure, DifferenceKind, InspectorRule, Kind, Span, Turn,
};
use crate::patterns::{ClaimRole, Patterns};

impl Facts<'_> {
    /// A claim on the list of these rules that the grammar did not read.
    pub(super) fn by_words(&self, rules: &[&InspectorRule], who: &mut Who) {
        if rules.iter().any(|r| r.doubt.is_some()) {
            return;
        }
        let lists = self.lists(rules);
        if self.listed.opens {
            if lists.closed {
                who.add(Turn::OnlyDropped, ClaimDetail::LetsOthersIn, lists.force);
            }
            return;
        }
        let mut kinds: Vec<Kind> = self.spoken.to_vec();
        let in_claim = self
            .claim
            .iter()
            .flat_map(|c| c.named.iter().chain(&c.excluded));
        kinds.extend(in_claim.map(|n| n.kind));
        let out = kinds_said(self.out);
        let said: Vec<Kind> = kinds_said(&kinds)
            .into_iter()
            .filter(|k| !(self.listed.closes && out.contains(k)))
            .collect();
        let known = |k: &Kind| lists.named(*k).is_some() || lists.excluded(*k).is_some();
        if self.listed.closes && !lists.closed && said.iter().any(|k| lists.named(*k).is_some()) {
            who.add(Turn::OnlyAdded, ClaimDetail::LimitsList, lists.force);
            for kind in said.iter().filter(|k| !known(k)) {
                who.add(Turn::KindAdded, ClaimDetail::NamesUnnamed(*kind), None);
            }
            for (kind, span) in &lists.named {
                if !said.iter().any(|k| covers(*k, *kind)) {
                    who.add(
                        Turn::KindDropped,
                        ClaimDetail::LeavesOut(*kind),
                        Some(*span),
                    );
                }
            }
        } else if !self.listed.closes
            && !lists.closed
            && !said.is_empty()
            && !said.iter().any(known)
        {
            // Whatever it says of them, the words of the letter neither say nor deny it.
            for kind in said {
                who.go_beyond(kind);
            }
            who.unclear = false;
        }
    }

    /// A claim that somebody stands in no list.
    pub(super) fn not_listed(&self, who: &mut Who) {
        let lists = self.lists(self.letter);
        for kind in kinds_said(self.spoken) {
            if let Some(span) = lists.named(kind) {
                // Where others are named beside him, the others may be those that are listed.
                who.add(Turn::KindDropped, ClaimDetail::LeavesOut(kind), Some(span));
            }
        }
    }
}

/// The kinds without those that stand for a more exact one: the owner who is a repairman.
pub(super) fn kinds_said(kinds: &[Kind]) -> Vec<Kind> {
    let mut out: Vec<Kind> = kinds.to_vec();
    out.sort_unstable();
    out.dedup();
    let exact = |k: &Kind| !matches!(k, Kind::Owner | Kind::Repairman | Kind::Other);
    if out.iter().any(exact) {
        out.retain(exact);
    }
    out
}

pub(super) fn finding(
    turn: Turn,
    departure: Departure,
    detail: ClaimDetail,
    span: Option<Span>,
) -> ClaimFinding {
    let kind = match turn {
        Turn::OnlyAdded | Turn::OnlyDropped => DifferenceKind::Limiter,
        Turn::Negation => DifferenceKind::Negation,
        _ => DifferenceKind::Term,
    };
    ClaimFinding {
        turn,
        departure,
        kind,
        detail,
        span,
    }
}

/// The words of a role that stand in a text.
pub(super) fn words_of(text: &str, role: ClaimRole, patterns: &Patterns) -> Vec<String> {
    let tokens = patterns.claim().tokens(text);
    (0..tokens.len())
        .filter_map(|at| {
            let (end, _) = role_at(&tokens, at, role, patterns)?;
            Some(text[tokens[at].span.start..tokens[end - 1].span.end].to_lowercase())
        })
        .collect()
}

/// It speaks of a check that the clause does not speak of.
pub(super) fn another_inspection(
    claim: &str,
    clause: &str,
    patterns: &Patterns,
) -> Option<ClaimFinding> {
    let others = words_of(claim, ClaimRole::OtherInspection, patterns);
    let other = others
        .into_iter()
        .find(|o| !clause.to_lowercase().contains(o.as_str()))?;
    Some(finding(
        Turn::AnotherInspection,
        Departure::Turns,
        ClaimDetail::AnotherCheck(other),
        None,
    ))
}

/// It does away with what the letter makes a condition.
pub(super) fn despite(claim: &str, conditional: bool, patterns: &Patterns) -> Option<ClaimFinding> {
    let words = words_of(claim, ClaimRole::Despite, patterns);
    let words = words.into_iter().next().filter(|_| conditional)?;
    Some(finding(
        Turn::Condition,
        Departure::Drops,
        ClaimDetail::DoesAway(words),
        None,
    ))
}

/// It has one of several words that shut each other out, the clause another one.
pub(super) fn rivals(claim: &str, clause: &str, patterns: &Patterns) -> Vec<ClaimFinding> {
    let mut out = Vec::new();
    for file in &patterns.claim().files {
        if file.file.claim.role != ClaimRole::Rival {
            continue;
        }
        let among = |text: &str| -> Vec<String> {
            let folded = format!(" {} ", super::claim_roles::one_line(text).to_lowercase());
            let words = file.file.claim.any.iter();
            words
                .filter(|w| {
                    folded.match_indices(w.as_str()).any(|(at, found)| {
                        let edge = |c: Option<char>| c.is_none_or(|c| !c.is_alphanumeric());
                        edge(folded[..at].chars().next_back())
                            && edge(folded[at + found.len()..].chars().next())
                    })
                })
                .cloned()
                .collect()
        };
        let (said, stands) = (among(claim), among(clause));
        let Some(a) = said
            .first()
            .filter(|_| !said.iter().any(|s| stands.contains(s)))
        else {
            continue;
        };
        let letter = stands.first().cloned();
        let departure = if letter.is_some() {
            Departure::Turns
        } else {
            Departure::Adds
        };
        let says = a.clone();
        let detail = ClaimDetail::Rival { says, letter };
        out.push(finding(Turn::Condition, departure, detail, None));
    }
    out
}

/// The kinds that a claim shuts out beside a list: "not the builder", "a mechanic is out".
pub(super) fn shut_out(claim: &str, patterns: &Patterns) -> Vec<Kind> {
    claim
        .split([',', ';'])
        .filter(|part| !words_of(part, ClaimRole::Out, patterns).is_empty())
        .filter(|part| words_of(part, ClaimRole::Closes, patterns).is_empty())
        .flat_map(|part| super::claim_facts::spoken(part, patterns))
        .collect()
}
