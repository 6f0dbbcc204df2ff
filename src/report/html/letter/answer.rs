//! The answer: a row for each kind, what to do, the caution.

use super::marks::kind_anchor;
use super::why::quoted_words;
use super::{Page, prose};
use crate::report::first::{FirstScreen, NO_CLAUSE, beside};
use crate::report::html::{
    Html, Mark, Table, classed, definitions, link, list, p, quote, small, text, verdict,
};
use crate::report::{CAUTION, days, words};

pub(super) fn answer(page: &Page<'_>, first: &FirstScreen) -> Html {
    let mut out = deciding(page, first);
    if first.rows.is_empty() {
        out.push(&p(&text("No answer was worked out.")));
    } else {
        let mut table =
            Table::new("Who may sign, by kind", &["Who", "Answer", "Clause"]).quiet_caption();
        for row in &first.rows {
            let mut said = verdict(row.verdict);
            if !row.because.is_empty() {
                said.push(&Html::own(": "));
                said.push(&text(&row.because));
            }
            let clauses = &row.clauses;
            let kind = row
                .kinds
                .first()
                .map_or_else(String::new, |k| kind_anchor(*k));
            table.row([
                link(&kind, &text(&row.name)),
                said,
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
    out.push(&list(first.cautions.iter().map(|c| text(&days::told(c)))));
    out.push(&classed("caution", &text(CAUTION)));
    out
}

/// The sentences of the letter that decide, their deciding words marked.
fn deciding(page: &Page<'_>, first: &FirstScreen) -> Html {
    let mut out = Html::new();
    for quoted in &first.quoted {
        let Some(rule) = page.report.letter.inspectors.get(quoted.rule) else {
            continue;
        };
        let mut head = Html::own("Clause ");
        head.push(&page.clause(rule.clause));
        head.push(&Html::own(" "));
        head.push(&small(&format!("({})", quoted.place)));
        head.push(&Html::own(" "));
        head.push(&text(&format!("{}:", words::stance(rule))));
        out.push(&p(&head));
        out.push(&quoted_words(page, rule));
        for span in beside(rule) {
            let mark = Mark {
                span,
                ..Mark::default()
            };
            out.push(&quote(&page.report.text.content, span, &[mark]));
        }
    }
    if first.more > 0 {
        let said = format!("Clauses that speak of it too: {}, below.", first.more);
        out.push(&p(&text(&said)));
    }
    if first.quoted.is_empty() && page.report.letter.paper.is_limitations() {
        out.push(&p(&text(&words::sentence(NO_CLAUSE))));
    }
    out
}
