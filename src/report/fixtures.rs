//! Answers made by hand, for the tests of this crate.

use crate::model::{Answer, Inspection, KeyTwo, Kind, LetterKey, RuleAnswer, RuleKey, Verdict};

/// An answer about a kind, with nothing in it.
pub(crate) fn bare(holder: Kind) -> Answer {
    Answer {
        holder,
        inspection: Inspection::Yearly,
        answer: Verdict::No,
        open_because: None,
        if_met: Verdict::No,
        settled_by: Vec::new(),
        rule: RuleKey {
            answer: RuleAnswer::No,
            open_because: None,
            citations: Vec::new(),
            rules: Vec::new(),
            conditions: Vec::new(),
            standing: Vec::new(),
            notes: Vec::new(),
        },
        letter: LetterKey {
            answer: KeyTwo::Unlisted,
            clauses: Vec::new(),
            conditions: Vec::new(),
            evidence: Vec::new(),
            notes: Vec::new(),
        },
        readings: Vec::new(),
        next: Vec::new(),
        hazards: Vec::new(),
    }
}
