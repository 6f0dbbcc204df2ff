//! Damaged files: reading ends in time, with a text or a message, and never with a panic.
//!
//! The files are damaged copies of those in `tests/outside/data/read/`, by a generator with a fixed
//! seed, so that a failure can be repeated from the name that the message gives.

use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use whomay::read::{Limits, read};

/// A small generator of numbers (xorshift); the same seed gives the same damage everywhere.
pub(crate) struct Dice(u64);

impl Dice {
    /// For one copy of a campaign.
    pub(crate) fn new(seed: u64, copy: usize) -> Self {
        let copy = u64::try_from(copy).expect("small") + 1;
        Self(seed ^ copy.wrapping_mul(0x9e37_79b9_7f4a_7c15))
    }

    pub(crate) fn roll(&mut self, below: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        usize::try_from(self.0 % u64::try_from(below.max(1)).expect("small")).expect("small")
    }
}

pub(crate) fn damaged(sound: &[u8], dice: &mut Dice) -> Vec<u8> {
    let mut bytes = sound.to_vec();
    let len = bytes.len();
    match dice.roll(6) {
        0 => bytes.truncate(dice.roll(len)),
        1 => {
            for _ in 0..[1, 5, 20, 100, 1000][dice.roll(5)] {
                let at = dice.roll(len);
                bytes[at] = u8::try_from(dice.roll(256)).expect("a byte");
            }
        }
        2 => {
            let at = dice.roll(len);
            let end = (at + 2000).min(len);
            bytes[at..end].fill(0);
        }
        3 => {
            let at = dice.roll(len);
            bytes.drain(at..(at + 1500).min(len));
        }
        4 => {
            let at = dice.roll(len);
            let piece = bytes[at.saturating_sub(1000)..at].to_vec();
            bytes.splice(at..at, piece);
        }
        // numbers of the structure: lengths, offsets, references, sizes
        _ => {
            for byte in bytes.iter_mut().filter(|b| b.is_ascii_digit()) {
                if dice.roll(60) == 0 {
                    *byte = b'0' + u8::try_from(dice.roll(10)).expect("a digit");
                }
            }
        }
    }
    bytes
}

fn sound_files() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/outside/data/read");
    let mut files: Vec<PathBuf> = std::fs::read_dir(folder)
        .expect("the folder is in the repository")
        .map(|entry| entry.expect("a file").path())
        .filter(|p| p.extension().is_some_and(|e| e == "pdf" || e == "txt"))
        .collect();
    files.sort();
    files
}

fn campaign(copies: usize, seed: u64) {
    let limits = Limits {
        worker: Some(PathBuf::from(env!("CARGO_BIN_EXE_whomay"))),
        ..Limits::default()
    };
    let folder = tempfile::tempdir().expect("a temporary folder");
    let files: Vec<(PathBuf, Vec<u8>)> = sound_files()
        .into_iter()
        .map(|p| {
            let bytes = std::fs::read(&p).expect("it is there");
            (p, bytes)
        })
        .collect();
    let (mut texts, mut messages, mut slowest) = (0, 0, Duration::ZERO);
    for copy in 0..copies {
        let (path, sound) = &files[copy % files.len()];
        let mut dice = Dice::new(seed, copy);
        let bytes = damaged(sound, &mut dice);
        let damaged = folder.path().join("damaged");
        std::fs::write(&damaged, &bytes).expect("a temporary file");
        let begun = Instant::now();
        let name = damaged.display().to_string();
        // a panic in this process fails the test; one in a worker must not be seen
        match read(&[name], &limits) {
            Ok(text) => {
                assert!(text.content.is_char_boundary(text.content.len()));
                for doubt in &text.doubts {
                    assert!(text.content.get(doubt.span.start..doubt.span.end).is_some());
                }
                for pair in text.anchors.windows(2) {
                    assert!(pair[0].at < pair[1].at, "anchors ascend");
                }
                texts += 1;
            }
            Err(error) => {
                assert!(!error.message.is_empty());
                messages += 1;
            }
        }
        let took = begun.elapsed();
        assert!(
            took < Duration::from_secs(20),
            "copy {copy} of seed {seed} ({}) took {took:?}",
            path.display()
        );
        slowest = slowest.max(took);
    }
    println!("seed {seed}: {texts} texts, {messages} messages, slowest {slowest:?}");
}

/// Forty-eight damaged copies, or as many as `WHOMAY_DAMAGED` says (the long campaign has 500).
#[test]
fn damaged_copies_end_in_a_text_or_a_message() {
    let copies = std::env::var("WHOMAY_DAMAGED")
        .ok()
        .and_then(|n| n.parse().ok())
        .unwrap_or(48);
    campaign(copies, 1);
}
