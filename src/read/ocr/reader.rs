//! The reader of lines that comes with the program: a piece of a line → words with their confidence.
//!
//! How it was trained, on what, and how well it reads stands in `src/read/models/README.md`. Columns
//! of its picture are those of a line of 32 rows, rows are 40: what tells "l" from "I" is height.

use std::sync::Arc;

use image::{GrayImage, imageops};
use rten::ThreadPool;
use rten_tensor::prelude::*;

use super::lines::Found;
use super::net::{Net, STEP};
use super::page::{Eye, Lines, SAMPLES, UPRIGHT, surely_read};
use super::patch::{Patch, Word};
use super::pools::{single, spread};
use super::posterior::{Meaning, Steps};
use super::slopes::Slopes;
use super::unread::Letters;
use super::weigh::Scales;
use super::{ctc, lines, shade, strip, unread};

/// Reads every line.
pub(super) const QUICK: &[u8] = include_bytes!("../models/quick.onnx");
/// Reads the lines of which the quick one is not sure.
pub(super) const CAREFUL: &[u8] = include_bytes!("../models/careful.onnx");
/// What they can write, one a line; class 0 is nothing.
const CHARACTERS: &str = include_str!("../models/characters.txt");

/// Height of a line for the reader.
const ROWS: u32 = 40;
/// Its width is what it would be at this height.
const COLUMNS: f32 = 32.0;
/// No line of paper is wider, in pixels of that height.
const WIDEST: u32 = 2600;
/// Paper behind a line, so that its last letter does not stand at the edge.
const PAPER: usize = 16;
/// Lines read in one go; each step of the reader then does more at once.
const TOGETHER: usize = 6;
/// Lines read in one go are all at least as wide as this share of the widest.
const ALIKE: f32 = 0.85;
/// Lines are sought on a picture whose longer side is at most so long: 200 dots per inch.
const SOUGHT: u32 = 2300;
/// The other reader is asked about a word if its posterior is at least this, and less than the next.
const DOUBTED: f32 = 0.8;
const SURE_ALONE: f32 = 0.95;
/// And if it has no more letters than this, or a figure: short words lie close to one another, and
/// any figures are a number; a long word that is another one is hardly ever a word.
const SHORT: usize = 4;
/// A number that the other reader finds likelier than this is the same to both.
const AGREED: f32 = 0.5;
/// So much beside such a word is shown to it, in heights of a line.
const BESIDE: f32 = 1.0;
/// So many such words are read in one go.
const ASKED_TOGETHER: usize = 16;
/// A line with a word less sure than this is read once more, by the slower of the two.
const SURE_AT_ONCE: f32 = 0.8;
/// Less sure than this, in the mean of its characters, it is not writing but dirt or a picture.
const WRITING: f32 = 0.7;
/// The same for a long line: dirt seldom is one, and a line that is lost is worse than one in doubt.
const WRITING_LONG: f32 = 0.5;
/// So many times as wide as high is a long line.
const LONG: f32 = 8.0;
/// The same for one or two characters.
const WRITING_SHORT: f32 = 0.85;
/// A sign or two beside all text are writing if they are surer than this.
const SURE_SIGN: f32 = 0.98;

/// Fewer words than this say nothing about their page.
const FEW: f32 = 20.0;

/// The reader, loaded.
pub(super) struct Reader {
    quick: Net,
    careful: Net,
    characters: Vec<char>,
    scales: Scales,
}

impl Reader {
    /// Loads it; `None` where it is broken.
    pub(super) fn load() -> Option<Self> {
        Some(Self {
            quick: Net::load(QUICK)?,
            careful: Net::load(CAREFUL)?,
            characters: CHARACTERS
                .lines()
                .filter_map(|l| l.chars().next())
                .collect(),
            scales: Scales::default(),
        })
    }

    /// Reads lines that are about equally wide; with `scales`, words that are not sure are weighed.
    fn together(
        &self,
        (net, scales): (&Net, Option<&Scales>),
        page: &GrayImage,
        patches: &[Patch],
        pool: &Arc<ThreadPool>,
    ) -> Vec<Vec<Word>> {
        let meaning = Meaning::of(&self.characters);
        let words = |scores: &[f32], classes: usize, n: usize, step: f32| {
            let Some(patch) = patches.get(n) else {
                return Vec::new();
            };
            let read = ctc::read(scores, classes, &meaning);
            let long = patch.right - patch.left > LONG * (patch.bottom - patch.top);
            let least = match read.glyphs() {
                0..3 => WRITING_SHORT,
                20.. if long => WRITING_LONG,
                _ => WRITING,
            };
            if read.writing() < least {
                return Vec::new();
            }
            let read = match scales {
                Some(scales) => scales.weighed(read),
                None => read,
            };
            read.words(|at| (patch.left + at as f32 * step).min(patch.right))
        };
        self.scored(net, page, patches, pool, words)
            .unwrap_or_else(|| vec![Vec::new(); patches.len()])
    }

    /// What `of` makes of the scores of each line, of how many classes there are, of which line it is
    /// and of the width of a step on the page.
    fn scored<T>(
        &self,
        net: &Net,
        page: &GrayImage,
        patches: &[Patch],
        pool: &Arc<ThreadPool>,
        of: impl Fn(&[f32], usize, usize, f32) -> T,
    ) -> Option<Vec<T>> {
        let strips: Vec<GrayImage> = patches.iter().map(|p| strip_of(page, p)).collect();
        let widest = strips.iter().map(|s| s.width() as usize).max().unwrap_or(0);
        let scores = net.scores(&strips, widest + PAPER, pool)?;
        let [_, steps, classes] = scores.shape();
        let scores = scores.into_data();
        let each = scores.chunks_exact((steps * classes).max(1));
        let all = each.zip(patches).zip(&strips).enumerate();
        Some(
            all.map(|(n, ((scores, patch), strip))| {
                let step = (patch.right - patch.left) * STEP as f32 / strip.width().max(1) as f32;
                of(scores, classes, n, step)
            })
            .collect(),
        )
    }
}

/// The line as the reader wants it.
fn strip_of(page: &GrayImage, patch: &Patch) -> GrayImage {
    let height = (patch.bottom - patch.top).max(1.0);
    let width = (patch.right - patch.left) * COLUMNS / height;
    // a cast of floats keeps to the bounds of the integer
    let width = (width as u32).clamp(12, WIDEST);
    strip::resized(&strip::cut(page, *patch), width, ROWS)
}

/// What one page needs to be read.
pub(super) struct Hand<'a> {
    reader: &'a Reader,
    /// Each thread alone: lines side by side are read faster than one line by all threads.
    threads: Vec<Arc<ThreadPool>>,
}

impl<'a> Hand<'a> {
    /// With so many cores for itself.
    pub(super) fn new(reader: &'a Reader, threads: usize) -> Self {
        Self {
            reader,
            threads: single(threads),
        }
    }

    /// The words of each line: those that are not sure at once are read again.
    fn read(&self, page: &GrayImage, patches: &[Patch]) -> Vec<(Patch, Vec<Word>)> {
        let sure = |words: &[Word]| {
            let signs: usize = words.iter().map(|w| w.text.chars().count()).sum();
            // the number of a clause may stand beside all text
            let least = if signs < 3 { SURE_SIGN } else { SURE_AT_ONCE };
            signs > 0 && words.iter().all(|w| w.confidence > least)
        };
        let (mut lines, unsure): (Vec<_>, Vec<_>) = self
            .by((&self.reader.quick, None), page, patches)
            .into_iter()
            .partition(|(_, words)| sure(words));
        let again: Vec<Patch> = unsure.into_iter().map(|(patch, _)| patch).collect();
        let careful = (&self.reader.careful, Some(&self.reader.scales));
        let mut again = self.by(careful, page, &again);
        self.ask(&self.reader.careful, page, &mut lines);
        self.ask(&self.reader.quick, page, &mut again);
        lines.extend(again);
        lines
    }

    /// Asks the other reader about the words of which the one that read them is neither sure nor in
    /// real doubt, each alone with what stands beside it; both count the same.
    fn ask(&self, other: &Net, page: &GrayImage, lines: &mut [(Patch, Vec<Word>)]) {
        let mut asked: Vec<Asked> = Vec::new();
        for (line, (patch, words)) in lines.iter().enumerate() {
            for n in 0..words.len() {
                asked.extend(Asked::of(patch, words, n).map(|a| Asked { line, ..a }));
            }
        }
        asked.sort_by(|a, b| wide(&b.patch).total_cmp(&wide(&a.patch)));
        let batches: Vec<&[Asked]> = batches(&asked, ASKED_TOGETHER, |a| wide(&a.patch));
        let meaning = Meaning::of(&self.reader.characters);
        let told = spread(&self.threads, batches.len(), |n, pool| {
            let batch = batches.get(n).copied().unwrap_or_default();
            let patches: Vec<Patch> = batch.iter().map(|a| a.patch).collect();
            let likely = |scores: &[f32], classes: usize, n: usize, step: f32| {
                batch
                    .get(n)?
                    .likely(Steps { scores, classes }, step, &meaning)
            };
            self.reader.scored(other, page, &patches, pool, likely)
        });
        for (asked, likely) in asked.iter().zip(told.into_iter().flatten().flatten()) {
            let words = lines.get_mut(asked.line).map(|(_, words)| words);
            if let Some(word) = words.and_then(|words| words.get_mut(asked.word))
                && let (Some(own), Some(other)) = (word.posterior, likely)
            {
                let both = f32::midpoint(own, other);
                // another number is a doubt; the sum over the steps of one is low for less than that
                let agreed = other > AGREED && word.text.contains(|c: char| c.is_ascii_digit());
                word.posterior = Some(if agreed { both.max(own) } else { both });
            }
        }
    }

    /// The words of each line by one of the readers, widest lines first.
    fn by(
        &self,
        net: (&Net, Option<&Scales>),
        page: &GrayImage,
        patches: &[Patch],
    ) -> Vec<(Patch, Vec<Word>)> {
        let mut patches = patches.to_vec();
        patches.sort_by(|a, b| wide(b).total_cmp(&wide(a)));
        let batches: Vec<&[Patch]> = batches(&patches, TOGETHER, wide);
        spread(&self.threads, batches.len(), |n, pool| {
            let batch = batches.get(n).copied().unwrap_or_default();
            let words = self.reader.together(net, page, batch, pool);
            batch.iter().copied().zip(words).collect::<Vec<_>>()
        })
        .into_iter()
        .flatten()
        .collect()
    }
}

/// How wide a line is, in its heights.
fn wide(patch: &Patch) -> f32 {
    (patch.right - patch.left) / (patch.bottom - patch.top).max(1.0)
}

/// A word about which the other reader is asked.
struct Asked {
    line: usize,
    word: usize,
    text: String,
    /// The word with what stands beside it.
    patch: Patch,
    /// Where the word stands, and the ends of its neighbors.
    at: [f32; 2],
    between: [f32; 2],
    neighbors: [Option<char>; 2],
}

impl Asked {
    /// The `n`th word of a line, if another opinion may change what it is worth.
    fn of(line: &Patch, words: &[Word], n: usize) -> Option<Self> {
        let word = words.get(n)?;
        word.posterior
            .filter(|own| (DOUBTED..SURE_ALONE).contains(own))?;
        let letters = word.text.chars().filter(|c| c.is_alphabetic()).count();
        if letters > SHORT && !word.text.contains(|c: char| c.is_ascii_digit()) {
            return None;
        }
        let beside = BESIDE * (line.bottom - line.top);
        let left = (word.left - beside).max(line.left);
        let right = (word.right + beside).min(line.right);
        let lower =
            line.slope * (f32::midpoint(left, right) - f32::midpoint(line.left, line.right));
        let before = n.checked_sub(1).and_then(|b| words.get(b));
        Some(Self {
            line: 0,
            word: n,
            text: word.text.clone(),
            patch: Patch {
                left,
                right,
                top: line.top + lower,
                bottom: line.bottom + lower,
                base: line.base + lower,
                slope: line.slope,
            },
            at: [word.left, word.right],
            between: [
                before.map_or(line.left, |w| w.right),
                words.get(n + 1).map_or(line.right, |w| w.left),
            ],
            neighbors: ctc::neighbors(words, n),
        })
    }

    /// How likely the other reader finds it, by what it saw in its steps.
    fn likely(&self, steps: Steps<'_>, step: f32, meaning: &Meaning<'_>) -> Option<f32> {
        // a cast of floats keeps to the bounds of the integer
        let at = |x: f32| ((x - self.patch.left) / step.max(f32::EPSILON)).round() as usize;
        let [left, right] = self.at.map(at);
        let [before, behind] = self.between.map(at);
        let around = steps.around(left..right, before, behind);
        steps.likely(&self.text, around, self.neighbors, meaning)
    }
}

/// Lines of about the same width, a few at a time.
fn batches<T>(patches: &[T], most: usize, wide: impl Fn(&T) -> f32) -> Vec<&[T]> {
    let mut out = Vec::new();
    let mut rest = patches;
    while let Some(first) = rest.first() {
        let least = wide(first) * ALIKE - 1.0;
        let count = rest
            .iter()
            .take(most)
            .take_while(|p| wide(p) >= least)
            .count()
            .max(1);
        let (batch, others) = rest.split_at(count);
        out.push(batch);
        rest = others;
    }
    out
}

/// A leveled page that stands one way up or the other.
struct Leveled {
    page: GrayImage,
    slopes: Slopes,
    letters: Letters,
    /// The widest lines, read.
    read: Vec<(Patch, Vec<Word>)>,
    /// The other ones.
    rest: Vec<Patch>,
}

/// Where lines stand on a leveled page; strokes of grids are erased from it.
fn sought(page: &mut GrayImage) -> Found {
    let long = page.width().max(page.height());
    let scale = (long as f32 / SOUGHT as f32).max(1.0);
    let found = if scale > 1.0 {
        let side = |s: u32| ((s as f32 / scale) as u32).max(1);
        let small = strip::resized(page, side(page.width()), side(page.height()));
        lines::find(&shade::ink(&small))
    } else {
        lines::find(&shade::ink(page))
    };
    found.grid.erase_from(page, scale);
    if scale > 1.0 {
        found.scaled(scale)
    } else {
        found
    }
}

/// Takes away a sign or two beside all lines of text, unless they are quite sure: the edge of the
/// paper on a photo, what stands on the table.
fn beside_the_text(lines: &mut Vec<(Patch, Vec<Word>)>) {
    let long = |words: &[Word]| words.len() > 3;
    let (mut left, mut right) = (f32::MAX, f32::MIN);
    for (patch, _) in lines.iter().filter(|(_, words)| long(words)) {
        (left, right) = (left.min(patch.left), right.max(patch.right));
    }
    lines.retain(|(patch, words)| {
        let signs: usize = words.iter().map(|w| w.text.chars().count()).sum();
        let inside = left > right || (patch.right > left && patch.left < right);
        inside || signs > 2 || words.iter().all(|w| w.confidence > SURE_SIGN)
    });
}

/// A number is no surer than the words of its page are in the mean: where copying has filled or broken
/// letters, a figure that became another one looks as whole as the rest, and no dictionary tells it.
fn no_surer_than_the_page(lines: &mut [(Patch, Vec<Word>)]) {
    let (mut sum, mut count) = (0.0_f32, 0.0_f32);
    for word in lines.iter().flat_map(|(_, words)| words) {
        if word.text.chars().filter(|c| c.is_alphabetic()).count() > 1 {
            (sum, count) = (sum + word.confidence, count + 1.0);
        }
    }
    if count < FEW {
        return;
    }
    let words = lines.iter_mut().flat_map(|(_, words)| words);
    for word in words.filter(|w| w.text.contains(|c: char| c.is_ascii_digit())) {
        word.confidence = word.confidence.min(sum / count);
    }
}

impl Hand<'_> {
    /// Finds the lines of a leveled page, and reads the widest.
    fn begun(&self, mut page: GrayImage) -> Leveled {
        let found = sought(&mut page);
        let mut patches = found.patches;
        patches.sort_by(|a, b| (b.right - b.left).total_cmp(&(a.right - a.left)));
        let rest = patches.split_off(SAMPLES.min(patches.len()));
        Leveled {
            read: self.read(&page, &patches),
            page,
            slopes: found.slopes,
            letters: found.letters,
            rest,
        }
    }

    /// The leveled page as it stands, and whether it was turned upside down for that.
    fn upright(&self, picture: &GrayImage) -> (Leveled, bool) {
        let given = self.begun(shade::level(picture));
        if super::page::sureness(&given.read) >= UPRIGHT {
            return (given, false);
        }
        let mut page = given.page.clone();
        imageops::rotate180_in_place(&mut page);
        let turned = self.begun(page);
        if surely_read(&turned.read) > surely_read(&given.read) {
            (turned, true)
        } else {
            (given, false)
        }
    }
}

impl Eye for Hand<'_> {
    fn lines(&self, picture: &mut GrayImage, _: f32) -> Lines {
        let (leveled, turned) = self.upright(picture);
        if turned {
            imageops::rotate180_in_place(picture);
        }
        let mut lines = leveled.read;
        lines.extend(self.read(&leveled.page, &leveled.rest));
        beside_the_text(&mut lines);
        for word in lines.iter_mut().flat_map(|(_, words)| words) {
            word.confidence = word.posterior.unwrap_or(word.confidence);
        }
        no_surer_than_the_page(&mut lines);
        unread::told(&mut lines, &leveled.letters);
        Lines {
            lines,
            slopes: leveled.slopes,
        }
    }

    fn glance(&self, picture: &GrayImage) -> Option<f32> {
        Some(surely_read(&self.upright(picture).0.read))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_is_no_surer_than_its_page() {
        let patch = Patch {
            left: 0.0,
            top: 0.0,
            right: 100.0,
            bottom: 10.0,
            base: 8.0,
            slope: 0.0,
        };
        let number = |confidence: f32, words: usize| {
            let word = |text: &str, confidence| Word {
                text: text.to_owned(),
                left: 0.0,
                right: 1.0,
                confidence,
                posterior: None,
            };
            let mut all = vec![word("may", confidence); words];
            all.push(word("91.206", 1.0));
            let mut lines = [(patch, all)];
            no_surer_than_the_page(&mut lines);
            lines[0].1.last().map(|w| w.confidence)
        };
        let near = |a: Option<f32>, b: f32| a.is_some_and(|a| (a - b).abs() < 1e-4);
        assert!(near(number(0.85, 30), 0.85));
        assert!(near(number(0.99, 30), 0.99));
        // too few to say
        assert_eq!(number(0.5, 10), Some(1.0));
    }
}
