//! A paper for people in parts - headings, paragraphs, lists, boxes to tick, quotes - and the same
//! paper as plain text, Markdown and HTML. What it says is drawn up by `year`, `sheet`, `request`
//! and `situations`.

use super::html::{self, Html};
use super::markdown::escape;
use super::terminal::sheet::{Sheet, bold, dim};
use super::{CAUTION, clean};

/// A part of a paper.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Part {
    /// A heading.
    Heading(String),
    /// A heading within a part.
    Lower(String),
    /// A paragraph.
    Words(String),
    /// A list.
    List(Vec<String>),
    /// A list of things to tick.
    Ticks(Vec<String>),
    /// Words of the letter, or words to write.
    Quote(String),
}

/// A paper.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Paper {
    /// What it is.
    pub title: String,
    /// Its parts, in order.
    pub parts: Vec<Part>,
    /// Printed small, so that it fits on one sheet wherever it can.
    pub compact: bool,
}

impl Paper {
    /// An empty paper.
    #[must_use]
    pub fn new(title: &str) -> Self {
        Self {
            title: title.to_owned(),
            parts: Vec::new(),
            compact: false,
        }
    }

    /// Adds a heading and a list, where the list is not empty.
    pub fn list(&mut self, heading: &str, items: Vec<String>) {
        if !items.is_empty() {
            self.parts.push(Part::Heading(heading.to_owned()));
            self.parts.push(Part::List(items));
        }
    }

    /// As plain text.
    #[must_use]
    pub fn terminal(&self, width: usize) -> String {
        let mut sheet = Sheet::new(width);
        sheet.para(0, &bold(&clean::line(&self.title)));
        for part in &self.parts {
            match part {
                Part::Heading(words) => sheet.heading(&clean::line(words)),
                Part::Lower(words) => {
                    sheet.blank();
                    sheet.para(0, &bold(&clean::line(words)));
                }
                Part::Words(words) => sheet.para(0, &clean::line(words)),
                Part::List(items) => {
                    for item in items {
                        sheet.hanging(2, 4, &format!("- {}", clean::line(item)));
                    }
                }
                Part::Ticks(items) => {
                    for item in items {
                        sheet.hanging(2, 6, &format!("[ ] {}", clean::line(item)));
                    }
                }
                Part::Quote(words) => sheet.para(4, &clean::line(words)),
            }
        }
        sheet.blank();
        sheet.para(0, &dim(CAUTION));
        sheet.finish()
    }

    /// As Markdown.
    #[must_use]
    pub fn markdown(&self) -> String {
        let mut out = format!("# {}\n", escape(&self.title));
        for part in &self.parts {
            out.push('\n');
            match part {
                Part::Heading(words) => out.push_str(&format!("## {}\n", escape(words))),
                Part::Lower(words) => out.push_str(&format!("### {}\n", escape(words))),
                Part::Words(words) => {
                    out.push_str(&format!("{}\n", escape(&without_options(words))));
                }
                Part::List(items) => {
                    for item in items {
                        out.push_str(&format!("* {}\n", escape(&without_options(item))));
                    }
                }
                Part::Ticks(items) => {
                    for item in items {
                        out.push_str(&format!("* [ ] {}\n", escape(item)));
                    }
                }
                Part::Quote(words) => out.push_str(&format!("> {}\n", escape(words))),
            }
        }
        out.push_str(&format!("\n{CAUTION}\n"));
        out
    }

    /// As a page of its own.
    #[must_use]
    pub fn html(&self) -> String {
        html::page(&self.title, &self.body())
    }

    /// The body of the page, for other shells.
    #[must_use]
    pub fn body(&self) -> Html {
        let mut body: Vec<Html> = vec![html::heading(1, &self.title)];
        for part in &self.parts {
            body.push(match part {
                Part::Heading(words) => html::heading(2, words),
                Part::Lower(words) => html::heading(3, words),
                Part::Words(words) => html::p(&html::text(&without_options(words))),
                Part::List(items) => {
                    html::list(items.iter().map(|i| html::text(&without_options(i))))
                }
                Part::Ticks(items) => html::ticks(items.iter().map(|i| html::text(i))),
                Part::Quote(words) => {
                    html::quote(words, crate::model::Span::new(0, words.len()), &[])
                }
            });
        }
        let body: Html = body.into_iter().collect();
        if self.compact {
            html::div("compact", &body)
        } else {
            body
        }
    }
}

/// The sentence without what is typed in a terminal: "(--holder)", "; say it with --holder".
fn without_options(said: &str) -> String {
    let mut out = said.to_owned();
    for (open, close) in [
        ("; say it (--", ")"),
        (" (--", ")"),
        ("; say it with --", "."),
    ] {
        while let Some(at) = out.find(open) {
            let behind = out.get(at..).unwrap_or_default();
            let end = behind.find(close).map_or(out.len(), |n| at + n);
            let end = if close == ")" { end + 1 } else { end };
            out.replace_range(at..end.min(out.len()), "");
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::without_options;

    #[test]
    fn nothing_to_type_stands_on_paper() {
        for (said, left) in [
            (
                "Which ratings the mechanic holds is not told (--ratings).",
                "Which ratings the mechanic holds is not told.",
            ),
            (
                "\"AMT\" does not tell which certificate; say it (--holder).",
                "\"AMT\" does not tell which certificate.",
            ),
            (
                "It was not found in the entry; say it with --holder.",
                "It was not found in the entry.",
            ),
            (
                "Missing: the signature (clause 9).",
                "Missing: the signature (clause 9).",
            ),
        ] {
            assert_eq!(without_options(said), left);
        }
    }
}
