//! The page on this machine: drop a letter, read the answer.
//!
//! ```text
//! browser ─door─▶ routes ┬─upload─▶ shelf ─desk─▶ read, understand, compare (two lanes)
//!  (loopback, token)     └─pages ◀── shelf ◀─ facts of the question in the address
//! ```
//!
//! Everything is held in memory until the program stops or the shelf is full, but for a survey, which
//! reads from a private folder that is emptied at once; nothing is logged, nothing leaves the machine.
//! Each address starts with a token that only this run knows (`door`); what the reader says stands in
//! the query of the address (`facts`), so a page is a pure function of a letter and its address.

mod desk;
mod door;
mod facts;
mod held;
mod lock;
mod pages;
mod routes;
mod shelf;
mod surveyed;
mod upload;

use std::net::{Ipv4Addr, SocketAddr};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use jiff::civil::Date;
use tokio::net::TcpListener;
use tokio::sync::Semaphore;

use crate::patterns::Patterns;
use crate::read::Limits;
use shelf::Shelf;

/// Columns of the pictures of scanned pages.
const COLUMNS: u32 = crate::report::html::COLUMNS;
/// How long open connections are waited for at the end.
const FAREWELL: Duration = Duration::from_millis(300);

/// How the page is served.
#[derive(Debug)]
pub struct Options {
    /// The port; 0 for any that is free.
    pub port: u16,
    /// Whether to open a browser.
    pub open: bool,
    /// The patterns to read with.
    pub patterns: Patterns,
    /// Limits of one letter.
    pub limits: Limits,
    /// The day that is asked about unless the reader names one.
    pub today: fn() -> Date,
}

/// Why the page cannot be served.
#[derive(Debug, thiserror::Error)]
pub enum ServeError {
    /// The port is taken.
    #[error("port {0} cannot be had: {1}; leave --port out for a free one")]
    Port(u16, std::io::Error),
    /// The system has no random numbers, so nobody could be kept out.
    #[error("no random numbers to be had from the system, so the page could not be kept private")]
    Random,
    /// The server stopped.
    #[error("the page broke down: {0}")]
    Broken(#[from] std::io::Error),
}

/// What is told while the page is served.
#[derive(Debug)]
pub enum Told<'a> {
    /// The page is there, under this address.
    Ready(&'a str),
    /// It was there already.
    Running(&'a str),
    /// No browser could be opened.
    NoBrowser,
}

/// What all requests share.
#[derive(Debug)]
struct House {
    patterns: Arc<Patterns>,
    limits: Limits,
    today: fn() -> Date,
    /// First part of every address.
    token: String,
    /// Another one, good for one use: for the command line of the browser, which others may see.
    key: Mutex<Option<String>>,
    port: u16,
    /// A private folder for what has to be a file for a moment; it goes when the program ends.
    folder: PathBuf,
    shelf: Mutex<Shelf>,
    /// KiB of letters that are being received or wait to be read.
    room: Arc<Semaphore>,
    /// Letters that take a worker process are read one after the other.
    slow: Semaphore,
    quick: Semaphore,
    /// Pages made at once.
    making: Semaphore,
}

/// The shelf, for a moment.
fn shelf(house: &House) -> MutexGuard<'_, Shelf> {
    house.shelf.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Serves the page until the program is told to stop (Ctrl-C), or says where it is served already.
///
/// # Errors
/// [`ServeError`]
pub fn run(options: Options, tell: &dyn Fn(Told<'_>)) -> Result<(), ServeError> {
    let lock = match lock::take() {
        lock::Outcome::Mine(lock) => Some(lock),
        lock::Outcome::Taken(address) => {
            tell(Told::Running(&address));
            if options.open && open::that_detached(&address).is_err() {
                tell(Told::NoBrowser);
            }
            return Ok(());
        }
        lock::Outcome::NoPlace => None,
    };
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .enable_all()
        .build()?;
    let folder = tempfile::Builder::new().prefix("whomay-").tempdir()?;
    let served = runtime.block_on(serve(options, lock, folder.path(), tell));
    // A letter that is being read is not waited for.
    runtime.shutdown_timeout(FAREWELL);
    served
}

async fn serve(
    options: Options,
    mut lock: Option<lock::Lock>,
    folder: &Path,
    tell: &dyn Fn(Told<'_>),
) -> Result<(), ServeError> {
    let wanted = SocketAddr::from((Ipv4Addr::LOCALHOST, options.port));
    let listener = TcpListener::bind(wanted)
        .await
        .map_err(|e| ServeError::Port(options.port, e))?;
    let port = listener.local_addr()?.port();
    let token = door::token().ok_or(ServeError::Random)?;
    let key = door::token().ok_or(ServeError::Random)?;
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    let house = Arc::new(House {
        patterns: Arc::new(options.patterns),
        limits: Limits {
            pictures: COLUMNS,
            progress: None,
            ..options.limits
        },
        today: options.today,
        token: token.clone(),
        key: Mutex::new(Some(key.clone())),
        port,
        folder: folder.to_owned(),
        shelf: Mutex::default(),
        room: Arc::new(Semaphore::new(upload::ROOM)),
        slow: Semaphore::new(1),
        quick: Semaphore::new(cores.min(4)),
        making: Semaphore::new(cores.min(4)),
    });
    let address = format!("http://127.0.0.1:{port}/{token}/");
    if let Some(lock) = &mut lock {
        lock.say(&address);
    }
    tell(Told::Ready(&address));
    if options.open && open::that_detached(format!("http://127.0.0.1:{port}/open/{key}")).is_err() {
        tell(Told::NoBrowser);
    }
    let server = axum::serve(listener, routes::router(house)).into_future();
    // Streams of progress never end by themselves, so the end is not a graceful one.
    tokio::select! {
        ended = server => ended?,
        () = stopped() => {}
    }
    Ok(())
}

/// Ctrl-C, or a polite end by the system.
async fn stopped() {
    let interrupt = async {
        if tokio::signal::ctrl_c().await.is_err() {
            std::future::pending::<()>().await;
        }
    };
    #[cfg(unix)]
    let terminate = async {
        match tokio::signal::unix::signal(tokio::signal::unix::SignalKind::terminate()) {
            Ok(mut signal) => {
                signal.recv().await;
            }
            Err(_) => std::future::pending().await,
        }
    };
    #[cfg(not(unix))]
    let terminate = std::future::pending::<()>();
    tokio::select! {
        () = interrupt => {}
        () = terminate => {}
    }
}
