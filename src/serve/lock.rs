//! One page at a time: a file that the running program holds locked and in which its address
//! stands.

use std::fs::{File, TryLockError};
use std::io::{Read, Seek, Write};
use std::path::PathBuf;

use crate::survey::private;

/// What came of taking the lock.
pub(super) enum Outcome {
    /// This program serves.
    Mine(Lock),
    /// Another one does, there.
    Taken(String),
    /// There is no private place for a lock.
    NoPlace,
}

/// Held while the program runs; the system lets go of it whatever ends the program.
pub(super) struct Lock(File);

pub(super) fn take() -> Outcome {
    let Some(mut file) = open() else {
        return Outcome::NoPlace;
    };
    match file.try_lock() {
        Ok(()) => Outcome::Mine(Lock(file)),
        Err(TryLockError::WouldBlock) => {
            // The other one may be about to write its address.
            for _ in 0..20 {
                let mut address = String::new();
                if file.rewind().is_ok()
                    && (&file).take(400).read_to_string(&mut address).is_ok()
                    && address.ends_with("/\n")
                {
                    return Outcome::Taken(address.trim_end().to_owned());
                }
                std::thread::sleep(std::time::Duration::from_millis(50));
            }
            Outcome::NoPlace
        }
        Err(TryLockError::Error(_)) => Outcome::NoPlace,
    }
}

impl Lock {
    /// Writes the address down for the next one.
    pub(super) fn say(&mut self, address: &str) {
        // Without it a second start serves on its own port; nothing is lost.
        let _ = self
            .0
            .set_len(0)
            .and_then(|()| self.0.rewind())
            .and_then(|()| writeln!(self.0, "{address}"));
    }
}

impl Drop for Lock {
    fn drop(&mut self) {
        let _ = self.0.set_len(0);
    }
}

/// A folder that only this user can look into.
fn folder() -> Option<PathBuf> {
    let of = |name: &str| {
        std::env::var_os(name)
            .map(PathBuf::from)
            .filter(|p| p.is_absolute())
    };
    of("XDG_RUNTIME_DIR")
        .or_else(|| of("XDG_CACHE_HOME").map(|p| p.join("whomay")))
        .or_else(|| of("LOCALAPPDATA").map(|p| p.join("whomay")))
        .or_else(|| of("HOME").map(|p| p.join(".cache").join("whomay")))
}

/// The file, if nobody else can write an address into it.
fn open() -> Option<File> {
    let folder = folder()?;
    private::folder(&folder).ok()?;
    private::file(&folder.join("whomay-serve.lock")).ok()
}
