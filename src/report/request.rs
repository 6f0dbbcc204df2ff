//! The draft request for amended limitations, and the questions for the FAA office and an attorney.

use serde::Serialize;

use super::blocks::{Block, plain, without_commands};
use super::terminal::sheet::{Sheet, bold};
use super::{clean, days, docx, json};
use crate::answer::{Amend, AmendRow, Draft, DraftPart};
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
    list(&mut sheet, AMEND, &amend(draft.amend.as_ref()));
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
                    sheet.para(0, &clean::line(&told(part, paragraph)));
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

const NOT_USEFUL: &str = "No draft: an amended letter alone would not change the answer for anybody who was asked about; \
     why stands below. Who can sign without doubt: `whomay who LETTER`.";

const AMEND: &str = "Amend or not";

/// What the newest set would add and take away, line by line.
fn amend(amend: Option<&Amend>) -> Vec<String> {
    let Some(amend) = amend else {
        return Vec::new();
    };
    let mut lines = Vec::new();
    if amend.series.is_empty() {
        lines.push(
            "No wording of the current set for this purpose is held here, so what it would add and \
             take away cannot be told: ask for it before you apply, and hold it against the letter \
             (`whomay compare LETTER NEW`)."
                .to_owned(),
        );
    } else {
        let number = amend.rows.len();
        let held = if number == 1 {
            "one limitation is".to_owned()
        } else {
            format!("{number} limitations are")
        };
        lines.push(format!(
            "The newest set known here is {} ({}); {held} held, and only by these can be told what it \
             would add and take away. Ask for the rest before you apply, and hold it against the \
             letter (`whomay compare LETTER NEW`): a person who is named now may be named no more.",
            amend.series, amend.issued
        ));
    }
    lines.extend(amend.rows.iter().map(row));
    lines.extend(amend.reported.iter().cloned());
    lines
}

fn row(row: &AmendRow) -> String {
    let quoted = |words: &str| format!("\u{ab}{}\u{bb}", clean::shortened(words, LONGEST));
    let would_come = quoted(&numbered(row));
    let said = match &row.replaces {
        None => format!("The letter has no counterpart, and would get {would_come}"),
        Some(old) if !old.differs => format!(
            "Changes nothing of weight in clause {}: {would_come}",
            old.clause
        ),
        Some(old) => format!(
            "In the place of {} would come {would_come}",
            quoted(&old.text)
        ),
    };
    format!("{said} ({}).", row.source)
}

/// Characters of a clause that are shown; nearly all clauses are shorter.
const LONGEST: usize = 1000;

/// The limitation with its number in the order's list, which some sets print at its end.
fn numbered(row: &AmendRow) -> String {
    let item = &row.item;
    let printed = [format!("{item}."), format!("({item})"), format!("{item})")];
    let has_it =
        printed.iter().any(|p| row.text.starts_with(p)) || row.text.ends_with(&format!("({item})"));
    if item.is_empty() || has_it {
        row.text.clone()
    } else {
        format!("{}. {}", row.item, row.text)
    }
}

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
    list(&mut out, AMEND, &amend(draft.amend.as_ref()));
    if !draft.parts.is_empty() {
        out.push_str("\n## Draft\n");
        for part in &draft.parts {
            if !part.heading.is_empty() {
                out.push_str(&format!("\n### {}\n", escape(&part.heading)));
            }
            for paragraph in &part.paragraphs {
                let quote = if part.quotes { "> " } else { "" };
                out.push_str(&format!("\n{quote}{}\n", escape(&told(part, paragraph))));
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

/// As a word processor's file: the draft, then what is not sent with it.
///
/// # Errors
/// Where the file cannot be made.
pub fn docx(draft: &Draft) -> std::io::Result<Vec<u8>> {
    let title = "Draft request for amended operating limitations";
    let said = |item: &str| days::told(&without_commands(item));
    let list = |heading: &str, items: &[String]| {
        if items.is_empty() {
            return Vec::new();
        }
        vec![
            Block::Heading(heading.to_owned()),
            Block::List(items.iter().map(|item| plain(&said(item))).collect()),
        ]
    };
    let mut blocks = vec![Block::Title(title.to_owned())];
    if !draft.useful {
        blocks.push(Block::Para(plain(&without_commands(NOT_USEFUL))));
    }
    for part in &draft.parts {
        if !part.heading.is_empty() {
            blocks.push(Block::Heading(part.heading.clone()));
        }
        blocks.extend(part.paragraphs.iter().map(|paragraph| {
            let words = plain(&told(part, paragraph));
            if part.quotes {
                Block::Quote(words)
            } else {
                Block::Para(words)
            }
        }));
    }
    blocks.push(Block::Title("Not to be sent with it".to_owned()));
    blocks.push(Block::Para(plain(&draft.about)));
    blocks.extend(list("Before you send it", &draft.warnings));
    blocks.extend(list(AMEND, &amend(draft.amend.as_ref())));
    blocks.extend(list("Blanks to fill in", &draft.blanks));
    blocks.extend(list("Questions for the FAA office", &draft.for_the_office));
    blocks.extend(list("Questions for an attorney", &draft.for_an_attorney));
    docx::file(title, &blocks)
}

/// A paragraph with its days as people write them; words of the letter stay as they are.
fn told(part: &DraftPart, paragraph: &str) -> String {
    if part.quotes {
        paragraph.to_owned()
    } else {
        days::told(paragraph)
    }
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
    let amended = amend(draft.amend.as_ref());
    let amended: Vec<String> = amended.iter().map(|l| without_commands(l)).collect();
    add("amend", AMEND, list(&amended));
    let mut parts = Html::new();
    for part in &draft.parts {
        if !part.heading.is_empty() {
            parts.push(&html::heading(3, &part.heading));
        }
        for paragraph in &part.paragraphs {
            parts.push(&if part.quotes {
                html::quote(paragraph, Span::new(0, paragraph.len()), &[])
            } else {
                html::p(&html::text(&days::told(paragraph)))
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
        amend: Option<JsonAmend>,
        for_the_office: Vec<String>,
        for_an_attorney: Vec<String>,
    }
    #[derive(Serialize)]
    struct JsonAmend {
        series: String,
        issued: String,
        limitations: Vec<JsonRow>,
        message: Vec<String>,
    }
    #[derive(Serialize)]
    struct JsonRow {
        item: String,
        clause: Option<String>,
        differs: bool,
        /// The whole limitation, where it would change something.
        adds: Option<String>,
        /// The whole clause that would go for it.
        takes_away: Option<String>,
        source: String,
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
        amend: draft.amend.as_ref().map(|a| JsonAmend {
            series: a.series.clone(),
            issued: a.issued.clone(),
            limitations: a
                .rows
                .iter()
                .map(|r| {
                    let differs = r.replaces.as_ref().is_none_or(|old| old.differs);
                    let old = r.replaces.as_ref();
                    JsonRow {
                        item: r.item.clone(),
                        clause: old.map(|old| clean::line(&old.clause)),
                        differs,
                        adds: differs.then(|| clean::line(&numbered(r))),
                        takes_away: old.filter(|_| differs).map(|old| clean::line(&old.text)),
                        source: r.source.clone(),
                    }
                })
                .collect(),
            message: lines(&amend(Some(a))),
        }),
        for_the_office: lines(&draft.for_the_office),
        for_an_attorney: lines(&draft.for_an_attorney),
    })
}
