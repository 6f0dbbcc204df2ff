//! A PDF → pages: both readings, the better of them for each page, and what has to be said.

use std::sync::Arc;

use super::chars::capital;
use super::isolate::{self, End, Outcome};
use super::judge::{self, Kind};
use super::page::{Fault, Page};
use super::source::{File, shown};
use super::stint::Failure;
use super::{Limits, Ocr, ReadError};
use crate::model::Note;

/// The pages of a PDF with notes on them.
#[derive(Debug)]
pub(super) struct Pdf {
    pub(super) pages: Vec<Page>,
    /// Pages that the file has.
    pub(super) total: u32,
    pub(super) notes: Vec<Note>,
    /// Whether words of some page were read by OCR.
    pub(super) ocr: bool,
}

const OCR: &str = "run it through an OCR program that writes a PDF with text or a text file, or type the clauses into a text file";

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
        notes.push(Note {
            id: "one-reading".into(),
            message: format!(
                "The second, independent reading could not follow {}; the words there rest on one reading.",
                listed(&chosen.unchecked)
            ),
            page: None,
        });
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
        let gave_up = by_ocr.pages.iter().find_map(|p| Some((p.number, p.fault?)));
        match scans {
            0 => nothing(&self.first, self.limits),
            _ if by_ocr.end == End::Broken && by_ocr.pages.is_empty() => {
                format!("its pages are scans, and the reader of scans broke down on them; {OCR}")
            }
            _ if gave_up.is_some() => gave_up.map_or_else(String::new, |(number, fault)| {
                given_up(number, fault, self.limits).message
            }),
            _ if by_ocr.end == End::Done => {
                format!(
                    "its pages are pictures in which no words were found; scan the paper again, flat and in good light, or {OCR}"
                )
            }
            _ if usize::try_from(scans).is_ok_and(|s| s == count) && count == 1 => {
                format!("the page is a scan: a picture of paper without words in it; {OCR}")
            }
            _ => format!(
                "{scans} of {count} pages are scans, pictures of paper without words in them, and the others hold no text; {OCR}"
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
    notes: Vec<Note>,
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
            self.notes.push(breaks_off(number, "what it shows"));
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
        self.notes.push(by_ocr_note(page.number));
        if page.census.picture_cut {
            self.notes.push(breaks_off(page.number, "its picture"));
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
                self.notes.push(match tried.fault {
                    Some(fault) => given_up(number, fault, readings.limits),
                    None => wordless_picture(number),
                });
            }
            tried => {
                describe(&page, kind, &mut self.notes);
                self.notes
                    .extend(tried.and_then(|p| Some(given_up(number, p.fault?, readings.limits))));
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
            shown(folder)
        ),
        _ => "holds pictures of paper, and no program tesseract was found to read them with; install it, or leave --ocr out".into(),
    }
}

/// A page that OCR gave up.
fn given_up(number: u32, fault: Fault, limits: &Limits) -> Note {
    let why = match fault {
        Fault::TooLong => format!("reading it took more than {} seconds", limits.ocr_seconds),
        Fault::TooLarge => "it has more than 100 million pixels".into(),
        Fault::Cut => "its picture breaks off".into(),
        Fault::Unknown => "its picture is of a kind that is not known".into(),
        Fault::Broken | Fault::TooMuch => "its picture is damaged".into(),
    };
    Note {
        id: "page-unread".into(),
        message: format!(
            "Page {number} could not be read by OCR: {why}. Scan it again at 200 to 300 dots per inch."
        ),
        page: Some(number),
    }
}

/// Whether OCR read words on it, perhaps not all.
fn is_read(page: &Page) -> bool {
    matches!(page.fault, None | Some(Fault::Cut)) && !page.lines.is_empty()
}

/// A page whose end is missing.
fn breaks_off(number: u32, what: &str) -> Note {
    Note {
        id: "page-breaks-off".into(),
        message: format!(
            "Page {number} breaks off: {what} is damaged or cut short in the file, and words are missing. Copy or download the file again, or scan the page again."
        ),
        page: Some(number),
    }
}

/// A picture in which OCR saw no words.
fn wordless_picture(number: u32) -> Note {
    Note {
        id: "page-without-words".into(),
        message: format!(
            "Page {number} is a picture in which OCR found no words. If the paper has words, scan it again at 200 to 300 dots per inch."
        ),
        page: Some(number),
    }
}

fn by_ocr_note(number: u32) -> Note {
    Note {
        id: "page-by-ocr".into(),
        message: format!(
            "Page {number} is a picture; its words were read by OCR. Hold the words that matter against the paper."
        ),
        page: Some(number),
    }
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
            "is {what}, and this build reads none: {OCR}"
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
        if page.fault == Some(Fault::Cut) && !page.lines.is_empty() {
            notes.push(by_ocr_note(page.number));
            notes.push(breaks_off(page.number, "its picture"));
        } else if let Some(fault) = page.fault {
            notes.push(given_up(page.number, fault, limits));
        } else if page.lines.is_empty() {
            notes.push(wordless_picture(page.number));
        } else {
            notes.push(by_ocr_note(page.number));
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
            "the PDF has {} and no text in {}; if its pages are pictures of paper, {OCR}",
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

/// "page 3", "pages 1, 2 and 7".
fn listed(numbers: &[u32]) -> String {
    match numbers {
        [] => "no page".into(),
        [n] => format!("page {n}"),
        [head @ .., last] => {
            let head: Vec<String> = head.iter().map(u32::to_string).collect();
            format!("pages {} and {last}", head.join(", "))
        }
    }
}

/// The other engine's page in place of the first's.
fn replaced(other: &Page, first: Option<&Page>, notes: &mut Vec<Note>) -> Page {
    notes.push(Note {
        id: "second-reading-used".into(),
        message: format!(
            "The first reading found no usable text on page {0}; the words of page {0} come from the second reading, which knows less about where they stand. Hold them against the paper.",
            other.number
        ),
        page: Some(other.number),
    });
    Page {
        aside: first.map(|p| p.aside.clone()).unwrap_or_default(),
        ..other.clone()
    }
}

/// What the reader has to be told about one page.
fn describe(page: &Page, kind: Kind, notes: &mut Vec<Note>) {
    let number = page.number;
    let mut say = |id: &str, message: String| notes.push(of_page(number, id, message));
    match kind {
        Kind::Text => {}
        Kind::HiddenLayer => say(
            "page-hidden-layer",
            format!(
                "Page {number} is a scan; its words come from the invisible layer that an OCR program laid over it. Hold what matters against the picture."
            ),
        ),
        Kind::Scan => say(
            "page-is-scan",
            format!(
                "Page {number} is a scan, a picture of paper without words in it, and was not read; {OCR}."
            ),
        ),
        Kind::Drawn => say(
            "page-is-drawn",
            format!(
                "The words of page {number} are drawn as shapes and were not read; print the page to paper or to a picture, and {OCR}."
            ),
        ),
        Kind::Garbled => say(
            "page-garbled",
            format!(
                "What page {number} shows cannot be told from the file: its characters make no English words. Print it to a picture, and {OCR}."
            ),
        ),
        Kind::Empty => say("page-empty", format!("Page {number} holds no text.")),
    }
    cut_short(page, notes);
    left_out(page, kind, notes);
}

/// A note on one page.
fn of_page(number: u32, id: &str, message: String) -> Note {
    Note {
        id: id.into(),
        message,
        page: Some(number),
    }
}

/// That a page may hold more than was read.
fn cut_short(page: &Page, notes: &mut Vec<Note>) {
    let number = page.number;
    let mut say = |id: &str, message: String| notes.push(of_page(number, id, message));
    match page.fault {
        // a page that breaks off is told of whatever is read of it
        None | Some(Fault::Cut) => {}
        Some(Fault::Broken) => say(
            "page-broken",
            format!("Page {number} is damaged; it may hold more than was read."),
        ),
        Some(Fault::TooLong) => say(
            "page-cut",
            format!(
                "Reading page {number} took too long and was stopped; it may hold more than was read."
            ),
        ),
        Some(Fault::TooMuch | Fault::TooLarge | Fault::Unknown) => say(
            "page-cut",
            format!(
                "Page {number} holds more characters than any printed page; reading it was stopped."
            ),
        ),
    }
}

/// Which characters of a page were left out, or cannot be told.
fn left_out(page: &Page, kind: Kind, notes: &mut Vec<Note>) {
    let number = page.number;
    let mut say = |id: &str, message: String| notes.push(of_page(number, id, message));
    let census = page.census;
    let hidden = match kind {
        Kind::Text => census.invisible.saturating_add(census.unseen),
        _ => census.unseen,
    };
    if hidden > 0 {
        say(
            "hidden-text",
            format!(
                "Page {number} holds {hidden} characters that are not visible on paper; they were left out."
            ),
        );
    }
    if census.outside > 20 {
        say(
            "text-outside",
            format!(
                "Page {number} holds {} characters outside of its edges; they were left out.",
                census.outside
            ),
        );
    }
    if census.unknown > 0 && kind != Kind::Garbled {
        say(
            "unknown-characters",
            format!(
                "The file does not tell which {} characters of page {number} are; words with one of them are doubtful.",
                census.unknown
            ),
        );
    }
}

/// Holds the second reading against the first.
fn compare(page: &Page, other: Option<&Page>, unchecked: &mut Vec<u32>, notes: &mut Vec<Note>) {
    let first = page.words();
    let second = other.map(Page::words).unwrap_or_default();
    if judge::longer(page, &first, &second) {
        notes.push(Note {
            id: "page-longer".into(),
            message: format!(
                "A second, independent reading finds more words on page {} than the first; something may be missing. Hold the words that matter against the paper.",
                page.number
            ),
            page: Some(page.number),
        });
    }
    if !judge::comparable(&first, &second) {
        unchecked.push(page.number);
        return;
    }
    let different = judge::differences(&first, &second);
    if different.is_empty() {
        return;
    }
    let words: Vec<String> = different
        .iter()
        .map(|(word, a, b)| format!("\"{word}\" ({a} against {b})"))
        .collect();
    notes.push(Note {
        id: "readings-differ".into(),
        message: format!(
            "Two independent readings of page {} differ in words that decide: {}. Hold them against the paper.",
            page.number,
            words.join(", ")
        ),
        page: Some(page.number),
    });
}

/// What a reading that did not end as it should leaves to say.
fn endings(
    first: &Outcome,
    second: &Outcome,
    total: u32,
    unread: &[u32],
    limits: &Limits,
    notes: &mut Vec<Note>,
) {
    if total > limits.pages {
        notes.push(Note {
            id: "pages-limit".into(),
            message: format!(
                "The file has {total} pages, the first {} were read: that is the limit.",
                limits.pages
            ),
            page: None,
        });
    }
    if first.breaks_off {
        notes.push(Note {
            id: "file-breaks-off".into(),
            message: "The PDF breaks off or is damaged: its end or some of its pages are missing. Copy or download it again.".into(),
            page: None,
        });
    }
    if !unread.is_empty() {
        let why = match first.end {
            End::TooLong => "reading took too long and was stopped",
            _ => "the reader broke down on the file",
        };
        notes.push(Note {
            id: "page-unread".into(),
            message: format!(
                "{} could not be read: {why}. Open the file in a PDF program and print it to a new PDF.",
                capital(&listed(unread))
            ),
            page: unread.first().copied(),
        });
    }
    match second.end {
        End::Done => {}
        End::NotTried => notes.push(Note {
            id: "one-reading".into(),
            message: "The PDF was read once and in this process: no second, independent reading was made.".into(),
            page: None,
        }),
        End::Failed(_) | End::TooLong | End::Broken => {
            if second.pages.is_empty() {
                notes.push(Note {
                    id: "one-reading".into(),
                    message: "The second, independent reading failed on this file; the words rest on one reading.".into(),
                    page: None,
                });
            }
        }
    }
}
