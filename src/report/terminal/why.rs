//! Why: the clauses that say who may inspect, then the two keys of every kind.

use super::sheet::{Sheet, bold, dim};
use crate::model::{
    Answer, ConditionResult, Inspection, InspectorRule, KeyTwo, OpenBecause, RuleAnswer, Span,
};
use crate::report::{Report, clean, findings, first, words};

/// Column in which the text beside a label starts.
const COLUMN: usize = 12;

/// What each clause says about who may inspect, quoted once.
pub(crate) fn clauses(sheet: &mut Sheet, report: &Report<'_>) {
    let rules = &report.letter.inspectors;
    sheet.heading("What the letter says about who inspects");
    if rules.is_empty() {
        sheet.para(2, "No clause that was read says who may do an inspection.");
    }
    for rule in rules {
        clause(sheet, report, rule);
    }
}

fn clause(sheet: &mut Sheet, report: &Report<'_>, rule: &InspectorRule) {
    let view = report.view();
    sheet.blank();
    let about = match rule.inspection {
        Inspection::Other => "another inspection, not the yearly one".to_owned(),
        other => words::inspection(other).to_owned(),
    };
    sheet.hanging(
        2,
        4,
        &format!(
            "{} {}: {about}; {}",
            bold(&format!("Clause {}", view.id(rule.clause))),
            dim(&format!("({})", view.place_words(rule.span))),
            words::stance(rule),
        ),
    );
    sheet.para(4, &format!("\"{}\"", view.words(rule.span)));
    let kinds = |named: &[crate::model::NamedKind]| {
        let mut names: Vec<&str> = Vec::new();
        for kind in named {
            if !names.contains(&kind.kind.title()) {
                names.push(kind.kind.title());
            }
        }
        names.join("; ")
    };
    if !rule.named.is_empty() {
        sheet.labelled(4, 15, "names", &kinds(&rule.named));
    }
    if !rule.excluded.is_empty() {
        sheet.labelled(4, 15, "shuts out", &kinds(&rule.excluded));
    }
    if !rule.evidence.is_empty() {
        let deciding: Vec<String> = rule
            .evidence
            .iter()
            .map(|s| format!("\"{}\"", view.words(*s)))
            .collect();
        sheet.labelled(4, 15, "key words", &deciding.join(", "));
    }
    for condition in &rule.conditions {
        sheet.labelled(
            4,
            15,
            "condition",
            &format!("\"{}\"", view.words(condition.span)),
        );
    }
    if let Some(doubt) = findings::doubt(&view, rule) {
        sheet.labelled(4, 15, "doubt", &clean::line(&doubt));
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
    let mut seen = Seen::default();
    for answer in report.answers {
        sheet.blank();
        one(sheet, report, answer, &mut seen);
    }
    sheet.blank();
    sheet.para(2, &words::grades());
}

/// Notes that were printed already: what holds for several kinds is said once.
#[derive(Default)]
struct Seen(Vec<String>);

impl Seen {
    fn notes(&mut self, sheet: &mut Sheet, notes: &[String]) {
        let mut above = 0;
        for note in notes {
            let note = words::sentence(&clean::line(note));
            if self.0.contains(&note) {
                above += 1;
            } else {
                sheet.labelled(COLUMN, COLUMN + 11, "note:", &note);
                self.0.push(note);
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
}

fn one(sheet: &mut Sheet, report: &Report<'_>, answer: &Answer, seen: &mut Seen) {
    let because = first::because(report, answer);
    let verdict = bold(words::verdict(answer.answer));
    let verdict = if because.is_empty() {
        verdict
    } else {
        format!("{verdict}: {because}")
    };
    sheet.hanging(
        2,
        4,
        &format!(
            "{} - {verdict}",
            bold(&words::capital(words::holder_title(answer)))
        ),
    );
    rule_key(sheet, report, answer, seen);
    letter_key(sheet, report, answer, seen);
}

fn rule_key(sheet: &mut Sheet, report: &Report<'_>, answer: &Answer, seen: &mut Seen) {
    let rule = &answer.rule;
    sheet.labelled(4, COLUMN, "rule", &format!("{}.", words::rule(rule.answer)));
    for citation in &rule.citations {
        sheet.para(COLUMN, &clean::line(&citation.to_string()));
    }
    for id in &rule.rules {
        if let Some(source) = report.sources(id).iter().find(|s| !s.quote.is_empty()) {
            sheet.para(COLUMN, &format!("\"{}\"", clean::line(&source.quote)));
        }
    }
    conditions(sheet, &rule.conditions);
    if rule.answer != RuleAnswer::No {
        for standing in &rule.standing {
            sheet.labelled(COLUMN, COLUMN + 11, "always:", &clean::line(standing));
        }
    }
    seen.notes(sheet, &report.rule_notes(answer));
}

fn letter_key(sheet: &mut Sheet, report: &Report<'_>, answer: &Answer, seen: &mut Seen) {
    let view = report.view();
    let letter = &answer.letter;
    let mut said = words::key_two(letter.answer).to_owned();
    let ids = view.ids(&letter.clauses);
    if !ids.is_empty() && letter.answer != KeyTwo::Silent {
        said.push_str(&format!(
            " ({} {}, above)",
            if ids.len() == 1 { "clause" } else { "clauses" },
            words::list(&ids, "and")
        ));
    }
    sheet.labelled(4, COLUMN, "letter", &format!("{said}."));
    for span in &own_words(report, answer) {
        let found = view.evidence(*span);
        let mut place = found
            .clause
            .as_ref()
            .map_or_else(String::new, |id| format!("clause {id}, "));
        place.push_str(&view.place_words(*span));
        if found.confidence < 0.995 {
            place.push_str(&format!(
                ", read with {:.0} % confidence",
                found.confidence * 100.0
            ));
        }
        sheet.para(
            COLUMN,
            &format!("\"{}\" {}", found.text, dim(&format!("({place})"))),
        );
    }
    conditions(sheet, &letter.conditions);
    seen.notes(sheet, &report.letter_notes(answer));
}

/// The words that decide for this kind. Where the kind is in no list, those are the words of the
/// clause as a whole, which stand quoted above.
pub(crate) fn own_words(report: &Report<'_>, answer: &Answer) -> Vec<Span> {
    if matches!(answer.letter.answer, KeyTwo::Unlisted | KeyTwo::ShutOut) {
        return Vec::new();
    }
    // Names of other kinds decide nothing here.
    let others: Vec<Span> = report
        .letter
        .inspectors
        .iter()
        .flat_map(|rule| rule.named.iter().chain(&rule.excluded))
        .filter(|named| named.kind != answer.holder)
        .map(|named| named.span)
        .collect();
    let own: Vec<Span> = answer
        .letter
        .evidence
        .iter()
        .copied()
        .filter(|span| !others.contains(span))
        .collect();
    if own.is_empty() {
        answer.letter.evidence.clone()
    } else {
        own
    }
}

fn conditions(sheet: &mut Sheet, conditions: &[ConditionResult]) {
    for condition in conditions {
        let label = match condition.met {
            Some(true) => "met:",
            Some(false) => "not met:",
            None if condition.open_because == Some(OpenBecause::Law) => "unsettled:",
            None => "unknown:",
        };
        let mut said = clean::line(if condition.words.is_empty() {
            &condition.name
        } else {
            &condition.words
        });
        if !condition.citation.is_empty() {
            said.push_str(&format!(" ({})", clean::line(&condition.citation)));
        }
        sheet.labelled(COLUMN, COLUMN + 11, label, &said);
    }
}
