//! The pages: the shell, and one file a page. Words get into a page only through `html::text`, which
//! makes them inert.

pub(super) mod ask;
pub(super) mod claim;
pub(super) mod entry;
pub(super) mod letter;
pub(super) mod many;
pub(super) mod sheet;
pub(super) mod start;
pub(super) mod two;
pub(super) mod wait;
pub(super) mod words;
pub(super) mod year;

use axum::http::{HeaderValue, header};
use axum::response::{IntoResponse, Response};

use crate::report::CAUTION;
use crate::report::html::{Html, text};
use crate::serve::facts::Facts;

/// The script of all pages.
pub(super) const SCRIPT: &str = include_str!("page.js");

/// The style of reports, and what the pages here have beside it.
pub(super) fn style() -> String {
    format!("{}{}", crate::report::html::STYLE, include_str!("page.css"))
}

/// A page as an answer.
pub(super) fn html(page: String) -> Response {
    let kind = HeaderValue::from_static("text/html; charset=utf-8");
    ([(header::CONTENT_TYPE, kind)], page).into_response()
}

/// What parts of the shell depend on.
pub(super) struct Shell<'a> {
    /// The token; without it the page has no style and leads nowhere.
    pub(super) token: Option<&'a str>,
    pub(super) title: &'a str,
    /// More for the head.
    pub(super) head: Html,
    /// Class of the main part.
    pub(super) class: &'static str,
    /// Whether a link leads back to the start.
    pub(super) back: bool,
}

impl<'a> Shell<'a> {
    /// A page that leads back to the start, and has nothing of its own.
    pub(super) const fn of(token: &'a str, title: &'a str) -> Self {
        Self {
            token: Some(token),
            title,
            head: Html::new(),
            class: "",
            back: true,
        }
    }
}

/// The whole page.
pub(super) fn page(shell: &Shell<'_>, body: &Html) -> String {
    let (links, back) = shell.token.map_or_else(Default::default, |token| {
        let links = format!(
            "<link rel=\"stylesheet\" href=\"/{token}/page.css\">\n\
             <script src=\"/{token}/page.js\" defer></script>\n"
        );
        let back = if shell.back {
            format!("<a href=\"/{token}/\">Read another letter</a>")
        } else {
            String::new()
        };
        (links, back)
    });
    format!(
        "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <meta name=\"color-scheme\" content=\"light dark\">\n\
         <meta name=\"robots\" content=\"noindex\">\n\
         <link rel=\"icon\" href=\"data:,\">\n\
         <title>{title}</title>\n{links}{head}</head>\n<body class=\"served\">\n\
         <a class=\"skip\" href=\"#content\">Skip to the content</a>\n\
         <header class=\"bar\"><p>On this machine only: nothing you hand over leaves it.</p>\
         {back}</header>\n\
         <main id=\"content\" class=\"{class}\" tabindex=\"-1\">\n{body}</main>\n\
         <footer>\n<p>{CAUTION}</p>\n<p>whomay {version}. Letters are held in memory and are gone \
         when you stop the program (on its first page, or with Ctrl-C in its terminal).</p>\n</footer>\n</body>\n</html>\n",
        title = text(shell.title).as_str(),
        head = shell.head.as_str(),
        class = shell.class,
        body = body.as_str(),
        version = env!("CARGO_PKG_VERSION"),
    )
}

/// A page with a heading and a sentence.
pub(super) fn plain(token: Option<&str>, heading: &str, said: &str) -> String {
    let mut body = crate::report::html::heading(1, heading);
    body.push(&crate::report::html::p(&text(said)));
    if let Some(token) = token {
        body.push(&Html::own(format!(
            "<p><a class=\"button\" href=\"/{token}/\">Hand over a letter</a></p>\n"
        )));
    }
    page(
        &Shell {
            token,
            title: heading,
            head: Html::new(),
            class: "",
            back: false,
        },
        &body,
    )
}

/// The way back to the letter, with what was said.
pub(super) fn back(base: &str, facts: &Facts) -> Html {
    Html::own(format!(
        "<p class=\"screen\"><a class=\"button\" href=\"{base}{}\">Back to the letter</a></p>\n",
        text(&facts.query()).as_str()
    ))
}

/// A number and its noun.
pub(super) fn count(n: usize, one: &str, more: &str) -> String {
    if n == 1 {
        format!("1 {one}")
    } else {
        format!("{n} {more}")
    }
}
