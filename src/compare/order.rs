//! An order that the user holds, read into wording files.
//!
//! Orders list their limitations as numbered clauses (with instructions to the inspector in
//! between) or as a long table with an item number and a column for the certification basis; in
//! both, the item number may stand in parentheses at the end of a limitation.

use std::collections::BTreeSet;
use std::fmt::Write as _;

use jiff::civil::Date;

use super::content::body;
use super::index::Index;
use super::order_list::list;
use super::order_rows::{Row, Rows, closing_number, ends_a_sentence, table};
use super::reference::{References, Within};
use crate::model::Text;
use crate::patterns::{Patterns, WordList};

/// What the user says about the order.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OrderFacts {
    /// Family of revisions: `8130.2G`.
    pub series: String,
    /// Revision in words: `Order 8130.2G CHG 1`.
    pub revision: String,
    /// Date of the revision.
    pub issued: Option<Date>,
    /// Paragraph of § 21.191 for rows that do not say theirs.
    pub basis: Option<char>,
    /// The day on which the files are made.
    pub checked: Date,
}

/// A wording read from an order.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OrderWording {
    /// Item of the order's list.
    pub item: String,
    /// Paragraphs of § 21.191.
    pub basis: Vec<char>,
    /// Topic, by the wording nearest to it; `other` where none is near.
    pub topic: String,
    /// What else the cell of the basis says: «turbine».
    pub note: String,
    /// The text, lines joined.
    pub text: String,
    /// It does not end like a sentence.
    pub cut: bool,
    /// First and last page.
    pub pages: (u32, u32),
    /// The path below a folder for `--patterns`, with `/`.
    pub path: String,
    /// The file.
    pub toml: String,
}

/// What was and was not recognized.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct OrderReading {
    /// The wordings, in the order of the text.
    pub wordings: Vec<OrderWording>,
    /// It was read as a table with a column for the basis.
    pub table: bool,
    /// Passages that belong to no item, with page and line: headings, instructions, notes.
    pub skipped: Vec<(u32, u32, String)>,
    /// Items that are missing between the first and the last.
    pub missing: Vec<u32>,
    /// Items that the order leaves empty.
    pub reserved: Vec<String>,
    /// Items that came with the same number as an earlier one and have a path with a suffix.
    pub repeated: Vec<String>,
    /// Items of which no basis is known; no file was made for them.
    pub without_basis: Vec<String>,
}

/// The fewest rows that make a table.
const FEW: usize = 3;

/// Reads an order's list or table of limitations.
#[must_use]
pub fn order(text: &Text, facts: &OrderFacts, patterns: &Patterns) -> OrderReading {
    let (Rows { mut rows, skipped }, is_table) = match table(&text.content, patterns) {
        Some(found) if found.rows.len() >= FEW => (found, true),
        _ => (list(&text.content, patterns), false),
    };
    let mut reading = OrderReading {
        table: is_table,
        skipped: skipped
            .into_iter()
            .filter_map(|span| {
                let words = one_line(span.of(&text.content));
                let place = text.place(span.start);
                (!words.is_empty()).then(|| (place.page, place.line, shortened(&words)))
            })
            .collect(),
        missing: missing(&rows),
        ..OrderReading::default()
    };
    reading.reserved = clean_up(&mut rows, patterns);
    let references = References::new(Within::AnyBasis, patterns);
    let bodies: Vec<String> = rows.iter().map(|r| body(&r.text).to_owned()).collect();
    let index = Index::of_texts(bodies.iter().map(String::as_str), [], patterns);
    let mut paths = BTreeSet::new();
    for (n, row) in rows.iter().enumerate() {
        let basis = if row.basis.is_empty() {
            facts.basis.into_iter().collect()
        } else {
            row.basis.clone()
        };
        if basis.is_empty() {
            reading.without_basis.push(row.item.clone());
            continue;
        }
        let topic = references
            .nearest(&row.text)
            .first()
            .map_or("other", |(w, _)| w.file.topic.as_str())
            .to_owned();
        let cut = !ends_a_sentence(&row.text);
        let path = format!("wording/{}/{}", slug(&facts.series), slug(&row.item));
        let (path, again) = free(path, &mut paths);
        if again {
            reading.repeated.push(row.item.clone());
        }
        let pages = (
            text.place(row.span.start).page,
            text.place(row.span.end.saturating_sub(1).max(row.span.start))
                .page,
        );
        let mut wording = OrderWording {
            item: row.item.clone(),
            basis,
            topic,
            note: row.note.clone(),
            text: row.text.clone(),
            cut,
            pages,
            path: format!("{path}.toml"),
            toml: String::new(),
        };
        let miss = farthest(&index, n, &bodies);
        wording.toml = file(&wording, facts, text, miss);
        reading.wordings.push(wording);
    }
    reading
}

/// Leaves out the rows without words, and the numbers of the others where they stand twice; the items
/// that the order leaves empty.
fn clean_up(rows: &mut Vec<Row>, patterns: &Patterns) -> Vec<String> {
    for row in rows.iter_mut() {
        // Where the number stands in front and at the end, once is enough.
        if let Some((end, number)) = closing_number(&row.text)
            && number == row.item
        {
            row.text.truncate(end);
        }
        if row.item.is_empty() {
            row.item.push_str("none");
        }
    }
    let mut reserved = Vec::new();
    rows.retain(|row| {
        let empty = row.text.is_empty() || {
            let words = row.text.trim_matches(|c: char| !c.is_alphanumeric());
            patterns.list.has(words, WordList::Reserved)
        };
        if empty {
            reserved.push(row.item.clone());
        }
        !empty
    });
    reserved
}

/// The path, with a suffix where it is taken; whether it was.
fn free(path: String, taken: &mut BTreeSet<String>) -> (String, bool) {
    if taken.insert(path.clone()) {
        return (path, false);
    }
    let mut again = (2..).map(|n| format!("{path}-{n}")).take(10_000);
    let found = again.find(|p| taken.insert(p.clone()));
    (found.unwrap_or(path), true)
}

/// The text of the order that has least in common with item `n`: what it must miss.
fn farthest<'b>(index: &Index, n: usize, bodies: &'b [String]) -> &'b str {
    let mut best: Option<(f64, &str)> = None;
    for (m, other) in bodies.iter().enumerate() {
        let similarity = index.between(n, m);
        if m != n && best.is_none_or(|(least, _)| similarity < least) {
            best = Some((similarity, other));
        }
    }
    best.map_or("Smoke must not be discharged below 500 feet.", |(_, t)| t)
}

/// Gaps in the numbers of the items.
fn missing(rows: &[Row]) -> Vec<u32> {
    const LONGEST_LIST: u32 = 500;
    let there: BTreeSet<u32> = rows
        .iter()
        .filter_map(|r| r.item.parse().ok())
        .filter(|n| *n <= LONGEST_LIST)
        .collect();
    match (there.first(), there.last()) {
        (Some(first), Some(last)) => (*first..*last).filter(|n| !there.contains(n)).collect(),
        _ => Vec::new(),
    }
}

fn file(wording: &OrderWording, facts: &OrderFacts, text: &Text, miss: &str) -> String {
    let quoted = |s: &str| toml::Value::String(s.to_owned()).to_string();
    let basis: Vec<String> = wording.basis.iter().map(|b| format!("\"{b}\"")).collect();
    let names: Vec<&str> = text.sources.iter().map(|s| s.name.as_str()).collect();
    let digests: Vec<&str> = text.sources.iter().map(|s| s.sha256.as_str()).collect();
    let pages = match wording.pages {
        (a, b) if a == b => format!("page {a}"),
        (a, b) => format!("pages {a} to {b}"),
    };
    let mut out = String::new();
    let mut line = |words: std::fmt::Arguments<'_>| {
        let _ = writeln!(out, "{words}");
    };
    line(format_args!(
        "about = {}",
        quoted(&format!(
            "{}, item {}: {}.",
            facts.revision, wording.item, wording.topic
        ))
    ));
    line(format_args!(
        "since = {}",
        quoted(env!("CARGO_PKG_VERSION"))
    ));
    line(format_args!("series = {}", quoted(&facts.series)));
    line(format_args!("revision = {}", quoted(&facts.revision)));
    let issued = facts.issued.map(|d| d.to_string()).unwrap_or_default();
    line(format_args!("issued = {}", quoted(&issued)));
    line(format_args!("basis = [{}]", basis.join(", ")));
    line(format_args!("item = {}", quoted(&wording.item)));
    line(format_args!("topic = {}", quoted(&wording.topic)));
    line(format_args!("text = {}", quoted(&wording.text)));
    if wording.cut {
        line(format_args!("cut = \"end\""));
    }
    if !wording.note.is_empty() {
        let note = format!("The order says of its basis: {}.", wording.note);
        line(format_args!("note = {}", quoted(&note)));
    }
    line(format_args!(
        "\n[[source]]\ntitle = {}",
        quoted(&facts.revision)
    ));
    line(format_args!(
        "locator = {}",
        quoted(&format!(
            "{}, {pages}, SHA-256 {}",
            names.join(", "),
            digests.join(", ")
        ))
    ));
    line(format_args!("grade = \"A\"\nchecked = {}", facts.checked));
    line(format_args!(
        "\n[[hit]]\ntext = {}",
        quoted(body(&wording.text))
    ));
    line(format_args!(
        "\n[[miss]]\ntext = {}\nwhy = \"Another item of the same order.\"",
        quoted(miss)
    ));
    out
}

/// A name for a path: letters, digits, dots and hyphens.
fn slug(words: &str) -> String {
    let mut out = String::new();
    for c in words.trim().chars() {
        if c.is_ascii_alphanumeric() || c == '.' {
            out.push(c);
        } else if !out.ends_with('-') && !out.is_empty() {
            out.push('-');
        }
    }
    let out = out.trim_matches(['-', '.']).to_owned();
    if out.is_empty() {
        "item".to_owned()
    } else {
        out
    }
}

fn one_line(words: &str) -> String {
    words.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn shortened(words: &str) -> String {
    const LONGEST: usize = 100;
    match words.char_indices().nth(LONGEST) {
        Some((at, _)) => format!("{} …", words.get(..at).unwrap_or(words).trim_end()),
        None => words.to_owned(),
    }
}
