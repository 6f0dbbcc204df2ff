//! Inputs that were cut, damaged or spoilt: no answer may be certain and other than that of the
//! whole letter. Everything is made at run time, by a generator with a fixed seed.
//!
//! `WHOMAY_ATTACKS` says how many of each; the long campaign has 2,000.

mod mutated;
#[cfg(feature = "ocr")]
mod pictures;
#[cfg(feature = "ocr")]
mod progressive;

use std::collections::BTreeMap;
use std::path::PathBuf;
use std::time::{Duration, Instant};

use whomay::model::{Kind, Question, Span, Text, Verdict};
use whomay::patterns::Patterns;
use whomay::read::{Limits, correct, read_bytes};

use crate::read_damage::{Dice, damaged};

/// How many of each attack are tried.
fn count(usual: usize) -> usize {
    std::env::var("WHOMAY_ATTACKS")
        .ok()
        .and_then(|n| n.parse().ok())
        .unwrap_or(usual)
}

fn samples(ending: &str) -> Vec<(String, Vec<u8>)> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("samples");
    let mut found: Vec<(String, Vec<u8>)> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|e| e == ending))
        .map(|path| {
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            (name, std::fs::read(path).unwrap())
        })
        .collect();
    found.sort();
    found
}

type Answers = BTreeMap<(Kind, String), Verdict>;

fn answers(text: Text, patterns: &Patterns) -> Answers {
    let letter = whomay::understand(&correct(text, patterns), patterns);
    let question = Question::on("2026-11-25".parse().unwrap());
    whomay::answer(&letter, &question, patterns)
        .iter()
        .map(|a| ((a.holder, format!("{:?}", a.inspection)), a.answer))
        .collect()
}

/// Answers that are certain and not those of the whole letter.
fn wrong(whole: &Answers, now: &Answers) -> Vec<String> {
    now.iter()
        .filter(|(key, answer)| **answer != Verdict::Undetermined && whole.get(key) != Some(answer))
        .map(|((kind, inspection), answer)| {
            let was = whole.get(&(*kind, inspection.clone()));
            format!("{kind:?} {inspection}: {answer:?} instead of {was:?}")
        })
        .collect()
}

#[test]
fn damaged_pdfs_give_no_other_certain_answer() {
    let patterns = Patterns::embedded().unwrap();
    let limits = Limits {
        worker: Some(PathBuf::from(env!("CARGO_BIN_EXE_whomay"))),
        ..Limits::default()
    };
    let files = samples("pdf");
    let whole: Vec<Answers> = files
        .iter()
        .map(|(name, bytes)| {
            let text = read_bytes(name, bytes.clone(), &limits).unwrap();
            assert!(
                text.notes.iter().all(|n| !n.loses_text()),
                "{:?}",
                text.notes
            );
            answers(text, &patterns)
        })
        .collect();
    let mut found = Vec::new();
    for copy in 0..count(16) {
        let n = copy % files.len();
        let (name, bytes) = &files[n];
        let mut dice = Dice::new(77, copy);
        let bytes = damaged(bytes, &mut dice);
        if let Ok(text) = read_bytes(name, bytes, &limits) {
            let wrong = wrong(&whole[n], &answers(text, &patterns));
            if !wrong.is_empty() {
                found.push(format!("{name} copy {copy}: {}", wrong.join("; ")));
            }
        }
    }
    assert!(
        found.is_empty(),
        "{} copies\n{}",
        found.len(),
        found.join("\n")
    );
}

/// What is done to a word, and whether it may stand in place of a letter: without a letter that
/// leaves nothing behind a word is another one.
const SPOILT: &[(&str, &str, bool)] = &[
    ("a replacement character", "\u{fffd}", true),
    ("a sign for private use", "\u{e123}", true),
    ("a letter of another script", "\u{435}", true),
    ("a letter that looks like ours", "\u{251}", true),
    ("a filler", "\u{3164}", true),
    ("a blank without width", "\u{200b}", false),
    ("an escape sequence", "\u{1b}[31m", false),
    ("a control character", "\u{7}", false),
    ("a soft hyphen", "\u{ad}", false),
    ("a mark over a letter", "\u{334}", false),
    ("a mark that joins letters", "\u{34f}", false),
    ("a mark of direction", "\u{61c}", false),
    ("a tag", "\u{e0061}", false),
    ("a sign in the middle", "\u{ac}", true),
];

/// The words of the clauses that say who inspects.
fn deciding_words(text: &Text, patterns: &Patterns) -> Vec<Span> {
    let letter = whomay::understand(text, patterns);
    let mut words = Vec::new();
    for rule in &letter.inspectors {
        let span = letter.clauses[rule.clause].span;
        let mut at = span.start;
        for piece in span.of(&text.content).split_inclusive(char::is_whitespace) {
            let word = piece.trim();
            if word.chars().any(char::is_alphanumeric) {
                words.push(Span::new(at, at + word.len()));
            }
            at += piece.len();
        }
    }
    words.sort_unstable_by_key(|w| w.start);
    words.dedup();
    words
}

#[test]
fn a_spoilt_word_gives_no_other_certain_answer() {
    let patterns = Patterns::embedded().unwrap();
    let limits = Limits::default();
    let mut cases = Vec::new();
    for (name, bytes) in samples("txt") {
        let text = read_bytes(&name, bytes, &limits).unwrap();
        let whole = answers(text.clone(), &patterns);
        let words = deciding_words(&text, &patterns);
        cases.push((name, text.content, whole, words));
    }
    let ways = SPOILT.len() + SPOILT.iter().filter(|s| s.2).count();
    let all: usize = cases.iter().map(|c| c.3.len() * ways).sum();
    let wanted = count(100).min(all);
    let (mut n, mut found) = (0, Vec::new());
    for (name, content, whole, words) in &cases {
        for word in words {
            for (what, sign, seen) in SPOILT {
                for replace in [false, true] {
                    if replace && !seen {
                        continue;
                    }
                    n += 1;
                    // evenly over all of them
                    if n * wanted / all == (n - 1) * wanted / all {
                        continue;
                    }
                    let middle = word.start + word.len() / 2;
                    let middle = (word.start..=middle)
                        .rev()
                        .find(|&at| content.is_char_boundary(at))
                        .unwrap();
                    let after = content[middle..].chars().next().unwrap();
                    let rest = middle + if replace { after.len_utf8() } else { 0 };
                    let spoilt = format!("{}{sign}{}", &content[..middle], &content[rest..]);
                    let text = read_bytes(name, spoilt.into_bytes(), &limits).unwrap();
                    let wrong = wrong(whole, &answers(text, &patterns));
                    if !wrong.is_empty() {
                        found.push(format!(
                            "{name} «{}» {what}{}: {}",
                            word.of(content),
                            if replace { ", instead of a letter" } else { "" },
                            wrong.join("; ")
                        ));
                    }
                }
            }
        }
    }
    assert!(
        found.is_empty(),
        "{} of {wanted}\n{}",
        found.len(),
        found.join("\n")
    );
}

/// What a text may repeat: marks, labels, citations, words that decide, lines and pages.
const REPEATED: &[&str] = &[
    "or (a) ",
    "(a)",
    "(a)\n",
    "(1) word.\n",
    "mechanic ",
    "(a) (1) (i) ",
    "(a)(1)(i)",
    "\"a ",
    "[insert x ",
    "x ___ ",
    "§ 91.319(b), ",
    "part 43 ",
    "must ",
    "may not ",
    "only the ",
    "unless ",
    "It is so. ",
    "a\n",
    "a\n\n",
    "a",
    "Page 1 of 2\n",
    "a, ",
    "a; ",
    "a-\n",
    "condition inspection ",
    "by the mechanic ",
    "May 14, 2008 ",
    "(i) (ii) (iii) ",
    "repairman or mechanic, ",
    "(",
    ")",
    "1. ",
    "1.1.1 ",
    "a\u{c}",
    "Page 1 of 9\nx\u{c}",
    "the following: ",
    "HEADING\n",
    "§§ 91.1 through 91.9 ",
    "except that ",
    "provided ",
    "no person ",
    "who holds a certificate ",
    "and/or ",
    "- ",
    "• a\n",
    "a.\n",
    "A. B. C. ",
    "IV. ",
    "\u{1b}]",
    "\u{1b}[",
    "\u{fffd}",
    "\u{e000}x ",
    "\u{301}",
    "e\u{301}",
    "\u{200b}",
    "\t",
    "|a|b|\n",
    "14 CFR ",
    "21.191(g) ",
    "N0WHO ",
    "'",
    "\u{ad}\n",
];

/// The time that this thread has had a processor, which a busy machine does not stretch; where the
/// system does not tell, the time on the clock.
pub(crate) fn worked() -> Duration {
    static BEGUN: std::sync::LazyLock<Instant> = std::sync::LazyLock::new(Instant::now);
    std::fs::read_to_string("/proc/thread-self/schedstat")
        .ok()
        .and_then(|s| s.split(' ').next()?.parse().ok())
        .map_or_else(|| BEGUN.elapsed(), Duration::from_nanos)
}

/// Time may grow with the text, and not with its square: eight times as much takes eight times as
/// long. A loop over the square would take 64 times as long.
#[test]
fn eight_times_the_text_takes_eight_times_as_long() {
    let patterns = Patterns::embedded().unwrap();
    let limits = Limits::default();
    let time = |words: &str| {
        let begun = worked();
        if let Ok(text) = read_bytes("a.txt", words.as_bytes().to_vec(), &limits) {
            answers(text, &patterns);
        }
        worked() - begun
    };
    let size = count(2).min(8) << 10;
    let mut slow = Vec::new();
    for piece in REPEATED {
        let words = |bytes: usize| piece.repeat(bytes / piece.len()) + "\nend.";
        // a slow build takes a moment for anything
        let most = time(&words(size)).max(Duration::from_millis(25)) * 20;
        let long = words(size * 8);
        if (0..2).all(|_| time(&long) > most) {
            slow.push(format!("{piece:?}: more than {most:?}"));
        }
    }
    assert!(slow.is_empty(), "{}", slow.join("\n"));
}
