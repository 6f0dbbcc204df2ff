//! What was and was not recognized in an order.

use serde::Serialize;

use super::terminal::sheet::{Sheet, bold, dim};
use super::{clean, json};
use crate::compare::OrderReading;

/// For people: the counts, what was not recognized, then the limitations.
#[must_use]
pub fn terminal(reading: &OrderReading, folder: &str, width: usize) -> String {
    let mut sheet = Sheet::new(width);
    let form = if reading.table {
        "a table with a column for the basis"
    } else {
        "a list of limitations"
    };
    sheet.para(
        0,
        &bold(&format!(
            "Read as {form}: {} in {}",
            counted(reading.wordings.len(), "wording", "wordings"),
            clean::line(folder)
        )),
    );
    not_recognized(&mut sheet, reading);
    sheet.para(
        0,
        "Look through both lists: what is no limitation must not be among the wordings, and no \
         limitation among the rest. The grade A in the files says that it is the order itself.",
    );
    if !reading.skipped.is_empty() {
        sheet.heading("Taken for no limitation");
        for (page, line, words) in &reading.skipped {
            sheet.hanging(
                2,
                4,
                &format!(
                    "- {} {}",
                    dim(&format!("(page {page}, line {line})")),
                    clean::line(words)
                ),
            );
        }
    }
    sheet.heading("Wordings");
    for wording in &reading.wordings {
        let basis: Vec<String> = wording.basis.iter().map(|b| format!("({b})")).collect();
        let basis = match basis.len() {
            12 => "every purpose".to_owned(),
            _ => format!("§ 21.191{}", basis.join(", ")),
        };
        sheet.hanging(
            2,
            4,
            &format!(
                "{} {} {}",
                bold(&clean::line(&wording.item)),
                dim(&format!(
                    "({basis}; {}; page {})",
                    clean::line(&wording.topic),
                    wording.pages.0
                )),
                clean::line(&first_words(&wording.text)),
            ),
        );
    }
    sheet.finish()
}

/// Gaps in the numbers, and items that are empty, twice there, without a basis or without an end.
fn not_recognized(sheet: &mut Sheet, reading: &OrderReading) {
    let mut hold = |says: &str, items: &[String]| {
        if !items.is_empty() {
            sheet.hanging(
                0,
                4,
                &format!("{says}: {}.", clean::line(&items.join(", "))),
            );
        }
    };
    let gaps = ranges(&reading.missing);
    hold("Numbers that no limitation has", &gaps);
    hold("Reserved in the order", &reading.reserved);
    hold(
        "Numbers that came twice, the second with a suffix",
        &reading.repeated,
    );
    hold(
        "Left out, because no basis is named for them (state it with --basis)",
        &reading.without_basis,
    );
    let cut: Vec<String> = reading
        .wordings
        .iter()
        .filter(|w| w.cut)
        .map(|w| w.item.clone())
        .collect();
    hold("Without the end of a sentence, marked as cut", &cut);
}

/// The same for programs.
#[must_use]
pub fn json(reading: &OrderReading) -> String {
    #[derive(Serialize)]
    struct Root<'a> {
        schema: u32,
        table: bool,
        wordings: Vec<Wording<'a>>,
        skipped: Vec<Skipped>,
        missing: &'a [u32],
        reserved: &'a [String],
        repeated: &'a [String],
        without_basis: &'a [String],
    }
    #[derive(Serialize)]
    struct Wording<'a> {
        item: &'a str,
        basis: &'a [char],
        topic: &'a str,
        text: String,
        cut: bool,
        pages: [u32; 2],
        file: &'a str,
    }
    #[derive(Serialize)]
    struct Skipped {
        page: u32,
        line: u32,
        text: String,
    }
    json::pretty(&Root {
        schema: 1,
        table: reading.table,
        wordings: reading
            .wordings
            .iter()
            .map(|w| Wording {
                item: &w.item,
                basis: &w.basis,
                topic: &w.topic,
                text: clean::line(&w.text),
                cut: w.cut,
                pages: [w.pages.0, w.pages.1],
                file: &w.path,
            })
            .collect(),
        skipped: reading
            .skipped
            .iter()
            .map(|(page, line, text)| Skipped {
                page: *page,
                line: *line,
                text: clean::line(text),
            })
            .collect(),
        missing: &reading.missing,
        reserved: &reading.reserved,
        repeated: &reading.repeated,
        without_basis: &reading.without_basis,
    })
}

fn counted(n: usize, one: &str, more: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { more })
}

/// `4`, `11 to 14`.
fn ranges(numbers: &[u32]) -> Vec<String> {
    let mut out: Vec<(u32, u32)> = Vec::new();
    for n in numbers {
        match out.last_mut() {
            Some(last) if last.1 + 1 == *n => last.1 = *n,
            _ => out.push((*n, *n)),
        }
    }
    out.into_iter()
        .map(|(a, b)| {
            if a == b {
                a.to_string()
            } else {
                format!("{a} to {b}")
            }
        })
        .collect()
}

fn first_words(text: &str) -> String {
    const WORDS: usize = 12;
    let mut words = text.split(' ');
    let head: Vec<&str> = words.by_ref().take(WORDS).collect();
    let more = if words.next().is_some() { " …" } else { "" };
    format!("{}{more}", head.join(" "))
}
