//! The program's side of the worker: starts it, feeds it, listens, and stops it in time.

use std::io::{BufRead, BufReader, Read, Write};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, RecvTimeoutError, channel};
use std::time::{Duration, Instant};

use super::page::{Fault, Page};
use super::stint::{Failure, Message, Method, Stint};
use super::worker::{self, COMMAND};
use super::{Limits, Ocr};
use crate::model::ReadNote;

/// What came of one reading.
#[derive(Debug, Default)]
pub(super) struct Outcome {
    /// Pages that the file has; at least as many as were read.
    pub(super) total: u32,
    /// Pages that were read.
    pub(super) pages: Vec<Page>,
    /// Pages that were begun and not finished.
    pub(super) begun: Vec<u32>,
    /// The file has no end, or fewer pages than it counts.
    pub(super) breaks_off: bool,
    /// What the reader has to know.
    pub(super) notes: Vec<ReadNote>,
    /// Why the file cannot be read, in words.
    pub(super) refused: Option<String>,
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
        return (in_process(bytes, limits, Method::First), not_tried());
    };
    std::thread::scope(|scope| {
        let read = || in_worker(executable, bytes, limits, Method::Second, &[], 0);
        // without a thread there is no second reading
        let second = std::thread::Builder::new().spawn_scoped(scope, read);
        let first = in_worker(executable, bytes, limits, Method::First, &[], 0)
            // no process to be had: better read without protection than not at all
            .unwrap_or_else(|| in_process(bytes, limits, Method::First));
        let second = second.ok().and_then(|thread| thread.join().ok().flatten());
        let second = second.unwrap_or_else(not_tried);
        (first, second)
    })
}

/// Reads a word processor's file.
pub(super) fn packed(bytes: &Arc<Vec<u8>>, limits: &Limits) -> Outcome {
    limits
        .worker
        .as_deref()
        .and_then(|executable| in_worker(executable, bytes, limits, Method::Packed, &[], 0))
        .unwrap_or_else(|| in_process(bytes, limits, Method::Packed))
}

/// Workers that may be lost on the pictures of one file before the rest is given up.
const LOST: usize = 8;

/// Reads pictures: the pages `only` of a PDF, or all of a picture file.
///
/// A page that takes too long or breaks the worker is given up; another worker goes on with the
/// rest. Without a worker nothing is read: the models take memory and time that only a process of
/// their own can be held to.
pub(super) fn ocr(bytes: &Arc<Vec<u8>>, only: &[(u32, f32)], limits: &Limits) -> Outcome {
    let none = limits.ocr == Ocr::Off || !cfg!(feature = "ocr");
    let (false, Some(executable)) = (none, limits.worker.as_deref()) else {
        return not_tried();
    };
    let mut all = Outcome::default();
    let mut left = only.to_vec();
    for _ in 0..LOST {
        if limits.stopped() {
            return all;
        }
        let done = u32::try_from(all.pages.len()).unwrap_or(u32::MAX);
        let Some(outcome) = in_worker(executable, bytes, limits, Method::Ocr, &left, done) else {
            return if all.pages.is_empty() {
                not_tried()
            } else {
                all
            };
        };
        all.total = all.total.max(outcome.total);
        all.end = outcome.end;
        all.pages.extend(outcome.pages);
        let fault = match outcome.end {
            End::Done | End::NotTried | End::Failed(_) => return all,
            End::TooLong => Fault::TooLong,
            End::Broken => Fault::Broken,
        };
        all.pages.extend(outcome.begun.iter().map(|&number| Page {
            number,
            fault: Some(fault),
            ..Page::default()
        }));
        if outcome.begun.is_empty() {
            return all;
        }
        if left.is_empty() {
            left = (1..=all.total).map(|page| (page, 0.0)).collect();
        }
        left.retain(|(number, _)| all.pages.iter().all(|p| p.number != *number));
        if left.is_empty() {
            all.end = End::Done;
            return all;
        }
    }
    all
}

fn not_tried() -> Outcome {
    Outcome {
        end: End::NotTried,
        ..Outcome::default()
    }
}

fn stint(limits: &Limits, bytes: usize, reading: Method) -> Stint {
    let at_once = match reading {
        Method::Ocr => crate::threads::cores(),
        _ => 0,
    };
    let pages = u64::try_from(at_once).unwrap_or(1) * Limits::MEMORY_OF_A_PAGE;
    Stint {
        reading,
        pages: limits.pages,
        only: Vec::new(),
        ocr: limits.ocr.clone(),
        page_seconds: limits.seconds.div_ceil(2),
        seconds: limits.seconds.saturating_add(u64::from(limits.pages)),
        memory: limits.memory.saturating_add(pages),
        bytes: u64::try_from(bytes).unwrap_or(u64::MAX),
        characters: u64::try_from(limits.characters).unwrap_or(u64::MAX),
        pictures: limits.pictures,
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
    fn new(limits: &Limits, reading: Method) -> Self {
        let seconds = Duration::from_secs(limits.seconds);
        // The second reading only checks the first; it may not hold up the answer as long.
        let next = match reading {
            Method::First | Method::Packed => seconds,
            Method::Second => seconds / 4,
            Method::Ocr => Duration::from_secs(limits.ocr_seconds),
        };
        Self {
            begun: Instant::now(),
            whole: next,
            next,
            page: match reading {
                Method::First | Method::Second | Method::Packed => Duration::from_secs(1),
                Method::Ocr => next,
            },
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

/// How often it is asked whether anybody still waits.
const TICK: Duration = Duration::from_millis(100);

/// The next message, within that time and while the reading is not stopped.
fn received(
    from: &Receiver<Message>,
    within: Duration,
    limits: &Limits,
) -> Result<Message, RecvTimeoutError> {
    let until = Instant::now() + within;
    loop {
        let left = until.saturating_duration_since(Instant::now());
        match from.recv_timeout(left.min(TICK)) {
            Err(RecvTimeoutError::Timeout) if !left.is_zero() && !limits.stopped() => {}
            other => return other,
        }
    }
}

/// Collects what comes until the end, the limit or silence.
fn listen(
    from: &Receiver<Message>,
    limits: &Limits,
    mut patience: Patience,
    mut progress: impl FnMut(&Outcome),
) -> Outcome {
    let mut outcome = Outcome::default();
    loop {
        match received(from, patience.left(), limits) {
            Ok(Message::Opened { pages, whole }) => {
                outcome.total = pages;
                outcome.breaks_off = !whole;
                patience.pages(pages, limits);
            }
            Ok(Message::Begun { page }) => {
                outcome.begun.push(page);
                progress(&outcome);
            }
            Ok(Message::Page(page)) => {
                outcome.begun.retain(|&n| n != page.number);
                outcome.pages.push(page);
                progress(&outcome);
            }
            Ok(Message::Note(note)) => outcome.notes.push(note),
            Ok(Message::Refused(why)) => {
                outcome.refused = Some(why);
                outcome.end = End::Done;
                return outcome;
            }
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
    reading: Method,
    only: &[(u32, f32)],
    done: u32,
) -> Option<Outcome> {
    let mut stint = stint(limits, bytes.len(), reading);
    if reading == Method::Ocr {
        stint.only = only.to_vec();
        // processor time: as many cores as read pages, and the pages one after the other
        stint.seconds = limits
            .ocr_seconds
            .saturating_mul(u64::from(limits.pages).saturating_mul(2));
    }
    let mut child = Command::new(executable)
        .arg(COMMAND)
        .args(stint.to_words())
        // Reading has threads of its own, as many as it may use cores. Those that the library would
        // start for each core of the machine would take memory that the worker does not have.
        .env("RTEN_NUM_THREADS", "1")
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
    // by what it says, or does not say. The pipe is kept open: its end tells the worker that this
    // process is gone, whatever ended it.
    let feeds = std::thread::Builder::new().spawn(move || {
        let _ = input.write_all(&file);
        input
    });
    let (to, from) = channel();
    let most = u64::try_from(limits.characters)
        .unwrap_or(u64::MAX)
        .saturating_mul(BYTES_A_CHARACTER);
    let hears = std::thread::Builder::new().spawn(move || {
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
    if feeds.is_err() || hears.is_err() {
        end(&mut child);
        return None;
    }
    let mut patience = Patience::new(limits, reading);
    patience.pages(u32::try_from(only.len()).unwrap_or(u32::MAX), limits);
    let outcome = listen(&from, limits, patience, |so_far| {
        if let (Some(progress), Method::Ocr) = (&limits.progress, reading) {
            let all = u32::try_from(only.len()).unwrap_or(u32::MAX);
            let all = if all == 0 { so_far.total } else { all };
            let read = u32::try_from(so_far.pages.len()).unwrap_or(u32::MAX);
            progress.tell(done.saturating_add(read), done.saturating_add(all));
        }
    });
    end(&mut child);
    drop(feeds);
    Some(outcome)
}

/// Nothing of a worker outlives its reading: what it had to say was heard, or the time is over.
fn end(child: &mut Child) {
    let _ = child.kill();
    let _ = child.wait();
}

/// Reads in a thread of this process, never the second reading, which has shown breakdowns on
/// hostile files. Time is limited, memory is not.
fn in_process(bytes: &Arc<Vec<u8>>, limits: &Limits, reading: Method) -> Outcome {
    let stint = stint(limits, bytes.len(), reading);
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
    let outcome = listen(&from, limits, Patience::new(limits, reading), |_| ());
    stop.store(true, std::sync::atomic::Ordering::Relaxed);
    outcome
}
