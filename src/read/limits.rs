//! How much is read, by what, and who is told.

use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use super::program;

/// What reads pictures of paper: scans, photos.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum Ocr {
    /// The models in this program (if it was built with the feature `ocr`).
    #[default]
    BuiltIn,
    /// Other models of the same kind: a folder with `detector.onnx`, `recognizer.onnx` and
    /// `characters.txt`.
    Models(PathBuf),
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

    pub(super) fn tell(&self, done: u32, all: u32) {
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
    /// The executable that answers [`super::worker::COMMAND`], to read PDFs in: this program itself.
    ///
    /// By default what [`super::worker::enable`] found; `None` for a library used by another program.
    /// Then PDFs are read in this process, once instead of twice, and `memory` does not bind.
    pub worker: Option<PathBuf>,
}

impl Limits {
    /// Bytes for one page that is read by OCR: its picture in color, and what the models hold.
    pub const MEMORY_OF_A_PAGE: u64 = 256 << 20;

    pub(super) fn stopped(&self) -> bool {
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
            worker: program::executable(),
        }
    }
}
