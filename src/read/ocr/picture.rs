//! Picture files → pages in shades of gray.

use std::io::Cursor;

use image::error::ImageError;
use image::metadata::Orientation;
use image::{DynamicImage, GrayImage, ImageDecoder, ImageReader, Limits};

use super::super::page::Fault;
use super::super::whole;
use super::size::{PIXELS, check};
use super::tif;

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
    let whole = !bytes.starts_with(b"\xff\xd8\xff") || whole::jpeg(bytes);
    Ok((single(bytes)?, whole))
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
        picture.write_to(&mut bytes, form).expect("memory");
        bytes.into_inner()
    }

    #[test]
    fn a_picture_cut_at_any_twentieth_is_never_whole() {
        for (name, bytes) in [
            ("a photo", sample("open-and-100-hour-photo-1.jpg")),
            ("a fax", sample("contradiction-fax.tif")),
            ("PNG", drawn(image::ImageFormat::Png)),
            ("JPEG", drawn(image::ImageFormat::Jpeg)),
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
    fn an_end_marker_set_behind_the_cut_does_not_help() {
        let bytes = drawn(image::ImageFormat::Jpeg);
        for n in 4..20 {
            let mut cut = bytes[..bytes.len() * n / 20].to_vec();
            cut.extend([0xff, 0xd9]);
            assert!(page(&cut, 1).map_or(true, |(_, whole)| !whole), "{n}/20");
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
