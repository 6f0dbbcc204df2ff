//! The answer in a sentence or two.

use super::because::because;
use crate::model::{Answer, Kind, Note, OpenBecause, Verdict};
use crate::report::{Report, days, findings, words};

/// The answer for everybody, or for the kind that was asked about.
pub(super) fn lead(report: &Report<'_>) -> String {
    let on = days::day(report.question.on);
    let inspection = words::inspection(report.question.inspection);
    let too_much = |note: &Note| match note {
        Note::TooMuch(what) => Some(findings::too_much(*what)),
        _ => None,
    };
    if let Some(said) = report.letter.notes.iter().find_map(too_much) {
        return said;
    }
    if !report.letter.paper.is_limitations() {
        return format!("This paper does not say who can sign the {inspection} of an aircraft.");
    }
    match (report.question.holder, report.answers) {
        (Some(_), [answer]) => one(report, answer),
        _ => format!("On {on} {}", all(report)),
    }
}

/// One kind.
fn one(report: &Report<'_>, answer: &Answer) -> String {
    let on = days::day(report.question.on);
    let inspection = words::inspection(report.question.inspection);
    let name = words::holder_brief(answer);
    let because = because(report, answer);
    let behind = if because.is_empty() {
        String::new()
    } else {
        format!(": {because}")
    };
    match answer.answer {
        Verdict::Yes => format!("On {on} {name} can sign the {inspection}."),
        Verdict::No => format!("On {on} {name} cannot sign the {inspection}{behind}."),
        verdict => {
            let mut said = format!(
                "Whether {name} can sign the {inspection} on {on} is {}{behind}",
                words::verdict(verdict)
            );
            said.push_str(&reported(&[answer]));
            said.push('.');
            said
        }
    }
}

/// Who can, then who is in dispute, then who is open.
fn all(report: &Report<'_>) -> String {
    let inspection = words::inspection(report.question.inspection);
    let of = |wanted: &dyn Fn(&Answer) -> bool| -> Vec<&Answer> {
        report.answers.iter().filter(|a| wanted(a)).collect()
    };
    let sure = of(&|a| a.answer == Verdict::Yes);
    let mut said = if sure.is_empty() {
        format!(
            "nobody can sign the {inspection} without doubt, as far as this letter and these \
             facts go."
        )
    } else {
        format!("{} can sign the {inspection}.", names(&sure, "or"))
    };
    let open = |a: &Answer| a.answer == Verdict::Undetermined;
    let disputed = of(&|a| a.answer == Verdict::Disputed);
    push(&mut said, &disputed, "in dispute");
    let even_so = of(&|a| open(a) && a.if_met == Verdict::Disputed);
    push(&mut said, &even_so, "in dispute, even if the facts fit");
    let text = of(&|a| open(a) && a.open_because == Some(OpenBecause::Text));
    push(&mut said, &text, "open, the letter is not clear here");
    let fact = of(&|a| open(a) && a.if_met == Verdict::Yes && !text.contains(&a));
    push(&mut said, &fact, "open; yes, if the facts fit");
    said
}

/// "A repair station: in dispute." and what the regulator is reported to say.
fn push(said: &mut String, answers: &[&Answer], what: &str) {
    if answers.is_empty() {
        return;
    }
    let names = words::capital(&names(answers, "and"));
    said.push_str(&format!(" {names}: {what}{}.", reported(answers)));
}

/// What the regulator is reported to say, where it says it of every one of them and in any case.
fn reported(answers: &[&Answer]) -> String {
    let no = |id: &str| {
        answers.iter().all(|answer| {
            answer.readings.iter().any(|r| {
                r.id == id && !r.later_than_day && r.applies_if.is_none() && r.answer == Verdict::No
            })
        })
    };
    if no("reading/regulator-note") {
        "; the regulator is reported to say no until the letter is amended".to_owned()
    } else if no("reading/regulator-wider") {
        "; the regulator is reported to say no unless the letter names the person".to_owned()
    } else {
        String::new()
    }
}

/// The kinds in a sentence; the two ratings of a light-sport repairman as one.
fn names(answers: &[&Answer], and: &str) -> String {
    let light_sport = |a: &Answer| {
        matches!(
            a.holder,
            Kind::LightSportRepairmanInspection | Kind::LightSportRepairmanMaintenance
        )
    };
    let both_ratings = answers.iter().filter(|a| light_sport(a)).count() > 1;
    let mut names: Vec<&str> = Vec::new();
    for answer in answers {
        let name = if both_ratings && light_sport(answer) {
            "a light-sport repairman"
        } else {
            words::holder_brief(answer)
        };
        if !names.contains(&name) {
            names.push(name);
        }
    }
    words::list(&names, and)
}
