//! Inputs of every kind, changed at random: words dropped, doubled and moved, pieces of other files,
//! bytes that are no text. None may break the program down or hold it up.
//!
//! In place of cargo-fuzz, which needs a compiler that the project does not use. `WHOMAY_MUTATED` says
//! how many of each kind, `WHOMAY_FROM` the number of the first: the same number is the same input.

use std::io::{Cursor, Read, Write};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::time::Duration;

use whomay::Case;
use whomay::model::Question;
use whomay::patterns::Patterns;
use whomay::read::{Limits, read_bytes};
use whomay::report::{Report, json, terminal};

use super::{REPEATED, SPOILT, samples, worked};
use crate::read_damage::{Dice, damaged};

/// For one input; a slow build takes a second for a long letter.
const MOST: Duration = Duration::from_secs(20);

fn number(name: &str, usual: usize) -> usize {
    std::env::var(name).map_or(usual, |n| n.parse().expect("a number"))
}

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// The text with one to five changes.
fn mutated(sound: &str, others: &[String], dice: &mut Dice) -> Vec<u8> {
    let mut words: Vec<String> = sound
        .split_inclusive(char::is_whitespace)
        .map(str::to_owned)
        .collect();
    for _ in 0..=dice.roll(5) {
        let len = words.len().max(1);
        let at = dice.roll(len).min(words.len());
        let longest = [2, 10, 100][dice.roll(3)];
        let end = (at + 1 + dice.roll(longest)).min(words.len());
        match dice.roll(9) {
            0 => drop(words.drain(at..end)),
            1 => {
                let piece = words[at..end].to_vec();
                let to = dice.roll(len).min(words.len());
                words.splice(to..to, piece);
            }
            2 if !words.is_empty() => words.swap(at.min(len - 1), len - 1 - at.min(len - 1)),
            3 => {
                let piece = REPEATED[dice.roll(REPEATED.len())];
                let most = [2, 40][dice.roll(2)];
                words.insert(at, piece.repeat(1 + dice.roll(most)));
            }
            4 => {
                let sign = SPOILT[dice.roll(SPOILT.len())].1;
                let word = &mut words[at.min(len - 1)];
                word.insert_str(word.floor_char_boundary(dice.roll(word.len() + 1)), sign);
            }
            5 => {
                let other = &others[dice.roll(others.len())];
                let from = other.floor_char_boundary(dice.roll(other.len()));
                let most = other.floor_char_boundary((from + 400).min(other.len()));
                words.insert(at, other[from..most].to_owned());
            }
            6 => words[at..end]
                .iter_mut()
                .for_each(|w| *w = w.to_uppercase()),
            7 => words.truncate(at),
            _ => {
                let digit = dice.roll(10).to_string();
                for word in &mut words[at..end] {
                    *word = word.replace(|c: char| c.is_ascii_digit(), &digit);
                }
            }
        }
        if words.is_empty() {
            words.push("x".to_owned());
        }
    }
    let mut bytes = words.concat().into_bytes();
    if dice.roll(5) == 0 {
        let at = dice.roll(bytes.len());
        bytes[at..].iter_mut().take(3).for_each(|b| *b ^= 0xa5);
    }
    bytes
}

/// Tries inputs by their numbers and fails with those that broke down or took too long.
fn campaign(kind: &str, seed: u64, usual: usize, mut one: impl FnMut(usize, &mut Dice)) {
    let first = number("WHOMAY_FROM", 0);
    let runs = number("WHOMAY_MUTATED", usual);
    let (mut slowest, mut bad) = ((Duration::ZERO, 0), Vec::new());
    for n in first..first + runs {
        let begun = worked();
        let ended = catch_unwind(AssertUnwindSafe(|| one(n, &mut Dice::new(seed, n))));
        let took = worked().saturating_sub(begun);
        slowest = slowest.max((took, n));
        if ended.is_err() {
            bad.push(format!("{n} broke down"));
        } else if took > MOST {
            bad.push(format!("{n} took {took:?}"));
        }
    }
    println!("{kind}: {runs} inputs from {first}, slowest {slowest:?}");
    assert!(bad.is_empty(), "{kind}: {}", bad.join(", "));
}

fn question() -> Question {
    Question::on("2026-11-25".parse().unwrap())
}

/// Everything that is done with a letter, and what every text has to keep to.
fn whole_way(name: &str, bytes: Vec<u8>, patterns: &Patterns) {
    let text = match read_bytes(name, bytes, &Limits::default()) {
        Ok(text) => text,
        Err(error) => {
            assert!(!error.message.is_empty());
            return;
        }
    };
    for doubt in &text.doubts {
        assert!(text.content.get(doubt.span.start..doubt.span.end).is_some());
    }
    assert!(text.anchors.windows(2).all(|pair| pair[0].at < pair[1].at));
    let case = Case::of(text, patterns);
    let answered = case.answer(question(), patterns);
    let (comparison, age) = case.compare(patterns);
    let report = Report {
        text: &case.text,
        letter: &case.letter,
        question: &answered.question,
        answers: &answered.answers,
        notes: &answered.notes,
        comparison: Some(&comparison),
        age: Some(&age),
        patterns,
    };
    assert!(serde_json::from_str::<serde_json::Value>(&json::report(&report)).is_ok());
    let shown = terminal::whole(&report, 80);
    assert!(
        !shown
            .chars()
            .any(|c| c.is_control() && !"\n\u{1b}".contains(c))
    );
}

fn letters() -> Vec<String> {
    samples("txt")
        .into_iter()
        .map(|(_, bytes)| String::from_utf8(bytes).unwrap())
        .collect()
}

/// The value of a key in every line of a file of JSON Lines.
fn told(file: &str, key: &str) -> Vec<String> {
    std::fs::read_to_string(root().join("tests/outside/data").join(file))
        .unwrap()
        .lines()
        .filter_map(|line| {
            let line: serde_json::Value = serde_json::from_str(line).unwrap();
            Some(line.get(key)?.as_str()?.to_owned())
        })
        .collect()
}

#[test]
fn mutated_texts() {
    let patterns = Patterns::embedded().unwrap();
    let sound = letters();
    campaign("texts", 11, 12, |n, dice| {
        whole_way(
            "a.txt",
            mutated(&sound[n % sound.len()], &sound, dice),
            &patterns,
        );
    });
}

fn cases(patterns: &Patterns) -> Vec<Case> {
    samples("txt")
        .into_iter()
        .map(|(name, bytes)| {
            let text = read_bytes(&name, bytes, &Limits::default()).unwrap();
            Case::of(text, patterns)
        })
        .collect()
}

#[test]
fn mutated_claims() {
    let patterns = Patterns::embedded().unwrap();
    let cases = cases(&patterns);
    let claims = told("claims/sample_claims.jsonl", "claim");
    campaign("claims", 12, 40, |n, dice| {
        let words = mutated(&claims[n % claims.len()], &claims, dice);
        let case = &cases[n % cases.len()];
        let words = String::from_utf8_lossy(&words);
        let _ = whomay::compare::claim(&case.letter, &case.text, &words, &patterns);
    });
}

#[test]
fn mutated_entries() {
    let patterns = Patterns::embedded().unwrap();
    let cases = cases(&patterns);
    let entries = told("entries/entries.jsonl", "entry");
    campaign("entries", 13, 40, |n, dice| {
        let words = mutated(&entries[n % entries.len()], &entries, dice);
        let Ok(words) = read_bytes("entry.txt", words, &Limits::default()) else {
            return;
        };
        let case = &cases[n % cases.len()];
        let content = &case.text.content;
        let _ = whomay::answer::entry(
            &case.letter,
            content,
            &words.content,
            &question(),
            &patterns,
        );
    });
}

/// The parts of a word processor's file.
fn parts(file: &Path) -> Vec<(String, Vec<u8>)> {
    let mut archive = zip::ZipArchive::new(std::fs::File::open(file).unwrap()).unwrap();
    (0..archive.len())
        .map(|n| {
            let mut part = archive.by_index(n).unwrap();
            let mut bytes = Vec::new();
            part.read_to_end(&mut bytes).unwrap();
            (part.name().to_owned(), bytes)
        })
        .collect()
}

#[test]
fn mutated_word_processor_files() {
    let patterns = Patterns::embedded().unwrap();
    let files: Vec<_> = [
        "tests/suite/data/docx/clauses.docx",
        "tests/suite/data/docx/changes.docx",
        "tests/outside/data/docx/lists.docx",
    ]
    .iter()
    .map(|file| parts(&root().join(file)))
    .collect();
    campaign("word processor files", 14, 30, |n, dice| {
        let file = &files[n % files.len()];
        // the parts that hold words and numbers
        let held: Vec<usize> = (0..file.len())
            .filter(|&p| file[p].0.starts_with("word/") && file[p].0.ends_with("xml"))
            .collect();
        let changed = held[dice.roll(held.len())];
        let mut archive = zip::ZipWriter::new(Cursor::new(Vec::new()));
        for (p, (name, bytes)) in file.iter().enumerate() {
            let options = zip::write::SimpleFileOptions::default();
            archive.start_file(name.as_str(), options).unwrap();
            let bytes = match (p == changed, dice.roll(2)) {
                (false, _) => bytes.clone(),
                (true, 0) => damaged(bytes, dice),
                // tags moved, dropped and doubled
                (true, _) => {
                    let tags = String::from_utf8_lossy(bytes).replace('>', "> ");
                    mutated(&tags, std::slice::from_ref(&tags), dice)
                }
            };
            archive.write_all(&bytes).unwrap();
        }
        let mut bytes = archive.finish().unwrap().into_inner();
        if dice.roll(8) == 0 {
            bytes = damaged(&bytes, dice);
        }
        if !bytes.is_empty() {
            whole_way("a.docx", bytes, &patterns);
        }
    });
}

/// Every file of patterns, by its path below the folder.
fn pattern_files(folder: &Path, into: &mut Vec<PathBuf>) {
    let mut all: Vec<PathBuf> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    all.sort();
    for path in all {
        if path.is_dir() {
            pattern_files(&path, into);
        } else if path.extension().is_some_and(|e| e == "toml") {
            into.push(path);
        }
    }
}

#[test]
fn mutated_pattern_files() {
    let root = root().join("patterns");
    let mut files = Vec::new();
    pattern_files(&root, &mut files);
    let sound: Vec<String> = files
        .iter()
        .map(|file| std::fs::read_to_string(file).unwrap())
        .collect();
    let letter = std::fs::read(self::root().join("samples/names-nobody.txt")).unwrap();
    campaign("pattern files", 15, 8, |n, dice| {
        // Files of a kind stand together; a stride visits all kinds early.
        let which = n.wrapping_mul(7919) % files.len();
        let folder = tempfile::tempdir().unwrap();
        let path = folder
            .path()
            .join(files[which].strip_prefix(&root).unwrap());
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(&path, mutated(&sound[which], &sound, dice)).unwrap();
        match Patterns::with_overlay(folder.path()) {
            Ok(patterns) => {
                if whomay::understand::check(&patterns).is_ok() {
                    whole_way("a.txt", letter.clone(), &patterns);
                }
            }
            Err(error) => assert!(error.to_string().len() > 10, "{error}"),
        }
    });
}
