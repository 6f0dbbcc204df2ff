//! How long each stage takes on a sample, and each stage's share of the whole: ratios in one run.
//!
//! `cargo bench --bench stages [FILE]`

use std::time::{Duration, Instant};

use whomay::model::Question;
use whomay::patterns::Patterns;

const RUNS: u32 = 50;

fn timed<T>(name: &str, all: &mut Vec<(String, Duration)>, mut work: impl FnMut() -> T) -> T {
    let value = work();
    let start = Instant::now();
    for _ in 0..RUNS {
        std::hint::black_box(work());
    }
    all.push((name.to_owned(), start.elapsed() / RUNS));
    value
}

fn main() {
    let file = std::env::args()
        .skip(1)
        .find(|a| !a.starts_with("--"))
        .unwrap_or_else(|| {
            concat!(env!("CARGO_MANIFEST_DIR"), "/samples/open-list-f.txt").to_owned()
        });
    let mut all = Vec::new();
    let limits = whomay::read::Limits::default();
    let patterns = timed("load the patterns", &mut all, || {
        Patterns::embedded().expect("the embedded patterns are well formed")
    });
    let text = timed("read", &mut all, || {
        whomay::read(std::slice::from_ref(&file), &limits).expect("the file can be read")
    });
    timed("passage stages", &mut all, || {
        whomay::understand::passage(
            &text.content,
            whomay::understand::Context::default(),
            &patterns,
        )
    });
    let letter = timed("understand", &mut all, || {
        whomay::understand(&text, &patterns)
    });
    let question = Question::on(jiff::civil::date(2026, 11, 25));
    timed("answer", &mut all, || {
        whomay::answer(&letter, &question, &patterns)
    });
    timed("compare", &mut all, || {
        whomay::compare::compare(&letter, &text, &patterns)
    });
    timed("age", &mut all, || {
        whomay::compare::age(&letter, &text, &patterns)
    });
    let load = all[0].1;
    for (name, time) in &all {
        println!(
            "{name:20} {:8.3} ms  {:6.2} x loading the patterns",
            time.as_secs_f64() * 1e3,
            time.as_secs_f64() / load.as_secs_f64()
        );
    }
}
