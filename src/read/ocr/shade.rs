//! Levels the shade of paper, and parts ink from paper.

use image::GrayImage;

use super::components::Ink;

/// The paper's shade once it is leveled.
pub(super) const PAPER: f32 = 245.0;
/// Paper darker than this is a picture or a table top: it is not made white.
const DARKEST: f32 = 30.0;
/// Blocks in which the paper's shade is measured, along the longer side.
const BLOCKS: u32 = 150;
/// Shades that differ so much between neighbors, in the median, are grain.
const GRAIN: i32 = 12;
/// Bounds of the shade between ink and paper on a leveled page.
const BETWEEN: (u8, u8) = (110, 200);

/// The page as if it had been lit evenly and its paper were white.
pub(super) fn level(page: &GrayImage) -> GrayImage {
    let (width, height) = (page.width() as usize, page.height() as usize);
    if width == 0 || height == 0 {
        return page.clone();
    }
    let side = (page.width().max(page.height()) / BLOCKS).max(8) as usize;
    let (across, down) = (width.div_ceil(side).max(1), height.div_ceil(side).max(1));
    let light = paper(page, side, across, down);
    // how far between the middles of two blocks each column lies
    let columns: Vec<(usize, f32)> = (0..width).map(|x| between(x, side, across)).collect();
    let mut out = page.as_raw().clone();
    let mut row_light = vec![0.0_f32; width];
    for (y, row) in out.chunks_exact_mut(width.max(1)).enumerate() {
        let (block, part) = between(y, side, down);
        let below = (block + 1).min(down - 1);
        let mixed: Vec<f32> = (0..across)
            .map(|n| light[block * across + n] * (1.0 - part) + light[below * across + n] * part)
            .collect();
        for (&(n, part), to) in columns.iter().zip(&mut row_light) {
            let next = mixed[(n + 1).min(across - 1)];
            *to = PAPER / (mixed[n] * (1.0 - part) + next * part);
        }
        for (shade, by) in row.iter_mut().zip(&row_light) {
            // a cast of floats keeps to the bounds of the integer
            *shade = (f32::from(*shade) * by) as u8;
        }
    }
    GrayImage::from_raw(page.width(), page.height(), out).unwrap_or_else(|| page.clone())
}

/// The block whose middle lies before a place, and how far on to the next one's.
fn between(at: usize, side: usize, blocks: usize) -> (usize, f32) {
    let place = ((at as f32 + 0.5) / side as f32 - 0.5).clamp(0.0, blocks as f32 - 1.0);
    (place as usize, place.fract())
}

/// The shade of the paper in each block.
fn paper(page: &GrayImage, side: usize, across: usize, down: usize) -> Vec<f32> {
    let width = page.width() as usize;
    let mut counts = vec![[0_u32; 64]; across];
    let mut light = Vec::with_capacity(across * down);
    for rows in page.as_raw().chunks(width.max(1) * side) {
        counts.fill([0; 64]);
        for row in rows.chunks_exact(width.max(1)) {
            for (count, shades) in counts.iter_mut().zip(row.chunks(side)) {
                for &shade in shades {
                    count[usize::from(shade >> 2)] += 1;
                }
            }
        }
        light.extend(counts.iter().map(quantile));
    }
    // letters that fill a block are bridged by the lightest block beside it, pictures by the median
    let wide = around(&light, across, down, 1, |near| {
        near.iter().copied().fold(0.0, f32::max)
    });
    around(&wide, across, down, 3, |near| {
        near.sort_by(f32::total_cmp);
        near.get(near.len() / 2).copied().unwrap_or(PAPER)
    })
    .into_iter()
    .map(|shade| shade.max(DARKEST))
    .collect()
}

/// The shade that a fifth of the pixels exceed.
fn quantile(count: &[u32; 64]) -> f32 {
    let total: u32 = count.iter().sum();
    let mut lighter = 0;
    for (n, c) in count.iter().enumerate().rev() {
        lighter += c;
        if lighter * 5 >= total && lighter > 0 {
            return n as f32 * 4.0 + 2.0;
        }
    }
    PAPER
}

/// What `of` makes of each block's neighbors up to `reach` blocks away.
fn around(
    light: &[f32],
    across: usize,
    down: usize,
    reach: usize,
    of: impl Fn(&mut Vec<f32>) -> f32,
) -> Vec<f32> {
    let mut out = Vec::with_capacity(light.len());
    let mut near = Vec::new();
    for y in 0..down {
        for x in 0..across {
            near.clear();
            for row in y.saturating_sub(reach)..=(y + reach).min(down - 1) {
                let from = row * across;
                near.extend(
                    &light[from + x.saturating_sub(reach)..=from + (x + reach).min(across - 1)],
                );
            }
            out.push(of(&mut near));
        }
    }
    out
}

/// Black and white, on a leveled page.
pub(super) fn ink(page: &GrayImage) -> Ink {
    let (width, height) = (page.width() as usize, page.height() as usize);
    let mut shades = page.as_raw().clone();
    if grain(page.as_raw(), width) > GRAIN {
        shades = smoothed(&shades, width);
    }
    let shades = smoothed(&shades, width);
    let cut = threshold(&shades).clamp(BETWEEN.0, BETWEEN.1);
    Ink {
        width,
        height,
        black: shades.iter().map(|&s| s < cut).collect(),
    }
}

/// How much pixels differ from their neighbors, in the median.
fn grain(shades: &[u8], width: usize) -> i32 {
    let mut unlike: Vec<i32> = (width + 1..shades.len().saturating_sub(width + 1))
        .step_by(13)
        .map(|at| {
            let shade = |at: usize| shades.get(at).map_or(255, |&s| i32::from(s));
            (4 * shade(at) - shade(at - 1) - shade(at + 1) - shade(at - width) - shade(at + width))
                .abs()
        })
        .collect();
    let middle = unlike.len() / 2;
    if unlike.is_empty() {
        return 0;
    }
    *unlike.select_nth_unstable(middle).1
}

/// Weights 1, 2, 1 along and across.
fn smoothed(shades: &[u8], width: usize) -> Vec<u8> {
    let mut along = vec![0_u16; shades.len()];
    for (from, to) in shades
        .chunks_exact(width.max(1))
        .zip(along.chunks_exact_mut(width.max(1)))
    {
        for (to, near) in to.iter_mut().skip(1).zip(from.windows(3)) {
            *to = near.iter().map(|&s| u16::from(s)).sum::<u16>() + u16::from(near[1]);
        }
        if let (Some(first), Some(&f)) = (to.first_mut(), from.first()) {
            *first = 4 * u16::from(f);
        }
        if let (Some(last), Some(&f)) = (to.last_mut(), from.last()) {
            *last = 4 * u16::from(f);
        }
    }
    let rows = shades.len() / width.max(1);
    let mut out = Vec::with_capacity(shades.len());
    for y in 0..rows {
        let row = |y: usize| &along[y * width..(y + 1) * width];
        let (above, here, below) = (row(y.saturating_sub(1)), row(y), row((y + 1).min(rows - 1)));
        out.extend(
            above
                .iter()
                .zip(here)
                .zip(below)
                .map(|((a, h), b)| ((a + 2 * h + b) / 16) as u8),
        );
    }
    out
}

/// The shade that parts the two kinds of pixels best (Otsu 1979, "A threshold selection method
/// from gray-level histograms").
fn threshold(shades: &[u8]) -> u8 {
    let mut count = [0_f64; 256];
    for &shade in shades {
        count[usize::from(shade)] += 1.0;
    }
    let total: f64 = count.iter().sum();
    let sum: f64 = count.iter().enumerate().map(|(n, c)| n as f64 * c).sum();
    let (mut dark, mut dark_sum) = (0.0, 0.0);
    let mut best = (0.0, 128_u8);
    for (shade, c) in (0..=254_u8).zip(&count) {
        dark += c;
        dark_sum += f64::from(shade) * c;
        let light = total - dark;
        if dark == 0.0 || light == 0.0 {
            continue;
        }
        let apart = dark_sum / dark - (sum - dark_sum) / light;
        let score = dark * light * apart * apart;
        if score > best.0 {
            best = (score, shade + 1);
        }
    }
    best.1
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_shadow_is_leveled_and_ink_stays() {
        // paper from 250 down to 100, letters at a third of it
        let page = GrayImage::from_fn(600, 400, |x, y| {
            let paper = 250.0 - 150.0 * x as f32 / 600.0;
            let letter = x % 12 < 3 && y % 20 < 9;
            image::Luma([(if letter { paper / 3.0 } else { paper }) as u8])
        });
        let level = level(&page);
        for x in [10, 200, 400, 594] {
            assert!(level.get_pixel(x, 15).0[0] > 225, "paper at {x}");
        }
        for x in [12, 204, 396, 588] {
            assert!(level.get_pixel(x + 1, 4).0[0] < 110, "ink at {x}");
        }
        let ink = ink(&level);
        let black = ink.black.iter().filter(|&&b| b).count() as f32;
        let share = black / ink.black.len() as f32;
        assert!((0.08..0.16).contains(&share), "{share}");
    }

    #[test]
    fn a_page_without_pixels_is_no_fault() {
        let none = GrayImage::new(0, 0);
        assert_eq!(level(&none).len(), 0);
        assert!(ink(&none).black.is_empty());
        let one = GrayImage::new(1, 1);
        assert_eq!(ink(&level(&one)).black.len(), 1);
    }
}
