//! Picture files → pages in shades of gray.

use std::io::Cursor;

use image::error::ImageError;
use image::metadata::Orientation;
use image::{DynamicImage, GrayImage, ImageDecoder, ImageReader, Limits};

use super::super::page::Fault;
use super::super::whole;
use super::size::{PIXELS, check};
use super::tif;
use super::webp;

/// How many pages a picture file has, up to `most`: one, or as many as a TIFF holds.
pub(super) fn count(bytes: &[u8], most: u32) -> u32 {
    if is_tiff(bytes) {
        tif::count(bytes, most)
    } else {
        1
    }
}

/// A page, counted from 1, and whether all of it is there.
pub(super) fn page(bytes: &[u8], number: u32) -> Result<(GrayImage, bool), Fault> {
    if is_tiff(bytes) {
        return tif::page(bytes, number);
    }
    Ok((single(bytes)?, is_whole(bytes)))
}

/// Whether the file says of itself that it ends where it does; the decoders of these forms take what
/// is there. That of PNG does not.
fn is_whole(bytes: &[u8]) -> bool {
    if bytes.starts_with(b"\xff\xd8\xff") {
        whole::jpeg(bytes)
    } else if bytes.starts_with(b"GIF8") {
        // The trailer (GIF89a, section 27); some programs fill up behind it.
        bytes.iter().rfind(|b| **b != 0) == Some(&0x3b)
    } else if let Some(size) = bytes.strip_prefix(b"RIFF").and_then(|b| b.first_chunk()) {
        let size = usize::try_from(u32::from_le_bytes(*size)).unwrap_or(usize::MAX);
        let rest = bytes.get(size.saturating_add(8)..);
        rest.is_some_and(|rest| rest.iter().all(|&b| b == 0)) && webp::is_used_up(bytes)
    } else if bytes.starts_with(b"BM") {
        bitmap_end(bytes).is_none_or(|end| bytes.len() <= end.saturating_add(ALIGNED))
    } else {
        true
    }
}

/// Bytes by which programs fill a bitmap up.
const ALIGNED: usize = 8;

/// Where a BMP ends, by the size that it says (BITMAPFILEHEADER) or, where that is less, by its rows
/// (BITMAPINFOHEADER): every row behind a byte too many is shifted, and the last ones are not seen.
fn bitmap_end(bytes: &[u8]) -> Option<usize> {
    let number = |at: usize| {
        let four: &[u8; 4] = bytes.get(at..)?.first_chunk()?;
        Some(u32::from_le_bytes(*four))
    };
    let side = |at: usize| usize::try_from(number(at)?.cast_signed().unsigned_abs()).ok();
    let bits = usize::try_from(number(28)? & 0xffff).ok()?;
    let row = side(18)?.checked_mul(bits)?.div_ceil(32).checked_mul(4)?;
    let rows = row.checked_mul(side(22)?)?;
    let by_rows = usize::try_from(number(10)?).ok()?.checked_add(rows)?;
    Some(by_rows.max(usize::try_from(number(2)?).ok()?))
}

fn is_tiff(bytes: &[u8]) -> bool {
    bytes.starts_with(b"II*\0") || bytes.starts_with(b"MM\0*")
}

/// A picture set upright as its maker says.
fn single(bytes: &[u8]) -> Result<GrayImage, Fault> {
    let fault = |error: ImageError| match error {
        ImageError::Limits(_) => Fault::TooLarge,
        ImageError::Unsupported(_) => Fault::Unknown,
        _ => Fault::Broken,
    };
    let mut reader = ImageReader::new(Cursor::new(bytes))
        .with_guessed_format()
        .map_err(|_| Fault::Broken)?;
    let mut limits = Limits::default();
    limits.max_alloc = Some(PIXELS * 4);
    reader.limits(limits);
    let mut decoder = reader.into_decoder().map_err(fault)?;
    check(decoder.dimensions())?;
    let orientation = decoder.orientation().unwrap_or(Orientation::NoTransforms);
    let picture = DynamicImage::from_decoder(decoder).map_err(fault)?;
    let mut picture = DynamicImage::ImageLuma8(if picture.color().has_alpha() {
        on_paper(&picture)
    } else {
        picture.into_luma8()
    });
    picture.apply_orientation(orientation);
    Ok(picture.into_luma8())
}

/// What is transparent shows the paper.
fn on_paper(picture: &DynamicImage) -> GrayImage {
    let mut seen = picture.to_luma_alpha8();
    let (w, h) = seen.dimensions();
    for pixel in seen.pixels_mut() {
        pixel.0[0] = tif::on_white(pixel.0[0], pixel.0[1]);
    }
    GrayImage::from_fn(w, h, |x, y| image::Luma([seen.get_pixel(x, y).0[0]]))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sample(name: &str) -> Vec<u8> {
        let path = format!("{}/samples/scans/{name}", env!("CARGO_MANIFEST_DIR"));
        std::fs::read(path).expect("it is there")
    }

    /// A gray ramp with stripes as a file of that form.
    fn drawn(form: image::ImageFormat) -> Vec<u8> {
        let picture = GrayImage::from_fn(600, 800, |x, y| {
            image::Luma([if (x / 7 + y / 9) % 3 == 0 { 30 } else { 230 }])
        });
        let mut bytes = Cursor::new(Vec::new());
        if form == image::ImageFormat::Gif {
            // It has a palette, and is written from colors alone.
            let colored = DynamicImage::ImageLuma8(picture).into_rgba8();
            colored.write_to(&mut bytes, form).expect("memory");
        } else {
            picture.write_to(&mut bytes, form).expect("memory");
        }
        bytes.into_inner()
    }

    #[test]
    fn a_picture_cut_at_any_twentieth_is_never_whole() {
        for (name, bytes) in [
            ("a photo", sample("open-and-100-hour-photo-1.jpg")),
            ("a fax", sample("contradiction-fax.tif")),
            ("PNG", drawn(image::ImageFormat::Png)),
            ("JPEG", drawn(image::ImageFormat::Jpeg)),
            ("GIF", drawn(image::ImageFormat::Gif)),
            ("BMP", drawn(image::ImageFormat::Bmp)),
            ("WebP", drawn(image::ImageFormat::WebP)),
        ] {
            let all_there = |bytes: &[u8]| {
                (1..=count(bytes, 9)).all(|n| page(bytes, n).is_ok_and(|(_, whole)| whole))
            };
            assert!(all_there(&bytes), "{name}");
            for n in 1..20 {
                let cut = &bytes[..bytes.len() * n / 20];
                assert!(!all_there(cut), "{name} {n}/20");
            }
        }
    }

    #[test]
    fn bytes_put_in_are_seen() {
        for form in [
            image::ImageFormat::Jpeg,
            image::ImageFormat::Bmp,
            image::ImageFormat::WebP,
        ] {
            let sound = drawn(form);
            for n in 4..20 {
                let at = sound.len() * n / 20;
                let mut longer = sound.clone();
                longer.splice(at..at, sound[at - 100..at].to_vec());
                assert!(
                    page(&longer, 1).map_or(true, |(_, whole)| !whole),
                    "{form:?} {n}/20"
                );
            }
        }
    }

    #[test]
    fn an_end_marker_set_behind_the_cut_does_not_help() {
        let bytes = drawn(image::ImageFormat::Jpeg);
        for n in 4..20 {
            let mut cut = bytes[..bytes.len() * n / 20].to_vec();
            cut.extend([0xff, 0xd9]);
            assert!(page(&cut, 1).map_or(true, |(_, whole)| !whole), "{n}/20");
        }
    }

    /// A JPEG with the value of EXIF for its orientation (tag 0x0112) in its first segment.
    fn told(jpeg: &[u8], value: u8) -> Vec<u8> {
        let exif = [
            b"Exif\0\0MM\0*\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0".as_slice(),
            &[value],
            b"\0\0\0\0\0\0",
        ]
        .concat();
        let length = u16::try_from(exif.len() + 2).expect("short");
        let segment = [b"\xff\xe1", length.to_be_bytes().as_slice(), &exif].concat();
        [&jpeg[..2], &segment, &jpeg[2..]].concat()
    }

    #[test]
    fn a_photo_is_set_upright_as_its_maker_says() {
        use image::imageops::{flip_horizontal, flip_vertical, rotate90, rotate180, rotate270};
        // Dark in one corner alone, and higher than wide: no turn looks like another.
        let upright = GrayImage::from_fn(160, 240, |x, y| {
            image::Luma([if x < 80 && y < 60 { 10 } else { 240 }])
        });
        // What the camera stores, by EXIF 2.3, 4.6.4 (orientation).
        let stored = [
            upright.clone(),
            flip_horizontal(&upright),
            rotate180(&upright),
            flip_vertical(&upright),
            rotate270(&flip_horizontal(&upright)),
            rotate270(&upright),
            rotate90(&flip_horizontal(&upright)),
            rotate90(&upright),
        ];
        for (value, stored) in (1..).zip(stored) {
            let mut jpeg = Cursor::new(Vec::new());
            stored
                .write_to(&mut jpeg, image::ImageFormat::Jpeg)
                .expect("memory");
            let (seen, whole) = page(&told(&jpeg.into_inner(), value), 1).expect("a picture");
            assert!(whole, "{value}");
            assert_eq!(seen.dimensions(), upright.dimensions(), "{value}");
            let off = seen
                .pixels()
                .zip(upright.pixels())
                .filter(|(a, b)| a.0[0].abs_diff(b.0[0]) > 40)
                .count();
            assert!(off < 100, "{value}: {off} pixels are elsewhere");
        }
    }

    #[test]
    fn what_is_transparent_shows_the_paper_and_every_depth_is_read() {
        use image::{DynamicImage, ImageFormat, Luma, LumaA, Rgba};
        let shade = |picture: DynamicImage| {
            let mut bytes = Cursor::new(Vec::new());
            picture
                .write_to(&mut bytes, ImageFormat::Png)
                .expect("memory");
            let (picture, whole) = page(&bytes.into_inner(), 1).expect("a picture");
            assert!(whole);
            picture.get_pixel(0, 0).0[0]
        };
        let clear = image::ImageBuffer::from_pixel(4, 4, Rgba([0_u8, 0, 0, 0]));
        assert_eq!(shade(DynamicImage::ImageRgba8(clear)), 255);
        let half = image::ImageBuffer::from_pixel(4, 4, LumaA([0_u8, 128]));
        assert_eq!(shade(DynamicImage::ImageLumaA8(half)), 127);
        let deep = image::ImageBuffer::from_pixel(4, 4, Luma([0x8000_u16]));
        assert_eq!(shade(DynamicImage::ImageLuma16(deep)), 128);
    }
}
