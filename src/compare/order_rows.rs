//! Rows of an order's table: item number, limitation, certification basis.

use crate::model::Span;

/// A row, or an item of a list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Row {
    pub(super) item: String,
    /// Paragraphs of § 21.191; empty where the row does not say.
    pub(super) basis: Vec<char>,
    pub(super) text: String,
    pub(super) span: Span,
}

/// The rows of a table, and what stands between them; `None` where no column for the basis is
/// announced by a heading.
pub(super) fn table(text: &str) -> Option<(Vec<Row>, Vec<Span>)> {
    let mut rows: Vec<Row> = Vec::new();
    let mut skipped: Vec<Span> = Vec::new();
    let mut heading: Option<String> = None;
    let mut last = 0u32;
    // Set while a note or instruction runs.
    let mut outside = true;
    let mut at = 0;
    for line in text.split_inclusive('\n') {
        let span = Span::new(at, at + line.len()).trimmed(text);
        at += line.len();
        let words = span.of(text);
        if words.is_empty() {
            continue;
        }
        if is_heading(words) {
            heading.get_or_insert_with(|| words.to_lowercase());
            continue;
        }
        if heading.as_deref() == Some(&words.to_lowercase()) {
            continue;
        }
        if heading.is_some()
            && let Some((number, rest)) = row_start(words, last)
        {
            last = number;
            outside = false;
            let (basis, words) = cells(rest);
            rows.push(Row {
                item: number.to_string(),
                basis,
                text: words,
                span,
            });
            continue;
        }
        if is_instruction(words) {
            outside = true;
        }
        match rows.last_mut() {
            Some(row) if !outside => {
                let (basis, more) = cells(words);
                row.basis.extend(basis);
                if !more.is_empty() {
                    join(&mut row.text, &more);
                }
                row.span.end = span.end;
            }
            _ => skipped.push(span),
        }
    }
    heading?;
    for row in &mut rows {
        let (basis, words) = take_basis(&row.text);
        row.basis.extend(basis);
        row.basis.sort_unstable();
        row.basis.dedup();
        row.text = words;
    }
    Some((rows, skipped))
}

/// A heading that announces the columns.
fn is_heading(line: &str) -> bool {
    let line = line.to_lowercase();
    let has = |words: &[&str]| words.iter().any(|w| line.contains(w));
    line.len() < 120
        && has(&["basis", "applicab", "21.191"])
        && has(&["item", "no.", "number", "limitation #", "#"])
        && has(&["limitation", "text", "wording"])
}

/// Notes and instructions to the inspector who issues the letter.
pub(super) fn is_instruction(line: &str) -> bool {
    let line = line.to_lowercase();
    [
        "note:",
        "note ",
        "instruction",
        "the asi ",
        "the inspector must",
        "insert the following",
    ]
    .iter()
    .any(|w| line.starts_with(w))
}

/// The number of a row and what follows it, where a line starts one: the next number, or one soon
/// after it, with a sentence behind it.
fn row_start(line: &str, last: u32) -> Option<(u32, &str)> {
    const MOST_LEFT_OUT: u32 = 12;
    let line = line.trim_start_matches(['|', '(', '[']).trim_start();
    let digits = line.find(|c: char| !c.is_ascii_digit())?;
    if digits == 0 || digits > 3 {
        return None;
    }
    let number: u32 = line.get(..digits)?.parse().ok()?;
    let rest = line.get(digits..)?;
    let after = rest
        .trim_start_matches([')', ']', '.'])
        .trim_start_matches([' ', '\t', '|', '\u{a0}']);
    // «91.319» and «12-month» start no row.
    if after.len() == rest.len()
        || rest.starts_with('.') && rest.get(1..)?.starts_with(|c: char| c.is_ascii_digit())
    {
        return None;
    }
    let next = number > last && number <= last + 1 + MOST_LEFT_OUT;
    let sentence = after
        .chars()
        .next()
        .is_some_and(|c| c.is_uppercase() || matches!(c, '[' | '"' | '“' | '§'));
    (next && sentence).then_some((number, after))
}

/// The cells of a line: those that hold a basis, and the words of the others.
fn cells(line: &str) -> (Vec<char>, String) {
    let mut basis = Vec::new();
    let mut words = String::new();
    let mut rest = line;
    loop {
        let (cell, after) = next_cell(rest);
        match basis_of(cell) {
            Some(found) if !cell.is_empty() => basis.extend(found),
            _ => join(&mut words, cell),
        }
        match after {
            Some(after) => rest = after,
            None => return (basis, words),
        }
    }
}

/// The words up to a gap between columns, and what follows it.
fn next_cell(line: &str) -> (&str, Option<&str>) {
    let gap = ["\t", "|", "   ", "  "]
        .iter()
        .filter_map(|g| line.find(g).map(|at| (at, g.len())))
        .min();
    match gap {
        Some((at, len)) => (
            line.get(..at).unwrap_or("").trim(),
            Some(line.get(at + len..).unwrap_or("").trim_start()),
        ),
        None => (line.trim(), None),
    }
}

fn join(text: &mut String, more: &str) {
    let more = more.trim();
    if more.is_empty() {
        return;
    }
    if !text.is_empty() {
        text.push(' ');
    }
    text.push_str(more);
}

/// The letters that a cell names, where it names a basis and nothing else.
fn basis_of(cell: &str) -> Option<Vec<char>> {
    let cell = cell
        .trim()
        .trim_matches(|c: char| matches!(c, '|' | ',' | ';'))
        .to_lowercase();
    if matches!(
        cell.as_str(),
        "all" | "any" | "all experimental" | "all purposes"
    ) {
        return Some(('a'..='l').collect());
    }
    let named: &[(&str, &str)] = &[
        ("research and development", "a"),
        ("showing compliance", "b"),
        ("crew training", "c"),
        ("exhibition", "d"),
        ("air racing", "e"),
        ("market survey", "f"),
        ("market surveys", "f"),
        ("amateur-built", "g"),
        ("amateur built", "g"),
        ("primary kit-built", "h"),
        ("light-sport", "i"),
        ("operating light-sport", "i"),
    ];
    if let Some((_, letter)) = named.iter().find(|(name, _)| *name == cell) {
        return Some(letter.chars().collect());
    }
    // «§ 21.191(a), (b), and (g)», «(d) (e)», «21.191(a) through (c)».
    let mut letters: Vec<char> = Vec::new();
    let mut range = false;
    let mut rest = cell.as_str();
    let mut cited = false;
    while !rest.is_empty() {
        let skip = [
            "§§", "§", "14 cfr", "21.191", ",", ";", "and", "or", "/", " ", "&",
        ]
        .iter()
        .find(|s| rest.starts_with(**s));
        if let Some(skip) = skip {
            cited |= *skip == "21.191";
            rest = rest.get(skip.len()..)?;
            continue;
        }
        if let Some(after) = ["through", "to", "-", "–", "thru"]
            .iter()
            .find_map(|w| rest.strip_prefix(w))
        {
            range = true;
            rest = after;
            continue;
        }
        let inner = rest.strip_prefix('(')?;
        let end = inner.find(')')?;
        let name = inner.get(..end)?;
        rest = inner.get(end + 1..)?;
        let mut chars = name.chars();
        match (chars.next(), chars.next()) {
            (Some(c @ 'a'..='l'), None) => {
                if range && let Some(from) = letters.last().copied() {
                    letters.extend((from..=c).skip(1));
                } else {
                    letters.push(c);
                }
                range = false;
            }
            // «(i)(1)»: the number below (i).
            (Some('1'..='3'), None) if !letters.is_empty() => {}
            _ => return None,
        }
    }
    (!letters.is_empty() && (cited || letters.len() > 1 || cell.len() == 3)).then_some(letters)
}

/// Takes a basis off the end of a text, where the column ran into it: behind the end of the last
/// sentence, or behind the item number in parentheses.
pub(super) fn take_basis(text: &str) -> (Vec<char>, String) {
    let text = text.trim();
    // From the right: the longest tail that is a basis and nothing else.
    let ends: Vec<usize> = text
        .match_indices(['.', ')', ']', '"', '”'])
        .map(|(at, m)| at + m.len())
        .collect();
    for end in ends {
        let (Some(head), Some(tail)) = (text.get(..end), text.get(end..)) else {
            continue;
        };
        if tail.trim().is_empty() || !tail.starts_with(char::is_whitespace) {
            continue;
        }
        if let Some(basis) = basis_of(tail.trim()) {
            return (basis, head.trim().to_owned());
        }
    }
    (Vec::new(), text.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_basis_is_told_from_words() {
        for (cell, letters) in [
            ("21.191(g)", "g"),
            ("§ 21.191(a), (b), and (g)", "abg"),
            ("21.191(a) through (d)", "abcd"),
            ("§ 21.191(i)(1)", "i"),
            ("(d), (e)", "de"),
            ("All", "abcdefghijkl"),
            ("Amateur-built", "g"),
        ] {
            assert_eq!(
                basis_of(cell).map(|l| l.into_iter().collect::<String>()),
                Some(letters.to_owned()),
                "{cell}"
            );
        }
        for cell in [
            "No person may",
            "(15)",
            "",
            "91.319(b)",
            "operate",
            "(i) the first",
        ] {
            assert_eq!(basis_of(cell), None, "{cell}");
        }
    }

    #[test]
    fn a_basis_at_the_end_is_taken_off() {
        assert_eq!(
            take_basis("Smoking is prohibited. (15) § 21.191(d), (e)"),
            (vec!['d', 'e'], "Smoking is prohibited. (15)".to_owned())
        );
        assert_eq!(
            take_basis("It is issued under § 21.191(g)."),
            (vec![], "It is issued under § 21.191(g).".to_owned())
        );
    }

    #[test]
    fn a_number_in_running_text_starts_no_row() {
        assert_eq!(row_start("15 No person may", 14).map(|r| r.0), Some(15));
        assert_eq!(row_start("15 | No person may", 14).map(|r| r.0), Some(15));
        assert_eq!(row_start("12 calendar months", 11), None);
        assert_eq!(row_start("91.319 Operating", 80), None);
        assert_eq!(row_start("43 Appendix D", 14), None);
    }
}
