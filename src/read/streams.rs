//! Whether what a PDF's pages are made of is whole.
//!
//! A stream that is cut or damaged gives the words up to the damage, and no reader says so. So the
//! end marks and checksums of every stream that a page shows are looked at (ISO 32000-1, section
//! 7.4), and everything that it names must be there. LZW and JBIG2 have no checksum and no length
//! of their own that is looked at here.

use std::borrow::Cow;
use std::collections::BTreeSet;

use flate2::{Decompress, FlushDecompress, Status};
use hayro_interpret::hayro_syntax::Filter;
use hayro_interpret::hayro_syntax::Pdf;
use hayro_interpret::hayro_syntax::object::{Array, Dict, MaybeRef, Object, Stream};
use hayro_interpret::hayro_syntax::page::Page;

/// Bytes that are unpacked to look at the streams of one page; what is larger is stopped elsewhere.
const BUDGET: usize = 64 << 20;
/// The same with the pictures of a scan.
const PICTURES: usize = 400 << 20;
/// Streams of one page that are looked at.
const STREAMS: usize = 4000;
/// Forms within forms.
const DEPTH: usize = 12;

/// What is whole on a page.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Whole {
    /// Everything that makes words.
    pub(super) words: bool,
    /// All pictures.
    pub(super) pictures: bool,
}

/// Looks at the streams of a page; at those of its pictures only where `pictures` asks for it.
pub(super) fn of_page(page: &Page<'_>, pictures: bool) -> Whole {
    let mut look = Look {
        left: if pictures { PICTURES } else { BUDGET },
        seen: BTreeSet::new(),
        pictures,
        whole: Whole {
            words: true,
            pictures: true,
        },
    };
    let dict = page.raw();
    if let Some(contents) = dict.get_raw::<Object<'_>>("Contents") {
        match resolved(dict, "Contents", contents) {
            Some(Object::Stream(stream)) => look.words(&stream),
            Some(Object::Array(parts)) => look.parts(&parts),
            Some(Object::Null(_)) => {}
            Some(_) | None => look.whole.words = false,
        }
    }
    let resources = page.resources();
    look.fonts(&resources.fonts);
    look.shown(&resources.x_objects, 0);
    look.whole
}

/// Whether the end of a file is there: the mark behind its last object (section 7.5.5).
pub(super) fn has_end(bytes: &[u8]) -> bool {
    let last = |mark: &[u8]| {
        let mut windows = bytes.windows(mark.len());
        windows.rposition(|w| w == mark)
    };
    let Some(end) = last(b"%%EOF") else {
        return false;
    };
    [b"endobj".as_slice(), b"endstream"]
        .iter()
        .all(|mark| last(mark).is_none_or(|at| at < end))
}

/// Whether all pages that the file counts were found.
pub(super) fn has_all_pages(pdf: &Pdf) -> bool {
    let xref = pdf.xref();
    let count = xref
        .get::<Dict<'_>>(xref.root_id())
        .and_then(|root| root.get::<Dict<'_>>("Pages"))
        .and_then(|pages| pages.get::<i32>("Count"));
    count.is_some_and(|count| usize::try_from(count).is_ok_and(|count| count <= pdf.pages().len()))
}

/// The object behind an entry of a dictionary.
fn resolved<'a>(dict: &Dict<'a>, key: &str, entry: MaybeRef<Object<'a>>) -> Option<Object<'a>> {
    match entry {
        MaybeRef::NotRef(object) => Some(object),
        MaybeRef::Ref(_) => dict.get::<Object<'a>>(key),
    }
}

struct Look {
    /// Bytes that may still be unpacked.
    left: usize,
    /// Streams by number that were looked at.
    seen: BTreeSet<(u32, i32)>,
    pictures: bool,
    whole: Whole,
}

impl Look {
    /// The parts of a page's content.
    fn parts(&mut self, parts: &Array<'_>) {
        let named = parts.raw_iter().count();
        let mut here = 0;
        for part in parts.iter::<Object<'_>>() {
            here += 1;
            match part {
                Object::Stream(stream) => self.words(&stream),
                Object::Null(_) => {}
                _ => self.whole.words = false,
            }
        }
        self.whole.words &= here >= named;
    }

    /// A stream that makes words.
    fn words(&mut self, stream: &Stream<'_>) {
        if self.is_new(stream) {
            self.whole.words &= self.is_whole(stream);
        }
    }

    fn is_new(&mut self, stream: &Stream<'_>) -> bool {
        let id = stream.obj_id();
        let id = (id.obj_number, id.gen_number);
        self.seen.len() < STREAMS && self.seen.insert(id)
    }

    /// The tables that tell which characters the codes of fonts are.
    fn fonts(&mut self, fonts: &Dict<'_>) {
        for name in fonts.keys() {
            let Some(font) = fonts.get::<Dict<'_>>(&name) else {
                self.whole.words = false;
                continue;
            };
            for key in ["ToUnicode", "Encoding"] {
                let Some(entry) = font.get_raw::<Object<'_>>(key) else {
                    continue;
                };
                match resolved(&font, key, entry) {
                    Some(Object::Stream(stream)) => self.words(&stream),
                    Some(_) => {}
                    None => self.whole.words = false,
                }
            }
        }
    }

    /// Forms and pictures.
    fn shown(&mut self, objects: &Dict<'_>, depth: usize) {
        for name in objects.keys() {
            let Some(stream) = objects.get::<Stream<'_>>(&name) else {
                // it may be either
                self.whole.words = false;
                continue;
            };
            let dict = stream.dict();
            let is_picture = dict
                .get::<hayro_interpret::hayro_syntax::object::Name<'_>>("Subtype")
                .is_some_and(|name| name.as_ref() == b"Image");
            if is_picture {
                if self.pictures && self.is_new(&stream) {
                    self.whole.pictures &= self.is_whole(&stream);
                }
                continue;
            }
            if !self.is_new(&stream) {
                continue;
            }
            self.whole.words &= self.is_whole(&stream);
            if let Some(resources) = dict.get::<Dict<'_>>("Resources")
                && depth < DEPTH
            {
                self.fonts(&resources.get::<Dict<'_>>("Font").unwrap_or_default());
                let inner = resources.get::<Dict<'_>>("XObject").unwrap_or_default();
                self.shown(&inner, depth + 1);
            }
        }
    }

    fn is_whole(&mut self, stream: &Stream<'_>) -> bool {
        let raw = stream.raw_data();
        let length = stream.dict().get::<i32>("Length").unwrap_or(0);
        // Where the length is not right, the reader takes everything up to the word «endstream».
        let short = usize::try_from(length).is_ok_and(|n| raw.len() + 2 < n);
        let filters = stream.filters();
        if filters.is_empty() {
            return !short;
        }
        let mut data = raw;
        for (n, filter) in filters.iter().enumerate() {
            let is_last = n + 1 == filters.len();
            let next = match filter {
                Filter::FlateDecode => self.inflated(&data, is_last),
                Filter::Ascii85Decode => ascii_85(&data),
                Filter::AsciiHexDecode => ascii_hex(&data),
                Filter::RunLengthDecode => self.runs(&data),
                Filter::DctDecode => return jpeg(&data),
                Filter::CcittFaxDecode => return fax(&data, stream),
                Filter::JpxDecode => return jpeg_2000(&data),
                // nothing to hold it against
                Filter::LzwDecode | Filter::Jbig2Decode | Filter::Crypt => return !short,
            };
            match next {
                Unpacked::Whole(next) => data = Cow::Owned(next),
                Unpacked::Broken => return false,
                Unpacked::TooMuch => return true,
            }
        }
        true
    }

    /// Deflate with its checksum (RFC 1950); what is unpacked is kept only where another filter
    /// follows.
    fn inflated(&mut self, data: &[u8], is_last: bool) -> Unpacked {
        let header = match data {
            [cmf, flags, ..] => {
                cmf & 0x0f == 8 && (u16::from(*cmf) << 8 | u16::from(*flags)) % 31 == 0
            }
            _ => false,
        };
        let mut engine = Decompress::new(header);
        let mut buffer = vec![0; 64 << 10];
        let mut kept = Vec::new();
        loop {
            let (read, written) = (engine.total_in(), engine.total_out());
            let rest = usize::try_from(read)
                .ok()
                .and_then(|read| data.get(read..))
                .unwrap_or_default();
            let status = engine.decompress(rest, &mut buffer, FlushDecompress::None);
            let new = usize::try_from(engine.total_out() - written).unwrap_or(usize::MAX);
            if !is_last {
                kept.extend_from_slice(buffer.get(..new).unwrap_or_default());
            }
            self.left = self.left.saturating_sub(new);
            match status {
                Ok(Status::StreamEnd) => return Unpacked::Whole(kept),
                _ if self.left == 0 => return Unpacked::TooMuch,
                Ok(_) if engine.total_in() > read || new > 0 => {}
                Ok(_) | Err(_) => return Unpacked::Broken,
            }
        }
    }

    /// Run lengths up to their end mark (section 7.4.5).
    fn runs(&mut self, data: &[u8]) -> Unpacked {
        let mut out = Vec::new();
        let mut rest = data;
        loop {
            match rest {
                [128, ..] => return Unpacked::Whole(out),
                [n @ 0..=127, tail @ ..] => {
                    let Some((run, tail)) = tail.split_at_checked(usize::from(*n) + 1) else {
                        return Unpacked::Broken;
                    };
                    out.extend_from_slice(run);
                    rest = tail;
                }
                [n, byte, tail @ ..] => {
                    out.resize(out.len() + 257 - usize::from(*n), *byte);
                    rest = tail;
                }
                _ => return Unpacked::Broken,
            }
            if out.len() > self.left {
                return Unpacked::TooMuch;
            }
        }
    }
}

/// What came of unpacking.
enum Unpacked {
    Whole(Vec<u8>),
    Broken,
    TooMuch,
}

/// Digits to the base of 85 up to `~>` (section 7.4.3).
fn ascii_85(data: &[u8]) -> Unpacked {
    let mut out = Vec::with_capacity(data.len() / 5 * 4);
    let mut group: Vec<u32> = Vec::with_capacity(5);
    let bytes = |group: &[u32]| {
        let value = (0..5).fold(0_u32, |v, n| {
            v.wrapping_mul(85)
                .wrapping_add(group.get(n).copied().unwrap_or(84))
        });
        value.to_be_bytes()
    };
    for &b in data {
        match b {
            b'~' => {
                if group.len() > 1 {
                    out.extend_from_slice(bytes(&group).get(..group.len() - 1).unwrap_or_default());
                }
                return Unpacked::Whole(out);
            }
            b'z' if group.is_empty() => out.extend_from_slice(&[0; 4]),
            b'!'..=b'u' => {
                group.push(u32::from(b - b'!'));
                if group.len() == 5 {
                    out.extend_from_slice(&bytes(&group));
                    group.clear();
                }
            }
            b if b.is_ascii_whitespace() || b == 0 => {}
            _ => return Unpacked::Broken,
        }
    }
    Unpacked::Broken
}

/// Hexadecimal digits up to `>` (section 7.4.2).
fn ascii_hex(data: &[u8]) -> Unpacked {
    let mut out = Vec::with_capacity(data.len() / 2);
    let mut high: Option<u32> = None;
    let byte = |v: u32| u8::try_from(v).unwrap_or_default();
    for &b in data {
        match (b, char::from(b).to_digit(16)) {
            (b'>', _) => {
                out.extend(high.map(|h| byte(h << 4)));
                return Unpacked::Whole(out);
            }
            (_, Some(digit)) => match high.take() {
                Some(h) => out.push(byte(h << 4 | digit)),
                None => high = Some(digit),
            },
            (b, None) if b.is_ascii_whitespace() || b == 0 => {}
            _ => return Unpacked::Broken,
        }
    }
    Unpacked::Broken
}

#[cfg(feature = "ocr")]
fn jpeg(data: &[u8]) -> bool {
    super::whole::jpeg(data)
}

#[cfg(not(feature = "ocr"))]
const fn jpeg(_: &[u8]) -> bool {
    true
}

/// The end mark of the code stream (ITU-T T.800, annex A).
fn jpeg_2000(data: &[u8]) -> bool {
    let tail = data.get(data.len().saturating_sub(16)..).unwrap_or(data);
    tail.windows(2).any(|w| w == [0xff, 0xd9])
}

#[cfg(feature = "ocr")]
fn fax(data: &[u8], stream: &Stream<'_>) -> bool {
    use hayro_ccitt::{DecodeSettings, Decoder, EncodingMode};
    struct Nothing;
    impl Decoder for Nothing {
        fn push_row(&mut self, _: &[u32]) {}
    }
    let dict = stream.dict();
    let parameters = dict
        .get::<Dict<'_>>("DecodeParms")
        .or_else(|| {
            dict.get::<Array<'_>>("DecodeParms")?
                .iter::<Dict<'_>>()
                .last()
        })
        .unwrap_or_default();
    let number = |dict: &Dict<'_>, key| dict.get::<i32>(key).and_then(|n| u32::try_from(n).ok());
    let k = parameters.get::<i32>("K").unwrap_or(0);
    let flag = |key, usual| parameters.get::<bool>(key).unwrap_or(usual);
    let settings = DecodeSettings {
        columns: number(&parameters, "Columns").unwrap_or(1728),
        rows: number(dict, "Height")
            .or_else(|| number(&parameters, "Rows"))
            .unwrap_or(0),
        end_of_block: flag("EndOfBlock", true),
        end_of_line: flag("EndOfLine", false),
        rows_are_byte_aligned: flag("EncodedByteAlign", false),
        encoding: match k {
            ..0 => EncodingMode::Group4,
            0 => EncodingMode::Group3_1D,
            _ => EncodingMode::Group3_2D,
        },
        strict: false,
    };
    super::whole::fax(data, settings, &mut Nothing)
}

#[cfg(not(feature = "ocr"))]
const fn fax(_: &[u8], _: &Stream<'_>) -> bool {
    true
}

#[cfg(test)]
mod tests {
    use super::*;

    fn look() -> Look {
        Look {
            left: BUDGET,
            seen: BTreeSet::new(),
            pictures: true,
            whole: Whole {
                words: true,
                pictures: true,
            },
        }
    }

    fn out(unpacked: Unpacked) -> Option<Vec<u8>> {
        match unpacked {
            Unpacked::Whole(bytes) => Some(bytes),
            Unpacked::Broken | Unpacked::TooMuch => None,
        }
    }

    #[test]
    fn filters_know_their_end() {
        assert_eq!(
            out(ascii_85(b"87cURD]i,\"Ebo80~>")),
            Some(b"Hello World!".to_vec())
        );
        assert_eq!(out(ascii_85(b"87cURD]i,\"Ebo80")), None);
        assert_eq!(out(ascii_hex(b"6D 61 79>")), Some(b"may".to_vec()));
        assert_eq!(out(ascii_hex(b"6D61")), None);
        assert_eq!(
            out(look().runs(&[2, b'm', b'a', b'y', 254, b'.', 128])),
            Some(b"may...".to_vec())
        );
        assert_eq!(out(look().runs(&[2, b'm', b'a', b'y'])), None);
    }

    #[test]
    fn a_checksum_that_does_not_fit_is_seen() {
        use std::io::Write as _;
        let mut packer = flate2::write::ZlibEncoder::new(Vec::new(), flate2::Compression::best());
        let words = b"No person may operate this aircraft. ".repeat(50);
        packer.write_all(&words).expect("memory");
        let packed = packer.finish().expect("memory");
        assert_eq!(out(look().inflated(&packed, false)), Some(words));
        for n in 1..packed.len() {
            assert!(out(look().inflated(&packed[..n], true)).is_none(), "{n}");
        }
        let mut spoilt = packed.clone();
        let last = spoilt.len() - 1;
        spoilt[last] ^= 1;
        assert!(out(look().inflated(&spoilt, true)).is_none());
    }

    /// PDFs of many makers, and scans of every kind of picture.
    #[test]
    fn sound_files_are_whole() {
        let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
        let mut looked = 0;
        for folder in ["samples", "samples/scans", "tests/outside/data/read"] {
            for entry in std::fs::read_dir(root.join(folder)).expect("a folder") {
                let path = entry.expect("a file").path();
                if path.extension().is_none_or(|e| e != "pdf") {
                    continue;
                }
                let bytes = std::fs::read(&path).expect("it is there");
                assert!(has_end(&bytes), "{}", path.display());
                let Ok(pdf) = Pdf::new(bytes) else {
                    continue; // it needs a password
                };
                assert!(has_all_pages(&pdf), "{}", path.display());
                for page in pdf.pages().iter() {
                    looked += 1;
                    let whole = of_page(page, true);
                    assert!(
                        whole.words && whole.pictures,
                        "{}: {whole:?}",
                        path.display()
                    );
                }
            }
        }
        assert!(looked > 30, "{looked}");
    }

    #[test]
    fn a_file_ends_behind_its_last_object() {
        assert!(has_end(
            b"1 0 obj\nendobj\ntrailer\nstartxref\n9\n%%EOF\n<html>"
        ));
        assert!(!has_end(b"%%EOF\n1 0 obj\nendobj\n"));
        assert!(!has_end(b"1 0 obj\nendobj\n"));
    }
}
