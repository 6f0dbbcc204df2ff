//! One letter: the answer first, then why, then the letter itself with the deciding words marked
//! and linked to the statements that rest on them.

mod about;
mod answer;
mod dispute;
mod marks;
mod page;
mod picture;
mod sheet;
mod why;

use super::{Html, heading, link, list, page, section, text};
use crate::report::first::{FirstScreen, in_dispute};
use crate::report::{Report, words};
use marks::Marks;
use page::{Page, clause_anchor, file_name, prose};
pub use picture::{COLUMNS, PageImage, WordBox, pictures};

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

/// The whole report in pieces, for a page that has more on it.
#[derive(Clone, Debug)]
pub struct Pieces {
    /// What is asked: the title of the page.
    pub title: String,
    /// The heading, and what paper it is.
    pub head: Html,
    /// The answer: a section.
    pub answer: Html,
    /// What is in dispute, on one screen: a section, or nothing.
    pub dispute: Html,
    /// Links to the other sections.
    pub contents: Html,
    /// The other sections.
    pub rest: Html,
}

/// The pieces of [`letter`], with links to what the page has in place of commands.
#[must_use]
pub fn pieces(report: &Report<'_>, pictures: &[PageImage<'_>]) -> Pieces {
    let pieces = cut(report, true, pictures);
    Pieces {
        answer: without_commands(&pieces.answer, true),
        rest: without_commands(&pieces.rest, true),
        ..pieces
    }
}

/// What a reader types in a terminal; what stands for it on a page that has a draft of the
/// request and asks the questions itself; and in a file, which may be read where no such program
/// is.
const COMMANDS: [(&str, &str, &str); 6] = [
    (
        "<code>whomay request LETTER</code> drafts the questions",
        "the draft request on this page has the questions",
        "whomay drafts the questions",
    ),
    (
        "<code>whomay request LETTER</code> drafts it",
        "there is a draft on this page",
        "whomay drafts the request",
    ),
    (
        "<code>whomay request</code> drafts",
        "this page drafts",
        "whomay drafts",
    ),
    (
        " (<code>whomay who LETTER --ask</code> asks for it)",
        " (answer the questions on this page)",
        "",
    ),
    ("; <code>whomay entry</code> checks it", "", ""),
    (
        "<code>whomay explain ID</code> shows a rule, a reading or a pattern in full.",
        "",
        "",
    ),
];

/// Words of a letter never match: in them `<` is escaped.
fn without_commands(part: &Html, served: bool) -> Html {
    let mut out = part.as_str().to_owned();
    for (command, on_page, in_file) in COMMANDS {
        let words = if served { on_page } else { in_file };
        if out.contains(command) {
            out = out.replace(command, words);
        }
    }
    Html::own(out)
}

fn build(report: &Report<'_>, has_letter: bool, pictures: &[PageImage<'_>]) -> String {
    let pieces = cut(report, has_letter, pictures);
    let body: Html = [pieces.head, pieces.contents, pieces.answer, pieces.rest]
        .into_iter()
        .collect();
    page(&pieces.title, &without_commands(&body, false))
}

fn cut(report: &Report<'_>, has_letter: bool, pictures: &[PageImage<'_>]) -> Pieces {
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
        (
            "why",
            "Why: two keys for each kind",
            why::keys(&page_, &first),
        ),
        ("readings", "How others read it", dispute::readings(&page_)),
        ("next", "Next steps", dispute::next(&page_)),
        (
            "situations",
            "In this situation",
            dispute::situations(&page_),
        ),
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

    let mut head =
        Html::own("<p class=\"kicker\">A reading of operating limitations, clause by clause</p>\n");
    head.push(&heading(1, &first.question));
    head.push(&super::classed("lead", &super::strong(&first.lead)));
    head.push(&super::p(&text(&words::sentence(&first.title))));
    let contents = list(parts.iter().map(|(id, title, _)| link(id, &text(title))));
    let contents = Html::own(format!(
        "<nav aria-label=\"Contents\">\n{}</nav>\n",
        contents.as_str()
    ));
    let mut sections = parts
        .iter()
        .map(|(id, title, part)| section(id, title, part));
    // the answer always says something, so it was not dropped above
    let answer = sections.next().unwrap_or_default();
    let brief = dispute::brief(&page_);
    let dispute = if brief.is_empty() || !report.answers.iter().any(in_dispute) {
        Html::new()
    } else {
        section("dispute", "What is in dispute", &brief)
    };
    Pieces {
        title: first.question,
        head,
        dispute,
        answer,
        contents,
        rest: sections.collect(),
    }
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
