//! Surveys of generated clubs: letters a second and core, growth from 1,000 to 10,000 letters,
//! peak memory (Linux).
//!
//! `cargo bench --bench survey`

#[path = "../suite/survey/club.rs"]
#[expect(dead_code, reason = "the truth of the letters is for the tests")]
mod club;

use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

fn run(folder: &Path, jobs: &str) -> (Duration, u64) {
    let start = Instant::now();
    let mut child = Command::new(env!("CARGO_BIN_EXE_whomay"))
        .args([
            "survey",
            "--on=2026-11-25",
            ".",
            "--format",
            "json",
            "--jobs",
            jobs,
        ])
        .current_dir(folder)
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .expect("the program is built");
    let mut peak = 0;
    loop {
        // The peak as the system counts it; gone when the program ends.
        let status = std::fs::read_to_string(format!("/proc/{}/status", child.id()));
        let line = status.ok().and_then(|s| {
            s.lines().find_map(|l| {
                l.strip_prefix("VmHWM:")?
                    .split_whitespace()
                    .next()?
                    .parse()
                    .ok()
            })
        });
        peak = peak.max(line.unwrap_or(0));
        if child.try_wait().is_ok_and(|done| done.is_some()) {
            return (start.elapsed(), peak);
        }
        std::thread::sleep(Duration::from_millis(5));
    }
}

fn main() {
    let mut first = None;
    for letters in [1000_usize, 10_000] {
        let folder = tempfile::tempdir().expect("a folder");
        let mut bytes = 0;
        for letter in club::club(letters, 42) {
            let path = folder.path().join(&letter.file);
            bytes += letter.bytes.len();
            std::fs::create_dir_all(path.parent().expect("it has a folder")).expect("a folder");
            std::fs::write(path, letter.bytes).expect("a letter");
        }
        for jobs in ["1", "2"] {
            let (time, peak) = run(folder.path(), jobs);
            #[expect(clippy::cast_precision_loss, reason = "a few thousand")]
            let rate = letters as f64 / time.as_secs_f64();
            println!(
                "{letters:6} letters of {} bytes, {jobs} threads: {:7.2} s, {rate:7.0} letters/s, \
                 {} MB at most",
                bytes / letters,
                time.as_secs_f64(),
                peak / 1024
            );
            if jobs == "1" {
                match first {
                    None => first = Some(time),
                    Some(before) => println!(
                        "growth from 1,000 to 10,000: {:.2} x",
                        time.as_secs_f64() / before.as_secs_f64()
                    ),
                }
            }
        }
    }
}
