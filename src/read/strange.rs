//! Signs that no word of a letter has: replacement characters, signs for private use, letters of
//! another script, marks in the middle of words.
//!
//! A reader of the paper may see the right word all the same; a program cannot. So such a word is
//! doubted, whatever it looks like.

use unicode_normalization::UnicodeNormalization;

use crate::model::{Doubt, Span, Text};
use crate::patterns::Patterns;

/// Whether a word holds a sign that no word has. Such a sign alone is a bullet or a box.
pub(super) fn is_in(word: &str) -> bool {
    if word.is_ascii() && !word.bytes().any(|b| is_odd_mark(char::from(b))) {
        return false;
    }
    let letters = word.chars().filter(char::is_ascii_alphabetic).count();
    let foreign = word.chars().filter(|&c| is_foreign(c)).count();
    let lost = word.chars().filter(|&c| is_lost(c)).count();
    let digits = word.chars().any(|c| c.is_ascii_digit());
    lost > 0 && (letters > 0 || digits || lost > 1)
        || foreign > 0 && (letters > 0 || foreign > 1)
        || within(word)
}

/// A character that was lost or that only its font knows.
fn is_lost(c: char) -> bool {
    matches!(
        c,
        '\u{fffd}' | '\u{e000}'..='\u{f8ff}' | '\u{f0000}'..='\u{10ffff}' | '\u{fff9}'..='\u{fffc}'
    )
}

/// A letter of another script, or one that only looks like a letter of ours.
fn is_foreign(c: char) -> bool {
    c.is_alphabetic()
        && !matches!(
            c,
            'a'..='z' | 'A'..='Z' | '\u{aa}' | '\u{b5}' | '\u{ba}'
            | '\u{c0}'..='\u{17f}' | '\u{1e00}'..='\u{1eff}'
        )
        || matches!(c, '\u{131}' | '\u{17f}')
}

/// A mark that joins no two letters.
fn is_odd_mark(c: char) -> bool {
    match c {
        '#' | '$' | '%' | '*' | '+' | '\\' | '^' | '`' | '{' | '|' | '}' | '~' => true,
        // dashes, quotes, dots and bullets stand between words without blanks
        '\u{2010}'..='\u{2027}'
        | '\u{ad}'
        | '\u{b7}'
        | '\u{ab}'
        | '\u{bb}'
        | '\u{a7}'
        | '\u{b6}' => false,
        c => !c.is_ascii() && !c.is_alphabetic(),
    }
}

/// Whether such a mark stands between two letters.
fn within(word: &str) -> bool {
    let mut before = None;
    let mut chars = word.chars().peekable();
    while let Some(c) = chars.next() {
        let letter = |c: Option<char>| c.is_some_and(|c| c.is_ascii_alphabetic());
        // a mark over a letter may end a word
        let over = is_mark_over(c);
        if is_odd_mark(c) && letter(before) && (over || letter(chars.peek().copied())) {
            return true;
        }
        before = Some(c);
    }
    false
}

/// A mark that stands over or under the letter before it.
fn is_mark_over(c: char) -> bool {
    matches!(
        c,
        '\u{300}'..='\u{36f}' | '\u{483}'..='\u{489}' | '\u{1ab0}'..='\u{1aff}'
        | '\u{1dc0}'..='\u{1dff}' | '\u{20d0}'..='\u{20ff}' | '\u{fe20}'..='\u{fe2f}'
    )
}

/// Doubts words that are known words but for the marks over their letters: `mechaníc`. Names of
/// people have such letters, too, and stay as they are.
pub(super) fn doubt_marked(text: &mut Text, patterns: &Patterns) {
    if text.content.is_ascii() {
        return;
    }
    let slip = &patterns.slip;
    let mut found = Vec::new();
    let mut at = 0;
    for piece in text.content.split_inclusive(|c: char| !c.is_alphabetic()) {
        let word = piece.trim_end_matches(|c: char| !c.is_alphabetic());
        let start = at;
        at += piece.len();
        if word.is_ascii() {
            continue;
        }
        let bare: String = word.nfd().filter(char::is_ascii_alphabetic).collect();
        let bare = bare.to_lowercase();
        if bare.len() > 1 && (slip.known.contains(&bare) || slip.persons.contains(&bare)) {
            found.push(Doubt {
                span: Span::new(start, start + word.len()),
                confidence: Doubt::SPOILT,
                meant: Some(bare),
            });
        }
    }
    text.doubts.extend(found);
    text.doubts.sort_by_key(|d| (d.span.start, d.span.end));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_with_signs_that_no_word_has() {
        for word in [
            "mech\u{fffd}nic",
            "\u{fffd}echanic",
            "mechani\u{fffd}",
            "2\u{fffd})",
            "mech\u{e000}nic",
            "\u{e000}\u{e001}",
            "m\u{435}chanic",
            "\u{43c}\u{435}\u{445}",
            "mechan\u{131}c",
            "mech\u{251}nic",
            "mech#nic",
            "mech|anic",
            "mech\u{ac}anic",
            "mechanic\u{20dd}",
            "mech\u{334}anic",
            "inspect\u{2460}ion",
        ] {
            assert!(is_in(word), "{word}");
        }
        for word in [
            "mechanic",
            "A&P",
            "and/or",
            "owner's",
            "FAA-certificated",
            "\u{2022}",
            "\u{fffd}",
            "\u{f0a8}",
            "\u{a7}91.319(b)",
            "90\u{b0}",
            "1\u{bd}",
            "limitations\u{2014}the",
            "\"may\"",
            "r\u{e9}sum\u{e9}",
            "Dvo\u{159}\u{e1}k",
            "25\u{3a9}",
            "inspection*",
            "(a)(b)",
            "____",
            "\u{b5}m",
            "...",
            "\u{201c}Date\u{201d}",
        ] {
            assert!(!is_in(word), "{word}");
        }
    }

    #[test]
    fn a_known_word_with_marks_is_doubted_and_a_name_is_not() {
        let patterns = Patterns::embedded().expect("the embedded patterns");
        let mut text = Text::verbatim("A mechan\u{ed}c, J. Dvo\u{159}\u{e1}k, may inspect.");
        doubt_marked(&mut text, &patterns);
        let [doubt] = text.doubts.as_slice() else {
            panic!("{:?}", text.doubts);
        };
        assert_eq!(doubt.span.of(&text.content), "mechan\u{ed}c");
        assert_eq!(doubt.meant.as_deref(), Some("mechanic"));
    }
}
