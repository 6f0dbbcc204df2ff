//! Why a difference of two wordings matters or not, and with what a letter was compared, in words.

use crate::model::{ComparisonNote, DifferenceReason, WordsEffect};

/// The reason as a line without a stop.
#[must_use]
pub fn difference_reason(reason: &DifferenceReason) -> String {
    let said = match reason {
        DifferenceReason::SameRule(rules) => {
            return format!("the same rule in another form: {}", rules.join(", "));
        }
        DifferenceReason::Names(kind) => return format!("it now names: {}", kind.title()),
        DifferenceReason::NamesNoLonger(kind) => {
            return format!("it no longer names: {}", kind.title());
        }
        DifferenceReason::Words { gone, come, effect } => {
            return format!("{}: {}", went(gone, come), words_effect(*effect));
        }
        DifferenceReason::BlankForms => "two forms of a place to write in",
        DifferenceReason::BlankFilled => "a place to write in is filled in",
        DifferenceReason::Label => "the clause number, or its marks",
        DifferenceReason::NoWeight => "words without weight",
        DifferenceReason::MarksOnly => "marks only",
        DifferenceReason::SameWords => "the same words in another form",
        DifferenceReason::NoneOfWeight => "no word of weight differs",
        DifferenceReason::AnotherTerm => "another term",
        DifferenceReason::NewWords => "words that were not there before",
        DifferenceReason::GoneWords => "words that are no longer there",
        DifferenceReason::WordingCut => "the text of the wording that is held is cut here",
    };
    said.to_owned()
}

const fn words_effect(effect: WordsEffect) -> &'static str {
    match effect {
        WordsEffect::Scope => "who or what is covered changes",
        WordsEffect::TurnsRound => "the meaning turns round",
        WordsEffect::Negation => "another negation",
        WordsEffect::SameForce => "the same force",
        WordsEffect::EachBars => "behind «no person» each of them bars",
        WordsEffect::Force => "the force of the norm changes",
        WordsEffect::Number => "another number",
        WordsEffect::Measure => "another interval or measure",
        WordsEffect::ParagraphMoved => "the paragraph moved, its words did not change",
        WordsEffect::AnotherRule => "another rule is cited",
        WordsEffect::OneOrAll => "one of them, or all of them",
        WordsEffect::Condition => "a condition changes",
    }
}

/// "«only» is gone", "«may» became «must»".
fn went(gone: &[String], come: &[String]) -> String {
    let list = |words: &[String]| {
        let words: Vec<String> = words.iter().map(|w| format!("«{w}»")).collect();
        words.join(" ")
    };
    match (gone.is_empty(), come.is_empty()) {
        (false, false) => format!("{} became {}", list(gone), list(come)),
        (false, true) => format!("{} is gone", list(gone)),
        _ => format!("{} is new", list(come)),
    }
}

/// With which wordings a letter was compared where it does not say, or why with none: a sentence.
#[must_use]
pub fn comparison_note(note: &ComparisonNote) -> String {
    match note {
        ComparisonNote::BasisOfBuilder => BASIS_OF_BUILDER.to_owned(),
        ComparisonNote::BasisOfWords { clauses, basis } => format!(
            "The letter does not say under which paragraph of § 21.191 it was issued; {clauses} \
             of its clauses are worded as those for ({basis}), so it was compared with these."
        ),
        ComparisonNote::NoBasis => NO_BASIS.to_owned(),
        ComparisonNote::NoneHeld(basis) => format!(
            "No reference wording is held for § 21.191({basis}), so the letter was compared with \
             none; an order that you hold can be added."
        ),
        ComparisonNote::NoneForPaper => "No reference wording is held for such a paper.".to_owned(),
        ComparisonNote::AnotherBasis { wording, basis } => format!(
            "{wording} is no wording for § 21.191({basis}), and wordings are compared within one \
             basis only."
        ),
    }
}

const BASIS_OF_BUILDER: &str = "The letter does not say under which paragraph of § 21.191 it was \
    issued; it speaks of the builder with a repairman certificate of § 65.104, as those for (g) \
    do, so it was compared with these.";
const NO_BASIS: &str = "The letter does not say under which paragraph of § 21.191 it was issued, \
    and wordings are compared within one basis only; state it with --basis.";
