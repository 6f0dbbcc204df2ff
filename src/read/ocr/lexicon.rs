//! The words of a trade, and which of them the steps of a line show best.

use std::collections::BTreeMap;

use super::beam::Rows;

/// A word has at most so many letters more or less than were read in its place.
const OTHER: usize = 3;
/// Shorter words are signs as often: "II", "N", "od".
const SHORTEST: usize = 3;
/// How often a word stands in the wordings of the trade counts so much of what the steps show.
const OFTEN: f32 = 0.3;
/// Letters of the alphabet.
const LETTERS: usize = 26;
/// Likelihoods below this are made larger, so that they do not fall to nothing.
const SMALL: f32 = 1e-12;

/// Words of small letters, in order, each with the logarithm of how often it was seen.
pub(super) struct Lexicon {
    words: Vec<(String, f32)>,
}

/// What some steps show.
pub(super) struct Shown<'l> {
    /// The word of the lexicon that they show best.
    pub(super) word: &'l str,
    /// The logarithm of how likely they show it, weighed by how often it is seen.
    pub(super) likely: f32,
    /// The same of what was read, not weighed.
    pub(super) read: f32,
}

/// How likely a step shows each letter, large or small, nothing, and what may stand beside a word.
struct Step {
    letters: [f32; LETTERS],
    nothing: f32,
    beside: f32,
}

impl Lexicon {
    /// Of words and how often each was seen.
    pub(super) fn of(seen: BTreeMap<String, u32>) -> Self {
        let letters = |w: &str| w.len() >= SHORTEST && w.bytes().all(|b| b.is_ascii_lowercase());
        let words = seen
            .into_iter()
            .filter(|(word, _)| letters(word))
            .map(|(word, count)| (word, (count.max(1) as f32).ln()))
            .collect();
        Self { words }
    }

    /// Whether a word is in it, large or small.
    pub(super) fn knows(&self, word: &str) -> bool {
        let word = word.to_lowercase();
        let place = |known: &(String, f32)| known.0.as_str().cmp(&word);
        self.words.binary_search_by(place).is_ok()
    }

    /// What steps show in which `read` was read, with nothing but signs beside it; `None` where that is
    /// no run of letters or no word fits.
    pub(super) fn shown(
        &self,
        rows: Rows<'_>,
        characters: &[char],
        read: &str,
    ) -> Option<Shown<'_>> {
        let count = read.chars().count();
        if count < SHORTEST {
            return None;
        }
        let steps: Vec<Step> = rows.each().map(|row| Step::of(row, characters)).collect();
        let near = |word: &str| word.len().abs_diff(count) <= OTHER && word.len() <= steps.len();
        let words = self.words.iter().filter(|(word, _)| near(word));
        let (word, likely) = words
            .filter_map(|(word, seen)| Some((word.as_str(), spelled(&steps, word)? + OFTEN * seen)))
            .max_by(|a, b| a.1.total_cmp(&b.1))?;
        Some(Shown {
            word,
            likely,
            read: spelled(&steps, read)?,
        })
    }
}

impl Step {
    /// Of the scores of a step; class 0 is nothing.
    fn of(row: &[f32], characters: &[char]) -> Self {
        let nothing = row.first().map_or(0.0, |score| score.exp());
        let mut step = Self {
            letters: [0.0; LETTERS],
            nothing,
            beside: nothing,
        };
        for (&sign, score) in characters.iter().zip(row.iter().skip(1)) {
            if let Some(to) = place(sign).and_then(|n| step.letters.get_mut(n)) {
                *to += score.exp();
            } else if !sign.is_alphanumeric() {
                step.beside += score.exp();
            }
        }
        step
    }
}

/// Which letter of the alphabet it is.
fn place(sign: char) -> Option<usize> {
    let small = sign.to_ascii_lowercase();
    small
        .is_ascii_lowercase()
        .then(|| small as usize - 'a' as usize)
}

/// The logarithm of the likelihood of all ways in which the steps show these letters one after the
/// other, and only signs beside them (the forward algorithm of connectionist temporal classification).
fn spelled(steps: &[Step], word: &str) -> Option<f32> {
    let letters: Vec<usize> = word.chars().map(place).collect::<Option<_>>()?;
    // before the word, then each letter and what is between it and the next, then behind the word
    let states = 2 * letters.len() + 1;
    let mut ways = vec![0.0_f32; states];
    *ways.first_mut()? = 1.0;
    let mut lost = 0.0;
    for step in steps {
        for n in (0..states).rev() {
            let back = |by: usize| n.checked_sub(by).and_then(|b| ways.get(b)).copied();
            let from = back(0)? + back(1).unwrap_or(0.0);
            let now = if n == 0 || n + 1 == states {
                from * step.beside
            } else if n % 2 == 0 {
                from * step.nothing
            } else {
                let letter = letters.get(n / 2)?;
                let before = (n / 2).checked_sub(1).and_then(|b| letters.get(b));
                // the same letter once more has nothing between
                let skip = before.filter(|b| *b != letter).and_then(|_| back(2));
                (from + skip.unwrap_or(0.0)) * step.letters.get(*letter)?
            };
            *ways.get_mut(n)? = now;
        }
        if ways.iter().all(|way| *way < SMALL) {
            ways.iter_mut().for_each(|way| *way /= SMALL);
            lost += SMALL.ln();
        }
    }
    let end: f32 = ways.iter().rev().take(2).sum();
    (end > 0.0).then(|| end.ln() + lost)
}

#[cfg(test)]
mod tests {
    use super::*;

    const SIGNS: [char; 7] = [' ', 'a', 'c', 'e', 'l', 'M', 'm'];

    /// Scores of steps that show a sign so likely, and else another one.
    fn scores(steps: &[(char, f32, char)]) -> Vec<f32> {
        let row = |&(sign, likely, other): &(char, f32, char)| {
            let of = |c: &char| {
                let part = |sign, likely| if *c == sign { likely } else { 0.0 };
                part(sign, likely) + part(other, 1.0 - likely)
            };
            let row: Vec<f32> = std::iter::once(0.0).chain(SIGNS.iter().map(of)).collect();
            row.into_iter().map(|l| l.max(1e-9).ln())
        };
        steps.iter().flat_map(row).collect()
    }

    fn shown(steps: &[(char, f32, char)], read: &str) -> Option<(String, f32)> {
        let scores = scores(steps);
        let rows = Rows::of(&scores, SIGNS.len() + 1, 0..steps.len())?;
        let words = ["calm", "mace", "lame"].map(|w| (w.to_owned(), 1));
        let lexicon = Lexicon::of(words.into());
        let shown = lexicon.shown(rows, &SIGNS, read)?;
        Some((shown.word.to_owned(), shown.likely - shown.read))
    }

    #[test]
    fn the_word_that_is_shown_nearly_as_well_is_told() {
        let steps = [
            (' ', 1.0, 'a'),
            ('c', 1.0, 'a'),
            ('e', 0.8, 'a'),
            ('l', 1.0, 'a'),
            ('M', 0.6, 'm'),
        ];
        let (word, less) = shown(&steps, "celm").expect("a word");
        assert_eq!(word, "calm");
        assert!((less - (0.2_f32 / 0.8).ln()).abs() < 1e-3);
        assert!(shown(&steps, "ce1m").is_none() && shown(&steps, "ce").is_none());
    }
}
