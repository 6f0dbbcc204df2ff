//! Words that OCR read with less than full confidence, and are certain all the same.
//!
//! Measured on about 17,000 made lines of fonts and text that the reader never saw, clean to fax: of
//! 4,386 deciding words read with a confidence of 0.95 and more, 2 were wrong, in the sign behind them
//! ("Not." and "Not,"); of 113 between 0.8 and 0.95, 6, and those that were looked at were short words.

use super::vocabulary::Vocabulary;

/// A known word that was read so well is that word.
const WORD: f32 = 0.8;
/// Short words lie close to one another: "not" and "now", "or" and "on".
const SHORT_WORD: f32 = 0.95;

/// Whether the word is what it was read as. Numbers never are by themselves: each figure makes
/// another number.
pub(super) fn certain(word: &str, confidence: f32, vocabulary: &Vocabulary<'_>) -> bool {
    let core = word.trim_matches(|c: char| !c.is_alphanumeric());
    if core.is_empty() {
        // a sign alone decides nothing; a place that was not read may
        return !word.contains("[?]");
    }
    if core.chars().any(|c| c.is_ascii_digit()) {
        return false;
    }
    let enough = if core.chars().count() <= 3 {
        SHORT_WORD
    } else {
        WORD
    };
    confidence >= enough
        && core
            .split(['-', '/', '\'', '\u{2019}'])
            .filter(|part| !part.is_empty())
            .all(|part| part.len() == 1 || vocabulary.knows_form(&part.to_lowercase()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::patterns::Patterns;

    #[test]
    fn known_words_bear_less_confidence_than_others() {
        let patterns = Patterns::embedded().expect("the embedded patterns");
        let vocabulary = Vocabulary::of(&patterns);
        for (word, confidence, expected) in [
            ("mechanic", 0.85, true),
            ("mechanic", 0.75, false),
            ("may", 0.96, true),
            ("may", 0.94, false),
            ("mechanlc", 0.9, false),
            ("65.104", 0.8, false),
            ("FAA-certificated", 0.85, true),
            ("§", 0.2, true),
            ("[?]", 0.0, false),
        ] {
            assert_eq!(
                certain(word, confidence, &vocabulary),
                expected,
                "{word} {confidence}"
            );
        }
    }
}
