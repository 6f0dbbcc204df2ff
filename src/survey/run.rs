//! Reads letters on all cores and hands the rows over in the order of the letters, whatever the
//! threads do.

use std::collections::BTreeMap;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Condvar, Mutex, PoisonError, mpsc};

use super::Survey;
use super::find::{Entry, Opened};
use super::redact::Identity;
use super::row::Row;

/// Rows that may be finished before an earlier one is; it bounds the memory.
const AHEAD: usize = 128;

/// Stack of a thread that reads.
const STACK: usize = 16 << 20;

/// How far the rows have been handed over.
#[derive(Default)]
struct Progress {
    done: Mutex<usize>,
    moved: Condvar,
    stop: AtomicBool,
}

/// Reads the letters from number `from` on and hands each row to `each`, in order.
///
/// # Errors
/// The first error of `each`; then no further letter is read.
pub(super) fn run<E: Send>(
    survey: &Survey<'_>,
    entries: &[Entry],
    from: usize,
    mut each: impl FnMut(Row) -> Result<(), E>,
) -> Result<(), E> {
    let next = AtomicUsize::new(from);
    let progress = Progress {
        done: Mutex::new(from),
        ..Progress::default()
    };
    let threads = survey
        .threads
        .max(1)
        .min(entries.len().saturating_sub(from).max(1));
    std::thread::scope(|scope| {
        let (to, rows) = mpsc::channel();
        let mut running = 0;
        for _ in 0..threads {
            let to = to.clone();
            let work = || work(survey, entries, &next, &progress, to);
            let thread = std::thread::Builder::new().stack_size(STACK);
            running += usize::from(thread.spawn_scoped(scope, work).is_ok());
        }
        drop(to);
        if running == 0 {
            // No thread is to be had: this one does the work.
            return alone(survey, entries, from, &mut each);
        }
        let outcome = hand_over(rows, from, &progress, &mut each);
        progress.stop.store(true, Ordering::Relaxed);
        progress.moved.notify_all();
        outcome
    })
}

fn work(
    survey: &Survey<'_>,
    entries: &[Entry],
    next: &AtomicUsize,
    progress: &Progress,
    to: mpsc::Sender<(usize, Row)>,
) {
    let mut opened = Opened::default();
    loop {
        let n = next.fetch_add(1, Ordering::Relaxed);
        let Some(entry) = entries.get(n) else { return };
        let mut done = progress.done.lock().unwrap_or_else(PoisonError::into_inner);
        while n >= *done + AHEAD && !progress.stop.load(Ordering::Relaxed) {
            done = progress
                .moved
                .wait(done)
                .unwrap_or_else(PoisonError::into_inner);
        }
        drop(done);
        if progress.stop.load(Ordering::Relaxed) {
            return;
        }
        if to.send((n, row(survey, n, entry, &mut opened))).is_err() {
            return;
        }
    }
}

/// One letter after the other.
fn alone<E>(
    survey: &Survey<'_>,
    entries: &[Entry],
    from: usize,
    each: &mut impl FnMut(Row) -> Result<(), E>,
) -> Result<(), E> {
    let mut opened = Opened::default();
    for (n, entry) in entries.iter().enumerate().skip(from) {
        each(row(survey, n, entry, &mut opened))?;
    }
    Ok(())
}

/// The row of a letter, whatever the letter does.
fn row(survey: &Survey<'_>, n: usize, entry: &Entry, opened: &mut Opened) -> Row {
    catch_unwind(AssertUnwindSafe(|| survey.row(n, entry, opened))).unwrap_or_else(|_| {
        *opened = Opened::default();
        Row::unreadable(
            number(n),
            survey.name(n, entry, &Identity::default()),
            "the program broke down on this file; please report it".to_owned(),
        )
    })
}

/// The number of a row, from 1.
pub(super) fn number(index: usize) -> u64 {
    u64::try_from(index).unwrap_or(u64::MAX).saturating_add(1)
}

fn hand_over<E>(
    rows: mpsc::Receiver<(usize, Row)>,
    from: usize,
    progress: &Progress,
    each: &mut impl FnMut(Row) -> Result<(), E>,
) -> Result<(), E> {
    let mut waiting: BTreeMap<usize, Row> = BTreeMap::new();
    let mut next = from;
    for (n, row) in rows {
        waiting.insert(n, row);
        let before = next;
        while let Some(row) = waiting.remove(&next) {
            each(row)?;
            next += 1;
        }
        if next != before {
            *progress.done.lock().unwrap_or_else(PoisonError::into_inner) = next;
            progress.moved.notify_all();
        }
    }
    Ok(())
}
