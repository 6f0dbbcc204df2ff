//! Which lines are headings, and which lines start a paragraph.

use super::labels::readings;
use super::lines::Lines;
use super::quotes::inside;
use crate::model::Span;
use crate::patterns::numbering::NumberingRole;
use crate::patterns::{Patterns, Token, WordList};

/// A heading is not longer than this many bytes.
const LONGEST_HEADING: usize = 100;

/// A line of so many bytes may go on in the next one.
const FULL_LINE: usize = 56;

/// For each line, whether it is a heading by its looks: capitals, or a few words on a line of
/// their own, or the name of a phase.
pub(super) fn headings(
    text: &str,
    tokens: &[Token],
    lines: &Lines,
    patterns: &Patterns,
) -> Vec<bool> {
    let all = &lines.all;
    let capitals: Vec<bool> = all.iter().map(|l| in_capitals(l.span.of(text))).collect();
    // A letter typed in capitals throughout has no headings by its capitals.
    let shouting = capitals.iter().filter(|c| **c).count() * 2 > all.len() && all.len() > 3;
    let mut token = 0;
    // Since the last blank line a number of a clause has stood.
    let mut numbered = false;
    let mut headings: Vec<bool> = Vec::with_capacity(all.len());
    for (n, line) in all.iter().enumerate() {
        while tokens
            .get(token)
            .is_some_and(|t| t.span.start < line.span.start)
        {
            token += 1;
        }
        let words = line.span.of(text);
        numbered = starts_with_digits(words) || numbered && !line.blank_before;
        // A clause in capitals goes on over its lines, also behind a full stop or a semicolon.
        let last = if n == 0 {
            ""
        } else {
            all[n - 1].span.of(text).trim()
        };
        let goes_on = last.ends_with([';', ',']);
        let fresh = n == 0
            || line.blank_before && !(goes_on && capitals[n - 1])
            || if capitals[n - 1] {
                !goes_on && (headings[n - 1] || shouting || !numbered && last.len() < FULL_LINE)
            } else {
                stops(last) && !goes_on
            };
        let phase = || {
            patterns
                .numbering
                .phases
                .longest_at(tokens, token)
                .is_some_and(|(_, role)| {
                    matches!(
                        role,
                        NumberingRole::PhaseOne
                            | NumberingRole::PhaseTwo
                            | NumberingRole::PhaseBoth
                    )
                })
        };
        let alone = line.blank_before && all.get(n + 1).is_none_or(|l| l.blank_before);
        headings.push(
            fresh
                && begins_as_heading(words)
                && (capitals[n] && !shouting && !starts_with_label(words)
                    || words.split_whitespace().count() <= 8
                        && (!words.contains(',') && phase()
                            || alone
                                && words.ends_with(char::is_alphanumeric)
                                && !starts_with_label(words))),
        );
    }
    headings
}

/// Whether a line starts with a number that may be a clause's: "8.", "(8)".
fn starts_with_digits(words: &str) -> bool {
    let first = words.split_whitespace().next().unwrap_or_default();
    starts_with_label(words)
        && first
            .trim_start_matches(['(', '['])
            .starts_with(|c: char| c.is_ascii_digit())
}

/// Whether a line has the length and the ends of a heading.
fn begins_as_heading(words: &str) -> bool {
    words.len() <= LONGEST_HEADING
        && !words.ends_with(['.', ';', ','])
        && words.starts_with(char::is_uppercase)
}

/// For each line, whether it is a numbered title of a few words above a numbered line.
pub(super) fn titles(text: &str, lines: &Lines) -> Vec<bool> {
    let all = &lines.all;
    let words = |n: usize| all.get(n).map_or("", |l| l.span.of(text));
    (0..all.len())
        .map(|n| {
            let line = words(n);
            let Some((_, title)) = line
                .split_once(char::is_whitespace)
                .filter(|_| starts_with_label(line))
            else {
                return false;
            };
            let title = title.trim();
            let short = title.split_whitespace().count() <= 4 || in_capitals(title);
            short
                && line.len() <= LONGEST_HEADING
                && title.starts_with(char::is_uppercase)
                && title.ends_with(char::is_alphanumeric)
                && starts_with_number(words(n + 1))
        })
        .collect()
}

/// Whether a line is nothing but a number in parentheses that closes the paragraph above it.
pub(super) fn item_alone(text: &str, lines: &Lines, n: usize) -> bool {
    let Some(line) = lines.all.get(n).filter(|l| n > 0 && !l.blank_before) else {
        return false;
    };
    let words = line.span.of(text);
    let number = words
        .strip_prefix('(')
        .and_then(|w| w.strip_suffix(')'))
        .or_else(|| words.strip_prefix('[').and_then(|w| w.strip_suffix(']')));
    number.is_some_and(|w| (1..=3).contains(&w.len()) && w.bytes().all(|c| c.is_ascii_digit()))
        && lines.all.get(n + 1).is_none_or(|l| l.blank_before)
        && stops(lines.all[n - 1].span.of(text))
}

/// Whether a line starts with what could be a clause number, with or without a mark behind it.
fn starts_with_number(line: &str) -> bool {
    let first = line.split_whitespace().next().unwrap_or_default();
    let bare = readings(first)
        .iter()
        .flatten()
        .any(|v| v.kind.has_parts() && v.is_first());
    bare || starts_with_label(line) || line.starts_with(|c: char| c.is_ascii_digit())
}

/// "A. GENERAL" and "1. GENERAL" are numbered; whether they are headings shows later.
pub(super) fn starts_with_label(words: &str) -> bool {
    words
        .split_whitespace()
        .next()
        .is_some_and(|w| w.len() <= 6 && w.ends_with(['.', ')', ']']))
}

/// Whether words are typed in capitals: no small letter, and a word of some length.
pub(super) fn in_capitals(words: &str) -> bool {
    let mut letters = 0;
    for c in words.chars() {
        if c.is_lowercase() {
            return false;
        }
        letters += usize::from(c.is_uppercase());
    }
    letters >= 4
}

/// Groups in parentheses that may stand behind a full sentence.
const GROUPS: usize = 8;

/// Whether a sentence, or a part of one that a list follows, ends here.
pub(super) fn stops(words: &str) -> bool {
    let mut words = words.trim_end();
    for _ in 0..GROUPS {
        let bare = words.trim_end_matches(|c: char| {
            c.is_whitespace() || matches!(c, '"' | '”' | '’' | '\'' | ')' | ']')
        });
        if bare.is_empty() || bare.ends_with(['.', '!', '?', ':', ';', '—', '…', '_', '|']) {
            return true;
        }
        // "(15)" and "(Applicability: All)" stand behind a full sentence.
        let open = words
            .rfind('(')
            .filter(|&open| words.ends_with(')') && words.len() - open < 60 && open > 0);
        match open.and_then(|open| words.get(..open)) {
            Some(before) => words = before.trim_end(),
            None => return false,
        }
    }
    false
}

fn pauses(words: &str) -> bool {
    words
        .strip_suffix("and")
        .or_else(|| words.strip_suffix("or"))
        .is_some_and(|w| w.trim_end().ends_with([';', ',']))
}

/// For each line, whether a paragraph starts with it.
pub(super) fn starts(
    text: &str,
    tokens: &[Token],
    lines: &Lines,
    headings: &[bool],
    quotes: &[Span],
    patterns: &Patterns,
) -> Vec<bool> {
    let all = &lines.all;
    let mut token = 0;
    let mut found = Vec::with_capacity(all.len());
    for n in 0..all.len() {
        let line = all[n];
        while tokens
            .get(token)
            .is_some_and(|t| t.span.start < line.span.start)
        {
            token += 1;
        }
        let Some(before) = n.checked_sub(1).map(|p| all[p]) else {
            found.push(true);
            continue;
        };
        let words = line.span.of(text);
        let words_before = before.span.of(text);
        let stop = stops(words_before);
        let quoted = inside(quotes, line.span.start);
        let starts = if item_alone(text, lines, n) {
            false
        } else if headings[n] || headings[n - 1] {
            true
        } else if line.blank_before {
            // A full line without a stop goes on behind the page break; so does one that is
            // nearly full where what follows is no capital.
            let long = words_before.split_whitespace().count() > 5;
            let wide = |tenths: usize| before.right * 10 >= lines.widest() * tenths;
            let inner =
                words_before.ends_with(char::is_lowercase) && words.split_whitespace().count() > 3;
            let full = long
                && (!lines.had_room(n)
                    || (wide(6) && !words.starts_with(char::is_uppercase))
                    || (wide(8) && inner));
            !(quoted || (!starts_with_label(words) && goes_on(words_before, words, full, patterns)))
        } else if quoted || !(stop || pauses(words_before)) || words.starts_with(char::is_lowercase)
        {
            false
        } else {
            let note = patterns
                .numbering
                .words
                .longest_at(tokens, token)
                .is_some_and(|(_, role)| *role == NumberingRole::Note);
            let bullet = words.starts_with(['•', '·', '▪', '●', '|']) || words.starts_with("* ");
            // A line that stands deeper than the one before, or out again, where lines hang.
            let moved = line.indent >= before.indent + 2
                && n >= 2
                && all[n - 2].indent == before.indent
                && !all[n - 1].blank_before;
            let out = line.indent + 2 <= before.indent
                && line.indent > 0
                && n >= 2
                && all[n - 2].indent == before.indent;
            note || bullet || moved || out || lines.had_room(n)
        };
        found.push(starts);
    }
    found
}

/// Whether a paragraph goes on over blank lines, as at a page break.
fn goes_on(before: &str, after: &str, full: bool, patterns: &Patterns) -> bool {
    if stops(before) {
        return false;
    }
    if full {
        return true;
    }
    if after.starts_with(char::is_lowercase) {
        return before.split_whitespace().count() > 3 || before.ends_with(',');
    }
    let last = before.rsplit(char::is_whitespace).next().unwrap_or("");
    matches!(
        last,
        "of" | "to"
            | "the"
            | "a"
            | "an"
            | "and"
            | "or"
            | "in"
            | "by"
            | "with"
            | "under"
            | "for"
            | "on"
            | "§"
            | "§§"
            | "CFR"
            | "FAR"
            | "Part"
    ) || (last.starts_with(char::is_lowercase) && patterns.list.has(last, WordList::RuleUnit))
        || (before.ends_with(',')
            && !after.starts_with(['(', '['])
            && !after.starts_with(|c: char| c.is_ascii_digit()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sentences_stop_behind_groups_and_many_groups_take_no_stack() {
        for words in [
            "It ends.",
            "It ends. (15)",
            "It ends. (a) (Applicability: All)",
        ] {
            assert!(stops(words), "{words}");
        }
        for words in ["It goes on", "It goes on (15)", "(15"] {
            assert!(!stops(words), "{words}");
        }
        assert!(!stops(&format!("It goes on {}", "(a)".repeat(200_000))));
    }
}
