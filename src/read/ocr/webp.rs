//! Whether the data of a WebP picture are used up (RFC 9649 for the file and for pictures without
//! losses, RFC 6386 for those with losses).
//!
//! The codes carry no checksum, and a decoder makes some picture of whatever it meets. But of a sound
//! file it needs all but the last bytes: where it makes do with less, other codes were read than
//! were written. Where it needs more, it says so itself: of a picture without losses, three of four
//! turned bits have that end. What is left are codes as long as the true ones, which change some
//! letters to others, or to ink that is none, as dirt on paper does.

use std::io::Cursor;

use image::ImageReader;

/// Bytes at the end of the codes with losses that a decoder may do without: their coder writes more
/// than it needs.
const SPARE: usize = 6;
/// The same without losses, where the codes are filled up to whole bytes.
const SPARE_LOSSLESS: usize = 1;

/// Whether a decoder needs all of the data.
pub(super) fn is_used_up(bytes: &[u8]) -> bool {
    let Some((kind, data)) = codes(bytes.get(12..).unwrap_or_default()) else {
        return false;
    };
    let shorter = |data: &[u8]| decodes(&file(kind, data));
    let spare = if kind == LOSSY { SPARE } else { SPARE_LOSSLESS };
    let Some(end) = data.len().checked_sub(spare) else {
        return true;
    };
    if shorter(data.get(..end).unwrap_or_default()) {
        return false;
    }
    kind != LOSSY || without_end_of_first(data).is_none_or(|data| !shorter(&data))
}

const LOSSY: &[u8; 4] = b"VP8 ";
const LOSSLESS: &[u8; 4] = b"VP8L";
/// Holds the codes of one of several pictures, behind so many bytes.
const FRAME: (&[u8; 4], usize) = (b"ANMF", 16);

/// The codes of the first picture: their kind, and what the chunk holds.
fn codes(mut chunks: &[u8]) -> Option<(&[u8; 4], &[u8])> {
    loop {
        let (kind, rest) = chunks.split_first_chunk::<4>()?;
        let (size, rest) = rest.split_first_chunk::<4>()?;
        let size = usize::try_from(u32::from_le_bytes(*size)).ok()?;
        if kind == LOSSY || kind == LOSSLESS {
            return Some((kind, rest.get(..size)?));
        }
        chunks = if kind == FRAME.0 {
            rest.get(FRAME.1..)?
        } else {
            rest.get(size.checked_add(size % 2)?..)?
        };
    }
}

/// The data with a shorter first partition, that of the modes of prediction (RFC 6386, section 9.1).
/// Where the values stand in several partitions, only the last of them is looked at.
fn without_end_of_first(data: &[u8]) -> Option<Vec<u8>> {
    /// Bytes before the first partition.
    const HEADER: usize = 10;
    let (&[low, middle, high], _) = data.split_first_chunk::<3>()?;
    let tag = u32::from_le_bytes([low, middle, high, 0]);
    let size = usize::try_from(tag >> 5).ok()?;
    let shorter = size.checked_sub(SPARE)?;
    let told = u32::try_from(shorter).ok()? << 5 | tag & 0x1f;
    let mut out = told.to_le_bytes().get(..3)?.to_vec();
    out.extend_from_slice(data.get(3..HEADER + shorter)?);
    out.extend_from_slice(data.get(HEADER + size..)?);
    Some(out)
}

/// A file of nothing but these codes.
fn file(kind: &[u8; 4], data: &[u8]) -> Vec<u8> {
    let number = |n: usize| u32::try_from(n).unwrap_or(u32::MAX).to_le_bytes();
    let filled = data.len() + data.len() % 2;
    let mut out = [b"RIFF".as_slice(), &number(filled + 12), b"WEBP", kind].concat();
    out.extend(number(data.len()));
    out.extend_from_slice(data);
    out.resize(filled + 20, 0);
    out
}

fn decodes(bytes: &[u8]) -> bool {
    ImageReader::new(Cursor::new(bytes))
        .with_guessed_format()
        .is_ok_and(|reader| reader.decode().is_ok())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Made by libwebp; see the folder's README.
    fn sample(name: &str) -> Vec<u8> {
        let root = env!("CARGO_MANIFEST_DIR");
        std::fs::read(format!("{root}/tests/outside/data/read/{name}.webp")).expect("it is there")
    }

    #[test]
    fn sound_pictures_are_used_up() {
        for name in ["lossy", "lossless"] {
            assert!(is_used_up(&sample(name)), "{name}");
        }
    }

    #[test]
    fn a_bit_that_fell_over_changes_how_much_is_used() {
        let sound = sample("lossy");
        for n in 1..20 {
            let mut damaged = sound.clone();
            damaged[sound.len() * n / 20] ^= 8;
            assert!(!decodes(&damaged) || !is_used_up(&damaged), "{n}/20");
        }
    }

    #[test]
    fn codes_without_losses_end_at_the_last_byte() {
        let sound = sample("lossless");
        for n in 1..20 {
            let at = sound.len() * n / 20;
            let mut damaged = sound.clone();
            damaged[at..at + 16].fill(0);
            assert!(!decodes(&damaged) || !is_used_up(&damaged), "{n}/20");
        }
        let (kind, data) = codes(&sound[12..]).expect("codes");
        assert!(!is_used_up(&file(kind, &[data, &[0]].concat())));
    }

    #[test]
    fn codes_in_a_frame_of_several_are_found() {
        let sound = sample("lossy");
        let chunk = &sound[12..];
        let size = u32::try_from(chunk.len() + FRAME.1).expect("small");
        let frame = [FRAME.0.as_slice(), &size.to_le_bytes(), &[0; 16], chunk].concat();
        let all = [
            sound.get(..12).expect("a head"),
            b"EXIF\x03\0\0\0abc\0",
            &frame,
        ]
        .concat();
        assert!(is_used_up(&all));
        assert!(!is_used_up(&all[..all.len() - 40]));
    }
}
