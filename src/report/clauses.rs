//! The letter clause by clause, without layout: what stands beside the words of each clause.

use super::diff::matters;
use super::findings::comparison_note;
use super::{Report, clean, words};
use crate::model::{self, ClauseComparison, Diff, Modality, Norm, Phase};

/// A clause with what is said beside it.
pub(crate) struct Clause<'a> {
    /// The clause.
    pub(crate) clause: &'a model::Clause,
    /// Its number as printed; its id in square brackets where it has none.
    pub(crate) label: String,
    /// Its place, its item, its phase, its topics.
    pub(crate) about: Vec<String>,
    /// The norms in it that bind somebody.
    pub(crate) norms: Vec<&'a Norm>,
    /// The nearest wording; `None` where nothing is near, or nothing was compared.
    pub(crate) compared: Option<Compared<'a>>,
}

impl Clause<'_> {
    /// A paragraph without a number that binds nobody: a letterhead, a signature.
    pub(crate) fn is_plain(&self) -> bool {
        self.clause.number.is_none() && self.clause.item.is_none() && self.norms.is_empty()
    }

    /// What its norms do, each kind once: "demands", "permits".
    pub(crate) fn does(&self) -> Vec<&'static str> {
        let mut does: Vec<&str> = Vec::new();
        for norm in &self.norms {
            let word = words::modality(norm.modality);
            if !does.contains(&word) {
                does.push(word);
            }
        }
        does
    }

    /// What its norms do, each with its triggers: `demands ("must"); permits ("may")`. Empty where
    /// it has none.
    pub(crate) fn reads_as(&self) -> String {
        let does = self.does();
        let said = does.iter().map(|does| {
            let mut triggers: Vec<String> = Vec::new();
            for norm in &self.norms {
                let trigger = norm.trigger.as_ref();
                let trigger = trigger.filter(|_| words::modality(norm.modality) == *does);
                let trigger = trigger.map(|t| format!("\"{}\"", clean::line(&t.text)));
                triggers.extend(trigger.filter(|t| !triggers.contains(t)));
            }
            match triggers.as_slice() {
                [] => (*does).to_owned(),
                some => format!("{does} ({})", some.join(", ")),
            }
        });
        let said: Vec<String> = said.collect();
        said.join("; ")
    }
}

/// How a clause stands to the nearest wording.
pub(crate) struct Compared<'a> {
    /// The wording as a person speaks of it.
    pub(crate) wording: String,
    /// Its id without the folder, for a line.
    pub(crate) short: String,
    /// The share of the words that are the same, in whole percent.
    pub(crate) percent: f64,
    /// The wording as old, the letter as new.
    pub(crate) diff: &'a Diff,
    /// How many differences matter.
    pub(crate) material: usize,
}

impl<'a> Compared<'a> {
    fn of(report: &Report<'_>, comparison: &'a ClauseComparison) -> Option<Self> {
        let reference = comparison.reference.as_ref()?;
        let diff = comparison.diff.as_ref()?;
        let short = clean::line(reference);
        Some(Self {
            wording: words::wording(reference, report.patterns),
            short: short.strip_prefix("wording/").unwrap_or(&short).to_owned(),
            percent: (comparison.similarity * 100.0).floor(),
            diff,
            material: diff.differences.iter().filter(|d| d.material).count(),
        })
    }

    /// "2 differences that matter".
    pub(crate) fn matters(&self) -> String {
        matters(self.material)
    }
}

/// With what the letter was compared, or why it was not; `None` where that was not asked for.
pub(crate) fn compared_with(report: &Report<'_>) -> Option<String> {
    let comparison = report.comparison?;
    match (&comparison.wording, &comparison.note) {
        (Some(wording), _) => Some(format!(
            "Compared with the wordings held; nearest: {}.",
            clean::line(wording)
        )),
        (None, Some(note)) => Some(clean::line(&comparison_note(note))),
        (None, None) => None,
    }
}

/// The clauses in the order of the letter. What stands beside them is looked up once: a letter may
/// have thousands.
pub(crate) fn clauses<'a>(report: &Report<'a>) -> Vec<Clause<'a>> {
    let letter = report.letter;
    let mut all: Vec<Clause<'a>> = letter
        .clauses
        .iter()
        .enumerate()
        .map(|(index, clause)| bare(report, index, clause))
        .collect();
    for norm in letter.norms.iter().filter(|n| binds(n)) {
        if let Some(clause) = all.get_mut(norm.clause) {
            clause.norms.push(norm);
        }
    }
    for comparison in report.comparison.iter().flat_map(|c| &c.clauses) {
        if let Some(clause) = all.get_mut(comparison.clause) {
            clause.compared = Compared::of(report, comparison);
        }
    }
    all
}

fn bare<'a>(report: &Report<'_>, index: usize, clause: &'a model::Clause) -> Clause<'a> {
    let view = report.view();
    let label = clause.number.as_ref().map_or_else(
        || format!("[{}]", view.id(index)),
        |number| clean::line(&number.printed),
    );
    let mut about = vec![view.place_words(clause.span)];
    if let Some(item) = clause.item.as_ref().filter(|_| clause.number.is_some()) {
        about.push(format!("item {}", clean::line(&item.printed)));
    }
    match clause.phase {
        Some(Phase::One) => about.push("phase I".to_owned()),
        Some(Phase::Two) => about.push("phase II".to_owned()),
        None => {}
    }
    if let Some(topics) = report.letter.topics.get(index).filter(|t| !t.is_empty()) {
        about.push(clean::line(&topics.join(", ")));
    }
    Clause {
        clause,
        label,
        about,
        norms: Vec::new(),
        compared: None,
    }
}

/// Whether a norm binds anybody.
fn binds(norm: &Norm) -> bool {
    norm.modality != Modality::Statement && !norm.quoted
}
