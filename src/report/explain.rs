//! One thing that the program prints by name, explained: a file by its id, a rule by its paragraph,
//! a tag by what it stands for.

use toml::{Table, Value};

use super::terminal::sheet::{Sheet, bold, dim};
use super::{clean, words};
use crate::model::{DefectKind, Kind};
use crate::patterns::Patterns;

/// What is asked for, in sentences.
///
/// # Errors
/// The ids most like the one asked for, where there is no such thing.
pub fn explain(id: &str, patterns: &Patterns, width: usize) -> Result<String, Vec<String>> {
    let mut sheet = Sheet::new(width);
    if let Some(source) = patterns.source_of(id) {
        file(&mut sheet, id, source);
    } else if let Some(kind) = defect(id) {
        tag(&mut sheet, id, defect_means(kind));
        if let Some(room) = defect_room(kind) {
            list(&mut sheet, patterns, |known| known.starts_with(room));
        }
    } else if let Some(kind) = Kind::from_name(id) {
        tag(&mut sheet, id, kind.title());
        let name = format!("\"{id}\"");
        let of_kind = |known: &str| {
            known.starts_with("law/")
                && patterns.source_of(known).is_some_and(|s| s.contains(&name))
        };
        list(&mut sheet, patterns, of_kind);
    } else if let Some(question) = words::fact_question(id) {
        tag(
            &mut sheet,
            id,
            &format!("A fact that settles an answer: {question}"),
        );
    } else if let Some(ids) = order(id, patterns) {
        if let [only] = ids.as_slice() {
            return explain(only, patterns, width);
        }
        tag(&mut sheet, id, "Wordings held of this order:");
        list(&mut sheet, patterns, |known| ids.iter().any(|i| i == known));
    } else if let Some(place) = place_of(id) {
        let cites = |known: &str| patterns.source_of(known).is_some_and(|s| cited(s, &place));
        if !patterns.ids().any(cites) {
            return Err(near(id, patterns));
        }
        tag(
            &mut sheet,
            &format!("14 CFR {place}"),
            "What is held that rests on it:",
        );
        list(&mut sheet, patterns, cites);
    } else {
        let mut named = patterns.ids().filter(|known| last(known) == id);
        match (named.next(), named.next()) {
            (Some(only), None) => return explain(only, patterns, width),
            _ => rests_on(&mut sheet, id, patterns)?,
        }
    }
    Ok(sheet.finish())
}

/// A file as it stands, after a line that says where it is from.
///
/// # Errors
/// The ids most like the one asked for, where there is no such file.
pub fn source(id: &str, patterns: &Patterns) -> Result<String, Vec<String>> {
    let mut named = patterns.ids().filter(|known| last(known) == id);
    let only = named.next().filter(|_| named.next().is_none());
    let id = patterns.source_of(id).map(|_| id).or(only).unwrap_or(id);
    let source = patterns.source_of(id).ok_or_else(|| near(id, patterns))?;
    Ok(format!(
        "# patterns/{id}.toml\n\n{}\n",
        clean::lines(source).trim_end()
    ))
}

fn last(id: &str) -> &str {
    id.rsplit('/').next().unwrap_or(id)
}

/// The ids that are most like the one asked for.
fn near(id: &str, patterns: &Patterns) -> Vec<String> {
    let wanted = id.to_lowercase();
    let mut near: Vec<(u32, &str)> = patterns
        .ids()
        .map(|known| {
            let likeness = if last(known).to_lowercase() == last(&wanted) {
                1000
            } else if !wanted.is_empty() && known.to_lowercase().contains(&wanted) {
                900
            } else {
                (likeness(&wanted, known) * 800.0) as u32
            };
            (likeness, known)
        })
        .filter(|(likeness, _)| *likeness >= 480)
        .collect();
    near.sort_by_key(|(likeness, known)| (std::cmp::Reverse(*likeness), *known));
    near.into_iter()
        .take(5)
        .map(|(_, known)| known.to_owned())
        .collect()
}

/// The share of characters that two words have in common and in order, 0 to 1.
fn likeness(a: &str, b: &str) -> f64 {
    let characters = |word: &str| word.chars().map(u32::from).collect::<Vec<_>>();
    let (a, b) = (characters(a), characters(b));
    let common: usize = similar::capture_diff_slices(similar::Algorithm::Myers, &a, &b)
        .iter()
        .filter(|op| matches!(op, similar::DiffOp::Equal { .. }))
        .map(|op| op.old_range().len())
        .sum();
    2.0 * common as f64 / (a.len() + b.len()).max(1) as f64
}

fn tag(sheet: &mut Sheet, name: &str, means: &str) {
    sheet.para(0, &bold(&clean::line(name)));
    sheet.para(2, means);
}

/// The files that are meant, with what they are about.
fn list(sheet: &mut Sheet, patterns: &Patterns, meant: impl Fn(&str) -> bool) {
    for id in patterns.ids().filter(|id| meant(id)) {
        let about = patterns.source_of(id).and_then(|s| {
            let table: Table = s.parse().ok()?;
            Some(table.get("about")?.as_str()?.to_owned())
        });
        sheet.hanging(
            2,
            4,
            &format!("{id}: {}", clean::line(&about.unwrap_or_default())),
        );
    }
}

/// A file in sentences.
fn file(sheet: &mut Sheet, id: &str, source: &str) {
    let table: Table = source.parse().unwrap_or_default();
    let text = |table: &Table, key: &str| {
        table
            .get(key)
            .map(|v| clean::line(&said(v)))
            .filter(|s| !s.is_empty())
    };
    sheet.para(0, &bold(id));
    sheet.para(2, &text(&table, "about").unwrap_or_default());
    for (key, value) in &table {
        if !matches!(key.as_str(), "about" | "since" | "source" | "hit" | "miss") {
            part(sheet, key, value);
        }
    }
    for source in tables(&table, "source") {
        let of = |key| text(source, key).unwrap_or_default();
        let grade = of("grade");
        let quote = text(source, "quote").map_or_else(String::new, |q| format!(": \"{q}\""));
        let locator = text(source, "locator").map_or_else(String::new, |l| format!(", {l}"));
        sheet.hanging(
            2,
            4,
            &format!(
                "Source: {}{locator}{quote} - grade {grade}: {}; checked {}.",
                of("title"),
                words::grade(&grade),
                of("checked"),
            ),
        );
    }
    for (key, opens) in [("hit", "It speaks of"), ("miss", "It does not speak of")] {
        for example in tables(&table, key).take(2) {
            if let Some(words) = text(example, "text") {
                let why = text(example, "why").map_or_else(String::new, |w| format!(" {w}"));
                sheet.hanging(2, 4, &dim(&format!("{opens}: \"{words}\"{why}")));
            }
        }
    }
    sheet.para(
        2,
        &dim(&format!("`whomay explain {id} --source` shows the file.")),
    );
}

fn tables<'t>(table: &'t Table, key: &str) -> impl Iterator<Item = &'t Table> {
    let all = table.get(key).and_then(Value::as_array);
    all.into_iter().flatten().filter_map(Value::as_table)
}

/// «Citation: 91.319(e).» for a value, and the same for each value of a table.
fn part(sheet: &mut Sheet, key: &str, value: &Value) {
    match value {
        Value::Table(inner) => {
            for (key, value) in inner {
                part(sheet, key, value);
            }
        }
        Value::Array(all) if all.iter().any(Value::is_table) => {
            for inner in all.iter().filter_map(Value::as_table) {
                for (key, value) in inner {
                    part(sheet, key, value);
                }
            }
        }
        _ => {
            let words = said(value);
            if !words.is_empty() {
                let name = words::capital(&key.replace(['_', '-'], " "));
                sheet.hanging(2, 4, &format!("{name}: {}", clean::line(&words)));
            }
        }
    }
}

fn said(value: &Value) -> String {
    match value {
        Value::String(words) => words.clone(),
        Value::Array(all) => all.iter().map(said).collect::<Vec<_>>().join(", "),
        other => other.to_string(),
    }
}

/// The wordings of an order or of one clause of it, by the name that reports print: "FAA Order
/// 8130.2G", "FAA Order 8130.2G, clause 18".
fn order(typed: &str, patterns: &Patterns) -> Option<Vec<String>> {
    let typed = typed.trim();
    let same = |name: &str| name.eq_ignore_ascii_case(typed);
    let ids: Vec<String> = patterns
        .wording
        .iter()
        .filter(|w| {
            same(&words::wording(&w.id, patterns))
                || same(&words::order(&w.file.series))
                || same(&w.file.series)
        })
        .map(|w| w.id.clone())
        .collect();
    (!ids.is_empty()).then_some(ids)
}

/// What rests on a paper that is cited by another name than a paragraph: "AC 90-89", "44 FR 46781".
fn rests_on(sheet: &mut Sheet, cited: &str, patterns: &Patterns) -> Result<(), Vec<String>> {
    let cited = cited.trim();
    let number = cited.len() >= 4 && cited.chars().any(|c| c.is_ascii_digit());
    let holds = |id: &str| {
        let source = patterns.source_of(id).unwrap_or_default();
        source.match_indices(cited).any(|(at, _)| {
            let after = source[at + cited.len()..].chars().next();
            !after.is_some_and(|c| c.is_ascii_alphanumeric())
        })
    };
    if !number || !patterns.ids().any(holds) {
        return Err(near(cited, patterns));
    }
    tag(sheet, cited, "What is held that rests on it:");
    list(sheet, patterns, holds);
    Ok(())
}

/// The place of a rule in what was typed: "§ 65.109(b)", "14 CFR 65.109", "part 145".
fn place_of(typed: &str) -> Option<String> {
    let mut rest = typed.trim();
    for lead in [
        "14 CFR", "14 cfr", "FAR", "§§", "§", "section", "part", "Part",
    ] {
        rest = rest.strip_prefix(lead).unwrap_or(rest).trim_start();
    }
    let place: String = rest.chars().filter(|c| !c.is_whitespace()).collect();
    let number = place.split('(').next().unwrap_or_default();
    let (part, section) = number.split_once('.').unwrap_or((number, "0"));
    let digits = |s: &str| !s.is_empty() && s.chars().all(|c| c.is_ascii_digit());
    (digits(part) && digits(section)).then_some(place)
}

/// Whether a file cites the place, in its rule or in a title or place of its sources.
fn cited(source: &str, place: &str) -> bool {
    source
        .lines()
        .filter(|l| {
            ["citation", "title", "locator", "now"]
                .iter()
                .any(|k| l.starts_with(k))
        })
        .any(|line| {
            line.match_indices(place).any(|(at, _)| {
                let before = line[..at].chars().next_back();
                let after = line[at + place.len()..].chars().next();
                let joins = |c: Option<char>| c.is_some_and(|c| c.is_ascii_digit() || c == '-');
                let part_of = before == Some('.') || (!place.contains('.') && after == Some('.'));
                !joins(before) && !joins(after) && !part_of
            })
        })
}

fn defect(name: &str) -> Option<DefectKind> {
    DefectKind::ALL.into_iter().find(|d| d.name() == name)
}

const fn defect_means(kind: DefectKind) -> &'static str {
    match kind {
        DefectKind::MissingNumber => {
            "A number is missing between two clauses: a clause may be lost."
        }
        DefectKind::RepeatedNumber => "Two clauses have the same number.",
        DefectKind::MissingPage => "The pages count more than were handed in: a page may be lost.",
        DefectKind::Cut => "A clause stops in the middle of a sentence.",
        DefectKind::Unfilled => "A blank or an insert of the template was not filled in.",
        DefectKind::InstructionLeftIn => {
            "An instruction to the issuing inspector was left in; it binds nobody."
        }
        DefectKind::BothAlternatives => {
            "Both alternatives of a template stand in the letter, where one should be struck out."
        }
        DefectKind::Contradiction => "Two clauses on the same inspection cannot both hold.",
        DefectKind::OtherBasis => {
            "A clause belongs to certificates of another paragraph of 14 CFR 21.191."
        }
        DefectKind::MovedCitation => {
            "A paragraph that the letter cites stands at another place of the rule today. The \
             letter still holds; whoever looks the paragraph up has to know. Places that have moved:"
        }
        DefectKind::DroppedTerm => {
            "A term that the letter uses is no longer used or defined by the rule. Such terms:"
        }
        DefectKind::DoubtfulWord => "A word that decides cannot be read with certainty.",
        DefectKind::OtherDocument => "Pages that belong to another document were handed in, too.",
    }
}

const fn defect_room(kind: DefectKind) -> Option<&'static str> {
    match kind {
        DefectKind::MovedCitation | DefectKind::DroppedTerm => Some("outdated/"),
        _ => None,
    }
}
