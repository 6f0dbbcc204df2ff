//! A PDF → pages: both readings, the better of them for each page, and what has to be said.

use std::sync::Arc;

use super::error::{BY_OCR_PROGRAM, gave_up};
use super::isolate::{self, End, Outcome};
use super::judge::{self, Kind};
use super::page::{Fault, Page};
use super::source::{File, shown};
use super::stint::Failure;
use super::{Limits, Ocr, ReadError};
use crate::model::{Counted, FileNote, GaveUp, OneReading, PageNote, ReadNote, Torn};
use crate::text::file_name;

/// The pages of a PDF with notes on them.
#[derive(Debug)]
pub(super) struct Pdf {
    pub(super) pages: Vec<Page>,
    /// Pages that the file has.
    pub(super) total: u32,
    pub(super) notes: Vec<ReadNote>,
    /// Whether words of some page were read by OCR.
    pub(super) ocr: bool,
}

/// Reads a PDF.
pub(super) fn read(file: File, limits: &Limits) -> Result<Pdf, ReadError> {
    let error = |message: String| ReadError {
        file: shown(&file.name),
        message,
    };
    let bytes = Arc::new(file.bytes);
    let (first, second) = isolate::both(&bytes, limits);
    if first.end == End::Failed(Failure::Password) {
        return Err(error(
            "the PDF opens only with a password; open it with the password and print or save it as a PDF without one".into(),
        ));
    }
    let speechless = |p: &Page| p.lines.is_empty();
    if first.pages.is_empty() && second.pages.iter().all(speechless) {
        return Err(error(nothing(&first, limits)));
    }
    let total = first.total.max(second.total);
    let wanted: Vec<(u32, f32)> = first
        .pages
        .iter()
        .filter(|p| !matches!(judge::kind(p), Kind::Text | Kind::HiddenLayer | Kind::Empty))
        .map(|p| (p.number, p.census.dpi))
        .collect();
    let by_ocr = if wanted.is_empty() {
        Outcome::default()
    } else {
        isolate::ocr(&bytes, &wanted, limits)
    };
    if by_ocr.end == End::Failed(Failure::NoEngine) {
        return Err(error(no_engine(limits)));
    }
    let readings = Readings {
        first,
        second,
        by_ocr,
        limits,
    };
    let mut chosen = Chosen::default();
    for number in 1..=total.min(limits.pages) {
        chosen.page(number, &readings);
    }
    let wordless = |p: &Page| !p.words().chars().any(char::is_alphanumeric);
    if chosen.pages.iter().all(wordless) {
        return Err(error(
            readings.without_words(chosen.scans, chosen.pages.len()),
        ));
    }
    let Readings { first, second, .. } = readings;
    let mut notes = chosen.notes;
    endings(&first, &second, total, &chosen.unread, limits, &mut notes);
    if !chosen.unchecked.is_empty() && second.end != End::NotTried {
        let pages = OneReading::Of(chosen.unchecked);
        notes.push(ReadNote::file_note(FileNote::OneReading(pages)));
    }
    Ok(Pdf {
        pages: chosen.pages,
        total,
        notes,
        ocr: chosen.ocr,
    })
}

/// What each of the readers made of a file.
struct Readings<'a> {
    first: Outcome,
    second: Outcome,
    by_ocr: Outcome,
    limits: &'a Limits,
}

impl Readings<'_> {
    /// The page as the second engine reads it, where that one copes with what the first does not: a
    /// damaged table of characters or a broken page.
    fn better(&self, page: &Page) -> Option<&Page> {
        let usable =
            matches!(judge::kind(page), Kind::Text | Kind::HiddenLayer) && !page.lines.is_empty();
        if usable || self.seen(page.number).is_some() {
            return None;
        }
        page_of(&self.second, page.number).filter(|other| {
            !other.lines.is_empty()
                && !judge::garbled(&Page {
                    census: super::page::Census::default(),
                    ..(*other).clone()
                })
                && other.words().len() > 40
        })
    }

    /// The page as OCR reads it, where it read words.
    fn seen(&self, number: u32) -> Option<&Page> {
        self.by_ocr
            .pages
            .iter()
            .find(|p| p.number == number && is_read(p))
    }

    /// Whether the second reading can be held against the first.
    fn second_works(&self) -> bool {
        self.second.end == End::Done || self.second.pages.iter().any(|p| !p.lines.is_empty())
    }

    /// Why no page has a word: `scans` of `count` pages are pictures.
    fn without_words(&self, scans: u32, count: usize) -> String {
        let by_ocr = &self.by_ocr;
        let given_up = by_ocr.pages.iter().find_map(|p| Some((p.number, p.fault?)));
        match scans {
            0 => nothing(&self.first, self.limits),
            _ if by_ocr.end == End::Broken && by_ocr.pages.is_empty() => {
                format!(
                    "its pages are scans, and the reader of scans broke down on them; {BY_OCR_PROGRAM}"
                )
            }
            _ if given_up.is_some() => given_up.map_or_else(String::new, |(number, fault)| {
                gave_up(number, why(fault, self.limits))
            }),
            _ if by_ocr.end == End::Done => {
                format!(
                    "its pages are pictures in which no words were found; scan the paper again, flat and in good light, or {BY_OCR_PROGRAM}"
                )
            }
            _ if usize::try_from(scans).is_ok_and(|s| s == count) && count == 1 => {
                format!(
                    "the page is a scan: a picture of paper without words in it; {BY_OCR_PROGRAM}"
                )
            }
            _ => format!(
                "{scans} of {count} pages are scans, pictures of paper without words in them, and the others hold no text; {BY_OCR_PROGRAM}"
            ),
        }
    }
}

/// The page of this number.
fn page_of(reading: &Outcome, number: u32) -> Option<&Page> {
    reading.pages.iter().find(|p| p.number == number)
}

/// The reading chosen for each page, and what has to be said of it.
#[derive(Default)]
struct Chosen {
    pages: Vec<Page>,
    notes: Vec<ReadNote>,
    /// Pages that no engine read.
    unread: Vec<u32>,
    /// Pages that the second engine could not follow.
    unchecked: Vec<u32>,
    /// How many are pictures without words.
    scans: u32,
    /// Whether words of some page were read by OCR.
    ocr: bool,
}

impl Chosen {
    fn note(&mut self, page: u32, note: PageNote) {
        self.notes.push(ReadNote::page_note(page, note));
    }

    /// Chooses the reading of a page.
    fn page(&mut self, number: u32, readings: &Readings<'_>) {
        let Some(page) = page_of(&readings.first, number) else {
            match page_of(&readings.second, number).filter(|p| !p.lines.is_empty()) {
                Some(other) => self.pages.push(replaced(other, None, &mut self.notes)),
                None => self.unread.push(number),
            }
            return;
        };
        if page.fault == Some(Fault::Cut) {
            self.note(number, PageNote::BreaksOff(Torn::Content));
        }
        if let Some(other) = readings.better(page) {
            self.pages
                .push(replaced(other, Some(page), &mut self.notes));
        } else if let Some(seen) = readings.seen(number) {
            self.by_ocr(page, seen);
        } else {
            self.first(page.clone(), readings);
        }
    }

    /// Takes a page as OCR read it.
    fn by_ocr(&mut self, page: &Page, seen: &Page) {
        self.ocr = true;
        self.note(page.number, PageNote::ByOcr);
        if page.census.picture_cut {
            self.note(page.number, PageNote::BreaksOff(Torn::Picture));
        }
        self.pages.push(Page {
            aside: page.aside.clone(),
            ..seen.clone()
        });
    }

    /// Takes a page as the first engine read it, held against the second.
    fn first(&mut self, mut page: Page, readings: &Readings<'_>) {
        let number = page.number;
        let kind = judge::kind(&page);
        match page_of(&readings.by_ocr, number) {
            // OCR looked at the picture: what it says holds
            Some(tried) if matches!(kind, Kind::Scan | Kind::Drawn) => {
                let note = match tried.fault {
                    Some(fault) => PageNote::GivenUp(why(fault, readings.limits)),
                    None => PageNote::WithoutWords,
                };
                self.note(number, note);
            }
            tried => {
                describe(&page, kind, &mut self.notes);
                if let Some(fault) = tried.and_then(|p| p.fault) {
                    self.note(number, PageNote::GivenUp(why(fault, readings.limits)));
                }
            }
        }
        match kind {
            Kind::Scan | Kind::Drawn => {
                self.scans += 1;
                page.lines.clear();
            }
            Kind::Text | Kind::HiddenLayer | Kind::Garbled => {
                if readings.second_works() {
                    let other = page_of(&readings.second, number);
                    compare(&page, other, &mut self.unchecked, &mut self.notes);
                }
            }
            Kind::Empty => {}
        }
        self.pages.push(page);
    }
}

/// The engine that was asked for is not there.
fn no_engine(limits: &Limits) -> String {
    match &limits.ocr {
        Ocr::Models(folder) => format!(
            "holds pictures of paper, and {} holds no models to read them with: it needs detector.onnx, recognizer.onnx and characters.txt",
            shown(&file_name(folder))
        ),
        _ => "holds pictures of paper, and no program tesseract was found to read them with; install it, or leave --ocr out".into(),
    }
}

/// Why OCR gave a page up.
const fn why(fault: Fault, limits: &Limits) -> GaveUp {
    match fault {
        Fault::TooLong => GaveUp::TooLong {
            seconds: limits.ocr_seconds,
        },
        Fault::TooLarge => GaveUp::TooLarge,
        Fault::Cut => GaveUp::Cut,
        Fault::Unknown => GaveUp::Unknown,
        Fault::Broken | Fault::TooMuch => GaveUp::Damaged,
    }
}

/// Whether OCR read words on it, perhaps not all.
fn is_read(page: &Page) -> bool {
    matches!(page.fault, None | Some(Fault::Cut)) && !page.lines.is_empty()
}

/// Reads a picture file; `what` is its name in messages.
pub(super) fn picture(file: File, what: &str, limits: &Limits) -> Result<Pdf, ReadError> {
    let error = |message: String| ReadError {
        file: shown(&file.name),
        message,
    };
    let bytes = Arc::new(file.bytes);
    let seen = isolate::ocr(&bytes, &[], limits);
    if seen.end == End::NotTried {
        return Err(error(format!(
            "is {what}, and this build reads none: {BY_OCR_PROGRAM}"
        )));
    }
    if seen.end == End::Failed(Failure::NoEngine) {
        return Err(error(no_engine(limits)));
    }
    let mut pages: Vec<Page> = seen.pages;
    pages.sort_by_key(|p| p.number);
    if pages.iter().all(|p| p.lines.is_empty()) {
        let why = match seen.end {
            End::TooLong => "reading it took too long and was stopped",
            _ if pages.iter().any(|p| p.fault == Some(Fault::TooLarge)) => {
                "it has more than 100 million pixels"
            }
            _ if pages.iter().any(|p| p.fault == Some(Fault::Unknown)) => {
                "it is of a kind that is not known"
            }
            _ if pages.iter().any(|p| p.fault.is_some()) || pages.is_empty() => "it is damaged",
            _ => "no words were found in it",
        };
        return Err(error(format!(
            "is {what}, and {why}; photograph or scan the page again, flat and in good light"
        )));
    }
    let mut notes = Vec::new();
    for page in &pages {
        let mut say = |note| notes.push(ReadNote::page_note(page.number, note));
        if page.fault == Some(Fault::Cut) && !page.lines.is_empty() {
            say(PageNote::ByOcr);
            say(PageNote::BreaksOff(Torn::Picture));
        } else if let Some(fault) = page.fault {
            say(PageNote::GivenUp(why(fault, limits)));
        } else if page.lines.is_empty() {
            say(PageNote::WithoutWords);
        } else {
            say(PageNote::ByOcr);
        }
    }
    Ok(Pdf {
        total: seen.total.max(1),
        pages,
        notes,
        ocr: true,
    })
}

/// Why nothing was read at all.
fn nothing(first: &Outcome, limits: &Limits) -> String {
    match first.end {
        End::Failed(Failure::Encryption) => {
            "the PDF is encrypted in a way that is not known; open it in a PDF program and print it to a new PDF".into()
        }
        End::Failed(_) => {
            "the PDF is damaged: no page can be found in it; copy or download it again, or open it in a PDF program and save it anew".into()
        }
        End::TooLong => format!(
            "reading the PDF was stopped after {} seconds; it may be damaged: open it in a PDF program and print it to a new PDF",
            limits.seconds
        ),
        End::Broken => {
            "the PDF cannot be read: the reader broke down on it; open it in a PDF program and print it to a new PDF".into()
        }
        End::Done | End::NotTried => format!(
            "the PDF has {} and no text in {}; if its pages are pictures of paper, {BY_OCR_PROGRAM}",
            pages(first.total),
            if first.total == 1 { "it" } else { "them" }
        ),
    }
}

fn pages(n: u32) -> String {
    if n == 1 {
        "1 page".into()
    } else {
        format!("{n} pages")
    }
}

/// The other engine's page in place of the first's.
fn replaced(other: &Page, first: Option<&Page>, notes: &mut Vec<ReadNote>) -> Page {
    notes.push(ReadNote::page_note(other.number, PageNote::SecondUsed));
    Page {
        aside: first.map(|p| p.aside.clone()).unwrap_or_default(),
        ..other.clone()
    }
}

/// What the reader has to be told about one page.
fn describe(page: &Page, kind: Kind, notes: &mut Vec<ReadNote>) {
    let note = match kind {
        Kind::Text => None,
        Kind::HiddenLayer => Some(PageNote::HiddenLayer),
        Kind::Scan => Some(PageNote::Scan),
        Kind::Drawn => Some(PageNote::Drawn),
        Kind::Garbled => Some(PageNote::Garbled),
        Kind::Empty => Some(PageNote::Empty),
    };
    let cut_short = match page.fault {
        // a page that breaks off is told of whatever is read of it
        None | Some(Fault::Cut) => None,
        Some(Fault::Broken) => Some(PageNote::Broken),
        Some(Fault::TooLong) => Some(PageNote::TooLong),
        Some(Fault::TooMuch | Fault::TooLarge | Fault::Unknown) => Some(PageNote::TooMuch),
    };
    let all = note.into_iter().chain(cut_short);
    let all = all.chain(left_out(page, kind));
    notes.extend(all.map(|note| ReadNote::page_note(page.number, note)));
}

/// Which characters of a page were left out, or cannot be told.
fn left_out(page: &Page, kind: Kind) -> Vec<PageNote> {
    let mut notes = Vec::new();
    let census = page.census;
    let hidden = match kind {
        Kind::Text => census.invisible.saturating_add(census.unseen),
        _ => census.unseen,
    };
    if hidden > 0 {
        notes.push(PageNote::HiddenText(hidden));
    }
    if census.outside > 20 {
        notes.push(PageNote::TextOutside(census.outside));
    }
    if census.unknown > 0 && kind != Kind::Garbled {
        notes.push(PageNote::UnknownCharacters(census.unknown));
    }
    notes
}

/// Holds the second reading against the first.
fn compare(page: &Page, other: Option<&Page>, unchecked: &mut Vec<u32>, notes: &mut Vec<ReadNote>) {
    let first = page.words();
    let second = other.map(Page::words).unwrap_or_default();
    if judge::longer(page, &first, &second) {
        notes.push(ReadNote::page_note(page.number, PageNote::Longer));
    }
    if !judge::comparable(&first, &second) {
        unchecked.push(page.number);
        return;
    }
    let words: Vec<Counted> = judge::differences(&first, &second)
        .into_iter()
        .map(|(word, first, second)| Counted {
            word: word.to_owned(),
            first,
            second,
        })
        .collect();
    if !words.is_empty() {
        notes.push(ReadNote::page_note(page.number, PageNote::Differ(words)));
    }
}

/// What a reading that did not end as it should leaves to say.
fn endings(
    first: &Outcome,
    second: &Outcome,
    total: u32,
    unread: &[u32],
    limits: &Limits,
    notes: &mut Vec<ReadNote>,
) {
    let mut say = |note| notes.push(ReadNote::file_note(note));
    if total > limits.pages {
        say(FileNote::PagesLimit {
            total,
            read: limits.pages,
            plain: false,
        });
    }
    if first.breaks_off {
        say(FileNote::BreaksOff);
    }
    if !unread.is_empty() {
        say(FileNote::PagesUnread {
            pages: unread.to_vec(),
            too_long: first.end == End::TooLong,
        });
    }
    match second.end {
        End::Done => {}
        End::NotTried => say(FileNote::OneReading(OneReading::NotTried)),
        End::Failed(_) | End::TooLong | End::Broken => {
            if second.pages.is_empty() {
                say(FileNote::OneReading(OneReading::Failed));
            }
        }
    }
}
