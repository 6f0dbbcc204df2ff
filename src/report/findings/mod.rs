//! Findings in words: flaws of the letter, doubts about a clause, notes to the letter's answer, what
//! a claim says otherwise. The one place where their sentences are made, for every format. Words of the letter are in them as
//! they were read; formats make them harmless.

mod claims;
mod differences;
mod flaws;
mod notes;
mod reading;
#[cfg(test)]
mod tests;
mod told;

use super::View;
use crate::model::{InspectorRule, RuleDoubt, Span, Text};

pub use claims::claim;
pub use differences::{comparison_note, difference_reason};
pub use flaws::defect;
pub use notes::{key_notes, rule_notes};
pub use reading::read_note;
pub use told::{misfit, note, too_much};

/// Why the words of a rule cannot be relied on; `None` where they can.
#[must_use]
pub fn doubt(view: &View<'_>, rule: &InspectorRule) -> Option<String> {
    let doubt = rule.doubt.as_ref()?;
    Some(in_doubt(view, rule.clause, doubt))
}

fn in_doubt(view: &View<'_>, clause: usize, doubt: &RuleDoubt) -> String {
    match doubt {
        RuleDoubt::NotUnderstood(spans) => {
            let words: Vec<String> = spans
                .iter()
                .map(|s| format!("«{}»", in_force(view, *s)))
                .collect();
            format!(
                "the clause speaks of who inspects in words that were not understood: {}; read it",
                words.join(", ")
            )
        }
        RuleDoubt::Unplaced(span) => format!(
            "the clause speaks of «{}» too, in words that were not understood; read it",
            in_force(view, *span)
        ),
        RuleDoubt::Overlooked => format!(
            "limitation {} seems to speak of who inspects, in words that were not understood; \
             read it",
            clause_id(view, clause)
        ),
        RuleDoubt::Word { span, meant } => doubtful_word(view.text, *span, meant.as_deref()),
    }
}

fn doubtful_word(text: &Text, span: Span, meant: Option<&str>) -> String {
    let place = text.place(span.start);
    let read = span.of(&text.content);
    let perhaps = match meant {
        Some(meant) if !meant.eq_ignore_ascii_case(read) => format!(" (it may be «{meant}»)"),
        _ => String::new(),
    };
    format!(
        "the word «{read}»{perhaps} on page {}, line {}{} decides and cannot be read with \
         certainty; look at the paper",
        place.page,
        place.line,
        of_file(text, place.source)
    )
}

/// " of scan2.png" where there are several files.
fn of_file(text: &Text, source: u16) -> String {
    match text.sources.get(usize::from(source)) {
        Some(file) if text.sources.len() > 1 => format!(" of {}", file.name),
        _ => String::new(),
    }
}

fn one_line(words: &str) -> String {
    words.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Words of the letter on one line, without what counts nowhere.
fn in_force(view: &View<'_>, span: Span) -> String {
    let content = &view.text.content;
    let mut words = String::new();
    let mut at = span.start;
    for away in view
        .letter
        .left_out
        .iter()
        .filter(|away| away.overlaps(span))
    {
        words.push_str(Span::new(at, away.start.max(at)).of(content));
        words.push(' ');
        at = at.max(away.end);
    }
    words.push_str(Span::new(at, span.end.max(at)).of(content));
    one_line(&words)
}

fn clause_id<'v>(view: &View<'v>, clause: usize) -> &'v str {
    let clause = view.letter.clauses.get(clause);
    clause.map_or("?", |c| c.id.as_str())
}
