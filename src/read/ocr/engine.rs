//! The two models: where lines of text stand, and what they say.

use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc::channel;

use super::islands::{self, Slopes};
use image::imageops::{self, FilterType};
use image::{DynamicImage, GrayImage};
use rten::{Model, RunOptions, ThreadPool};
use rten_tensor::NdTensor;
use rten_tensor::prelude::*;

/// Finds lines of text.
const DETECTOR: &[u8] = include_bytes!("../models/detector.onnx");
/// Reads a line.
const RECOGNIZER: &[u8] = include_bytes!("../models/recognizer.onnx");
/// What the recognizer can write, one a line; class 0 is nothing, the last class a blank.
const CHARACTERS: &str = include_str!("../models/characters.txt");

/// The longer side of the picture in which lines are sought.
const SOUGHT: f32 = 736.0;
/// Height of a line for the recognizer.
const HEIGHT: u32 = 48;
/// Lines longer than this, in pixels of that height, are cut off: no line of paper is as long.
const LONGEST: u32 = 4000;

/// A rectangle on the page, in pixels.
#[derive(Clone, Copy, Debug)]
pub(super) struct Patch {
    pub(super) left: f32,
    pub(super) top: f32,
    pub(super) right: f32,
    pub(super) bottom: f32,
    /// How the line in it slopes, as rise over run; top and bottom are meant at its middle.
    pub(super) slope: f32,
}

impl Patch {
    /// The rectangle around both.
    pub(super) fn with(&self, other: &Self) -> Self {
        Self {
            left: self.left.min(other.left),
            right: self.right.max(other.right),
            top: self.top.min(other.top),
            bottom: self.bottom.max(other.bottom),
            slope: self.slope,
        }
    }

    /// Where it stands when a page of this size is turned upside down.
    pub(super) fn turned(&self, width: f32, height: f32) -> Self {
        Self {
            left: width - self.right,
            right: width - self.left,
            top: height - self.bottom,
            bottom: height - self.top,
            slope: self.slope,
        }
    }
}

/// A word with its place on the page, in pixels.
#[derive(Clone, Debug)]
pub(super) struct Word {
    pub(super) text: String,
    pub(super) left: f32,
    pub(super) right: f32,
    /// The lowest confidence of its characters.
    pub(super) confidence: f32,
}

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
        let pool = |threads| Arc::new(ThreadPool::with_num_threads(threads));
        Self {
            engine,
            together: pool(threads.max(1)),
            single: (0..threads.max(1)).map(|_| pool(1)).collect(),
        }
    }

    /// Where lines of text stand on a page.
    pub(super) fn find(&self, page: &GrayImage) -> (Vec<Patch>, Slopes) {
        self.engine.lines(page, &self.together)
    }

    /// The words of each line, in the order given.
    pub(super) fn read(&self, page: &GrayImage, patches: &[Patch]) -> Vec<(Patch, Vec<Word>)> {
        let next = AtomicUsize::new(0);
        let (to, from) = channel();
        std::thread::scope(|scope| {
            for pool in &self.single {
                let (to, next) = (to.clone(), &next);
                scope.spawn(move || {
                    loop {
                        let n = next.fetch_add(1, Ordering::Relaxed);
                        let Some(&patch) = patches.get(n) else {
                            return;
                        };
                        let words = self.engine.read(page, patch, pool);
                        if to.send((n, patch, words)).is_err() {
                            return;
                        }
                    }
                });
            }
        });
        drop(to);
        let mut read: Vec<(usize, Patch, Vec<Word>)> = from.iter().collect();
        read.sort_by_key(|(n, ..)| *n);
        read.into_iter().map(|(_, p, words)| (p, words)).collect()
    }
}

impl Engine {
    /// Loads the models; `None` where they are broken.
    pub(super) fn load() -> Option<Self> {
        Some(Self {
            detector: Model::load_static_slice(DETECTOR).ok()?,
            recognizer: Model::load_static_slice(RECOGNIZER).ok()?,
            characters: CHARACTERS
                .lines()
                .filter_map(|l| l.chars().next())
                .collect(),
        })
    }

    /// Loads other models of the same kind: `detector.onnx`, `recognizer.onnx` and
    /// `characters.txt` of a folder; `None` where one is missing or broken.
    pub(super) fn from_folder(folder: &Path) -> Option<Self> {
        let read = |name: &str| std::fs::read(folder.join(name)).ok();
        let characters = String::from_utf8(read("characters.txt")?).ok()?;
        Some(Self {
            detector: Model::load(read("detector.onnx")?).ok()?,
            recognizer: Model::load(read("recognizer.onnx")?).ok()?,
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
        let small = resized(page.clone(), width, height);
        let Some(map) = run::<4>(&self.detector, &small, pool) else {
            return (Vec::new(), Slopes::default());
        };
        let map = map.into_data();
        let (fx, fy) = (w / width as f32, h / height as f32);
        let (found, slopes) = islands::find(&map, width as usize, height as usize);
        let patches = found
            .into_iter()
            .map(|p| Patch {
                left: (p.left * fx).max(0.0),
                top: (p.top * fy).max(0.0),
                right: (p.right * fx).min(w),
                bottom: (p.bottom * fy).min(h),
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
        let line = resized(cut, width, HEIGHT);
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

/// Through [`DynamicImage`]: its code is compiled once, in its crate, and fast in test builds too.
pub(super) fn resized(picture: GrayImage, width: u32, height: u32) -> GrayImage {
    DynamicImage::ImageLuma8(picture)
        .resize_exact(width, height, FilterType::Triangle)
        .into_luma8()
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

/// The line set level.
fn cut(page: &GrayImage, patch: Patch) -> GrayImage {
    let (left, top) = (patch.left as u32, patch.top.max(0.0) as u32);
    let width = (patch.right - patch.left) as u32;
    let height = (patch.bottom - patch.top) as u32;
    if (patch.slope * width as f32).abs() < 1.0 {
        return imageops::crop_imm(page, left, top, width, height).to_image();
    }
    let middle = f32::midpoint(patch.left, patch.right);
    let row_length = page.width() as usize;
    let from = page.as_raw();
    let shade = |x: u32, y: f32| {
        if x >= page.width() || y < 0.0 || y >= page.height() as f32 {
            return 255.0;
        }
        from.get(y as usize * row_length + x as usize)
            .map_or(255.0, |&p| f32::from(p))
    };
    GrayImage::from_fn(width, height, |x, y| {
        let at = patch.top + y as f32 + patch.slope * (patch.left + x as f32 - middle);
        let part = at - at.floor();
        let mixed =
            shade(left + x, at.floor()) * (1.0 - part) + shade(left + x, at.floor() + 1.0) * part;
        image::Luma([mixed as u8])
    })
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
