//! The letter beside the reference wordings, beside another letter, beside what somebody says
//! about it.

use serde::Serialize;

use super::terminal::sheet::{Sheet, bold, dim};
use super::terminal::{age, changes, matters};
use super::{CAUTION, Report, View, clean, json, words};
use crate::model::{
    ClaimStatement, ClaimVerdict, ClauseComparison, ClausePair, Comparison, Departure,
    LetterComparison, Relation,
};

/// For people: a summary, then every clause that is not word for word a wording that is held.
#[must_use]
pub fn terminal(report: &Report<'_>, width: usize) -> String {
    let mut sheet = Sheet::new(width);
    let Some(comparison) = report.comparison else {
        return sheet.finish();
    };
    summary(&mut sheet, comparison);
    for clause in &comparison.clauses {
        one(&mut sheet, report, clause);
    }
    age(&mut sheet, report);
    sheet.finish()
}

fn summary(sheet: &mut Sheet, comparison: &Comparison) {
    let of = |wanted: &dyn Fn(&ClauseComparison) -> bool| {
        comparison.clauses.iter().filter(|c| wanted(c)).count()
    };
    let same = of(&|c| c.diff.as_ref().is_some_and(|d| d.same));
    let weighty = of(&|c| {
        c.diff
            .as_ref()
            .is_some_and(|d| !d.same && d.differences.iter().any(|d| d.material))
    });
    let alone = of(&|c| c.diff.is_none());
    let light = comparison.clauses.len() - same - weighty - alone;
    match &comparison.wording {
        Some(wording) => sheet.para(
            0,
            &bold(&format!("Nearest wording: {}", clean::line(wording))),
        ),
        None => sheet.para(0, &bold("No wording is near")),
    }
    if let Some(note) = &comparison.note {
        sheet.para(0, &clean::line(note));
    }
    sheet.para(
        0,
        &format!(
            "Of {} clauses {same} have the same words, {weighty} differ in a way that matters, \
             {light} in wording only, {alone} have no wording beside them.",
            comparison.clauses.len()
        ),
    );
    sheet.para(
        0,
        "A difference that matters changes who, what, when or how many; it is no fault by itself.",
    );
    sheet.para(0, &dim(CAUTION));
}

fn one(sheet: &mut Sheet, report: &Report<'_>, comparison: &ClauseComparison) {
    let view = report.view();
    let (Some(reference), Some(diff)) = (&comparison.reference, &comparison.diff) else {
        return;
    };
    if diff.same {
        return;
    }
    let Some(clause) = report.letter.clauses.get(comparison.clause) else {
        return;
    };
    let material = diff.differences.iter().filter(|d| d.material).count();
    sheet.blank();
    sheet.hanging(
        0,
        4,
        &format!(
            "{} {} {:.0} % like {}: {}",
            bold(&format!("Clause {}", view.id(comparison.clause))),
            dim(&format!("({})", view.place_words(clause.span))),
            (comparison.similarity * 100.0).floor(),
            clean::line(reference),
            matters(material),
        ),
    );
    changes(sheet, 4, diff, |_| true);
}

/// Two letters, for people: first what matters, then pair by pair, the same ones left out.
#[must_use]
pub fn letters(
    old: View<'_>,
    new: View<'_>,
    comparison: &LetterComparison,
    width: usize,
) -> String {
    let mut sheet = Sheet::new(width);
    let name = |view: View<'_>| {
        view.text
            .sources
            .first()
            .map_or_else(String::new, |s| clean::line(&s.name))
    };
    sheet.para(
        0,
        &bold(&format!("Old: {}. New: {}.", name(old), name(new))),
    );
    let mut counts: Vec<String> = Vec::new();
    for relation in RELATIONS {
        let count = comparison
            .pairs
            .iter()
            .filter(|p| p.relation == relation)
            .count();
        if count > 0 {
            counts.push(format!("{count} {}", relation_words(relation)));
        }
    }
    let renumbered = comparison.pairs.iter().filter(|p| p.renumbered).count();
    if renumbered > 0 {
        counts.push(format!("{renumbered} under another number"));
    }
    if !counts.is_empty() {
        sheet.para(0, &format!("Clauses: {}.", counts.join(", ")));
    }
    sheet.para(0, &dim(CAUTION));
    // Heads, addresses and signatures come last: they are no limitations.
    let numbered = |view: View<'_>, all: &[usize]| {
        all.iter()
            .filter_map(|i| view.letter.clauses.get(*i))
            .any(|c| c.number.is_some() || c.item.is_some())
    };
    let (limitations, rest): (Vec<&ClausePair>, Vec<&ClausePair>) = comparison
        .pairs
        .iter()
        .partition(|p| numbered(old, &p.old) || numbered(new, &p.new));
    for pair in limitations {
        pair_lines(&mut sheet, old, new, pair);
    }
    if rest.iter().any(|p| p.relation != Relation::Same) {
        sheet.heading("Lines without a number");
    }
    for pair in rest {
        pair_lines(&mut sheet, old, new, pair);
    }
    sheet.finish()
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

fn pair_lines(sheet: &mut Sheet, old: View<'_>, new: View<'_>, pair: &ClausePair) {
    if pair.relation == Relation::Same && !pair.renumbered && !pair.moved {
        return;
    }
    let was = words::list(&old.ids(&pair.old), "and");
    let is = words::list(&new.ids(&pair.new), "and");
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
    sheet.blank();
    sheet.hanging(0, 4, &format!("{}: {}", bold(&head), about.join("; ")));
    if let Some(diff) = &pair.diff {
        changes(sheet, 4, diff, |_| true);
    } else {
        let alone = match pair.relation {
            Relation::Missing => (old, &pair.old),
            _ => (new, &pair.new),
        };
        for index in alone.1 {
            if let Some(clause) = alone.0.letter.clauses.get(*index) {
                sheet.para(4, &alone.0.words(clause.body));
            }
        }
    }
}

/// Two letters, for programs.
#[must_use]
pub fn letters_json(old: View<'_>, new: View<'_>, comparison: &LetterComparison) -> String {
    #[derive(Serialize)]
    struct Root<D: Serialize> {
        schema: u32,
        pairs: Vec<Pair<D>>,
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
        pairs: comparison
            .pairs
            .iter()
            .map(|pair| Pair {
                relation: pair.relation.name(),
                old: old.ids(&pair.old),
                new: new.ids(&pair.new),
                similarity: json::rounded(pair.similarity),
                renumbered: pair.renumbered,
                moved: pair.moved,
                differences: json::differences(pair.diff.as_ref()),
            })
            .collect(),
    })
}

/// What somebody says about the letter, held against it, for people.
#[must_use]
pub fn claim(view: View<'_>, statements: &[ClaimStatement], width: usize) -> String {
    let mut sheet = Sheet::new(width);
    for statement in statements {
        sheet.blank();
        sheet.para(0, &format!("\"{}\"", clean::line(&statement.text)));
        let said = match statement.verdict {
            ClaimVerdict::Fits => "fits the letter",
            ClaimVerdict::Departs => "is not what the letter says",
            ClaimVerdict::NoClause => "no clause of the letter speaks of it",
        };
        sheet.hanging(2, 4, &format!("-> {}", bold(said)));
        if let Some(clause) = statement.clause {
            let quote = statement.span.map_or_else(String::new, |span| {
                format!(
                    " {}: \"{}\"",
                    dim(&format!("({})", view.place_words(span))),
                    view.words(span)
                )
            });
            sheet.hanging(2, 4, &format!("clause {}{quote}", view.id(clause)));
        }
        for finding in &statement.findings {
            let departure = match finding.departure {
                Departure::Adds => "adds",
                Departure::Drops => "leaves out",
                Departure::Turns => "turns",
            };
            sheet.hanging(
                2,
                4,
                &format!(
                    "* {departure} ({}): {}",
                    words::difference(finding.kind),
                    clean::line(&finding.message)
                ),
            );
        }
    }
    if statements.is_empty() {
        sheet.para(
            0,
            "The claim says nothing that could be held against the letter.",
        );
    }
    sheet.blank();
    sheet.para(0, &dim(CAUTION));
    sheet.finish()
}

/// The same for programs.
#[must_use]
pub fn claim_json(view: View<'_>, statements: &[ClaimStatement]) -> String {
    #[derive(Serialize)]
    struct Root {
        schema: u32,
        statements: Vec<Statement>,
    }
    #[derive(Serialize)]
    struct Statement {
        text: String,
        verdict: &'static str,
        clause: Option<String>,
        words: Option<String>,
        similarity: f64,
        findings: Vec<Finding>,
    }
    #[derive(Serialize)]
    struct Finding {
        departure: &'static str,
        kind: &'static str,
        message: String,
        words: Option<String>,
    }
    json::pretty(&Root {
        schema: 1,
        statements: statements
            .iter()
            .map(|s| Statement {
                text: clean::line(&s.text),
                verdict: s.verdict.name(),
                clause: s.clause.map(|c| view.id(c)),
                words: s.span.map(|span| view.words(span)),
                similarity: json::rounded(s.similarity),
                findings: s
                    .findings
                    .iter()
                    .map(|f| Finding {
                        departure: f.departure.name(),
                        kind: f.kind.name(),
                        message: clean::line(&f.message),
                        words: f.span.map(|span| view.words(span)),
                    })
                    .collect(),
            })
            .collect(),
    })
}
