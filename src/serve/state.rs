//! What all requests share.

use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use jiff::civil::Date;
use tokio::sync::Semaphore;

use super::jobs::Jobs;
use super::keys::Keys;
use crate::patterns::Patterns;
use crate::read::Limits;

/// What all requests share.
#[derive(Debug)]
pub(super) struct AppState {
    pub(super) patterns: Arc<Patterns>,
    pub(super) limits: Limits,
    pub(super) today: fn() -> Date,
    /// First part of every address.
    pub(super) token: String,
    /// Others, good for one use: for the command line of the browser, which others may see.
    pub(super) keys: Mutex<Keys>,
    pub(super) port: u16,
    /// Told where the reader ends the program on its page.
    pub(super) stop: tokio::sync::Notify,
    pub(super) jobs: Mutex<Jobs>,
    /// KiB of letters that are being received or wait to be read.
    pub(super) room: Arc<Semaphore>,
    /// The same for small ones, which wait for no large one.
    pub(super) small_room: Arc<Semaphore>,
    /// Letters that take a worker process are read one after the other.
    pub(super) slow: Semaphore,
    /// So are long texts, and surveys.
    pub(super) large: Semaphore,
    pub(super) quick: Semaphore,
    /// Pages made at once.
    pub(super) making: Arc<Semaphore>,
    /// The same of long letters.
    pub(super) making_large: Arc<Semaphore>,
}

/// Does work on a thread that may take its time; `None` where it panics, or no thread is to be had.
pub(super) async fn blocking<T: Send + 'static>(
    work: impl FnOnce() -> T + Send + 'static,
) -> Option<T> {
    // The call itself panics where the system gives no thread.
    let spawn = std::panic::AssertUnwindSafe(|| tokio::task::spawn_blocking(work));
    let spawned = std::panic::catch_unwind(spawn).ok()?;
    spawned.await.ok()
}

/// The jobs, for a moment.
pub(super) fn jobs(app: &AppState) -> MutexGuard<'_, Jobs> {
    app.jobs.lock().unwrap_or_else(PoisonError::into_inner)
}
