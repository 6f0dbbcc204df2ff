//! What an order says about the basis of a limitation: a cell of its table, a heading of its list.

use crate::patterns::{Patterns, WordList};

/// A cell that names paragraphs of § 21.191.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Cell {
    pub(super) letters: Vec<char>,
    /// What else the cell says: «turbine».
    pub(super) note: String,
    /// Where it ends.
    pub(super) end: usize,
    /// It ends with a comma or «and»: the next line goes on with it.
    pub(super) open: bool,
}

/// The paragraphs whose purposes a heading names.
pub(super) fn of_heading(words: &str, patterns: &Patterns) -> Vec<char> {
    let words = words.to_lowercase();
    let mut out: Vec<char> = patterns
        .paper
        .purposes
        .iter()
        .filter(|(name, _)| words.contains(name))
        .map(|(_, letter)| *letter)
        .collect();
    out.sort_unstable();
    out.dedup();
    out
}

/// A cell at the head of a line, with a sentence or nothing behind it. Where `open`, the cell of
/// the line before goes on here.
pub(super) fn prefix(line: &str, open: bool, patterns: &Patterns) -> Option<Cell> {
    let cell = if open {
        listed(line, true)?
    } else {
        all(line)
            .or_else(|| listed(line, false))
            .or_else(|| purpose(line, patterns))?
    };
    let rest = line.get(cell.end..)?.trim_start_matches([' ', '\t', '|']);
    let sentence = rest
        .chars()
        .next()
        .is_none_or(|c| c.is_uppercase() || matches!(c, '[' | '"' | '“' | '\'' | '§'));
    // A cell that goes on has words of the text beside it, wherever these were broken.
    (sentence || open || cell.open).then_some(cell)
}

/// A cell at the end of a line, with where it starts.
pub(super) fn suffix(line: &str, open: bool, patterns: &Patterns) -> Option<(usize, Cell)> {
    let mut before = "";
    let mut at = 0;
    for word in line.split(' ') {
        let tail = line.get(at..)?;
        let starts = word.starts_with("21.191")
            || word.starts_with('§')
            || word == "All"
            || open && word.starts_with('(')
            || at == 0
            || line.get(..at)?.ends_with(['\t', '|']);
        // «in accordance with § 21.191(d)» is the text's own.
        let governed = matches!(
            before,
            "with" | "of" | "under" | "in" | "by" | "or" | "and" | "to" | "per" | "14" | "CFR"
        ) || before.starts_with(char::is_lowercase)
            && patterns.list.has(before, WordList::See);
        if starts
            && !governed
            && !word.is_empty()
            && let Some(cell) = all(tail)
                .or_else(|| listed(tail, open))
                .or_else(|| purpose(tail, patterns).filter(|_| at == 0))
            && tail.get(cell.end..)?.trim().is_empty()
        {
            return Some((at, cell));
        }
        at += word.len() + 1;
        // what governs the sign governs the number behind it
        if !matches!(word, "" | "§" | "§§") {
            before = word;
        }
    }
    None
}

/// «All», «All, turbine», «All except 21.191(g)».
fn all(line: &str) -> Option<Cell> {
    let rest = line
        .strip_prefix("All")
        .or_else(|| line.strip_prefix("ALL"))?;
    let mut end = line.len() - rest.len();
    let mut letters: Vec<char> = ('a'..='l').collect();
    let mut note = String::new();
    if let Some(after) = rest.strip_prefix(',') {
        // A word or a few that start no sentence.
        let mut at = line.len() - after.len();
        let mut words: Vec<&str> = Vec::new();
        for word in after.split(' ').filter(|w| !w.is_empty()) {
            if !word.starts_with(|c: char| c.is_lowercase()) || words.len() > 3 {
                break;
            }
            at = line.get(at..)?.find(word)? + at + word.len();
            words.push(word);
        }
        if words.is_empty() {
            return None;
        }
        note = words.join(" ");
        end = at;
    } else if let Some(after) = rest
        .strip_prefix(" except ")
        .or_else(|| rest.strip_prefix(" but "))
    {
        let but = listed(after, false)?;
        letters.retain(|l| !but.letters.contains(l));
        end = line.len() - after.len() + but.end;
        note = line.get(..end)?.to_owned();
    } else if !(rest.is_empty() || rest.starts_with([' ', '\t', '|'])) {
        return None;
    }
    Some(Cell {
        letters,
        note,
        end,
        open: false,
    })
}

/// «§ 21.191(a), (b), and (g)», «(d), (e)», «21.191(a) through (c)», «21.191(i)(1)».
fn listed(line: &str, open: bool) -> Option<Cell> {
    let mut letters: Vec<char> = Vec::new();
    let mut range = false;
    let mut cited = open;
    let mut groups = 0;
    let mut at = 0;
    // Up to here the cell is complete; behind it stands a comma.
    let mut end = 0;
    let mut comma = false;
    while let Some(rest) = line.get(at..).filter(|r| !r.is_empty()) {
        let skip = ["§§", "§", "14 CFR", "21.191", " ", "\t"]
            .iter()
            .find(|s| rest.starts_with(**s));
        if let Some(skip) = skip {
            cited |= *skip == "21.191";
            at += skip.len();
            continue;
        }
        let joint = [",", ";", "/", "&", "and ", "or "]
            .iter()
            .find(|s| rest.starts_with(**s));
        if let Some(joint) = joint.filter(|_| groups > 0) {
            at += joint.len();
            comma = true;
            if matches!(*joint, "," | ";") {
                end = at;
            }
            continue;
        }
        let through = ["through ", "thru ", "to ", "-", "–"]
            .iter()
            .find(|s| rest.starts_with(**s));
        if let Some(through) = through.filter(|_| groups > 0) {
            range = true;
            at += through.len();
            continue;
        }
        let Some(name) = rest
            .strip_prefix('(')
            .and_then(|r| r.split_once(')'))
            .map(|(name, _)| name)
        else {
            break;
        };
        let mut chars = name.chars();
        match (chars.next(), chars.next()) {
            (Some(c @ 'a'..='l'), None) => {
                match letters.last().copied().filter(|_| range) {
                    Some(from) => letters.extend((from..=c).skip(1)),
                    None => letters.push(c),
                }
                range = false;
                groups += 1;
            }
            // «(i)(1)»: the number below (i).
            (Some('1'..='3'), None) if groups > 0 => {}
            _ => break,
        }
        at += name.len() + 2;
        end = at;
        comma = false;
    }
    letters.sort_unstable();
    letters.dedup();
    let whole = line.trim().len() == 3;
    (!letters.is_empty() && (cited || groups > 1 || whole)).then_some(Cell {
        letters,
        note: String::new(),
        end,
        open: comma,
    })
}

/// «Amateur-built».
fn purpose(line: &str, patterns: &Patterns) -> Option<Cell> {
    let lower = line.to_ascii_lowercase();
    let (name, letter) = patterns.paper.purposes.iter().find(|(name, _)| {
        lower
            .strip_prefix(name.as_str())
            .is_some_and(|r| !r.starts_with('s'))
    })?;
    line.starts_with(char::is_uppercase).then(|| Cell {
        letters: vec![*letter],
        note: String::new(),
        end: name.len(),
        open: false,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn letters(cell: Cell) -> String {
        cell.letters.into_iter().collect()
    }

    #[test]
    fn a_cell_ends_where_the_limitation_begins() {
        let patterns = Patterns::embedded().unwrap();
        for (line, basis, rest, open) in [
            ("21.191(g) No person may", "g", " No person may", false),
            (
                "§ 21.191(a), (b), and (g) No person",
                "abg",
                " No person",
                false,
            ),
            ("21.191(a) through (d) No", "abcd", " No", false),
            ("21.191(i)(1), (i)(2) The owner", "i", " The owner", false),
            ("(d), (e) The owner", "de", " The owner", false),
            (
                "All These operating",
                "abcdefghijkl",
                " These operating",
                false,
            ),
            ("All, turbine This", "abcdefghijkl", " This", false),
            ("All except 21.191(g) The", "abcdefhijkl", " The", false),
            ("Amateur-built The", "g", " The", false),
            ("21.191(g), (i), (k), Passenger", "gik", " Passenger", true),
        ] {
            let cell = prefix(line, false, &patterns);
            let cell = cell.unwrap_or_else(|| panic!("{line}"));
            assert_eq!((&line[cell.end..], cell.open), (rest, open), "{line}");
            assert_eq!(letters(cell), basis, "{line}");
        }
        let on = prefix("(l) comply with", true, &patterns).map(letters);
        assert_eq!(on.as_deref(), Some("l"));
        for line in [
            "No person may",
            "All persons must",
            "(15)",
            "",
            "91.319(b) The",
            "(i) the first",
        ] {
            assert_eq!(prefix(line, false, &patterns), None, "{line}");
        }
    }

    #[test]
    fn a_cell_at_the_end_of_a_line_is_no_citation_of_the_text() {
        let patterns = Patterns::embedded().unwrap();
        let found = suffix(
            "Smoking is prohibited. (15) § 21.191(d), (e)",
            false,
            &patterns,
        );
        assert_eq!(found.map(|(_, c)| letters(c)).as_deref(), Some("de"));
        assert_eq!(
            suffix("It is issued under § 21.191(g)", false, &patterns),
            None
        );
        assert!(suffix("within the preceding All", false, &patterns).is_some());
    }
}
