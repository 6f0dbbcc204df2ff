//! How likely it is that a word stands where it was read: the sum over all ways in which the steps of
//! the line spell it (the forward algorithm of connectionist temporal classification).
//!
//! The likeliest class of its least sure step says less: a letter that two steps show together looks
//! doubtful by either of them, and one that was skipped leaves no step that looks doubtful at all.

use std::ops::Range;

/// So many steps beside a word are looked at where no other word stands there.
const BESIDE: usize = 6;
/// In so many steps at either end, what is left of the neighbor's letter may be seen.
const TAIL: usize = 2;

/// Signs that mean the same to a reader of the word.
const ALIKE: [&[char]; 3] = [
    &['"', '\u{201c}', '\u{201d}'],
    &['\'', '\u{2018}', '\u{2019}'],
    &['-', '\u{2013}', '\u{2014}'],
];
/// Signs that end a sentence or a part of it, or stand around what is quoted.
const STOPS: &[char] = &[
    ' ', '.', ',', ';', ':', '"', '\u{201c}', '\u{201d}', '\'', '\u{2018}', '\u{2019}',
];
/// The class of writing by hand, which is no sign of a text: a place that was not read.
pub(super) const HAND: char = '\u{fffd}';

/// What the classes of a reader mean; class 0 is nothing.
pub(super) struct Meaning<'c> {
    pub(super) characters: &'c [char],
    /// What may stand beside a word of letters: nothing, a blank, a sign.
    signs: Vec<usize>,
    /// What may stand beside a number.
    stops: Vec<usize>,
}

impl<'c> Meaning<'c> {
    pub(super) fn of(characters: &'c [char]) -> Self {
        let chosen = |fits: &dyn Fn(char) -> bool| {
            let fitting = characters.iter().enumerate().filter(|(_, c)| fits(**c));
            std::iter::once(0)
                .chain(fitting.map(|(n, _)| n + 1))
                .collect()
        };
        Self {
            characters,
            signs: chosen(&|c| !c.is_alphanumeric() && c != HAND),
            stops: chosen(&|c| STOPS.contains(&c)),
        }
    }

    /// The classes that count as this sign; a letter of a word is the same large and small.
    fn classes(&self, sign: char, any_case: bool) -> Vec<usize> {
        let same = |c: char| {
            c == sign
                || any_case && c.eq_ignore_ascii_case(&sign)
                || ALIKE.iter().any(|a| a.contains(&c) && a.contains(&sign))
        };
        let all = self.characters.iter().enumerate();
        all.filter(|(_, c)| same(**c)).map(|(n, _)| n + 1).collect()
    }
}

/// The steps of a line with what each of them shows.
pub(super) struct Steps<'s> {
    pub(super) scores: &'s [f32],
    pub(super) classes: usize,
}

impl Steps<'_> {
    /// The steps of a word that was seen at `at`, with the empty ones beside it; `before` is where the
    /// word before it ends, `behind` where the next one begins.
    pub(super) fn around(&self, at: Range<usize>, before: usize, behind: usize) -> Range<usize> {
        let count = self.scores.len() / self.classes.max(1);
        let from = before.max(at.start.saturating_sub(BESIDE)).min(count);
        from..behind.min(at.end + BESIDE).min(count).max(from)
    }

    /// How likely the word stands in these steps, and nothing else does; `None` of a word without
    /// letters and figures. Signs at the ends of a word are left out, of a number only stops: what is
    /// in brackets behind it is part of it. `neighbors` are the last letter before it and the first one
    /// behind it.
    pub(super) fn likely(
        &self,
        word: &str,
        steps: Range<usize>,
        neighbors: [Option<char>; 2],
        of: &Meaning<'_>,
    ) -> Option<f32> {
        let number = word.contains(|c: char| c.is_ascii_digit());
        let stop = |c: char| STOPS.contains(&c);
        let core = if number {
            word.trim_matches(stop)
        } else {
            word.trim_matches(|c: char| !c.is_alphanumeric())
        };
        if !core.contains(char::is_alphanumeric) {
            return None;
        }
        let any_case = !number && core.chars().nth(1).is_some();
        let spelled: Vec<Vec<usize>> = core.chars().map(|c| of.classes(c, any_case)).collect();
        let rows = self.scores.chunks_exact(self.classes.max(1));
        let rows = rows.take(steps.end).skip(steps.start);
        let edge = if number { &of.stops } else { &of.signs };
        let tails = neighbors.map(|n| n.map_or_else(Vec::new, |n| of.classes(n, false)));
        let count = steps.len();
        let tail = |n: usize| match &tails {
            [before, _] if n < TAIL => &before[..],
            [_, behind] if n + TAIL >= count => &behind[..],
            _ => &[],
        };
        let rows = rows.enumerate().map(|(n, row)| (row, tail(n)));
        Some(forward(rows, &spelled, edge))
    }
}

/// The likelihood of all paths that show these signs one after the other, and at both ends only what
/// is in `edge` or comes with the row.
fn forward<'r>(
    rows: impl Iterator<Item = (&'r [f32], &'r [usize])>,
    spelled: &[Vec<usize>],
    edge: &[usize],
) -> f32 {
    let sum = |row: &[f32], classes: &[usize]| -> f32 {
        let likely = |&c: &usize| row.get(c).map_or(0.0, |s| s.exp());
        classes.iter().map(likely).sum()
    };
    // before the word, then each sign and what is between it and the next, then behind the word
    let mut ways = vec![0.0_f32; 2 * spelled.len() + 1];
    if let Some(first) = ways.first_mut() {
        *first = 1.0;
    }
    let mut next = ways.clone();
    for (row, tail) in rows {
        let tail: f32 = tail
            .iter()
            .filter(|c| !edge.contains(c))
            .map(|&c| sum(row, &[c]))
            .sum();
        let (nothing, beside) = (sum(row, &[0]), sum(row, edge) + tail);
        for (n, to) in next.iter_mut().enumerate() {
            let back = |by: usize| {
                n.checked_sub(by)
                    .and_then(|b| ways.get(b))
                    .copied()
                    .unwrap_or(0.0)
            };
            let (stay, step) = (back(0), back(1));
            *to = if n == 0 {
                stay * beside
            } else if n == 2 * spelled.len() {
                (stay + step) * beside
            } else if n % 2 == 0 {
                (stay + step) * nothing
            } else {
                let sign = spelled.get(n / 2).map_or(&[][..], Vec::as_slice);
                let before = (n / 2).checked_sub(1).and_then(|b| spelled.get(b));
                // two signs that are the same have nothing between them only if they are one
                let skip = match before {
                    Some(before) if before.iter().all(|c| !sign.contains(c)) => back(2),
                    _ => 0.0,
                };
                (stay + step + skip) * sum(row, sign)
            };
        }
        std::mem::swap(&mut ways, &mut next);
    }
    let end = ways.len();
    let last = |by: usize| end.checked_sub(by).and_then(|n| ways.get(n)).copied();
    (last(1).unwrap_or(0.0) + last(2).unwrap_or(0.0)).min(1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    const CHARACTERS: [char; 8] = [' ', '.', '1', 'N', 'n', 'o', 't', HAND];

    /// How likely the word is where each step shows these signs so likely, and nothing else.
    fn likely(word: &str, steps: &[&[(char, f32)]]) -> Option<f32> {
        beside(word, steps, [None, None])
    }

    /// The same between the letters of other words.
    fn beside(word: &str, steps: &[&[(char, f32)]], neighbors: [Option<char>; 2]) -> Option<f32> {
        let classes = CHARACTERS.len() + 1;
        let mut scores = Vec::new();
        for step in steps {
            let mut row = vec![0.0_f32; classes];
            for &(sign, likely) in *step {
                let class = CHARACTERS.iter().position(|&c| c == sign);
                row[class.expect("a sign of the reader") + 1] = likely;
            }
            row[0] = 1.0 - row.iter().sum::<f32>();
            scores.extend(row.iter().map(|l| l.max(1e-9).ln()));
        }
        let scores = &scores;
        let read = Steps { scores, classes };
        read.likely(word, 0..steps.len(), neighbors, &Meaning::of(&CHARACTERS))
    }

    fn near(found: Option<f32>, expected: f32) -> bool {
        found.is_some_and(|f| (f - expected).abs() < 1e-4)
    }

    #[test]
    fn a_letter_that_two_steps_show_together_is_surer_than_either() {
        let steps: [&[_]; 4] = [&[('n', 1.0)], &[('o', 0.6)], &[('o', 0.6)], &[('t', 1.0)]];
        // o in the first, the second or both
        assert!(near(likely("not", &steps), 0.84));
    }

    #[test]
    fn a_letter_that_was_perhaps_skipped_is_a_doubt() {
        let steps: [&[_]; 4] = [&[('n', 1.0)], &[('o', 1.0)], &[('t', 0.15)], &[(' ', 1.0)]];
        assert!(near(likely("no", &steps), 0.85));
        assert!(near(likely("not", &steps), 0.15));
    }

    #[test]
    fn the_stop_behind_a_word_and_its_large_letter_are_no_doubts() {
        let word: [&[_]; 4] = [
            &[('n', 0.5), ('N', 0.5)],
            &[('o', 1.0)],
            &[('.', 0.5)],
            &[(' ', 1.0)],
        ];
        assert!(near(likely("No.", &word), 1.0));
        // a figure is no letter
        let number: [&[_]; 3] = [&[('1', 0.9), ('n', 0.1)], &[('1', 0.9)], &[('.', 0.7)]];
        assert!(near(likely("1.", &number), 0.9));
    }

    #[test]
    fn two_letters_that_are_the_same_have_something_between_them() {
        let one: [&[_]; 2] = [&[('n', 1.0)], &[('n', 1.0)]];
        assert!(near(likely("n", &one), 1.0));
        assert!(near(likely("nn", &one), 0.0));
        let two: [&[_]; 3] = [&[('n', 1.0)], &[], &[('n', 1.0)]];
        assert!(near(likely("nn", &two), 1.0));
    }

    #[test]
    fn what_is_left_of_the_letter_before_a_word_is_no_doubt() {
        let steps: [&[_]; 5] = [
            &[('t', 0.4)],
            &[(' ', 1.0)],
            &[],
            &[('n', 1.0)],
            &[('o', 1.0)],
        ];
        assert!(near(likely("no", &steps), 0.6));
        assert!(near(beside("no", &steps, [Some('t'), None]), 1.0));
    }

    #[test]
    fn signs_alone_are_not_measured() {
        assert_eq!(likely("..", &[&[('.', 1.0)]]), None);
    }
}
