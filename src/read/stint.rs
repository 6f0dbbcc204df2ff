//! What a worker process is told to do, and what it says.

use std::ffi::OsString;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use serde::{Deserialize, Serialize};

use super::Ocr;
use super::page::Page;
use crate::model::ReadNote;

/// Before the folder of other models, among the words of the hidden subcommand.
const MODELS: &str = "models";

/// What a worker says, one line each.
#[derive(Debug, Serialize, Deserialize)]
pub(super) enum Message {
    /// The file could be opened and has so many pages.
    Opened {
        /// All of them, also those beyond the limit.
        pages: u32,
        /// Whether the file has its end, and all the pages that it counts.
        whole: bool,
    },
    /// A page is being read; said by OCR, which takes its time.
    Begun {
        /// From 1.
        page: u32,
    },
    /// A page was read.
    Page(Page),
    /// Nothing more will come, and nothing is missing.
    Done,
    /// Something that the reader has to know.
    Note(ReadNote),
    /// The file cannot be read: what is wrong and what to do.
    Refused(String),
    /// The file cannot be read.
    Failed(Failure),
}

/// Why a PDF cannot be read at all.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub(super) enum Failure {
    /// It opens with a password only.
    Password,
    /// It is encrypted in a way that is broken or unknown.
    Encryption,
    /// No page can be found in it.
    Damaged,
    /// The OCR engine that was asked for is not there.
    NoEngine,
    /// It is an archive, but not of a letter.
    Archive,
}

/// Which of the two readings.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Method {
    First,
    Second,
    /// Of pictures, by OCR.
    Ocr,
    /// Of a word processor's file.
    Packed,
}

/// How much one worker may do.
#[derive(Clone, Debug)]
pub(super) struct Stint {
    pub(super) reading: Method,
    /// What reads pictures.
    pub(super) ocr: Ocr,
    /// Pages to read.
    pub(super) pages: u32,
    /// For OCR: which pages of a PDF, at how many dots per inch (0 where no image tells).
    pub(super) only: Vec<(u32, f32)>,
    /// Seconds for one page.
    pub(super) page_seconds: u64,
    /// Seconds of processor time.
    pub(super) seconds: u64,
    /// Bytes of address space.
    pub(super) memory: u64,
    /// Bytes of the file.
    pub(super) bytes: u64,
    /// Characters of the letter.
    pub(super) characters: u64,
    /// Columns of the pictures handed over with the pages of OCR; 0 for none.
    pub(super) pictures: u32,
    /// Set when nobody waits for the pages any more.
    pub(super) stop: Arc<AtomicBool>,
}

impl Stint {
    pub(super) fn stopped(&self) -> bool {
        self.stop.load(Ordering::Relaxed)
    }

    /// As arguments of the hidden subcommand.
    pub(super) fn to_words(&self) -> Vec<OsString> {
        let reading = match self.reading {
            Method::First => "first",
            Method::Second => "second",
            Method::Ocr => "ocr",
            Method::Packed => "packed",
        };
        let engine = match &self.ocr {
            Ocr::BuiltIn => "built-in".into(),
            Ocr::Tesseract => "tesseract".into(),
            Ocr::Off => "off".into(),
            Ocr::Models(_) => OsString::from(MODELS),
        };
        // Its name may be no Unicode, so it is a word of its own.
        let folder = match &self.ocr {
            Ocr::Models(folder) => Some(folder.clone().into_os_string()),
            _ => None,
        };
        let numbers = [
            u64::from(self.pages),
            self.page_seconds,
            self.seconds,
            self.memory,
            self.bytes,
            self.characters,
            u64::from(self.pictures),
        ];
        let only = self.only.iter().map(|(page, dpi)| format!("{page}:{dpi}"));
        let numbers = numbers.iter().map(u64::to_string).chain(only);
        [reading.into(), engine]
            .into_iter()
            .chain(numbers.map(OsString::from))
            .chain(folder)
            .collect()
    }

    pub(super) fn from_words(words: &[OsString]) -> Option<Self> {
        let [reading, engine, numbers @ ..] = words else {
            return None;
        };
        let (ocr, numbers) = match engine.to_str()? {
            "built-in" => (Ocr::BuiltIn, numbers),
            "tesseract" => (Ocr::Tesseract, numbers),
            "off" => (Ocr::Off, numbers),
            MODELS => {
                let (folder, numbers) = numbers.split_last()?;
                (Ocr::Models(folder.into()), numbers)
            }
            _ => return None,
        };
        let (numbers, only) = numbers.split_at_checked(7)?;
        let numbers: Vec<u64> = numbers
            .iter()
            .map_while(|w| w.to_str()?.parse().ok())
            .collect();
        let [
            pages,
            page_seconds,
            seconds,
            memory,
            bytes,
            characters,
            pictures,
        ] = numbers[..]
        else {
            return None;
        };
        let only: Option<Vec<(u32, f32)>> = only
            .iter()
            .map(|w| {
                let (page, dpi) = w.to_str()?.split_once(':')?;
                Some((page.parse().ok()?, dpi.parse().ok()?))
            })
            .collect();
        Some(Self {
            reading: match reading.to_str()? {
                "first" => Method::First,
                "second" => Method::Second,
                "ocr" => Method::Ocr,
                "packed" => Method::Packed,
                _ => return None,
            },
            ocr,
            pages: u32::try_from(pages).ok()?,
            only: only?,
            page_seconds,
            seconds,
            memory,
            bytes,
            characters,
            pictures: u32::try_from(pictures).ok()?,
            stop: Arc::default(),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stint_survives_the_command_line() {
        let stint = Stint {
            reading: Method::Second,
            ocr: Ocr::Models("a folder=with: signs".into()),
            pages: 200,
            only: vec![(1, 0.0), (7, 203.5)],
            page_seconds: 4,
            seconds: 30,
            memory: 2 << 30,
            bytes: 1 << 20,
            characters: 4_000_000,
            pictures: 1000,
            stop: Arc::default(),
        };
        let back = Stint::from_words(&stint.to_words()).expect("it was written a line above");
        assert_eq!(back.to_words(), stint.to_words());
        assert!(Stint::from_words(&["first".into(), "x".into()]).is_none());
        assert!(Stint::from_words(&[]).is_none());
    }
}
