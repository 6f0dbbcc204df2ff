//! How long reading takes, against `pdftotext` on the same files in the same run.
//!
//! ```text
//! cargo bench --bench reading -- FILE...         medians in milliseconds, and their ratio
//! cargo bench --bench reading -- --text FILE     the text as read, notes on standard error
//! cargo bench --bench reading -- --doubts FILE...  a line of JSON for each file, a letter of its own: its text
//!     and doubts as OCR has them (`read`) and as the program goes on with them (`text`); see `lines.py`
//! ```

use std::path::PathBuf;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use whomay::model::Text;
use whomay::patterns::Patterns;
use whomay::read::{Limits, read};

/// Runs of each; the median counts.
const RUNS: usize = 41;

fn main() {
    let arguments: Vec<String> = std::env::args()
        .skip(1)
        .filter(|a| a != "--bench")
        .collect();
    let limits = Limits {
        worker: Some(PathBuf::from(env!("CARGO_BIN_EXE_whomay"))),
        ..Limits::default()
    };
    match arguments.as_slice() {
        [flag, files @ ..] if flag == "--text" => show(files, &limits),
        [flag, files @ ..] if flag == "--doubts" => doubts(files, &limits),
        files => measure(files, &limits),
    }
}

fn show(files: &[String], limits: &Limits) {
    match read(files, limits) {
        Ok(text) => {
            let text = whomay::read::correct(text, &Patterns::embedded().expect("well formed"));
            for note in &text.notes {
                let said = whomay::report::findings::read_note(note);
                eprintln!("note {}: {said}", note.id());
            }
            for line in &text.furniture {
                eprintln!("furniture, page {}: {}", line.place.page, line.text);
            }
            for doubt in &text.doubts {
                eprintln!(
                    "doubt {:.2}: {}",
                    doubt.confidence,
                    doubt.span.of(&text.content)
                );
            }
            println!("{}", text.content);
        }
        Err(error) => {
            eprintln!("{error}");
            std::process::exit(2);
        }
    }
}

fn doubts(files: &[String], limits: &Limits) {
    let patterns = Patterns::embedded().expect("well formed");
    for file in files {
        let line = match read(std::slice::from_ref(file), limits) {
            Ok(text) => {
                let before = told(&text);
                let after = told(&whomay::read::correct(text, &patterns));
                serde_json::json!({ "file": file, "read": before, "text": after })
            }
            Err(error) => serde_json::json!({ "file": file, "error": error.to_string() }),
        };
        println!("{line}");
    }
}

/// Content, doubts as first byte, end, confidence and what the word may be, and notes that tell of words not read.
fn told(text: &Text) -> serde_json::Value {
    let doubts: Vec<_> = text
        .doubts
        .iter()
        .map(|d| (d.span.start, d.span.end, d.confidence, d.meant.clone()))
        .collect();
    let lost = text.notes.iter().filter(|n| n.loses_text());
    let lost: Vec<_> = lost.map(whomay::report::findings::read_note).collect();
    serde_json::json!({ "content": text.content, "doubts": doubts, "lost": lost })
}

fn measure(files: &[String], limits: &Limits) {
    for file in files {
        let name = std::slice::from_ref(file);
        let ours = median(|| {
            let _ = read(name, limits);
        });
        let theirs = median(|| {
            let _ = Command::new("pdftotext")
                .args([file.as_str(), "-"])
                .stdout(Stdio::null())
                .stderr(Stdio::null())
                .status();
        });
        println!(
            "{file}: reading {:.1} ms, pdftotext {:.1} ms, ratio {:.2}",
            ours.as_secs_f64() * 1e3,
            theirs.as_secs_f64() * 1e3,
            ours.as_secs_f64() / theirs.as_secs_f64()
        );
    }
}

fn median(mut work: impl FnMut()) -> Duration {
    let mut times: Vec<Duration> = (0..RUNS)
        .map(|_| {
            let begun = Instant::now();
            work();
            begun.elapsed()
        })
        .collect();
    times.sort();
    times.get(RUNS / 2).copied().unwrap_or_default()
}
