//! The report with the questions beside it.

use super::{Shell, ask, page, words};
use crate::model::Mixed;
use crate::patterns::Patterns;
use crate::report::html::{self, Html, heading, list, text};
use crate::report::mixed as told;
use crate::report::short;
use crate::serve::facts::Facts;
use crate::serve::held::{Held, View};

pub(in crate::serve) fn letter(
    token: &str,
    id: u64,
    held: &Held,
    facts: &Facts,
    patterns: &Patterns,
) -> String {
    let base = format!("/{token}/letters/{id}");
    let view = held.view_of(facts.letter, patterns);
    if let Some(mixed) = &view.letter.mixed
        && !facts.question.same_aircraft
    {
        return choice(token, &base, &view, mixed, facts);
    }
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
    body.push(&Html::own(
        "<p class=\"jump\"><a href=\"#ask\">Questions</a> <a href=\"#take\">Take it with you</a>\
         </p>\n",
    ));
    body.push(&pieces.answer);
    body.push(&Html::own(
        "</div>\n<div id=\"ask\" role=\"complementary\" aria-label=\"Questions and downloads\">\n",
    ));
    let short = short::plain(&report);
    body.push(&ask::aside(
        &base, facts, &view, &answered, &short, patterns,
    ));
    body.push(&Html::own("</div>\n<div id=\"rest\">\n"));
    body.push(&pieces.dispute);
    body.push(&pieces.contents);
    body.push(&pieces.rest);
    body.push(&Html::own("</div>\n"));
    page(
        &Shell {
            class: "desk",
            ..Shell::of(token, &pieces.title)
        },
        &body,
    )
}

/// The papers are of different aircraft: each apart, or one aircraft after all.
fn choice(token: &str, base: &str, view: &View, mixed: &Mixed, facts: &Facts) -> String {
    let title = "These papers are of different aircraft";
    let mut body = heading(1, title);
    body.push(&Html::own(format!(
        "<p class=\"notice\" role=\"alert\">{}</p>\n",
        text(&told::stop(&view.text, &view.letter, mixed)).as_str()
    )));
    body.push(&heading(2, "What differs"));
    body.push(&list(
        told::differences(&view.text, &view.letter, mixed)
            .iter()
            .map(|line| text(line)),
    ));
    body.push(&heading(2, "Look at each of them"));
    let count = mixed.letters.len();
    let mut items = String::new();
    for (n, spans) in mixed.letters.iter().enumerate() {
        let name = told::heading(n + 1, count, &view.text.part(spans));
        items.push_str(&format!(
            "<li><a href=\"{base}{}\">{}</a></li>\n",
            text(&facts.query_with("letter", &(n + 1).to_string())).as_str(),
            text(&name).as_str()
        ));
    }
    body.push(&Html::own(format!("<ul>\n{items}</ul>\n")));
    body.push(&heading(2, "Or read them as one"));
    body.push(&Html::own(format!(
        "<p><a href=\"{base}{}\">They are of one aircraft after all</a></p>\n",
        text(&facts.query_with("same-aircraft", "yes")).as_str()
    )));
    page(&Shell::of(token, title), &body)
}

/// What to do where another paper was handed over.
fn notice(paper: crate::model::Paper) -> Html {
    use crate::model::Paper;
    let said = match paper {
        Paper::OperatingLimitations | Paper::LightSportCategory => return Html::new(),
        Paper::Clause => {
            "Judged on this clause alone. Another clause of the letter can say otherwise: hand over \
             all its pages."
        }
        Paper::Other(_) => {
            let like = crate::answer::paper_looks_like(paper).unwrap_or_default();
            let said =
                format!("This does not look like operating limitations. It looks like {like}.");
            return Html::own(format!(
                "<p class=\"notice\" role=\"alert\">{}</p>\n",
                text(&said).as_str()
            ));
        }
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
