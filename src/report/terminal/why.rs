//! Why: the clauses that say who may inspect, then the two keys of every kind.

use super::sheet::{Sheet, bold, dim};
use crate::report::why::{self, Condition, LetterKey, Notes, Row, RuleKey};
use crate::report::{Report, clean, words};

/// Column in which the text beside a label starts.
const COLUMN: usize = 12;

/// What each clause says about who may inspect, quoted once.
pub(crate) fn clauses(sheet: &mut Sheet, report: &Report<'_>) {
    sheet.heading("What the letter says about who inspects");
    let clauses = why::clauses(report);
    if clauses.is_empty() {
        sheet.para(2, why::NO_CLAUSE);
    }
    for clause in &clauses {
        one_clause(sheet, report, clause);
    }
}

fn one_clause(sheet: &mut Sheet, report: &Report<'_>, clause: &why::Clause<'_>) {
    let view = report.view();
    let quoted = |span| format!("\"{}\"", view.words(span));
    sheet.blank();
    sheet.hanging(
        2,
        4,
        &format!(
            "{} {}: {}; {}",
            bold(&format!("Clause {}", view.id(clause.rule.clause))),
            dim(&format!("({})", clause.place)),
            clause.about,
            clause.stance,
        ),
    );
    sheet.para(4, &quoted(clause.rule.span));
    for row in &clause.rows {
        let said = match row {
            Row::Names(kinds) | Row::ShutsOut(kinds) => kinds.clone(),
            Row::KeyWords(spans) => {
                let all: Vec<String> = spans.iter().map(|s| quoted(*s)).collect();
                all.join(", ")
            }
            Row::Condition(span) => quoted(*span),
            Row::Doubt(doubt) => clean::line(doubt),
        };
        sheet.labelled(4, 15, row.label(), &said);
    }
}

/// The two keys of every kind.
pub(crate) fn keys(sheet: &mut Sheet, report: &Report<'_>) {
    if report.answers.is_empty() {
        return;
    }
    sheet.heading("Why: two questions for each kind of person");
    sheet.para(
        2,
        "Does a rule give this person the right on that day? Does this letter, in force for this \
         aircraft, let the person in? Both must be answered with yes.",
    );
    let mut seen = Notes::default();
    for answer in report.answers {
        sheet.blank();
        let keys = why::keys(report, answer);
        let mut verdict = bold(keys.verdict);
        if !keys.because.is_empty() {
            verdict.push_str(&format!(": {}", keys.because));
        }
        sheet.hanging(2, 4, &format!("{} - {verdict}", bold(&keys.name)));
        rule_key(sheet, &keys.rule, &mut seen);
        letter_key(sheet, report, &keys.letter, &mut seen);
    }
    sheet.blank();
    sheet.para(2, &words::grades());
}

/// Those that stand above already are only counted.
fn notes(sheet: &mut Sheet, notes: &[String], seen: &mut Notes) {
    let mut above = 0;
    for note in notes {
        let (n, new) = seen.number(note);
        match seen.all().get(n - 1).filter(|_| new) {
            Some(note) => sheet.labelled(COLUMN, COLUMN + 11, "note:", note),
            None => above += 1,
        }
    }
    if above > 0 {
        let which = if above == 1 {
            "one more, as above".to_owned()
        } else {
            format!("{above} more, as above")
        };
        sheet.labelled(COLUMN, COLUMN + 11, "note:", &which);
    }
}

fn rule_key(sheet: &mut Sheet, rule: &RuleKey<'_>, seen: &mut Notes) {
    sheet.labelled(4, COLUMN, "rule", &format!("{}.", rule.said));
    for citation in rule.citations {
        sheet.para(COLUMN, &clean::line(&citation.to_string()));
    }
    for quote in &rule.quotes {
        sheet.para(COLUMN, &format!("\"{}\"", clean::line(quote)));
    }
    conditions(sheet, &rule.conditions);
    for standing in rule.standing {
        sheet.labelled(COLUMN, COLUMN + 11, "always:", &clean::line(standing));
    }
    notes(sheet, &rule.notes, seen);
}

fn letter_key(sheet: &mut Sheet, report: &Report<'_>, letter: &LetterKey, seen: &mut Notes) {
    let view = report.view();
    let mut said = letter.said.to_owned();
    if let Some(clauses) = letter.named(&view) {
        said.push_str(&format!(" ({clauses}, above)"));
    }
    sheet.labelled(4, COLUMN, "letter", &format!("{said}."));
    for deciding in &letter.words {
        let clause = deciding.clause.as_ref();
        let clause = clause.map_or_else(String::new, |id| format!("clause {id}, "));
        let place = dim(&format!("({clause}{})", deciding.place));
        let words = view.evidence(deciding.span).text;
        sheet.para(COLUMN, &format!("\"{words}\" {place}"));
    }
    conditions(sheet, &letter.conditions);
    notes(sheet, &letter.notes, seen);
}

fn conditions(sheet: &mut Sheet, conditions: &[Condition]) {
    for condition in conditions {
        sheet.labelled(
            COLUMN,
            COLUMN + 11,
            &format!("{}:", condition.label),
            &clean::line(&condition.cited()),
        );
    }
}
