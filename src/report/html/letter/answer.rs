//! The answer: a row for each kind, what to do, the caution.

use super::marks::kind_anchor;
use super::{Page, prose};
use crate::report::first::FirstScreen;
use crate::report::html::{Html, Table, classed, definitions, link, list, strong, text};
use crate::report::{CAUTION, words};

pub(super) fn answer(page: &Page<'_>, first: &FirstScreen) -> Html {
    let mut out = Html::new();
    if first.rows.is_empty() {
        out.push(&super::super::p(&text("No answer was worked out.")));
    } else {
        let mut table =
            Table::new("Who may sign, by kind", &["Who", "Answer", "Clause"]).quiet_caption();
        for (row, answer) in first.rows.iter().zip(page.report.answers) {
            let mut verdict = strong(words::verdict(row.verdict));
            if !row.because.is_empty() {
                verdict.push(&Html::own(": "));
                verdict.push(&text(&row.because));
            }
            let clauses = &answer.letter.clauses;
            table.row([
                link(&kind_anchor(row.kind), &text(words::kind_short(row.kind))),
                verdict,
                if clauses.is_empty() {
                    text("none")
                } else {
                    Html::joined(clauses.iter().map(|c| page.clause(*c)), &Html::own(", "))
                },
            ]);
        }
        out.push(&table.html());
    }
    out.push(&definitions(first.todo.iter().map(|(label, sentence)| {
        (text(label), prose(&words::capital(sentence)))
    })));
    out.push(&list(first.positions.iter().map(|p| text(p))));
    out.push(&list(first.cautions.iter().map(|c| text(c))));
    out.push(&classed("caution", &text(CAUTION)));
    out
}
