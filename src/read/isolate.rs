//! The program's side of the worker: starts it, feeds it, listens, and stops it in time.

use std::io::{BufRead, BufReader, Read, Write};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, RecvTimeoutError, channel};
use std::time::{Duration, Instant};

use super::Limits;
use super::page::Page;
use super::worker::{self, COMMAND, Failure, Message, Reading, Stint};

/// What came of one reading.
#[derive(Debug, Default)]
pub(super) struct Outcome {
    /// Pages that the file has; at least as many as were read.
    pub(super) total: u32,
    /// Pages that were read.
    pub(super) pages: Vec<Page>,
    /// How it ended.
    pub(super) end: End,
}

/// How a reading ended.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) enum End {
    /// As it should.
    Done,
    /// The file cannot be read.
    Failed(Failure),
    /// It was stopped.
    TooLong,
    /// The worker broke down.
    #[default]
    Broken,
    /// It was not tried, as there is no worker to try it in.
    NotTried,
}

/// Bytes of JSON that are taken from a worker for each character of the limit.
const BYTES_A_CHARACTER: u64 = 64;

/// Both readings of a PDF, side by side.
pub(super) fn both(bytes: &Arc<Vec<u8>>, limits: &Limits) -> (Outcome, Outcome) {
    let Some(executable) = limits.worker.as_deref() else {
        return (in_process(bytes, limits), not_tried());
    };
    std::thread::scope(|scope| {
        let second = scope.spawn(|| in_worker(executable, bytes, limits, Reading::Second, &[]));
        let first = in_worker(executable, bytes, limits, Reading::First, &[])
            // no process to be had: better read without protection than not at all
            .unwrap_or_else(|| in_process(bytes, limits));
        let second = second.join().ok().flatten().unwrap_or_else(not_tried);
        (first, second)
    })
}

/// Reads pictures: the pages `only` of a PDF, or all of a picture file.
///
/// Without a worker nothing is read: the models take memory and time that only a process of their
/// own can be held to.
pub(super) fn ocr(bytes: &Arc<Vec<u8>>, only: &[(u32, f32)], limits: &Limits) -> Outcome {
    if !cfg!(feature = "ocr") {
        return not_tried();
    }
    limits
        .worker
        .as_deref()
        .and_then(|executable| in_worker(executable, bytes, limits, Reading::Ocr, only))
        .unwrap_or_else(not_tried)
}

fn not_tried() -> Outcome {
    Outcome {
        end: End::NotTried,
        ..Outcome::default()
    }
}

fn stint(limits: &Limits, bytes: usize, reading: Reading) -> Stint {
    Stint {
        reading,
        pages: limits.pages,
        only: Vec::new(),
        page_seconds: limits.seconds.div_ceil(2),
        seconds: limits.seconds.saturating_add(u64::from(limits.pages)),
        memory: limits.memory,
        bytes: u64::try_from(bytes).unwrap_or(u64::MAX),
        stop: Arc::default(),
    }
}

/// How long to wait for the whole, and for the next word.
struct Patience {
    begun: Instant,
    whole: Duration,
    next: Duration,
    /// For each further page.
    page: Duration,
}

impl Patience {
    fn new(limits: &Limits, reading: Reading) -> Self {
        let seconds = Duration::from_secs(limits.seconds);
        // The second reading only checks the first; it may not hold up the answer as long.
        let next = match reading {
            Reading::First => seconds,
            Reading::Second => seconds / 4,
            // a page takes a second or two; the first one loads the models
            Reading::Ocr => seconds * 4,
        };
        Self {
            begun: Instant::now(),
            whole: next,
            next,
            page: Duration::from_secs(if reading == Reading::Ocr { 10 } else { 1 }),
        }
    }

    /// One more second a page, once their number is known.
    fn pages(&mut self, pages: u32, limits: &Limits) {
        let more = u64::from(pages.min(limits.pages)).saturating_sub(1);
        self.whole = self
            .next
            .saturating_add(self.page * u32::try_from(more).unwrap_or(u32::MAX));
    }

    fn left(&self) -> Duration {
        self.whole
            .saturating_sub(self.begun.elapsed())
            .min(self.next)
    }
}

/// Collects what comes until the end, the limit or silence.
fn listen(from: &Receiver<Message>, limits: &Limits, mut patience: Patience) -> Outcome {
    let mut outcome = Outcome::default();
    loop {
        match from.recv_timeout(patience.left()) {
            Ok(Message::Opened { pages }) => {
                outcome.total = pages;
                patience.pages(pages, limits);
            }
            Ok(Message::Page(page)) => outcome.pages.push(page),
            Ok(Message::Done) => {
                outcome.end = End::Done;
                return outcome;
            }
            Ok(Message::Failed(failure)) => {
                outcome.end = End::Failed(failure);
                return outcome;
            }
            Err(RecvTimeoutError::Timeout) => {
                outcome.end = End::TooLong;
                return outcome;
            }
            Err(RecvTimeoutError::Disconnected) => return outcome,
        }
    }
}

/// Reads in a worker process; `None` where none can be started.
fn in_worker(
    executable: &Path,
    bytes: &Arc<Vec<u8>>,
    limits: &Limits,
    reading: Reading,
    only: &[(u32, f32)],
) -> Option<Outcome> {
    let mut stint = stint(limits, bytes.len(), reading);
    if reading == Reading::Ocr {
        stint.only = only.to_vec();
        stint.seconds = stint.seconds.saturating_mul(20);
    }
    let mut child = Command::new(executable)
        .arg(COMMAND)
        .args(stint.to_words())
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .ok()?;
    let (Some(mut input), Some(output)) = (child.stdin.take(), child.stdout.take()) else {
        end(&mut child);
        return None;
    };
    let file = Arc::clone(bytes);
    // A worker that does not listen makes this fail or wait until it is stopped; either is told
    // by what it says, or does not say.
    std::thread::spawn(move || {
        let _ = input.write_all(&file);
    });
    let (to, from) = channel();
    let most = u64::try_from(limits.characters)
        .unwrap_or(u64::MAX)
        .saturating_mul(BYTES_A_CHARACTER);
    std::thread::spawn(move || {
        for line in BufReader::new(output.take(most)).split(b'\n') {
            // Whatever is no message was said by somebody else.
            let Ok(line) = line else { return };
            if let Ok(message) = serde_json::from_slice(&line)
                && to.send(message).is_err()
            {
                return;
            }
        }
    });
    let mut patience = Patience::new(limits, reading);
    patience.pages(u32::try_from(only.len()).unwrap_or(u32::MAX), limits);
    let outcome = listen(&from, limits, patience);
    end(&mut child);
    Some(outcome)
}

/// Nothing of a worker outlives its reading: what it had to say was heard, or the time is over.
fn end(child: &mut Child) {
    let _ = child.kill();
    let _ = child.wait();
}

/// Reads in a thread of this process, the first reading only: it has shown no breakdown on
/// hostile files, the second has. Time is limited, memory is not.
fn in_process(bytes: &Arc<Vec<u8>>, limits: &Limits) -> Outcome {
    let stint = stint(limits, bytes.len(), Reading::First);
    let stop = Arc::clone(&stint.stop);
    let (to, from) = channel();
    let file = bytes.to_vec();
    let thread = std::thread::Builder::new()
        .stack_size(64 << 20)
        .spawn(move || {
            worker::read(file, &stint, &mut |message| {
                // nobody listens after the time limit
                let _ = to.send(message);
            });
        });
    if thread.is_err() {
        return Outcome::default();
    }
    let outcome = listen(&from, limits, Patience::new(limits, Reading::First));
    stop.store(true, std::sync::atomic::Ordering::Relaxed);
    outcome
}
