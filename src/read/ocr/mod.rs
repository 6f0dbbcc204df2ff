//! Reads pictures of paper: pages of a PDF that hold no text, and picture files.
//!
//! A page is rendered at the resolution of its own image, set upright, searched for lines; each
//! line is read into words with their confidence. The words then go through the same layout as the
//! characters of a text layer.

mod beam;
mod blanks;
mod components;
mod ctc;
mod deskew;
mod extent;
mod folder;
mod glyph;
mod grid;
mod heatmap;
mod lanes;
mod lexicon;
mod lines;
mod maps;
mod net;
mod ngrams;
mod operators;
mod page;
mod patch;
mod picture;
mod piece;
mod pools;
mod posterior;
mod reader;
mod rows;
mod shade;
mod sides;
mod size;
mod slopes;
mod strip;
mod tesseract;
mod tif;
mod unread;
mod webp;
mod weigh;
mod winograd;

use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc::{Sender, channel};

use hayro::hayro_interpret::InterpreterSettings;
use hayro::hayro_syntax::Pdf;
use hayro::vello_cpu::color::palette::css::WHITE;
use hayro::{PixmapSettings, RenderCache, RenderSettings};
use image::GrayImage;

use super::Ocr;
use super::page::{Fault, Page};
use super::stint::{Failure, Message, Stint};
use folder::Engine;
use page::Eye;
use reader::Reader;
use tesseract::Tesseract;

/// Resolution of pages that are rendered for another reason than an image, in dots per inch.
const PLAIN: f32 = 200.0;
/// A rendered page has no longer side than this.
const SIDE: f32 = 6000.0;

/// Reads the pages of the stint, several at once.
pub(super) fn read(bytes: &[u8], stint: &Stint, emit: &mut dyn FnMut(Message)) {
    let is_pdf = super::source::form(bytes) == super::source::Form::Pdf;
    let jobs: Vec<(u32, f32)> = if is_pdf {
        stint.only.clone()
    } else {
        let pages = picture::count(bytes, stint.pages);
        emit(Message::Opened { pages, whole: true });
        (1..=pages)
            .filter(|page| stint.only.is_empty() || stint.only.iter().any(|(p, _)| p == page))
            .map(|page| (page, 0.0))
            .collect()
    };
    let cores = crate::threads::cores();
    let threads = cores.min(jobs.len()).max(1);
    // one page alone has all cores to itself
    let each = cores / threads;
    let (engine, reader, tesseract);
    let eyes: Vec<Box<dyn Eye + '_>> = match &stint.ocr {
        Ocr::Tesseract => {
            tesseract = Tesseract::find();
            let Some(tesseract) = &tesseract else {
                emit(Message::Failed(Failure::NoEngine));
                return;
            };
            (0..threads)
                .map(|_| Box::new(tesseract.clone()) as Box<dyn Eye>)
                .collect()
        }
        Ocr::Models(folder) => {
            engine = Engine::from_folder(folder);
            let Some(engine) = &engine else {
                emit(Message::Failed(Failure::NoEngine));
                return;
            };
            (0..threads)
                .map(|_| Box::new(folder::Hand::new(engine, each)) as Box<dyn Eye>)
                .collect()
        }
        Ocr::BuiltIn | Ocr::Off => {
            reader = Reader::load();
            let Some(reader) = &reader else {
                emit(Message::Failed(Failure::NoEngine));
                return;
            };
            (0..threads)
                .map(|_| Box::new(reader::Hand::new(reader, each)) as Box<dyn Eye>)
                .collect()
        }
    };
    let next = AtomicUsize::new(0);
    let (to, from) = channel();
    std::thread::scope(|scope| {
        for eye in eyes {
            let to = to.clone();
            let (jobs, next) = (&jobs, &next);
            scope.spawn(move || work(&*eye, bytes, is_pdf, jobs, next, &to, stint));
        }
        drop(to);
        for message in from {
            emit(message);
        }
    });
    emit(Message::Done);
}

/// Takes one page after the other until none is left.
fn work(
    eye: &dyn Eye,
    bytes: &[u8],
    is_pdf: bool,
    jobs: &[(u32, f32)],
    next: &AtomicUsize,
    to: &Sender<Message>,
    stint: &Stint,
) {
    // Each thread opens the file anew: what the renderer keeps cannot be shared.
    let mut pdf: Option<Pdf> = None;
    loop {
        let n = next.fetch_add(1, Ordering::Relaxed);
        let Some(&(number, dpi)) = jobs.get(n) else {
            return;
        };
        if stint.stopped() || to.send(Message::Begun { page: number }).is_err() {
            return;
        }
        let read = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| {
            let (picture, dpi, whole) = if is_pdf {
                if pdf.is_none() {
                    pdf = Pdf::new(bytes.to_vec()).ok();
                }
                let pdf = pdf.as_ref().ok_or(Fault::Broken)?;
                let (picture, dpi) = rendered(pdf, number, dpi).ok_or(Fault::Broken)?;
                (picture, dpi, true)
            } else {
                let (picture, whole) = picture::page(bytes, number)?;
                (picture, 0.0, whole)
            };
            let mut page = page::read(eye, picture, dpi, number, stint.pictures);
            if !whole {
                page.fault = Some(Fault::Cut);
            }
            Ok(page)
        }));
        let page = read
            .unwrap_or(Err(Fault::Broken))
            .unwrap_or_else(|fault| Page {
                number,
                fault: Some(fault),
                ..Page::default()
            });
        if to.send(Message::Page(page)).is_err() {
            return;
        }
    }
}

/// The first page of a PDF that this program has made, in shades of gray, at so many dots per inch.
pub(crate) fn first_page(pdf: Vec<u8>, dpi: f32) -> Option<GrayImage> {
    let pdf = Pdf::new(pdf).ok()?;
    rendered(&pdf, 1, dpi).map(|(picture, _)| picture)
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
