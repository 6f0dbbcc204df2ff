//! What was asked, and with what it was answered, in a line each.

use super::{days, words};
use crate::model::{CertificateFor, Question};
use crate::patterns::Patterns;

/// With which program and knowledge a report was made, so that it can be made again.
#[must_use]
pub fn made_with(patterns: &Patterns) -> String {
    format!(
        "whomay {}, patterns {}",
        env!("CARGO_PKG_VERSION"),
        patterns.digest()
    )
}

/// The question with the facts that were given.
#[must_use]
pub fn asked(question: &Question) -> String {
    let mut said = vec![format!(
        "the {} on {}",
        words::inspection(question.inspection),
        days::day(question.on)
    )];
    let mut add = |name: &str, value: Option<String>| {
        if let Some(value) = value {
            said.push(format!("{name} {value}"));
        }
    };
    add("who signs:", question.holder.map(|k| k.title().to_owned()));
    add("owner:", question.owner.map(|o| o.name().to_owned()));
    add(
        "trained for",
        question.trained.as_ref().map(ToString::to_string),
    );
    add(
        "aircraft:",
        question.aircraft.as_ref().map(ToString::to_string),
    );
    add(
        "purpose as you say:",
        question.basis.map(|b| format!("§ 21.191{b}")),
    );
    add("issued as you say:", question.issued.map(days::day));
    add(
        "ratings:",
        question.ratings.map(|r| {
            match (r.airframe, r.powerplant) {
                (true, true) => "airframe and powerplant",
                (true, false) => "airframe",
                (false, true) => "powerplant",
                (false, false) => "none",
            }
            .to_owned()
        }),
    );
    add(
        "certificate for:",
        question.certificate_for.map(|c| {
            match c {
                CertificateFor::This => "this aircraft",
                CertificateFor::Other => "another aircraft",
                CertificateFor::Unlisted => "no aircraft listed",
            }
            .to_owned()
        }),
    );
    let yes_no = |yes: bool| if yes { "yes" } else { "no" }.to_owned();
    add(
        "earlier certificate of another kind:",
        question.earlier_certificate.map(yes_no),
    );
    add(
        "inspection authorization:",
        question.inspection_authorization.map(yes_no),
    );
    let end = if said.len() == 1 {
        "; no other fact was given."
    } else {
        "."
    };
    format!("{}{end}", said.join("; "))
}
