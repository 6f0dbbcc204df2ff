//! A log entry, held against the letter.

use super::{Shell, page};
use crate::model::Text;
use crate::patterns::Patterns;
use crate::report::entry_paper;
use crate::report::html::{self, Html, text};
use crate::serve::facts::Facts;
use crate::serve::held::Held;

/// Characters of an entry: a page of a log.
pub(in crate::serve) const MOST: usize = 8000;

/// The box for it, with what was typed before.
pub(in crate::serve) fn form(base: &str, facts: &Facts, words: &str) -> Html {
    Html::own(format!(
        "<form method=\"post\" action=\"{base}/entry{query}\" id=\"log-entry\">\n\
         <p class=\"field\"><label for=\"entry\">Is there a log entry of the last inspection?</label>\n\
         <small id=\"h-entry\" class=\"hint\">Type it as it stands: it is held against what this letter \
         asks for. It stands in no address.</small>\n\
         <textarea id=\"entry\" name=\"entry\" rows=\"4\" maxlength=\"{MOST}\" required \
         spellcheck=\"false\" aria-describedby=\"h-entry\">{words}</textarea></p>\n\
         <p><button type=\"submit\" class=\"plain\">Check the entry</button></p>\n</form>\n",
        query = text(&facts.query()).as_str(),
        words = html::lines(words).as_str(),
    ))
}

/// The page of what it is worth.
pub(in crate::serve) fn entry(
    token: &str,
    id: u64,
    held: &Held,
    facts: &Facts,
    (words, read): (&str, &Text),
    patterns: &Patterns,
) -> String {
    let base = format!("/{token}/letters/{id}");
    let view = held.view_of(facts.letter, patterns);
    let found = view.entry(read, &facts.question, patterns);
    let answered = found.answered(facts.question.clone());
    let report = view.report(&answered, patterns);
    let paper = entry_paper::paper(&found, &report);
    let mut body = paper.body();
    body.push(&form(&base, facts, words));
    body.push(&super::back(&base, facts));
    page(
        &Shell::of(token, "A log entry held against the letter"),
        &body,
    )
}
