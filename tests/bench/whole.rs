//! Whole runs of the program as a user starts it, against start-up and against `pdftotext` on the
//! same file, in one run.
//!
//! `cargo bench --bench whole`

use std::path::PathBuf;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

const RUNS: usize = 41;

fn median(mut command: impl FnMut() -> Option<Command>) -> Option<Duration> {
    let mut times = Vec::new();
    for _ in 0..RUNS {
        let mut command = command()?;
        command.stdout(Stdio::null()).stderr(Stdio::null());
        let start = Instant::now();
        if !command.status().ok()?.success() {
            return None;
        }
        times.push(start.elapsed());
    }
    times.sort_unstable();
    times.get(RUNS / 2).copied()
}

fn main() {
    let samples = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("samples");
    let whomay = |arguments: &[&str], file: Option<&str>| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_whomay"));
        command.args(arguments).args(file.map(|f| samples.join(f)));
        Some(command)
    };
    let day = ["--on", "2026-11-25"];
    let version = median(|| whomay(&["--version"], None));
    let rules = median(|| whomay(&["rules"], None));
    let who = median(|| whomay(&["who", day[0], day[1]], Some("open-list-f.txt")));
    let text = median(|| whomay(&["read", day[0], day[1]], Some("open-list-f.txt")));
    let pdf = median(|| whomay(&["read", day[0], day[1]], Some("open-list-f.pdf")));
    let pdftotext = median(|| {
        let mut command = Command::new("pdftotext");
        command.arg(samples.join("open-list-f.pdf")).arg("-");
        Some(command)
    });
    let show = |name: &str, time: Option<Duration>, than: &str, other: Option<Duration>| {
        let Some(time) = time else {
            println!("{name:34} could not be run");
            return;
        };
        let ratio = other.map_or_else(String::new, |o| {
            format!("{:6.2} x {than}", time.as_secs_f64() / o.as_secs_f64())
        });
        println!("{name:34} {:7.2} ms  {ratio}", time.as_secs_f64() * 1e3);
    };
    show("start-up (--version)", version, "", None);
    show("patterns loaded (rules)", rules, "start-up", version);
    show("who, 6-page text letter", who, "patterns loaded", rules);
    show(
        "whole report, 6-page text letter",
        text,
        "patterns loaded",
        rules,
    );
    show("pdftotext, 6-page PDF", pdftotext, "", None);
    show("whole report, 6-page PDF", pdf, "pdftotext", pdftotext);
}
