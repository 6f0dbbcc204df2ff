//! Files → bytes, and what the bytes are.

use std::io::Read;
use std::path::Path;

use sha2::{Digest, Sha256};

use super::{Limits, ReadError};
use crate::text::file_name;

/// A file with its bytes.
#[derive(Debug)]
pub(super) struct File {
    /// As the user typed it; see [`file_name`].
    pub(super) name: String,
    pub(super) bytes: Vec<u8>,
}

impl File {
    /// SHA-256, lower-case hexadecimal.
    pub(super) fn sha256(&self) -> String {
        digest(&self.bytes)
    }
}

/// SHA-256 of bytes, lower-case hexadecimal.
pub(super) fn digest(bytes: &[u8]) -> String {
    use std::fmt::Write as _;
    let mut out = String::with_capacity(64);
    for byte in Sha256::digest(bytes) {
        // writing to a string does not fail
        let _ = write!(out, "{byte:02x}");
    }
    out
}

/// Reads a file, or standard input for `-`.
pub(super) fn open(path: &Path, limits: &Limits) -> Result<File, ReadError> {
    let name = &file_name(path);
    if name != "-" {
        return open_at(path, name, limits);
    }
    let mut bytes = Vec::new();
    let most = limits.bytes.saturating_add(1);
    let outcome = std::io::stdin().lock().take(most).read_to_end(&mut bytes);
    read(name, outcome.map(|_| bytes), limits)
}

/// Reads the file at a path.
pub(super) fn open_at(path: &Path, name: &str, limits: &Limits) -> Result<File, ReadError> {
    let mut bytes = Vec::new();
    let most = limits.bytes.saturating_add(1);
    let outcome = std::fs::File::open(path).and_then(|file| {
        if file.metadata()?.is_dir() {
            return Err(std::io::Error::other(
                "is a folder; name the file of the letter in it",
            ));
        }
        file.take(most).read_to_end(&mut bytes)
    });
    read(name, outcome.map(|_| bytes), limits)
}

fn read(name: &str, outcome: std::io::Result<Vec<u8>>, limits: &Limits) -> Result<File, ReadError> {
    let error = |message: String| ReadError {
        file: shown(name),
        message,
    };
    match outcome {
        Ok(bytes) => given(name, bytes, limits),
        Err(cause) => Err(error(match cause.kind() {
            std::io::ErrorKind::NotFound => {
                "there is no such file; check the name and the folder".into()
            }
            std::io::ErrorKind::PermissionDenied => {
                "may not be read by you; ask its owner for permission".into()
            }
            std::io::ErrorKind::Other => cause.to_string(),
            _ => format!("cannot be read: {cause}"),
        })),
    }
}

/// A file whose bytes are there already.
pub(super) fn given(name: &str, bytes: Vec<u8>, limits: &Limits) -> Result<File, ReadError> {
    let error = |message: String| ReadError {
        file: shown(name),
        message,
    };
    if bytes.is_empty() {
        return Err(error(
            "the file is empty (0 bytes); copy or download it again".into(),
        ));
    }
    if u64::try_from(bytes.len()).unwrap_or(u64::MAX) > limits.bytes {
        return Err(error(format!(
            "is larger than {} MB; a letter of operating limitations is far smaller: hand over only its pages",
            limits.bytes >> 20
        )));
    }
    Ok(File {
        name: name.to_owned(),
        bytes,
    })
}

/// The name for messages: no control characters, and a word for standard input.
pub(super) fn shown(name: &str) -> String {
    if name == "-" {
        return "standard input".into();
    }
    name.chars()
        .map(|c| if c.is_control() { '\u{fffd}' } else { c })
        .collect()
}

/// What the bytes are, by their beginning.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Form {
    Pdf,
    /// A picture that can be read: its name.
    Picture(&'static str),
    /// Text, as far as the beginning tells.
    Maybe,
    /// A ZIP archive, which may be a word processor's file.
    Packed,
    /// Something else: its name, and what to do.
    Other(&'static str, &'static str),
}

/// Tells a PDF from what may be text and from what is neither.
pub(super) fn form(bytes: &[u8]) -> Form {
    const PICTURE: &str = "save it as PNG, JPEG or PDF";
    const PHONE: &str = "open it on the phone and share or save it as JPEG, or take it again with the \
                         camera set to JPEG («most compatible»)";
    const OFFICE: &str = "save it as PDF or as plain text in the program that made it";
    let head = bytes.get(..bytes.len().min(1024)).unwrap_or(bytes);
    if head.windows(5).any(|w| w == b"%PDF-") {
        return Form::Pdf;
    }
    let starts = |mark: &[u8]| head.starts_with(mark);
    let text_head = head
        .iter()
        .copied()
        .skip_while(|b| b.is_ascii_whitespace() || matches!(b, 0xef | 0xbb | 0xbf))
        .take(32)
        .map(|b| b.to_ascii_lowercase())
        .collect::<Vec<u8>>();
    if starts(b"\x89PNG") {
        Form::Picture("a PNG picture")
    } else if starts(b"\xff\xd8\xff") {
        Form::Picture("a JPEG picture")
    } else if starts(b"II*\0") || starts(b"MM\0*") {
        Form::Picture("a TIFF picture")
    } else if starts(b"GIF8") {
        Form::Picture("a GIF picture")
    } else if starts(b"BM") && bytes.get(6..10) == Some(&[0; 4]) {
        Form::Picture("a BMP picture")
    } else if starts(b"RIFF") && head.get(8..12) == Some(b"WEBP") {
        Form::Picture("a WebP picture")
    } else if let Some(film) = of_a_phone(head) {
        Form::Other(film, PHONE)
    } else if starts(b"\0\0\0\x0cjP  ") || starts(b"\xff\x4f\xff\x51") {
        Form::Other("a JPEG 2000 picture", PICTURE)
    } else if matches!(head, [b'P', b'1'..=b'7', b, ..] if b.is_ascii_whitespace())
        && is_measured(head)
    {
        Form::Other("a picture of bare dots", PICTURE)
    } else if starts(b"PK\x03\x04") {
        Form::Packed
    } else if starts(b"\xd0\xcf\x11\xe0") {
        Form::Other("an old word processor's file", OFFICE)
    } else if starts(b"{\\rtf") {
        Form::Other("an RTF file", OFFICE)
    } else if starts(b"%!") {
        Form::Other("a PostScript file", "convert it to PDF")
    } else if text_head.starts_with(b"<!doctype html") || text_head.starts_with(b"<html") {
        Form::Other(
            "a web page",
            "save it as PDF or as plain text in the browser",
        )
    } else if starts(b"\x1f\x8b") {
        Form::Other("a compressed file", "unpack it first")
    } else {
        Form::Maybe
    }
}

/// What a file of the family of MP4 (ISO/IEC 14496-12, file type box) is, by its brand. Nothing
/// written in Rust alone reads HEVC or AV1 well enough to be trusted with a letter.
fn of_a_phone(head: &[u8]) -> Option<&'static str> {
    if head.get(4..8) != Some(b"ftyp") {
        return None;
    }
    let brand = head.get(8..12).unwrap_or_default();
    Some(match brand {
        b"heic" | b"heix" | b"heim" | b"heis" | b"hevc" | b"mif1" => "a photo of a phone (HEIC)",
        b"avif" | b"avis" => "an AVIF picture",
        _ => "a film",
    })
}

/// Whether figures follow on the sign of a picture of dots, as its width and height do.
fn is_measured(head: &[u8]) -> bool {
    let text = String::from_utf8_lossy(head.get(..head.len().min(200)).unwrap_or(head));
    let mut words = text
        .lines()
        .filter(|line| !line.starts_with('#'))
        .flat_map(str::split_whitespace)
        .skip(1);
    let mut figure = || {
        words
            .next()
            .is_some_and(|w| w.parse::<u32>().is_ok() || w == "WIDTH")
    };
    figure() && figure()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn forms_by_their_beginning() {
        assert_eq!(form(b"%PDF-1.4\n"), Form::Pdf);
        assert_eq!(form(b"HTTP/1.1 200 OK\r\n\r\n%PDF-1.4\n"), Form::Pdf);
        assert_eq!(form(b"(1) No person may"), Form::Maybe);
        assert!(matches!(form(b"\xff\xd8\xff\xe0"), Form::Picture(_)));
        assert!(matches!(form(b"\n<!DOCTYPE html>"), Form::Other(..)));
        for picture in [
            b"RIFF\x10\0\0\0WEBPVP8 ".as_slice(),
            b"GIF89a",
            b"BM\x10\0\0\0\0\0\0\0",
        ] {
            assert!(matches!(form(picture), Form::Picture(_)), "{picture:?}");
        }
        for (brand, named) in [
            (b"heic", "a photo of a phone (HEIC)"),
            (b"avif", "an AVIF picture"),
            (b"mp42", "a film"),
        ] {
            let head = [b"\0\0\0\x18ftyp".as_slice(), brand].concat();
            assert!(
                matches!(form(&head), Form::Other(n, _) if n == named),
                "{named}"
            );
        }
        for picture in [
            b"\0\0\0\x0cjP  \r\n\x87\n".as_slice(),
            b"P5\n# made by hand\n640 480\n255\n",
            b"P4 8 8\n",
        ] {
            assert!(matches!(form(picture), Form::Other(..)), "{picture:?}");
        }
        assert_eq!(form(b"P1 The owner keeps it."), Form::Maybe);
    }
}
