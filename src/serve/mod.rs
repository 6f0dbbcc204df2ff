//! The page on this machine: drop a letter, read the answer.
//!
//! ```text
//! browser ─guard─▶ routes ┬─upload─▶ jobs ─worker─▶ read, understand, compare (two lanes)
//!  (loopback, token)      └─pages ◀── jobs ◀─ facts of the question in the address
//! ```
//!
//! Everything is held in memory until the program stops or too much is held; nothing of a letter
//! becomes a file, nothing is logged, nothing leaves the machine.
//! Each address starts with a token that only this run knows (`guard`); what the reader says stands in
//! the query of the address (`facts`), so a page is a pure function of a letter and its address.

mod facts;
mod guard;
mod held;
mod jobs;
mod keys;
mod listen;
mod lock;
mod pages;
mod routes;
mod second;
mod state;
mod surveyed;
mod upload;
mod worker;

use std::net::{Ipv4Addr, SocketAddr};
use std::sync::{Arc, Mutex};
use std::time::Duration;

use jiff::civil::Date;
use tokio::net::TcpListener;
use tokio::sync::Semaphore;

use crate::patterns::Patterns;
use crate::read::Limits;
use state::{AppState, jobs};

/// Columns of the pictures of scanned pages.
const COLUMNS: u32 = crate::report::html::COLUMNS;
/// How long open connections are waited for at the end.
const FAREWELL: Duration = Duration::from_millis(300);
/// How often the jobs are looked through.
const CLEAN_UP: Duration = Duration::from_secs(300);

/// How the page is served.
#[derive(Debug)]
pub struct Options {
    /// The port; 0 for any that is free.
    pub port: u16,
    /// Whether to open a browser.
    pub open: bool,
    /// Files of one letter that is read at once, each with its name.
    pub files: Vec<(String, Vec<u8>)>,
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

/// Serves the page until the program is told to stop (Ctrl-C), or says where it is served already.
///
/// # Errors
/// [`ServeError`]
pub fn run(options: Options, tell: &dyn Fn(Told<'_>)) -> Result<(), ServeError> {
    let lock = match lock::take() {
        lock::Outcome::Mine(lock) => Some(lock),
        lock::Outcome::Taken(address) => {
            tell(Told::Running(&address));
            let to = second::hand_over(&address, &options.files)?;
            if options.open && shown(&address, &to).is_err() {
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
    let served = runtime.block_on(serve(options, lock, tell));
    // A letter that is being read is not waited for.
    runtime.shutdown_timeout(FAREWELL);
    served
}

/// Opens a browser at a page of the one that runs.
fn shown(address: &str, to: &str) -> std::io::Result<()> {
    open::that_detached(second::key(address, to)?)
}

async fn serve(
    options: Options,
    mut lock: Option<lock::Lock>,
    tell: &dyn Fn(Told<'_>),
) -> Result<(), ServeError> {
    let wanted = SocketAddr::from((Ipv4Addr::LOCALHOST, options.port));
    let listener = TcpListener::bind(wanted)
        .await
        .map_err(|e| ServeError::Port(options.port, e))?;
    let port = listener.local_addr()?.port();
    let token = keys::token().ok_or(ServeError::Random)?;
    let cores = crate::threads::cores();
    let app = Arc::new(AppState {
        patterns: Arc::new(options.patterns),
        limits: Limits {
            pictures: COLUMNS,
            progress: None,
            ..options.limits
        },
        today: options.today,
        token: token.clone(),
        keys: Mutex::default(),
        port,
        stop: tokio::sync::Notify::new(),
        jobs: Mutex::default(),
        room: Arc::new(Semaphore::new(upload::ROOM)),
        small_room: Arc::new(Semaphore::new(upload::SMALL_ROOM)),
        slow: Semaphore::new(1),
        large: Semaphore::new(1),
        quick: Semaphore::new(cores.clamp(2, 4)),
        making: Arc::new(Semaphore::new(cores.clamp(2, 4))),
        making_large: Arc::new(Semaphore::new(1)),
    });
    let address = format!("http://127.0.0.1:{port}/{token}/");
    if let Some(lock) = &mut lock {
        lock.say(&address);
    }
    tell(Told::Ready(&address));
    let (files, open) = (options.files, options.open);
    // Files take the way of an upload: every limit holds for them too.
    let begin = async {
        let begun = state::blocking(move || -> std::io::Result<()> {
            let to = second::hand_over(&address, &files)?;
            if open { shown(&address, &to) } else { Ok(()) }
        });
        if !matches!(begun.await, Some(Ok(()))) {
            tell(Told::NoBrowser);
        }
        std::future::pending::<()>().await;
    };
    let ages = cleaned_up(Arc::clone(&app));
    let here = Arc::clone(&app);
    let server = listen::serve(listener, routes::router(app));
    // Streams of progress never end by themselves, so the end is not a graceful one.
    tokio::select! {
        () = server => {}
        () = ages => {}
        () = begin => {}
        () = stopped() => {}
        () = here.stop.notified() => {
            // The page that says so is still on its way.
            tokio::time::sleep(FAREWELL).await;
        }
    }
    Ok(())
}

/// Lets go of letters that nobody has looked at for long.
async fn cleaned_up(app: Arc<AppState>) {
    loop {
        tokio::time::sleep(CLEAN_UP).await;
        jobs(&app).clean_up();
    }
}

/// Ctrl-C, the end of the terminal or of the session, or a polite end by the system.
#[cfg(unix)]
async fn stopped() {
    use tokio::signal::unix::{SignalKind, signal};
    let mut ends = Vec::new();
    for kind in [
        SignalKind::interrupt(),
        SignalKind::terminate(),
        SignalKind::hangup(),
        SignalKind::quit(),
    ] {
        let Ok(mut signal) = signal(kind) else {
            continue;
        };
        ends.push(Box::pin(async move { signal.recv().await }));
    }
    if ends.is_empty() {
        std::future::pending::<()>().await;
    }
    futures_util::future::select_all(ends).await;
}

/// Ctrl-C.
#[cfg(not(unix))]
async fn stopped() {
    if tokio::signal::ctrl_c().await.is_err() {
        std::future::pending::<()>().await;
    }
}
