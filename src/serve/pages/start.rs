//! The first page: what to hand over, and how.

use super::{Shell, page};
use crate::report::html::{Html, heading, p, text};
use crate::serve::upload::BODY;

pub(in crate::serve) fn start(token: &str) -> String {
    let mut body = heading(1, "Who may sign the condition inspection of your aircraft?");
    body.push(&Html::own(
        "<p class=\"lead\">Hand over its <em>operating limitations</em>: the pages with numbered \
         limitations that belong to the special airworthiness certificate. A PDF, scans, photos \
         of the pages, or text.</p>\n",
    ));
    let action = format!("/{token}/letters");
    let most = BODY;
    body.push(&Html::own(format!(
        "<form class=\"drop\" id=\"one\" method=\"post\" action=\"{action}\" \
         enctype=\"multipart/form-data\" data-most=\"{most}\">\n\
         <h2 id=\"one-title\">One letter</h2>\n\
         <p id=\"one-hint\"><span class=\"only-drop\">Drop the files here, or choose them. \
         </span>All files of one letter together: photos of its pages, an amendment, the \
         certificate beside it.</p>\n\
         <p><label for=\"file\">Files of the letter</label>\n\
         <input type=\"file\" id=\"file\" name=\"file\" multiple aria-describedby=\"one-hint\"></p>\n\
         <details><summary>Or paste the text</summary>\n\
         <p><label for=\"text\">Text of the letter</label>\n\
         <textarea id=\"text\" name=\"text\" rows=\"8\" spellcheck=\"false\"></textarea></p>\n\
         </details>\n\
         <p><button type=\"submit\">Read the letter</button></p>\n\
         <p class=\"fault\" role=\"alert\" hidden></p>\n</form>\n"
    )));
    body.push(&Html::own(format!(
        "<form class=\"drop\" id=\"two\" method=\"post\" action=\"{action}\" \
         enctype=\"multipart/form-data\" data-most=\"{most}\">\n\
         <h2 id=\"two-title\">Two letters side by side</h2>\n\
         <p>What did the newer letter change, and does it change who may sign?</p>\n\
         <div class=\"pair\">\n{}{}</div>\n\
         <p><button type=\"submit\">Compare the letters</button></p>\n\
         <p class=\"fault\" role=\"alert\" hidden></p>\n</form>\n",
        side("old", "The older letter"),
        side("new", "The newer letter"),
    )));
    body.push(&Html::own(format!(
        "<form class=\"drop\" id=\"club\" method=\"post\" action=\"{action}\" \
         enctype=\"multipart/form-data\" data-most=\"{most}\">\n\
         <h2>A folder of letters</h2>\n\
         <p>A survey: what the letters of a club say, a row each. Marks, names and numbers are left \
         out.</p>\n\
         <p><label for=\"many\">Letters, a file each</label>\n\
         <input type=\"file\" id=\"many\" name=\"many\" multiple></p>\n\
         <p><label for=\"folder\">Or a whole folder</label>\n\
         <input type=\"file\" id=\"folder\" name=\"many\" multiple webkitdirectory></p>\n\
         <p><button type=\"submit\">Survey the letters</button></p>\n\
         <p class=\"fault\" role=\"alert\" hidden></p>\n</form>\n"
    )));
    let mut privacy = heading(2, "What happens with your letter");
    privacy.push(&p(&text(
        "This page comes from a program on your own machine. It reads the letter in memory, asks \
         nobody, sends nothing and keeps no copy. Your browser may remember the address of this \
         page; it stops working when the program stops.",
    )));
    privacy.push(&Html::own(format!(
        "<form method=\"post\" action=\"/{token}/stop\"><p>\
         <button type=\"submit\" class=\"plain\">Stop the program</button></p></form>\n"
    )));
    body.push(&privacy);
    page(
        &Shell {
            token: Some(token),
            title: "whomay: hand over a letter",
            head: Html::new(),
            class: "start",
            back: false,
        },
        &body,
    )
}

fn side(name: &'static str, label: &'static str) -> String {
    format!(
        "<p class=\"zone\"><label for=\"{name}\">{label}</label>\n\
         <input type=\"file\" id=\"{name}\" name=\"{name}\" multiple></p>\n"
    )
}
