//! What a statement about who may inspect says otherwise than the letter.

use crate::model::{
    ClaimFinding, Departure, DifferenceKind, Form, Inspection, InspectorCondition,
    InspectorConditionKind, InspectorRule, Kind, Modality, NamedKind, Norm, Span, Text, Turn,
};
use crate::patterns::{Cause, Patterns};

/// What both sides say about who may inspect.
pub(super) struct Facts<'f> {
    pub(super) claim: &'f [&'f InspectorRule],
    pub(super) letter: &'f [&'f InspectorRule],
    pub(super) text: &'f Text,
    /// The claim lays a duty: its list is closed by "must", not by "only".
    pub(super) duty: bool,
    /// Norms of the letter, for the words that give leave or lay a duty.
    pub(super) norms: &'f [Norm],
}

/// What a claim on who inspects comes to.
#[derive(Default)]
pub(super) struct Who {
    /// What it adds, drops or turns.
    pub(super) findings: Vec<ClaimFinding>,
    /// Kinds of which an open list says nothing.
    pub(super) beyond: Vec<Kind>,
    /// It only says who may not.
    pub(super) denial: bool,
    /// Words that decide were not understood, on either side.
    pub(super) unclear: bool,
}

/// The readings of the dispute over kinds that an open list does not name, all sides.
pub(super) fn readings(kinds: &[Kind], patterns: &Patterns) -> Vec<String> {
    let mut files: Vec<_> = patterns
        .reading
        .iter()
        .filter(|r| r.file.causes.contains(&Cause::Unlisted))
        .filter(|r| {
            let held = &r.file.kinds;
            held.iter().any(|h| kinds.iter().any(|k| covers(*k, *h)))
        })
        .collect();
    files.sort_by(|a, b| (a.file.place, &a.id).cmp(&(b.file.place, &b.id)));
    files.into_iter().map(|r| r.id.clone()).collect()
}

/// Whether two clauses may speak of the same inspection.
pub(super) fn same_inspection(a: Inspection, b: Inspection) -> bool {
    a == b || matches!((a, b), (Inspection::Any, _) | (_, Inspection::Any))
}

/// Whether a clause that speaks of `letter` speaks of `claimed`, too. "Repairman" alone is the
/// builder's certificate; that it is a light-sport repairman's is the dispute, not the words.
fn covers(letter: Kind, claimed: Kind) -> bool {
    use Kind::{
        BuilderRepairman, LightSportRepairman, LightSportRepairmanInspection,
        LightSportRepairmanMaintenance, Repairman,
    };
    letter == claimed
        || matches!(
            (letter, claimed),
            (Repairman, BuilderRepairman)
                | (BuilderRepairman, Repairman)
                | (
                    LightSportRepairman,
                    LightSportRepairmanInspection | LightSportRepairmanMaintenance
                )
                | (
                    LightSportRepairmanInspection | LightSportRepairmanMaintenance,
                    LightSportRepairman
                )
        )
}

/// The kinds of a list with their words, and its form.
struct Lists {
    named: Vec<(Kind, Span)>,
    excluded: Vec<(Kind, Span)>,
    closed: bool,
    /// Where the list is closed or leave is given.
    force: Option<Span>,
}

impl Lists {
    fn named(&self, kind: Kind) -> Option<Span> {
        let found = self.named.iter().find(|(k, _)| covers(*k, kind))?;
        Some(found.1)
    }

    fn excluded(&self, kind: Kind) -> Option<Span> {
        let found = self.excluded.iter().find(|(k, _)| covers(*k, kind))?;
        Some(found.1)
    }
}

impl Facts<'_> {
    /// Everything; nothing where either side says nothing about inspectors.
    pub(super) fn compare(&self) -> Who {
        let mut who = Who::default();
        for claim in self.claim {
            let rules: Vec<&InspectorRule> = self
                .letter
                .iter()
                .copied()
                .filter(|r| same_inspection(claim.inspection, r.inspection))
                .collect();
            if rules.is_empty() {
                continue;
            }
            let nobody = claim.named.is_empty() && claim.excluded.is_empty();
            who.unclear |= nobody || claim.doubt.is_some();
            who.unclear |= rules.iter().any(|r| r.doubt.is_some());
            let lists = self.lists(&rules);
            self.denied(claim, &lists, &mut who);
            if claim.named.is_empty() {
                who.denial = true;
                continue;
            }
            self.named(claim, &lists, &mut who);
            if who.beyond.is_empty() {
                self.conditions(claim, &rules, &mut who.findings);
            }
        }
        who
    }

    fn lists(&self, rules: &[&InspectorRule]) -> Lists {
        let of = |kinds: &[NamedKind]| -> Vec<(Kind, Span)> {
            kinds.iter().map(|n| (n.kind, n.span)).collect()
        };
        let trigger = rules.iter().find_map(|r| {
            let norm = self
                .norms
                .iter()
                .find(|n| n.span.overlaps(r.span) && n.modality != Modality::Statement)?;
            norm.trigger.as_ref()?.span
        });
        Lists {
            named: rules.iter().flat_map(|r| of(&r.named)).collect(),
            excluded: rules.iter().flat_map(|r| of(&r.excluded)).collect(),
            closed: rules.iter().any(|r| r.form == Form::Closed),
            force: trigger.or_else(|| {
                let rule = rules.first()?;
                rule.evidence.first().copied().or(Some(rule.span))
            }),
        }
    }

    /// Those whom the claim shuts out by name.
    fn denied(&self, claim: &InspectorRule, lists: &Lists, who: &mut Who) {
        for denied in &claim.excluded {
            let title = denied.kind.title();
            if let Some(span) = lists.named(denied.kind) {
                let said = format!("it shuts out somebody whom the letter names: {title}");
                who.add(Turn::Negation, said, Some(span));
            } else if lists.excluded(denied.kind).is_none() && !lists.closed {
                who.go_beyond(denied.kind);
            }
        }
    }

    /// Those whom the claim names, those whom it leaves out, and the limit of its list.
    fn named(&self, claim: &InspectorRule, lists: &Lists, who: &mut Who) {
        let closes = claim.form == Form::Closed;
        let shares = claim.named.iter().any(|n| lists.named(n.kind).is_some());
        let mut unlisted = Vec::new();
        for said in &claim.named {
            let title = said.kind.title();
            if let Some(span) = lists.excluded(said.kind) {
                let said = format!("it names somebody whom the letter shuts out: {title}");
                who.add(Turn::Negation, said, Some(span));
            } else if lists.named(said.kind).is_none() {
                unlisted.push(said.kind);
            }
        }
        if !(shares || closes || lists.closed) {
            // It does not tell the list otherwise: it speaks of somebody of whom an open list
            // says nothing.
            for kind in unlisted {
                who.go_beyond(kind);
            }
            return;
        }
        for kind in unlisted {
            let title = kind.title();
            let said = format!("it names somebody whom the letter does not name: {title}");
            who.add(Turn::KindAdded, said, None);
        }
        for (kind, span) in &lists.named {
            let there = claim.named.iter().chain(&claim.excluded);
            if (shares || closes) && !there.into_iter().any(|n| covers(n.kind, *kind)) {
                let title = kind.title();
                let said = format!("it leaves out somebody whom the letter names: {title}");
                who.add(Turn::KindDropped, said, Some(*span));
            }
        }
        if closes && !lists.closed {
            let (turn, said) = if self.duty {
                (
                    Turn::MustForMay,
                    "it says that they must, which limits the list; the letter permits without \
                     limiting",
                )
            } else {
                (
                    Turn::OnlyAdded,
                    "it limits the list (only), the letter permits without limiting",
                )
            };
            who.add(turn, said.to_owned(), lists.force);
        } else if !closes && lists.closed {
            let said = "it permits without limiting, the letter limits the list";
            who.add(Turn::OnlyDropped, said.to_owned(), lists.force);
        }
    }

    fn conditions(
        &self,
        claim: &InspectorRule,
        rules: &[&InspectorRule],
        out: &mut Vec<ClaimFinding>,
    ) {
        // Said of everybody who holds the certificate: nothing is lost without the words.
        let of_weight = |c: &&InspectorCondition| {
            !matches!(
                c.kind,
                InspectorConditionKind::AppropriatelyRated
                    | InspectorConditionKind::Certificated
                    | InspectorConditionKind::Other
            )
        };
        let said = |kind: InspectorConditionKind| claim.conditions.iter().any(|c| c.kind == kind);
        let named =
            |on: Option<Kind>| on.is_none_or(|k| claim.named.iter().any(|n| covers(n.kind, k)));
        for condition in rules.iter().flat_map(|r| &r.conditions).filter(of_weight) {
            if !said(condition.kind) && named(condition.on) {
                let words = condition.span.of(&self.text.content);
                let finding = ClaimFinding {
                    turn: Turn::Condition,
                    departure: Departure::Drops,
                    kind: DifferenceKind::Term,
                    message: format!(
                        "it leaves out the condition «{}»",
                        words.split_whitespace().collect::<Vec<_>>().join(" ")
                    ),
                    span: Some(condition.span),
                };
                if !out.contains(&finding) {
                    out.push(finding);
                }
            }
        }
        for condition in claim.conditions.iter().filter(of_weight) {
            let there = rules
                .iter()
                .flat_map(|r| &r.conditions)
                .any(|c| c.kind == condition.kind);
            if !there {
                let message = match condition.kind {
                    InspectorConditionKind::HoldsInspectionAuthorization => {
                        "it asks for an inspection authorization, the letter does not".to_owned()
                    }
                    kind => format!(
                        "it sets a condition that the letter does not: {}",
                        kind.name()
                    ),
                };
                out.push(ClaimFinding {
                    turn: Turn::Condition,
                    departure: Departure::Adds,
                    kind: DifferenceKind::Term,
                    message,
                    span: None,
                });
            }
        }
    }
}

impl Who {
    fn add(&mut self, turn: Turn, message: String, span: Option<Span>) {
        let (departure, kind) = match turn {
            Turn::OnlyAdded | Turn::MustForMay => (Departure::Adds, DifferenceKind::Limiter),
            Turn::OnlyDropped => (Departure::Drops, DifferenceKind::Limiter),
            Turn::KindAdded => (Departure::Adds, DifferenceKind::InspectorAdded),
            Turn::KindDropped => (Departure::Drops, DifferenceKind::InspectorRemoved),
            _ => (Departure::Turns, DifferenceKind::Negation),
        };
        let finding = ClaimFinding {
            turn,
            departure,
            kind,
            message,
            span,
        };
        if !self.findings.contains(&finding) {
            self.findings.push(finding);
        }
    }

    fn go_beyond(&mut self, kind: Kind) {
        if !self.beyond.contains(&kind) {
            self.beyond.push(kind);
        }
    }
}
