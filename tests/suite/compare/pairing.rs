//! Pairing of clauses with wordings, on letters made from them.

use std::collections::BTreeSet;
use std::fmt::Write as _;

use whomay::compare::compare;
use whomay::model::{Basis, Clause, Found, Label, Letter, Paper, Span, Text};
use whomay::patterns::{Loaded, Patterns, WordingFile};

/// A small generator with a fixed seed: the same letters in every run.
pub(crate) struct Dice(u64);

impl Dice {
    pub(crate) fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15).wrapping_add(1))
    }

    pub(crate) fn below(&mut self, n: usize) -> usize {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % n.max(1)
    }

    pub(crate) fn chance(&mut self, percent: usize) -> bool {
        self.below(100) < percent
    }
}

/// A letter of numbered clauses, with the clauses known for certain.
pub(crate) fn letter(bodies: &[String], basis: char) -> (Text, Letter) {
    let mut content = String::new();
    let mut clauses = Vec::new();
    for (n, body) in bodies.iter().enumerate() {
        let start = content.len();
        let _ = write!(content, "{}. ", n + 1);
        let head = content.len();
        content.push_str(body);
        clauses.push(Clause {
            id: (n + 1).to_string(),
            number: Some(Label {
                printed: format!("{}.", n + 1),
                label: (n + 1).to_string(),
                span: Span::new(start, head - 1),
            }),
            item: None,
            level: 1,
            parent: None,
            span: Span::new(start, content.len()),
            body: Span::new(head, content.len()),
            phase: None,
        });
        content.push('\n');
    }
    let letter = Letter {
        paper: Paper::OperatingLimitations,
        topics: vec![Vec::new(); clauses.len()],
        clauses,
        basis: Found {
            value: Some(Basis {
                letter: basis,
                item: None,
            }),
            evidence: Vec::new(),
        },
        ..Letter::default()
    };
    (Text::verbatim(&content), letter)
}

/// Other words for the same thing, as offices use them.
const OTHER_WORDS: [(&str, &str); 16] = [
    (
        "No person may operate",
        "This aircraft may not be operated by any person",
    ),
    (
        "unless within the preceding 12 calendar months",
        "except when in the past twelve calendar months",
    ),
    ("performed in accordance with", "done under"),
    ("in accordance with", "as required by"),
    ("must be recorded", "shall be entered"),
    ("will be recorded", "is to be entered"),
    ("flight testing", "the flight test period"),
    ("geographical area", "assigned area"),
    ("densely populated areas", "populated areas"),
    ("aircraft maintenance records", "aircraft records"),
    ("certificate number", "certificate no."),
    ("satisfactorily accomplished", "successfully flown"),
    ("this aircraft", "the aircraft"),
    ("is prohibited from", "may not be used for"),
    ("is essential to", "is needed for"),
    ("appropriately rated", "properly rated"),
];

fn paraphrase(text: &str, dice: &mut Dice) -> String {
    let mut text = text.to_owned();
    for (from, to) in OTHER_WORDS {
        if dice.chance(60) {
            text = text.replace(from, to);
        }
    }
    if dice.chance(40) {
        text = text.replace('§', "FAR");
    }
    // A tenth of the words goes.
    let words: Vec<&str> = text
        .split_whitespace()
        .filter(|_| !dice.chance(10))
        .collect();
    words.join(" ")
}

/// Without a number at the head.
pub(crate) fn bare(text: &str) -> &str {
    let end = text
        .find(|c: char| !(c.is_ascii_digit() || matches!(c, '(' | ')' | '[' | ']' | '.' | ' ')))
        .unwrap_or(0);
    &text[end..]
}

/// Wordings that are revisions of one limitation: those that share most of their words. Worked
/// out here anew, by plain word sets.
fn akin(a: &WordingFile, b: &WordingFile) -> bool {
    let words = |t: &str| -> BTreeSet<String> {
        t.split(|c: char| !c.is_alphanumeric())
            .filter(|w| w.len() > 3)
            .map(str::to_lowercase)
            .collect()
    };
    let (x, y) = (words(&a.text), words(&b.text));
    let both = x.intersection(&y).count() as f64;
    2.0 * both / (x.len() + y.len()).max(1) as f64 >= 0.6
}

#[test]
fn clauses_are_paired_with_their_limitation() {
    let patterns = Patterns::embedded().expect("the embedded patterns load");
    let held: Vec<&Loaded<WordingFile>> = patterns
        .wording
        .iter()
        .filter(|w| w.file.is_of('g') && w.file.item != "lead-in")
        .collect();
    let (mut right, mut said, mut there) = (0usize, 0usize, 0usize);
    let mut wrong = Vec::new();
    // Two hundred letters with WHOMAY_SEEDS=200; fewer by default, since tests are not optimized.
    let seeds = std::env::var("WHOMAY_SEEDS")
        .ok()
        .and_then(|s| s.parse().ok())
        .unwrap_or(40);
    for seed in 0..seeds {
        let dice = &mut Dice::new(seed);
        // One revision of each limitation; a fifth is dropped.
        let mut chosen: Vec<&Loaded<WordingFile>> = Vec::new();
        let mut order: Vec<_> = held.clone();
        for n in (1..order.len()).rev() {
            order.swap(n, dice.below(n + 1));
        }
        for wording in order {
            if !chosen.iter().any(|c| akin(&c.file, &wording.file)) && !dice.chance(20) {
                chosen.push(wording);
            }
        }
        chosen.sort_by_key(|w| w.file.item.parse::<u32>().unwrap_or(99));
        for n in 1..chosen.len() {
            if dice.chance(30) {
                let other = dice.below(chosen.len());
                chosen.swap(n, other);
            }
        }
        let mut bodies: Vec<(String, Vec<&Loaded<WordingFile>>)> = Vec::new();
        for wording in chosen {
            let words = bare(&wording.file.text);
            let words = if dice.chance(30) {
                paraphrase(words, dice)
            } else {
                words.to_owned()
            };
            match bodies.last_mut() {
                Some((body, of)) if of.len() == 1 && dice.chance(10) => {
                    body.push(' ');
                    body.push_str(&words);
                    of.push(wording);
                }
                _ => bodies.push((words, vec![wording])),
            }
        }
        // Clauses that no wording stands behind.
        for own in [
            "Smoke must not be discharged below 500 feet.",
            "Banner towing is prohibited.",
            "Each occupant must wear a shoulder harness.",
        ] {
            if dice.chance(50) {
                let at = dice.below(bodies.len());
                bodies.insert(at, (own.to_owned(), Vec::new()));
            }
        }
        let words: Vec<String> = bodies.iter().map(|b| b.0.clone()).collect();
        let (text, letter) = letter(&words, 'g');
        let comparison = compare(&letter, &text, &patterns);
        for (clause, (body, of)) in comparison.clauses.iter().zip(&bodies) {
            there += usize::from(!of.is_empty());
            let Some(reference) = &clause.reference else {
                if !of.is_empty() {
                    wrong.push(format!("nothing for {:?}: {body}", of[0].id));
                }
                continue;
            };
            said += 1;
            let found = held.iter().find(|w| &w.id == reference);
            if found.is_some_and(|f| of.iter().any(|o| o.id == f.id || akin(&o.file, &f.file))) {
                right += 1;
            } else {
                wrong.push(format!(
                    "{reference} for {:?}: {body}",
                    of.iter().map(|o| &o.id).collect::<Vec<_>>()
                ));
            }
        }
    }
    let f1 = 2.0 * right as f64 / (said + there) as f64;
    wrong.truncate(30);
    println!("pairing: {right} right of {said} said and {there} there, F1 {f1:.4}");
    assert!(f1 >= 0.97, "F1 {f1:.4}\n{}", wrong.join("\n"));
}

#[test]
fn the_order_of_the_clauses_decides_nothing() {
    let patterns = Patterns::embedded().expect("the embedded patterns load");
    let bodies: Vec<String> = patterns
        .wording
        .iter()
        .filter(|w| w.file.is_of('g'))
        .map(|w| bare(&w.file.text).to_owned())
        .collect();
    let pairs = |bodies: &[String]| {
        let (text, letter) = letter(bodies, 'g');
        let comparison = compare(&letter, &text, &patterns);
        let mut pairs: Vec<(String, Option<String>)> = comparison
            .clauses
            .iter()
            .map(|c| {
                (
                    letter.clauses[c.clause].body.of(&text.content).to_owned(),
                    c.reference.clone(),
                )
            })
            .collect();
        pairs.sort();
        (comparison.wording, pairs)
    };
    let straight = pairs(&bodies);
    for seed in 0..4 {
        let dice = &mut Dice::new(seed);
        let mut mixed = bodies.clone();
        for n in (1..mixed.len()).rev() {
            mixed.swap(n, dice.below(n + 1));
        }
        assert_eq!(pairs(&mixed), straight);
    }
}
