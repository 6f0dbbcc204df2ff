//! The sentences of a claim, each as a clause would say it, with what was understood of it.

use super::claim_by_words;
use super::claim_facts;
use super::claim_facts::Listed;
use super::claim_forms;
use super::claim_roles;
use super::claim_words::{self, Plain};
use crate::model::{Inspection, InspectorRule, Kind, Modality, Norm};
use crate::patterns::{ClaimRole, Patterns};
use crate::understand::{self, Context, Passage as Understood};

/// A sentence of the claim, and the same as a clause would say it.
pub(super) struct Said<'w> {
    original: &'w str,
    pub(super) plain: Plain,
    understood: Understood,
}

impl<'w> Said<'w> {
    fn of(
        original: &'w str,
        source: &str,
        known: &dyn Fn(&str) -> bool,
        patterns: &Patterns,
    ) -> Self {
        let plain = claim_words::plain(source, known, patterns);
        let understood = understand::passage(&plain.words, Context::default(), patterns);
        Self {
            original,
            plain,
            understood,
        }
    }

    fn binds(&self) -> bool {
        let norms = &self.understood.norms;
        norms.iter().any(|n| n.modality != Modality::Statement)
            || !self.understood.inspectors.is_empty()
    }

    /// A list of persons said of a clause: they may perform the inspection that it is about.
    pub(super) fn on_inspection_of(&mut self, rules: &[&InspectorRule], patterns: &Patterns) {
        let Some(rule) = rules.first() else { return };
        let inspection = match rule.inspection {
            Inspection::Yearly => "the condition inspection",
            Inspection::HundredHour => "the 100-hour inspection",
            _ => return,
        };
        if !self.understood.inspectors.is_empty() {
            return;
        }
        if self.plain.words.contains("perform it") {
            self.plain.words = self
                .plain
                .words
                .replace("perform it", &format!("perform {inspection}"));
            self.understood = understand::passage(&self.plain.words, Context::default(), patterns);
            return;
        }
        if self.binds() {
            return;
        }
        let list = self.plain.words.trim_end_matches(['.', '!', '?', ' ']);
        let words = format!("{list} may perform {inspection}.");
        let understood = understand::passage(&words, Context::default(), patterns);
        let named = |r: &InspectorRule| r.doubt.is_none() && !r.named.is_empty();
        if understood.inspectors.iter().any(named) {
            self.plain.words = words;
            self.understood = understood;
        }
    }

    pub(super) fn statement<'s>(&'s self, patterns: &Patterns) -> Statement<'s> {
        let understood = &self.understood;
        let has = |role| claim_roles::has(&self.plain.words, role, patterns);
        let said = |role| claim_roles::has(self.original, role, patterns);
        let asks = self.original.trim_end().ends_with('?');
        let spoken = claim_facts::spoken(&self.plain.words, patterns);
        let one = claim_by_words::kinds_said(&spoken).len() == 1;
        Statement {
            words: self.original,
            plain: &self.plain.words,
            label: self.plain.label.as_deref(),
            norm: understood
                .norms
                .iter()
                .find(|n| n.modality != Modality::Statement),
            rules: understood.inspectors.iter().collect(),
            spoken,
            topics: understood.topics.iter().flatten().cloned().collect(),
            no_need: has(ClaimRole::NoNeed),
            waives: said(ClaimRole::Waives),
            not_listed: said(ClaimRole::NotListed),
            listed: Listed {
                closes: said(ClaimRole::Closes),
                opens: said(ClaimRole::Opens),
            },
            out: claim_by_words::shut_out(&self.plain.words, patterns),
            of_one: asks
                || self.plain.of_one
                || one && claim_roles::has(self.original, ClaimRole::Despite, patterns),
        }
    }
}

/// The sentences of the claim that say something binding; the whole claim where none does.
pub(super) fn sentences<'w>(
    words: &'w str,
    known: &dyn Fn(&str) -> bool,
    patterns: &Patterns,
) -> Vec<Said<'w>> {
    let whole = understand::passage(words, Context::default(), patterns);
    let mut before = "";
    let mut all: Vec<Said<'w>> = Vec::new();
    let sentences = whole.sentences.iter().map(|s| s.trimmed(words));
    for piece in sentences.flat_map(|s| claim_forms::pieces(s.of(words))) {
        if piece.is_empty() {
            continue;
        }
        let source = claim_forms::looked_back(before, piece, patterns)
            .or_else(|| claim_forms::with_its_case(before, piece, patterns))
            .unwrap_or_else(|| piece.to_owned());
        before = piece;
        all.push(Said::of(piece, &source, known, patterns));
    }
    // A clause that is named once is the clause of the whole claim.
    let mut labels: Vec<String> = all.iter().filter_map(|s| s.plain.label.clone()).collect();
    labels.dedup();
    if let [label] = labels.as_slice() {
        for said in &mut all {
            said.plain.label.get_or_insert_with(|| label.clone());
        }
    }
    all.retain(|s| s.plain.words.contains(char::is_alphanumeric));
    if all.iter().any(Said::binds) {
        all.retain(Said::binds);
    } else {
        all.truncate(1);
    }
    all
}

/// A statement of the claim.
pub(super) struct Statement<'c> {
    /// As it was made.
    pub(super) words: &'c str,
    /// As a clause would say it; the spans of norms and rules belong to it.
    pub(super) plain: &'c str,
    /// The clause that it names.
    pub(super) label: Option<&'c str>,
    pub(super) norm: Option<&'c Norm>,
    pub(super) rules: Vec<&'c InspectorRule>,
    /// The kinds that its words name.
    pub(super) spoken: Vec<Kind>,
    pub(super) topics: Vec<String>,
    /// It takes a duty or a need away.
    pub(super) no_need: bool,
    /// It takes the need of an inspection authorization away.
    pub(super) waives: bool,
    /// It says that somebody stands in no list.
    pub(super) not_listed: bool,
    pub(super) listed: Listed,
    /// The kinds that it shuts out beside a list.
    pub(super) out: Vec<Kind>,
    /// It asks whether one may, or says so of one person.
    pub(super) of_one: bool,
}

impl Statement<'_> {
    /// Whether it names somebody who could inspect, other than the owner as such.
    pub(super) fn names_somebody(&self) -> bool {
        self.spoken.iter().any(|k| *k != Kind::Owner)
            || self
                .rules
                .iter()
                .any(|r| !(r.named.is_empty() && r.excluded.is_empty()))
    }
}
