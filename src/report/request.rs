//! The draft request for amended limitations, and the questions for the FAA office and an attorney.

use serde::Serialize;

use super::terminal::sheet::{Sheet, bold};
use super::{clean, json};
use crate::answer::Draft;
use crate::model::Span;

/// As plain text.
#[must_use]
pub fn terminal(draft: &Draft, width: usize) -> String {
    let mut sheet = Sheet::new(width);
    sheet.para(0, &clean::line(&draft.about));
    if !draft.useful {
        sheet.blank();
        sheet.para(0, NOT_USEFUL);
    }
    list(&mut sheet, "Before you send it", &draft.warnings);
    if !draft.parts.is_empty() {
        sheet.heading("Draft");
        for part in &draft.parts {
            if !part.heading.is_empty() {
                sheet.blank();
                sheet.para(0, &bold(&clean::line(&part.heading)));
            }
            for paragraph in &part.paragraphs {
                sheet.blank();
                if part.quotes {
                    sheet.para(4, &clean::line(paragraph));
                } else {
                    sheet.para(0, &clean::line(paragraph));
                }
            }
        }
    }
    list(&mut sheet, "Blanks to fill in", &draft.blanks);
    list(
        &mut sheet,
        "Questions for the FAA office",
        &draft.for_the_office,
    );
    list(
        &mut sheet,
        "Questions for an attorney",
        &draft.for_an_attorney,
    );
    sheet.finish()
}

const NOT_USEFUL: &str = "Amended limitations would help nobody here: either everybody whom a rule lets in is named, or \
     this is no letter that could be amended.";

fn list(sheet: &mut Sheet, heading: &str, items: &[String]) {
    if items.is_empty() {
        return;
    }
    sheet.heading(heading);
    for item in items {
        sheet.hanging(2, 4, &format!("- {}", clean::line(item)));
    }
}

/// As Markdown.
#[must_use]
pub fn markdown(draft: &Draft) -> String {
    use super::markdown::escape;
    let mut out = format!("{}\n", escape(&draft.about));
    if !draft.useful {
        out.push_str(&format!("\n{NOT_USEFUL}\n"));
    }
    let list = |out: &mut String, heading: &str, items: &[String]| {
        if !items.is_empty() {
            out.push_str(&format!("\n## {heading}\n\n"));
            for item in items {
                out.push_str(&format!("* {}\n", escape(item)));
            }
        }
    };
    list(&mut out, "Before you send it", &draft.warnings);
    if !draft.parts.is_empty() {
        out.push_str("\n## Draft\n");
        for part in &draft.parts {
            if !part.heading.is_empty() {
                out.push_str(&format!("\n### {}\n", escape(&part.heading)));
            }
            for paragraph in &part.paragraphs {
                let quote = if part.quotes { "> " } else { "" };
                out.push_str(&format!("\n{quote}{}\n", escape(paragraph)));
            }
        }
    }
    list(&mut out, "Blanks to fill in", &draft.blanks);
    list(
        &mut out,
        "Questions for the FAA office",
        &draft.for_the_office,
    );
    list(
        &mut out,
        "Questions for an attorney",
        &draft.for_an_attorney,
    );
    out
}

/// As a page to print.
#[must_use]
pub fn html(draft: &Draft) -> String {
    use super::html::{self, Html};
    let title = "Draft request for amended operating limitations";
    let mut body = html::heading(1, title);
    body.push(&html::classed("caution", &html::text(&draft.about)));
    if !draft.useful {
        body.push(&html::p(&html::text(NOT_USEFUL)));
    }
    let list = |items: &[String]| html::list(items.iter().map(|item| html::text(item)));
    let mut add = |anchor: &str, heading: &str, part: Html| {
        if !part.is_empty() {
            body.push(&html::section(anchor, heading, &part));
        }
    };
    add("before", "Before you send it", list(&draft.warnings));
    let mut parts = Html::new();
    for part in &draft.parts {
        if !part.heading.is_empty() {
            parts.push(&html::heading(3, &part.heading));
        }
        for paragraph in &part.paragraphs {
            parts.push(&if part.quotes {
                html::quote(paragraph, Span::new(0, paragraph.len()), &[])
            } else {
                html::p(&html::text(paragraph))
            });
        }
    }
    add("draft", "Draft", parts);
    add("blanks", "Blanks to fill in", list(&draft.blanks));
    add(
        "office",
        "Questions for the FAA office",
        list(&draft.for_the_office),
    );
    add(
        "attorney",
        "Questions for an attorney",
        list(&draft.for_an_attorney),
    );
    html::page(title, &body)
}

/// For programs.
#[must_use]
pub fn json(draft: &Draft) -> String {
    #[derive(Serialize)]
    struct Root {
        schema: u32,
        about: String,
        useful: bool,
        parts: Vec<Part>,
        blanks: Vec<String>,
        warnings: Vec<String>,
        for_the_office: Vec<String>,
        for_an_attorney: Vec<String>,
    }
    #[derive(Serialize)]
    struct Part {
        heading: String,
        paragraphs: Vec<String>,
        quotes: bool,
    }
    let lines = |all: &[String]| all.iter().map(|s| clean::line(s)).collect::<Vec<_>>();
    json::pretty(&Root {
        schema: 1,
        about: clean::line(&draft.about),
        useful: draft.useful,
        parts: draft
            .parts
            .iter()
            .map(|p| Part {
                heading: clean::line(&p.heading),
                paragraphs: lines(&p.paragraphs),
                quotes: p.quotes,
            })
            .collect(),
        blanks: lines(&draft.blanks),
        warnings: lines(&draft.warnings),
        for_the_office: lines(&draft.for_the_office),
        for_an_attorney: lines(&draft.for_an_attorney),
    })
}
