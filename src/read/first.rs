//! The first reading of a PDF: `hayro-interpret` says which character stands where.

use std::panic::{AssertUnwindSafe, catch_unwind, resume_unwind};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use hayro_interpret::font::{Glyph, GlyphRun};
use hayro_interpret::hayro_cmap::BfString;
use hayro_interpret::hayro_syntax::page::Page as PdfPage;
use hayro_interpret::hayro_syntax::{DecryptionError, LoadPdfError, Pdf};
use hayro_interpret::util::TransformExt;
use hayro_interpret::{
    BlendMode, ClipPath, Context, Device, DrawMode, DrawProps, Image, ImageDrawProps,
    InterpreterCache, InterpreterSettings, Paint, SoftMask, interpret_page,
};
use kurbo::{BezPath, Point, Rect, Shape as _};

use super::ink::{Ground, Ink};
use super::layout::{self, PlacedText};
use super::page::{Census, Fault, Page};
use super::stint::{Failure, Message, Stint};
use super::streams::{self, Whole};

/// A page side longer than this, in points, is taken to be this long: nothing is printed on it.
const SIDE: f64 = 20_000.0;
/// Characters of one page; a page of small type has six thousand.
const PAGE_CHARACTERS: usize = 200_000;
/// Areas of a page that are looked at for characters below them.
const COVERS: usize = 500;
/// Below this many visible characters a page counts as having none.
pub(super) const FEW: u32 = 20;

/// Reads page after page and hands over each as soon as it is done.
pub(super) fn read(bytes: Vec<u8>, stint: &Stint, emit: &mut dyn FnMut(Message)) {
    let has_end = streams::has_end(&bytes);
    let pdf = match Pdf::new(bytes) {
        Ok(pdf) => pdf,
        Err(error) => {
            emit(Message::Failed(match error {
                LoadPdfError::Decryption(DecryptionError::PasswordProtected) => Failure::Password,
                LoadPdfError::Decryption(_) => Failure::Encryption,
                LoadPdfError::Invalid => Failure::Damaged,
            }));
            return;
        }
    };
    let pages = pdf.pages();
    emit(Message::Opened {
        pages: u32::try_from(pages.len()).unwrap_or(u32::MAX),
        whole: has_end && streams::has_all_pages(&pdf),
    });
    let mut cache = InterpreterCache::new();
    for (page, number) in pages.iter().zip(1..=stint.pages) {
        if stint.stopped() {
            return;
        }
        let read = read_page(page, number, &cache, stint);
        if read.fault.is_some() {
            // what the page left behind in the cache may be half-made
            cache = InterpreterCache::new();
        }
        emit(Message::Page(read));
    }
    emit(Message::Done);
}

fn read_page<'a>(
    page: &'a PdfPage<'a>,
    number: u32,
    cache: &InterpreterCache<'a>,
    stint: &Stint,
) -> Page {
    let (width, height) = page.render_dimensions();
    let side = |s: f32| Some(f64::from(s)).filter(|s| s.is_finite()).unwrap_or(SIDE);
    let (width, height) = (side(width).clamp(1.0, SIDE), side(height).clamp(1.0, SIDE));
    let mut eye = Eye {
        marks: Vec::new(),
        hidden: Vec::new(),
        census: Census::default(),
        ground: Ground::default(),
        width,
        height,
        covers: 0,
        until: Instant::now() + Duration::from_secs(stint.page_seconds),
        stop: Arc::clone(&stint.stop),
        fault: None,
    };
    let done = catch_unwind(AssertUnwindSafe(|| {
        let mut context = Context::new(
            page.initial_transform(true).to_kurbo(),
            Rect::new(0.0, 0.0, width, height),
            cache,
            page.xref(),
            InterpreterSettings::default(),
        );
        interpret_page(page, &mut context, &mut eye);
    }));
    let mut fault = eye.fault;
    if done.is_err() && fault.is_none() {
        fault = Some(Fault::Broken);
    }
    let mut census = eye.census;
    let is_picture = census.visible < FEW && census.cover > 0.0;
    let whole = catch_unwind(AssertUnwindSafe(|| streams::of_page(page, is_picture)));
    let whole = whole.unwrap_or(Whole {
        words: false,
        pictures: false,
    });
    census.picture_cut = !whole.pictures;
    if !whole.words && fault.is_none() {
        fault = Some(Fault::Cut);
    }
    // An invisible layer is the page's text only where the page shows none of its own.
    let marks = if census.visible < FEW && census.invisible >= FEW
        || (census.cover > 0.6 && census.invisible > census.visible)
    {
        census.ocr = true;
        eye.marks.append(&mut eye.hidden);
        eye.marks
    } else {
        eye.marks
    };
    let laid = catch_unwind(|| layout::lines(&marks, width, height));
    let (lines, aside) = laid.unwrap_or_else(|_| {
        fault = Some(Fault::Broken);
        (Vec::new(), Vec::new())
    });
    Page {
        number,
        lines,
        aside,
        census,
        fault,
        picture: None,
    }
}

/// Looks at everything that is drawn and remembers the characters.
struct Eye {
    marks: Vec<PlacedText>,
    hidden: Vec<PlacedText>,
    census: Census,
    ground: Ground,
    width: f64,
    height: f64,
    /// How often characters were looked through for what is drawn over them.
    covers: usize,
    until: Instant,
    stop: Arc<AtomicBool>,
    fault: Option<Fault>,
}

/// Thrown to leave a page that has no end; unwinding without the panic hook, caught in
/// [`read_page`].
struct Enough;

impl Eye {
    /// Leaves the page where a limit is reached; called on everything that is drawn.
    fn watch(&mut self) {
        let fault = if self.marks.len() + self.hidden.len() > PAGE_CHARACTERS {
            Fault::TooMuch
        } else if Instant::now() > self.until || self.stop.load(Ordering::Relaxed) {
            Fault::TooLong
        } else {
            return;
        };
        self.fault = Some(fault);
        resume_unwind(Box::new(Enough));
    }

    fn see(&mut self, mark: PlacedText, invisible: bool) {
        let blank = mark.text.trim().is_empty();
        let inside = (-1.0..=self.width + 1.0).contains(&mark.x)
            && (-1.0..=self.height + 1.0).contains(&mark.y);
        let place = match (inside, invisible) {
            (false, _) => &mut self.census.outside,
            (true, true) => &mut self.census.invisible,
            (true, false) => &mut self.census.visible,
        };
        if !blank {
            *place = place.saturating_add(1);
        }
        if inside {
            if invisible {
                self.hidden.push(mark);
            } else {
                self.marks.push(mark);
            }
        }
    }
}

/// The ink of a paint, where it is one color laid on as it is.
fn ink(props: &DrawProps<'_>) -> Ink {
    let plain = props.soft_mask.is_none() && matches!(props.blend_mode, BlendMode::Normal);
    match &props.paint {
        Paint::Color(color) if plain => Some(color.to_rgba().to_rgba8()),
        Paint::Color(_) | Paint::Pattern(_) => None,
    }
}

impl Eye {
    /// An area is filled: what it covers is no longer seen.
    fn fill(&mut self, area: Rect, ink: Ink) {
        if !self.ground.fill(area, ink) || self.marks.is_empty() || self.covers >= COVERS {
            return;
        }
        self.covers += 1;
        let mut covered = 0;
        let mut kept = Vec::with_capacity(self.marks.len());
        for mark in std::mem::take(&mut self.marks) {
            let middle = Point::new(mark.x, mark.y - mark.size * 0.3);
            if area.contains(middle) {
                covered += u32::from(!mark.text.trim().is_empty());
            } else {
                kept.push(mark);
            }
        }
        self.marks = kept;
        self.census.visible = self.census.visible.saturating_sub(covered);
        self.census.unseen = self.census.unseen.saturating_add(covered);
    }
}

impl<'a> Device<'a> for Eye {
    fn draw_path(&mut self, path: &BezPath, props: DrawProps<'a>, mode: &DrawMode) {
        self.census.paths = self.census.paths.saturating_add(1);
        self.watch();
        if matches!(mode, DrawMode::Fill(_) | DrawMode::FillAndStroke(..)) {
            // of another shape than a box it cannot be told what stands on it
            self.fill(
                props.transform.transform_rect_bbox(path.bounding_box()),
                None,
            );
        }
    }

    fn draw_rect(&mut self, rect: &Rect, props: DrawProps<'a>, mode: &DrawMode) {
        self.census.paths = self.census.paths.saturating_add(1);
        self.watch();
        if matches!(mode, DrawMode::Fill(_) | DrawMode::FillAndStroke(..)) {
            self.fill(props.transform.transform_rect_bbox(*rect), ink(&props));
        }
    }

    fn push_clip_path(&mut self, clip: &ClipPath) {
        self.ground.clip(clip.path.bounding_box());
    }

    fn push_clip_rect(&mut self, rect: &Rect) {
        self.ground.clip(*rect);
    }

    fn push_transparency_group(&mut self, opacity: f32, _: Option<SoftMask<'a>>, _: BlendMode) {
        self.watch();
        self.ground.group(opacity);
    }

    fn draw_glyph_run(&mut self, run: &GlyphRun<'_, 'a>, props: DrawProps<'a>, mode: &DrawMode) {
        self.watch();
        let never = matches!(mode, DrawMode::Invisible);
        let ink = match mode {
            DrawMode::Fill(_) | DrawMode::Stroke(_) => ink(&props),
            DrawMode::FillAndStroke(..) | DrawMode::Invisible => None,
        };
        for glyph in run.glyphs() {
            let [a, b, c, d, x, y] = (props.transform * glyph.transform()).as_coeffs();
            let along = a.hypot(b);
            let across = c.hypot(d);
            let advance = match &**glyph {
                Glyph::Outline(outline) => outline.advance_width(),
                Glyph::Type3(drawn) => drawn.advance_width(),
            };
            let wide = f64::from(advance.unwrap_or(0.0));
            let middle = Point::new(
                x + a * wide / 2.0 + c * 300.0,
                y + b * wide / 2.0 + d * 300.0,
            );
            let (size, ink) = match &**glyph {
                Glyph::Outline(_) => (across * 1000.0, ink),
                // drawn by a program of its own, in its own colors and measures
                Glyph::Type3(_) => (f64::INFINITY, None),
            };
            let seen = never || self.ground.shows(middle, size, ink);
            let text = match glyph.as_unicode() {
                Some(BfString::Char(c)) => c.to_string(),
                Some(BfString::String(s)) => s,
                None => {
                    self.census.unknown = self.census.unknown.saturating_add(1);
                    '\u{fffd}'.to_string()
                }
            };
            let mark = PlacedText {
                x,
                y,
                advance: f64::from(advance.unwrap_or(0.0)) * along,
                size: across * 1000.0,
                direction: (a, b),
                text,
                confidence: 1.0,
                apart: false,
                frame: None,
            };
            if mark.x.is_finite()
                && mark.y.is_finite()
                && mark.advance.is_finite()
                && mark.size.is_finite()
                && mark.text.len() <= 64
            {
                if seen {
                    self.see(mark, never);
                } else if !mark.text.trim().is_empty() {
                    self.census.unseen = self.census.unseen.saturating_add(1);
                }
            }
        }
    }

    fn draw_image(&mut self, image: Image<'a, '_>, props: ImageDrawProps<'a>) {
        self.watch();
        let [a, b, c, d, _, _] = props.transform.as_coeffs();
        let area = (a * d - b * c).abs() * f64::from(image.width()) * f64::from(image.height());
        #[expect(clippy::cast_possible_truncation, reason = "a share of the page")]
        let cover = (area / (self.width * self.height)) as f32;
        let scale = (a * d - b * c).abs().sqrt();
        let shape = Rect::new(
            0.0,
            0.0,
            f64::from(image.width()),
            f64::from(image.height()),
        );
        self.ground
            .fill(props.transform.transform_rect_bbox(shape), None);
        if cover.is_finite() && scale > 0.0 && cover > self.census.cover {
            self.census.cover = cover.min(1.0);
            #[expect(clippy::cast_possible_truncation, reason = "a few hundred")]
            let dpi = (72.0 / scale) as f32;
            self.census.dpi = dpi.clamp(100.0, 400.0);
        }
    }

    fn pop_clip(&mut self) {
        self.ground.unclip();
    }

    fn pop_transparency_group(&mut self) {
        self.ground.ungroup();
    }
}
