//! Reads pictures of paper: pages of a PDF that hold no text, and picture files.
//!
//! A page is rendered at the resolution of its own image, set upright, searched for lines; each
//! line is read into words with their confidence. The words then go through the same layout as the
//! characters of a text layer.

mod engine;
mod gray;
mod leaf;
mod picture;

use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc::{Sender, channel};

use hayro::hayro_interpret::InterpreterSettings;
use hayro::hayro_syntax::Pdf;
use hayro::vello_cpu::color::palette::css::WHITE;
use hayro::{PixmapSettings, RenderCache, RenderSettings};
use image::GrayImage;

use super::page::{Fault, Page};
use super::worker::{Failure, Message, Stint};
use engine::{Engine, Hand};

/// Resolution of pages that are rendered for another reason than an image, in dots per inch.
const PLAIN: f32 = 200.0;
/// A rendered page has no longer side than this.
const SIDE: f32 = 6000.0;

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
            pages: u32::try_from(pictures.len()).unwrap_or(u32::MAX),
        });
        pictures
            .into_iter()
            .zip(1..)
            .map(|(p, n)| Job::Picture(n, p))
            .collect()
    };
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    let threads = cores.min(jobs.len()).max(1);
    // one page alone has all cores to itself
    let each = cores / threads;
    let next = AtomicUsize::new(0);
    let jobs: Vec<Mutex<Option<Job>>> = jobs.into_iter().map(|j| Mutex::new(Some(j))).collect();
    let (to, from) = channel();
    std::thread::scope(|scope| {
        for _ in 0..threads {
            let to = to.clone();
            scope.spawn(|| work(&engine, &Hand::new(each), bytes, &jobs, &next, to, stint));
        }
        drop(to);
        for page in from {
            emit(Message::Page(page));
        }
    });
    emit(Message::Done);
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
    hand: &Hand,
    bytes: &[u8],
    jobs: &[Mutex<Option<Job>>],
    next: &AtomicUsize,
    to: Sender<Page>,
    stint: &Stint,
) {
    // Each thread opens the file anew: what the renderer keeps cannot be shared.
    let mut pdf: Option<Pdf> = None;
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
            Some(leaf::read(engine, picture, dpi, number, hand))
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
