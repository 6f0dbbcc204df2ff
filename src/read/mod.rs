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

mod chars;
mod columns;
mod docx;
#[cfg(feature = "ocr")]
mod entropy;
mod error;
mod first;
mod furniture;
mod ink;
mod isolate;
mod judge;
mod layout;
mod limits;
mod normalize;
#[cfg(feature = "ocr")]
mod ocr;
mod order;
mod page;
mod pdf;
mod plain;
mod post_correction;
mod program;
mod second;
mod segment;
mod source;
mod stint;
mod strange;
mod streams;
#[cfg(feature = "ocr")]
mod whole;
pub mod worker;

use std::path::Path;
use std::sync::Arc;

use crate::model::{
    FileNote, Furniture, PageNote, PageOf, Picture, Place, ReadAs, ReadNote, Source, Text,
};

pub(crate) use chars::capital;
pub use error::ReadError;
pub(crate) use error::{BY_OCR_PROGRAM, gave_up};
pub use limits::{Limits, Ocr, Progress, Stop};
#[cfg(feature = "ocr")]
pub(crate) use ocr::first_page;
pub use post_correction::{Said, correct, said};

use isolate::{End, Outcome};
use normalize::CleanPage;
use page::{Line, Page};

/// Reads the files of one letter; `-` is standard input. Names need not be Unicode.
///
/// # Errors
/// [`ReadError`] where a file cannot be opened, is no text or PDF, needs a password or holds no text.
pub fn read(files: &[impl AsRef<Path>], limits: &Limits) -> Result<Text, ReadError> {
    let opened = files.iter().map(|path| source::open(path.as_ref(), limits));
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

/// The bytes of a file, or of standard input for `-`, within the limit.
///
/// # Errors
/// Where it cannot be opened, is empty or too large.
pub fn bytes(path: &Path, limits: &Limits) -> Result<Vec<u8>, ReadError> {
    source::open(path, limits).map(|file| file.bytes)
}

/// The bytes of the file at a path; `name` is what it is called.
///
/// # Errors
/// As [`bytes`].
pub fn bytes_at(path: &Path, name: &str, limits: &Limits) -> Result<Vec<u8>, ReadError> {
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
    let mut clean_pages: Vec<CleanPage> = Vec::new();
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
                note.file = Some(source::shown(name));
            }
        }
        text.notes.extend(notes);
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
                    text: chars::clean(words),
                    place: Place {
                        source: index,
                        page: page.number,
                        line: 0,
                    },
                }));
            clean_pages.push(CleanPage {
                source: index,
                page: page.number,
                lines: normalize::clean_lines(page.lines),
                furniture: Vec::new(),
                ocr: page.census.ocr,
            });
        }
    }
    // The pages of one file are in its order; pages of pictures were put together by hand.
    if several || clean_pages.iter().all(|l| l.ocr) {
        put_in_order(&mut clean_pages, &mut text);
    }
    let lines: Vec<&[Line]> = clean_pages.iter().map(|l| l.lines.as_slice()).collect();
    let mut furniture = furniture::find(&lines);
    if furniture.iter().flatten().all(|&taken| taken) {
        // the same words on every page and nothing else: they are the text
        furniture.iter_mut().flatten().for_each(|f| *f = false);
    }
    for (page, furniture) in clean_pages.iter_mut().zip(furniture) {
        page.furniture = furniture;
    }
    normalize::write(&clean_pages, limits.characters, &mut text);
    Ok(text)
}

/// Puts pages in the order of their numbers and says so.
fn put_in_order(clean_pages: &mut Vec<CleanPage>, text: &mut Text) {
    let Some(by) = order::sort(clean_pages) else {
        return;
    };
    let page_of = |page: &CleanPage| {
        let source = text.sources.get(usize::from(page.source));
        PageOf {
            file: source.map_or_else(String::new, |s| source::shown(&s.name)),
            page: source.filter(|s| s.pages > 1).map(|_| page.page),
        }
    };
    let pages = clean_pages.iter().map(page_of).collect();
    let note = FileNote::PutInOrder { by, pages };
    text.notes.push(ReadNote::file_note(note));
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
) -> Result<(Source, Vec<ReadNote>, Vec<Page>), ReadError> {
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
fn plain_text(bytes: &[u8], limits: &Limits) -> Result<(Vec<Page>, u32, Vec<ReadNote>), String> {
    let decoded = plain::decode(bytes)
        .ok_or("is neither text nor PDF; hand over the letter as PDF or as plain text")?;
    if decoded.text.trim().is_empty() {
        return Err("holds nothing but blanks; copy or download it again".into());
    }
    let mut notes = Vec::new();
    if decoded.guessed {
        notes.push(ReadNote::file_note(FileNote::Windows1252));
    }
    if decoded.damaged {
        notes.push(ReadNote::file_note(FileNote::BytesLost));
    }
    let (most, characters) = (limits.pages, limits.characters);
    let plain::Pages { pages, total, cut } = plain::pages(&decoded.text, most, characters);
    if total > most {
        notes.push(ReadNote::file_note(FileNote::PagesLimit {
            total,
            read: most,
            plain: true,
        }));
    }
    if cut {
        let last = pages.last().map_or(1, |p| p.number);
        let note = PageNote::CharactersLimit {
            read: characters,
            most: characters,
        };
        notes.push(ReadNote::page_note(last, note));
    }
    Ok((pages, total, notes))
}
