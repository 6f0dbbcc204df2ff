//! Words that are not sure, read once more by what letters stand beside one another in English.
//!
//! Sure words stay as they are, and so do numbers and words that decide: those were doubted before and
//! still are. A word that is changed is a doubt, whichever word it becomes.

use std::ops::Range;
use std::sync::OnceLock;

use super::beam::{self, Language};
use super::ctc::{NOT_READ, Read};
use super::glyph::Glyph;
use super::ngrams::{Before, Ngrams};
use super::patch::Word;
use super::posterior::HAND;

/// How letters follow one another.
const NGRAMS: &[u8] = include_bytes!("../models/ngrams.bin");
/// A word that is this sure stays.
const SURE: f32 = 0.8;
/// So many symbols behind a place tell what stands there.
const BEHIND: usize = 5;

/// What the words are weighed with; loaded when it is asked for first.
#[derive(Default)]
pub(super) struct Scales(OnceLock<Option<Loaded>>);

struct Loaded {
    ngrams: Ngrams,
    /// Words that decide, in order.
    deciding: Vec<String>,
}

impl Scales {
    fn loaded(&self) -> Option<&Loaded> {
        let load = || {
            Some(Loaded {
                ngrams: Ngrams::load(NGRAMS)?,
                deciding: crate::patterns::deciding()?,
            })
        };
        self.0.get_or_init(load).as_ref()
    }

    /// The line with its unsure words read by these, too.
    pub(super) fn weighed<'s>(&self, mut read: Read<'s>) -> Read<'s> {
        let words = read.words(|step| step as f32);
        // a cast of floats keeps to the bounds of the integer
        let steps = |word: &Word| word.left as usize..word.right as usize;
        if words.iter().all(is_sure) {
            return read;
        }
        let Some(loaded) = self.loaded() else {
            return read;
        };
        let language = loaded.language(read.characters());
        let blank = loaded.ngrams.symbol(' ');
        let mut before = Before::default().and(blank);
        let mut at = 0;
        while at < words.len() {
            let run = words.iter().skip(at);
            let run = run.take_while(|w| !loaded.stays(w)).count();
            let from = at.checked_sub(1).and_then(|n| words.get(n));
            let next = words.get(at + run);
            let from = from.map_or(0, |w| steps(w).end);
            let to = next.map_or(read.steps(), |w| steps(w).start);
            let text = (run > 0)
                .then(|| loaded.again(&mut read, &language, from..to, before, next))
                .flatten();
            let old = words.iter().skip(at).take(run.max(1));
            let old = || old.map(|w| w.text.as_str()).collect::<Vec<_>>().join(" ");
            let text = text.unwrap_or_else(old);
            if at > 0 {
                before = before.and(blank);
            }
            before = text
                .chars()
                .fold(before, |b, c| b.and(loaded.ngrams.symbol(c)));
            at += run.max(1);
        }
        read
    }
}

fn is_sure(word: &Word) -> bool {
    word.posterior.unwrap_or(1.0).min(word.confidence) >= SURE
}

impl Loaded {
    fn language(&self, characters: &[char]) -> Language<'_> {
        let symbol = |&c: &char| {
            let is_letter = c != HAND && !c.is_ascii_digit();
            is_letter.then(|| self.ngrams.symbol(c))
        };
        Language {
            ngrams: &self.ngrams,
            symbols: std::iter::once(None)
                .chain(characters.iter().map(symbol))
                .collect(),
        }
    }

    /// Whether a word is not asked about.
    fn stays(&self, word: &Word) -> bool {
        let letters = word.text.trim_matches(|c: char| !c.is_alphanumeric());
        is_sure(word)
            || word.text == NOT_READ
            || word.text.contains(|c: char| c.is_ascii_digit())
            || self.deciding.binary_search(&letters.to_lowercase()).is_ok()
    }

    /// Reads these steps again, which lie between two words that stay; what is read there now, if it
    /// is something else.
    fn again(
        &self,
        read: &mut Read<'_>,
        language: &Language<'_>,
        steps: Range<usize>,
        before: Before,
        next: Option<&Word>,
    ) -> Option<String> {
        let rows = read.rows(steps.clone())?;
        let symbol = |c: char| self.ngrams.symbol(c);
        let blank = symbol(' ');
        let next = next.map_or("", |w| &w.text);
        let next = next.chars().take(BEHIND - 1).map(symbol);
        let behind: Vec<u8> = std::iter::once(blank).chain(next).collect();
        let is_blank = |class: &usize| {
            class.checked_sub(1).and_then(|n| read.characters().get(n)) == Some(&' ')
        };
        let worth = |reading: &beam::Reading| {
            let skip = usize::from(reading.classes.last().is_some_and(is_blank));
            language.followed(reading, behind.get(skip..).unwrap_or_default())
        };
        let readings = beam::readings(rows, language, before);
        let best = readings
            .into_iter()
            .max_by(|a, b| worth(a).total_cmp(&worth(b)))?;
        let places = beam::aligned(rows, &best.classes)?;
        let mut glyphs: Vec<Glyph> = best
            .classes
            .iter()
            .zip(places)
            .filter_map(|(&class, at)| {
                read.glyph(class, at.start + steps.start..at.end + steps.start)
            })
            .collect();
        let first = glyphs.iter().position(|g| g.sign != ' ')?;
        let last = glyphs.iter().rposition(|g| g.sign != ' ')?;
        glyphs.truncate(last + 1);
        glyphs.drain(..first);
        let text: String = glyphs.iter().map(|g| g.sign).collect();
        read.put(steps, glyphs).then_some(text)
    }
}

#[cfg(test)]
mod tests {
    use super::super::ctc;
    use super::super::posterior::Meaning;
    use super::*;

    const SIGNS: [char; 9] = [' ', 'e', 'h', 'n', 'o', 't', 'u', '1', '/'];

    /// Words and how sure they are, of steps that show the first sign so likely, and else the second.
    fn words(steps: &[(char, f32, char)]) -> Vec<(String, f32)> {
        let row = |&(sign, likely, other): &(char, f32, char)| {
            let one = |c: &char| {
                let of = |sign, likely| if *c == sign { likely } else { 0.0 };
                of(sign, likely) + of(other, 1.0 - likely)
            };
            let row = std::iter::once(0.0).chain(SIGNS.iter().map(one));
            row.map(|l: f32| l.max(1e-9).ln()).collect::<Vec<_>>()
        };
        let scores: Vec<f32> = steps.iter().flat_map(row).collect();
        let meaning = Meaning::of(&SIGNS);
        let read = ctc::read(&scores, SIGNS.len() + 1, &meaning);
        let words = Scales::default().weighed(read).words(|step| step as f32);
        let sure = |w: &Word| w.posterior.unwrap_or(w.confidence);
        words.iter().map(|w| (w.text.clone(), sure(w))).collect()
    }

    #[test]
    fn a_word_becomes_another_one_and_a_doubt() {
        let read = words(&[('t', 1.0, 'e'), ('n', 0.6, 'h'), ('e', 1.0, 't')]);
        assert_eq!(read[0].0, "the");
        assert!(read[0].1 <= 0.5);
    }

    #[test]
    fn what_decides_and_numbers_stay_as_they_were_read() {
        // "nut" and "the" are nearly as likely
        let not = [('n', 1.0, 'e'), ('o', 0.6, 'u'), ('t', 1.0, 'e')];
        let number = [(' ', 1.0, 'e'), ('t', 1.0, 'e'), ('1', 0.6, 'h')];
        let read = words(&[&not[..], &number, &[('e', 1.0, 't')]].concat());
        let texts: Vec<&str> = read.iter().map(|(t, _)| t.as_str()).collect();
        assert_eq!(texts, ["not", "t1e"]);
        assert!((read[0].1 - 0.6).abs() < 1e-3);
    }

    #[test]
    fn what_differs_in_signs_alone_stays() {
        let read = words(&[
            ('t', 1.0, 'e'),
            ('h', 1.0, 'e'),
            ('/', 0.6, 'h'),
            ('e', 1.0, 't'),
            ('n', 1.0, 't'),
        ]);
        assert_eq!(read[0].0, "th/en");
    }

    #[test]
    fn a_word_that_becomes_one_that_decides_is_a_doubt() {
        let read = words(&[
            ('t', 1.0, 'e'),
            ('o', 1.0, 'e'),
            (' ', 1.0, 'e'),
            ('n', 1.0, 'e'),
            ('h', 0.7, 'o'),
            ('t', 1.0, 'e'),
        ]);
        assert_eq!(read[1].0, "not");
        assert!(read[1].1 <= 0.5);
    }
}
