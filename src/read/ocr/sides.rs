//! Pieces of lines that stray ink has parted or cut short.
//!
//! A signature, a stroke or a stamp that touches letters makes one component of them that is no
//! letter by its size; thin type falls into scraps that stand beside nothing. Either way letters
//! would lie outside of every piece, and nobody would read them.

use super::components::{Component, Ink, Sets};
use super::piece::Piece;

/// Two pieces of a line with less than this between them are one, in heights of a small letter.
const TOUCH: f32 = 0.7;
/// Ink so near to the end of a piece may be its next word, in heights of a small letter.
const WORD: f32 = 1.3;
/// Scraps so near to one another are of one letter, in heights of a small one.
const SCRAPS: f32 = 0.25;
/// A scrap has so much ink, in squares of a small letter; less is a speck.
const SCRAP: f32 = 0.02;
/// Scraps of one page; more are dirt.
const MOST_SCRAPS: usize = 20_000;
/// So much of the lower of two pieces stands at the height of the other.
const LEVEL: f32 = 0.6;
/// No piece of one line is higher than this, in heights of a line.
const ONE_LINE: f32 = 1.3;
/// A letter that is higher than this is a stroke, in heights of a line.
const STROKE: f32 = 1.25;

/// Leaves strokes at the side of a line out of a piece: they are no measure of its height.
pub(super) fn without_strokes(piece: &mut Piece, tall: f32) {
    let low = |c: &Component| c.height() <= STROKE * tall;
    let letters = piece.letters.iter().filter(|c| low(c)).count();
    // a heading in larger type is high throughout
    if letters < piece.letters.len() && letters * 3 >= piece.letters.len() * 2 {
        piece.letters.retain(low);
        piece.measure();
    }
}

/// Joins the pieces that touch or overlap at one height.
pub(super) fn joined(mut pieces: Vec<Piece>, small: f32, tall: f32) -> Vec<Piece> {
    pieces.sort_by(|a, b| a.left.total_cmp(&b.left));
    let mut sets = Sets::of(pieces.len());
    for (n, a) in pieces.iter().enumerate() {
        // the widest piece may reach to any other one: all that begin before its end are tried
        for (m, b) in pieces.iter().enumerate().skip(n + 1) {
            if b.left > a.right + TOUCH * small {
                break;
            }
            if level(a, b, tall) {
                sets.join(n as u32, m as u32);
            }
        }
    }
    let mut of: Vec<Option<Piece>> = Vec::new();
    of.resize_with(pieces.len(), || None);
    for (n, piece) in pieces.into_iter().enumerate() {
        let root = sets.root(n as u32) as usize;
        if let Some(to) = of.get_mut(root) {
            *to = Some(match to.take() {
                None => piece,
                Some(first) => first.with(piece),
            });
        }
    }
    of.into_iter().flatten().collect()
}

/// Whether two pieces stand at one height, as parts of one line do.
fn level(a: &Piece, b: &Piece, tall: f32) -> bool {
    // where they meet, or in the middle of what they share
    let x = f32::midpoint(b.left, a.right.min(b.right));
    let (a_fall, b_fall) = (a.fall(x), b.fall(x));
    let (top, bottom) = (a.top + a_fall, a.bottom + a_fall);
    let (other_top, other_bottom) = (b.top + b_fall, b.bottom + b_fall);
    let shared = bottom.min(other_bottom) - top.max(other_top);
    let whole = bottom.max(other_bottom) - top.min(other_top);
    let (low, high) = (
        (bottom - top).min(other_bottom - other_top),
        (bottom - top).max(other_bottom - other_top),
    );
    shared > LEVEL * low && whole < (ONE_LINE * tall).max(1.1 * high)
}

/// Lets pieces reach over the ink at their ends that hangs together with more than a letter.
pub(super) fn extended(
    pieces: &mut [Piece],
    all: &[Component],
    ink: &Ink,
    (small, tall): (f32, f32),
) {
    let near = WORD * small;
    let mut large: Vec<&Component> = all
        .iter()
        .filter(|c| c.height() > STROKE * tall || c.width() >= 12.0 * small)
        .collect();
    large.sort_by_key(|c| c.left);
    for piece in pieces.iter_mut().filter(|p| p.letters.len() > 1) {
        let (mut left, mut right) = (piece.left, piece.right);
        let beside: Vec<&Component> = large
            .iter()
            .filter(|c| {
                let fall = piece.fall(c.middle());
                (c.bottom as f32) > piece.top + fall && (c.top as f32) < piece.base + fall
            })
            .copied()
            .collect();
        for c in &beside {
            if c.right as f32 > right && (c.left as f32) < right + near {
                let columns = right as u32..c.right;
                right = right.max(last(piece, ink, columns, near).unwrap_or(right));
            }
        }
        for c in beside.iter().rev() {
            if (c.left as f32) < left && c.right as f32 > left - near {
                let columns = (c.left..left as u32).rev();
                left = left.min(last(piece, ink, columns, near).unwrap_or(left));
            }
        }
        piece.reach(left, right);
    }
}

/// The last column with ink at the height of the small letters before a blank of this width.
fn last(piece: &Piece, ink: &Ink, columns: impl Iterator<Item = u32>, blank: f32) -> Option<f32> {
    let mut found = None;
    let mut blanks = 0.0;
    for x in columns {
        let fall = piece.fall(x as f32);
        // casts of floats keep to the bounds of the integer
        let (top, base) = ((piece.top + fall) as usize, (piece.base + fall) as usize);
        let black = |y: usize| ink.black.get(y * ink.width + x as usize) == Some(&true);
        if (top..base).any(black) {
            found = Some(x as f32);
            blanks = 0.0;
        } else {
            blanks += 1.0;
            if blanks > blank {
                break;
            }
        }
    }
    found
}

/// Letters of thin type that fell into scraps: marks that all but touch and are a letter together.
pub(super) fn mended(all: &[Component], small: f32) -> Vec<Component> {
    let reach = SCRAPS * small;
    let mut scraps: Vec<Component> = all
        .iter()
        .filter(|c| !c.is_letter(small) && c.height() < 2.6 * small && c.width() < 2.6 * small)
        .filter(|c| c.area as f32 > SCRAP * small * small)
        .copied()
        .collect();
    if scraps.len() > MOST_SCRAPS {
        return Vec::new();
    }
    scraps.sort_by_key(|c| c.left);
    let mut sets = Sets::of(scraps.len());
    for (n, a) in scraps.iter().enumerate() {
        for (m, b) in scraps.iter().enumerate().skip(n + 1) {
            if b.left as f32 > a.right as f32 + reach {
                break;
            }
            let apart = a.top.max(b.top) as f32 - a.bottom.min(b.bottom) as f32;
            if apart < reach {
                sets.join(n as u32, m as u32);
            }
        }
    }
    let mut of: Vec<Option<Component>> = vec![None; scraps.len()];
    for (n, scrap) in scraps.iter().enumerate() {
        if let Some(to) = of.get_mut(sets.root(n as u32) as usize) {
            *to = Some(to.map_or(*scrap, |c| c.with(*scrap)));
        }
    }
    // a row of dots or dashes is none
    of.into_iter()
        .flatten()
        .filter(|c| c.is_letter(small) && c.width() < 2.6 * small && c.height() > 0.7 * small)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::read::ocr::components::letter;

    /// Letters of ten by fourteen pixels, 12 apart.
    fn piece(left: u32, top: u32, count: u32) -> Piece {
        let letters = (0..count).map(|n| letter(left + 12 * n, top, 10, 14));
        Piece::of(letters.collect(), 0.0)
    }

    fn ends(pieces: &[Piece]) -> Vec<(f32, f32)> {
        pieces.iter().map(|p| (p.left, p.right)).collect()
    }

    #[test]
    fn pieces_that_touch_at_one_height_are_one() {
        let one = joined(vec![piece(0, 0, 4), piece(50, 1, 4)], 10.0, 14.0);
        assert_eq!(ends(&one), [(0.0, 96.0)]);
        // within the other
        let one = joined(vec![piece(0, 0, 9), piece(40, 2, 2)], 10.0, 14.0);
        assert_eq!(ends(&one), [(0.0, 106.0)]);
        for other in [piece(60, 0, 4), piece(50, 16, 4), piece(50, 9, 4)] {
            let two = joined(vec![piece(0, 0, 4), other], 10.0, 14.0);
            assert_eq!(two.len(), 2, "{:?}", ends(&two));
        }
    }

    #[test]
    fn a_stroke_beside_a_line_is_no_measure_of_it() {
        let mut with = piece(20, 10, 6);
        with.letters.push(letter(0, 0, 2, 36));
        with.measure();
        assert_eq!((with.top, with.bottom), (0.0, 36.0));
        without_strokes(&mut with, 14.0);
        assert_eq!((with.left, with.top, with.bottom), (20.0, 10.0, 24.0));
        // all of a heading is high
        let mut heading = piece(0, 0, 5);
        without_strokes(&mut heading, 10.0);
        assert_eq!(heading.letters.len(), 5);
    }

    #[test]
    fn a_piece_reaches_over_ink_that_hangs_together_with_a_signature() {
        // the signature touches what stands from 52 to 80, and goes on far below the line
        let (width, height) = (200, 60);
        let signature = letter(52, 2, 100, 50);
        let black = (0..width * height).map(|at| {
            let (x, y) = (at % width, at / width);
            (52..80).contains(&x) && y < 14 || (52..152).contains(&x) && y > 30 && y < 52
        });
        let ink = Ink {
            width,
            height,
            black: black.collect(),
        };
        let mut pieces = vec![piece(0, 0, 4)];
        extended(&mut pieces, &[signature], &ink, (10.0, 14.0));
        assert_eq!(ends(&pieces), [(0.0, 79.0)]);
        // far from it
        let mut pieces = vec![piece(0, 0, 2)];
        extended(&mut pieces, &[signature], &ink, (10.0, 14.0));
        assert_eq!(ends(&pieces), [(0.0, 22.0)]);
    }

    #[test]
    fn scraps_of_a_letter_are_a_letter() {
        let scrap = |left, top, width, height| letter(left, top, width, height);
        let found = |scraps: &[Component]| mended(scraps, 10.0).len();
        assert_eq!(found(&[scrap(0, 0, 8, 4), scrap(1, 6, 8, 4)]), 1);
        // too far from one another, dots in a row, a speck beside a scrap
        assert_eq!(found(&[scrap(0, 0, 8, 4), scrap(1, 9, 8, 4)]), 0);
        assert_eq!(found(&[scrap(0, 0, 3, 3), scrap(5, 0, 3, 3)]), 0);
        assert_eq!(found(&[scrap(0, 0, 8, 4), scrap(1, 6, 1, 3)]), 0);
    }
}
