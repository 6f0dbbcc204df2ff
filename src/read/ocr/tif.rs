//! TIFF files → pages in shades of gray, and whether each of them is whole.
//!
//! Faxes (ITU-T T.4 and T.6) are decoded here, strip by strip, as only that tells whether all rows
//! are there; everything else is decoded by the library, which fails where rows are missing.

use std::io::Cursor;

use hayro_ccitt::{DecodeSettings, EncodingMode};
use image::DynamicImage;
use image::GrayImage;
use image::metadata::Orientation;
use tiff::ColorType;
use tiff::decoder::ifd::Value;
use tiff::decoder::{Decoder, DecodingResult, Limits};
use tiff::tags::Tag;

use super::super::page::Fault;
use super::super::whole;
use super::extent;
use super::size::{PIXELS, check};

type Tiff<'a> = Decoder<Cursor<&'a [u8]>>;

/// Rows without codes, which bytes too many shift and do not spoil (TIFF 6.0, section 3 and 9).
const BARE: u32 = 1;
const PACK_BITS: u32 = 32773;
/// Compressions of TIFF 6.0, section 10 and 11.
const MODIFIED_HUFFMAN: u32 = 2;
const FAX_3: u32 = 3;
const FAX_4: u32 = 4;
/// TIFF Technical Note 2.
const JPEG: u32 = 7;

/// How many pages a file has, up to `most`. A page that cannot be found counts, as one that cannot
/// be read.
pub(super) fn count(bytes: &[u8], most: u32) -> u32 {
    let Ok(mut decoder) = open(bytes) else {
        return 1;
    };
    let mut count = 1;
    while count < most && decoder.more_images() {
        count += 1;
        if decoder.next_image().is_err() {
            break;
        }
    }
    count
}

fn open(bytes: &[u8]) -> Result<Tiff<'_>, Fault> {
    let mut limits = Limits::default();
    limits.decoding_buffer_size = usize::try_from(PIXELS * 4).unwrap_or(usize::MAX);
    limits.intermediate_buffer_size = limits.decoding_buffer_size;
    let decoder = Decoder::new(Cursor::new(bytes)).map_err(|_| Fault::Broken)?;
    Ok(decoder.with_limits(limits))
}

/// A page, counted from 1, and whether all of it is there.
pub(super) fn page(bytes: &[u8], number: u32) -> Result<(GrayImage, bool), Fault> {
    let mut decoder = open(bytes)?;
    for _ in 1..number {
        decoder.next_image().map_err(|_| Fault::Broken)?;
    }
    let (w, h) = decoder.dimensions().map_err(|_| Fault::Broken)?;
    check((w, h))?;
    let compression = decoder
        .find_tag_unsigned::<u32>(Tag::Compression)
        .ok()
        .flatten()
        .unwrap_or(1);
    let (picture, whole) = match compression {
        MODIFIED_HUFFMAN | FAX_3 | FAX_4 => fax(bytes, &mut decoder, (w, h), compression)?,
        _ => {
            let shifts = matches!(compression, BARE | PACK_BITS);
            let whole = !(shifts && extent::is_exceeded(bytes))
                && strips_are_whole(bytes, &mut decoder, compression);
            (shades(&mut decoder, (w, h))?, whole)
        }
    };
    let picture = squared(picture, &mut decoder);
    Ok((upright(picture, &mut decoder), whole))
}

/// Whether the file holds all strips or tiles, and those that are JPEG have their end.
fn strips_are_whole(bytes: &[u8], decoder: &mut Tiff<'_>, compression: u32) -> bool {
    let tags = [
        (Tag::StripOffsets, Tag::StripByteCounts),
        (Tag::TileOffsets, Tag::TileByteCounts),
    ];
    let mut list = |tag| decoder.get_tag_u64_vec(tag).unwrap_or_default();
    tags.iter().all(|&(offsets, lengths)| {
        let (offsets, lengths) = (list(offsets), list(lengths));
        offsets.len() == lengths.len()
            && offsets.iter().zip(&lengths).all(|(&offset, &length)| {
                let (data, all) = slice(bytes, offset, length);
                all && (compression != JPEG || whole::has_end(data))
            })
    })
}

/// A page of a fax.
fn fax(
    bytes: &[u8],
    decoder: &mut Tiff<'_>,
    (w, h): (u32, u32),
    compression: u32,
) -> Result<(GrayImage, bool), Fault> {
    let number = |d: &mut Tiff<'_>, tag, usual: u32| {
        d.find_tag_unsigned::<u32>(tag)
            .ok()
            .flatten()
            .unwrap_or(usual)
    };
    let options = number(decoder, Tag::Unknown(292), 0);
    let black_is_zero = number(decoder, Tag::PhotometricInterpretation, 0) == 1;
    let turned = number(decoder, Tag::FillOrder, 1) == 2;
    let rows = number(decoder, Tag::RowsPerStrip, h).clamp(1, h.max(1));
    let list = |d: &mut Tiff<'_>, tag| d.get_tag_u64_vec(tag).map_err(|_| Fault::Broken);
    let offsets = list(decoder, Tag::StripOffsets)?;
    let lengths = list(decoder, Tag::StripByteCounts)?;
    let strips = usize::try_from(h.div_ceil(rows)).unwrap_or(usize::MAX);
    let mut whole = offsets.len() >= strips && lengths.len() >= strips;
    let mut rows_left = h;
    let mut pen = Rows::new(w, h, black_is_zero);
    for (&offset, &length) in offsets.iter().zip(&lengths).take(strips) {
        let here = rows.min(rows_left);
        let (data, all) = slice(bytes, offset, length);
        let reversed: Vec<u8>;
        let data = if turned {
            reversed = data.iter().map(|b| b.reverse_bits()).collect();
            &reversed
        } else {
            data
        };
        let settings = DecodeSettings {
            columns: w,
            rows: here,
            end_of_block: compression != MODIFIED_HUFFMAN,
            end_of_line: false,
            rows_are_byte_aligned: compression == MODIFIED_HUFFMAN,
            encoding: match compression {
                FAX_4 => EncodingMode::Group4,
                FAX_3 if options & 1 == 1 => EncodingMode::Group3_2D,
                _ => EncodingMode::Group3_1D,
            },
            strict: false,
        };
        whole &= whole::fax(data, settings, &mut pen) && all;
        rows_left -= here;
        pen.row = h - rows_left;
    }
    let picture = GrayImage::from_raw(w, h, pen.shades).ok_or(Fault::Broken)?;
    Ok((picture, whole))
}

/// The bytes of a strip, and whether all of them are in the file.
fn slice(bytes: &[u8], offset: u64, length: u64) -> (&[u8], bool) {
    let start = usize::try_from(offset).unwrap_or(usize::MAX);
    let end = start.saturating_add(usize::try_from(length).unwrap_or(usize::MAX));
    match bytes.get(start..end) {
        Some(data) => (data, true),
        None => (bytes.get(start..).unwrap_or_default(), false),
    }
}

/// Takes the rows of a fax; what never comes stays white.
struct Rows {
    shades: Vec<u8>,
    width: usize,
    row: u32,
    black: u8,
}

impl Rows {
    fn new(w: u32, h: u32, black_is_zero: bool) -> Self {
        let width = usize::try_from(w).unwrap_or_default();
        let height = usize::try_from(h).unwrap_or_default();
        // in a fax white is white, unless the file says that it is turned round
        let (white, black) = if black_is_zero { (0, 255) } else { (255, 0) };
        Self {
            shades: vec![white; width * height],
            width,
            row: 0,
            black,
        }
    }
}

impl hayro_ccitt::Decoder for Rows {
    fn push_row(&mut self, changes: &[u32]) {
        let start = usize::try_from(self.row)
            .unwrap_or(usize::MAX)
            .saturating_mul(self.width);
        self.row += 1;
        let Some(row) = self.shades.get_mut(start..start.saturating_add(self.width)) else {
            return;
        };
        for pair in changes.chunks(2) {
            let at = |n: usize| pair.get(n).and_then(|&c| usize::try_from(c).ok());
            let (from, to) = (at(0).unwrap_or_default(), at(1).unwrap_or(self.width));
            if let Some(black) = row.get_mut(from..to) {
                black.fill(self.black);
            }
        }
    }
}

/// Every other kind of page.
fn shades(decoder: &mut Tiff<'_>, (w, h): (u32, u32)) -> Result<GrayImage, Fault> {
    let color = decoder.colortype().map_err(|_| Fault::Unknown)?;
    let samples: Vec<u8> = match decoder.read_image() {
        Ok(DecodingResult::U8(data)) => data,
        Ok(DecodingResult::U16(data)) => data.iter().map(|s| s.to_be_bytes()[0]).collect(),
        Ok(_) => return Err(Fault::Unknown),
        Err(tiff::TiffError::LimitsExceeded) => return Err(Fault::TooLarge),
        Err(tiff::TiffError::UnsupportedError(_)) => return Err(Fault::Unknown),
        Err(_) => return Err(Fault::Broken),
    };
    let shades: Vec<u8> = match color {
        ColorType::Gray(8 | 16) => samples,
        ColorType::Gray(bits @ 1..8) => {
            let most = (1_u32 << bits) - 1;
            unpacked(&samples, w, bits)
                .map(|s| u8::try_from(u32::from(s) * 255 / most).unwrap_or(255))
                .collect()
        }
        ColorType::GrayA(8 | 16) => samples
            .chunks_exact(2)
            .map(|p| on_white(p[0], p[1]))
            .collect(),
        ColorType::RGB(8 | 16) => samples
            .chunks_exact(3)
            .map(|p| luma(p[0], p[1], p[2]))
            .collect(),
        ColorType::RGBA(8 | 16) => samples
            .chunks_exact(4)
            .map(|p| on_white(luma(p[0], p[1], p[2]), p[3]))
            .collect(),
        // the first of them is the shade
        ColorType::YCbCr(8) => samples.chunks_exact(3).map(|p| p[0]).collect(),
        ColorType::CMYK(8 | 16) => samples
            .chunks_exact(4)
            .map(|p| {
                let ink = |n: usize| {
                    let left = u16::from(255 - p[n]) * u16::from(255 - p[3]) / 255;
                    u8::try_from(left).unwrap_or(255)
                };
                luma(ink(0), ink(1), ink(2))
            })
            .collect(),
        _ => return Err(Fault::Unknown),
    };
    GrayImage::from_raw(w, h, shades).ok_or(Fault::Broken)
}

/// Samples of less than eight bits; each row begins with a byte of its own.
fn unpacked(data: &[u8], width: u32, bits: u8) -> impl Iterator<Item = u8> + '_ {
    let width = usize::try_from(width).unwrap_or_default();
    let bits = usize::from(bits);
    let stride = (width * bits).div_ceil(8).max(1);
    data.chunks(stride).flat_map(move |row| {
        (0..width).map(move |x| {
            let at = x * bits;
            let byte = |n: usize| u16::from(row.get(at / 8 + n).copied().unwrap_or(0xff));
            let two = byte(0) << 8 | byte(1);
            let sample = two << (at % 8) >> (16 - bits);
            u8::try_from(sample).unwrap_or(u8::MAX)
        })
    })
}

fn luma(red: u8, green: u8, blue: u8) -> u8 {
    let part = |c: u8, weight: u32| u32::from(c) * weight;
    u8::try_from((part(red, 299) + part(green, 587) + part(blue, 114)) / 1000).unwrap_or(255)
}

/// A shade that covers paper only as far as it is opaque.
pub(super) fn on_white(shade: u8, alpha: u8) -> u8 {
    let (shade, alpha) = (u32::from(shade), u32::from(alpha));
    u8::try_from((shade * alpha + 255 * (255 - alpha)) / 255).unwrap_or(255)
}

/// A fax has more dots across than down; its picture is stretched to square ones.
fn squared(picture: GrayImage, decoder: &mut Tiff<'_>) -> GrayImage {
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
    super::strip::resized(&picture, w, h)
}

/// Turned and mirrored as the file says (TIFF 6.0, section 8, Orientation).
fn upright(picture: GrayImage, decoder: &mut Tiff<'_>) -> GrayImage {
    let said = decoder
        .find_tag_unsigned::<u8>(Tag::Orientation)
        .ok()
        .flatten()
        .and_then(Orientation::from_exif);
    match said {
        None | Some(Orientation::NoTransforms) => picture,
        Some(turn) => {
            let mut picture = DynamicImage::ImageLuma8(picture);
            picture.apply_orientation(turn);
            picture.into_luma8()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A TIFF file of one strip.
    fn file(entries: &[(u16, u16, u32)], strip: &[u8]) -> Vec<u8> {
        let mut out = b"II*\0".to_vec();
        let start = 8_u32;
        let directory = start + u32::try_from(strip.len()).expect("small");
        out.extend(directory.to_le_bytes());
        out.extend(strip);
        let mut all = entries.to_vec();
        all.push((273, 4, start));
        all.push((279, 4, directory - start));
        all.sort_unstable();
        out.extend(u16::try_from(all.len()).expect("few").to_le_bytes());
        for (tag, kind, value) in all {
            out.extend(tag.to_le_bytes());
            out.extend(kind.to_le_bytes());
            out.extend(1_u32.to_le_bytes());
            out.extend(value.to_le_bytes());
        }
        out.extend([0; 4]);
        out
    }

    /// Rows of T.4 codes, one dimension: eight white dots and eight black ones, with end-of-line
    /// codes before each.
    fn fax_3(rows: usize) -> Vec<u8> {
        let row = "000000000001".to_owned() + "10011" + "000101";
        let bits = row.repeat(rows) + &"000000000001".repeat(6);
        let bits = bits.clone() + &"0".repeat((8 - bits.len() % 8) % 8);
        bits.as_bytes()
            .chunks(8)
            .map(|byte| byte.iter().fold(0, |b, bit| b << 1 | (bit - b'0')))
            .collect()
    }

    fn head(width: u32, height: u32, compression: u32) -> Vec<(u16, u16, u32)> {
        vec![
            (256, 4, width),
            (257, 4, height),
            (258, 3, 1),
            (259, 3, compression),
            (262, 3, 0),
            (277, 3, 1),
            (278, 4, height),
        ]
    }

    #[test]
    fn bytes_behind_the_last_that_a_directory_names_are_seen() {
        let entries = [
            (256, 4, 40),
            (257, 4, 40),
            (258, 3, 8),
            (259, 3, 1),
            (262, 3, 1),
        ];
        let sound = file(&entries, &[200; 1600]);
        assert!(page(&sound, 1).is_ok_and(|(_, whole)| whole));
        let with = |more: &[u8]| [sound.as_slice(), more].concat();
        assert!(page(&with(&[255; 16]), 1).is_ok_and(|(_, whole)| !whole));
        assert!(page(&with(&[0; 12]), 1).is_ok_and(|(_, whole)| whole));
    }

    #[test]
    fn a_fax_of_group_three_is_read_and_its_missing_rows_are_seen() {
        let strip = fax_3(40);
        for turned in [false, true] {
            let mut entries = head(16, 40, 3);
            let strip: Vec<u8> = if turned {
                entries.push((266, 3, 2));
                strip.iter().map(|b| b.reverse_bits()).collect()
            } else {
                strip.clone()
            };
            let (picture, whole) = page(&file(&entries, &strip), 1).expect("a fax");
            assert!(whole);
            for y in [0, 39] {
                let row: Vec<u8> = (0..16).map(|x| picture.get_pixel(x, y).0[0]).collect();
                assert_eq!(row, [[255_u8; 8], [0; 8]].concat());
            }
            // what is left out last is the end of the message, when all rows are there
            for n in 1..19 {
                let cut = &strip[..strip.len() * n / 20];
                let (_, whole) = page(&file(&entries, cut), 1).expect("the rows above");
                assert!(!whole, "{n}/20");
            }
        }
    }

    #[test]
    fn deep_gray_and_printing_colors_are_read_and_mirrored_pages_are_turned() {
        let mut gray = head(2, 1, 1);
        gray[2] = (258, 3, 16);
        gray[4] = (262, 3, 1);
        gray.push((274, 3, 2));
        let (picture, whole) = page(&file(&gray, &[0, 0x10, 0, 0xf0]), 1).expect("gray");
        assert!(whole);
        let row: Vec<u8> = picture.pixels().map(|p| p.0[0]).collect();
        assert_eq!(row, [0xf0, 0x10]);
        let mut inks = head(2, 1, 1);
        inks[2] = (258, 3, 8);
        inks[4] = (262, 3, 5);
        inks[5] = (277, 3, 4);
        let strip = [0, 0, 0, 255, 0, 0, 0, 0];
        let (picture, _) = page(&file(&inks, &strip), 1).expect("four inks");
        let row: Vec<u8> = picture.pixels().map(|p| p.0[0]).collect();
        assert_eq!(row, [0, 255]);
        let mut palette = head(8, 1, 1);
        palette[4] = (262, 3, 3);
        assert_eq!(
            page(&file(&palette, &[0x0f]), 1).err(),
            Some(Fault::Unknown)
        );
    }

    #[test]
    fn samples_are_unpacked_row_by_row() {
        let bits: Vec<u8> = unpacked(&[0b1010_0000, 0b0100_0000], 3, 1).collect();
        assert_eq!(bits, [1, 0, 1, 0, 1, 0]);
        let nibbles: Vec<u8> = unpacked(&[0x12, 0x30], 3, 4).collect();
        assert_eq!(nibbles, [1, 2, 3]);
    }

    #[test]
    fn what_is_transparent_is_paper() {
        assert_eq!(
            (on_white(0, 0), on_white(0, 255), on_white(200, 255)),
            (255, 0, 200)
        );
    }
}
