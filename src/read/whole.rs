//! Whether the data of a picture is whole.
//!
//! Decoders are lenient: of a picture that breaks off they show the upper part, and gray or white
//! below it. A letter of which the lower half is white says something else than the letter.

use super::entropy;
use hayro_ccitt::{DecodeSettings, Decoder, DecoderContext};
use zune_jpeg::JpegDecoder;
use zune_jpeg::zune_core::bytestream::ZCursor;
use zune_jpeg::zune_core::colorspace::ColorSpace;
use zune_jpeg::zune_core::options::DecoderOptions;

/// More bytes than this behind the last row of a fax are rows that were lost on the way.
const REST: usize = 64;

/// Narrower pictures may end within what a decoder reads ahead.
const NARROW: usize = 256;

/// Whether a JPEG file has its end, and everything up to it can be decoded.
pub(super) fn jpeg(bytes: &[u8]) -> bool {
    let Some(end) = end(bytes) else {
        return false;
    };
    if let Some(is_whole) = entropy::is_whole(bytes) {
        return is_whole;
    }
    // An end marker may follow on half a picture. Without it the decoder says whether it wants
    // more; scans of a progressive file end by a marker.
    let before = bytes.get(..end.at).filter(|_| end.is_sequential);
    decodes(before.unwrap_or(bytes), before.is_some())
}

/// Whether the end marker of a JPEG stream is there.
pub(super) fn has_end(bytes: &[u8]) -> bool {
    end(bytes).is_some()
}

/// The end of a JPEG stream.
struct JpegEnd {
    /// Where its marker begins.
    at: usize,
    /// Whether there is but one pass over the rows.
    is_sequential: bool,
}

/// Looks for the end marker behind the data of the last scan (ITU-T T.81, annex B).
fn end(bytes: &[u8]) -> Option<JpegEnd> {
    let mut at = 2;
    let mut is_sequential = true;
    let mut scans = 0;
    loop {
        at = next_marker(bytes, at);
        // fill bytes may stand before any marker
        while bytes.get(at + 1) == Some(&0xff) {
            at += 1;
        }
        let marker = *bytes.get(at + 1)?;
        match marker {
            0xd9 => {
                return Some(JpegEnd {
                    at,
                    is_sequential: is_sequential && scans == 1,
                });
            }
            // within a scan: stuffed bytes and restarts; TEM
            0x00 | 0x01 | 0xd0..=0xd8 => at += 2,
            _ => {
                let &[high, low] = bytes.get(at + 2..at + 4)? else {
                    return None;
                };
                at += 2 + usize::from(u16::from_be_bytes([high, low]));
                scans += u32::from(marker == 0xda);
                is_sequential &= !matches!(marker, 0xc2 | 0xc3 | 0xc5..=0xc7 | 0xc9..=0xcf);
            }
        }
    }
}

/// The next byte 0xff.
fn next_marker(bytes: &[u8], at: usize) -> usize {
    bytes
        .get(at..)
        .and_then(|rest| rest.iter().position(|&b| b == 0xff))
        .map_or(bytes.len(), |n| at + n)
}

fn decodes(bytes: &[u8], without_end: bool) -> bool {
    let options = DecoderOptions::default()
        .set_strict_mode(true)
        .set_max_width(usize::MAX)
        .set_max_height(usize::MAX);
    // bytes between headers take nothing away
    let harmless = |error: String| error.contains("Extra bytes between headers");
    let mut decoder = JpegDecoder::new_with_options(ZCursor::new(bytes), options);
    if let Err(error) = decoder.decode_headers() {
        return harmless(error.to_string());
    }
    if decoder.input_colorspace() == Some(ColorSpace::YCbCr) {
        // the shades alone take a third of the memory
        decoder.set_options(options.jpeg_set_out_colorspace(ColorSpace::Luma));
    }
    let narrow = decoder.dimensions().is_none_or(|(w, _)| w < NARROW);
    match decoder.decode() {
        Ok(_) => true,
        Err(error) => {
            let error = error.to_string();
            without_end && narrow && error.contains("Premature end") || harmless(error)
        }
    }
}

/// Decodes a fax into `decoder` and says whether all rows came, or the fax says itself that it ends
/// (ITU-T T.4 and T.6), and nothing is left over.
pub(super) fn fax(data: &[u8], settings: DecodeSettings, decoder: &mut impl Decoder) -> bool {
    struct Count<'d, D> {
        to: &'d mut D,
        rows: u32,
    }
    impl<D: Decoder> Decoder for Count<'_, D> {
        fn push_row(&mut self, changes: &[u32]) {
            self.rows += 1;
            self.to.push_row(changes);
        }
    }
    let mut count = Count {
        to: decoder,
        rows: 0,
    };
    let Ok(read) = hayro_ccitt::decode(data, &mut count, &mut DecoderContext::new(settings)) else {
        return false;
    };
    let rest = data.get(read..).unwrap_or_default();
    let left_over = rest.iter().filter(|&&b| b != 0 && b != 0xff).count();
    left_over <= REST && (count.rows >= settings.rows || says_end(data.get(..read).unwrap_or(data)))
}

/// Whether two end-of-line codes, one behind the other, stand at the end.
fn says_end(data: &[u8]) -> bool {
    let tail = data.iter().rev().take(6).rev();
    let bits = tail.fold(0_u64, |bits, &b| bits << 8 | u64::from(b));
    // without and with the tag bit of two-dimensional lines
    (0..24).any(|n| (bits >> n) & 0xff_ffff == 0x1001 || (bits >> n) & 0x1ff_ffff == 0x3001)
}
