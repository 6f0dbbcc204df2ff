//! Pieces of lines cut out of a page and set level.

use image::{GrayImage, imageops};

use super::patch::Patch;

/// The same picture in another size: each new pixel is the mean of those that it covers, or lies
/// between, weighted by a triangle.
pub(super) fn resized(picture: &GrayImage, width: u32, height: u32) -> GrayImage {
    let (from_width, from_height) = (picture.width() as usize, picture.height() as usize);
    let (to_width, to_height) = (width as usize, height as usize);
    if picture.is_empty() || to_width == 0 || to_height == 0 {
        return GrayImage::from_pixel(width, height, image::Luma([255]));
    }
    // rows first: the new picture is mostly lower, and whole rows are added up fast
    let mut rows = vec![0.0_f32; from_width * to_height];
    for (taps, to) in taps(from_height, to_height)
        .iter()
        .zip(rows.chunks_exact_mut(from_width))
    {
        let from = picture.as_raw().chunks_exact(from_width).skip(taps.first);
        for (weight, from) in taps.weights.iter().zip(from) {
            for (to, &shade) in to.iter_mut().zip(from) {
                *to += weight * f32::from(shade);
            }
        }
    }
    let columns = taps(from_width, to_width);
    let mut out = Vec::with_capacity(to_width * to_height);
    for row in rows.chunks_exact(from_width) {
        out.extend(columns.iter().map(|taps| {
            let near = row.get(taps.first..).unwrap_or_default();
            let sum: f32 = taps.weights.iter().zip(near).map(|(w, s)| w * s).sum();
            // a cast of floats keeps to the bounds of the integer
            (sum + 0.5) as u8
        }));
    }
    GrayImage::from_raw(width, height, out).unwrap_or_default()
}

/// Which pixels make a new one, and how much each counts.
struct Taps {
    first: usize,
    weights: Vec<f32>,
}

/// The pixels behind each new one.
fn taps(from: usize, to: usize) -> Vec<Taps> {
    let ratio = from as f32 / to as f32;
    let reach = ratio.max(1.0);
    (0..to)
        .map(|n| {
            let middle = (n as f32 + 0.5) * ratio;
            let first = ((middle - reach).max(0.0) as usize).min(from - 1);
            let last = ((middle + reach).ceil() as usize).clamp(first + 1, from);
            let mut weights: Vec<f32> = (first..last)
                .map(|at| (1.0 - ((at as f32 + 0.5 - middle) / reach).abs()).max(0.0))
                .collect();
            let sum: f32 = weights.iter().sum();
            weights.iter_mut().for_each(|w| *w /= sum);
            Taps { first, weights }
        })
        .collect()
}

/// The line set level; what lies outside the page is white.
pub(super) fn cut(page: &GrayImage, patch: Patch) -> GrayImage {
    let (left, top) = (patch.left as u32, patch.top.max(0.0) as u32);
    let width = (patch.right - patch.left) as u32;
    let height = (patch.bottom - patch.top) as u32;
    if (patch.slope * width as f32).abs() < 1.0 {
        return imageops::crop_imm(page, left, top, width, height).to_image();
    }
    let middle = f32::midpoint(patch.left, patch.right);
    let row_length = page.width() as usize;
    let from = page.as_raw();
    let shade = |x: u32, y: f32| {
        if x >= page.width() || y < 0.0 || y >= page.height() as f32 {
            return 255.0;
        }
        from.get(y as usize * row_length + x as usize)
            .map_or(255.0, |&p| f32::from(p))
    };
    GrayImage::from_fn(width, height, |x, y| {
        let at = patch.top + y as f32 + patch.slope * (patch.left + x as f32 - middle);
        let part = at - at.floor();
        let mixed =
            shade(left + x, at.floor()) * (1.0 - part) + shade(left + x, at.floor() + 1.0) * part;
        image::Luma([mixed as u8])
    })
}
