//! Files → Text.
//!
//! ```text
//! file ─source─▶ bytes ┬─plain──────────────────────────▶ pages ─furniture─▶ ─normalize─▶ Text
//!                      ├─docx ─isolate─▶ worker────────▶
//!                      └─pdf ─isolate─▶ worker ┬─first ──▶ layout
//!                                              └─second
//! ```
//!
//! A PDF is read twice, by two independent engines, each in a process of its own under limits of
//! time and memory; see [`worker`]. A word processor's file is read there, too. Text is only decoded.

mod columns;
mod docx;
mod first;
mod furniture;
mod ink;
mod isolate;
mod judge;
mod layout;
mod letters;
mod normalize;
#[cfg(feature = "ocr")]
mod ocr;
mod order;
mod page;
mod pdf;
mod plain;
mod second;
mod slips;
mod source;
mod strange;
mod streams;
#[cfg(feature = "ocr")]
mod whole;
pub mod worker;

use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use crate::model::{Furniture, Note, Picture, Place, ReadAs, Source, Text};

pub(crate) use letters::capital;
pub use slips::{Said, mend, said};

use isolate::{End, Outcome};
use normalize::Leaf;
use page::{Line, Page};

/// What reads pictures of paper: scans, photos.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum Ocr {
    /// The models in this program (if it was built with the feature `ocr`).
    #[default]
    BuiltIn,
    /// Other models of the same kind: a folder with `detector.onnx`, `recognizer.onnx` and
    /// `characters.txt`.
    Models(String),
    /// The executable `tesseract`.
    Tesseract,
    /// Nothing: scans are said to be scans.
    Off,
}

/// Called while pictures are read: pages read, pages to read.
#[derive(Clone)]
pub struct Progress(Arc<dyn Fn(u32, u32) + Send + Sync>);

impl Progress {
    /// Tells this function.
    pub fn new(tell: impl Fn(u32, u32) + Send + Sync + 'static) -> Self {
        Self(Arc::new(tell))
    }

    fn tell(&self, done: u32, all: u32) {
        (self.0)(done, all);
    }
}

impl std::fmt::Debug for Progress {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Progress")
    }
}

/// Tells a reading that nobody waits for it any more.
#[derive(Clone, Debug, Default)]
pub struct Stop(Arc<AtomicBool>);

impl Stop {
    /// Stops what listens: worker processes end at once, the rest at the next file.
    pub fn stop(&self) {
        self.0.store(true, Ordering::Relaxed);
    }

    /// Whether it was stopped.
    #[must_use]
    pub fn is_set(&self) -> bool {
        self.0.load(Ordering::Relaxed)
    }
}

/// How much is read before a limit stops it, and where.
#[derive(Clone, Debug)]
pub struct Limits {
    /// Bytes of one file.
    pub bytes: u64,
    /// Pages of one file.
    pub pages: u32,
    /// Characters of the whole letter.
    pub characters: usize,
    /// Seconds for the first page of a PDF, and one more for each further page. A reader that
    /// says nothing for so long is stopped, too.
    pub seconds: u64,
    /// Address space of each process that reads a PDF, in bytes; one that reads pictures has
    /// [`Limits::MEMORY_OF_A_PAGE`] more for each page that it reads at once.
    pub memory: u64,
    /// What reads pictures.
    pub ocr: Ocr,
    /// Seconds for one page by OCR; a page that takes longer is reported as unread.
    pub ocr_seconds: u64,
    /// Told how far the reading of pictures is.
    pub progress: Option<Progress>,
    /// Ends the reading before its time.
    pub stop: Option<Stop>,
    /// Columns of the pictures that are kept of pages read by OCR; 0 keeps none.
    pub pictures: u32,
    /// The executable that answers [`worker::COMMAND`], to read PDFs in: this program itself.
    ///
    /// By default what [`worker::enable`] found; `None` for a library used by another program.
    /// Then PDFs are read in this process, once instead of twice, and `memory` does not bind.
    pub worker: Option<PathBuf>,
}

impl Limits {
    /// Bytes for one page that is read by OCR: its picture in color, and what the models hold.
    pub const MEMORY_OF_A_PAGE: u64 = 256 << 20;

    fn stopped(&self) -> bool {
        self.stop.as_ref().is_some_and(Stop::is_set)
    }
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            bytes: 100 << 20,
            pages: 200,
            characters: 4_000_000,
            seconds: 8,
            memory: 1000 << 20,
            ocr: Ocr::BuiltIn,
            ocr_seconds: 120,
            progress: None,
            stop: None,
            pictures: 0,
            worker: worker::executable(),
        }
    }
}

/// A file that could not be read; the message names file, place and remedy.
#[derive(Debug, thiserror::Error)]
#[error("{file}: {message}")]
pub struct ReadError {
    /// As the user typed it.
    pub file: String,
    /// What is wrong and what to do.
    pub message: String,
}

/// Reads the files of one letter; `-` is standard input.
///
/// # Errors
/// [`ReadError`] where a file cannot be opened, is no text or PDF, needs a password or holds no text.
pub fn read(files: &[String], limits: &Limits) -> Result<Text, ReadError> {
    let opened = files.iter().map(|name| source::open(name, limits));
    read_all(opened, files.len() > 1, limits)
}

/// Reads the files of one letter that are held in memory, each with its name.
///
/// # Errors
/// As [`read`].
pub fn read_held(files: Vec<(String, Vec<u8>)>, limits: &Limits) -> Result<Text, ReadError> {
    let several = files.len() > 1;
    let held = files
        .into_iter()
        .map(|(name, bytes)| source::given(&name, bytes, limits));
    read_all(held, several, limits)
}

/// Reads a letter that is held in memory, such as a file of an archive.
///
/// # Errors
/// As [`read`].
pub fn read_bytes(name: &str, bytes: Vec<u8>, limits: &Limits) -> Result<Text, ReadError> {
    let given = source::given(name, bytes, limits);
    read_all(std::iter::once(given), false, limits)
}

/// The bytes of a file, within the limit.
///
/// # Errors
/// Where it cannot be opened, is empty or too large.
pub fn bytes(name: &str, limits: &Limits) -> Result<Vec<u8>, ReadError> {
    source::open(name, limits).map(|file| file.bytes)
}

/// The bytes of the file at a path, which may be no UTF-8; `name` is what it is called.
///
/// # Errors
/// As [`bytes`].
pub fn bytes_at(path: &std::path::Path, name: &str, limits: &Limits) -> Result<Vec<u8>, ReadError> {
    source::open_at(path, name, limits).map(|file| file.bytes)
}

/// The SHA-256 of a file's bytes, lower-case hexadecimal, as [`Source::sha256`] has it.
#[must_use]
pub fn digest(bytes: &[u8]) -> String {
    source::digest(bytes)
}

fn read_all(
    files: impl Iterator<Item = Result<source::File, ReadError>>,
    several: bool,
    limits: &Limits,
) -> Result<Text, ReadError> {
    let mut text = Text::default();
    let mut leaves: Vec<Leaf> = Vec::new();
    for file in files {
        let file = file?;
        if limits.stopped() {
            return Err(ReadError {
                file: source::shown(&file.name),
                message: "was not read: the reading was stopped".into(),
            });
        }
        let name = file.name.clone();
        let name = name.as_str();
        let index = u16::try_from(text.sources.len()).map_err(|_| ReadError {
            file: source::shown(name),
            message: "is one file too many; a letter has a few".into(),
        })?;
        let (source, mut notes, pages) = read_file(file, limits)?;
        if several {
            // a page number alone does not say of which file
            for note in &mut notes {
                note.message = format!("{}: {}", source::shown(name), note.message);
            }
        }
        text.notes.extend(notes);
        let reason = match source.read_as {
            ReadAs::PdfText => "the file does not tell which character this is",
            ReadAs::PdfScan | ReadAs::Image => "read by OCR with less than full confidence",
            ReadAs::Text => "a byte of the file is no character",
            ReadAs::Docx => "a sign of a font of signs; only the font knows which",
        };
        text.sources.push(source);
        for page in pages {
            text.pictures.extend(page.picture.map(|p| Picture {
                source: index,
                page: page.number,
                width: p.width,
                height: p.height,
                jpeg: p.jpeg.into(),
            }));
            text.furniture
                .extend(page.aside.iter().map(|words| Furniture {
                    text: letters::clean(words),
                    place: Place {
                        source: index,
                        page: page.number,
                        line: 0,
                    },
                }));
            leaves.push(Leaf {
                source: index,
                page: page.number,
                lines: normalize::clean_lines(page.lines),
                furniture: Vec::new(),
                reason,
                ocr: page.census.ocr,
            });
        }
    }
    // The pages of one file are in its order; pages of pictures were put together by hand.
    if several || leaves.iter().all(|l| l.ocr) {
        put_in_order(&mut leaves, &mut text);
    }
    let lines: Vec<&[Line]> = leaves.iter().map(|l| l.lines.as_slice()).collect();
    let mut furniture = furniture::find(&lines);
    if furniture.iter().flatten().all(|&taken| taken) {
        // the same words on every page and nothing else: they are the text
        furniture.iter_mut().flatten().for_each(|f| *f = false);
    }
    for (leaf, furniture) in leaves.iter_mut().zip(furniture) {
        leaf.furniture = furniture;
    }
    normalize::write(&leaves, limits.characters, &mut text);
    Ok(text)
}

/// Puts pages in the order of their numbers and says so.
fn put_in_order(leaves: &mut Vec<Leaf>, text: &mut Text) {
    let Some(by) = order::sort(leaves) else {
        return;
    };
    let name = |leaf: &Leaf| match text.sources.get(usize::from(leaf.source)) {
        Some(s) if s.pages > 1 => format!("{} page {}", source::shown(&s.name), leaf.page),
        Some(s) => source::shown(&s.name),
        None => String::new(),
    };
    let names: Vec<String> = leaves.iter().map(name).collect();
    text.notes.push(Note {
        id: "pages-put-in-order".into(),
        message: format!(
            "The pages were handed in out of order and were put in the order of their {}: {}.",
            match by {
                order::By::Pages => "page numbers",
                order::By::Clauses => "clause numbers",
            },
            names.join(", ")
        ),
        page: None,
    });
}

/// Reads a word processor's file; an error says what is wrong and what to do.
fn packed(file: source::File, limits: &Limits) -> Result<Outcome, String> {
    let read = isolate::packed(&Arc::new(file.bytes), limits);
    if let Some(why) = read.refused {
        return Err(why);
    }
    match read.end {
        End::Done => Ok(read),
        End::Failed(_) => Err(
            "is a ZIP archive or an office file of an unknown kind; open it in the program that \
             made it and save it as PDF (an archive of letters goes to `whomay survey`)"
                .into(),
        ),
        End::TooLong | End::Broken | End::NotTried => Err(
            "cannot be read: it takes more time or memory than any letter; open it in the program \
             that made it and save it as PDF"
                .into(),
        ),
    }
}

/// Reads one file into pages.
fn read_file(
    file: source::File,
    limits: &Limits,
) -> Result<(Source, Vec<Note>, Vec<Page>), ReadError> {
    let name = file.name.clone();
    let mut source = Source {
        name: file.name.clone(),
        sha256: file.sha256(),
        pages: 1,
        read_as: ReadAs::Text,
    };
    let error = |message: String| ReadError {
        file: source::shown(&name),
        message,
    };
    match source::form(&file.bytes) {
        source::Form::Pdf => {
            let pdf = pdf::read(file, limits)?;
            source.pages = pdf.total;
            source.read_as = if pdf.ocr {
                ReadAs::PdfScan
            } else {
                ReadAs::PdfText
            };
            Ok((source, pdf.notes, pdf.pages))
        }
        source::Form::Picture(what) => {
            let pdf = pdf::picture(file, what, limits)?;
            source.pages = pdf.total;
            source.read_as = ReadAs::Image;
            Ok((source, pdf.notes, pdf.pages))
        }
        source::Form::Packed => {
            let read = packed(file, limits).map_err(error)?;
            source.pages = read.total;
            source.read_as = ReadAs::Docx;
            Ok((source, read.notes, read.pages))
        }
        source::Form::Other(what, remedy) => Err(error(format!("is {what}; {remedy}"))),
        source::Form::Maybe => {
            let (pages, total, notes) = plain_text(&file.bytes, limits).map_err(error)?;
            source.pages = total;
            Ok((source, notes, pages))
        }
    }
}

/// The pages of a plain text within the limit, how many there are, and what has to be said.
fn plain_text(bytes: &[u8], limits: &Limits) -> Result<(Vec<Page>, u32, Vec<Note>), String> {
    let decoded = plain::decode(bytes)
        .ok_or("is neither text nor PDF; hand over the letter as PDF or as plain text")?;
    if decoded.text.trim().is_empty() {
        return Err("holds nothing but blanks; copy or download it again".into());
    }
    let mut notes = Vec::new();
    if decoded.guessed {
        notes.push(Note {
            id: "windows-1252".into(),
            message: "The text is no UTF-8; it was read as Windows-1252. Where signs such as § look wrong, save it as UTF-8.".into(),
            page: None,
        });
    }
    if decoded.damaged {
        notes.push(Note {
            id: "bytes-lost".into(),
            message:
                "Some bytes of the text are no characters; words with one of them are doubtful."
                    .into(),
            page: None,
        });
    }
    let mut pages = plain::pages(&decoded.text);
    let total = pages.last().map_or(1, |p| p.number);
    if total > limits.pages {
        pages.retain(|p| p.number <= limits.pages);
        notes.push(Note {
            id: "pages-limit".into(),
            message: format!(
                "The text has {total} pages, the first {} were read: that is the limit.",
                limits.pages
            ),
            page: None,
        });
    }
    Ok((pages, total, notes))
}
