//! The worker: the same executable, started again to read one file under limits.
//!
//! Stack overflows, endless loops and memory without bounds cannot be caught inside a process.
//! So the program starts itself with a hidden subcommand; the file comes in on standard input and
//! pages go out on standard output, one JSON line each, as soon as they are read. What was handed
//! over before a breakdown is kept. `super::isolate` is the other side.

use std::ffi::OsString;
use std::io::{Read, Write};
use std::process::ExitCode;
use std::sync::atomic::Ordering;

use super::stint::{Failure, Message, Method, Stint};
use super::{docx, first, second};

pub use super::program::enable;

/// The hidden subcommand.
pub const COMMAND: &str = "read-worker";

/// Stack of the thread that reads; nested objects of a hostile file go deep.
const STACK: usize = 64 << 20;

/// What the hidden subcommand does: reads a PDF from standard input under the limits that
/// `words` name, and writes pages to standard output.
#[must_use]
pub fn main(words: &[OsString]) -> ExitCode {
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
    end_with_parent();
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

/// Ends this process when the one that started it is gone: that holds the other end of standard input
/// until it has heard enough. Nobody would read on for a letter that nobody waits for.
fn end_with_parent() {
    // without a thread the limit of processor time is left
    let _ = std::thread::Builder::new().spawn(|| {
        let _ = std::io::stdin().lock().read(&mut [0]);
        std::process::exit(2);
    });
}

/// Reads in this process.
pub(super) fn read(bytes: Vec<u8>, stint: &Stint, emit: &mut dyn FnMut(Message)) {
    match stint.reading {
        Method::First => first::read(bytes, stint, emit),
        Method::Second => second::read(&bytes, stint, emit),
        Method::Packed => packed(&bytes, stint, emit),
        #[cfg(feature = "ocr")]
        Method::Ocr => super::ocr::read(&bytes, stint, &mut |message| {
            emit(match message {
                Message::Page(mut page) => {
                    page.census.ocr = true;
                    Message::Page(page)
                }
                other => other,
            });
        }),
        #[cfg(not(feature = "ocr"))]
        Method::Ocr => emit(Message::Done),
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
                emit(Message::Note(note));
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
