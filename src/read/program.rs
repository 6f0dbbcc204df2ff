//! The executable that reads files as a worker.

use std::path::PathBuf;
use std::sync::OnceLock;

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
