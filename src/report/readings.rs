//! The readings of the dispute, without layout: each once, with what it would answer here.

use super::{Report, words};
use crate::model::{Kind, ReadingApplied, Verdict};

/// What is said before them.
pub(crate) const NO_RANK: &str =
    "No order of rank: this program does not decide which reading is right.";
/// What is said of one that is younger than the day asked about.
pub(crate) const LATER: &str = "later than the day asked about";

/// A reading with what it would answer for each kind.
pub(crate) struct Reading<'a> {
    /// The reading, as it applies to the first of the kinds.
    pub(crate) applied: &'a ReadingApplied,
    /// Its answer for each kind on which it bears.
    pub(crate) kinds: Vec<(Kind, Verdict)>,
}

impl Reading<'_> {
    /// By whom it is held, as the beginning of a line.
    pub(crate) fn held_by(&self) -> String {
        words::capital(&self.applied.held_by)
    }

    /// Its answers here: "builder: yes; mechanic: no".
    pub(crate) fn here(&self) -> String {
        let kinds = self.kinds.iter();
        let here: Vec<String> = kinds
            .map(|(kind, verdict)| {
                format!("{}: {}", words::kind_tag(*kind), words::verdict(*verdict))
            })
            .collect();
        here.join("; ")
    }

    /// What speaks for and against it, in rows; those about which nothing is known are left out.
    pub(crate) fn weighed(&self) -> Vec<(&'static str, &str)> {
        let applied = self.applied;
        let mut rows = vec![
            ("for it", applied.support.as_str()),
            ("against it", &applied.objection),
            ("strength", &applied.strength),
        ];
        rows.retain(|(_, said)| !said.is_empty());
        rows
    }
}

/// The readings, in the order in which they come up.
pub(crate) fn readings<'a>(report: &Report<'a>) -> Vec<Reading<'a>> {
    let mut all: Vec<Reading<'a>> = Vec::new();
    for answer in report.answers {
        for applied in &answer.readings {
            let entry = (answer.holder, applied.answer);
            let same = |r: &&mut Reading<'_>| {
                let known = r.applied;
                known.id == applied.id
                    && known.says == applied.says
                    && known.held_by == applied.held_by
            };
            match all.iter_mut().find(same) {
                Some(reading) => reading.kinds.push(entry),
                None => all.push(Reading {
                    applied,
                    kinds: vec![entry],
                }),
            }
        }
    }
    all
}
