//! Pictures in shades of gray, and what is done to them before they are read: set upright, deskewed.

use image::GrayImage;
use image::imageops;

/// Paper of another shade than this counts as black on white.
const MIDDLE: f64 = 110.0;
/// Shades are compared in places of so many pixels along and across: a word or two.
const PLACE: usize = 64;
/// A place whose shades differ less than this, in the standard deviation, has nothing written on it.
const GRAIN: f64 = 6.0;
/// A row of spots counts at most as this share of the width: more is a rule, the edge of the paper
/// or of a table, and no line of type.
const FULLEST: f64 = 0.35;
/// The steepest line that is set straight, as rise over run: 4 degrees.
const STEEPEST: i32 = 70;
/// Every so many steps are tried first.
const COARSE: usize = 3;

/// White paper, whichever way the picture was stored.
pub(super) fn positive(mut picture: GrayImage) -> GrayImage {
    let sum: u64 = picture.as_raw().iter().map(|&p| u64::from(p)).sum();
    let count = u32::try_from(picture.as_raw().len()).unwrap_or(u32::MAX);
    #[expect(clippy::cast_precision_loss, reason = "a mean shade")]
    let mean = sum as f64 / f64::from(count.max(1));
    if mean < MIDDLE && has_light_type(&picture) {
        imageops::invert(&mut picture);
    }
    picture
}

/// Whether what is written is lighter than what it is written on; a photo in bad light is dark, too.
/// Type covers the lesser part of any place: its shades lie further from the mean (skewness).
fn has_light_type(picture: &GrayImage) -> bool {
    let width = picture.width() as usize;
    let rows = picture.as_raw().chunks(width.max(1) * PLACE);
    let skewness = rows.flat_map(|rows| {
        (0..width).step_by(PLACE).map(move |x| {
            let place = || {
                let of = move |row: &'_ [u8]| x..(x + PLACE).min(row.len());
                let rows = rows.chunks_exact(width);
                rows.flat_map(move |row| &row[of(row)])
                    .map(|&p| f64::from(p))
            };
            let count = place().count().max(1) as f64;
            let mean = place().sum::<f64>() / count;
            let moment = |n: i32| place().map(|p| (p - mean).powi(n)).sum::<f64>() / count;
            let apart = moment(2).sqrt();
            if apart < GRAIN {
                0.0
            } else {
                moment(3) / apart.powi(3)
            }
        })
    });
    skewness.sum::<f64>() > 0.0
}

/// Black spots on a small copy, told from shadows by their surroundings: (x, y) in small pixels.
struct Spots {
    spots: Vec<(f32, f32)>,
    width: f32,
    height: f32,
}

impl Spots {
    fn of(picture: &GrayImage) -> Self {
        let shrink = (picture.width().max(picture.height()) / 900).max(1);
        let (w, h) = (
            (picture.width() / shrink).max(1),
            (picture.height() / shrink).max(1),
        );
        let small = imageops::thumbnail(picture, w, h);
        // sums over rectangles from the upper left corner
        let stride = w as usize + 1;
        let mut sums = vec![0_u64; stride * (h as usize + 1)];
        for y in 0..h as usize {
            let mut row = 0_u64;
            for x in 0..w as usize {
                row += small
                    .as_raw()
                    .get(y * w as usize + x)
                    .map_or(0, |&p| u64::from(p));
                sums[(y + 1) * stride + x + 1] = sums[y * stride + x + 1] + row;
            }
        }
        let mut spots = Vec::new();
        const AROUND: usize = 12;
        for y in 0..h as usize {
            for x in 0..w as usize {
                let (x0, y0) = (x.saturating_sub(AROUND), y.saturating_sub(AROUND));
                let (x1, y1) = ((x + AROUND).min(w as usize), (y + AROUND).min(h as usize));
                let sum = sums[y1 * stride + x1] + sums[y0 * stride + x0]
                    - sums[y0 * stride + x1]
                    - sums[y1 * stride + x0];
                let area = ((x1 - x0) * (y1 - y0)).max(1) as u64;
                let shade = small
                    .as_raw()
                    .get(y * w as usize + x)
                    .map_or(255, |&p| u64::from(p));
                if shade * area * 5 < sum * 4 {
                    spots.push((x as f32, y as f32));
                }
            }
        }
        Self {
            spots,
            width: w as f32,
            height: h as f32,
        }
    }

    /// How sharply rows of spots part into lines when the page is sheared by `slope`.
    fn sharpness(&self, slope: f32) -> f64 {
        let mut rows = vec![0_f64; self.height as usize + 2 * self.width as usize / 10 + 8];
        let shift = self.width / 10.0;
        for &(x, y) in &self.spots {
            let row = y - slope * (x - self.width / 2.0) + shift;
            if row >= 0.0
                && let Some(row) = rows.get_mut(row as usize)
            {
                *row += 1.0;
            }
        }
        let fullest = f64::from(self.width) * FULLEST;
        for row in &mut rows {
            *row = row.min(fullest);
        }
        rows.windows(2)
            .map(|pair| match pair {
                [a, b] => (b - a).powi(2),
                _ => 0.0,
            })
            .sum()
    }

    /// The slope that parts the lines best, and how well.
    fn best(&self) -> (f32, f64) {
        let mut best = (0, self.sharpness(0.0));
        let mut look = |steps: &mut dyn Iterator<Item = i32>| {
            for step in steps {
                let sharpness = self.sharpness(step as f32 / 1000.0);
                if sharpness > best.1 {
                    best = (step, sharpness);
                }
            }
            best.0
        };
        // lines are sharp for more than a step around the best
        let near = look(&mut (-STEEPEST..=STEEPEST).step_by(COARSE));
        let beside = COARSE as i32 - 1;
        look(&mut (near - beside..=near + beside));
        (best.0 as f32 / 1000.0, best.1)
    }

    fn turned(&self) -> Self {
        Self {
            spots: self
                .spots
                .iter()
                .map(|&(x, y)| (self.height - y, x))
                .collect(),
            width: self.height,
            height: self.width,
        }
    }
}

/// How a page may lie.
#[derive(Clone, Copy, Debug)]
pub(super) struct Lie {
    /// Lines run up and down.
    turned: bool,
    /// Rise over run of its lines.
    slope: f32,
}

/// How a page lies, the likelier way first. Upside down is not told here.
pub(super) fn lies(picture: &GrayImage) -> [Lie; 2] {
    let spots = Spots::of(picture);
    let (slope, sharp) = spots.best();
    let (slope_turned, sharp_turned) = spots.turned().best();
    let [level, turned] =
        [(false, slope), (true, slope_turned)].map(|(turned, slope)| Lie { turned, slope });
    // rows and columns have unlike lengths; compare the sharpness of a spot
    if sharp_turned > 1.3 * sharp {
        [turned, level]
    } else {
        [level, turned]
    }
}

/// The page with its lines level: turned by a quarter where they run up and down, sheared where
/// they run askew.
pub(super) fn level(picture: GrayImage, lie: Lie) -> GrayImage {
    if lie.turned {
        sheared(imageops::rotate90(&picture), lie.slope)
    } else {
        sheared(picture, lie.slope)
    }
}

/// Turned back by the slope of its lines: lines become level, columns upright.
fn sheared(picture: GrayImage, slope: f32) -> GrayImage {
    if slope.abs() < 0.0015 {
        return picture;
    }
    let (w, h) = picture.dimensions();
    let (width, height) = (w as usize, h as usize);
    let from = picture.as_raw();
    let (middle_x, middle_y) = (w as f32 / 2.0, h as f32 / 2.0);
    // whole and part of the shift of each column, worked out once
    let shifts: Vec<(isize, f32)> = (0..w)
        .map(|x| {
            let shift = slope * (x as f32 - middle_x);
            (shift.floor() as isize, shift - shift.floor())
        })
        .collect();
    let shade = |x: usize, y: isize| {
        usize::try_from(y)
            .ok()
            .filter(|&y| y < height)
            .and_then(|y| from.get(y * width + x))
            .map_or(255.0, |&p| f32::from(p))
    };
    let mut out = vec![255_u8; from.len()];
    for (y, row) in out.chunks_exact_mut(width.max(1)).enumerate() {
        let aside = (slope * (y as f32 - middle_y)).round() as isize;
        for (x, to) in row.iter_mut().enumerate() {
            let Some(x) = x.checked_add_signed(-aside).filter(|&x| x < width) else {
                continue;
            };
            let Some(&(whole, part)) = shifts.get(x) else {
                continue;
            };
            let y = (y as isize).saturating_add(whole);
            *to = (shade(x, y) * (1.0 - part) + shade(x, y + 1) * part) as u8;
        }
    }
    GrayImage::from_raw(w, h, out).unwrap_or(picture)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Strokes of one shade on another.
    fn written(ink: u8, paper: u8) -> GrayImage {
        GrayImage::from_fn(400, 300, |x, y| {
            let on = x % 10 < 2 && y % 24 < 12;
            image::Luma([if on { ink } else { paper }])
        })
    }

    #[test]
    fn a_dark_photo_is_no_negative() {
        for (ink, paper) in [(20, 230), (15, 60), (2, 30)] {
            assert_eq!(positive(written(ink, paper)), written(ink, paper));
        }
        assert_eq!(positive(written(240, 10)), written(15, 245));
        assert_eq!(positive(GrayImage::new(0, 0)).len(), 0);
    }
}
