//! A word-level comparison as text: what is gone and what is new can be told without color.

use super::findings::difference_reason;
use super::terminal::sheet::{bold, dim};
use super::{clean, words};
use crate::model::{Diff, Difference, Op};

/// Words kept on each side of a change where a long stretch is the same.
const AROUND: usize = 8;

/// One text with both wordings: `[gone: …]` and `[new: …]`; long stretches that are the same are
/// left out in the middle.
pub(super) fn inline(diff: &Diff) -> String {
    let mut out = String::new();
    for (n, op) in diff.ops.iter().enumerate() {
        match op {
            Op::Keep(words) => {
                let last = n + 1 == diff.ops.len();
                out.push_str(&kept(words, n > 0, !last));
            }
            Op::Delete(words) => push(&mut out, words, "gone", dim),
            Op::Insert(words) => push(&mut out, words, "new", bold),
        }
    }
    out
}

/// The old or the new text, with what the other one has not in brackets.
pub(super) fn side(diff: &Diff, old: bool) -> String {
    let mut out = String::new();
    for op in &diff.ops {
        match (op, old) {
            (Op::Keep(words), _) => out.push_str(&lettered(words)),
            (Op::Delete(words), true) => bracketed(&mut out, words, "[", "]", dim),
            (Op::Insert(words), false) => bracketed(&mut out, words, "[", "]", bold),
            _ => {}
        }
    }
    out
}

/// The same as [`inline`] in Markdown: struck out and bold.
pub(super) fn markdown(diff: &Diff, escape: impl Fn(&str) -> String) -> String {
    let mut out = String::new();
    let mark = |out: &mut String, words: &str, with: &str| {
        let core = clean::line(words);
        if core.is_empty() {
            out.push(' ');
            return;
        }
        if !out.is_empty() && !out.ends_with(' ') {
            out.push(' ');
        }
        out.push_str(&format!("{with}{}{with} ", escape(&core)));
    };
    for op in &diff.ops {
        match op {
            Op::Keep(words) => {
                if words.starts_with(char::is_alphanumeric)
                    && !out.is_empty()
                    && !out.ends_with(' ')
                {
                    out.push(' ');
                }
                out.push_str(&escape(&lettered(words)));
            }
            Op::Delete(words) => mark(&mut out, words, "~~"),
            Op::Insert(words) => mark(&mut out, words, "**"),
        }
    }
    clean::line(&out)
}

/// Words with the blanks at their ends as single blanks.
fn lettered(words: &str) -> String {
    let core = clean::line(words);
    if core.is_empty() {
        return " ".to_owned();
    }
    let blank = |there: bool| if there { " " } else { "" };
    format!(
        "{}{core}{}",
        blank(words.starts_with(char::is_whitespace)),
        blank(words.ends_with(char::is_whitespace))
    )
}

fn kept(words: &str, after: bool, before: bool) -> String {
    let all = lettered(words);
    let list: Vec<&str> = all.split(' ').collect();
    let room = AROUND * (usize::from(after) + usize::from(before)) + 4;
    if list.len() <= room {
        return all;
    }
    let head = list.get(..AROUND).filter(|_| after).unwrap_or(&[]);
    let tail = list
        .get(list.len() - AROUND..)
        .filter(|_| before)
        .unwrap_or(&[]);
    format!("{} ... {}", head.join(" "), tail.join(" "))
}

fn push(out: &mut String, words: &str, label: &str, style: fn(&str) -> String) {
    bracketed(out, words, &format!("[{label}: "), "]", style);
}

/// Each word has its own style, so that no line break falls into one.
fn bracketed(out: &mut String, words: &str, open: &str, close: &str, style: fn(&str) -> String) {
    let core = clean::line(words);
    if core.is_empty() {
        return;
    }
    if words.starts_with(char::is_whitespace) && !out.ends_with(' ') || out.ends_with(']') {
        out.push(' ');
    }
    let styled: Vec<String> = format!("{open}{core}{close}")
        .split(' ')
        .map(style)
        .collect();
    out.push_str(&styled.join(" "));
    if words.ends_with(char::is_whitespace) {
        out.push(' ');
    }
}

/// "1 difference that matters".
pub(crate) fn matters(material: usize) -> String {
    if material == 1 {
        "1 difference that matters".to_owned()
    } else {
        format!("{material} differences that matter")
    }
}

/// The differences that are wanted, a line for each place.
pub(crate) fn change_lines(diff: &Diff, wanted: impl Fn(&Difference) -> bool) -> Vec<String> {
    let mut groups: Vec<Vec<&Difference>> = Vec::new();
    for difference in diff.differences.iter().filter(|d| wanted(d)) {
        match groups.last_mut() {
            Some(group)
                if group
                    .iter()
                    .all(|d| d.old == difference.old && d.new == difference.new) =>
            {
                group.push(difference);
            }
            _ => groups.push(vec![difference]),
        }
    }
    groups.iter().map(|group| changed(group)).collect()
}

/// The differences at one place in a line.
fn changed(group: &[&Difference]) -> String {
    let Some(first) = group.first() else {
        return String::new();
    };
    let (old, new) = (short(&first.old), short(&first.new));
    let change = match (old.is_empty(), new.is_empty()) {
        (true, _) => format!("has \"{new}\" more"),
        (_, true) => format!("lacks \"{old}\""),
        _ => format!("\"{new}\" instead of \"{old}\""),
    };
    let mut kinds: Vec<&str> = Vec::new();
    let mut reasons: Vec<String> = Vec::new();
    for difference in group {
        let kind = words::difference(difference.kind);
        if !kinds.contains(&kind) {
            kinds.push(kind);
        }
        let reason = clean::line(&difference_reason(&difference.reason));
        if !reason.is_empty() && !reasons.contains(&reason) {
            reasons.push(reason);
        }
    }
    let mut said = format!("{}: {change}", kinds.join(", "));
    if !reasons.is_empty() {
        said.push_str(&format!(" - {}", reasons.join("; ")));
    }
    said
}

/// Long words without their middle; the whole stands in the clause above, and in JSON.
fn short(words: &str) -> String {
    const ENDS: usize = 50;
    let words = clean::line(words);
    let count = words.chars().count();
    if count <= 2 * ENDS + 5 {
        return words;
    }
    let mut head: String = words.chars().take(ENDS).collect();
    let mut tail: String = words.chars().skip(count - ENDS).collect();
    // No word is cut in two.
    if let Some((whole, _)) = head.rsplit_once(' ') {
        head = whole.to_owned();
    }
    if let Some((_, whole)) = tail.split_once(' ') {
        tail = whole.to_owned();
    }
    format!("{head} ... {tail}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn gone_and_new_can_be_told_without_color() {
        let diff = Diff {
            same: false,
            ops: vec![
                Op::Keep("No person ".into()),
                Op::Delete("must".into()),
                Op::Insert("may".into()),
                Op::Keep(" operate".into()),
            ],
            differences: Vec::new(),
        };
        let plain = |s: String| anstream::adapter::strip_str(&s).to_string();
        assert_eq!(
            plain(inline(&diff)),
            "No person [gone: must][new: may] operate"
        );
        assert_eq!(plain(side(&diff, true)), "No person [must] operate");
        assert_eq!(plain(side(&diff, false)), "No person [may] operate");
        assert_eq!(
            markdown(&diff, str::to_owned),
            "No person ~~must~~ **may** operate"
        );
    }
}
