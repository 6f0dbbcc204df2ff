//! What a statement about who may inspect says otherwise than the letter.

use crate::model::{
    ClaimFinding, Departure, DifferenceKind, Form, Inspection, InspectorCondition,
    InspectorConditionKind, InspectorRule, Kind, Span, Text,
};

/// What both sides say about who may inspect.
pub(super) struct Facts<'f> {
    pub(super) claim: &'f [&'f InspectorRule],
    pub(super) letter: &'f [&'f InspectorRule],
    pub(super) text: &'f Text,
}

/// Whether two clauses may speak of the same inspection.
pub(super) fn same_inspection(a: Inspection, b: Inspection) -> bool {
    a == b || matches!((a, b), (Inspection::Any, _) | (_, Inspection::Any))
}

/// Whether one word covers the other: "repairman" the builder's certificate.
fn covers(a: Kind, b: Kind) -> bool {
    let light = |k| {
        matches!(
            k,
            Kind::LightSportRepairman
                | Kind::LightSportRepairmanInspection
                | Kind::LightSportRepairmanMaintenance
        )
    };
    let repairman = |k| light(k) || matches!(k, Kind::BuilderRepairman | Kind::GeneralRepairman);
    let one_way = |a, b| {
        (a == Kind::Repairman && repairman(b)) || (a == Kind::LightSportRepairman && light(b))
    };
    a == b || one_way(a, b) || one_way(b, a)
}

impl Facts<'_> {
    /// Every departure; none where either side says nothing about inspectors.
    pub(super) fn findings(&self) -> Vec<ClaimFinding> {
        let mut out = Vec::new();
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
            self.kinds(claim, &rules, &mut out);
            form(claim, &rules, &mut out);
            self.conditions(claim, &rules, &mut out);
        }
        out
    }

    fn kinds(&self, claim: &InspectorRule, rules: &[&InspectorRule], out: &mut Vec<ClaimFinding>) {
        let named: Vec<(Kind, Span)> = rules
            .iter()
            .flat_map(|r| &r.named)
            .map(|n| (n.kind, n.span))
            .collect();
        let excluded: Vec<(Kind, Span)> = rules
            .iter()
            .flat_map(|r| &r.excluded)
            .map(|n| (n.kind, n.span))
            .collect();
        let mut add = |departure, kind, message: String, span| {
            let finding = ClaimFinding {
                departure,
                kind,
                message,
                span,
            };
            if !out.contains(&finding) {
                out.push(finding);
            }
        };
        for said in &claim.named {
            let title = said.kind.title();
            if let Some((_, span)) = excluded.iter().find(|(k, _)| covers(*k, said.kind)) {
                add(
                    Departure::Turns,
                    DifferenceKind::InspectorAdded,
                    format!("it names somebody whom the letter shuts out: {title}"),
                    Some(*span),
                );
            } else if !named.iter().any(|(k, _)| covers(*k, said.kind)) {
                add(
                    Departure::Adds,
                    DifferenceKind::InspectorAdded,
                    format!("it names somebody whom the letter does not name: {title}"),
                    None,
                );
            }
        }
        for (kind, span) in &named {
            let title = kind.title();
            if claim.excluded.iter().any(|e| covers(e.kind, *kind)) {
                add(
                    Departure::Turns,
                    DifferenceKind::InspectorRemoved,
                    format!("it shuts out somebody whom the letter names: {title}"),
                    Some(*span),
                );
            } else if !claim.named.is_empty() && !claim.named.iter().any(|n| covers(n.kind, *kind))
            {
                add(
                    Departure::Drops,
                    DifferenceKind::InspectorRemoved,
                    format!("it leaves out somebody whom the letter names: {title}"),
                    Some(*span),
                );
            }
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
                    departure: Departure::Adds,
                    kind: DifferenceKind::Term,
                    message,
                    span: None,
                });
            }
        }
    }
}

/// An "only" that is on one side alone.
fn form(claim: &InspectorRule, rules: &[&InspectorRule], out: &mut Vec<ClaimFinding>) {
    let closed = rules.iter().any(|r| r.form == Form::Closed);
    let open = rules.iter().any(|r| r.form == Form::Open);
    let span = rules
        .first()
        .and_then(|r| r.evidence.first().copied().or(Some(r.span)));
    match claim.form {
        Form::Closed if open && !closed => out.push(ClaimFinding {
            departure: Departure::Adds,
            kind: DifferenceKind::Limiter,
            message: "it limits the list (only, must be done by), the letter permits without \
                      limiting"
                .to_owned(),
            span,
        }),
        Form::Open if closed => out.push(ClaimFinding {
            departure: Departure::Drops,
            kind: DifferenceKind::Limiter,
            message: "it permits without limiting, the letter limits the list".to_owned(),
            span,
        }),
        _ => {}
    }
}
