//! Picture files → pages in shades of gray.

use std::io::Cursor;

use image::{DynamicImage, GrayImage, ImageDecoder, ImageReader, Limits};
use tiff::ColorType;
use tiff::decoder::ifd::Value;
use tiff::decoder::{Decoder, DecodingResult};
use tiff::tags::Tag;

use super::super::page::Fault;

/// Pixels of one picture; a page at 600 dpi has 35 million.
const PIXELS: u64 = 100_000_000;

/// How many pages a picture file has, up to `most`: one, or as many as a TIFF holds.
pub(super) fn count(bytes: &[u8], most: u32) -> u32 {
    if !is_tiff(bytes) {
        return 1;
    }
    let Ok(mut decoder) = Decoder::new(Cursor::new(bytes)) else {
        return 1;
    };
    let mut count = 1;
    while count < most && decoder.more_images() && decoder.next_image().is_ok() {
        count += 1;
    }
    count
}

/// A page, counted from 1.
pub(super) fn page(bytes: &[u8], number: u32) -> Result<GrayImage, Fault> {
    if is_tiff(bytes) {
        return tiff_page(bytes, number);
    }
    single(bytes)
}

fn is_tiff(bytes: &[u8]) -> bool {
    bytes.starts_with(b"II*\0") || bytes.starts_with(b"MM\0*")
}

fn check((w, h): (u32, u32)) -> Result<(), Fault> {
    if u64::from(w) * u64::from(h) > PIXELS {
        return Err(Fault::TooLarge);
    }
    Ok(())
}

/// A picture set upright as its maker says.
fn single(bytes: &[u8]) -> Result<GrayImage, Fault> {
    let mut reader = ImageReader::new(Cursor::new(bytes))
        .with_guessed_format()
        .map_err(|_| Fault::Broken)?;
    let mut limits = Limits::default();
    limits.max_alloc = Some(PIXELS * 4);
    reader.limits(limits);
    let mut decoder = reader.into_decoder().map_err(|_| Fault::Broken)?;
    check(decoder.dimensions())?;
    let orientation = decoder.orientation().ok();
    let mut picture = DynamicImage::from_decoder(decoder).map_err(|_| Fault::Broken)?;
    if let Some(orientation) = orientation {
        picture.apply_orientation(orientation);
    }
    Ok(picture.into_luma8())
}

fn tiff_page(bytes: &[u8], number: u32) -> Result<GrayImage, Fault> {
    let broken = |_| Fault::Broken;
    let mut decoder = Decoder::new(Cursor::new(bytes)).map_err(broken)?;
    for _ in 1..number {
        decoder.next_image().map_err(broken)?;
    }
    let (w, h) = decoder.dimensions().map_err(broken)?;
    check((w, h))?;
    let color = decoder.colortype().map_err(broken)?;
    let DecodingResult::U8(data) = decoder.read_image().map_err(broken)? else {
        return Err(Fault::Broken);
    };
    let shades: Vec<u8> = match color {
        ColorType::Gray(8) => data,
        ColorType::Gray(1) => bits(&data, w),
        ColorType::RGB(8) => data.chunks_exact(3).map(luma).collect(),
        ColorType::RGBA(8) => data.chunks_exact(4).map(luma).collect(),
        _ => return Err(Fault::Broken),
    };
    let picture = GrayImage::from_raw(w, h, shades).ok_or(Fault::Broken)?;
    Ok(squared(picture, &mut decoder))
}

/// A fax has more dots across than down; its picture is stretched to square ones.
fn squared(picture: GrayImage, decoder: &mut Decoder<Cursor<&[u8]>>) -> GrayImage {
    let mut dots = |tag| match decoder.get_tag(tag).ok()? {
        Value::Rational(n, d) if d > 0 => Some(n as f32 / d as f32),
        _ => None,
    };
    let (Some(across), Some(down)) = (dots(Tag::XResolution), dots(Tag::YResolution)) else {
        return picture;
    };
    let (w, h) = picture.dimensions();
    let ratio = across / down;
    let (w, h) = if (1.05..=4.0).contains(&ratio) {
        (w, (h as f32 * ratio) as u32)
    } else if (0.25..=0.95).contains(&ratio) {
        ((w as f32 / ratio) as u32, h)
    } else {
        return picture;
    };
    if check((w, h)).is_err() {
        return picture;
    }
    super::engine::resized(picture, w, h)
}

/// Rows of bits, each row in whole bytes.
fn bits(data: &[u8], width: u32) -> Vec<u8> {
    let stride = usize::try_from(width.div_ceil(8)).unwrap_or(1).max(1);
    data.chunks(stride)
        .flat_map(|row| {
            (0..width).map(move |x| {
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

fn luma(pixel: &[u8]) -> u8 {
    let part = |n: usize, weight: u32| pixel.get(n).map_or(0, |&p| u32::from(p) * weight);
    u8::try_from((part(0, 299) + part(1, 587) + part(2, 114)) / 1000).unwrap_or(255)
}
