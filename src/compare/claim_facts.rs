//! What a statement about who may inspect says otherwise than the letter.

use super::index::Index;
use crate::model::{
    ClaimDetail, ClaimFinding, Departure, DifferenceKind, Form, Inspection, InspectorConditionKind,
    InspectorRule, Kind, Modality, NamedKind, Norm, Span, Text, Turn,
};
use crate::patterns::inspector::{Meaning, kinds_of};
use crate::patterns::{Cause, Patterns};

/// How the words of a claim say that its list stands to others.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Listed {
    /// Others are shut out.
    pub(super) closes: bool,
    /// Others are let in.
    pub(super) opens: bool,
}

/// What both sides say about who may inspect.
pub(super) struct Facts<'f> {
    pub(super) claim: &'f [&'f InspectorRule],
    pub(super) letter: &'f [&'f InspectorRule],
    pub(super) text: &'f Text,
    /// The claim, as a clause would say it, and the clause.
    pub(super) plain: &'f str,
    pub(super) clause: &'f str,
    pub(super) index: &'f Index,
    /// The kinds that words of the claim name, understood or not.
    pub(super) spoken: &'f [Kind],
    /// The same of all its sentences.
    pub(super) of_claim: &'f [Kind],
    /// The claim lays a duty: its list is closed by "must", not by "only".
    pub(super) duty: bool,
    /// It takes a duty away.
    pub(super) no_need: bool,
    /// The kinds that it shuts out beside a list.
    pub(super) out: &'f [Kind],
    /// What its words say of others.
    pub(super) listed: Listed,
    /// It asks, or says of one person, whether he may: it is no list.
    pub(super) of_one: bool,
    /// It names persons, and says of them what the grammar did not read.
    pub(super) unread: bool,
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
    /// It speaks of another inspection.
    pub(super) elsewhere: bool,
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

/// The kinds that words of a claim name, whatever it says of them.
pub(super) fn spoken(claim: &str, patterns: &Patterns) -> Vec<Kind> {
    let tokens = patterns.claim().tokens(claim);
    patterns
        .inspector
        .phrases
        .find(&tokens)
        .flat_map(|(_, (_, meaning))| match meaning {
            Meaning::Head(head) => kinds_of(Some(*head), &[]),
            Meaning::Qualifier(said) => kinds_of(None, &[*said]),
            _ => Vec::new(),
        })
        .collect()
}

/// Whether two clauses may speak of the same inspection.
pub(super) fn same_inspection(a: Inspection, b: Inspection) -> bool {
    a == b || matches!((a, b), (Inspection::Any, _) | (_, Inspection::Any))
}

/// Whether a clause that speaks of `letter` speaks of `claimed`, too. "Repairman" alone is the
/// builder's certificate; that it is a light-sport repairman's is the dispute, not the words.
pub(super) fn covers(letter: Kind, claimed: Kind) -> bool {
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
pub(super) struct Lists {
    pub(super) named: Vec<(Kind, Span)>,
    pub(super) excluded: Vec<(Kind, Span)>,
    pub(super) closed: bool,
    /// Where the list is closed or leave is given.
    pub(super) force: Option<Span>,
}

impl Lists {
    pub(super) fn named(&self, kind: Kind) -> Option<Span> {
        let found = self.named.iter().find(|(k, _)| covers(*k, kind))?;
        Some(found.1)
    }

    pub(super) fn excluded(&self, kind: Kind) -> Option<Span> {
        let found = self.excluded.iter().find(|(k, _)| covers(*k, kind))?;
        Some(found.1)
    }
}

impl Facts<'_> {
    /// Everything; nothing where either side says nothing about inspectors.
    pub(super) fn compare(&self) -> Who {
        let mut who = Who {
            unclear: self.unread,
            ..Who::default()
        };
        for claim in self.claim {
            let rules = self.rules_on(claim.inspection);
            if rules.is_empty() {
                self.another_inspection(claim, &mut who);
                continue;
            }
            let nobody = claim.named.is_empty() && claim.excluded.is_empty();
            let in_doubt = claim.doubt.is_some() || rules.iter().any(|r| r.doubt.is_some());
            who.unclear |= nobody || in_doubt;
            let lists = self.lists(&rules);
            if claim.doubt.is_some() && (self.listed.closes && !lists.closed || self.listed.opens) {
                // How it stands to others is told by its words; the rest was not read.
                continue;
            }
            self.denied(claim, &lists, &mut who);
            if claim.form == Form::None && !claim.named.is_empty() {
                self.partly(claim, &lists, &mut who);
                continue;
            }
            if claim.named.is_empty() {
                continue;
            }
            self.named(claim, &lists, &mut who);
            let letter_in_doubt = rules.iter().any(|r| r.doubt.is_some());
            if who.beyond.is_empty() || letter_in_doubt {
                self.conditions(claim, &rules, in_doubt, &mut who.findings);
            }
        }
        if who.unclear && who.findings.is_empty() {
            let about = self.claim.first().map(|c| c.inspection);
            let rules = self.rules_on(about.unwrap_or(Inspection::Any));
            self.by_words(&rules, &mut who);
        }
        who
    }

    /// The rules of the letter on an inspection.
    fn rules_on(&self, inspection: Inspection) -> Vec<&InspectorRule> {
        let rules = self.letter.iter().copied();
        rules
            .filter(|r| same_inspection(inspection, r.inspection))
            .collect()
    }

    /// The clause is on another inspection than the claim, by the same people.
    fn another_inspection(&self, claim: &InspectorRule, who: &mut Who) {
        let lists = self.lists(self.letter);
        if claim.named.iter().any(|n| lists.named(n.kind).is_some()) {
            who.elsewhere = true;
            who.add(
                Turn::AnotherInspection,
                ClaimDetail::AnotherInspection(claim.inspection),
                None,
            );
        }
    }

    /// It neither gives leave nor bars: "need not", or some of a kind are barred.
    fn partly(&self, claim: &InspectorRule, lists: &Lists, who: &mut Who) {
        if self.no_need {
            let demanded = |n: &&NamedKind| lists.named(n.kind).is_some();
            if lists.closed && claim.named.iter().any(|n| demanded(&n)) {
                who.add(Turn::Negation, ClaimDetail::NeedNot, lists.force);
            }
        } else if !claim.named.iter().all(|n| lists.excluded(n.kind).is_some()) {
            who.unclear = true;
        }
    }

    pub(super) fn lists(&self, rules: &[&InspectorRule]) -> Lists {
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
            named: rules
                .iter()
                .filter(|r| r.form != Form::None)
                .flat_map(|r| of(&r.named))
                .collect(),
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
            if let Some(span) = lists.named(denied.kind) {
                let said = ClaimDetail::ShutsOutNamed(denied.kind);
                // Beside a list that is closed he is one of those whom it leaves out.
                let closes = claim.form == Form::Closed && !claim.named.is_empty();
                let turn = if closes {
                    Turn::KindDropped
                } else {
                    Turn::Negation
                };
                who.add(turn, said, Some(span));
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
            if let Some(span) = lists.excluded(said.kind) {
                let said = ClaimDetail::NamesShutOut(said.kind);
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
            who.add(Turn::KindAdded, ClaimDetail::NamesUnnamed(kind), None);
        }
        for (kind, span) in &lists.named {
            let there = claim.named.iter().chain(&claim.excluded);
            let there = there.into_iter().any(|n| covers(n.kind, *kind));
            // In words that were not understood, and in another sentence, he may still be named.
            let elsewhere = if claim.doubt.is_some() || closes {
                self.spoken
            } else {
                self.of_claim
            };
            let may_be = claim.doubt.is_some() || self.of_claim.len() > self.spoken.len();
            let there = there || may_be && elsewhere.iter().any(|s| covers(*s, *kind));
            if (shares && !self.of_one || closes) && !there {
                who.add(
                    Turn::KindDropped,
                    ClaimDetail::LeavesOut(*kind),
                    Some(*span),
                );
            }
        }
        if closes && !lists.closed {
            let (turn, said) = if self.duty && !self.listed.closes {
                (Turn::MustForMay, ClaimDetail::MustLimitsList)
            } else {
                (Turn::OnlyAdded, ClaimDetail::LimitsList)
            };
            who.add(turn, said, lists.force);
        } else if !closes && lists.closed && !self.of_one {
            who.add(Turn::OnlyDropped, ClaimDetail::OpensList, lists.force);
        }
    }
}

/// A claim that nobody needs an inspection authorization, against a clause that asks for one.
pub(super) fn waived(rules: &[&InspectorRule]) -> Option<ClaimFinding> {
    let asked = rules
        .iter()
        .flat_map(|r| &r.conditions)
        .find(|c| c.kind == InspectorConditionKind::HoldsInspectionAuthorization)?;
    Some(ClaimFinding {
        turn: Turn::Negation,
        departure: Departure::Turns,
        kind: DifferenceKind::Negation,
        detail: ClaimDetail::NoAuthorization,
        span: Some(asked.span),
    })
}

impl Who {
    pub(super) fn add(&mut self, turn: Turn, detail: ClaimDetail, span: Option<Span>) {
        let (departure, kind) = match turn {
            Turn::OnlyAdded | Turn::MustForMay => (Departure::Adds, DifferenceKind::Limiter),
            Turn::OnlyDropped => (Departure::Drops, DifferenceKind::Limiter),
            Turn::KindAdded => (Departure::Adds, DifferenceKind::InspectorAdded),
            Turn::KindDropped => (Departure::Drops, DifferenceKind::InspectorRemoved),
            Turn::AnotherInspection => (Departure::Turns, DifferenceKind::Term),
            _ => (Departure::Turns, DifferenceKind::Negation),
        };
        let finding = ClaimFinding {
            turn,
            departure,
            kind,
            detail,
            span,
        };
        if !self.findings.contains(&finding) {
            self.findings.push(finding);
        }
    }

    pub(super) fn go_beyond(&mut self, kind: Kind) {
        if !self.beyond.contains(&kind) {
            self.beyond.push(kind);
        }
    }
}
