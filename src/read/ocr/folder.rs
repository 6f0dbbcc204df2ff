//! Models of a folder that the user names: where lines of text stand, and what they say.

use std::path::Path;
use std::sync::Arc;

use image::{GrayImage, imageops};
use rten::{Model, RunOptions, ThreadPool};
use rten_tensor::NdTensor;
use rten_tensor::prelude::*;

use super::heatmap;
use super::operators;
use super::page::{Eye, Lines, surely_read, sureness};
use super::patch::{Patch, Word};
use super::pools::{single, spread};
use super::slopes::Slopes;
use super::strip::{cut, resized};

/// The longer side of the picture in which lines are sought.
const SOUGHT: f32 = 736.0;
/// Height of a line for the recognizer.
const HEIGHT: u32 = 48;
/// Lines longer than this, in pixels of that height, are cut off: no line of paper is as long.
const LONGEST: u32 = 4000;

/// Lines that are read to tell whether the page is upside down.
const SAMPLES: usize = 4;
/// Lines read so surely stand upright: upside down, nearly every letter is another one.
const UPRIGHT: f32 = 0.9;
/// The models, loaded.
pub(super) struct Engine {
    detector: Model,
    recognizer: Model,
    characters: Vec<char>,
}

/// What one page needs to run the models.
pub(super) struct Hand<'a> {
    engine: &'a Engine,
    /// All its threads, for the one picture in which lines are sought.
    together: Arc<ThreadPool>,
    /// Each of them alone: two lines side by side are read faster than one by two threads.
    single: Vec<Arc<ThreadPool>>,
}

impl<'a> Hand<'a> {
    /// With so many cores for itself.
    pub(super) fn new(engine: &'a Engine, threads: usize) -> Self {
        Self {
            engine,
            together: Arc::new(ThreadPool::with_num_threads(threads.max(1))),
            single: single(threads),
        }
    }

    /// Where lines of text stand on a page.
    fn find(&self, page: &GrayImage) -> (Vec<Patch>, Slopes) {
        self.engine.lines(page, &self.together)
    }

    /// The words of each line, in the order given.
    fn read(&self, page: &GrayImage, patches: &[Patch]) -> Vec<(Patch, Vec<Word>)> {
        spread(&self.single, patches.len(), |n, pool| {
            let patch = patches.get(n)?;
            Some((*patch, self.engine.read(page, *patch, pool)))
        })
        .into_iter()
        .flatten()
        .collect()
    }
}

impl Eye for Hand<'_> {
    fn lines(&self, picture: &mut GrayImage, _: f32) -> Lines {
        let (mut patches, mut slopes) = self.find(picture);
        // the widest lines first: they tell most surely which way is up
        patches.sort_by(|a, b| (b.right - b.left).total_cmp(&(a.right - a.left)));
        let (first, _) = patches.split_at(SAMPLES.min(patches.len()));
        let mut read = self.read(picture, first);
        if sureness(&read) < UPRIGHT {
            let mut turned = picture.clone();
            imageops::rotate180_in_place(&mut turned);
            let (w, h) = (picture.width() as f32, picture.height() as f32);
            let over = |p: &Patch| p.turned(w, h);
            let first: Vec<Patch> = first.iter().map(over).collect();
            let other = self.read(&turned, &first);
            if surely_read(&other) > surely_read(&read) {
                patches = patches.iter().map(over).collect();
                slopes = slopes.turned(w, h);
                read = other;
                *picture = turned;
            }
        }
        read.extend(self.read(picture, patches.get(SAMPLES..).unwrap_or_default()));
        Lines {
            lines: read,
            slopes,
        }
    }
}

impl Engine {
    /// Loads `detector.onnx`, `recognizer.onnx` and `characters.txt` of a folder; `None` where one
    /// is missing or broken.
    pub(super) fn from_folder(folder: &Path) -> Option<Self> {
        let read = |name: &str| std::fs::read(folder.join(name)).ok();
        let characters = String::from_utf8(read("characters.txt")?).ok()?;
        Some(Self {
            detector: operators::options().load(read("detector.onnx")?).ok()?,
            recognizer: operators::options().load(read("recognizer.onnx")?).ok()?,
            characters: characters
                .lines()
                .filter_map(|l| l.chars().next())
                .collect(),
        })
    }

    fn lines(&self, page: &GrayImage, pool: &Arc<ThreadPool>) -> (Vec<Patch>, Slopes) {
        let (w, h) = (page.width() as f32, page.height() as f32);
        let scale = SOUGHT / w.max(h);
        let side = |s: f32| (((s * scale / 32.0).round() * 32.0) as u32).max(32);
        let (width, height) = (side(w), side(h));
        let small = resized(page, width, height);
        let Some(map) = run::<4>(&self.detector, &small, pool) else {
            return (Vec::new(), Slopes::default());
        };
        let map = map.into_data();
        let (fx, fy) = (w / width as f32, h / height as f32);
        let (found, slopes) = heatmap::find(&map, width as usize, height as usize);
        let patches = found
            .into_iter()
            .map(|p| Patch {
                left: (p.left * fx).max(0.0),
                top: (p.top * fy).max(0.0),
                right: (p.right * fx).min(w),
                bottom: (p.bottom * fy).min(h),
                base: f32::midpoint(p.top, p.bottom) * fy,
                slope: p.slope * fy / fx,
            })
            .filter(|p| p.right - p.left >= 3.0 && p.bottom - p.top >= 3.0)
            .collect();
        (patches, slopes.scaled(fx, fy))
    }

    fn read(&self, page: &GrayImage, patch: Patch, pool: &Arc<ThreadPool>) -> Vec<Word> {
        let cut = cut(page, patch);
        let (w, h) = (cut.width().max(1), cut.height().max(1));
        let width = (w * HEIGHT / h).clamp(16, LONGEST);
        let line = resized(&cut, width, HEIGHT);
        let Some(scores) = run::<3>(&self.recognizer, &line, pool) else {
            return Vec::new();
        };
        let [_, steps, classes] = scores.shape();
        let scores = scores.into_data();
        let mut words = self.words(&scores, steps, classes, patch);
        for word in &mut words {
            word.text = cased(&word.text);
        }
        if speck(&words) { Vec::new() } else { words }
    }

    fn words(&self, scores: &[f32], steps: usize, classes: usize, patch: Patch) -> Vec<Word> {
        let blank = classes.saturating_sub(1);
        let place = |step: usize| {
            patch.left + (step as f32 / steps.max(1) as f32) * (patch.right - patch.left)
        };
        let mut words: Vec<Word> = Vec::new();
        let (mut last, mut apart) = (0_usize, true);
        let mut space = 0.0_f32;
        for (step, row) in scores.chunks_exact(classes.max(1)).enumerate().take(steps) {
            let (class, score) =
                row.iter().enumerate().fold(
                    (0, f32::MIN),
                    |best, (n, &s)| if s > best.1 { (n, s) } else { best },
                );
            space = space.max(row.get(blank).copied().unwrap_or(0.0));
            if class == 0 || class == last {
                if class != 0
                    && class == last
                    && let Some(word) = words.last_mut()
                {
                    word.right = place(step + 1);
                }
                last = class;
                continue;
            }
            last = class;
            if class == blank {
                apart = true;
                continue;
            }
            let Some(&c) = self.characters.get(class - 1) else {
                continue;
            };
            if !closes(words.last(), c) && (apart || parted(words.last(), c, space)) {
                words.push(Word {
                    text: String::new(),
                    left: place(step),
                    right: place(step + 1),
                    confidence: 1.0,
                    posterior: None,
                });
            }
            if let Some(word) = words.last_mut() {
                word.text.push(c);
                word.right = place(step + 1);
                word.confidence = word.confidence.min(score);
            }
            (apart, space) = (false, 0.0);
        }
        words
    }
}

/// Whether a blank that the recognizer nearly saw is one: it tends to lose them, but also to see
/// one within numbers, where dots and commas stand wide.
fn parted(before: Option<&Word>, next: char, likely: f32) -> bool {
    let number = next.is_ascii_digit()
        && before
            .and_then(|w| w.text.chars().last())
            .is_some_and(|c| c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '(' | '/'));
    likely > if number { 0.3 } else { 0.08 }
}

/// Whether the sign belongs to the word before, however wide it is set: typewriters set it wide.
fn closes(before: Option<&Word>, sign: char) -> bool {
    matches!(sign, '.' | ',' | ':' | ';' | ')')
        && before
            .and_then(|w| w.text.chars().last())
            .is_some_and(|c| c.is_alphanumeric() || c == ')')
}

/// The word with its capitals: some have the shape of their small letters, and only the letters
/// beside them tell. A stroke that was read before the word is dirt.
fn cased(word: &str) -> String {
    let word = match word.strip_prefix('_') {
        Some(rest) if rest.starts_with(char::is_alphabetic) => rest,
        _ => word,
    };
    let alike = |c: char| "coksuvwxz".contains(c.to_ascii_lowercase());
    let small = word.chars().filter(|c| c.is_lowercase());
    let capital = word
        .chars()
        .enumerate()
        .any(|(n, c)| c.is_uppercase() && !alike(c) && (n > 0 || word.len() == 1))
        || word.chars().next().is_some_and(char::is_lowercase)
            && word.chars().skip(1).any(|c| c.is_uppercase() && !alike(c));
    if capital && small.clone().count() > 0 && small.clone().all(alike) {
        return word.to_uppercase();
    }
    word.to_owned()
}

/// A spot on the paper that was read as a sign.
fn speck(words: &[Word]) -> bool {
    words.iter().flat_map(|w| w.text.chars()).all(|c| {
        matches!(
            c,
            '·' | '•' | '`' | '´' | '\'' | '^' | '~' | '|' | '.' | ',' | ':'
        )
    })
}

/// Runs a model on a picture, shades scaled to -1 … 1, three times for its three colors.
fn run<const N: usize>(
    model: &Model,
    picture: &GrayImage,
    pool: &Arc<ThreadPool>,
) -> Option<NdTensor<f32, N>> {
    let (w, h) = (picture.width() as usize, picture.height() as usize);
    let shades: Vec<f32> = picture
        .as_raw()
        .iter()
        .map(|&p| (f32::from(p) / 255.0 - 0.5) / 0.5)
        .collect();
    let mut all = Vec::with_capacity(3 * w * h);
    for _ in 0..3 {
        all.extend_from_slice(&shades);
    }
    let input = NdTensor::from_data([1, 3, h, w], all);
    let options = RunOptions::default().with_thread_pool(Some(Arc::clone(pool)));
    let value = model.run_one(input.view().into(), Some(options)).ok()?;
    value.try_into().ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn capitals_that_look_like_small_letters_are_told_by_their_neighbors() {
        for (read, meant) in [
            ("cFR", "CFR"),
            ("FSDo", "FSDO"),
            ("cG", "CG"),
            ("NoSUBO", "NOSUBO"),
            ("_miles", "miles"),
            ("No", "No"),
            ("Vso", "Vso"),
            ("on", "on"),
            ("So", "So"),
            ("VFR", "VFR"),
            ("____", "____"),
            ("Is", "Is"),
        ] {
            assert_eq!(cased(read), meant, "{read}");
        }
    }
}
