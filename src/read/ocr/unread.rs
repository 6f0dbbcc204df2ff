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
/// So near to a line that was read, in heights of a small letter, one letter is writing, too.
const IN_ROW: f32 = 6.0;
/// How sure a word is that has fewer signs than letters were found in it: a short one and a number are
/// in doubt, a long one that the dictionary knows is not, since a fax breaks letters.
const TOO_FEW: f32 = 0.85;
/// A letter is at least so high, in heights of a small one; less is a mark, or a part of one.
const WHOLE: f32 = 0.7;
/// A piece that is narrower than this, in heights of a small letter, may be a stem.
const STEM: f32 = 0.55;
/// So much of the narrower of two letters that stands above the other is one letter with it.
const SHARED: f32 = 0.5;
/// Ink beside a word that is no letter by its size may be one that is faint, from so much on, in
/// squares of a small letter: more than a comma has.
const FAINT: f32 = 0.12;
/// And if the dust of the page has so many times less in a place of that size.
const DUST: f32 = 4.0;
/// Side of a square in which dust is measured, in heights of a small letter.
const CELL: f32 = 12.0;
/// A blank that is narrower than this, in heights of a small letter, holds no letter.
const BLANK: f32 = 0.9;
/// Beyond the end of a row, ink belongs to it within so much, in heights of a small letter.
const BEYOND: f32 = 2.6;
/// Two pieces of a row with less than this between them, in heights of a small letter, may have lost
/// a word there.
const BETWEEN: f32 = 12.0;

/// The letters that were found on a page, in its pixels.
#[derive(Default)]
pub(super) struct Letters {
    pub(super) letters: Vec<Component>,
    /// Smaller ink: dots, dust, what is left of faint letters.
    pub(super) scraps: Vec<Component>,
    /// The usual height of a small one.
    pub(super) small: f32,
}

impl Letters {
    /// All ink of either size.
    pub(super) fn all(&mut self) -> impl Iterator<Item = &mut Component> {
        self.letters.iter_mut().chain(&mut self.scraps)
    }
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
    let faint = faint(lines, found);
    let read: Vec<Patch> = lines
        .iter()
        .filter(|(_, words)| words.iter().any(|w| w.text != NOT_READ))
        .map(|(patch, _)| *patch)
        .collect();
    for (patch, words) in lines.iter_mut() {
        let letters = within(patch, &found.letters);
        if words.is_empty() {
            let row = |other: &Patch| space(patch, other).is_some_and(|s| s < IN_ROW * found.small);
            let least = if read.iter().any(row) {
                1
            } else if text.is_some_and(|text| holds(&text, patch)) {
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
        let letters = letters.into_iter().filter(|c| !is_stroke(c, found.small));
        let (mut alone, mut of): (Vec<&Component>, Vec<Vec<&Component>>) =
            (Vec::new(), vec![Vec::new(); words.len()]);
        for letter in letters {
            let x = letter.middle();
            let off = |w: &Word| (w.left - x).max(x - w.right).max(0.0);
            let nearest = words.iter().map(off).enumerate();
            match nearest.min_by(|a, b| a.1.total_cmp(&b.1)) {
                Some((n, off)) if off <= near => {
                    if let Some(of) = of.get_mut(n) {
                        of.push(letter);
                    }
                }
                _ => alone.push(letter),
            }
        }
        let more: Vec<i32> = words
            .iter()
            .zip(&of)
            .map(|(word, letters)| halves(letters, found.small) - 2 * signs(&word.text))
            .collect();
        for (n, word) in words.iter_mut().enumerate() {
            // where a word ends is known to a letter: what its neighbors lack may be theirs
            let beside = [n.checked_sub(1), Some(n + 1)].into_iter().flatten();
            let lack: i32 = beside
                .filter_map(|b| more.get(b))
                .map(|m| (*m).min(0))
                .sum();
            if more.get(n).is_some_and(|more| more + lack > 0) {
                word.confidence = word.confidence.min(TOO_FEW);
            }
        }
        let lost: Vec<Word> = alone
            .chunk_by(|a, b| gap(a, b) < 2.0 * near && !parted(words, a, b))
            .filter_map(|part| around(part, 1))
            .collect();
        words.extend(lost);
    }
    for ((_, words), faint) in lines.iter_mut().zip(faint) {
        words.extend(faint);
        words.sort_by(|a, b| a.left.total_cmp(&b.left));
        beside_unread(words, BLANK * found.small);
    }
}

/// Doubts words that end where something was not read, with less than a blank between: they may go on.
fn beside_unread(words: &mut [Word], blank: f32) {
    for n in 1..words.len() {
        if let Some([a, b]) = words.get_mut(n - 1..=n)
            && b.left - a.right < blank
            && (a.text == NOT_READ || b.text == NOT_READ)
        {
            a.confidence = a.confidence.min(TOO_FEW);
            b.confidence = b.confidence.min(TOO_FEW);
        }
    }
}

/// How many halves of letters stand side by side: what is narrow may be one of two stems whose arch
/// is gone, and what stands above another piece belongs to it.
fn halves(letters: &[&Component], small: f32) -> i32 {
    let mut count = 0;
    let mut last: Option<(f32, f32)> = None;
    for c in letters.iter().filter(|c| c.height() > WHOLE * small) {
        let (left, right) = (c.left as f32, c.right as f32);
        last = match last {
            Some((from, to)) if to.min(right) - left > SHARED * (right - left).min(to - from) => {
                Some((from, to.max(right)))
            }
            _ => {
                count += if c.width() < STEM * small { 1 } else { 2 };
                Some((left, right))
            }
        };
    }
    count
}

/// How many pieces as large as letters the signs of a word may have, side by side.
fn signs(word: &str) -> i32 {
    let pieces = |c: char| match c {
        '.' | ',' | ';' | ':' | '\'' | '\u{2018}' | '\u{2019}' | '-' | '_' | '\u{2013}'
        | '\u{2014}' | '*' | '~' | '^' | '`' | '\u{b0}' => 0,
        '"' | '\u{201c}' | '\u{201d}' => 2,
        '%' | '\u{bd}' | '\u{bc}' | '\u{be}' | '[' => 3,
        _ => 1,
    };
    word.chars().map(pieces).sum()
}

/// The space between two pieces of one row; `None` where they stand at other heights or above one
/// another.
fn space(a: &Patch, b: &Patch) -> Option<f32> {
    let (left, right) = if a.left < b.left { (a, b) } else { (b, a) };
    let apart = f32::midpoint(right.left, right.right) - f32::midpoint(left.left, left.right);
    let lower = f32::midpoint(left.slope, right.slope) * apart;
    let shared = (left.bottom + lower).min(right.bottom) - (left.top + lower).max(right.top);
    let low = (a.bottom - a.top).min(b.bottom - b.top);
    (shared > 0.6 * low && right.left > left.right - 0.5 * low).then_some(right.left - left.right)
}

/// For each line that was read, what stands for ink in its blanks and beside it that may be letters
/// too faint to be found.
fn faint(lines: &[(Patch, Vec<Word>)], found: &Letters) -> Vec<Vec<Word>> {
    let dust = dust(lines, found);
    let of = |(patch, words): &(Patch, Vec<Word>)| {
        let (Some(first), Some(last)) = (words.first(), words.last()) else {
            return Vec::new();
        };
        let others = || lines.iter().map(|(other, _)| other);
        let beside = others().filter(|other| space(patch, other).is_some());
        let (mut from, mut to) = (f32::MIN, f32::MAX);
        for other in beside {
            if other.left > patch.left {
                to = to.min(other.left);
            } else {
                from = from.max(other.right);
            }
        }
        let reach = |space: f32| {
            if space < BETWEEN * found.small {
                space
            } else {
                BEYOND * found.small
            }
        };
        (from, to) = (
            first.left - reach(first.left - from),
            last.right + reach(to - last.right),
        );
        let ends = words.windows(2).filter_map(|pair| match pair {
            [a, b] => Some((a.right, b.left)),
            _ => None,
        });
        let blanks = std::iter::once((from, first.left))
            .chain(ends)
            .chain(std::iter::once((last.right, to)));
        let inside = reaching(patch, &found.scraps, (from, to));
        blanks
            .filter(|(left, right)| right - left > BLANK * found.small)
            .filter_map(|(left, right)| {
                let scraps: Vec<&Component> = inside
                    .iter()
                    .filter(|c| {
                        c.middle() > left + 0.2 * found.small
                            && c.middle() < right - 0.2 * found.small
                    })
                    .copied()
                    .collect();
                let ink: f32 = scraps.iter().map(|c| c.area as f32).sum();
                let room = (right - left) * (patch.bottom - patch.top);
                let enough = FAINT * found.small * found.small + DUST * dust * room;
                (ink > enough).then(|| around(&scraps, 2)).flatten()
            })
            .collect()
    };
    lines.iter().map(of).collect()
}

/// Ink of scraps outside of all lines, as a share of the paper, where about half of the page has more:
/// faint words lie in a few places, dust everywhere.
fn dust(lines: &[(Patch, Vec<Word>)], found: &Letters) -> f32 {
    let all = lines.iter().map(|(patch, _)| *patch);
    let Some(text) = all.reduce(|a, b| a.with(&b)) else {
        return 0.0;
    };
    let side = (CELL * found.small).max(1.0);
    // casts of floats keep to the bounds of the integer
    let count = |length: f32| (length / side).ceil().clamp(1.0, 1000.0) as usize;
    let (across, down) = (count(text.right - text.left), count(text.bottom - text.top));
    let mut cells = vec![0.0_f32; across * down];
    for c in &found.scraps {
        let (x, y) = (c.middle(), f32::midpoint(c.top as f32, c.bottom as f32));
        let inside = |p: &Patch| x > p.left && x < p.right && y > p.top && y < p.bottom;
        if inside(&text) && !lines.iter().any(|(patch, _)| inside(patch)) {
            let (column, row) = ((x - text.left) / side, (y - text.top) / side);
            if let Some(cell) = cells.get_mut(row as usize * across + column as usize) {
                *cell += c.area as f32;
            }
        }
    }
    cells.sort_by(f32::total_cmp);
    let middle = cells.get((cells.len() - 1) / 2).copied();
    middle.unwrap_or(0.0) / (side * side)
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
    reaching(patch, letters, (patch.left, patch.right))
}

/// The same of a line that reaches from one place to another.
fn reaching<'c>(
    patch: &Patch,
    letters: &'c [Component],
    (from, to): (f32, f32),
) -> Vec<&'c Component> {
    let middle = f32::midpoint(patch.left, patch.right);
    let mut inside: Vec<&Component> = letters
        .iter()
        .filter(|c| {
            let x = c.middle();
            let y = f32::midpoint(c.top as f32, c.bottom as f32) - patch.slope * (x - middle);
            x > from && x < to && y > patch.top && y < patch.bottom
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

    fn patch(left: f32, right: f32, top: f32) -> Patch {
        Patch {
            left,
            top,
            right,
            bottom: top + 18.0,
            base: top + 16.0,
            slope: 0.0,
        }
    }

    fn word(&(text, left, right): &(&str, f32, f32)) -> Word {
        Word {
            text: text.to_owned(),
            left,
            right,
            confidence: 1.0,
            posterior: None,
        }
    }

    fn found(letters: Vec<Component>, scraps: Vec<Component>) -> Letters {
        Letters {
            letters,
            scraps,
            small: 10.0,
        }
    }

    /// What is told of a line in which these words, each from left to right, were read.
    fn line(letters: Vec<Component>, read: &[(&str, f32, f32)]) -> Vec<String> {
        told_of(letters, read, true)
    }

    /// The same, between two lines of text or above all text.
    fn told_of(letters: Vec<Component>, read: &[(&str, f32, f32)], between: bool) -> Vec<String> {
        let whole = |top: f32| patch(0.0, 200.0, top);
        let words = read.iter().map(word).collect();
        let text = || vec![word(&("text", 0.0, 200.0)); TEXT];
        let mut lines = [
            (whole(0.0), words),
            (whole(20.0), text()),
            (whole(-20.0), if between { text() } else { Vec::new() }),
        ];
        told(&mut lines, &found(letters, Vec::new()));
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

    #[test]
    fn a_letter_alone_is_told_in_a_row_of_words() {
        let alone = |top: f32| {
            let mut lines = [
                (patch(0.0, 50.0, 0.0), vec![word(&("for", 4.0, 44.0))]),
                (patch(70.0, 90.0, top), Vec::new()),
            ];
            told(&mut lines, &found(vec![letter(75, 8, 10)], Vec::new()));
            lines[1].1.len()
        };
        assert_eq!(alone(0.0), 1);
        assert_eq!(alone(-30.0), 0);
    }

    #[test]
    fn a_word_of_fewer_signs_than_letters_is_a_doubt() {
        let sure = |letters: Vec<Component>, read: &str| {
            let mut lines = [(patch(0.0, 60.0, 0.0), vec![word(&(read, 2.0, 46.0))])];
            told(&mut lines, &found(letters, Vec::new()));
            lines[0].1[0].confidence
        };
        assert_eq!(sure(typed(0, 4), "must"), 1.0);
        assert_eq!(sure(typed(0, 4), "mut"), TOO_FEW);
        // letters that touch are fewer, and two stems are one letter
        assert_eq!(sure(typed(0, 2), "must"), 1.0);
        let stems = [typed(0, 3), vec![letter(36, 4, 14), letter(42, 4, 14)]].concat();
        assert_eq!(sure(stems, "mush"), 1.0);
        // a comma is no letter
        assert_eq!(sure(typed(0, 4), "mut,"), TOO_FEW);
    }

    #[test]
    fn faint_ink_between_two_words_is_told_and_dust_is_not() {
        let read = |scraps: Vec<Component>| {
            let words = vec![word(&("may", 0.0, 40.0)), word(&("be", 90.0, 110.0))];
            let mut lines = [(patch(0.0, 110.0, 0.0), words)];
            told(&mut lines, &found(Vec::new(), scraps));
            lines[0].1.len()
        };
        // what is left of three letters: dots of 2 by 3
        let dots = |left: u32, count: u32| (0..count).map(move |n| letter(left + 5 * n, 2, 3));
        assert_eq!(read(dots(50, 6).collect()), 3);
        assert_eq!(read(dots(50, 2).collect()), 2);
        // the stop behind a word stands at its end
        assert_eq!(read(dots(41, 1).collect()), 2);
    }

    #[test]
    fn faint_ink_between_two_pieces_of_a_row_is_told() {
        let read = |left: u32| {
            let scraps = (0..6).map(|n| letter(left + 5 * n, 2, 3)).collect();
            let mut lines = [
                (patch(0.0, 50.0, 0.0), vec![word(&("with", 4.0, 44.0))]),
                (
                    patch(130.0, 200.0, 0.0),
                    vec![word(&("engine", 134.0, 196.0))],
                ),
            ];
            told(&mut lines, &found(Vec::new(), scraps));
            lines[0].1.len() + lines[1].1.len()
        };
        assert!(read(85) > 2);
        assert_eq!(read(260), 2);
    }

    #[test]
    fn a_word_that_ends_where_something_was_not_read_is_a_doubt() {
        let sure = |left: f32| {
            let mut words = vec![word(&("39.27", 0.0, 50.0)), word(&(NOT_READ, left, 90.0))];
            beside_unread(&mut words, 9.0);
            words[0].confidence
        };
        assert_eq!(sure(55.0), TOO_FEW);
        assert_eq!(sure(65.0), 1.0);
    }
}
