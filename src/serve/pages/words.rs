//! Words that decide and that OCR was not sure of: the cut-out of the scan, and what it says.

use crate::model::{Picture, Seen, Text};
use crate::report::html::{Html, heading, p, text};
use crate::serve::facts::Facts;
use crate::serve::held::{Held, View, Word};

/// Words that are asked for on one page.
const MOST: usize = 12;
/// Columns of the scan beside a word: as much as can be read on a phone.
const AROUND: u32 = 130;

/// The form; nothing where no word is doubtful.
pub(in crate::serve) fn section(base: &str, facts: &Facts, held: &Held, view: &View) -> Html {
    if view.words.is_empty() {
        return Html::new();
    }
    let mut body = heading(2, "Please look: words that decide");
    body.push(&p(&text(
        "The scan does not show these words clearly, and the answer rests on them. Say what you \
         read; the report will say that a person read it.",
    )));
    let query = text(&facts.query());
    body.push(&Html::own(format!(
        "<form method=\"post\" action=\"{base}/words{}\" id=\"look\">\n",
        query.as_str()
    )));
    for word in view.words.iter().take(MOST) {
        body.push(&one(base, held.base(), word));
    }
    if view.words.len() > MOST {
        body.push(&p(&text(&format!(
            "{} more follow when these are settled. Perhaps a better scan is the shorter way.",
            view.words.len() - MOST
        ))));
    }
    body.push(&Html::own(
        "<p><button type=\"submit\">Take what I read</button></p>\n</form>\n",
    ));
    Html::own(format!(
        "<section id=\"look-closer\" class=\"look\">\n{}</section>\n",
        body.as_str()
    ))
}

fn one(base: &str, read: &Text, word: &Word) -> Html {
    let n = word.index;
    let place = read.place(word.doubt.span.start);
    let mut choices: Vec<String> = vec![word.read.clone()];
    if let Some(meant) = word.doubt.meant.as_ref().filter(|m| **m != word.read) {
        choices.insert(0, meant.clone());
    }
    let said = word.said.as_deref();
    let other = said.filter(|s| !choices.iter().any(|c| c == s));
    let mut out = Html::own(format!(
        "<fieldset class=\"word\">\n<legend>Page {}, line {}</legend>\n",
        place.page, place.line
    ));
    out.push(&picture(base, read, word));
    out.push(&Html::own("<p class=\"quiet\">Read as: "));
    out.push(&text(&word.line.0));
    out.push(&Html::own(" <mark>"));
    out.push(&text(&word.read));
    out.push(&Html::own("</mark> "));
    out.push(&text(&word.line.1));
    out.push(&Html::own("</p>\n"));
    let mut button = |value: &str, words: &str, chosen: bool, id: &str| {
        out.push(&Html::own(format!(
            "<label><input type=\"radio\" name=\"w{n}\" id=\"w{n}-{id}\" value=\"{}\"{}> {}</label>\n",
            text(value).as_str(),
            if chosen { " checked" } else { "" },
            text(words).as_str()
        )));
    };
    for (k, choice) in choices.iter().enumerate() {
        button(
            &format!("={choice}"),
            &format!("It says \u{201c}{choice}\u{201d}"),
            said == Some(choice),
            &k.to_string(),
        );
    }
    button("other", "It says something else:", other.is_some(), "other");
    out.push(&Html::own(format!(
        "<input type=\"text\" name=\"o{n}\" id=\"o{n}\" aria-label=\"What it says on page {}, line \
         {}\" value=\"{}\" maxlength=\"100\" autocomplete=\"off\" spellcheck=\"false\">\n",
        place.page,
        place.line,
        text(other.unwrap_or_default()).as_str()
    )));
    let mut button = |value: &str, words: &str, chosen: bool, id: &str| {
        out.push(&Html::own(format!(
            "<label><input type=\"radio\" name=\"w{n}\" id=\"w{n}-{id}\" value=\"{value}\"{}> {words}\
             </label>\n",
            if chosen { " checked" } else { "" },
        )));
    };
    button("", "I cannot tell either", said.is_none(), "none");
    out.push(&Html::own("</fieldset>\n"));
    out
}

/// The cut-out of the page, with the word outlined.
fn picture(base: &str, read: &Text, word: &Word) -> Html {
    let place = read.place(word.doubt.span.start);
    let seen: Option<(&Seen, &Picture)> = read
        .seen
        .iter()
        .find(|s| s.span.overlaps(word.doubt.span))
        .and_then(|s| {
            let of = |p: &&Picture| (p.source, p.page) == (s.source, s.page);
            Some((s, read.pictures.iter().find(of)?))
        });
    let Some((seen, page)) = seen else {
        return p(&text("There is no picture of it here; look at the paper."));
    };
    let height = seen.height.max(8);
    let left = seen.x.saturating_sub(AROUND);
    let right = (seen.x + seen.width + AROUND).min(page.width);
    let top = seen.y.saturating_sub(height);
    let bottom = (seen.y + 2 * height).min(page.height);
    Html::own(format!(
        "<svg class=\"cutout\" viewBox=\"{left} {top} {} {}\" role=\"img\" aria-label=\"The line on \
         page {} of the scan, with the word outlined\">\
         <image width=\"{}\" height=\"{}\" href=\"{base}/pages/{}/{}\"/>\
         <rect class=\"outline\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"/></svg>\n",
        right.saturating_sub(left).max(1),
        bottom.saturating_sub(top).max(1),
        place.page,
        page.width,
        page.height,
        seen.source,
        seen.page,
        seen.x.saturating_sub(3),
        seen.y,
        seen.width + 6,
        seen.height,
    ))
}
