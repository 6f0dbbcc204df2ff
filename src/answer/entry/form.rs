//! Forms: a label and its value, in whatever way they are set.
//!
//! Whoever fills in a form writes a value behind a label; what stands between them is the form's own: a colon, a bar,
//! dots, a wide gap, a blank line of underscores, a number before the label. All of it becomes a colon, before any
//! word is read.

use super::frame::GAP;

/// Numbers of boxes go, fields that are parted by bars, gaps or signs of equality become "label: value".
///
/// `label` tells whether words name a field of a log.
pub(super) fn plain(entry: &str, label: &dyn Fn(&str) -> bool) -> String {
    let entry = bracketed(&untagged(entry));
    let lines: Vec<String> = entry
        .split('\n')
        .map(|l| in_one_line(&filled(&unhinted(l)), label))
        .collect();
    let mut entry = unnumbered(&lines.join("\n"), label);
    for part in [Part::Bar, Part::Equals, Part::Quoted] {
        entry = signed(&entry, part, label);
    }
    columned(&entry, label)
}

/// "<Date>5/14/26</Date>": the value between a tag that opens and the same that closes.
fn untagged(entry: &str) -> String {
    let mut out = String::new();
    let mut rest = entry;
    while let Some((before, opened)) = rest.split_once('<') {
        out.push_str(before);
        let tagged = opened.split_once('>').and_then(|(tag, behind)| {
            let name = tag.chars().all(|c| c.is_alphanumeric() || "_-".contains(c));
            let (value, left) = behind.split_once(&format!("</{tag}>"))?;
            (name && !tag.is_empty()).then(|| (tag, value.to_owned(), left))
        });
        match tagged {
            Some((tag, value, left)) => {
                let value = untagged(&value);
                out.push_str(&format!("{}: {}\n", spread(tag), value.trim()));
                rest = left;
            }
            None => {
                out.push('<');
                rest = opened;
            }
        }
    }
    out.push_str(rest);
    out
}

/// "TotalTime", "total_time" in words of their own.
fn spread(name: &str) -> String {
    let mut out = String::new();
    let mut small = false;
    for c in name.chars() {
        if small && c.is_uppercase() {
            out.push(' ');
        }
        small = c.is_lowercase();
        out.push(if c == '_' { ' ' } else { c });
    }
    out
}

/// Whether it may be the label of a field: a few words, with no signs but those of short forms and these.
fn is_worded(name: &str, signs: &str) -> bool {
    let sign = |c: char| " ./#&".contains(c) || signs.contains(c);
    name.chars().all(|c| c.is_alphabetic() || sign(c))
        && name.chars().any(char::is_alphabetic)
        && name.split_whitespace().count() <= LABEL
}

/// "Date [5/14/26]   TT [400.0]": values in brackets behind their labels, where a form has several.
fn bracketed(entry: &str) -> String {
    let field = |field: &str| -> Option<String> {
        let (name, value) = field.trim_end().strip_suffix(']')?.split_once('[')?;
        let name = name.trim_end();
        let worded = is_worded(name, "-");
        // "N [ 000AB ]": the letter with which a mark begins.
        let between = if name.trim() == "N" { "" } else { ": " };
        (worded && value.trim().len() > TICK && !value.contains('['))
            .then(|| format!("{name}{between}{}", value.trim()))
    };
    let fields = || entry.split('\n').flat_map(|line| line.split(GAP));
    if fields().filter(|f| field(f).is_some()).count() < BOXES {
        return entry.to_owned();
    }
    let line = |line: &str| -> String {
        let fields = line
            .split(GAP)
            .map(|f| field(f).unwrap_or_else(|| f.to_owned()));
        fields.collect::<Vec<_>>().join(GAP)
    };
    entry.split('\n').map(line).collect::<Vec<_>>().join("\n")
}

/// "Date:2026-05-14;TT:400.0;By:Jane Doe": fields of an export, one behind the other.
fn in_one_line(line: &str, label: &dyn Fn(&str) -> bool) -> String {
    let fields: Vec<&str> = line.split(';').collect();
    let labelled = |f: &&str| {
        let name = f.split_once(':').map(|(name, _)| name.trim());
        name.is_some_and(|n| n.split_whitespace().count() <= LABEL && label(&spread(n)))
    };
    if fields.len() < BOXES || fields.iter().filter(|f| labelled(f)).count() * 2 <= fields.len() {
        return line.to_owned();
    }
    let value = |f: &str| match f.split_once(':') {
        Some((name, value)) if labelled(&f) => format!("{}: {}", spread(name.trim()), value.trim()),
        _ => f.trim().to_owned(),
    };
    fields
        .iter()
        .map(|f| value(f))
        .collect::<Vec<_>>()
        .join("\n")
}

/// "Date (mm/dd/yyyy): 5/14/2026": how a day is to be written, before one that is.
fn unhinted(line: &str) -> String {
    let Some((before, rest)) = line.split_once('(') else {
        return line.to_owned();
    };
    let Some((hint, behind)) = rest.split_once(')') else {
        return line.to_owned();
    };
    let format = |c: char| "mdyMDY".contains(c);
    let lower = hint.to_lowercase();
    let all = hint.chars().all(|c| format(c) || "/-. ".contains(c));
    let value = behind.trim_start_matches([':', ' ', '.', '_']);
    let filled = value.starts_with(|c: char| c.is_ascii_digit());
    if all && lower.contains("dd") && lower.contains("yy") && filled {
        format!("{}{behind}", before.trim_end())
    } else {
        line.to_owned()
    }
}

/// "Date __5/14/26__  N# _N000AB_": the line on which a value was written. A tick is none, and a line on which nothing
/// stands stays.
fn filled(line: &str) -> String {
    if !line.contains('_') {
        return line.to_owned();
    }
    let mut out = String::new();
    let mut rest = line;
    while let Some(at) = rest.find('_') {
        let (before, blank) = rest.split_at(at);
        let open = blank.len() - blank.trim_start_matches('_').len();
        let behind = &blank[open..];
        let end = behind.find('_').unwrap_or(behind.len());
        let value = &behind[..end];
        let written = value.chars().any(char::is_alphanumeric)
            && !value.starts_with(char::is_whitespace)
            && !value.ends_with(|c: char| c.is_whitespace() || ":#.".contains(c))
            && value.len() > TICK;
        let word = before.ends_with(char::is_alphanumeric);
        out.push_str(before);
        if written && !word {
            out.push_str(value);
            rest = behind[end..].trim_start_matches('_');
        } else {
            out.push_str(&blank[..open]);
            rest = behind;
        }
    }
    out.push_str(rest);
    out
}

/// A tick has at most so many letters.
const TICK: usize = 2;

/// "1. Reg: N000AB   2. Date: 5/14/26", "(c) Time: 400", "Item 4: Total time 400": the numbers of the boxes of a form
/// go, where most stand before a label; each field stands in a field of its own.
fn unnumbered(entry: &str, label: &dyn Fn(&str) -> bool) -> String {
    let all = numbers(entry);
    let rises = |from: usize| {
        all[from..]
            .windows(2)
            .take_while(|w| w[1].count == w[0].count + 1 && w[1].form == w[0].form)
            .count()
    };
    let Some(first) = (0..all.len()).find(|n| rises(*n) + 1 >= BOXES) else {
        return entry.to_owned();
    };
    let run = &all[first..=first + rises(first)];
    let names = |n: &Number| {
        let rest = entry[n.to..].lines().next().unwrap_or_default();
        let head = rest.split(GAP).next().unwrap_or_default();
        let colon = head.split(':').next().unwrap_or_default();
        let words = if colon.len() < head.len() {
            colon
        } else {
            head
        };
        let few: Vec<&str> = words.split_whitespace().take(LABEL).collect();
        few.len() <= LABEL && label(&few.join(" "))
    };
    // "Box 5 NAME": where the word for a box stands before the number, fewer labels do.
    let named = run.iter().all(|n| n.form.starts_with(char::is_alphabetic));
    let known = run.iter().filter(|n| names(n)).count();
    if known * if named { 3 } else { 2 } <= run.len() {
        return entry.to_owned();
    }
    let mut out = String::new();
    let mut from = 0;
    for number in run {
        out.push_str(&entry[from..number.from]);
        let opens = out.is_empty() || out.ends_with('\n') || out.trim_end().ends_with('\n');
        if !opens && !out.ends_with(GAP) {
            out.push('\n');
        }
        from = number.to;
    }
    out.push_str(&entry[from..]);
    out
}

/// So many boxes with numbers that follow one another make a form.
const BOXES: usize = 3;
/// The label of a field has at most so many words.
const LABEL: usize = 4;

/// The number of a box.
struct Number {
    count: u32,
    /// How it is written.
    form: String,
    from: usize,
    to: usize,
}

/// What may be numbers of boxes: at the head of a line, behind a wide gap, or in brackets behind the end of another
/// field; a letter counts, too.
fn numbers(entry: &str) -> Vec<Number> {
    let mut found = Vec::new();
    for (at, _) in entry.char_indices() {
        let before = &entry[..at];
        let head = before.trim_end_matches([' ', '\t']);
        let opens = head.is_empty() || head.ends_with('\n') || before.ends_with(GAP);
        let bracket = entry[at..].starts_with(['(', '[']) && before.ends_with(' ');
        if !opens && !bracket || entry[at..].starts_with([' ', '\t']) {
            continue;
        }
        found.extend(number(entry, at));
    }
    found
}

fn number(entry: &str, at: usize) -> Option<Number> {
    let rest = &entry[at..];
    let word = rest.find(|c: char| !c.is_alphabetic()).unwrap_or(0);
    // "Item 4:", "Box 12"
    let named = rest[word..].starts_with(' ') && word > 1;
    let mut to = if named { word + 1 } else { 0 };
    let open = rest[to..].starts_with(['(', '[']);
    to += usize::from(open);
    let sign = rest.get(to..)?;
    let len = sign
        .find(|c: char| !c.is_ascii_alphanumeric())
        .unwrap_or(sign.len());
    let label = &sign[..len];
    let count = match label.parse::<u32>() {
        Ok(count) if len < 3 => count,
        _ if len == 1 => u32::from(label.bytes().next()?.to_ascii_lowercase()),
        _ => return None,
    };
    to += len;
    let close = rest[to..].chars().next().filter(|c| ")].:".contains(*c));
    to += close.map_or(0, char::len_utf8);
    let behind = &rest[to..];
    let parted = behind.starts_with(' ') && behind.trim_start().starts_with(char::is_alphanumeric)
        || behind.trim_start().starts_with(['"', '\u{201c}']);
    let kind = if len == 1 && count > 9 { 'a' } else { '1' };
    let form = format!(
        "{} {open} {close:?} {kind}",
        &rest[..if named { word } else { 0 }]
    );
    (parted && (named || close.is_some())).then_some(Number {
        count,
        form,
        from: at,
        to: at + to + (behind.len() - behind.trim_start_matches(' ').len()),
    })
}

/// What parts a label from its value.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Part {
    Bar,
    Equals,
    Quoted,
}

/// "Mechanic | Jane Doe", "Total = 400.0", "\"Date\",\"5/14/26\"" on most lines: a label and its value on each.
fn signed(entry: &str, part: Part, label: &dyn Fn(&str) -> bool) -> String {
    let pair = |line: &str| -> Option<(String, String)> {
        let (name, value) = match part {
            Part::Bar => {
                let bare = line.trim().trim_matches('|');
                bare.split_once('|').filter(|(_, v)| !v.contains('|'))?
            }
            Part::Equals => line.split_once(" = ")?,
            Part::Quoted => line.trim().strip_prefix('"')?.split_once("\",")?,
        };
        let (name, value) = (name.trim(), value.trim().trim_matches('"').trim());
        (is_worded(name, "()-_") && !value.is_empty()).then(|| (spread(name), value.to_owned()))
    };
    let lines: Vec<&str> = entry.split('\n').collect();
    let pairs: Vec<_> = lines.iter().map(|l| pair(l)).collect();
    let found = pairs.iter().flatten().count();
    let known = pairs
        .iter()
        .flatten()
        .filter(|(name, _)| label(name))
        .count();
    let written = lines.iter().filter(|l| !l.trim().is_empty()).count();
    if found < BOXES || found * 2 < written || known * 2 < found {
        return entry.to_owned();
    }
    let parted = lines.iter().zip(pairs).map(|(line, pair)| match pair {
        Some((name, value)) => format!("{name}: {value}"),
        None => (*line).to_owned(),
    });
    parted.collect::<Vec<_>>().join("\n")
}

/// Labels in a column and their values in another: each line a label, a wide gap, and what begins below what begins
/// above.
fn columned(entry: &str, label: &dyn Fn(&str) -> bool) -> String {
    let lines: Vec<&str> = entry.split('\n').collect();
    let cut = |line: &str| -> Option<(usize, usize)> {
        let from = line.len() - line.trim_start().len();
        let end = from + line[from..].find(GAP)?;
        let value = end + (line[end..].len() - line[end..].trim_start().len());
        let worded = is_worded(&line[from..end], "()-'");
        let column = line[..value].chars().count();
        let told = line[value..].starts_with([':', '=']);
        (worded && !told && value < line.len()).then_some((value, column))
    };
    let cuts: Vec<_> = lines.iter().map(|l| cut(l)).collect();
    let mut out: Vec<String> = Vec::new();
    let mut n = 0;
    while n < lines.len() {
        let column = cuts[n].map(|(_, column)| column);
        let same = |m: &usize| column.is_some() && cuts[*m].map(|(_, c)| c) == column;
        let end = (n..lines.len())
            .take_while(same)
            .last()
            .map_or(n, |m| m + 1);
        let name = |m: usize| {
            let value = cuts[m].map_or(0, |(value, _)| value);
            lines[m][..value].trim()
        };
        let known = (n..end).filter(|m| label(name(*m))).count();
        if end < n + BOXES || known * 2 < end - n {
            let to = end.max(n + 1);
            out.extend(lines[n..to].iter().map(|l| (*l).to_owned()));
            n = to;
            continue;
        }
        for m in n..end {
            let value = cuts[m].map_or(0, |(value, _)| value);
            out.push(format!("{}: {}", name(m), &lines[m][value..]));
        }
        n = end;
    }
    out.join("\n")
}

#[cfg(test)]
mod tests {
    use super::plain;

    fn read(form: &str) -> String {
        let label = |w: &str| {
            let w = w.to_lowercase();
            ["date", "time", "name", "number", "by"]
                .iter()
                .any(|l| w.contains(l))
        };
        plain(form, &label)
    }

    #[test]
    fn numbers_of_boxes_go_and_those_of_work_stay() {
        assert_eq!(
            read("1. Date: 5/1/26   2. Time: 400\n3. Name: A. Test"),
            "Date: 5/1/26   Time: 400\nName: A. Test"
        );
        assert_eq!(
            read("(1) Date: 5/1/26. (2) Time: 400. (3) By: A. Test"),
            "Date: 5/1/26. \nTime: 400. \nBy: A. Test"
        );
        let work = "1. Changed oil.\n2. Cleaned plugs.\n3. Greased hinges.";
        assert_eq!(read(work), work);
    }

    #[test]
    fn a_value_behind_a_bar_or_a_gap_stands_behind_a_colon() {
        assert_eq!(
            read("Date | 5/1/26\nTime | 400\nName | A. Test"),
            "Date: 5/1/26\nTime: 400\nName: A. Test"
        );
        assert_eq!(
            read("Date     5/1/26\nTime     400\nName     A. Test"),
            "Date: 5/1/26\nTime: 400\nName: A. Test"
        );
        let columns = "Plugs    8\nFilter   1\nOil      6";
        assert_eq!(read(columns), columns);
    }

    #[test]
    fn a_line_that_was_filled_in_is_its_value() {
        assert_eq!(
            read("Date __5/1/26__  Signed ____"),
            "Date 5/1/26  Signed ____"
        );
        assert_eq!(read("Date (mm/dd/yyyy): 05/01/2026"), "Date: 05/01/2026");
        assert_eq!(read("_X_ Condition"), "_X_ Condition");
        assert_eq!(read("Signed ____ Date ____"), "Signed ____ Date ____");
    }
}
