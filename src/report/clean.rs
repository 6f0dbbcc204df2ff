//! Text of a letter is untrusted: what could steer a terminal or reorder a line is made visible
//! before it reaches any output.

use std::path::Path;

use crate::text::file_name;

/// One line of text: every run of blanks becomes one, what is no character for people is made
/// visible (see `visible`).
#[must_use]
pub fn line(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for word in text.split_whitespace() {
        if !out.is_empty() {
            out.push(' ');
        }
        out.extend(word.chars().filter_map(visible));
    }
    out
}

/// The name of a file.
#[must_use]
pub fn path(path: &Path) -> String {
    line(&file_name(path))
}

/// Several lines: line ends stay, tabs become blanks, the rest as in `line`.
#[must_use]
pub fn lines(text: &str) -> String {
    text.chars()
        .filter_map(|c| match c {
            '\n' => Some('\n'),
            '\r' => None,
            '\t' => Some(' '),
            c => visible(c),
        })
        .collect()
}

/// The words, cut at a blank and ended with an ellipsis where they have more than so many
/// characters.
#[must_use]
pub fn shortened(words: &str, most: usize) -> String {
    let Some((end, _)) = words.char_indices().nth(most) else {
        return words.to_owned();
    };
    let head = words.get(..end).unwrap_or_default();
    let at = head.rfind(char::is_whitespace).unwrap_or(head.len());
    let kept = head.get(..at).unwrap_or_default();
    let kept = kept.trim_end_matches(|c: char| c.is_whitespace() || ",;:(".contains(c));
    format!("{kept} \u{2026}")
}

/// The character as it may be shown: control characters as their pictures (U+2400 ff.), the other
/// controls, bidirectional overrides and tags as U+FFFD; soft hyphens and zero-width characters
/// are left out.
fn visible(c: char) -> Option<char> {
    match c {
        '\0'..='\u{1f}' => Some(char::from_u32(0x2400 + u32::from(c)).unwrap_or('\u{fffd}')),
        '\u{7f}' => Some('\u{2421}'),
        '\u{80}'..='\u{9f}'
        | '\u{61c}'
        | '\u{200e}'
        | '\u{200f}'
        | '\u{2028}'..='\u{202e}'
        | '\u{2066}'..='\u{2069}'
        | '\u{fff9}'..='\u{fffb}'
        | '\u{e0000}'..='\u{e007f}' => Some('\u{fffd}'),
        '\u{ad}' | '\u{200b}'..='\u{200d}' | '\u{2060}' | '\u{feff}' => None,
        c => Some(c),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_words_are_cut_at_a_blank() {
        assert_eq!(shortened("in a condition for", 18), "in a condition for");
        assert_eq!(
            shortened("in a condition, for", 18),
            "in a condition \u{2026}"
        );
        assert_eq!(
            shortened("\u{a7}\u{a7}\u{a7} 91.409", 4),
            "\u{a7}\u{a7}\u{a7} \u{2026}"
        );
        assert_eq!(shortened("undivided", 4), "undi \u{2026}");
    }

    #[test]
    fn escapes_of_a_letter_become_pictures() {
        let hostile = "a\u{1b}[2J\u{9b}31m b\u{7}\u{202e}c\u{0}";
        for clean in [line(hostile), lines(hostile)] {
            assert!(!clean.chars().any(char::is_control), "{clean:?}");
            assert!(!clean.contains('\u{202e}'), "{clean:?}");
            assert!(clean.contains("\u{241b}[2J"), "{clean:?}");
        }
    }

    #[test]
    fn blanks_fold_in_a_line_and_stay_in_lines() {
        assert_eq!(line(" may\n  per\u{ad}form\t"), "may perform");
        assert_eq!(lines("may\r\n perform\t."), "may\n perform .");
    }
}
