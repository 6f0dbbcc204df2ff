//! Which kinds of inspector a wording names, and where.
//!
//! The phrases here are the few that every known wording uses; `patterns/inspector/` knows more,
//! and [`named`] is the only place that has to ask it.

use super::atoms::Atom;
use crate::model::{Kind, Span};
use crate::patterns::Patterns;

/// Phrases as rows of folded words; a longer row goes before a shorter one.
const PHRASES: [(&[&str], Kind); 20] = [
    (
        &["experimental", "aircraft", "builder"],
        Kind::BuilderRepairman,
    ),
    (&["amateur", "builder"], Kind::BuilderRepairman),
    (&["amateur", "-", "builder"], Kind::BuilderRepairman),
    (&["builder"], Kind::BuilderRepairman),
    (&["mechanic"], Kind::Mechanic),
    (&["mechanics"], Kind::Mechanic),
    (&["a", "&", "p"], Kind::Mechanic),
    (&["a", "and", "p"], Kind::Mechanic),
    (&["a", "/", "p"], Kind::Mechanic),
    (&["repair", "station"], Kind::RepairStation),
    (&["repair", "stations"], Kind::RepairStation),
    (
        &["light", "-", "sport", "repairman"],
        Kind::LightSportRepairman,
    ),
    (&["light", "sport", "repairman"], Kind::LightSportRepairman),
    (
        &["repairman", "(", "light", "-", "sport"],
        Kind::LightSportRepairman,
    ),
    (
        &["repairman", "certificate", "(", "light", "-", "sport"],
        Kind::LightSportRepairman,
    ),
    (&["65.107"], Kind::LightSportRepairman),
    (&["65.109"], Kind::LightSportRepairman),
    (&["65.104"], Kind::BuilderRepairman),
    (&["lsri"], Kind::LightSportRepairmanInspection),
    (&["lsrm"], Kind::LightSportRepairmanMaintenance),
];

/// The kinds that a wording about an inspection names, in order; empty where the wording does
/// not speak of an inspection.
pub(super) fn named(atoms: &[Atom], _patterns: &Patterns) -> Vec<(Kind, Span)> {
    let words: Vec<&str> = atoms.iter().map(|a| &*a.word).collect();
    if !words.iter().any(|w| w.starts_with("inspect")) {
        return Vec::new();
    }
    let mut out = Vec::new();
    let mut at = 0;
    while at < words.len() {
        let found = PHRASES
            .iter()
            .filter(|(phrase, _)| {
                words
                    .get(at..at + phrase.len())
                    .is_some_and(|w| w.iter().zip(*phrase).all(|(a, b)| a == b))
            })
            .max_by_key(|(phrase, _)| phrase.len());
        let Some((phrase, kind)) = found else {
            at += 1;
            continue;
        };
        if let (Some(first), Some(last)) = (atoms.get(at), atoms.get(at + phrase.len() - 1)) {
            out.push((*kind, Span::new(first.span.start, last.span.end)));
        }
        at += phrase.len();
    }
    out
}
