//! The likeliest readings of some steps of a line, by what the steps show and by what letters stand
//! beside one another in a language (prefix beam search: Hannun et al. 2014, "First-Pass Large
//! Vocabulary Continuous Speech Recognition using Bi-Directional Recurrent DNNs").

use std::ops::Range;

use super::ngrams::{Before, Ngrams};

/// Readings that are followed.
const READINGS: usize = 10;
/// A class whose score is less is not there.
const SEEN: f32 = -6.0;
/// What the language says counts so much of what the steps show.
const WEIGHT: f32 = 0.4;
/// And each letter speaks for itself by as much: a longer reading is else less likely than a short one.
const LETTER: f32 = 0.4;
/// The logarithm of nothing.
const NEVER: f32 = -1e9;

/// Steps of a line with the scores of their classes; class 0 is nothing.
#[derive(Clone, Copy)]
pub(super) struct Rows<'s> {
    scores: &'s [f32],
    classes: usize,
}

impl<'s> Rows<'s> {
    /// Some steps of a line.
    pub(super) fn of(scores: &'s [f32], classes: usize, steps: Range<usize>) -> Option<Self> {
        let scores = scores.get(steps.start * classes..steps.end * classes)?;
        (classes > 0).then_some(Self { scores, classes })
    }

    /// The scores of each step.
    pub(super) fn each(self) -> impl Iterator<Item = &'s [f32]> {
        self.scores.chunks_exact(self.classes)
    }
}

/// A language, and the symbol of each class in it; `None` of a class that no reading has.
pub(super) struct Language<'n> {
    pub(super) ngrams: &'n Ngrams,
    pub(super) symbols: Vec<Option<u8>>,
}

impl Language<'_> {
    /// What it gives a symbol behind others.
    fn worth(&self, before: Before, symbol: u8) -> f32 {
        WEIGHT * self.ngrams.likely(before, symbol) + LETTER
    }

    /// What it gives to symbols that follow a reading.
    pub(super) fn followed(&self, reading: &Reading, by: &[u8]) -> f32 {
        let mut before = reading.before;
        let mut sum = reading.score;
        for &symbol in by {
            sum += self.worth(before, symbol);
            before = before.and(symbol);
        }
        sum
    }
}

/// A reading of some steps.
#[derive(Clone)]
pub(super) struct Reading {
    pub(super) classes: Vec<usize>,
    /// Its last symbols, with those before it.
    before: Before,
    /// Logarithm of its likelihood, weighed.
    score: f32,
    /// Of all ways that end with nothing, and with its last class.
    ends: [f32; 2],
    language: f32,
}

impl Reading {
    fn shown(&self) -> f32 {
        both(self.ends[0], self.ends[1])
    }
}

/// The logarithm of the sum of two likelihoods.
fn both(a: f32, b: f32) -> f32 {
    let (high, low) = if a > b { (a, b) } else { (b, a) };
    if low <= NEVER {
        high
    } else {
        high + (low - high).exp().ln_1p()
    }
}

/// The likeliest readings of the steps behind what was read `before`, the best one first.
pub(super) fn readings(rows: Rows<'_>, language: &Language<'_>, before: Before) -> Vec<Reading> {
    let mut all = vec![Reading {
        classes: Vec::new(),
        before,
        score: 0.0,
        ends: [0.0, NEVER],
        language: 0.0,
    }];
    for row in rows.each() {
        let seen: Vec<(usize, f32)> = row
            .iter()
            .enumerate()
            .filter(|(class, score)| {
                **score > SEEN && (*class == 0 || symbol(language, *class).is_some())
            })
            .map(|(class, score)| (class, *score))
            .collect();
        all = step(&all, &seen, language);
    }
    all
}

fn symbol(language: &Language<'_>, class: usize) -> Option<u8> {
    language.symbols.get(class).copied().flatten()
}

/// The readings with one more step, in which these classes are seen.
fn step(all: &[Reading], seen: &[(usize, f32)], language: &Language<'_>) -> Vec<Reading> {
    let mut next: Vec<Reading> = all
        .iter()
        .map(|reading| Reading {
            ends: [NEVER; 2],
            ..reading.clone()
        })
        .collect();
    for (n, reading) in all.iter().enumerate() {
        let last = reading.classes.last().copied();
        for &(class, score) in seen {
            if class == 0 {
                add(&mut next, n, 0, reading.shown() + score);
                continue;
            }
            if Some(class) == last {
                add(&mut next, n, 1, reading.ends[1] + score);
            }
            // the same letter once more has nothing between
            let from = if Some(class) == last {
                reading.ends[0]
            } else {
                reading.shown()
            };
            if from <= NEVER {
                continue;
            }
            let longer = |other: &Reading| {
                other.classes.split_last() == Some((&class, reading.classes.as_slice()))
            };
            let at = next.iter().position(longer).or_else(|| {
                let symbol = symbol(language, class)?;
                next.push(Reading {
                    classes: [reading.classes.as_slice(), &[class]].concat(),
                    before: reading.before.and(symbol),
                    score: 0.0,
                    ends: [NEVER; 2],
                    language: reading.language + language.worth(reading.before, symbol),
                });
                Some(next.len() - 1)
            });
            if let Some(at) = at {
                add(&mut next, at, 1, from + score);
            }
        }
    }
    for reading in &mut next {
        reading.score = reading.shown() + reading.language;
    }
    next.sort_by(|a, b| b.score.total_cmp(&a.score));
    next.truncate(READINGS);
    next
}

fn add(all: &mut [Reading], at: usize, end: usize, score: f32) {
    if let Some(end) = all.get_mut(at).and_then(|r| r.ends.get_mut(end)) {
        *end = both(*end, score);
    }
}

/// The steps of each class of a reading, along its likeliest way; `None` where there is none.
pub(super) fn aligned(rows: Rows<'_>, classes: &[usize]) -> Option<Vec<Range<usize>>> {
    // states: nothing, the first class, nothing, the second class, ...
    let states = 2 * classes.len() + 1;
    let class = |state: usize| match state % 2 {
        0 => Some(&0),
        _ => classes.get(state / 2),
    };
    let mut best = vec![NEVER; states];
    let mut back: Vec<Vec<usize>> = Vec::new();
    for (n, row) in rows.each().enumerate() {
        let mut next = vec![NEVER; states];
        let mut from = vec![0; states];
        for state in 0..states {
            let skips = state % 2 == 1 && state > 1 && class(state) != class(state - 2);
            let ways = (0..=1 + usize::from(skips)).filter_map(|by| state.checked_sub(by));
            let before = |s: &usize| best.get(*s).copied().unwrap_or(NEVER);
            let (way, score) = if n == 0 {
                (state, if state < 2 { 0.0 } else { NEVER })
            } else {
                let way = ways.max_by(|a, b| before(a).total_cmp(&before(b)))?;
                (way, before(&way))
            };
            next[state] = score + row.get(*class(state)?).copied().unwrap_or(NEVER);
            from[state] = way;
        }
        best = next;
        back.push(from);
    }
    let ends = states.saturating_sub(2)..states;
    let mut state = ends.max_by(|a, b| best[*a].total_cmp(&best[*b]))?;
    let mut out = vec![0..0; classes.len()];
    for (step, from) in back.iter().enumerate().rev() {
        if state % 2 == 1 {
            let steps = out.get_mut(state / 2)?;
            if steps.start == steps.end {
                *steps = step..step + 1;
            }
            steps.start = step;
        }
        state = *from.get(state)?;
    }
    out.iter().all(|s| s.start < s.end).then_some(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The model that comes with the program.
    fn ngrams() -> Ngrams {
        Ngrams::load(include_bytes!("../models/ngrams.bin")).expect("it is whole")
    }

    const SIGNS: [char; 6] = ['e', 'h', 'i', 'n', 't', 'c'];

    /// Scores of steps that show these signs so likely, and else nothing.
    fn scores(steps: &[&[(char, f32)]]) -> Vec<f32> {
        let row = |step: &&[(char, f32)]| {
            let mut row = vec![0.0_f32; SIGNS.len() + 1];
            for &(sign, likely) in *step {
                let class = SIGNS.iter().position(|&c| c == sign).expect("a sign");
                row[class + 1] = likely;
            }
            row[0] = 1.0 - row.iter().sum::<f32>();
            row.into_iter()
                .map(|l| l.max(1e-9).ln())
                .collect::<Vec<_>>()
        };
        steps.iter().flat_map(row).collect()
    }

    fn read(steps: &[&[(char, f32)]]) -> String {
        let (ngrams, scores) = (ngrams(), scores(steps));
        let symbols = SIGNS.iter().map(|&c| Some(ngrams.symbol(c)));
        let language = Language {
            symbols: std::iter::once(None).chain(symbols).collect(),
            ngrams: &ngrams,
        };
        let rows = Rows::of(&scores, SIGNS.len() + 1, 0..steps.len()).expect("so many steps");
        let blank = Before::default().and(ngrams.symbol(' '));
        let best = readings(rows, &language, blank);
        let signs = best[0].classes.iter().filter_map(|c| SIGNS.get(c - 1));
        signs.collect()
    }

    #[test]
    fn a_letter_that_is_not_clear_is_that_of_a_word() {
        let unclear: [&[_]; 3] = [&[('t', 0.999)], &[('n', 0.6), ('h', 0.4)], &[('e', 0.999)]];
        assert_eq!(read(&unclear), "the");
        let clear: [&[_]; 3] = [&[('t', 0.999)], &[('n', 0.999)], &[('e', 0.999)]];
        assert_eq!(read(&clear), "tne");
    }

    #[test]
    fn each_class_has_its_steps() {
        let steps: [&[_]; 6] = [
            &[],
            &[('t', 0.9)],
            &[('t', 0.9)],
            &[('h', 0.9)],
            &[],
            &[('h', 0.9)],
        ];
        let scores = scores(&steps);
        let rows = Rows::of(&scores, SIGNS.len() + 1, 0..6).expect("so many steps");
        assert_eq!(aligned(rows, &[5, 2, 2]), Some(vec![1..3, 3..4, 5..6]));
        assert_eq!(aligned(rows, &[]), Some(Vec::new()));
        // no seven letters in six steps
        assert_eq!(aligned(rows, &[5, 2, 5, 2, 5, 2, 5]), None);
    }
}
