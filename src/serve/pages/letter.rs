//! The report with the questions beside it.

use super::{Shell, ask, page, words};
use crate::patterns::Patterns;
use crate::report::html::{self, Html, text};
use crate::serve::facts::Facts;
use crate::serve::held::Held;

pub(in crate::serve) fn letter(
    token: &str,
    id: u64,
    held: &Held,
    facts: &Facts,
    patterns: &Patterns,
) -> String {
    let base = format!("/{token}/letters/{id}");
    let view = held.view();
    let answered = view.answer(facts.question.clone(), patterns);
    let report = view.report(&answered, patterns);
    let mut pictures = html::pictures(&view.text);
    for picture in &mut pictures {
        picture.href = Some(format!("{base}/pages/{}/{}", picture.source, picture.page));
    }
    let pieces = html::pieces(&report, &pictures);
    let mut body = Html::own("<div id=\"first\">\n");
    body.push(&pieces.head);
    body.push(&notice(view.letter.paper));
    body.push(&words::section(&base, facts, held, &view));
    body.push(&Html::own(
        "<p id=\"told\" class=\"told\" role=\"status\"></p>\n",
    ));
    body.push(&pieces.answer);
    body.push(&Html::own(
        "</div>\n<div id=\"ask\" role=\"complementary\" aria-label=\"Questions and downloads\">\n",
    ));
    body.push(&ask::aside(&base, facts, &view, &answered, patterns));
    body.push(&Html::own("</div>\n<div id=\"rest\">\n"));
    body.push(&pieces.dispute);
    body.push(&pieces.contents);
    body.push(&pieces.rest);
    body.push(&Html::own("</div>\n"));
    page(
        &Shell {
            token: Some(token),
            title: &pieces.title,
            head: Html::new(),
            class: "desk",
            back: true,
        },
        &body,
    )
}

/// What to do where another paper was handed over.
fn notice(paper: crate::model::Paper) -> Html {
    use crate::model::Paper;
    let said = match paper {
        Paper::OperatingLimitations | Paper::LightSportCategory => return Html::new(),
        Paper::Certificate => {
            "This is the airworthiness certificate, not the operating limitations. They are the \
             pages attached to it, with numbered limitations. Hand over those."
        }
        Paper::AirmanCertificate => {
            "This is a person's certificate, not operating limitations. Hand over the pages with \
             numbered limitations that belong to the aircraft."
        }
        Paper::Registration => {
            "This is a registration, not operating limitations. Hand over the pages with numbered \
             limitations that belong to the special airworthiness certificate."
        }
        Paper::Unknown => {
            "This does not look like operating limitations. Hand over the pages with numbered \
             limitations that belong to the special airworthiness certificate; where it is them, a \
             better scan may help."
        }
    };
    Html::own(format!(
        "<p class=\"notice\" role=\"alert\">{}</p>\n",
        text(said).as_str()
    ))
}
