//! One page for the inspector, before the work starts.

use super::{Shell, ask, page};
use crate::patterns::Patterns;
use crate::report::html::{Html, heading};
use crate::report::sheet;
use crate::serve::facts::Facts;
use crate::serve::held::Held;

/// The page. Printed, it is the sheet alone.
pub(in crate::serve) fn sheet(
    token: &str,
    id: u64,
    held: &Held,
    facts: &Facts,
    patterns: &Patterns,
) -> String {
    let base = format!("/{token}/letters/{id}");
    let view = held.view_of(facts.letter, patterns);
    let answered = view.answer(facts.question.clone(), patterns);
    let report = view.report(&answered, patterns);
    let paper = sheet::paper(&report);
    let mut body = paper.body();
    body.push(&Html::own("<div class=\"screen\">\n"));
    body.push(&heading(2, "Take it with you"));
    let files = [
        ("sheet.html", "This page alone, to pass on or print"),
        ("sheet.md", "The same as Markdown"),
    ];
    body.push(&ask::files(&base, facts, &files));
    body.push(&super::back(&base, facts));
    body.push(&Html::own("</div>\n"));
    page(&Shell::of(token, &paper.title), &body)
}
