//! What stands behind the word of an answer.

use crate::model::{Answer, KeyTwo, OpenBecause, RuleAnswer, Verdict};
use crate::report::{Report, words};

/// What stands behind the word of the answer, short.
#[must_use]
pub fn because(report: &Report<'_>, answer: &Answer) -> String {
    let facts = || words::if_facts(&answer.settled_by, answer.holder, report.aircraft());
    match (answer.answer, answer.open_because) {
        (Verdict::Yes, _) => String::new(),
        (Verdict::No, _) => no_because(answer).to_owned(),
        (Verdict::Disputed, _) => disputed_because(answer).to_owned(),
        (Verdict::Undetermined, Some(OpenBecause::Fact)) => match answer.if_met {
            _ if answer.settled_by.is_empty() => "a fact is missing".to_owned(),
            Verdict::Undetermined => format!("not even clear if {}", facts()),
            met => format!("{}, if {}", words::verdict(met), facts()),
        },
        (Verdict::Undetermined, Some(OpenBecause::Law)) => "no rule found that decides".to_owned(),
        (Verdict::Undetermined, _) if !report.letter.paper.is_letter() => {
            "this paper cannot tell".to_owned()
        }
        (Verdict::Undetermined, _) => "the letter is not clear here".to_owned(),
    }
}

fn no_because(answer: &Answer) -> &'static str {
    match (answer.letter.answer, answer.rule.answer) {
        (KeyTwo::Excluded, _) => "the letter shuts it out",
        (_, RuleAnswer::No) => "no rule gives the right",
        (KeyTwo::ShutOut, _) => "the letter limits it to others",
        _ => "",
    }
}

fn disputed_because(answer: &Answer) -> &'static str {
    match (answer.letter.answer, answer.rule.answer) {
        (KeyTwo::Unlisted, RuleAnswer::Open) => "not listed, rule open",
        (KeyTwo::Unlisted, _) => "not in its list",
        (KeyTwo::Generic, _) => "a general term",
        (_, RuleAnswer::Open) => "the rule is unsettled",
        (KeyTwo::Silent, _) => "the letter names nobody",
        _ => "",
    }
}
