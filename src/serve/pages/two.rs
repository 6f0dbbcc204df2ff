//! Two letters side by side.

use super::{Shell, page};
use crate::patterns::Patterns;
use crate::report::View;
use crate::report::html::{self, Html, text};
use crate::report::letters::Letters;
use crate::serve::facts::Facts;
use crate::serve::held::Held;

/// Hands over what the comparison of two letters speaks of.
pub(in crate::serve) fn with<T>(
    both: &(Held, Held),
    facts: &Facts,
    patterns: &Patterns,
    then: impl FnOnce(&Letters<'_>) -> T,
) -> T {
    let (old, new) = (both.0.view(), both.1.view());
    let comparison =
        crate::compare::letters((&old.letter, &old.text), (&new.letter, &new.text), patterns);
    let was = crate::answer(&old.letter, &facts.question, patterns);
    let is = crate::answer(&new.letter, &facts.question, patterns);
    then(&Letters {
        old: View::new(&old.text, &old.letter),
        new: View::new(&new.text, &new.letter),
        comparison: &comparison,
        question: &facts.question,
        answers: (&was, &is),
    })
}

pub(in crate::serve) fn two(
    token: &str,
    id: u64,
    both: &(Held, Held),
    facts: &Facts,
    patterns: &Patterns,
) -> String {
    let base = format!("/{token}/letters/{id}");
    let compared = with(both, facts, patterns, |both| html::letters_body(both, true));
    let mut body =
        Html::own("<div id=\"first\">\n<p id=\"told\" class=\"told\" role=\"status\"></p>\n");
    body.push(&compared);
    body.push(&Html::own(
        "</div>\n<div id=\"ask\" role=\"complementary\" aria-label=\"Questions and downloads\">\n",
    ));
    let query = facts.query();
    let query = text(&query);
    body.push(&super::ask::two(&base, facts));
    body.push(&Html::own(format!(
        "<h2>Take it with you</h2>\n<ul>\n\
         <li><a href=\"{base}/changes.html{0}\" download>The comparison as a web page</a></li>\n\
         <li><a href=\"{base}/changes.md{0}\" download>The comparison as Markdown</a></li>\n\
         <li><a href=\"{base}/changes.json{0}\" download>The comparison as JSON, for programs</a></li>\n\
         </ul>\n",
        query.as_str()
    )));
    body.push(&super::ask::forget(&base));
    body.push(&Html::own("</div>\n<div id=\"rest\"></div>\n"));
    page(
        &Shell {
            token: Some(token),
            title: html::TITLE,
            head: Html::new(),
            class: "desk",
            back: true,
        },
        &body,
    )
}
