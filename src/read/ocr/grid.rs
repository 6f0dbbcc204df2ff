//! Strokes of tables, forms and boxes: taken away, so that letters that touch them are letters again
//! and the reader does not take them for brackets, blanks to be filled in or writing by hand.

use image::GrayImage;

use super::components::{Component, Ink};
use super::shade;

/// A stroke is at least so long, in heights of a small letter.
const LONG: f32 = 5.0;
/// Grain may leave gaps of so many pixels in it.
const GAPS: usize = 2;

/// A rectangle of ink, in pixels; right and bottom lie outside of it.
#[derive(Clone, Copy)]
struct Stroke {
    left: usize,
    top: usize,
    right: usize,
    bottom: usize,
}

/// The strokes of a page's grids, each a pixel thick.
#[derive(Default)]
pub(super) struct Grid {
    strokes: Vec<Stroke>,
    /// Lines below text that touch its letters: the reader knows them, and they stay on the page.
    underlines: Vec<Stroke>,
}

impl Grid {
    /// Long strokes, along and down, of components that are as large as a grid and mostly empty.
    pub(super) fn of(ink: &Ink, all: &[Component], small: f32) -> Self {
        let long = (LONG * small) as usize;
        let mut strokes = Vec::new();
        for grid in all
            .iter()
            .filter(|c| c.width() > 12.0 * small && c.height() > 2.6 * small)
            .filter(|c| (c.area as f32) < 0.5 * c.width() * c.height())
        {
            let (left, right) = (grid.left as usize, grid.right as usize);
            let (top, bottom) = (grid.top as usize, grid.bottom as usize);
            let black = |x: usize, y: usize| ink.black.get(y * ink.width + x).copied();
            for y in top..bottom {
                for (left, right) in runs(left..right, long, |x| black(x, y)) {
                    strokes.push(Stroke {
                        left,
                        top: y,
                        right,
                        bottom: y + 1,
                    });
                }
            }
            for x in left..right {
                for (top, bottom) in runs(top..bottom, long, |y| black(x, y)) {
                    strokes.push(Stroke {
                        left: x,
                        top,
                        right: x + 1,
                        bottom,
                    });
                }
            }
        }
        Self {
            strokes,
            underlines: underlines(ink, all, small),
        }
    }

    pub(super) fn is_empty(&self) -> bool {
        self.strokes.is_empty() && self.underlines.is_empty()
    }

    /// The ink without it.
    pub(super) fn taken_from(&self, ink: &Ink) -> Ink {
        let mut black = ink.black.clone();
        for s in self.strokes.iter().chain(&self.underlines) {
            for row in black
                .chunks_exact_mut(ink.width.max(1))
                .take(s.bottom)
                .skip(s.top)
            {
                if let Some(part) = row.get_mut(s.left..s.right) {
                    part.fill(false);
                }
            }
        }
        Ink {
            width: ink.width,
            height: ink.height,
            black,
        }
    }

    /// Paints the page's paper over it, on a picture that is so many times larger than the one on
    /// which it was found: its edges, too, which are gray.
    pub(super) fn erase_from(&self, page: &mut GrayImage, larger: f32) {
        let width = page.width() as usize;
        // casts of floats keep to the bounds of the integer
        let from = |at: usize| ((at as f32 - 1.0) * larger) as usize;
        let to = |at: usize| ((at as f32 + 1.0) * larger).ceil() as usize;
        for s in &self.strokes {
            let columns = from(s.left).min(width)..to(s.right).min(width);
            let rows = page.chunks_exact_mut(width.max(1));
            for row in rows.take(to(s.bottom)).skip(from(s.top)) {
                if let Some(part) = row.get_mut(columns.clone()) {
                    part.fill(shade::PAPER as u8);
                }
            }
        }
    }
}

/// Long strokes along components that are as wide as many letters and as high as one.
fn underlines(ink: &Ink, all: &[Component], small: f32) -> Vec<Stroke> {
    let mut out = Vec::new();
    for c in all
        .iter()
        .filter(|c| c.width() > 12.0 * small && c.height() > 0.8 * small)
        .filter(|c| c.height() <= 2.6 * small)
    {
        for y in c.top as usize..c.bottom as usize {
            let black = |x: usize| ink.black.get(y * ink.width + x).copied();
            let columns = c.left as usize..c.right as usize;
            for (left, right) in runs(columns, (LONG * small) as usize, black) {
                out.push(Stroke {
                    left,
                    top: y,
                    right,
                    bottom: y + 1,
                });
            }
        }
    }
    out
}

/// Runs of ink that are at least so long.
fn runs(
    places: std::ops::Range<usize>,
    long: usize,
    black: impl Fn(usize) -> Option<bool>,
) -> Vec<(usize, usize)> {
    let mut out = Vec::new();
    let mut run: Option<(usize, usize)> = None;
    let mut keep = |run: Option<(usize, usize)>| {
        if let Some((start, end)) = run.filter(|(start, end)| end - start >= long) {
            out.push((start, end));
        }
    };
    for at in places {
        if !black(at).unwrap_or(false) {
            continue;
        }
        run = match run {
            Some((start, end)) if at - end <= GAPS => Some((start, at + 1)),
            before => {
                keep(before);
                Some((at, at + 1))
            }
        };
    }
    keep(run);
    out
}

#[cfg(test)]
mod tests {
    use super::super::components::components;
    use super::*;

    /// A box of 200 by 60 pixels with a gap in one side and a letter in it.
    fn drawn() -> Ink {
        let (width, height) = (240, 100);
        let on = |x: usize, y: usize| {
            let side = (20..220).contains(&x) && (20..80).contains(&y);
            let inside = (22..218).contains(&x) && (22..78).contains(&y);
            let gap = y == 20 && (100..102).contains(&x);
            let letter = (60..64).contains(&x) && (40..52).contains(&y);
            side && !inside && !gap || letter
        };
        Ink {
            width,
            height,
            black: (0..width * height)
                .map(|n| on(n % width, n / width))
                .collect(),
        }
    }

    #[test]
    fn a_box_is_taken_away_and_the_letter_in_it_stays() {
        let ink = drawn();
        let grid = Grid::of(&ink, &components(&ink), 8.0);
        assert!(!grid.is_empty());
        let left = components(&grid.taken_from(&ink));
        assert_eq!(left.len(), 1);
        assert_eq!((left[0].left, left[0].top, left[0].area), (60, 40, 48));
    }

    #[test]
    fn a_larger_picture_loses_its_gray_edges_too() {
        let ink = drawn();
        let grid = Grid::of(&ink, &components(&ink), 8.0);
        let mut page = GrayImage::from_fn(360, 150, |x, y| {
            let at = (y * 2 / 3) as usize * ink.width + (x * 2 / 3) as usize;
            image::Luma([if ink.black[at] { 20 } else { 240 }])
        });
        grid.erase_from(&mut page, 1.5);
        assert_eq!(page.iter().filter(|&&p| p < 100).count(), 6 * 18);
    }

    #[test]
    fn letters_stand_apart_without_the_line_below_them_and_it_stays_on_the_page() {
        // ten letters of 6 by 12 that hang together by a line of 2
        let (width, height) = (140, 30);
        let on = |x: usize, y: usize| {
            let letter = (8..20).contains(&y) && (10..130).contains(&x) && x % 12 < 6;
            letter || (20..22).contains(&y) && (10..130).contains(&x)
        };
        let ink = Ink {
            width,
            height,
            black: (0..width * height)
                .map(|n| on(n % width, n / width))
                .collect(),
        };
        let all = components(&ink);
        assert_eq!(all.len(), 1);
        let grid = Grid::of(&ink, &all, 9.0);
        assert_eq!(components(&grid.taken_from(&ink)).len(), 10);
        let mut page = GrayImage::from_pixel(140, 30, image::Luma([9]));
        grid.erase_from(&mut page, 1.0);
        assert!(page.iter().all(|&p| p == 9));
    }

    #[test]
    fn a_word_is_no_grid() {
        let ink = drawn();
        assert!(Grid::of(&ink, &components(&ink), 30.0).is_empty());
        Grid::default().erase_from(&mut GrayImage::new(0, 0), 2.0);
    }
}
