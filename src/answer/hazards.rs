//! What can go wrong, printed where it applies.

use super::facts::Facts;
use crate::model::{Answer, Inspection, Letter, Question, Verdict};

/// Hazards of the letter as a whole.
#[must_use]
pub fn hazards_for_letter(letter: &Letter, question: &Question) -> Vec<String> {
    let facts = Facts::resolve(letter, question);
    let mut hazards = Vec::new();
    if facts.inspection == Inspection::Yearly {
        hazards.push(
            "After the last day there is no overrun: no flight, not even to the inspector, without a special flight permit (§ 21.197; from memory, grade M)."
                .to_owned(),
        );
    }
    hazards.push(
        "Altimeter, transponder and ELT checks (§§ 91.411, 91.413, 91.207; paragraphs not read, grade M) are separate from this inspection."
            .to_owned(),
    );
    hazards.push(
        "A letter may have been replaced: the one in force on the day counts. Look for a younger one, and for amendments."
            .to_owned(),
    );
    if facts
        .basis
        .is_some_and(|b| ['a', 'b', 'c', 'f'].contains(&b.letter))
    {
        hazards.push(
            "Certificates for research, showing compliance, crew training and market survey themselves expire (§ 21.181(a)(4), eCFR as of 2026-08-24, grade A): look at the day on the certificate."
                .to_owned(),
        );
    }
    hazards
}

/// Hazards of acting on one answer.
pub(super) fn hazards(answer: &Answer) -> Vec<String> {
    if answer.answer == Verdict::Yes {
        return Vec::new();
    }
    vec![
        "§ 91.9(a) (eCFR as of 2026-09-03, grade A) binds the operator: an inspection signed by a person whom the letter shuts out can leave the pilot in violation, and insurance in doubt."
            .to_owned(),
    ]
}
