//! The worker: the same executable, started again to read one file under limits.
//!
//! Stack overflows, endless loops and memory without bounds cannot be caught inside a process.
//! So the program starts itself with a hidden subcommand; the file comes in on standard input and
//! pages go out on standard output, one JSON line each, as soon as they are read. What was handed
//! over before a breakdown is kept. `super::isolate` is the other side.

use std::io::{Read, Write};
use std::path::PathBuf;
use std::process::ExitCode;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, OnceLock};

use serde::{Deserialize, Serialize};

use super::page::Page;
use super::{Ocr, docx, first, second};

/// The hidden subcommand.
pub const COMMAND: &str = "read-worker";

/// Before the folder of other models, among the words of the hidden subcommand.
const MODELS: &str = "models=";

/// Stack of the thread that reads; nested objects of a hostile file go deep.
const STACK: usize = 64 << 20;

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
    Note {
        /// A stable name.
        id: String,
        /// For people.
        message: String,
        /// The page it speaks of.
        page: Option<u32>,
    },
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
pub(super) enum Reading {
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
    pub(super) reading: Reading,
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
    pub(super) fn to_words(&self) -> Vec<String> {
        let reading = match self.reading {
            Reading::First => "first",
            Reading::Second => "second",
            Reading::Ocr => "ocr",
            Reading::Packed => "packed",
        };
        let engine = match &self.ocr {
            Ocr::BuiltIn => "built-in".to_owned(),
            Ocr::Tesseract => "tesseract".to_owned(),
            Ocr::Off => "off".to_owned(),
            Ocr::Models(folder) => format!("{MODELS}{folder}"),
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
        [reading.to_owned(), engine]
            .into_iter()
            .chain(numbers.iter().map(u64::to_string))
            .chain(self.only.iter().map(|(page, dpi)| format!("{page}:{dpi}")))
            .collect()
    }

    fn from_words(words: &[String]) -> Option<Self> {
        let [reading, engine, numbers @ ..] = words else {
            return None;
        };
        let (numbers, only) = numbers.split_at_checked(7)?;
        let numbers: Vec<u64> = numbers.iter().map_while(|w| w.parse().ok()).collect();
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
                let (page, dpi) = w.split_once(':')?;
                Some((page.parse().ok()?, dpi.parse().ok()?))
            })
            .collect();
        Some(Self {
            reading: match reading.as_str() {
                "first" => Reading::First,
                "second" => Reading::Second,
                "ocr" => Reading::Ocr,
                "packed" => Reading::Packed,
                _ => return None,
            },
            ocr: match engine.as_str() {
                "built-in" => Ocr::BuiltIn,
                "tesseract" => Ocr::Tesseract,
                "off" => Ocr::Off,
                other => Ocr::Models(other.strip_prefix(MODELS)?.to_owned()),
            },
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

static EXECUTABLE: OnceLock<PathBuf> = OnceLock::new();

/// Says that the running executable answers the hidden subcommand, so that [`super::Limits`] use
/// it as worker by default. The command line calls it before anything else.
pub fn enable() {
    if let Ok(path) = std::env::current_exe() {
        // a second call would only say the same
        let _ = EXECUTABLE.set(path);
    }
}

/// The executable named by [`enable`].
pub(super) fn executable() -> Option<PathBuf> {
    EXECUTABLE.get().cloned()
}

/// What the hidden subcommand does: reads a PDF from standard input under the limits that
/// `words` name, and writes pages to standard output.
#[must_use]
pub fn main(words: &[String]) -> ExitCode {
    let Some(stint) = Stint::from_words(words) else {
        return ExitCode::from(2);
    };
    // A breakdown is told to the parent, not to the user.
    std::panic::set_hook(Box::new(|_| {}));
    limit(&stint);
    let mut bytes = Vec::new();
    let stdin = std::io::stdin().lock();
    if stdin.take(stint.bytes).read_to_end(&mut bytes).is_err() {
        return ExitCode::from(2);
    }
    let reader = std::thread::Builder::new()
        .stack_size(STACK)
        .spawn(move || {
            let mut out = std::io::stdout().lock();
            read(bytes, &stint, &mut |message| {
                // Nobody may be listening any more; then the next page notices.
                if let Ok(line) = serde_json::to_string(&message) {
                    let sent = writeln!(out, "{line}").and_then(|()| out.flush());
                    if sent.is_err() {
                        stint.stop.store(true, Ordering::Relaxed);
                    }
                }
            });
        });
    match reader.map(std::thread::JoinHandle::join) {
        Ok(Ok(())) => ExitCode::SUCCESS,
        _ => ExitCode::from(2),
    }
}

/// Reads in this process.
pub(super) fn read(bytes: Vec<u8>, stint: &Stint, emit: &mut dyn FnMut(Message)) {
    match stint.reading {
        Reading::First => first::read(bytes, stint, emit),
        Reading::Second => second::read(&bytes, stint, emit),
        Reading::Packed => packed(&bytes, stint, emit),
        #[cfg(feature = "ocr")]
        Reading::Ocr => super::ocr::read(&bytes, stint, &mut |message| {
            emit(match message {
                Message::Page(mut page) => {
                    page.census.ocr = true;
                    Message::Page(page)
                }
                other => other,
            });
        }),
        #[cfg(not(feature = "ocr"))]
        Reading::Ocr => emit(Message::Done),
    }
}

/// Reads a word processor's file.
fn packed(bytes: &[u8], stint: &Stint, emit: &mut dyn FnMut(Message)) {
    let most = usize::try_from(stint.characters).unwrap_or(usize::MAX);
    match docx::read(bytes, most) {
        Ok(read) => {
            emit(Message::Opened {
                pages: read.total,
                whole: true,
            });
            for note in read.notes {
                emit(Message::Note {
                    id: note.id,
                    message: note.message,
                    page: note.page,
                });
            }
            for page in read.pages {
                emit(Message::Page(page));
            }
            emit(Message::Done);
        }
        Err(docx::Refusal::Says(why)) => emit(Message::Refused(why)),
        Err(docx::Refusal::Other) => emit(Message::Failed(Failure::Archive)),
    }
}

/// Binds this process; where the system has no such limits, the parent's clock is left.
#[cfg(unix)]
fn limit(stint: &Stint) {
    use rlimit::{Resource, setrlimit};
    let _ = setrlimit(Resource::AS, stint.memory, stint.memory);
    let _ = setrlimit(Resource::CPU, stint.seconds, stint.seconds);
    let _ = setrlimit(Resource::CORE, 0, 0);
}

/// Binds this process; where the system has no such limits, the parent's clock is left.
#[cfg(not(unix))]
fn limit(_: &Stint) {}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stint_survives_the_command_line() {
        let stint = Stint {
            reading: Reading::Second,
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
