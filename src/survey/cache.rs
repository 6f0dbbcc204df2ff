//! OCR results kept in a folder, if that is asked for: reading a scan takes seconds, and nothing
//! about it changes until the file or the reader does.
//!
//! A file of the folder is named by the SHA-256 of the letter's bytes and the version of the
//! reader, and only its owner may read it: it holds the text of a letter.

use std::io::Write as _;
use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use super::private;
use crate::model::{Anchor, Doubt, Furniture, Place, ReadAs, ReadNote, Source, Span, Text};

/// Raised whenever the form of the files changes.
const FORM: u32 = 3;

/// The largest file of the folder that is believed.
const MOST: u64 = 64 << 20;

/// A folder of results.
#[derive(Clone, Debug)]
pub struct Cache {
    folder: PathBuf,
    /// What the reading depends on beside the file: its limits, its engine.
    reader: String,
}

#[derive(Serialize, Deserialize)]
struct Kept {
    form: u32,
    sha256: String,
    reader: String,
    pages: u32,
    image: bool,
    content: String,
    anchors: Vec<(usize, u32, u32)>,
    doubts: Vec<(usize, usize, f32, Option<String>)>,
    ocr: Vec<(usize, usize)>,
    furniture: Vec<(String, u32, u32)>,
    notes: Vec<ReadNote>,
}

impl Cache {
    /// Opens a folder, and makes it where there is none.
    ///
    /// # Errors
    /// Where it cannot be made, or others can write to it: what it holds is believed.
    pub fn open(folder: &Path, reader: &str) -> std::io::Result<Self> {
        private::folder(folder)?;
        Ok(Self {
            folder: folder.to_owned(),
            reader: format!("{} {reader}", env!("CARGO_PKG_VERSION")),
        })
    }

    fn path(&self, sha256: &str) -> PathBuf {
        let reader = crate::read::digest(self.reader.as_bytes());
        self.folder.join(format!("{sha256}-{}.json", &reader[..16]))
    }

    /// The result for a file; `None` where none is kept, or where it is damaged.
    #[must_use]
    pub fn get(&self, name: &str, sha256: &str) -> Option<Text> {
        use std::io::Read as _;
        let mut bytes = Vec::new();
        private::readable(&self.path(sha256))
            .ok()?
            .take(MOST)
            .read_to_end(&mut bytes)
            .ok()?;
        let kept: Kept = serde_json::from_slice(&bytes).ok()?;
        if kept.form != FORM || kept.sha256 != sha256 || kept.reader != self.reader {
            return None;
        }
        let fits = |at: usize| kept.content.is_char_boundary(at);
        if !kept.anchors.iter().all(|a| fits(a.0))
            || !kept.doubts.iter().all(|d| fits(d.0) && fits(d.1))
            || !kept.ocr.iter().all(|o| fits(o.0) && fits(o.1))
        {
            return None;
        }
        Some(Text {
            pictures: Vec::new(),
            seen: Vec::new(),
            sources: vec![Source {
                name: name.to_owned(),
                sha256: kept.sha256,
                pages: kept.pages,
                read_as: if kept.image {
                    ReadAs::Image
                } else {
                    ReadAs::PdfScan
                },
            }],
            content: kept.content,
            anchors: kept
                .anchors
                .into_iter()
                .map(|(at, page, line)| Anchor {
                    at,
                    source: 0,
                    page,
                    line,
                })
                .collect(),
            doubts: kept
                .doubts
                .into_iter()
                .map(|(start, end, confidence, meant)| Doubt {
                    span: Span::new(start, end),
                    confidence,
                    meant,
                })
                .collect(),
            ocr: kept
                .ocr
                .into_iter()
                .map(|(start, end)| Span::new(start, end))
                .collect(),
            furniture: kept
                .furniture
                .into_iter()
                .map(|(text, page, line)| Furniture {
                    text,
                    place: Place {
                        source: 0,
                        page,
                        line,
                    },
                })
                .collect(),
            notes: kept.notes,
        })
    }

    /// Keeps a result, if it comes from OCR. That it could not be kept is no reason to stop: then
    /// the file is read again next time.
    pub fn keep(&self, text: &Text) {
        let [source] = text.sources.as_slice() else {
            return;
        };
        let image = match source.read_as {
            ReadAs::PdfScan => false,
            ReadAs::Image => true,
            ReadAs::PdfText | ReadAs::Text | ReadAs::Docx => return,
        };
        let kept = Kept {
            form: FORM,
            sha256: source.sha256.clone(),
            reader: self.reader.clone(),
            pages: source.pages,
            image,
            content: text.content.clone(),
            anchors: text
                .anchors
                .iter()
                .map(|a| (a.at, a.page, a.line))
                .collect(),
            doubts: text
                .doubts
                .iter()
                .map(|d| {
                    let Doubt {
                        span,
                        confidence,
                        meant,
                    } = d.clone();
                    (span.start, span.end, confidence, meant)
                })
                .collect(),
            ocr: text.ocr.iter().map(|o| (o.start, o.end)).collect(),
            furniture: text
                .furniture
                .iter()
                .map(|f| (f.text.clone(), f.place.page, f.place.line))
                .collect(),
            notes: text.notes.clone(),
        };
        let _ = self.write(&source.sha256, &kept);
    }

    fn write(&self, sha256: &str, kept: &Kept) -> std::io::Result<()> {
        // A temporary file is for its owner only, and it stays so under its name.
        let mut file = tempfile::Builder::new()
            .prefix(".whomay-")
            .tempfile_in(&self.folder)?;
        serde_json::to_writer(&mut file, kept)?;
        file.flush()?;
        file.persist(self.path(sha256)).map_err(|e| e.error)?;
        Ok(())
    }
}
