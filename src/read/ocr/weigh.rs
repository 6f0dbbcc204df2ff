//! Words that are not sure, read once more by what letters stand beside one another in English, and by
//! the words of the trade.
//!
//! Sure words stay as they are, and so do numbers and words that decide: those were doubted before and
//! still are. A word that is changed is a doubt, whichever word it becomes.

use std::ops::Range;
use std::sync::OnceLock;

use super::beam::{self, Language};
use super::ctc::{NOT_READ, Read, Run};
use super::glyph::Glyph;
use super::lexicon::Lexicon;
use super::ngrams::{Before, Ngrams};
use super::patch::Word;
use super::posterior::HAND;

/// How letters follow one another.
const NGRAMS: &[u8] = include_bytes!("../models/ngrams.bin");
/// A word that is this sure stays.
const SURE: f32 = 0.8;
/// The same of letters that are no word of the trade.
const SURE_OTHER: f32 = 0.98;
/// What the letters of English say counts so much of what the steps show, where a word of the trade is
/// compared with what was read.
const ENGLISH: f32 = 0.6;
/// And the word may be so much less likely than what was read, as a logarithm.
const LESS: f32 = 2.0;
/// So many symbols behind a place tell what stands there.
const BEHIND: usize = 5;

/// What the words are weighed with; loaded when it is asked for first.
#[derive(Default)]
pub(super) struct Scales(OnceLock<Option<Loaded>>);

struct Loaded {
    ngrams: Ngrams,
    /// Words that decide, in order.
    deciding: Vec<String>,
    lexicon: Lexicon,
}

impl Scales {
    fn loaded(&self) -> Option<&Loaded> {
        let load = || {
            let spelling = crate::patterns::spelling()?;
            Some(Loaded {
                ngrams: Ngrams::load(NGRAMS)?,
                deciding: spelling.deciding,
                lexicon: Lexicon::of(spelling.seen),
            })
        };
        self.0.get_or_init(load).as_ref()
    }

    /// The line with its unsure words read by these, too.
    pub(super) fn weighed<'s>(&self, mut read: Read<'s>) -> Read<'s> {
        let words = read.words(|step| step as f32);
        // a cast of floats keeps to the bounds of the integer
        let steps = |word: &Word| word.left as usize..word.right as usize;
        if words.iter().all(|w| sure(w) >= SURE_OTHER) {
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
        loaded.known(&mut read);
        read
    }
}

/// How sure a word is, as a whole and in each of its steps.
fn sure(word: &Word) -> f32 {
    word.posterior.unwrap_or(1.0).min(word.confidence)
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
        sure(word) >= SURE || self.is_left_alone(word)
    }

    /// Whether it is a number, or a word that decides.
    fn is_left_alone(&self, word: &Word) -> bool {
        let letters = word.text.trim_matches(|c: char| !c.is_alphanumeric());
        word.text == NOT_READ
            || word.text.contains(|c: char| c.is_ascii_digit())
            || self.decides(letters)
    }

    fn decides(&self, word: &str) -> bool {
        self.deciding.binary_search(&word.to_lowercase()).is_ok()
    }

    /// Puts words of the trade where letters were read that are none of them, and nearly as likely.
    fn known(&self, read: &mut Read<'_>) {
        for word in read.words(|step| step as f32) {
            if sure(&word) >= SURE_OTHER || self.is_left_alone(&word) {
                continue;
            }
            // a cast of floats keeps to the bounds of the integer
            for run in read.runs(word.left as usize..word.right as usize) {
                if let Some(glyphs) = self.instead(read, &run) {
                    read.put(run.steps, glyphs);
                }
            }
        }
    }

    /// The word of the trade that stands where these letters were read.
    fn instead(&self, read: &Read<'_>, run: &Run) -> Option<Vec<Glyph>> {
        if self.lexicon.knows(&run.text) || self.decides(&run.text) {
            return None;
        }
        let rows = read.rows(run.steps.clone())?;
        let shown = self.lexicon.shown(rows, read.characters(), &run.text)?;
        let read_so = shown.read + ENGLISH * self.english(run, &run.text);
        if shown.likely + ENGLISH * self.english(run, shown.word) <= read_so - LESS {
            return None;
        }
        let word = in_case(shown.word, &run.text);
        let class = |c: char| read.characters().iter().position(|k| *k == c);
        let classes: Vec<usize> = word
            .chars()
            .map(|c| Some(class(c)? + 1))
            .collect::<Option<_>>()?;
        let places = beam::aligned(rows, &classes)?;
        let from = run.steps.start;
        let glyph = |(&class, at): (&usize, Range<usize>)| {
            read.glyph(class, at.start + from..at.end + from)
        };
        classes.iter().zip(places).map(glyph).collect()
    }

    /// The logarithm of how likely English has a word in this place.
    fn english(&self, run: &Run, word: &str) -> f32 {
        let symbol = |c: char| self.ngrams.symbol(c);
        let begin = Before::default().and(symbol(' '));
        let mut before = run.before.chars().fold(begin, |b, c| b.and(symbol(c)));
        let signs = word.chars().chain(std::iter::once(run.behind)).map(symbol);
        signs
            .map(|symbol| {
                let likely = self.ngrams.likely(before, symbol);
                before = before.and(symbol);
                likely
            })
            .sum()
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

/// A word of small letters with the capitals of what was read.
fn in_case(word: &str, read: &str) -> String {
    let large = read.chars().filter(|c| c.is_uppercase()).count();
    let first = usize::from(read.starts_with(char::is_uppercase));
    let large = if 2 * large > read.chars().count() {
        word.len()
    } else {
        first
    };
    let (head, rest) = word.split_at_checked(large).unwrap_or((word, ""));
    head.to_uppercase() + rest
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
    fn a_word_of_the_trade_stands_for_what_is_none() {
        // "tne" is sure enough for English alone
        let read = words(&[('t', 1.0, 'e'), ('n', 0.9, 'h'), ('e', 1.0, 't')]);
        assert_eq!(read[0].0, "the");
        assert!(read[0].1 <= 0.5);
        let read = words(&[('t', 1.0, 'e'), ('n', 0.99, 'h'), ('e', 1.0, 't')]);
        assert_eq!(read[0].0, "tne");
        assert_eq!(in_case("annual", "Anuual"), "Annual");
        assert_eq!(in_case("annual", "ANUUaL"), "ANNUAL");
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
