//! A survey of many letters.

use super::{Shell, page};
use crate::report::html::Html;
use crate::serve::surveyed::Surveyed;

pub(in crate::serve) fn many(token: &str, id: u64, survey: &Surveyed) -> String {
    let base = format!("/{token}/letters/{id}");
    let mut body = Html::own("<div id=\"first\">\n");
    body.push(&survey.body);
    body.push(&Html::own(format!(
        "</div>\n<div id=\"ask\" role=\"complementary\" aria-label=\"Downloads\">\n\
         <h2>Take it with you</h2>\n<ul>\n\
         <li><a href=\"{base}/survey.html\" download>The survey as a web page</a></li>\n\
         <li><a href=\"{base}/survey.csv\" download>The rows for a spreadsheet (CSV)</a></li>\n\
         </ul>\n"
    )));
    body.push(&super::ask::forget(&base));
    body.push(&Html::own("</div>\n"));
    page(
        &Shell {
            class: "desk",
            ..Shell::of(token, &survey.title)
        },
        &body,
    )
}
