//! What the parts of the report share.

use super::marks::Marks;
use crate::report::html::{Html, inert, text};
use crate::report::{Report, days};

/// What the parts of the page share.
pub(super) struct Page<'a> {
    pub(super) report: &'a Report<'a>,
    pub(super) marks: Marks,
    /// Whether the letter stands at the end of the page, so that places in it can be linked to.
    pub(super) has_letter: bool,
}

/// Anchor of a clause in the letter.
pub(super) fn clause_anchor(index: usize) -> String {
    format!("c-{index}")
}

/// The file without its folders: a page is passed on, and they are nobody else's business.
pub(super) fn file_name(name: &str) -> &str {
    name.rsplit(['/', '\\']).next().unwrap_or(name)
}

/// Words of this program in which `…` sets commands apart. Options of the command line, such as
/// " (--owner)", are left out: a page has no use for them.
pub(super) fn prose(said: &str) -> Html {
    let marked = &without_options(said);
    let mut out = Html::new();
    let odd = marked.matches('`').count() % 2 == 1;
    if odd {
        return text(marked);
    }
    for (n, piece) in marked.split('`').enumerate() {
        let command = n % 2 == 1;
        let words = if command {
            inert::piece(piece)
        } else {
            inert::piece(&days::told(piece))
        };
        if command {
            out.push(&Html::own(format!("<code>{}</code>", words.as_str())));
        } else {
            out.push(&words);
        }
    }
    out
}

fn without_options(said: &str) -> String {
    let mut out = String::new();
    let mut rest = said;
    while let Some((before, after)) = rest.split_once(" (--") {
        out.push_str(before);
        match after.split_once(')') {
            Some((name, after)) if name.chars().all(|c| c.is_ascii_lowercase() || c == '-') => {
                rest = after;
            }
            _ => {
                out.push_str(" (--");
                rest = after;
            }
        }
    }
    out.push_str(rest);
    out
}
