//! Conditions on the persons that a claim and a letter name.

use super::claim_facts::{Facts, covers};
use super::claim_norms::THERE;
use super::claim_roles::one_line;
use crate::model::{
    ClaimDetail, ClaimFinding, Departure, DifferenceKind, InspectorCondition,
    InspectorConditionKind, InspectorRule, Kind, Turn,
};

impl Facts<'_> {
    /// What one side makes a condition and the other does not.
    pub(super) fn conditions(
        &self,
        claim: &InspectorRule,
        rules: &[&InspectorRule],
        in_doubt: bool,
        out: &mut Vec<ClaimFinding>,
    ) {
        // Where words were not understood, a condition may stand there in them.
        let elsewhere =
            |words: &str, other: &str| in_doubt && self.index.share(words, other) >= THERE;
        let named =
            |on: Option<Kind>| on.is_none_or(|k| claim.named.iter().any(|n| covers(n.kind, k)));
        for condition in rules.iter().flat_map(|r| &r.conditions) {
            let words = one_line(condition.span.of(&self.text.content));
            let there = there(condition, &claim.conditions, || {
                self.index.share(&words, self.plain)
            });
            if there || !named(condition.on) || elsewhere(&words, self.plain) {
                continue;
            }
            let finding = ClaimFinding {
                turn: Turn::Condition,
                departure: Departure::Drops,
                kind: DifferenceKind::Term,
                detail: ClaimDetail::LeavesOutCondition(words),
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
            if there(condition, theirs, || self.index.share(&words, self.clause))
                || elsewhere(&words, self.clause)
            {
                continue;
            }
            let detail = match condition.kind {
                InspectorConditionKind::HoldsInspectionAuthorization => {
                    ClaimDetail::AsksAuthorization
                }
                _ => ClaimDetail::AddsCondition(words),
            };
            out.push(ClaimFinding {
                turn: Turn::Condition,
                departure: Departure::Adds,
                kind: DifferenceKind::Term,
                detail,
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
        InspectorConditionKind::Case | InspectorConditionKind::Other => share() >= THERE,
        kind => others.into_iter().any(|c| c.kind == kind),
    }
}
