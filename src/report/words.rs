//! Plain English for the values of the model.

mod holder;

pub use holder::{holder_brief, holder_in_sentence, holder_short, holder_title};

use super::clean;
use crate::model::{
    Basis, CategoryClass, DifferenceKind, Form, Inspection, KeyTwo, Kind, Modality, RuleAnswer,
    Verdict,
};

use crate::patterns::Patterns;
pub(crate) use crate::read::capital;

/// The verdict as a word for people.
#[must_use]
pub const fn verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Yes => "yes",
        Verdict::No => "no",
        Verdict::Disputed => "in dispute",
        Verdict::Undetermined => "open",
    }
}

/// A short name of the kind for a table, at most 34 columns.
#[must_use]
pub const fn kind_short(kind: Kind) -> &'static str {
    match kind {
        Kind::BuilderRepairman => "Builder, repairman certificate",
        Kind::Mechanic => "Mechanic, airframe and powerplant",
        Kind::RepairStation => "Repair station",
        Kind::LightSportRepairmanInspection => "Light-sport repairman, inspection",
        Kind::LightSportRepairmanMaintenance => "Light-sport repairman, maintenance",
        Kind::GeneralRepairman => "Repairman of a shop",
        Kind::Manufacturer => "Manufacturer",
        Kind::Owner => "Owner without a certificate",
        Kind::Other => "Somebody else",
        Kind::Repairman => "Repairman (which is not said)",
        Kind::LightSportRepairman => "Light-sport repairman, any rating",
        Kind::FaaInspector => "FAA inspector",
    }
}

/// The kind inside a sentence.
#[must_use]
pub const fn kind_in_sentence(kind: Kind) -> &'static str {
    match kind {
        Kind::BuilderRepairman => {
            "the builder who holds the repairman certificate for this aircraft"
        }
        Kind::Mechanic => "a mechanic with airframe and powerplant ratings",
        Kind::RepairStation => "a repair station rated for the aircraft",
        Kind::LightSportRepairmanInspection => "a light-sport repairman with the inspection rating",
        Kind::LightSportRepairmanMaintenance => {
            "a light-sport repairman with the maintenance rating"
        }
        Kind::GeneralRepairman => "a repairman of a shop",
        Kind::Manufacturer => "the manufacturer",
        Kind::Owner => "an owner without a certificate",
        Kind::Other => "somebody else",
        Kind::Repairman => "a repairman (which is not said)",
        Kind::LightSportRepairman => "a light-sport repairman (rating not said)",
        Kind::FaaInspector => "an FAA inspector",
    }
}

/// The kind in the first sentence of a report, in the words of the trade.
#[must_use]
pub const fn kind_brief(kind: Kind) -> &'static str {
    match kind {
        Kind::BuilderRepairman => "the builder with the repairman certificate",
        Kind::Mechanic => "an A&P mechanic",
        Kind::RepairStation => "a repair station",
        Kind::LightSportRepairmanInspection => "a light-sport repairman (inspection rating)",
        Kind::LightSportRepairmanMaintenance => "a light-sport repairman (maintenance rating)",
        other => kind_in_sentence(other),
    }
}

/// The kind where it stands in a list of kinds.
#[must_use]
pub const fn kind_tag(kind: Kind) -> &'static str {
    match kind {
        Kind::BuilderRepairman => "builder",
        Kind::Mechanic => "mechanic",
        Kind::RepairStation => "repair station",
        Kind::LightSportRepairmanInspection => "light-sport inspection rating",
        Kind::LightSportRepairmanMaintenance => "light-sport maintenance rating",
        Kind::GeneralRepairman => "repairman of a shop",
        Kind::Manufacturer => "manufacturer",
        Kind::Owner => "owner",
        other => other.title(),
    }
}

/// Of words in doubt that may speak of either, or of both.
pub const ONE_OF_TWO: &str = "the yearly condition inspection or the 100-hour inspection";

/// The inspection inside a sentence.
#[must_use]
pub const fn inspection(inspection: Inspection) -> &'static str {
    match inspection {
        Inspection::Yearly => "yearly condition inspection",
        Inspection::HundredHour => "100-hour inspection",
        Inspection::Any => "inspections that the letter requires",
        Inspection::Other => "another inspection",
    }
}

/// What kind of certificate the paragraph of § 21.191 stands for.
#[must_use]
pub const fn basis(basis: Basis) -> &'static str {
    match basis.letter {
        'a' => "research and development",
        'b' => "showing compliance with regulations",
        'c' => "crew training",
        'd' => "exhibition",
        'e' => "air racing",
        'f' => "market survey",
        'g' => "amateur-built",
        'h' => "primary kit-built",
        'i' => "experimental light-sport",
        'j' => "former military",
        'k' => "light-sport category, kit-built",
        'l' => "former light-sport category",
        _ => "purpose unknown",
    }
}

/// What the letter says of a kind, as the end of "The letter …".
#[must_use]
pub const fn key_two(answer: KeyTwo) -> &'static str {
    match answer {
        KeyTwo::Named => "names this kind of person",
        KeyTwo::Excluded => "shuts this kind of person out by name",
        KeyTwo::ShutOut => {
            "has a list that is complete by its own words, and this kind is not in it"
        }
        KeyTwo::Unlisted => {
            "has a list without this kind, and its words do not say that nobody else may"
        }
        KeyTwo::Silent => "does not say who may do this inspection",
        KeyTwo::Generic => "uses a general term that may or may not cover this kind",
        KeyTwo::Unclear => "is not clear about this kind",
    }
}

/// What the rule says, as the end of "The rule …".
#[must_use]
pub const fn rule(answer: RuleAnswer) -> &'static str {
    match answer {
        RuleAnswer::Yes => "gives the right",
        RuleAnswer::No => "does not give the right",
        RuleAnswer::Open => "leaves it open",
    }
}

/// What a rule of the letter does; where its clause was not understood, that.
#[must_use]
pub fn stance(rule: &crate::model::InspectorRule) -> &'static str {
    if rule.doubt.is_some() {
        "is not clear"
    } else {
        form(rule.form)
    }
}

/// Whether the words of an inspector clause limit the set.
#[must_use]
pub const fn form(form: Form) -> &'static str {
    match form {
        Form::Closed => "limits who may do it",
        Form::Open => "permits, and does not say that nobody else may",
        Form::None => "gives no list",
    }
}

/// What a norm does.
#[must_use]
pub const fn modality(modality: Modality) -> &'static str {
    match modality {
        Modality::Permission => "permits",
        Modality::Obligation => "demands",
        Modality::Prohibition => "forbids",
        Modality::Restriction => "restricts",
        Modality::Statement => "states",
    }
}

/// What changed between two wordings.
#[must_use]
pub const fn difference(kind: DifferenceKind) -> &'static str {
    match kind {
        DifferenceKind::Modality => "may / must",
        DifferenceKind::InspectorAdded => "inspector added",
        DifferenceKind::InspectorRemoved => "inspector left out",
        DifferenceKind::Limiter => "limiting word",
        DifferenceKind::Negation => "negation",
        DifferenceKind::Number => "number",
        DifferenceKind::Citation => "rule cited",
        DifferenceKind::Term => "term",
        DifferenceKind::Editorial => "wording only",
    }
}

/// Citations with days, state read and grade, in one line.
#[must_use]
pub fn citations(all: &[crate::model::RuleCitation]) -> String {
    let all: Vec<String> = all.iter().map(ToString::to_string).collect();
    all.join("; ")
}

/// Citations with days, state read and grade, without the day of the check.
#[must_use]
pub fn short_citations(all: &[crate::model::RuleCitation]) -> String {
    let all: Vec<String> = all.iter().map(crate::model::RuleCitation::short).collect();
    all.join("; ")
}

/// What the grade of a source means.
#[must_use]
pub fn grade(grade: &str) -> &'static str {
    match grade {
        "A" => "official text, read word for word",
        "B" => "official statement, as quoted by a dated publication",
        "C" => "dated secondary source",
        "D" => "report of one person",
        "M" => "from memory, not verified",
        "I" => "our own inference from quoted text",
        "P" => "common practice, no source",
        _ => "grade unknown",
    }
}

/// What all grades mean, in a paragraph.
#[must_use]
pub fn grades() -> String {
    let all: Vec<String> = ["A", "B", "C", "D", "M", "I", "P"]
        .iter()
        .map(|g| format!("{g} {}", grade(g)))
        .collect();
    format!("Grades of sources: {}.", all.join("; "))
}

/// Whether a source of that grade was not verified.
#[must_use]
pub fn unverified(grade: &str) -> bool {
    matches!(grade, "D" | "M" | "I" | "P")
}

/// The plural of a category of aircraft.
fn plural(aircraft: &CategoryClass) -> &str {
    match aircraft.class.as_deref() {
        Some("gyroplane") => "gyroplanes",
        Some("helicopter") => "helicopters",
        _ => match aircraft.category.as_str() {
            "airplane" => "airplanes",
            "rotorcraft" => "rotorcraft",
            "glider" => "gliders",
            "lighter-than-air" => "lighter-than-air craft",
            "powered-lift" => "powered-lift aircraft",
            "powered-parachute" => "powered parachutes",
            "weight-shift-control" => "weight-shift-control",
            other => other,
        },
    }
}

/// The open facts as the end of "yes, if …": "you own it and are trained for airplanes".
#[must_use]
pub fn if_facts(settled_by: &[String], kind: Kind, aircraft: Option<&CategoryClass>) -> String {
    let has = |name: &str| settled_by.iter().any(|s| s == name);
    let mut you = Vec::new();
    let mut rest = Vec::new();
    for fact in settled_by {
        match fact.as_str() {
            "owner" => you.push("own it".to_owned()),
            "trained" => you.push(format!(
                "are trained for {}",
                aircraft.map_or("its category", plural)
            )),
            // The training speaks of the aircraft too.
            "aircraft" if has("trained") => {}
            "aircraft" if kind == Kind::Mechanic => {
                rest.push("the aircraft has no engine".to_owned());
            }
            "aircraft" => rest.push("the aircraft is of the kind you are trained for".to_owned()),
            "ratings" => you.push("hold both ratings".to_owned()),
            "certificate-for" => you.push("have it on your certificate".to_owned()),
            "holds-ia" => {
                you.push("hold an inspection authorization".to_owned());
            }
            "basis" if matches!(kind, Kind::BuilderRepairman) => {
                rest.push("the aircraft is amateur-built".to_owned());
            }
            "basis" => rest.push("the certificate's purpose allows it".to_owned()),
            "issued" => rest.push("the letter's date allows it".to_owned()),
            "earlier-certificate" => {
                rest.push(
                    "the FAA never issued another kind of airworthiness certificate for it"
                        .to_owned(),
                );
            }
            "holder" => rest.push("the certificate is the right one".to_owned()),
            "effective-day" => rest.push("the rule was in force on that day of 1979".to_owned()),
            "clause-condition" => rest.push("the clause's own condition is met".to_owned()),
            other => rest.push(format!("«{other}» turns out well")),
        }
    }
    if !you.is_empty() {
        rest.insert(0, format!("you {}", list(&you, "and")));
    }
    list(&rest, "and")
}

/// The question behind an open fact, for a person.
#[must_use]
pub fn fact_question(fact: &str) -> Option<&'static str> {
    Some(match fact {
        "owner" => "Do you own the aircraft?",
        "trained" => "For which category of aircraft did you complete the light-sport training?",
        "aircraft" => "Which category of aircraft is it?",
        "ratings" => "Which mechanic ratings do you hold?",
        "certificate-for" => "Does your repairman certificate name this aircraft?",
        "holds-ia" => "Do you hold an inspection authorization?",
        "basis" => "Under which paragraph of § 21.191 was the certificate issued?",
        "issued" => "On which day was the letter issued?",
        "earlier-certificate" => {
            "Did the FAA issue another kind of airworthiness certificate for the aircraft before?"
        }
        _ => return None,
    })
}

/// "a, b and c".
#[must_use]
pub fn list<S: AsRef<str>>(items: &[S], and: &str) -> String {
    match items {
        [] => String::new(),
        [one] => one.as_ref().to_owned(),
        [head @ .., last] => {
            let head: Vec<&str> = head.iter().map(AsRef::as_ref).collect();
            format!("{} {and} {}", head.join(", "), last.as_ref())
        }
    }
}

/// The first sentence of several; a quotation stays whole.
#[must_use]
pub fn first_sentence(sentences: &str) -> &str {
    for (at, mark) in sentences.match_indices(['.', '!', '?']) {
        let after = sentences.get(at + mark.len()..).unwrap_or_default();
        let closed = after.strip_prefix('»').unwrap_or(after);
        let inner = sentences.get(..at).unwrap_or_default();
        let quoted = inner.matches('«').count() > inner.matches('»').count();
        if quoted && closed.len() == after.len() {
            continue;
        }
        if closed.starts_with(' ') && closed.trim_start().starts_with(char::is_uppercase) {
            return sentences
                .get(..sentences.len() - closed.len())
                .unwrap_or(sentences);
        }
    }
    sentences
}

/// A message as a sentence: with a mark at its end.
#[must_use]
pub fn sentence(words: &str) -> String {
    let words = words.trim_end();
    if words.is_empty() || words.ends_with(['.', '!', '?', ':', ')']) {
        words.to_owned()
    } else {
        format!("{words}.")
    }
}

/// A wording as a person speaks of it: "FAA Order 8130.2G, clause 18". Its id, where it is not
/// held.
#[must_use]
pub fn wording(id: &str, patterns: &Patterns) -> String {
    let Some(held) = patterns.wording.iter().find(|w| w.id == id) else {
        return clean::line(id);
    };
    let file = &held.file;
    let order = order(&file.series);
    if file.item.is_empty() {
        format!("{order}, a clause without a number")
    } else {
        format!("{order}, clause {}", clean::line(&file.item))
    }
}

/// A series of wordings as a person speaks of it: "FAA Order 8130.2G".
#[must_use]
pub fn order(series: &str) -> String {
    let series = clean::line(series);
    match series.split(' ').next() {
        Some("AC") => format!("FAA {series}"),
        Some(number) if number.starts_with("8130") => format!("FAA Order {series}"),
        _ => series,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn open_facts_read_as_a_sentence() {
        let facts = |names: &[&str]| names.iter().map(|s| (*s).to_owned()).collect::<Vec<_>>();
        let kind = Kind::LightSportRepairmanInspection;
        assert_eq!(
            if_facts(&facts(&["owner", "trained", "aircraft"]), kind, None),
            "you own it and are trained for its category"
        );
        let airplane = CategoryClass::parse("airplane");
        assert_eq!(
            if_facts(
                &facts(&["owner", "trained", "certificate-for"]),
                kind,
                airplane.as_ref()
            ),
            "you own it, are trained for airplanes and have it on your certificate"
        );
    }

    #[test]
    fn the_first_sentence_keeps_a_quotation_whole() {
        for (all, first) in [
            ("It is so. It is not.", "It is so."),
            (
                "Its words: «One. Two, until Oct. 22.» Title: x",
                "Its words: «One. Two, until Oct. 22.»",
            ),
            ("See § 1. 3 of it", "See § 1. 3 of it"),
            ("alone", "alone"),
        ] {
            assert_eq!(first_sentence(all), first);
        }
    }

    #[test]
    fn short_names_fit_their_column() {
        for kind in Kind::ALL {
            assert!(kind_short(kind).len() <= 34, "{kind:?}");
        }
    }
}
