//! Differences against a reference minimum, against known edits, and against the changes of real
//! rules; the sources stand in `data/compare.md`.

use serde_json::Value;
use whomay::compare::diff;
use whomay::model::{Diff, Op};
use whomay::patterns::Patterns;

fn patterns() -> Patterns {
    Patterns::embedded().expect("the embedded patterns load")
}

fn items(jsonl: &str) -> Vec<Value> {
    jsonl
        .lines()
        .map(|l| serde_json::from_str(l).expect("JSON"))
        .collect()
}

fn words<'v>(item: &'v Value, key: &str) -> &'v str {
    item[key].as_str().unwrap_or_default()
}

/// Runs of letters and digits, and single marks, as the reference counted them.
fn tokens(text: &str) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    let mut open = false;
    for c in text.chars().filter(|c| *c != '\u{ad}') {
        let c = match c {
            '“' | '”' => '"',
            '’' | '‘' => '\'',
            '—' | '–' | '‑' => '-',
            c => c,
        };
        if c.is_ascii_alphanumeric() {
            match out.last_mut() {
                Some(last) if open => last.push(c),
                _ => out.push(c.to_string()),
            }
            open = true;
        } else {
            open = false;
            let double = c == '-' && out.last().is_some_and(|l| l == "-");
            if !(c.is_whitespace() || double) {
                out.push(c.to_string());
            }
        }
    }
    out
}

fn side(diff: &Diff, old: bool) -> Vec<String> {
    diff.ops
        .iter()
        .filter(|op| match op {
            Op::Keep(_) => true,
            Op::Delete(_) => old,
            Op::Insert(_) => !old,
        })
        .flat_map(|op| match op {
            Op::Keep(w) | Op::Delete(w) | Op::Insert(w) => tokens(w),
        })
        .collect()
}

/// Runs of changes, each as deleted and inserted tokens.
fn hunks(diff: &Diff) -> Vec<(Vec<String>, Vec<String>)> {
    let mut out: Vec<(Vec<String>, Vec<String>)> = Vec::new();
    let mut open = false;
    for op in &diff.ops {
        let (words, old) = match op {
            Op::Keep(w) => {
                open &= tokens(w).is_empty();
                continue;
            }
            Op::Delete(w) => (tokens(w), true),
            Op::Insert(w) => (tokens(w), false),
        };
        if words.is_empty() {
            continue;
        }
        if !open {
            out.push((Vec::new(), Vec::new()));
            open = true;
        }
        if let Some(last) = out.last_mut() {
            if old {
                last.0.extend(words);
            } else {
                last.1.extend(words);
            }
        }
    }
    out
}

#[test]
fn near_the_minimum_and_readable_on_real_amendments() {
    let patterns = patterns();
    let (mut cost, mut least, mut runs) = (0u64, 0u64, 0usize);
    for item in items(include_str!("data/diff_pairs.jsonl")) {
        let (old, new) = (words(&item, "old"), words(&item, "new"));
        let diff = diff(old, new, &patterns);
        assert_eq!(Some(diff.same), item["same"].as_bool(), "{}", item["id"]);
        assert_eq!(side(&diff, true), tokens(old), "{}", item["id"]);
        assert_eq!(side(&diff, false), tokens(new), "{}", item["id"]);
        if !diff.same {
            for (gone, come) in hunks(&diff) {
                cost += (gone.len() + come.len()) as u64;
                runs += 1;
            }
            least += item["cost"]["myers"].as_u64().unwrap_or(0);
        }
    }
    println!("cost {cost} over {least}, hunks {runs}");
    assert!(cost as f64 <= 1.05 * least as f64, "{cost} over {least}");
    assert!(runs <= 38, "{runs} hunks");
}

/// Parallel paragraphs of one day, of which each is the other with another word here and there;
/// the yardstick is a general diff library on words with its semantic clean-up.
#[test]
fn near_the_minimum_and_readable_on_parallel_paragraphs() {
    let patterns = patterns();
    let (mut cost, mut least, mut runs, mut yardstick) = (0u64, 0u64, 0usize, 0u64);
    for item in items(include_str!("data/diff_parallel.jsonl")) {
        let (old, new) = (words(&item, "old"), words(&item, "new"));
        let diff = diff(old, new, &patterns);
        // Case alone is no difference here, and none in the minimum.
        let folded = |text: &str| tokens(&text.to_lowercase());
        let of = |old: bool| folded(&side(&diff, old).join(" "));
        assert!(!diff.same, "{}", item["id"]);
        assert_eq!(of(true), folded(old), "{}", item["id"]);
        assert_eq!(of(false), folded(new), "{}", item["id"]);
        for (gone, come) in hunks(&diff) {
            cost += (gone.len() + come.len()) as u64;
            runs += 1;
        }
        least += item["least"].as_u64().unwrap_or(0);
        yardstick += item["semantic_hunks"].as_u64().unwrap_or(0);
    }
    println!("parallel: cost {cost} over {least}, hunks {runs} over {yardstick}");
    // What is left above the minimum are numbers of sections, each one word here: "21.138" became
    // "21.608".
    assert!(cost as f64 <= 1.06 * least as f64, "{cost} over {least}");
    assert!(
        runs as f64 <= 1.1 * yardstick as f64,
        "{runs} over {yardstick}"
    );
}

#[test]
fn one_edit_is_one_change() {
    let patterns = patterns();
    for item in items(include_str!("data/diff_mutations.jsonl")) {
        let (old, new) = (words(&item, "old"), words(&item, "new"));
        let diff = diff(old, new, &patterns);
        let material = item["material"].as_bool().unwrap_or(true);
        assert_eq!(diff.same, !material, "{}", item["id"]);
        if material {
            assert_eq!(hunks(&diff).len(), 1, "{}: {:?}", item["id"], diff.ops);
            assert!(
                diff.differences.iter().any(|d| d.material),
                "{}: {:?}",
                item["id"],
                diff.differences
            );
        }
    }
}

#[test]
fn the_changes_of_the_2025_rule_are_named() {
    let patterns = patterns();
    for item in items(include_str!("data/cfr_before_after.jsonl")) {
        let diff = diff(words(&item, "old"), words(&item, "new"), &patterns);
        let id = &item["id"];
        let changes = item["changes"].as_array().cloned().unwrap_or_default();
        if id == "91.319(i)" {
            assert!(diff.same, "{:?}", diff.ops);
        }
        for change in changes {
            let named = diff.differences.iter().any(|d| {
                d.old.contains(words(&change, "was"))
                    && d.new.contains(words(&change, "is"))
                    && (change["kind"].is_null() || change["kind"] == d.kind.name())
            });
            assert!(named, "{id}: {change} in {:#?}", diff.differences);
        }
    }
}
