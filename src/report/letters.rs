//! Two letters held against each other: what it does to the answers, then pair by pair.

use serde::Serialize;

use super::diff::matters;
use super::findings::difference_reason;
use super::markdown::escape;
use super::terminal::sheet::{Sheet, bold, dim};
use super::{CAUTION, View, clean, diff, json, words};
use crate::model::{Answer, ClausePair, LetterComparison, Question, Relation, Verdict};

/// Everything that the comparison of two letters speaks of.
#[derive(Clone, Copy, Debug)]
pub struct Letters<'a> {
    /// The old letter.
    pub old: View<'a>,
    /// The new one.
    pub new: View<'a>,
    /// Clause by clause.
    pub comparison: &'a LetterComparison,
    /// What was asked of both.
    pub question: &'a Question,
    /// The answers of both, in the order of the kinds.
    pub answers: (&'a [Answer], &'a [Answer]),
}

/// What becomes of one kind's answer.
pub(super) struct Effect {
    pub(super) kind: crate::model::Kind,
    pub(super) was: String,
    pub(super) is: String,
}

impl Letters<'_> {
    pub(super) fn effects(&self) -> Vec<Effect> {
        self.both()
            .filter(|(was, is)| {
                (was.answer, was.if_met, &was.settled_by) != (is.answer, is.if_met, &is.settled_by)
            })
            .map(|(was, is)| Effect {
                kind: was.holder,
                was: self.answered(was, self.old),
                is: self.answered(is, self.new),
            })
            .collect()
    }

    /// «yes», «in dispute, if you own it»: what an answer is, and on which facts.
    fn answered(&self, answer: &Answer, view: View<'_>) -> String {
        let verdict = words::verdict(answer.answer);
        if answer.answer != Verdict::Undetermined || answer.settled_by.is_empty() {
            return verdict.to_owned();
        }
        let aircraft = self.question.aircraft.as_ref();
        let aircraft = aircraft.or(view.letter.aircraft.value.as_ref());
        let facts = words::if_facts(&answer.settled_by, answer.holder, aircraft);
        match answer.if_met {
            Verdict::Undetermined => format!("{verdict}, not even clear if {facts}"),
            met => format!("{verdict}: {}, if {facts}", words::verdict(met)),
        }
    }

    /// That the letters bear marks of two aircraft, where they do.
    pub(super) fn two_aircraft(&self) -> Option<String> {
        let (old, new) =
            crate::document::different_marks(&self.old.text.content, &self.new.text.content)?;
        Some(format!(
            "The letters bear different registration marks, {} and {}: are they of one aircraft? \
             What holds for one says nothing of the other.",
            clean::line(&old),
            clean::line(&new)
        ))
    }

    /// The answers of both letters to the same question.
    fn both(&self) -> impl Iterator<Item = (&Answer, &Answer)> {
        let (old, new) = self.answers;
        old.iter().filter_map(|was| {
            let same = |a: &&Answer| a.holder == was.holder && a.inspection == was.inspection;
            Some((was, new.iter().find(same)?))
        })
    }

    /// What is said where [`Self::effects`] are none.
    pub(super) fn no_effect(&self) -> String {
        format!(
            "No kind of inspector gets another answer on {}, whatever the open facts turn out to be.",
            self.question.on
        )
    }

    /// Limitations, and lines without a number: heads, addresses, signatures.
    pub(super) fn parts(&self) -> (Vec<&ClausePair>, Vec<&ClausePair>) {
        let numbered = |view: View<'_>, all: &[usize]| {
            all.iter()
                .filter_map(|i| view.letter.clauses.get(*i))
                .any(|c| c.number.is_some() || c.item.is_some())
        };
        self.comparison
            .pairs
            .iter()
            .partition(|p| numbered(self.old, &p.old) || numbered(self.new, &p.new))
    }

    pub(super) fn summary(&self) -> String {
        let mut counts: Vec<String> = Vec::new();
        for relation in RELATIONS {
            let count = self
                .comparison
                .pairs
                .iter()
                .filter(|p| p.relation == relation)
                .count();
            if count > 0 {
                counts.push(format!("{count} {}", relation_words(relation)));
            }
        }
        let renumbered = self
            .comparison
            .pairs
            .iter()
            .filter(|p| p.renumbered)
            .count();
        if renumbered > 0 {
            counts.push(format!("{renumbered} under another number"));
        }
        if counts.is_empty() {
            String::new()
        } else {
            format!("Clauses: {}.", counts.join(", "))
        }
    }

    pub(super) fn names(&self) -> String {
        let name = |view: View<'_>| {
            let names = view.text.sources.iter().map(|s| clean::line(&s.name));
            words::list(&names.collect::<Vec<_>>(), "and")
        };
        format!("Old: {}. New: {}.", name(self.old), name(self.new))
    }

    /// «Clause 9, now 10: changed; 2 differences that matter», in two parts.
    pub(super) fn head(&self, pair: &ClausePair) -> (String, String) {
        let was = words::list(&self.old.ids(&pair.old), "and");
        let is = words::list(&self.new.ids(&pair.new), "and");
        let head = match (was.is_empty(), is.is_empty()) {
            (false, false) if was == is => format!("Clause {is}"),
            (false, false) => format!("Clause {was}, now {is}"),
            (false, true) => format!("Clause {was}"),
            _ => format!("Clause {is}"),
        };
        let mut about = vec![relation_words(pair.relation).to_owned()];
        if pair.moved {
            about.push("at another place".to_owned());
        }
        if let Some(diff) = pair.diff.as_ref().filter(|d| !d.same) {
            about.push(matters(
                diff.differences.iter().filter(|d| d.material).count(),
            ));
        }
        (head, about.join("; "))
    }

    /// The words of clauses that stand in one letter only.
    pub(super) fn alone(&self, pair: &ClausePair) -> Vec<String> {
        let (view, all) = match pair.relation {
            Relation::Missing => (self.old, &pair.old),
            _ => (self.new, &pair.new),
        };
        all.iter()
            .filter_map(|i| view.letter.clauses.get(*i))
            .map(|clause| view.words(clause.body))
            .collect()
    }
}

const RELATIONS: [Relation; 7] = [
    Relation::Same,
    Relation::Changed,
    Relation::Reworded,
    Relation::Merged,
    Relation::Split,
    Relation::Missing,
    Relation::Additional,
];

const fn relation_words(relation: Relation) -> &'static str {
    match relation {
        Relation::Same => "the same",
        Relation::Changed => "changed",
        Relation::Reworded => "reworded",
        Relation::Merged => "merged",
        Relation::Split => "split",
        Relation::Missing => "only in the old letter",
        Relation::Additional => "only in the new letter",
    }
}

pub(super) fn told(pair: &ClausePair) -> bool {
    pair.relation != Relation::Same || pair.renumbered || pair.moved
}

/// For people: the effect on the answers, then pair by pair, the same ones left out.
#[must_use]
pub fn terminal(letters: &Letters<'_>, width: usize, side_by_side: bool) -> String {
    let mut sheet = Sheet::new(width);
    sheet.para(0, &bold(&letters.names()));
    if let Some(line) = letters.two_aircraft() {
        sheet.para(0, &format!("{} {line}", bold("!")));
    }
    sheet.para(0, &letters.summary());
    let effects = letters.effects();
    if effects.is_empty() {
        sheet.para(0, &letters.no_effect());
    } else {
        sheet.para(
            0,
            &format!(
                "Who may sign the condition inspection on {} gets another answer:",
                letters.question.on
            ),
        );
        for effect in effects {
            sheet.hanging(
                2,
                4,
                &format!(
                    "{}: {} -> {}",
                    effect.kind.title(),
                    effect.was,
                    bold(&effect.is)
                ),
            );
        }
    }
    sheet.para(0, &dim(CAUTION));
    let (limitations, rest) = letters.parts();
    for pair in limitations {
        pair_lines(&mut sheet, letters, pair, side_by_side);
    }
    if rest.iter().any(|p| p.relation != Relation::Same) {
        sheet.heading("Lines without a number");
    }
    for pair in rest {
        pair_lines(&mut sheet, letters, pair, side_by_side);
    }
    sheet.finish()
}

fn pair_lines(sheet: &mut Sheet, letters: &Letters<'_>, pair: &ClausePair, side_by_side: bool) {
    if !told(pair) {
        return;
    }
    let (head, about) = letters.head(pair);
    sheet.blank();
    sheet.hanging(0, 4, &format!("{}: {about}", bold(&head)));
    match &pair.diff {
        Some(diff) if diff.same => {}
        Some(diff) => {
            both(sheet, diff, side_by_side);
            for line in reasons(diff) {
                sheet.hanging(4, 6, &format!("* {line}"));
            }
        }
        None => {
            for text in letters.alone(pair) {
                match (side_by_side, pair.relation) {
                    (false, _) => sheet.para(4, &text),
                    (true, Relation::Missing) => columns(sheet, &text, ""),
                    (true, _) => columns(sheet, "", &text),
                }
            }
        }
    }
}

/// What the changes that matter do, each thing once; the words stand in the text above them.
pub(super) fn reasons(diff: &crate::model::Diff) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    use crate::model::DifferenceKind as Kind;
    // Another term or wording stands in the text above; what it does is not told apart.
    let weighty = |d: &&crate::model::Difference| !matches!(d.kind, Kind::Term | Kind::Editorial);
    for difference in diff.differences.iter().filter(weighty) {
        let line = format!(
            "{}: {}",
            words::difference(difference.kind),
            clean::line(&difference_reason(&difference.reason))
        );
        if !out.contains(&line) {
            out.push(line);
        }
    }
    out
}

/// Both wordings: in one text, or side by side.
pub(super) fn both(sheet: &mut Sheet, diff: &crate::model::Diff, side_by_side: bool) {
    if side_by_side {
        columns(
            sheet,
            &super::diff::side(diff, true),
            &super::diff::side(diff, false),
        );
    } else {
        sheet.para(4, &super::diff::inline(diff));
    }
}

fn columns(sheet: &mut Sheet, old: &str, new: &str) {
    let half = sheet.width().saturating_sub(6) / 2;
    sheet.row(&[(0, ""), (half.saturating_sub(2), old), (half, new)]);
}

/// For a page of Markdown.
#[must_use]
pub fn markdown(letters: &Letters<'_>) -> String {
    let mut out = format!("# {}\n\n", escape(&letters.names()));
    if let Some(line) = letters.two_aircraft() {
        out.push_str(&format!("{}\n\n", escape(&line)));
    }
    out.push_str(&format!("{}\n\n", letters.summary()));
    let effects = letters.effects();
    if effects.is_empty() {
        out.push_str(&format!("{}\n", letters.no_effect()));
    } else {
        out.push_str(&format!(
            "| Who, on {} | old | new |\n|---|---|---|\n",
            letters.question.on
        ));
        for effect in effects {
            out.push_str(&format!(
                "| {} | {} | {} |\n",
                escape(effect.kind.title()),
                escape(&effect.was),
                escape(&effect.is)
            ));
        }
    }
    out.push_str(&format!("\n{CAUTION}\n"));
    let (limitations, rest) = letters.parts();
    for pair in limitations.into_iter().chain(rest).filter(|p| told(p)) {
        let (head, about) = letters.head(pair);
        out.push_str(&format!("\n## {}: {}\n\n", escape(&head), escape(&about)));
        match &pair.diff {
            Some(d) if d.same => {}
            Some(d) => {
                out.push_str(&format!("{}\n", diff::markdown(d, escape)));
                let reasons: Vec<String> = reasons(d)
                    .iter()
                    .map(|r| format!("* {}", escape(r)))
                    .collect();
                if !reasons.is_empty() {
                    out.push_str(&format!("\n{}\n", reasons.join("\n")));
                }
            }
            None => {
                for text in letters.alone(pair) {
                    out.push_str(&format!("{}\n", escape(&text)));
                }
            }
        }
    }
    out
}

/// For programs.
#[must_use]
pub fn json(letters: &Letters<'_>) -> String {
    #[derive(Serialize)]
    struct Root<D: Serialize> {
        schema: u32,
        on: String,
        answers: Vec<Changed>,
        pairs: Vec<Pair<D>>,
    }
    #[derive(Serialize)]
    struct Changed {
        holder: &'static str,
        old: &'static str,
        new: &'static str,
        old_if_met: &'static str,
        new_if_met: &'static str,
        old_settled_by: Vec<String>,
        new_settled_by: Vec<String>,
    }
    #[derive(Serialize)]
    struct Pair<D: Serialize> {
        relation: &'static str,
        old: Vec<String>,
        new: Vec<String>,
        similarity: f64,
        renumbered: bool,
        moved: bool,
        differences: Vec<D>,
    }
    json::pretty(&Root {
        schema: 1,
        on: letters.question.on.to_string(),
        answers: letters
            .both()
            .map(|(was, is)| Changed {
                holder: was.holder.name(),
                old: was.answer.name(),
                new: is.answer.name(),
                old_if_met: was.if_met.name(),
                new_if_met: is.if_met.name(),
                old_settled_by: was.settled_by.clone(),
                new_settled_by: is.settled_by.clone(),
            })
            .collect(),
        pairs: letters
            .comparison
            .pairs
            .iter()
            .map(|pair| Pair {
                relation: pair.relation.name(),
                old: letters.old.ids(&pair.old),
                new: letters.new.ids(&pair.new),
                similarity: json::rounded(pair.similarity),
                renumbered: pair.renumbered,
                moved: pair.moved,
                differences: json::differences(pair.diff.as_ref()),
            })
            .collect(),
    })
}
