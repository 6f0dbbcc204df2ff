//! Picture files → pages in shades of gray.

use std::io::Cursor;

use image::{DynamicImage, GrayImage, ImageDecoder, ImageReader, Limits};
use tiff::ColorType;
use tiff::decoder::{Decoder, DecodingResult};

/// Pixels of one picture; a page at 600 dpi has 35 million.
const PIXELS: u64 = 100_000_000;

/// The pages of a picture file: one, or as many as a TIFF holds, up to `most`.
pub(super) fn pages(bytes: &[u8], most: usize) -> Vec<Option<GrayImage>> {
    if bytes.starts_with(b"II*\0") || bytes.starts_with(b"MM\0*") {
        return tiff_pages(bytes, most);
    }
    vec![single(bytes)]
}

/// A picture set upright as its maker says.
fn single(bytes: &[u8]) -> Option<GrayImage> {
    let mut reader = ImageReader::new(Cursor::new(bytes))
        .with_guessed_format()
        .ok()?;
    let mut limits = Limits::default();
    limits.max_alloc = Some(PIXELS * 4);
    reader.limits(limits);
    let mut decoder = reader.into_decoder().ok()?;
    let (w, h) = decoder.dimensions();
    if u64::from(w) * u64::from(h) > PIXELS {
        return None;
    }
    let orientation = decoder.orientation().ok();
    let mut picture = DynamicImage::from_decoder(decoder).ok()?;
    if let Some(orientation) = orientation {
        picture.apply_orientation(orientation);
    }
    Some(picture.into_luma8())
}

fn tiff_pages(bytes: &[u8], most: usize) -> Vec<Option<GrayImage>> {
    let Ok(mut decoder) = Decoder::new(Cursor::new(bytes)) else {
        return vec![None];
    };
    let mut out = Vec::new();
    loop {
        out.push(tiff_page(&mut decoder));
        if out.len() >= most || !decoder.more_images() || decoder.next_image().is_err() {
            return out;
        }
    }
}

fn tiff_page(decoder: &mut Decoder<Cursor<&[u8]>>) -> Option<GrayImage> {
    let (w, h) = decoder.dimensions().ok()?;
    if u64::from(w) * u64::from(h) > PIXELS {
        return None;
    }
    let color = decoder.colortype().ok()?;
    let DecodingResult::U8(data) = decoder.read_image().ok()? else {
        return None;
    };
    let shades: Vec<u8> = match color {
        ColorType::Gray(8) => data,
        ColorType::Gray(1) => {
            let stride = usize::try_from(w.div_ceil(8)).ok()?;
            data.chunks(stride)
                .flat_map(|row| {
                    (0..w).map(move |x| {
                        let byte = row.get((x / 8) as usize).copied().unwrap_or(0xff);
                        if byte & (0x80 >> (x % 8)) == 0 {
                            0
                        } else {
                            255
                        }
                    })
                })
                .collect()
        }
        ColorType::RGB(8) => data.chunks_exact(3).map(luma).collect(),
        ColorType::RGBA(8) => data.chunks_exact(4).map(luma).collect(),
        _ => return None,
    };
    GrayImage::from_raw(w, h, shades)
}

fn luma(pixel: &[u8]) -> u8 {
    let part = |n: usize, weight: u32| pixel.get(n).map_or(0, |&p| u32::from(p) * weight);
    u8::try_from((part(0, 299) + part(1, 587) + part(2, 114)) / 1000).unwrap_or(255)
}
