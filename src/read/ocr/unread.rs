//! Ink of the size of letters that became no words: said to stand there, unread.
//!
//! A word that is lost without a trace bears no confidence: «may not perform» would be «may perform»,
//! as sure as can be. So each letter that was found has to lie where something was read.

use super::components::Component;
use super::ctc::NOT_READ;
use super::patch::{Patch, Word};

/// A letter so near to a word, in heights of a small letter, is one of its letters: where in a line
/// the reader saw a character is known no better.
const NEAR: f32 = 0.9;
/// Ink without words is writing if it has so many letters; fewer are dirt.
const WRITING: usize = 3;
/// So many above, below or beside all text: a table shows grain around a page that lies on it.
const WRITING_ALONE: usize = 12;
/// Lines of so many words and more are text.
const TEXT: usize = 4;
/// And is no higher than this, in heights of the usual line: a signature or a stamp is.
const HIGHEST: f32 = 1.4;

/// The letters that were found on a page, in its pixels.
#[derive(Default)]
pub(super) struct Letters {
    pub(super) letters: Vec<Component>,
    /// The usual height of a small one.
    pub(super) small: f32,
}

/// Puts a word that stands for what was not read wherever letters stand and no word does.
pub(super) fn told(lines: &mut [(Patch, Vec<Word>)], found: &Letters) {
    let mut heights: Vec<f32> = lines
        .iter()
        .filter(|(_, words)| !words.is_empty())
        .map(|(patch, _)| patch.bottom - patch.top)
        .collect();
    let usual = super::slopes::median(&mut heights);
    let text = text(lines);
    for (patch, words) in lines {
        let letters = within(patch, &found.letters);
        if words.is_empty() {
            let least = if text.is_some_and(|text| holds(&text, patch)) {
                WRITING
            } else {
                WRITING_ALONE
            };
            if patch.bottom - patch.top < HIGHEST * usual {
                words.extend(around(&letters, least));
            }
            continue;
        }
        let near = NEAR * found.small;
        let alone: Vec<&Component> = letters
            .into_iter()
            .filter(|c| !is_stroke(c, found.small))
            .filter(|c| {
                let x = c.middle();
                words
                    .iter()
                    .all(|w| x < w.left - near || x > w.right + near)
            })
            .collect();
        let lost: Vec<Word> = alone
            .chunk_by(|a, b| gap(a, b) < 2.0 * near && !parted(words, a, b))
            .filter_map(|part| around(part, 1))
            .collect();
        words.extend(lost);
        words.sort_by(|a, b| a.left.total_cmp(&b.left));
    }
}

/// The rectangle around all lines of text.
fn text(lines: &[(Patch, Vec<Word>)]) -> Option<Patch> {
    let long = lines.iter().filter(|(_, words)| words.len() >= TEXT);
    long.map(|(patch, _)| *patch).reduce(|a, b| a.with(&b))
}

/// Whether a line stands among the text.
fn holds(text: &Patch, line: &Patch) -> bool {
    line.top > text.top
        && line.bottom < text.bottom
        && line.left < text.right
        && line.right > text.left
}

/// Whether it is a bracket or the side of a cell, of which the reader may be right to say nothing.
fn is_stroke(c: &Component, small: f32) -> bool {
    c.width() < 0.6 * small && c.height() > 1.7 * small
}

/// The letters of a line, from left to right.
fn within<'c>(patch: &Patch, letters: &'c [Component]) -> Vec<&'c Component> {
    let middle = f32::midpoint(patch.left, patch.right);
    let mut inside: Vec<&Component> = letters
        .iter()
        .filter(|c| {
            let x = c.middle();
            let y = f32::midpoint(c.top as f32, c.bottom as f32) - patch.slope * (x - middle);
            x > patch.left && x < patch.right && y > patch.top && y < patch.bottom
        })
        .collect();
    inside.sort_by_key(|c| c.left);
    inside
}

fn gap(a: &Component, b: &Component) -> f32 {
    b.left as f32 - a.right as f32
}

/// Whether a word stands between two letters.
fn parted(words: &[Word], a: &Component, b: &Component) -> bool {
    words
        .iter()
        .any(|w| w.left > a.middle() && w.right < b.middle())
}

/// What stands for so many letters or more; `None` for fewer.
fn around(letters: &[&Component], least: usize) -> Option<Word> {
    let left = letters.iter().map(|c| c.left).min()?;
    let right = letters.iter().map(|c| c.right).max()?;
    (letters.len() >= least).then(|| Word {
        text: NOT_READ.to_owned(),
        left: left as f32,
        right: right as f32,
        confidence: 0.0,
        posterior: None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn letter(left: u32, width: u32, height: u32) -> Component {
        Component {
            left,
            top: 2,
            right: left + width,
            bottom: 2 + height,
            area: width * height / 2,
        }
    }

    /// What is told of a line in which these words, each from left to right, were read.
    fn line(letters: Vec<Component>, read: &[(&str, f32, f32)]) -> Vec<String> {
        told_of(letters, read, true)
    }

    /// The same, between two lines of text or above all text.
    fn told_of(letters: Vec<Component>, read: &[(&str, f32, f32)], between: bool) -> Vec<String> {
        let patch = |top: f32| Patch {
            left: 0.0,
            top,
            right: 200.0,
            bottom: top + 18.0,
            base: top + 16.0,
            slope: 0.0,
        };
        let word = |&(text, left, right): &(&str, f32, f32)| Word {
            text: text.to_owned(),
            left,
            right,
            confidence: 1.0,
            posterior: None,
        };
        let words = read.iter().map(word).collect();
        let text = || vec![word(&("text", 0.0, 200.0)); TEXT];
        let mut lines = [
            (patch(0.0), words),
            (patch(20.0), text()),
            (patch(-20.0), if between { text() } else { Vec::new() }),
        ];
        let small = 10.0;
        told(&mut lines, &Letters { letters, small });
        lines[0].1.iter().map(|w| w.text.clone()).collect()
    }

    /// Letters of a word, 12 apart.
    fn typed(left: u32, count: u32) -> Vec<Component> {
        (0..count).map(|n| letter(left + 12 * n, 10, 14)).collect()
    }

    #[test]
    fn a_letter_that_was_not_read_is_told() {
        let all = || [typed(0, 4), typed(70, 3)].concat();
        assert_eq!(
            line(all(), &[("MUST", 4.0, 42.0), ("not", 74.0, 100.0)]),
            ["MUST", "not"]
        );
        assert_eq!(
            line(all(), &[("UST", 16.0, 42.0), ("not", 74.0, 100.0)]),
            ["[?]", "UST", "not"]
        );
        assert_eq!(line(all(), &[("MUST", 4.0, 42.0)]), ["MUST", "[?]"]);
        assert_eq!(line(all(), &[("not", 74.0, 100.0)]), ["[?]", "not"]);
    }

    #[test]
    fn a_bracket_and_dirt_are_no_letters() {
        let bracket = [typed(0, 4), vec![letter(70, 5, 18)]].concat();
        assert_eq!(line(bracket, &[("MUST", 4.0, 42.0)]), ["MUST"]);
        assert_eq!(line(typed(0, 2), &[]), [""; 0]);
        assert_eq!(line(typed(0, 3), &[]), ["[?]"]);
    }

    #[test]
    fn above_all_text_only_a_line_is_told() {
        assert_eq!(told_of(typed(0, 11), &[], false), [""; 0]);
        assert_eq!(told_of(typed(0, 12), &[], false), ["[?]"]);
    }
}
