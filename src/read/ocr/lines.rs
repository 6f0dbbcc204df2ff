//! Components of ink → lines of text, without any model.
//!
//! Letters that stand beside one another and overlap in height are a piece of a line. A long piece
//! tells its slope, the slopes of the long ones tell those of the short ones, and dots, dashes and
//! blanks to be filled in join the piece at whose height they stand. What looks like letters and is
//! none is left to the reader, who is not sure of it.

use super::components::{Component, Ink, components};
use super::grid::Grid;
use super::patch::Patch;
use super::piece::Piece;
use super::rows::linked;
use super::sides;
use super::slopes::{STEEPEST, Slopes, median};
use super::unread::Letters;

/// Letters are at least so high, as a share of the page's longer side: 3 points on a letter.
const LOWEST: f32 = 0.0037;
/// And no higher than this, where their usual height is sought.
const HIGHEST: f32 = 0.04;
/// Components of one page that may be letters; more are dirt or a picture.
const LETTERS: usize = 40_000;
/// So many times as high as a line is a piece of two lines.
const TWO_LINES: f32 = 1.55;
/// One letter in so many may cross the cut between two lines.
const FEW_CROSS: usize = 6;
/// Pieces of one page.
const PIECES: usize = 1500;

/// What stands on a page in black and white.
#[derive(Default)]
pub(super) struct Found {
    /// Lines, in any order.
    pub(super) patches: Vec<Patch>,
    /// How they slope.
    pub(super) slopes: Slopes,
    /// Strokes of grids and boxes around them.
    pub(super) grid: Grid,
    /// What is as large as a letter, in lines or not.
    pub(super) letters: Letters,
}

impl Found {
    /// On a picture of the page that is so many times larger.
    pub(super) fn scaled(mut self, by: f32) -> Self {
        for patch in &mut self.patches {
            *patch = patch.scaled(by);
        }
        self.slopes = self.slopes.scaled(by, by);
        for c in self.letters.all() {
            *c = c.scaled(by);
        }
        self.letters.small *= by;
        self
    }
}

/// The lines of a page in black and white.
pub(super) fn find(ink: &Ink) -> Found {
    let mut all = components(ink);
    let page = ink.width.max(ink.height) as f32;
    let Some(small) = letter_height(&all, page) else {
        return Found::default();
    };
    let grid = Grid::of(ink, &all, small);
    let bare;
    let ink = if grid.is_empty() {
        ink
    } else {
        bare = grid.taken_from(ink);
        all = components(&bare);
        &bare
    };
    let mut letters: Vec<Component> = all.iter().filter(|c| c.is_letter(small)).copied().collect();
    letters.extend(sides::mended(&all, small));
    if letters.len() > LETTERS {
        return Found::default();
    }
    letters.sort_by_key(|c| (c.left, c.top));
    let mut pieces: Vec<Piece> = linked(&letters, small)
        .into_iter()
        .flat_map(|letters| parted(letters, small))
        .collect();
    let slopes = sloped(&mut pieces, small);
    let tall = usual_height(&pieces, small);
    pieces
        .iter_mut()
        .for_each(|p| sides::without_strokes(p, tall));
    let mut pieces: Vec<Piece> = pieces
        .into_iter()
        .flat_map(|p| apart(p, tall))
        .filter(|p| p.letters.len() > 2 || p.bottom - p.top < 2.2 * tall)
        .take(PIECES)
        .collect();
    adjoined(&mut pieces, &all, small, tall);
    let mut pieces = sides::joined(pieces, small, tall);
    sides::extended(&mut pieces, &all, ink, (small, tall));
    let pieces = sides::joined(pieces, small, tall);
    Found {
        patches: pieces.iter().map(|p| patch(p, small, tall)).collect(),
        slopes,
        grid,
        letters: Letters {
            letters,
            scraps: scraps(&all, small),
            small,
        },
    }
}

/// Ink that is smaller than a letter, and no rule.
fn scraps(all: &[Component], small: f32) -> Vec<Component> {
    let scrap = |c: &&Component| {
        !c.is_letter(small) && c.height() < 2.6 * small && c.width() < 3.0 * small && c.area >= 3
    };
    let scraps: Vec<Component> = all.iter().filter(scrap).copied().collect();
    if scraps.len() > LETTERS {
        return Vec::new();
    }
    scraps
}

/// The usual height of a small letter, in pixels; `None` where hardly any stand.
fn letter_height(all: &[Component], page: f32) -> Option<f32> {
    let (low, high) = ((LOWEST * page).max(4.0), HIGHEST * page);
    let mut heights: Vec<f32> = all
        .iter()
        .filter(|c| c.height() >= low && c.height() < high && c.width() < 1.5 * high)
        .filter(|c| c.area as f32 > 0.12 * c.height() * c.width() && c.area > 9)
        .map(Component::height)
        .collect();
    (heights.len() >= 3).then(|| median(&mut heights))
}

/// A set of letters as a piece, or as two where two lines hang together by a stray mark.
fn parted(letters: Vec<Component>, small: f32) -> Vec<Piece> {
    let slope = slope_of(&letters, small).unwrap_or(0.0);
    let piece = Piece::of(letters, slope);
    if piece.letters.len() < 6 || piece.bottom - piece.top < 2.7 * small {
        return vec![piece];
    }
    let mut feet: Vec<f32> = piece
        .letters
        .iter()
        .map(|c| c.bottom as f32 - piece.fall(c.middle()))
        .collect();
    feet.sort_by(f32::total_cmp);
    let widest = feet
        .windows(2)
        .filter_map(|pair| match pair {
            [a, b] => Some((b - a, f32::midpoint(*a, *b))),
            _ => None,
        })
        .max_by(|a, b| a.0.total_cmp(&b.0));
    let Some((gap, cut)) = widest.filter(|(gap, _)| *gap > 0.6 * small) else {
        return vec![piece];
    };
    let fall: Vec<f32> = piece
        .letters
        .iter()
        .map(|c| piece.fall(c.middle()))
        .collect();
    let (mut upper, mut lower) = (Vec::new(), Vec::new());
    for (c, fall) in piece.letters.iter().zip(fall) {
        if c.bottom as f32 - fall < cut {
            upper.push(*c);
        } else {
            lower.push(*c);
        }
    }
    if upper.len() < 2 || lower.len() < 2 || gap > 6.0 * small {
        return vec![piece];
    }
    [upper, lower]
        .into_iter()
        .flat_map(|part| parted(part, small))
        .collect()
}

/// A piece much higher than a line, as the two lines of which the long letters touch.
fn apart(piece: Piece, tall: f32) -> Vec<Piece> {
    let height = piece.bottom - piece.top;
    if height < TWO_LINES * tall || piece.letters.len() < 6 {
        return vec![piece];
    }
    // middles of letters, level, with the band in which a letter surely has ink
    let bands: Vec<(f32, f32)> = piece
        .letters
        .iter()
        .map(|c| {
            let (fall, inner) = (piece.fall(c.middle()), 0.15 * c.height());
            (c.top as f32 - fall + inner, c.bottom as f32 - fall - inner)
        })
        .collect();
    let crossed = |y: f32| {
        bands
            .iter()
            .filter(|(top, bottom)| *top < y && y < *bottom)
            .count()
    };
    let cut = (30..=70)
        .map(|part| piece.top + height * part as f32 / 100.0)
        .map(|y| (crossed(y), y))
        .min_by_key(|(count, _)| *count)
        .filter(|(count, _)| count * FEW_CROSS <= bands.len());
    let Some((_, cut)) = cut else {
        return vec![piece];
    };
    let half = |upper: bool| -> Option<Piece> {
        let letters: Vec<Component> = piece
            .letters
            .iter()
            .zip(&bands)
            .filter(|(_, (top, bottom))| if upper { *bottom < cut } else { *top > cut })
            .map(|(c, _)| *c)
            .collect();
        let mut half = Piece { letters, ..piece };
        half.measure();
        // long letters of the line above may hang in it, too
        let (base, slope, middle) = (half.base, half.slope, half.middle());
        half.letters.retain(|c| {
            let y = (c.top + c.bottom) as f32 / 2.0 - slope * (c.middle() - middle);
            y > base - 0.8 * tall && y < base + 0.25 * tall
        });
        half.measure();
        (half.letters.len() > 2).then_some(half)
    };
    match (half(true), half(false)) {
        (Some(upper), Some(lower)) => [upper, lower]
            .into_iter()
            .flat_map(|half| apart(half, tall))
            .collect(),
        _ => vec![piece],
    }
}

/// The slope of a long piece: a line through the feet of its letters, those that reach below left
/// out step by step.
fn slope_of(letters: &[Component], small: f32) -> Option<f32> {
    let left = letters.iter().map(|c| c.left).min()? as f32;
    let right = letters.iter().map(|c| c.right).max()? as f32;
    if letters.len() < 9 || right - left < 12.0 * small {
        return None;
    }
    let mut points: Vec<(f32, f32)> = letters
        .iter()
        .map(|c| (c.middle(), c.bottom as f32))
        .collect();
    let mut slope = 0.0;
    for _ in 0..4 {
        let count = points.len() as f32;
        let x = points.iter().map(|p| p.0).sum::<f32>() / count;
        let y = points.iter().map(|p| p.1).sum::<f32>() / count;
        let along: f32 = points.iter().map(|p| (p.0 - x).powi(2)).sum();
        let across: f32 = points.iter().map(|p| (p.0 - x) * (p.1 - y)).sum();
        if along <= 0.0 {
            return None;
        }
        slope = across / along;
        let mut off: Vec<f32> = points.iter().map(|p| p.1 - slope * p.0).collect();
        let foot = median(&mut off);
        let mut apart: Vec<f32> = off.iter().map(|o| (o - foot).abs()).collect();
        let bound = (1.2 * median(&mut apart) + 1.0).max(2.5);
        let near: Vec<(f32, f32)> = points
            .iter()
            .filter(|p| (p.1 - slope * p.0 - foot).abs() < bound)
            .copied()
            .collect();
        if near.len() < 6 {
            break;
        }
        points = near;
    }
    (slope.abs() < STEEPEST).then_some(slope)
}

/// Gives the short pieces the slope that the long ones tell.
fn sloped(pieces: &mut [Piece], small: f32) -> Slopes {
    let own: Vec<Option<f32>> = pieces.iter().map(|p| slope_of(&p.letters, small)).collect();
    let mut points: Vec<(f32, f32)> = pieces
        .iter()
        .zip(&own)
        .filter_map(|(p, slope)| Some((p.base - (*slope)? * p.middle(), (*slope)?)))
        .collect();
    // all pairs are compared: some hundred are enough
    let every = points.len().div_ceil(200).max(1);
    points = points.into_iter().step_by(every).collect();
    let slopes = Slopes::through(&points);
    for (piece, own) in pieces.iter_mut().zip(own) {
        let told = slopes.at(slopes.level(piece.middle(), piece.base));
        piece.slope = own.filter(|own| (own - told).abs() < 0.02).unwrap_or(told);
        piece.measure();
    }
    slopes
}

/// From the top of the high letters to the bottom of the long ones, in the median of long pieces.
fn usual_height(pieces: &[Piece], small: f32) -> f32 {
    let long = pieces.iter().filter(|p| p.letters.len() > 8);
    let mut heights: Vec<f32> = long.map(|p| p.bottom - p.top).collect();
    if heights.is_empty() {
        1.6 * small
    } else {
        median(&mut heights)
    }
}

/// Lets marks that are no letters by their size join the pieces in which they stand: dots, commas,
/// dashes, blanks to be filled in.
fn adjoined(pieces: &mut Vec<Piece>, all: &[Component], small: f32, tall: f32) {
    let mut marks: Vec<Component> = all
        .iter()
        .filter(|c| !c.is_letter(small) && c.height() < 2.6 * small)
        .filter(|c| c.area >= 3 && c.area as f32 >= 0.008 * small * small)
        .copied()
        .collect();
    if marks.len() > LETTERS {
        return;
    }
    // a comma is as large as a letter, and overlaps with none in height
    let (tiny, mut large): (Vec<Piece>, Vec<Piece>) =
        std::mem::take(pieces).into_iter().partition(Piece::is_tiny);
    let alone: Vec<bool> = tiny
        .iter()
        .map(|t| {
            let higher = |l: &&Piece| l.bottom - l.top > 1.4 * (t.bottom - t.top);
            let mut other = large.iter().chain(tiny.iter().filter(higher));
            let inside = other.any(|l| l.holds(t, small, tall));
            if inside {
                marks.extend(&t.letters);
            }
            !inside
        })
        .collect();
    large.extend(
        tiny.into_iter()
            .zip(alone)
            .filter_map(|(t, a)| a.then_some(t)),
    );
    *pieces = large;
    let mut free = vec![true; marks.len()];
    marks.sort_by_key(|c| c.left);
    // by rows of pieces, so that a mark meets only those at its height
    let mut order: Vec<usize> = (0..pieces.len()).collect();
    order.sort_by(|&a, &b| pieces[a].base.total_cmp(&pieces[b].base));
    let bases: Vec<f32> = order.iter().map(|&n| pieces[n].base).collect();
    let reach =
        2.5 * tall + STEEPEST * pieces.iter().map(|p| p.right - p.left).fold(0.0, f32::max) / 2.0;
    let join = |pieces: &mut [Piece], c: &Component| -> bool {
        let y = (c.top + c.bottom) as f32 / 2.0;
        let (left, right) = (c.left as f32, c.right as f32);
        let from = bases.partition_point(|&b| b < y - reach);
        let to = bases.partition_point(|&b| b < y + reach);
        let nearest = order[from..to]
            .iter()
            .filter_map(|&n| {
                let piece = pieces.get(n)?;
                let at = y - piece.fall(c.middle());
                let bottom = piece.bottom.max(piece.base);
                let level = at > piece.top - 0.1 * tall && at < bottom + 0.2 * tall;
                let gap = (left - piece.right).max(piece.left - right).max(0.0);
                (level && gap < 1.6 * small).then_some((gap, n))
            })
            .min_by(|a, b| a.0.total_cmp(&b.0));
        let Some(piece) = nearest.and_then(|(_, n)| pieces.get_mut(n)) else {
            return false;
        };
        piece.reach(piece.left.min(left), piece.right.max(right));
        true
    };
    for (c, free) in marks.iter().zip(&mut free) {
        *free = !join(pieces, c);
    }
    // those that stand before a line join it from its end
    for (c, free) in marks.iter().zip(&mut free).rev().filter(|(_, free)| **free) {
        *free = !join(pieces, c);
    }
}

/// The piece with a margin, as high as a line of its page is even where no letter is.
fn patch(piece: &Piece, small: f32, tall: f32) -> Patch {
    let bottom = piece.bottom.max(piece.base + 0.25 * small);
    let top = piece.top.min(bottom - 0.9 * tall);
    let margin = 0.08 * tall + 1.0;
    Patch {
        left: piece.left - 0.3 * small,
        right: piece.right + 0.3 * small,
        top: top - margin,
        bottom: bottom + margin,
        base: piece.base,
        slope: piece.slope,
    }
}
