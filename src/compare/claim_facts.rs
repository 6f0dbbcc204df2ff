//! What a statement about who may inspect says otherwise than the letter.

use super::claim::one_line;
use super::claim_norms::THERE;
use super::pool::Pool;
use crate::model::{
    ClaimFinding, Departure, DifferenceKind, Form, Inspection, InspectorCondition,
    InspectorConditionKind, InspectorRule, Kind, Modality, NamedKind, Norm, Span, Text, Turn,
};
use crate::patterns::inspector::{Meaning, kinds_of};
use crate::patterns::{Cause, Patterns};

/// What both sides say about who may inspect.
pub(super) struct Facts<'f> {
    pub(super) claim: &'f [&'f InspectorRule],
    pub(super) letter: &'f [&'f InspectorRule],
    pub(super) text: &'f Text,
    /// The claim, as a clause would say it, and the clause.
    pub(super) plain: &'f str,
    pub(super) clause: &'f str,
    pub(super) pool: &'f Pool,
    /// The kinds that words of the claim name, understood or not.
    pub(super) spoken: &'f [Kind],
    /// The claim lays a duty: its list is closed by "must", not by "only".
    pub(super) duty: bool,
    /// It takes a duty away.
    pub(super) no_need: bool,
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
    let tokens = patterns.lexicon.tokens(claim);
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
                self.another_inspection(claim, &mut who);
                continue;
            }
            let nobody = claim.named.is_empty() && claim.excluded.is_empty();
            let in_doubt = claim.doubt.is_some() || rules.iter().any(|r| r.doubt.is_some());
            who.unclear |= nobody || in_doubt;
            let lists = self.lists(&rules);
            self.denied(claim, &lists, &mut who);
            if claim.form == Form::None && !claim.named.is_empty() {
                self.partly(claim, &lists, &mut who);
                continue;
            }
            if claim.named.is_empty() {
                continue;
            }
            self.named(claim, &lists, &mut who);
            if who.beyond.is_empty() || in_doubt {
                self.conditions(claim, &rules, in_doubt, &mut who.findings);
            }
        }
        who
    }

    /// The clause is on another inspection than the claim, by the same people.
    fn another_inspection(&self, claim: &InspectorRule, who: &mut Who) {
        let lists = self.lists(self.letter);
        if claim.named.iter().any(|n| lists.named(n.kind).is_some()) {
            who.elsewhere = true;
            who.add(
                Turn::AnotherInspection,
                format!(
                    "it speaks of another inspection ({}) than the clause",
                    claim.inspection.name()
                ),
                None,
            );
        }
    }

    /// It neither gives leave nor bars: "need not", or some of a kind are barred.
    fn partly(&self, claim: &InspectorRule, lists: &Lists, who: &mut Who) {
        if self.no_need {
            let demanded = |n: &&NamedKind| lists.named(n.kind).is_some();
            if lists.closed && claim.named.iter().any(|n| demanded(&n)) {
                let said = "it says that they need not, the letter demands it";
                who.add(Turn::Negation, said.to_owned(), lists.force);
            }
        } else if !claim.named.iter().all(|n| lists.excluded(n.kind).is_some()) {
            who.unclear = true;
        }
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
            let there = there.into_iter().any(|n| covers(n.kind, *kind));
            // In words that were not understood the kind may still be spoken of.
            let there =
                there || (claim.doubt.is_some() && self.spoken.iter().any(|s| covers(*s, *kind)));
            if (shares || closes) && !there {
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
        in_doubt: bool,
        out: &mut Vec<ClaimFinding>,
    ) {
        // Where words were not understood, a condition may stand there in them.
        let elsewhere =
            |words: &str, other: &str| in_doubt && self.pool.share(words, other) >= THERE;
        let named =
            |on: Option<Kind>| on.is_none_or(|k| claim.named.iter().any(|n| covers(n.kind, k)));
        for condition in rules.iter().flat_map(|r| &r.conditions) {
            let words = one_line(condition.span.of(&self.text.content));
            let there = there(condition, &claim.conditions, || {
                self.pool.share(&words, self.plain)
            });
            if there || !named(condition.on) || elsewhere(&words, self.plain) {
                continue;
            }
            let finding = ClaimFinding {
                turn: Turn::Condition,
                departure: Departure::Drops,
                kind: DifferenceKind::Term,
                message: format!("it leaves out the condition «{words}»"),
                span: Some(condition.span),
            };
            if !out.contains(&finding) {
                out.push(finding);
            }
        }
        let certain = |c: &&InspectorCondition| {
            use InspectorConditionKind::{HoldsInspectionAuthorization, OwnedByHolder};
            !in_doubt || matches!(c.kind, HoldsInspectionAuthorization | OwnedByHolder)
        };
        for condition in claim.conditions.iter().filter(certain) {
            let words = one_line(condition.span.of(self.plain));
            let theirs = rules.iter().flat_map(|r| &r.conditions);
            if there(condition, theirs, || self.pool.share(&words, self.clause))
                || elsewhere(&words, self.clause)
            {
                continue;
            }
            let message = match condition.kind {
                InspectorConditionKind::HoldsInspectionAuthorization => {
                    "it asks for an inspection authorization, the letter does not".to_owned()
                }
                _ => format!("it sets a condition that the letter does not: «{words}»"),
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

/// Whether a condition is no loss where the other side does not say it, or is there, too.
fn there<'c>(
    condition: &InspectorCondition,
    others: impl IntoIterator<Item = &'c InspectorCondition>,
    share: impl FnOnce() -> f64,
) -> bool {
    match condition.kind {
        // Said of everybody who holds the certificate; a floor that an A&P reaches.
        InspectorConditionKind::AppropriatelyRated
        | InspectorConditionKind::Certificated
        | InspectorConditionKind::AtLeast => true,
        InspectorConditionKind::Other => share() >= THERE,
        kind => others.into_iter().any(|c| c.kind == kind),
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
        message: "it says that no inspection authorization is needed, the letter asks for one"
            .to_owned(),
        span: Some(asked.span),
    })
}

impl Who {
    fn add(&mut self, turn: Turn, message: String, span: Option<Span>) {
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
