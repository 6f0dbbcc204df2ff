//! Aircraft for which the owner has to select an inspection program (§ 91.409(e), (f)).

use super::facts::Facts;
use crate::model::{CategoryClass, Letter};
use crate::patterns::{EntryRole, Patterns};

/// Where the paper shows an aircraft that needs an inspection program, or does not tell whether it
/// is one.
pub(super) fn needed(
    letter: &Letter,
    text: &str,
    facts: &Facts,
    patterns: &Patterns,
) -> Option<String> {
    let shown = patterns.entry.shown(text, EntryRole::Program);
    let unpowered = facts.aircraft.as_ref().is_some_and(|a| {
        matches!(
            a.category.as_str(),
            CategoryClass::GLIDER
                | "lighter-than-air"
                | "powered-parachute"
                | "weight-shift-control"
        )
    });
    let small = facts
        .basis
        .is_some_and(|b| matches!(b.letter, 'i' | 'k' | 'l'))
        || letter.paper != crate::model::Paper::OperatingLimitations;
    match shown {
        Some(words) => Some(patterns.statement.say(
            "hazard-program",
            &[(
                "tells",
                &format!(" This paper speaks of such an aircraft («{words}»)."),
            )],
        )),
        // An amateur-built or light-sport aircraft is hardly one; elsewhere the paper has to tell.
        None if unpowered || small || facts.basis.is_some_and(|b| b.letter == 'g') => None,
        None if patterns.entry.shown(text, EntryRole::NoProgram).is_some() => None,
        None => Some(patterns.statement.say(
            "hazard-program",
            &[(
                "tells",
                " This paper does not tell whether the aircraft is one.",
            )],
        )),
    }
}
