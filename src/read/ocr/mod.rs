//! Reads pictures of paper: pages of a PDF that hold no text, and picture files.
//!
//! A page is rendered at the resolution of its own image, set upright, searched for lines; each
//! line is read into words with their confidence. The words then go through the same layout as the
//! characters of a text layer.

mod engine;
mod gray;
mod picture;

use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc::{Sender, channel};

use hayro::hayro_interpret::InterpreterSettings;
use hayro::hayro_syntax::Pdf;
use hayro::vello_cpu::color::palette::css::WHITE;
use hayro::{PixmapSettings, RenderCache, RenderSettings};
use image::{GrayImage, imageops};

use super::layout::{self, Mark};
use super::page::{Census, Fault, Page};
use super::worker::{Failure, Message, Stint};
use engine::{Engine, Hand, Patch, Word};

/// Resolution of pages that are rendered for another reason than an image, in dots per inch.
const PLAIN: f32 = 200.0;
/// A rendered page has no longer side than this.
const SIDE: f32 = 6000.0;
/// Lines that are read both ways to tell whether the page is upside down.
const SAMPLES: usize = 5;

/// Reads the pages of the stint, several at once.
pub(super) fn read(bytes: &[u8], stint: &Stint, emit: &mut dyn FnMut(Message)) {
    let Some(engine) = Engine::load() else {
        emit(Message::Failed(Failure::Damaged));
        return;
    };
    let is_pdf = super::source::form(bytes) == super::source::Form::Pdf;
    let jobs: Vec<Job> = if is_pdf {
        stint
            .only
            .iter()
            .map(|&(page, dpi)| Job::Render(page, dpi))
            .collect()
    } else {
        let most = usize::try_from(stint.pages).unwrap_or(usize::MAX);
        let pictures = picture::pages(bytes, most);
        emit(Message::Opened {
            pages: u32::try_from(pages_of(&pictures)).unwrap_or(u32::MAX),
        });
        pictures
            .into_iter()
            .zip(1..)
            .map(|(p, n)| Job::Picture(n, p))
            .collect()
    };
    let threads = std::thread::available_parallelism()
        .map_or(1, usize::from)
        .min(jobs.len());
    let next = AtomicUsize::new(0);
    let jobs: Vec<Mutex<Option<Job>>> = jobs.into_iter().map(|j| Mutex::new(Some(j))).collect();
    let (to, from) = channel();
    std::thread::scope(|scope| {
        for _ in 0..threads {
            let to = to.clone();
            scope.spawn(|| work(&engine, bytes, &jobs, &next, to, stint));
        }
        drop(to);
        for page in from {
            emit(Message::Page(page));
        }
    });
    emit(Message::Done);
}

fn pages_of(pictures: &[Option<GrayImage>]) -> usize {
    pictures.len()
}

/// A page to read.
enum Job {
    /// Of a PDF, at this resolution.
    Render(u32, f32),
    /// Of a picture file; `None` where it cannot be decoded.
    Picture(u32, Option<GrayImage>),
}

/// Takes one page after the other until none is left.
fn work(
    engine: &Engine,
    bytes: &[u8],
    jobs: &[Mutex<Option<Job>>],
    next: &AtomicUsize,
    to: Sender<Page>,
    stint: &Stint,
) {
    // Each thread opens the file anew: what the renderer keeps cannot be shared.
    let mut pdf: Option<Pdf> = None;
    let hand = Hand::new();
    loop {
        let n = next.fetch_add(1, Ordering::Relaxed);
        let Some(job) = jobs.get(n).and_then(|j| j.lock().ok()?.take()) else {
            return;
        };
        if stint.stopped() {
            return;
        }
        let number = match job {
            Job::Render(number, _) | Job::Picture(number, _) => number,
        };
        let read = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| {
            let (picture, dpi) = match job {
                Job::Picture(_, picture) => (picture?, 0.0),
                Job::Render(number, dpi) => {
                    if pdf.is_none() {
                        pdf = Pdf::new(bytes.to_vec()).ok();
                    }
                    rendered(pdf.as_ref()?, number, dpi)?
                }
            };
            Some(read_page(engine, picture, dpi, number, &hand))
        }));
        let page = read.ok().flatten().unwrap_or(Page {
            number,
            fault: Some(Fault::Broken),
            ..Page::default()
        });
        if to.send(page).is_err() {
            return;
        }
    }
}

/// A page of a PDF in shades of gray, and its resolution.
fn rendered(pdf: &Pdf, number: u32, dpi: f32) -> Option<(GrayImage, f32)> {
    let index = usize::try_from(number.checked_sub(1)?).ok()?;
    let page = pdf.pages().get(index)?;
    let (w, h) = page.render_dimensions();
    let dpi = if dpi > 0.0 { dpi } else { PLAIN };
    let scale = (dpi / 72.0).min(SIDE / w.max(h));
    let pixels = hayro::render(
        page,
        &RenderCache::new(),
        &InterpreterSettings::default(),
        &RenderSettings::default(),
        &PixmapSettings {
            x_scale: scale,
            y_scale: scale,
            bg_color: WHITE,
        },
    );
    let shades = pixels
        .data()
        .iter()
        .map(|p| {
            let shade = u32::from(p.r) * 299 + u32::from(p.g) * 587 + u32::from(p.b) * 114;
            u8::try_from(shade / 1000).unwrap_or(255)
        })
        .collect();
    let (w, h) = (u32::from(pixels.width()), u32::from(pixels.height()));
    Some((GrayImage::from_raw(w, h, shades)?, scale * 72.0))
}

fn read_page(engine: &Engine, picture: GrayImage, dpi: f32, number: u32, hand: &Hand) -> Page {
    let mut picture = gray::level(gray::positive(picture));
    let mut patches = engine.lines(&picture, hand);
    if upside_down(engine, &picture, &patches, hand) {
        imageops::rotate180_in_place(&mut picture);
        let (w, h) = (picture.width() as f32, picture.height() as f32);
        for patch in &mut patches {
            *patch = Patch {
                left: w - patch.right,
                right: w - patch.left,
                top: h - patch.bottom,
                bottom: h - patch.top,
            };
        }
    }
    let (w, h) = (picture.width() as f32, picture.height() as f32);
    // A photo does not tell its resolution; paper is eleven inches high or wide.
    let dpi = if dpi > 0.0 { dpi } else { w.max(h) / 11.0 };
    let points = f64::from(72.0 / dpi);
    let mut marks = Vec::new();
    for patch in patches {
        let height = f64::from(patch.bottom - patch.top) * points;
        for word in engine.read(&picture, patch, hand) {
            marks.push(mark(&word, patch, height, points));
        }
    }
    let (lines, aside) = layout::lines(&marks, f64::from(w) * points, f64::from(h) * points);
    Page {
        number,
        lines,
        aside,
        census: Census {
            visible: u32::try_from(marks.len()).unwrap_or(u32::MAX),
            ..Census::default()
        },
        fault: None,
    }
}

fn mark(word: &Word, patch: Patch, height: f64, points: f64) -> Mark {
    Mark {
        x: f64::from(word.left) * points,
        // the middle of the line: tops and bottoms depend on the letters in it
        y: f64::from(patch.top + patch.bottom) / 2.0 * points,
        advance: f64::from(word.right - word.left) * points,
        // the patch is a margin higher than the type
        size: height * 0.8,
        direction: (1.0, 0.0),
        text: format!("{} ", word.text),
        confidence: if word.confidence > SURE {
            1.0
        } else {
            word.confidence
        },
    }
}

/// Above this a word counts as read with full confidence.
const SURE: f32 = 0.98;

/// Reads the widest lines both ways and compares how sure the reader is.
fn upside_down(engine: &Engine, picture: &GrayImage, patches: &[Patch], hand: &Hand) -> bool {
    let mut wide: Vec<Patch> = patches.to_vec();
    wide.sort_by(|a, b| (b.right - b.left).total_cmp(&(a.right - a.left)));
    let (mut upright, mut turned) = (0.0_f32, 0.0_f32);
    for patch in wide.into_iter().take(SAMPLES) {
        let line = engine::cut(picture, patch);
        let whole = Patch {
            left: 0.0,
            top: 0.0,
            right: line.width() as f32,
            bottom: line.height() as f32,
        };
        upright += sureness(&engine.read(&line, whole, hand));
        turned += sureness(&engine.read(&imageops::rotate180(&line), whole, hand));
    }
    turned > upright
}

/// The mean confidence of the characters read, 0 where there are none.
fn sureness(words: &[Word]) -> f32 {
    let (mut sum, mut count) = (0.0_f32, 0.0_f32);
    for word in words {
        let letters = word.text.chars().count() as f32;
        sum += word.confidence * letters;
        count += letters;
    }
    if count > 0.0 { sum / count } else { 0.0 }
}
