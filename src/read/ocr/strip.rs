//! Pieces of lines cut out of a page and set level.

use image::imageops::{self, FilterType};
use image::{DynamicImage, GrayImage};

use super::patch::Patch;

/// Through [`DynamicImage`]: its code is compiled once, in its crate, and fast in test builds too.
pub(super) fn resized(picture: GrayImage, width: u32, height: u32) -> GrayImage {
    DynamicImage::ImageLuma8(picture)
        .resize_exact(width, height, FilterType::Triangle)
        .into_luma8()
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
