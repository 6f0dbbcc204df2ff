//! What somebody told the reader about the letter, held against it.

use super::{Shell, page};
use crate::patterns::Patterns;
use crate::report::View;
use crate::report::html::{self, Html, text};
use crate::serve::facts::Facts;
use crate::serve::held::Held;

/// Characters of a claim: what people say in a message, not a paper of its own.
pub(in crate::serve) const MOST: usize = 4000;

/// The box for it, with what was typed before.
pub(in crate::serve) fn form(base: &str, facts: &Facts, words: &str) -> Html {
    Html::own(format!(
        "<form method=\"post\" action=\"{base}/claim{query}\" id=\"told-you\">\n\
         <p class=\"field\"><label for=\"claim\">Somebody told you what this letter says?</label>\n\
         <small id=\"h-claim\" class=\"hint\">Paste it, in their words: each sentence is held against \
         the clause that it speaks of.</small>\n\
         <textarea id=\"claim\" name=\"claim\" rows=\"3\" maxlength=\"{MOST}\" required \
         spellcheck=\"false\" aria-describedby=\"h-claim\">{words}</textarea></p>\n\
         <p><button type=\"submit\" class=\"plain\">Hold it against the letter</button></p>\n</form>\n",
        query = text(&facts.query()).as_str(),
        words = html::lines(words).as_str(),
    ))
}

/// The page of what it comes to.
pub(in crate::serve) fn claim(
    token: &str,
    id: u64,
    held: &Held,
    facts: &Facts,
    words: &str,
    patterns: &Patterns,
) -> String {
    let base = format!("/{token}/letters/{id}");
    let view = held.view_of(facts.letter, patterns);
    let statements = crate::compare::claim(&view.letter, &view.text, words, patterns);
    let seen = View::new(&view.text, &view.letter);
    let mut body = html::claim_body(seen, &statements, patterns);
    body.push(&form(&base, facts, words));
    body.push(&super::back(&base, facts));
    page(&Shell::of(token, html::CLAIM), &body)
}
