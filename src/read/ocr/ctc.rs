//! Scores of a reader, step by step along a line → words (connectionist temporal classification,
//! the likeliest class of each step).

use std::ops::Range;

use super::beam::Rows;
use super::blanks;
use super::glyph::Glyph;
use super::patch::Word;
use super::posterior::{HAND, Meaning, Steps};

/// What stands in the text for it: something is written there, and it was not read.
pub(in crate::read) const NOT_READ: &str = "[?]";
/// A class this likely where another one was taken puts the word in doubt.
const NEARLY: f32 = 0.2;

/// How sure a number is that may be a part of one.
const PARTED: f32 = 0.7;
/// How sure a word is, at most, where another one was read before its letters were weighed.
const WEIGHED: f32 = 0.5;

/// Signs that are one stroke.
const STROKES: [char; 6] = ['_', '|', '\u{2014}', '\u{2013}', '[', ']'];
/// A stroke that is less sure than this is no sign.
const STROKE: f32 = 0.9;

/// Brackets that stand for one another on a worn copy: one that is either of them is no stroke.
const BRACKETS: [[char; 2]; 2] = [['[', '('], [']', ')']];

/// Signs that mean the same: a reader that cannot tell which of them it sees is sure of all.
const ALIKE: [&[char]; 2] = [
    &['"', '\u{201c}', '\u{201d}'],
    &['\'', '\u{2018}', '\u{2019}'],
];

/// Signs that a worn copy makes of one another, and after which words go on or a sentence ends.
const STOPS: [char; 4] = ['.', ',', ';', ':'];

/// Letters side by side.
pub(super) struct Run {
    /// From what stands before them to what stands behind.
    pub(super) steps: Range<usize>,
    pub(super) text: String,
    /// What stands before them, and the sign behind.
    pub(super) before: String,
    pub(super) behind: char,
}

/// What was read in a line.
pub(super) struct Read<'s> {
    glyphs: Vec<Glyph>,
    steps: Steps<'s>,
    meaning: &'s Meaning<'s>,
    /// Steps in which something else was read at first.
    weighed: Vec<Range<usize>>,
}

/// Reads a line; scores are logarithms of likelihoods, class 0 is nothing.
pub(super) fn read<'s>(scores: &'s [f32], classes: usize, meaning: &'s Meaning<'s>) -> Read<'s> {
    let characters = meaning.characters;
    let mut glyphs: Vec<Glyph> = Vec::new();
    // what was nearly seen: step, class, how likely
    let mut nearly: Vec<(usize, usize, f32)> = Vec::new();
    let mut last = 0;
    let alike = ALIKE.map(|signs| of(signs, characters));
    for (step, row) in scores.chunks_exact(classes.max(1)).enumerate() {
        let (class, score) = alike
            .iter()
            .map(|group| together(row, group))
            .fold(likeliest(row, 0), |a, b| if b.1 > a.1 { b } else { a });
        if class == 0 {
            let (second, score) = likeliest(row, 1);
            if score.exp() > NEARLY {
                nearly.push((step, second, score.exp()));
            }
        } else if class == last
            && let Some(glyph) = glyphs.last_mut()
        {
            glyph.to = step + 1;
            glyph.likely = glyph.likely.max(score.exp());
        } else if let Some(&sign) = characters.get(class - 1) {
            glyphs.push(Glyph {
                class,
                sign,
                from: step,
                to: step + 1,
                likely: score.exp(),
            });
        }
        last = class;
    }
    blanks::put(&mut glyphs, scores, classes, characters);
    for (step, class, likely) in nearly {
        let after = glyphs.partition_point(|g| g.from <= step);
        let same = |g: Option<&Glyph>| g.is_some_and(|g| g.class == class);
        let before = after.checked_sub(1);
        if same(glyphs.get(after)) || same(before.and_then(|b| glyphs.get(b))) {
            continue; // the rise or the fall of a character that was seen
        }
        if let Some(glyph) = glyphs.get_mut(before.unwrap_or(0)) {
            glyph.likely = glyph.likely.min(1.0 - likely);
        }
    }
    blanks::beside_quotes(&mut glyphs, ALIKE[0]);
    blanks::in_numbers(&mut glyphs);
    let brackets = BRACKETS.map(|signs| (signs, of(&signs, characters)));
    let is_bracket = |glyph: &Glyph| {
        let pair = brackets.iter().find(|(s, _)| s.contains(&glyph.sign));
        let rows = scores.chunks_exact(classes.max(1));
        let mut rows = rows.take(glyph.to).skip(glyph.from);
        pair.is_some_and(|(_, pair)| rows.any(|row| together(row, pair).1.exp() >= STROKE))
    };
    let mut after_letter = false;
    for glyph in &mut glyphs {
        if STROKES.contains(&glyph.sign) && glyph.likely < STROKE && !is_bracket(glyph) {
            let dash = matches!(glyph.sign, '\u{2014}' | '\u{2013}');
            if dash && after_letter {
                // a word parted at the end of its line
                glyph.sign = '-';
            } else {
                // the stroke of a grid, a fold or grain between two words
                glyph.sign = ' ';
                glyph.likely = 1.0;
            }
        }
        after_letter = glyph.sign.is_alphabetic();
    }
    Read {
        glyphs,
        steps: Steps { scores, classes },
        meaning,
        weighed: Vec::new(),
    }
}

/// Whether some characters differ from others in stops alone.
fn other_stops(old: &[Glyph], new: &[Glyph]) -> bool {
    let same = |(a, b): (&Glyph, &Glyph)| {
        a.sign == b.sign || STOPS.contains(&a.sign) && STOPS.contains(&b.sign)
    };
    let differ = old.iter().zip(new).any(|(a, b)| a.sign != b.sign);
    old.len() == new.len() && differ && old.iter().zip(new).all(same)
}

/// The words of some characters, without their signs.
fn letters(glyphs: &[Glyph]) -> Vec<String> {
    let words = glyphs.split(|g| g.sign == ' ').map(|word| {
        let signs = word.iter().map(|g| g.sign);
        signs.filter(|c| c.is_alphanumeric()).collect()
    });
    words.filter(|w: &String| !w.is_empty()).collect()
}

/// The classes of these signs.
fn of(signs: &[char], characters: &[char]) -> Vec<usize> {
    let all = characters.iter().enumerate();
    all.filter(|(_, c)| signs.contains(c))
        .map(|(n, _)| n + 1)
        .collect()
}

/// The likeliest of some classes, and the score of all of them.
fn together(row: &[f32], group: &[usize]) -> (usize, f32) {
    let score = |class: usize| row.get(class).copied().unwrap_or(f32::MIN);
    let best = group
        .iter()
        .max_by(|a, b| score(**a).total_cmp(&score(**b)));
    let sum: f32 = group.iter().map(|&class| score(class).exp()).sum();
    (best.copied().unwrap_or(0), sum.ln())
}

/// The likeliest class from this one on, and its score.
fn likeliest(row: &[f32], from: usize) -> (usize, f32) {
    row.iter().enumerate().skip(from).fold(
        (0, f32::MIN),
        |best, (n, &s)| if s > best.1 { (n, s) } else { best },
    )
}

impl<'s> Read<'s> {
    /// How many characters were read.
    pub(super) fn glyphs(&self) -> usize {
        self.glyphs.len()
    }

    /// How sure the characters are in the mean; 0 where there are none.
    pub(super) fn writing(&self) -> f32 {
        let sum: f32 = self.glyphs.iter().map(|g| g.likely).sum();
        sum / self.glyphs.len().max(1) as f32
    }

    /// The words; `place` tells where a step lies on the page. A word is as sure as its least sure
    /// character, and its posterior is how likely it is as a whole; of both, the blanks beside it count.
    pub(super) fn words(&self, place: impl Fn(usize) -> f32) -> Vec<Word> {
        let mut words: Vec<Word> = Vec::new();
        // for each word its steps, and how sure the blanks beside it are
        let mut seen: Vec<(Range<usize>, f32)> = Vec::new();
        let (mut apart, mut blank) = (true, 1.0_f32);
        for glyph in &self.glyphs {
            if glyph.sign == ' ' {
                (apart, blank) = (true, glyph.likely);
                if let Some((_, beside)) = seen.last_mut() {
                    *beside = beside.min(blank);
                }
                continue;
            }
            let by_hand = glyph.sign == HAND;
            if by_hand && words.last().is_some_and(|w| w.text == NOT_READ) {
                continue; // two words by hand are one place that was not read
            }
            if apart || by_hand || words.last().is_some_and(|w| w.text == NOT_READ) {
                words.push(Word {
                    text: String::new(),
                    left: place(glyph.from),
                    right: place(glyph.to),
                    confidence: 1.0,
                    posterior: None,
                });
                seen.push((glyph.from..glyph.to, blank));
            }
            (apart, blank) = (false, 1.0);
            if let (Some(word), Some((steps, _))) = (words.last_mut(), seen.last_mut()) {
                word.right = place(glyph.to);
                steps.end = glyph.to;
                if by_hand {
                    word.text.push_str(NOT_READ);
                    word.confidence = 0.0;
                } else {
                    word.text.push(glyph.sign);
                    word.confidence = word.confidence.min(glyph.likely);
                }
            }
        }
        for (n, word) in words.iter_mut().enumerate() {
            let beside = seen.get(n).map_or(1.0, |(_, beside)| *beside);
            word.confidence = word.confidence.min(beside);
        }
        let weighed = |n: usize| {
            let at = seen.get(n).map_or(0..0, |(steps, _)| steps.clone());
            let meets = |other: &Range<usize>| other.start < at.end && at.start < other.end;
            self.weighed.iter().any(meets)
        };
        let posteriors: Vec<Option<f32>> = (0..words.len())
            .map(|n| {
                let most = if weighed(n) { WEIGHED } else { 1.0 };
                self.posterior(&words, &seen, n).map(|p| p.min(most))
            })
            .collect();
        for (word, posterior) in words.iter_mut().zip(posteriors) {
            word.posterior = posterior;
        }
        in_parts(&mut words);
        words
    }

    /// What the classes mean, from the first behind nothing.
    pub(super) const fn characters(&self) -> &'s [char] {
        self.meaning.characters
    }

    pub(super) fn steps(&self) -> usize {
        self.steps.scores.len() / self.steps.classes.max(1)
    }

    /// What some steps show.
    pub(super) fn rows(&self, steps: Range<usize>) -> Option<Rows<'s>> {
        Rows::of(self.steps.scores, self.steps.classes, steps)
    }

    /// A character that stands in these steps.
    pub(super) fn glyph(&self, class: usize, steps: Range<usize>) -> Option<Glyph> {
        let sign = *self.characters().get(class.checked_sub(1)?)?;
        let rows = self.steps.scores.chunks_exact(self.steps.classes.max(1));
        let rows = rows.take(steps.end).skip(steps.start);
        let best = rows.filter_map(|row| row.get(class)).copied();
        Some(Glyph {
            class,
            sign,
            from: steps.start,
            to: steps.end,
            likely: best.fold(f32::MIN, f32::max).exp(),
        })
    }

    /// The runs of letters that begin in these steps.
    pub(super) fn runs(&self, steps: Range<usize>) -> Vec<Run> {
        let is_letter = |g: &Glyph| g.sign.is_alphabetic();
        let mut at = 0;
        let mut out = Vec::new();
        for run in self.glyphs.chunk_by(|a, b| is_letter(a) == is_letter(b)) {
            let (before, behind) = (self.glyphs.get(..at), self.glyphs.get(at + run.len()));
            at += run.len();
            let begins = run.first().filter(|g| is_letter(g));
            let (Some(_), Some(before)) = (begins.filter(|g| steps.contains(&g.from)), before)
            else {
                continue;
            };
            let signs = |glyphs: &[Glyph]| glyphs.iter().map(|g| g.sign).collect();
            out.push(Run {
                steps: before.last().map_or(0, |g| g.to)..behind.map_or(self.steps(), |g| g.from),
                text: signs(run),
                before: signs(before),
                behind: behind.map_or(' ', |g| g.sign),
            });
        }
        out
    }

    /// Puts other words into these steps, between the blanks at either end, and says whether they are
    /// others: of signs beside letters ("N/A") the letters of English tell little, but for stops.
    pub(super) fn put(&mut self, steps: Range<usize>, glyphs: Vec<Glyph>) -> bool {
        let inside = |g: &Glyph| g.from >= steps.start && g.to <= steps.end && g.sign != ' ';
        let (Some(first), Some(last)) = (
            self.glyphs.iter().position(inside),
            self.glyphs.iter().rposition(inside),
        ) else {
            return false;
        };
        let old = self.glyphs.get(first..=last).unwrap_or_default();
        if letters(old) == letters(&glyphs) && !other_stops(old, &glyphs) {
            return false;
        }
        self.glyphs.splice(first..=last, glyphs);
        self.weighed.push(steps);
        true
    }

    /// How likely a word is as a whole. Of numbers the surer of both counts: on lines never seen, it
    /// parts right ones from wrong ones best.
    fn posterior(&self, words: &[Word], seen: &[(Range<usize>, f32)], n: usize) -> Option<f32> {
        let (word, (at, beside)) = (words.get(n)?, seen.get(n)?);
        let before = n.checked_sub(1).and_then(|b| seen.get(b));
        let before = before.map_or(0, |(steps, _)| steps.end);
        let behind = seen.get(n + 1).map_or(usize::MAX, |(s, _)| s.start);
        let around = self.steps.around(at.clone(), before, behind);
        let neighbors = neighbors(words, n);
        let likely = self
            .steps
            .likely(&word.text, around, neighbors, self.meaning)?;
        let number = word.text.contains(|c: char| c.is_ascii_digit());
        let best = if number { word.confidence } else { 0.0 };
        Some(likely.max(best).min(*beside))
    }
}

/// Doubts the parts of a number that a blank may have parted: "65. 133" and "6 5.133" of a typewriter
/// are one section. The number of a clause begins its line.
fn in_parts(words: &mut [Word]) {
    for n in 2..words.len() {
        let Some([a, b]) = words.get_mut(n - 1..=n) else {
            continue;
        };
        let figure = |c: Option<char>| c.is_some_and(|c| c.is_ascii_digit());
        let is_parted = match a.text.strip_suffix('.') {
            Some(number) => figure(number.chars().last()),
            None => a.text.chars().all(|c| c.is_ascii_digit()) && is_section(&b.text),
        };
        if is_parted && figure(b.text.chars().next()) {
            for word in [a, b] {
                word.confidence = word.confidence.min(PARTED);
                word.posterior = word.posterior.map(|p| p.min(PARTED));
            }
        }
    }
}

/// Whether a word is two numbers with a dot between, and what is in brackets behind.
fn is_section(word: &str) -> bool {
    let figures = |s: &str| s.chars().take_while(char::is_ascii_digit).count();
    word.split_once('.')
        .is_some_and(|(a, b)| !a.is_empty() && figures(a) == a.len() && figures(b) > 1)
}

/// The last character of the word before the `n`th, and the first one of the word behind it.
pub(super) fn neighbors(words: &[Word], n: usize) -> [Option<char>; 2] {
    let before = n.checked_sub(1).and_then(|b| words.get(b));
    [
        before.and_then(|w| w.text.chars().last()),
        words.get(n + 1).and_then(|w| w.text.chars().next()),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Scores of steps, each told by its likeliest class and how likely it is; "-" is nothing.
    fn scores(steps: &[(char, f32)], characters: &[char]) -> Vec<f32> {
        let classes = characters.len() + 1;
        let mut out = Vec::new();
        for &(sign, likely) in steps {
            let class = characters
                .iter()
                .position(|&c| c == sign)
                .map_or(0, |n| n + 1);
            let other = (1.0 - likely) / (classes - 1) as f32;
            out.extend((0..classes).map(|n| if n == class { likely } else { other }.ln()));
        }
        out
    }

    fn words(steps: &[(char, f32)]) -> Vec<(String, f32)> {
        let characters = [' ', 'a', 'n', 'o', 't', HAND];
        let scores = scores(steps, &characters);
        let meaning = Meaning::of(&characters);
        let read = read(&scores, 7, &meaning);
        read.words(|step| step as f32)
            .into_iter()
            .map(|w| (w.text, (w.confidence * 100.0).round() / 100.0))
            .collect()
    }

    #[test]
    fn repeated_classes_are_one_character_unless_nothing_stands_between() {
        let read = words(&[
            ('n', 0.9),
            ('n', 0.95),
            ('-', 1.0),
            ('n', 0.99),
            ('o', 0.99),
        ]);
        assert_eq!(read, [("nno".to_owned(), 0.95)]);
    }

    #[test]
    fn a_bracket_of_either_kind_is_no_stroke_of_a_grid() {
        let characters = ['[', '(', 'I', '1'];
        let meaning = Meaning::of(&characters);
        // of '[', '(' and 'I' each
        let text = |likely: [f32; 3]| {
            let [square, round, letter] = likely.map(f32::ln);
            let nothing = 1e-4_f32.ln();
            let scores = [
                [nothing, square, round, letter, nothing],
                [nothing, nothing, nothing, nothing, 0.99_f32.ln()],
            ]
            .concat();
            let words = read(&scores, 5, &meaning).words(|step| step as f32);
            words.into_iter().map(|w| w.text).collect::<String>()
        };
        assert_eq!(text([0.6, 0.38, 0.01]), "[1");
        assert_eq!(text([0.6, 0.01, 0.38]), "1");
    }

    #[test]
    fn a_word_is_as_sure_as_its_least_sure_character_or_blank() {
        let read = words(&[
            ('n', 0.99),
            ('o', 0.6),
            ('t', 0.99),
            (' ', 0.99),
            ('a', 0.98),
        ]);
        assert_eq!(read, [("not".to_owned(), 0.6), ("a".to_owned(), 0.98)]);
        let read = words(&[('n', 0.99), (' ', 0.5), ('o', 0.99)]);
        assert_eq!(read, [("n".to_owned(), 0.5), ("o".to_owned(), 0.5)]);
    }

    #[test]
    fn what_was_nearly_read_is_a_doubt() {
        let characters = [' ', 'a'];
        // between two letters a blank is seen at 0.4
        let likely: [[f32; 3]; 3] = [[0.01, 0.01, 0.98], [0.59, 0.4, 0.01], [0.01, 0.01, 0.98]];
        let scores: Vec<f32> = likely.iter().flatten().map(|l| l.ln()).collect();
        let words = read(&scores, 3, &Meaning::of(&characters)).words(|_| 0.0);
        assert_eq!(words.len(), 1);
        assert!((words[0].confidence - 0.6).abs() < 1e-5);
    }

    #[test]
    fn quotes_of_two_shapes_are_one_sign() {
        let characters = ['a', '"', '\u{201d}'];
        let likely: [[f32; 4]; 2] = [[0.01, 0.97, 0.01, 0.01], [0.38, 0.02, 0.25, 0.35]];
        let scores: Vec<f32> = likely.iter().flatten().map(|l| l.ln()).collect();
        let words = super::read(&scores, 4, &Meaning::of(&characters)).words(|_| 0.0);
        assert_eq!(words.len(), 1);
        assert_eq!(words[0].text, "a\u{201d}");
        assert!((words[0].confidence - 0.6).abs() < 1e-5);
    }

    #[test]
    fn a_quote_between_two_blanks_stands_at_a_word() {
        let characters = [' ', 'a', '"'];
        let read = |left: f32, right: f32| {
            let steps = [
                ('a', 0.99),
                (' ', left),
                ('"', 0.9),
                (' ', right),
                ('a', 0.99),
            ];
            let (scores, meaning) = (scores(&steps, &characters), Meaning::of(&characters));
            let read = super::read(&scores, 4, &meaning);
            let words = read.words(|_| 0.0).into_iter();
            words.map(|w| w.text).collect::<Vec<_>>()
        };
        assert_eq!(read(0.6, 0.9), ["a\"", "a"]);
        assert_eq!(read(0.9, 0.6), ["a", "\"a"]);
        let end = [('a', 0.99), (' ', 0.6), ('"', 0.9)];
        let end = scores(&end, &characters);
        let words = super::read(&end, 4, &Meaning::of(&characters)).words(|_| 0.0);
        assert_eq!(words.len(), 1);
    }

    #[test]
    fn a_blank_that_two_steps_show_together_is_one() {
        let characters = [' ', 'a'];
        let read = |blanks: [f32; 2]| {
            let mut likely = vec![[0.01, 0.01, 0.98]];
            likely.extend(blanks.map(|b| [0.99 - b, b, 0.01]));
            likely.push([0.01, 0.01, 0.98]);
            let scores: Vec<f32> = likely.iter().flatten().map(|l: &f32| l.ln()).collect();
            let words = super::read(&scores, 3, &Meaning::of(&characters)).words(|_| 0.0);
            let sure = words.first().map_or(0.0, |w| w.confidence);
            (words.len(), (sure * 100.0).round())
        };
        assert_eq!(read([0.4, 0.3]), (2, 58.0));
        assert_eq!(read([0.3, 0.2]), (1, 70.0));
    }

    #[test]
    fn a_number_holds_no_unsure_blank() {
        let characters = [' ', '.', '1', '9', 'a'];
        let read = |first: char, blank: f32, last: char| {
            let steps = [(first, 0.99), ('.', 0.99), (' ', blank), (last, 0.99)];
            let (scores, meaning) = (scores(&steps, &characters), Meaning::of(&characters));
            let read = super::read(&scores, 6, &meaning);
            let words = read.words(|_| 0.0).into_iter();
            words
                .map(|w| (w.text, (w.confidence * 100.0).round()))
                .collect::<Vec<_>>()
        };
        assert_eq!(read('9', 0.6, '1'), [("9.1".to_owned(), 40.0)]);
        assert_eq!(read('9', 0.8, '1').len(), 2);
        assert_eq!(read('9', 0.6, 'a').len(), 2);
        assert_eq!(read('a', 0.6, '1').len(), 2);
    }

    #[test]
    fn a_number_in_two_parts_is_a_doubt_but_behind_the_number_of_a_clause() {
        let sure = |texts: &[&str]| {
            let word = |text: &&str| Word {
                text: (*text).to_owned(),
                left: 0.0,
                right: 0.0,
                confidence: 1.0,
                posterior: Some(1.0),
            };
            let mut words: Vec<Word> = texts.iter().map(word).collect();
            in_parts(&mut words);
            words.iter().filter(|w| w.posterior == Some(1.0)).count()
        };
        assert_eq!(sure(&["in", "65.", "133."]), 1);
        assert_eq!(sure(&["2.", "30", "hours"]), 3);
        assert_eq!(sure(&["of", "65.133.", "The"]), 3);
        assert_eq!(sure(&["CFR", "6", "5.133(a)"]), 1);
        assert_eq!(sure(&["part", "43", "2020", "edition"]), 4);
    }

    #[test]
    fn writing_by_hand_is_never_letters() {
        let read = words(&[
            ('n', 0.99),
            (' ', 0.99),
            (HAND, 0.99),
            ('-', 0.9),
            (HAND, 0.9),
            ('a', 0.99),
        ]);
        let texts: Vec<&str> = read.iter().map(|(t, _)| t.as_str()).collect();
        assert_eq!(texts, ["n", "[?]", "a"]);
        assert_eq!(read[1].1, 0.0);
    }
}
