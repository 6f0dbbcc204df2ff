//! What the program holds: wordings, rules, readings, each with source and grade; and one file in
//! full.

use serde::Serialize;

use super::terminal::sheet::{Sheet, bold, dim};
use super::{clean, json, words};
use crate::patterns::{Patterns, Reference};

/// What can be listed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Catalog {
    /// Reference wordings.
    Wordings,
    /// Rules by date.
    Rules,
    /// Readings of the dispute.
    Readings,
    /// Situations of an aircraft and its owner.
    Situations,
}

/// One file in a list.
#[derive(Debug, Serialize)]
pub struct Entry {
    /// Its id, for `whomay explain`.
    pub id: String,
    /// What it is about.
    pub about: String,
    /// More about it: revision, basis, item, topic for a wording.
    pub details: Vec<String>,
    /// Its sources.
    pub sources: Vec<Source>,
}

/// A source of a file.
#[derive(Debug, Serialize)]
pub struct Source {
    /// The work.
    pub title: String,
    /// Where and in which state it was read.
    pub locator: String,
    /// The line that carries the rule.
    pub quote: String,
    /// A letter.
    pub grade: String,
    /// What the letter means.
    pub grade_means: &'static str,
    /// The day it was checked.
    pub checked: String,
}

/// The entries of a list, in order of their ids.
#[must_use]
pub fn entries(held: Catalog, patterns: &Patterns) -> Vec<Entry> {
    match held {
        Catalog::Wordings => patterns
            .wording
            .iter()
            .map(|l| {
                let file = &l.file;
                let mut details = vec![file.series.clone()];
                details.push(if file.issued.is_empty() {
                    "date not known".to_owned()
                } else {
                    file.issued.clone()
                });
                details.push(format!("§ 21.191({})", file.basis.join("), (")));
                if !file.item.is_empty() {
                    details.push(format!("item {}", file.item));
                }
                details.push(file.topic.clone());
                entry(&l.id, &file.about, details, &file.source)
            })
            .collect(),
        Catalog::Rules => patterns
            .law
            .iter()
            .map(|l| {
                let file = &l.file;
                let mut details = vec![file.citation.clone()];
                details.push(match (file.from, file.to) {
                    (None, None) => "always".to_owned(),
                    (Some(from), None) => format!("from {from}"),
                    (None, Some(to)) => format!("before {to}"),
                    (Some(from), Some(to)) => format!("from {from}, before {to}"),
                });
                if !file.basis.is_empty() {
                    let bases: Vec<String> = file.basis.iter().map(ToString::to_string).collect();
                    details.push(format!("§ 21.191{}", bases.join(", ")));
                }
                details.extend(file.kinds.iter().map(|k| k.name().to_owned()));
                entry(&l.id, &file.about, details, &file.source)
            })
            .collect(),
        Catalog::Situations => patterns
            .situation
            .iter()
            .map(|l| entry(&l.id, &l.file.title, l.file.steps(), &l.file.source))
            .collect(),
        Catalog::Readings => patterns
            .reading
            .iter()
            .map(|l| {
                let file = &l.file;
                let mut details = vec![format!("{}, {}", file.held_by, file.known_since_words)];
                details.extend(file.kinds.iter().map(|k| k.name().to_owned()));
                entry(&l.id, &file.about, details, &file.source)
            })
            .collect(),
    }
}

fn entry(id: &str, about: &str, details: Vec<String>, sources: &[Reference]) -> Entry {
    Entry {
        id: id.to_owned(),
        about: clean::line(about),
        details: details.iter().map(|d| clean::line(d)).collect(),
        sources: sources
            .iter()
            .map(|s| Source {
                title: clean::line(&s.title),
                locator: clean::line(&s.locator),
                quote: clean::line(&s.quote),
                grade: s.grade.clone(),
                grade_means: words::grade(&s.grade),
                checked: s.checked.to_string(),
            })
            .collect(),
    }
}

/// The list as JSON.
#[must_use]
pub fn json(entries: &[Entry]) -> String {
    json::pretty(&entries)
}

/// The list for people.
#[must_use]
pub fn terminal(entries: &[Entry], width: usize) -> String {
    let mut sheet = Sheet::new(width);
    for entry in entries {
        sheet.blank();
        let details = if entry.details.is_empty() {
            String::new()
        } else {
            format!(" {}", dim(&format!("({})", in_a_row(&entry.details))))
        };
        sheet.hanging(0, 2, &format!("{}{details}", bold(&entry.id)));
        sheet.para(2, &entry.about);
        for source in &entry.sources {
            let locator = if source.locator.is_empty() {
                String::new()
            } else {
                format!(", {}", source.locator)
            };
            sheet.hanging(
                2,
                4,
                &format!(
                    "{}{locator} - grade {}: {}; checked {}",
                    source.title, source.grade, source.grade_means, source.checked
                ),
            );
        }
    }
    if entries.is_empty() {
        sheet.para(0, "None held.");
    }
    sheet.finish()
}

/// Details in one row: sentences behind one another, phrases apart.
fn in_a_row(details: &[String]) -> String {
    let mut row = String::new();
    for detail in details {
        if !row.is_empty() {
            row.push_str(if row.ends_with('.') { " " } else { "; " });
        }
        row.push_str(detail);
    }
    row
}
