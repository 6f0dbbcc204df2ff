//! The reader of lines that comes with the program: a piece of a line → words with their confidence.
//!
//! How it was trained, on what, and how well it reads stands in `src/read/models/README.md`. Columns
//! of its picture are those of a line of 32 rows, rows are 40: what tells "l" from "I" is height.

use std::sync::Arc;

use image::{GrayImage, imageops};
use rten::{Model, RunOptions, ThreadPool};
use rten_tensor::NdTensor;
use rten_tensor::prelude::*;

use super::lines::Found;
use super::page::{Eye, Lines, SAMPLES, UPRIGHT, surely_read};
use super::patch::{Patch, Word};
use super::pools::{single, spread};
use super::slopes::Slopes;
use super::unread::Letters;
use super::{ctc, lines, shade, strip, unread};

/// Reads every line.
const QUICK: &[u8] = include_bytes!("../models/quick.onnx");
/// Reads the lines of which the quick one is not sure.
const CAREFUL: &[u8] = include_bytes!("../models/careful.onnx");
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

/// The reader, loaded.
pub(super) struct Reader {
    quick: Model,
    careful: Model,
    characters: Vec<char>,
}

impl Reader {
    /// Loads it; `None` where it is broken.
    pub(super) fn load() -> Option<Self> {
        Some(Self {
            quick: Model::load_static_slice(QUICK).ok()?,
            careful: Model::load_static_slice(CAREFUL).ok()?,
            characters: CHARACTERS
                .lines()
                .filter_map(|l| l.chars().next())
                .collect(),
        })
    }

    /// Reads lines that are about equally wide.
    fn together(
        &self,
        model: &Model,
        page: &GrayImage,
        patches: &[Patch],
        pool: &Arc<ThreadPool>,
    ) -> Vec<Vec<Word>> {
        let strips: Vec<GrayImage> = patches.iter().map(|p| strip_of(page, p)).collect();
        let widest = strips.iter().map(|s| s.width() as usize).max().unwrap_or(0);
        let (rows, width) = (ROWS as usize, (widest + PAPER).next_multiple_of(8));
        let mut shades = vec![1.0_f32; strips.len() * rows * width];
        for (strip, to) in strips.iter().zip(shades.chunks_exact_mut(rows * width)) {
            let from = strip.as_raw().chunks_exact(strip.width().max(1) as usize);
            for (from, to) in from.zip(to.chunks_exact_mut(width)) {
                for (&shade, to) in from.iter().zip(to) {
                    *to = f32::from(shade) / 127.5 - 1.0;
                }
            }
        }
        let input = NdTensor::from_data([strips.len(), 1, rows, width], shades);
        let options = RunOptions::default().with_thread_pool(Some(Arc::clone(pool)));
        let scores: Option<NdTensor<f32, 3>> = model
            .run_one(input.view().into(), Some(options))
            .ok()
            .and_then(|value| value.try_into().ok());
        let Some(scores) = scores else {
            return vec![Vec::new(); patches.len()];
        };
        let [_, steps, classes] = scores.shape();
        let scores = scores.into_data();
        scores
            .chunks_exact((steps * classes).max(1))
            .zip(patches)
            .zip(&strips)
            .map(|((scores, patch), strip)| {
                let step = (patch.right - patch.left) * 4.0 / strip.width().max(1) as f32;
                let read = ctc::read(scores, classes, &self.characters);
                let long = patch.right - patch.left > LONG * (patch.bottom - patch.top);
                let least = match read.glyphs() {
                    0..3 => WRITING_SHORT,
                    20.. if long => WRITING_LONG,
                    _ => WRITING,
                };
                if read.writing() < least {
                    return Vec::new();
                }
                read.words(|at| (patch.left + at as f32 * step).min(patch.right))
            })
            .collect()
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
            .by(&self.reader.quick, page, patches)
            .into_iter()
            .partition(|(_, words)| sure(words));
        let again: Vec<Patch> = unsure.into_iter().map(|(patch, _)| patch).collect();
        lines.extend(self.by(&self.reader.careful, page, &again));
        lines
    }

    /// The words of each line by one of the readers, widest lines first.
    fn by(&self, model: &Model, page: &GrayImage, patches: &[Patch]) -> Vec<(Patch, Vec<Word>)> {
        let mut patches = patches.to_vec();
        let wide = |p: &Patch| (p.right - p.left) / (p.bottom - p.top).max(1.0);
        patches.sort_by(|a, b| wide(b).total_cmp(&wide(a)));
        let batches: Vec<&[Patch]> = batches(&patches, wide);
        spread(&self.threads, batches.len(), |n, pool| {
            let batch = batches.get(n).copied().unwrap_or_default();
            let words = self.reader.together(model, page, batch, pool);
            batch.iter().copied().zip(words).collect::<Vec<_>>()
        })
        .into_iter()
        .flatten()
        .collect()
    }
}

/// Lines of about the same width, a few at a time.
fn batches(patches: &[Patch], wide: impl Fn(&Patch) -> f32) -> Vec<&[Patch]> {
    let mut out = Vec::new();
    let mut rest = patches;
    while let Some(first) = rest.first() {
        let least = wide(first) * ALIKE - 1.0;
        let count = rest
            .iter()
            .take(TOGETHER)
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
