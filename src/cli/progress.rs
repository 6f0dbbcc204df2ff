//! How far the reading of pictures is, on standard error.

use std::io::IsTerminal;
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use crate::read::Progress;

/// Reading that is over sooner shows nothing.
const PATIENCE: Duration = Duration::from_secs(1);

/// The bar, and since when pages are read.
struct Bar {
    since: Instant,
    bar: Option<ProgressBar>,
}

static BAR: Mutex<Option<Bar>> = Mutex::new(None);

/// Shows a bar where a person looks on.
pub(super) fn wanted(quiet: bool) -> Option<Progress> {
    (!quiet && std::io::stderr().is_terminal()).then(|| Progress::new(show))
}

fn show(done: u32, all: u32) {
    let mut slot = BAR.lock().unwrap_or_else(PoisonError::into_inner);
    let state = slot.get_or_insert_with(|| Bar {
        since: Instant::now(),
        bar: None,
    });
    if done >= all {
        if let Some(bar) = state.bar.take() {
            bar.finish_and_clear();
        }
        *slot = None;
        return;
    }
    if state.since.elapsed() < PATIENCE {
        return;
    }
    let bar = state.bar.get_or_insert_with(|| {
        let bar = ProgressBar::with_draw_target(Some(u64::from(all)), ProgressDrawTarget::stderr());
        if let Ok(style) =
            ProgressStyle::with_template("reading pictures: page {pos} of {len} done, {eta} left")
        {
            bar.set_style(style);
        }
        bar
    });
    bar.set_length(u64::from(all));
    bar.set_position(u64::from(done));
}
