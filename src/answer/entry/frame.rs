//! The frame that is drawn around the words of a sticker, and the boxes of a form.

/// The signs of a frame at both ends of its lines become blanks, lines of nothing else empty ones.
pub(super) fn stripped(entry: &str) -> String {
    let side = |c: char| "|\u{a6}\u{2502}\u{2503}\u{2551}".contains(c);
    let rule = |line: &str| {
        line.chars().filter(|c| !c.is_whitespace()).count() >= LEAST
            && line
                .chars()
                .all(|c| c.is_whitespace() || "-=+*~#".contains(c) || side(c) || drawn(c))
    };
    entry
        .split('\n')
        .map(|line| {
            let bare = line.trim_matches(|c: char| c.is_whitespace() || side(c));
            if rule(line) {
                ""
            } else if bare.len() < line.trim().len() {
                bare
            } else {
                line
            }
        })
        .collect::<Vec<_>>()
        .join("\n")
}

/// A table whose first line names its columns, or an object in braces, becomes lines of labels:
/// "date,reg" above "2026-05-14,N000AB" is "date: 2026-05-14" and "reg: N000AB".
///
/// `heading` tells whether words name a column of a log.
pub(super) fn untabled(entry: &str, heading: &dyn Fn(&str) -> bool) -> String {
    if let Some(lines) = object(entry) {
        return lines;
    }
    let rule = |line: &str| {
        line.chars()
            .all(|c| c.is_whitespace() || "-=+|_".contains(c) || drawn(c))
    };
    let lines: Vec<&str> = entry.lines().filter(|l| !rule(l)).collect();
    for delimiter in [Some(','), Some(';'), Some('\t'), Some('|'), None] {
        for (at, line) in lines.iter().enumerate() {
            let names = fields(line, delimiter);
            let plain = |name: &String| {
                let word = |c: char| c.is_alphabetic() || " _-/.()#',&".contains(c);
                !name.is_empty()
                    && name.chars().all(word)
                    && name.split_whitespace().count() <= NAME
            };
            let known = names
                .iter()
                .filter(|n| heading(&n.replace('_', " ")))
                .count();
            let few = delimiter == Some('|') && names.len() + 1 == COLUMNS && known == names.len();
            if names.len() < COLUMNS && !few || !names.iter().all(plain) || known * 2 < names.len()
            {
                continue;
            }
            let rows: Vec<Vec<String>> = lines[at + 1..]
                .iter()
                .map(|row| fields(row, delimiter))
                .take_while(|row| row.len() == names.len())
                .collect();
            if rows.is_empty() {
                continue;
            }
            let records = records(&rows);
            let mut out: Vec<String> = lines[..at].iter().map(|l| (*l).to_owned()).collect();
            for row in &records {
                let filled = names.iter().zip(row).filter(|(_, value)| !value.is_empty());
                // Of several records each begins with what stands in its first column, such as its day.
                let begins = |n: usize| few && n == 0 && records.len() > 1;
                out.extend(filled.enumerate().map(|(n, (name, value))| {
                    if begins(n) {
                        value.clone()
                    } else {
                        format!("{}: {value}", name.replace('_', " "))
                    }
                }));
            }
            out.extend(lines[at + 1 + rows.len()..].iter().map(|l| (*l).to_owned()));
            return out.join("\n");
        }
    }
    entry.to_owned()
}

/// "date;2026-05-14" in line after line becomes "date: 2026-05-14": an export of a label and its value on each.
pub(super) fn paired(entry: &str) -> String {
    let pair = |line: &&str| {
        let label = |c: char| c.is_alphanumeric() || "_ .".contains(c);
        line.split_once(';').is_some_and(|(name, value)| {
            (1..=LABEL).contains(&name.len())
                && name.chars().all(label)
                && !value.is_empty()
                && !value.starts_with(' ')
        })
    };
    let lines: Vec<&str> = entry.lines().collect();
    let pairs = lines.iter().filter(|l| pair(l)).count();
    if pairs < COLUMNS || pairs * 2 < lines.len() {
        return entry.to_owned();
    }
    let parted = |line: &&str| match line.split_once(';').filter(|_| pair(line)) {
        Some((name, value)) => format!("{}: {}", name.replace('_', " "), value.trim_matches('"')),
        None => (*line).to_owned(),
    };
    lines.iter().map(parted).collect::<Vec<_>>().join("\n")
}

/// Rows whose first field is empty go on the one before: the lines of a cell.
fn records(rows: &[Vec<String>]) -> Vec<Vec<String>> {
    let mut records: Vec<Vec<String>> = Vec::new();
    for row in rows {
        match records.last_mut() {
            Some(last) if row.first().is_some_and(String::is_empty) => {
                for (cell, more) in last
                    .iter_mut()
                    .zip(row)
                    .filter(|(_, more)| !more.is_empty())
                {
                    if !cell.is_empty() {
                        cell.push('\n');
                    }
                    cell.push_str(more);
                }
            }
            _ => records.push(row.clone()),
        }
    }
    records
}

/// The name of a column has at most so many words.
const NAME: usize = 6;
/// A table has at least so many columns.
const COLUMNS: usize = 4;

/// The fields of a line between a delimiter, or between wide gaps where there is none; within double quotes
/// nothing parts.
fn fields(line: &str, delimiter: Option<char>) -> Vec<String> {
    let bare = |field: &str| field.trim().trim_matches('"').trim().to_owned();
    let Some(delimiter) = delimiter else {
        return line
            .trim()
            .split(GAP)
            .map(bare)
            .filter(|f| !f.is_empty())
            .collect();
    };
    // "| date | reg |": bars around a line part nothing.
    let framed = line
        .trim()
        .strip_prefix('|')
        .and_then(|l| l.strip_suffix('|'));
    let line = framed.filter(|_| delimiter == '|').unwrap_or(line);
    parted(line, delimiter).iter().map(|f| bare(f)).collect()
}

/// The fields between delimiters, with their quotes; within quotes nothing parts.
fn parted(line: &str, delimiter: char) -> Vec<String> {
    let mut found = vec![String::new()];
    let mut quoted = false;
    for c in line.chars() {
        quoted ^= c == '"';
        match found.last_mut() {
            Some(last) if c != delimiter || quoted => last.push(c),
            _ => found.push(String::new()),
        }
    }
    found
}

/// The lists of an object in braces, each as one value: "[\"a\",\"b\"]" is "\"a; b\"".
fn unlisted(object: &str) -> Option<String> {
    let mut out = String::new();
    let mut rest = object;
    while let Some((before, opened)) = rest.split_once('[') {
        let (list, behind) = opened.split_once(']')?;
        let items: Vec<String> = parted(list, ',')
            .iter()
            .map(|item| item.trim().trim_matches('"').to_owned())
            .collect();
        out.push_str(before);
        out.push_str(&format!("\"{}\"", items.join("; ")));
        rest = behind;
    }
    out.push_str(rest);
    Some(out)
}

/// The fields of an object in braces, each on a line of its own.
fn object(entry: &str) -> Option<String> {
    let inner = entry.trim().strip_prefix('{')?.strip_suffix('}')?;
    if inner.contains(['{', '}']) {
        return None;
    }
    let folded = unlisted(&inner.replace('\n', " "))?;
    let lines: Option<Vec<String>> = parted(&folded, ',')
        .iter()
        .map(|field| {
            let (name, value) = field.trim().strip_prefix('"')?.split_once("\":")?;
            let value = value.trim().trim_matches('"');
            Some(format!("{}: {value}", name.replace('_', " ")))
        })
        .collect();
    lines.map(|l| l.join("\n"))
}

/// Boxes in other forms become square ones: "XX Condition  __ Annual", "_X_ Condition", "[ x ]".
pub(super) fn squared(entry: &str) -> String {
    let line = |line: &str| -> String {
        let line = [
            "[ x ]",
            "[ X ]",
            "( x )",
            "( X )",
            "[\u{2713}]",
            "[\u{2714}]",
            "[*]",
        ]
        .iter()
        .fold(line.to_owned(), |l, b| l.replace(b, TICKED[0]));
        let ticks = |word: &str| {
            let bare = word.trim_matches('_');
            let cross = ["X", "x", "XX", "xx", "XXX", "\u{2713}", "\u{2714}"].contains(&bare);
            cross && (bare.len() < word.len() || bare.len() > 1)
        };
        let blank = |word: &str| (2..=5).contains(&word.len()) && word.chars().all(|c| c == '_');
        // A blank to fill in is none: it stands behind a label, or at the end.
        let parts: Vec<&str> = line.split(' ').collect();
        let before_word = |n: usize| {
            let next = parts[n + 1..].iter().find(|w| !w.is_empty());
            next.is_some_and(|w| w.starts_with(char::is_alphanumeric))
        };
        if !parts
            .iter()
            .enumerate()
            .any(|(n, w)| ticks(w) && before_word(n))
        {
            return line;
        }
        let squared = parts.iter().enumerate().map(|(n, word)| match () {
            () if ticks(word) && before_word(n) => TICKED[0],
            () if blank(word) && before_word(n) => EMPTY[0],
            () => word,
        });
        squared.collect::<Vec<_>>().join(" ")
    };
    let lines = entry.split('\n').map(|l| line(&unbracketed(&exported(l))));
    lines.collect::<Vec<_>>().join("\n")
}

/// "[By] NAME  [No] 0001234" becomes "By: NAME  No: 0001234": labels in brackets, the first of which opens the
/// line. A tick is none.
fn unbracketed(line: &str) -> String {
    let label = |inner: &str| {
        (2..=LABEL).contains(&inner.len())
            && inner.starts_with(char::is_uppercase)
            && inner.chars().all(|c| c.is_alphabetic() || c == ' ')
            && !inner.chars().all(|c| "Xx".contains(c))
    };
    if !line.trim_start().starts_with('[') {
        return line.to_owned();
    }
    let mut out = String::new();
    let mut rest = line;
    while let Some((before, behind)) = rest.split_once('[') {
        out.push_str(before);
        match behind
            .split_once(']')
            .filter(|(inner, value)| label(inner) && value.starts_with(' '))
        {
            Some((inner, value)) => {
                out.push_str(inner);
                out.push(':');
                rest = value;
            }
            None => {
                out.push('[');
                rest = behind;
            }
        }
    }
    out.push_str(rest);
    out
}

/// A label in brackets has at most so many letters.
const LABEL: usize = 16;

/// "BY=NAME  NO=0001234" becomes "BY: NAME  NO: 0001234": the fields of an export.
fn exported(line: &str) -> String {
    let signs: Vec<char> = line.chars().collect();
    let glued = |n: usize| {
        n > 0
            && signs[n] == '='
            && signs[n - 1].is_alphabetic()
            && signs.get(n + 1).is_some_and(|c| c.is_alphanumeric())
    };
    if (0..signs.len()).filter(|n| glued(*n)).count() < 2 {
        return line.to_owned();
    }
    let field = |(n, c): (usize, &char)| {
        if glued(n) {
            ": ".to_owned()
        } else {
            c.to_string()
        }
    };
    signs.iter().enumerate().map(field).collect()
}

/// "A&P [X]  IA [ ]    0001234" becomes "[X] A&P  [ ] IA    0001234": boxes that stand behind their labels.
pub(super) fn labelled(entry: &str) -> String {
    let lines: Vec<String> = entry.split('\n').map(labelled_line).collect();
    lines.join("\n")
}

fn labelled_line(line: &str) -> String {
    // "By [x] mechanic  [ ] repairman   Ratings: A [x]  P [x]": where a box stands before its label in one field, each
    // field is read for itself.
    let ends_with_box = |field: &str| {
        TICKED
            .iter()
            .chain(&EMPTY)
            .any(|b| field.trim().ends_with(b))
    };
    let has_box = |field: &str| TICKED.iter().chain(&EMPTY).any(|b| field.contains(b));
    if line.split(GAP).any(|f| has_box(f) && !ends_with_box(f)) {
        let fields: Vec<String> = line.split(GAP).map(labelled_field).collect();
        return fields.join(GAP);
    }
    labelled_field(line)
}

fn labelled_field(line: &str) -> String {
    let same = || line.to_owned();
    let mut boxes: Vec<(usize, &str)> = TICKED
        .iter()
        .chain(&EMPTY)
        .flat_map(|b| line.match_indices(b))
        .collect();
    boxes.sort_unstable();
    let Some((last, sign)) = boxes.last() else {
        return same();
    };
    // What stands behind the last box is another field.
    let rest = &line[last + sign.len()..];
    if !rest.trim().is_empty() && !rest.starts_with(GAP) {
        return same();
    }
    let mut turned = String::new();
    let mut from = 0;
    for (at, sign) in &boxes {
        let before = &line[from..*at];
        let label = before.trim_end().rfind([':', '?']).map_or(0, |n| n + 1);
        let label = label.max(before.trim_end().rfind(GAP).map_or(0, |n| n + GAP.len()));
        let (head, label) = before.split_at(label);
        if !label.contains(char::is_alphanumeric) {
            return same();
        }
        turned.push_str(head);
        turned.push_str(GAP);
        turned.push_str(&format!("{sign} {}", label.trim()));
        from = at + sign.len();
    }
    turned.push_str(rest);
    turned
}

/// "Discrepancies found?  [ ] Yes  [X] No" becomes "Discrepancies found: none": boxes whose labels answer the
/// question before them. `answer` tells whether a word answers, and whether with yes.
pub(super) fn answered(entry: &str, answer: &dyn Fn(&str) -> Option<bool>) -> String {
    let lines = entry.split('\n').map(|line| answered_line(line, answer));
    lines.collect::<Vec<_>>().join("\n")
}

fn answered_line(line: &str, answer: &dyn Fn(&str) -> Option<bool>) -> String {
    let mut out = String::new();
    let mut rest = line;
    while let Some(at) = rest.find('?') {
        let mut behind = &rest[at + 1..];
        let mut chosen: Vec<bool> = Vec::new();
        let mut boxes = 0;
        while let Some((ticked, left)) = boxed(behind) {
            let word = left.split_whitespace().next().unwrap_or_default();
            let Some(yes) = answer(word) else { break };
            boxes += 1;
            chosen.extend(ticked.then_some(yes));
            behind = left.trim_start().strip_prefix(word).unwrap_or_default();
        }
        out.push_str(&rest[..at]);
        match chosen.as_slice() {
            [false] => out.push_str(": none;"),
            _ if boxes > 0 && chosen != [true] => {
                out.push_str(&rest[at..rest.len() - behind.len()]);
            }
            _ => out.push('?'),
        }
        rest = if boxes > 0 { behind } else { &rest[at + 1..] };
    }
    out.push_str(rest);
    out
}

/// What stands behind a box that opens the words, and whether the box is ticked.
fn boxed(words: &str) -> Option<(bool, &str)> {
    let words = words.trim_start();
    let behind = |boxes: &[&str]| boxes.iter().find_map(|b| words.strip_prefix(b));
    behind(&TICKED)
        .map(|left| (true, left))
        .or_else(|| behind(&EMPTY).map(|left| (false, left)))
}

/// Of a form whose lines open with a box to tick, what was chosen: where one box is ticked, an
/// alternative behind an empty one is not said. An empty box before anything else stays.
pub(super) fn chosen(entry: &str, alternative: &dyn Fn(&str) -> bool) -> String {
    let parted: Vec<String> = entry
        .split('\n')
        .map(|line| side_by_side(line, alternative))
        .collect();
    let entry = parted.join("\n");
    if !entry.split('\n').any(|line| opens(line, &TICKED)) {
        return entry;
    }
    entry
        .split('\n')
        .map(|line| {
            if opens(line, &EMPTY) && alternative(line) {
                behind_label(line)
            } else {
                line
            }
        })
        .collect::<Vec<_>>()
        .join("\n")
}

/// Boxes that stand side by side, each on a line of its own. Where the one that is ticked is an
/// alternative, so are the others: "[x] condition inspection  [ ] 100 hour  [ ] other".
fn side_by_side(line: &str, alternative: &dyn Fn(&str) -> bool) -> String {
    let boxes = || TICKED.iter().chain(&EMPTY);
    if boxes().map(|b| line.matches(b).count()).sum::<usize>() < 2 {
        return line.to_owned();
    }
    let parted = boxes().fold(line.to_owned(), |line, b| {
        line.replace(b, &format!("\n{b}"))
    });
    let ticked: Vec<&str> = parted.lines().filter(|l| opens(l, &TICKED)).collect();
    // "[X] to be  [ ] not to be": one denies the other.
    let bare = |l: &str| -> String {
        let label = l
            .trim_start()
            .trim_start_matches(|c: char| !c.is_alphanumeric());
        let label = label.find(GAP).map_or(label, |at| &label[..at]);
        label.trim().to_lowercase().replace("not ", "")
    };
    let empty: Vec<&str> = parted.lines().filter(|l| opens(l, &EMPTY)).collect();
    let denies = match (ticked.as_slice(), empty.as_slice()) {
        ([one], [other]) => {
            let label = boxed(one).map_or(*one, |(_, label)| label);
            bare(label) == bare(other) && label != *other
        }
        _ => false,
    };
    // "Reason for visit: [ ] oil  [X] condition insp.  [X] other": a question before the boxes, and some of its answers.
    let asked = parted
        .lines()
        .next()
        .is_some_and(|l| l.trim_end().ends_with(':'))
        && ticked.iter().any(|l| alternative(l));
    let one_of_them = denies || asked || matches!(ticked.as_slice(), [one] if alternative(one));
    let left = |l: &'_ str| -> String {
        if one_of_them && opens(l, &EMPTY) {
            behind_label(l).to_owned()
        } else {
            l.to_owned()
        }
    };
    let lines: Vec<String> = parted.lines().map(left).filter(|l| !l.is_empty()).collect();
    lines.join("\n").trim_start().to_owned()
}

/// What stands behind the label of a box and a wide gap: "[ ] Repairman   Cert. no. 0001234".
fn behind_label(line: &str) -> &str {
    let label = line
        .trim_start()
        .trim_start_matches(|c: char| !c.is_alphanumeric());
    label.find(GAP).map_or("", |at| label[at..].trim_start())
}

/// Blanks that part fields.
pub(super) const GAP: &str = "  ";

/// Lines that open with an empty box: what stands there was not done or is not said.
pub(super) fn unticked(entry: &str) -> Vec<String> {
    entry
        .split('\n')
        .filter_map(|line| {
            let line = line.trim_start();
            let sign = EMPTY.iter().find(|b| line.starts_with(**b))?;
            // A wide gap ends what the box is of.
            let of = line.strip_prefix(sign)?.trim_start().split(GAP).next()?;
            let of = of.split_whitespace().collect::<Vec<_>>().join(" ");
            Some(format!("{sign} {of}"))
        })
        .collect()
}

fn opens(line: &str, boxes: &[&str]) -> bool {
    boxes.iter().any(|b| line.trim_start().starts_with(b))
}

/// Boxes with a tick.
const TICKED: [&str; 7] = ["[x]", "[X]", "(x)", "(X)", "[v]", "\u{2611}", "\u{2612}"];
/// Boxes without one.
const EMPTY: [&str; 5] = ["[ ]", "[]", "[_]", "( )", "\u{2610}"];

/// A line that rules off has at least so many signs.
const LEAST: usize = 3;

/// The signs with which boxes are drawn (Unicode block "Box Drawing").
fn drawn(c: char) -> bool {
    ('\u{2500}'..='\u{257f}').contains(&c)
}

#[cfg(test)]
mod tests {
    use super::{chosen, stripped, unticked};

    #[test]
    fn a_frame_goes_and_what_stands_within_stays() {
        let framed = "+------+\n| 5/14/26 |\n| TT 400 |\n+------+";
        assert_eq!(stripped(framed), "\n5/14/26\nTT 400\n");
    }

    #[test]
    fn an_alternative_with_an_empty_box_goes_where_another_is_ticked() {
        let alternative = |line: &str| line.contains("fit");
        let form = "[x] Found fit\n[ ] Found NOT fit\n[ ] Engine";
        let left = chosen(form, &alternative);
        assert_eq!(left, "[x] Found fit\n\n[ ] Engine");
        assert_eq!(unticked(&left), ["[ ] Engine"]);
        assert_eq!(chosen("[ ] Found fit", &alternative), "[ ] Found fit");
    }

    #[test]
    fn boxes_side_by_side_are_alternatives_too() {
        let alternative = |line: &str| line.contains("fit");
        let form = "Result: [x] fit   [ ] not fit\nEnd";
        assert_eq!(chosen(form, &alternative), "Result: \n[x] fit   \nEnd");
        let parts = chosen("[x] Engine [ ] Wings", &alternative);
        assert_eq!(unticked(&parts), ["[ ] Wings"]);
        let field = "[x] fit  [ ] not fit   Cert. no. 0000001";
        assert_eq!(chosen(field, &alternative), "[x] fit  \nCert. no. 0000001");
        let unticked_alone = "Result: [ ] fit   [ ] not fit";
        assert_eq!(unticked(&chosen(unticked_alone, &alternative)).len(), 2);
    }

    #[test]
    fn a_bar_between_fields_and_a_blank_to_sign_in_stay() {
        let form = "TT 400 | SMOH 12\nSigned ______";
        assert_eq!(stripped(form), form);
    }
}
