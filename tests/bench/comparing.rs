//! How long comparisons take: a letter of thirty clauses against all wordings, and the ratio of a
//! letter ten times as long.
//!
//! `cargo bench --bench comparing`

use std::time::{Duration, Instant};

use whomay::model::Text;
use whomay::patterns::Patterns;

const RUNS: u32 = 20;

fn timed(mut work: impl FnMut()) -> Duration {
    work();
    let start = Instant::now();
    for _ in 0..RUNS {
        work();
    }
    start.elapsed() / RUNS
}

/// A letter of `n` clauses: the wordings held for amateur-built aircraft, over and over, numbered.
fn letter(n: usize, patterns: &Patterns) -> Text {
    let held: Vec<&str> = patterns
        .wording
        .iter()
        .filter(|w| w.file.is_of('g'))
        .map(|w| w.file.text.as_str())
        .collect();
    let mut content = String::from("OPERATING LIMITATIONS, AMATEUR-BUILT, 14 CFR 21.191(g)\n\n");
    for (n, text) in held.iter().cycle().take(n).enumerate() {
        let body = text.trim_start_matches(|c: char| !c.is_alphabetic());
        content.push_str(&format!("({}) {body}\n\n", n + 1));
    }
    Text::verbatim(&content)
}

fn main() {
    let patterns = Patterns::embedded().expect("the embedded patterns are well formed");
    let mut first = None;
    for clauses in [30, 300] {
        let text = letter(clauses, &patterns);
        let understood = whomay::understand(&text, &patterns);
        let took = timed(|| {
            std::hint::black_box(whomay::compare::compare(&understood, &text, &patterns));
        });
        let ratio = first.map_or(1.0, |f: Duration| took.as_secs_f64() / f.as_secs_f64());
        first.get_or_insert(took);
        println!(
            "{clauses:4} clauses against {} wordings: {:7.2} ms, {ratio:5.1} x the first",
            patterns.wording.len(),
            took.as_secs_f64() * 1e3
        );
    }
}
