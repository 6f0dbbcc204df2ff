//! One letter: the answer first, then why, then the letter itself with the deciding words marked
//! and linked to the statements that rest on them.

mod about;
mod answer;
mod dispute;
mod marks;
mod picture;
mod sheet;
mod why;

use super::{Html, heading, link, list, page, section, text};
use crate::report::first::FirstScreen;
use crate::report::{Report, words};
use marks::Marks;
pub use picture::{PageImage, WordBox};

/// What the parts of the page share.
struct Page<'a> {
    report: &'a Report<'a>,
    marks: Marks,
    /// Whether the letter stands at the end of the page, so that places in it can be linked to.
    has_letter: bool,
}

/// The whole report. Pictures of scanned pages, where the reader kept them, stand beside the text.
#[must_use]
pub fn letter(report: &Report<'_>, pictures: &[PageImage<'_>]) -> String {
    build(report, true, pictures)
}

/// Only the question: the answer, why, what is in dispute, what next.
#[must_use]
pub fn question(report: &Report<'_>) -> String {
    build(report, false, &[])
}

fn build(report: &Report<'_>, has_letter: bool, pictures: &[PageImage<'_>]) -> String {
    let page_ = Page {
        report,
        marks: Marks::of(report),
        has_letter,
    };
    let first = FirstScreen::of(report);
    let mut parts: Vec<(&str, &str, Html)> = vec![
        ("answer", "The answer", answer::answer(&page_, &first)),
        (
            "inspectors",
            "What the letter says about who inspects",
            why::clauses(&page_),
        ),
        ("why", "Why: two keys for each kind", why::keys(&page_)),
        ("readings", "How others read it", dispute::readings(&page_)),
        ("next", "Next steps", dispute::next(&page_)),
        ("beware", "Beware", dispute::beware(&page_)),
        (
            "gaps",
            "What is missing, doubtful or could not be read",
            about::gaps(&page_),
        ),
        ("age", "Where the wording comes from", about::age(&page_)),
    ];
    if has_letter {
        parts.push(("letter", "The letter", sheet::letter(&page_, pictures)));
    }
    parts.push((
        "unverified",
        "Relied on, but not verified",
        dispute::unverified(&page_),
    ));
    parts.push(("about", "About this report", about::about(&page_)));
    parts.retain(|(_, _, body)| !body.is_empty());

    let mut body =
        Html::own("<p class=\"kicker\">A reading of operating limitations, clause by clause</p>\n");
    body.push(&heading(1, &first.question));
    body.push(&super::classed(
        "lead",
        &text(&words::sentence(&first.title)),
    ));
    let contents = list(parts.iter().map(|(id, title, _)| link(id, &text(title))));
    body.push(&Html::own(format!(
        "<nav aria-label=\"Contents\">\n{}</nav>\n",
        contents.as_str()
    )));
    for (id, title, part) in &parts {
        body.push(&section(id, title, part));
    }
    page(&first.question, &body)
}

impl Page<'_> {
    /// The clause with that index, as a link where the letter is on the page.
    fn clause(&self, index: usize) -> Html {
        let words = text(&self.report.view().id(index));
        if self.has_letter {
            link(&clause_anchor(index), &words)
        } else {
            words
        }
    }

    /// "clause 26" or "clauses 26 and 27".
    fn clauses(&self, indexes: &[usize]) -> Html {
        let mut all = Html::own(if indexes.len() == 1 {
            "clause "
        } else {
            "clauses "
        });
        all.push(&Html::joined(
            indexes.iter().map(|i| self.clause(*i)),
            &Html::own(", "),
        ));
        all
    }

    /// The words of a span as a quote, linked to where they stand in the letter.
    fn words(&self, span: crate::model::Span) -> Html {
        let quoted = Html::own(format!(
            "<q>{}</q>",
            text(&self.report.view().words(span)).as_str()
        ));
        match self.marks.at(span).filter(|_| self.has_letter) {
            Some(n) => link(&marks::anchor(n), &quoted),
            None => quoted,
        }
    }
}

/// Anchor of a clause in the letter.
fn clause_anchor(index: usize) -> String {
    format!("c-{index}")
}

/// The file without its folders: a page is passed on, and they are nobody else's business.
fn file_name(name: &str) -> &str {
    name.rsplit(['/', '\\']).next().unwrap_or(name)
}

/// Words of this program in which `…` sets commands apart.
fn prose(said: &str) -> Html {
    let mut out = Html::new();
    let odd = said.matches('`').count() % 2 == 1;
    if odd {
        return text(said);
    }
    for (n, piece) in said.split('`').enumerate() {
        let words = super::inert::piece(piece);
        if n % 2 == 1 {
            out.push(&Html::own(format!("<code>{}</code>", words.as_str())));
        } else {
            out.push(&words);
        }
    }
    out
}
