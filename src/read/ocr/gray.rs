//! Pictures in shades of gray, and what is done to them before they are read: set upright, deskewed.

use image::GrayImage;
use image::imageops;

/// Paper of another shade than this counts as black on white.
const MIDDLE: f64 = 110.0;
/// The steepest line that is set straight, as rise over run: 4 degrees.
const STEEPEST: i32 = 70;

/// White paper, whichever way the picture was stored.
pub(super) fn positive(mut picture: GrayImage) -> GrayImage {
    let sum: u64 = picture.as_raw().iter().map(|&p| u64::from(p)).sum();
    let count = u32::try_from(picture.as_raw().len()).unwrap_or(u32::MAX);
    #[expect(clippy::cast_precision_loss, reason = "a mean shade")]
    let mean = sum as f64 / f64::from(count.max(1));
    if mean < MIDDLE {
        imageops::invert(&mut picture);
    }
    picture
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
        rows.windows(2)
            .map(|pair| match pair {
                [a, b] => (b - a).powi(2),
                _ => 0.0,
            })
            .sum()
    }

    /// The slope that parts the lines best, and how well.
    fn best(&self) -> (f32, f64) {
        let mut best = (0.0, self.sharpness(0.0));
        for step in -STEEPEST..=STEEPEST {
            let slope = step as f32 / 1000.0;
            let sharpness = self.sharpness(slope);
            if sharpness > best.1 {
                best = (slope, sharpness);
            }
        }
        best
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

/// The page with its lines level: turned by a quarter where they run up and down, sheared where
/// they run askew. Upside down is not told here.
pub(super) fn level(picture: GrayImage) -> GrayImage {
    let spots = Spots::of(&picture);
    let (slope, sharp) = spots.best();
    let turned = spots.turned();
    let (slope_turned, sharp_turned) = turned.best();
    // rows and columns have unlike lengths; compare the sharpness of a spot
    if sharp_turned > 1.3 * sharp {
        sheared(imageops::rotate90(&picture), slope_turned)
    } else {
        sheared(picture, slope)
    }
}

fn sheared(picture: GrayImage, slope: f32) -> GrayImage {
    if slope.abs() < 0.0015 {
        return picture;
    }
    let (w, h) = picture.dimensions();
    let middle = w as f32 / 2.0;
    let mut out = GrayImage::from_pixel(w, h, image::Luma([255]));
    for x in 0..w {
        let shift = slope * (x as f32 - middle);
        for y in 0..h {
            let from = y as f32 + shift;
            let (whole, part) = (from.floor(), from.fract());
            let at = |y: f32| {
                if y < 0.0 || y >= h as f32 {
                    255.0
                } else {
                    picture
                        .get_pixel_checked(x, y as u32)
                        .map_or(255.0, |p| f32::from(p.0[0]))
                }
            };
            let part = part.abs();
            let shade = at(whole) * (1.0 - part) + at(whole + 1.0) * part;
            out.put_pixel(x, y, image::Luma([shade as u8]));
        }
    }
    out
}
