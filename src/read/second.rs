//! The second, independent reading of a PDF: `pdf-extract`.
//!
//! It knows less about places, and it breaks down on damaged files (panics, endless loops, memory
//! without bounds: measured), so it runs in a worker of its own and its words are only held against
//! those of the first reading, or used where the first has none.

use std::panic::{AssertUnwindSafe, catch_unwind};

use pdf_extract::content::Content;
use pdf_extract::{
    Dictionary, Document, MediaBox, Object, ObjectId, OutputDev, OutputError, Stream, Transform,
    output_doc_page,
};

use super::page::{Fault, Joint, Line, Page};
use super::stint::{Failure, Message, Stint};

/// Characters of one page.
const PAGE_CHARACTERS: usize = 200_000;

/// Reads page after page and hands over each as soon as it is done.
pub(super) fn read(bytes: &[u8], stint: &Stint, emit: &mut dyn FnMut(Message)) {
    let Ok(Ok(mut document)) = catch_unwind(|| Document::load_mem(bytes)) else {
        emit(Message::Failed(Failure::Damaged));
        return;
    };
    if document.is_encrypted() && document.decrypt("").is_err() {
        emit(Message::Failed(Failure::Password));
        return;
    }
    let pages = u32::try_from(document.get_pages().len()).unwrap_or(u32::MAX);
    emit(Message::Opened { pages, whole: true });
    let last = pages.min(stint.pages);
    let mut number = 1;
    while number <= last {
        let alike = alike(
            &document,
            number,
            last.min(number.saturating_add(MOST_ALIKE - 1)),
        );
        match together(&mut document, number, &alike) {
            Some(read) => {
                for (n, text) in (number..).zip(read) {
                    emit(Message::Page(Page {
                        number: n,
                        lines: lines(&text),
                        ..Page::default()
                    }));
                }
                number = number.saturating_add(u32::try_from(alike.len()).unwrap_or(u32::MAX));
            }
            None => {
                let mut pen = Pen::default();
                let done = catch_unwind(AssertUnwindSafe(|| {
                    output_doc_page(&document, &mut pen, number).is_ok()
                }));
                emit(Message::Page(Page {
                    number,
                    lines: lines(pen.texts.first().map_or("", String::as_str)),
                    fault: (!matches!(done, Ok(true))).then_some(Fault::Broken),
                    ..Page::default()
                }));
                number += 1;
            }
        }
    }
    emit(Message::Done);
}

/// So many pages at most are read as one.
const MOST_ALIKE: u32 = 16;

/// Pages that are read as one stand this far below each other, in points.
const STEP: f64 = 20_000.0;

/// The page and those right behind it that use the same fonts in the same way.
///
/// `pdf-extract` reads the fonts again for every page, which takes most of its time; pages with
/// equal resources and nothing drawn from elsewhere can be read in one go.
fn alike(document: &Document, first: u32, last: u32) -> Vec<ObjectId> {
    let pages = document.get_pages();
    let key = |id: &ObjectId| -> Option<(Dictionary, Option<Object>, Option<Object>)> {
        let page = document.get_dictionary(*id).ok()?;
        let resources = match page.get(b"Resources").ok()? {
            Object::Reference(id) => document.get_dictionary(*id).ok()?.clone(),
            Object::Dictionary(dictionary) => dictionary.clone(),
            _ => return None,
        };
        // pdf-extract takes no notice of /Rotate, so it makes no difference here either.
        (!resources.has(b"XObject")).then(|| {
            (
                resources,
                page.get(b"MediaBox").ok().cloned(),
                page.get(b"Parent").ok().cloned(),
            )
        })
    };
    let mut found: Vec<ObjectId> = Vec::new();
    let mut same = None;
    for number in first..=last {
        let Some(id) = pages.get(&number) else { break };
        let Some(this) = key(id) else { break };
        if same.as_ref().is_some_and(|s| *s != this) {
            break;
        }
        same = Some(this);
        found.push(*id);
    }
    found
}

/// Reads the pages in one go; `None` where that cannot be done safely, and nothing is changed.
fn together(document: &mut Document, first: u32, pages: &[ObjectId]) -> Option<Vec<String>> {
    let (page, _) = pages.split_first().filter(|(_, rest)| !rest.is_empty())?;
    let content = catch_unwind(AssertUnwindSafe(|| stacked(document, pages))).ok()??;
    let before = document
        .get_dictionary(*page)
        .ok()?
        .get(b"Contents")
        .ok()?
        .clone();
    let stream = document.add_object(Stream::new(Dictionary::new(), content));
    document
        .get_object_mut(*page)
        .and_then(Object::as_dict_mut)
        .ok()?
        .set("Contents", stream);
    let mut pen = Pen::default();
    let done = catch_unwind(AssertUnwindSafe(|| {
        output_doc_page(document, &mut pen, first).is_ok()
    }));
    if let Ok(dictionary) = document.get_object_mut(*page).and_then(Object::as_dict_mut) {
        dictionary.set("Contents", before);
    }
    pen.texts.resize(pages.len(), String::new());
    (matches!(done, Ok(true)) && !pen.strayed).then_some(pen.texts)
}

/// The contents of the pages one below the other.
fn stacked(document: &Document, pages: &[ObjectId]) -> Option<Vec<u8>> {
    let mut all = Vec::new();
    for (n, id) in pages.iter().enumerate() {
        let content = document.get_page_content(*id).ok()?;
        // A page that leaves the graphics state open would move the next one.
        let mut depth = 0i32;
        for operation in Content::decode(&content).ok()?.operations {
            depth += match operation.operator.as_str() {
                "q" => 1,
                "Q" => -1,
                _ => 0,
            };
            if depth < 0 {
                return None;
            }
        }
        if depth != 0 {
            return None;
        }
        #[expect(clippy::cast_precision_loss, reason = "at most sixteen pages")]
        let down = -(n as f64) * STEP;
        all.extend_from_slice(format!("q 1 0 0 1 0 {down} cm\n").as_bytes());
        all.extend_from_slice(&content);
        all.extend_from_slice(b"\nQ\n");
    }
    Some(all)
}

/// Writes characters down in the order in which they are drawn.
#[derive(Default)]
struct Pen {
    /// One text a page; pages that are read as one stand [`STEP`] below each other.
    texts: Vec<String>,
    /// Where the last character ended, and its baseline.
    last: Option<(f64, f64)>,
    /// The page of the last character.
    page: usize,
    /// A character stood where no page is.
    strayed: bool,
}

fn lines(text: &str) -> Vec<Line> {
    let mut joint = Joint::Break;
    let mut lines = Vec::new();
    for text in text.lines() {
        let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
        if text.is_empty() {
            joint = if lines.is_empty() { joint } else { Joint::Gap };
            continue;
        }
        let number = u32::try_from(lines.len() + 1).unwrap_or(u32::MAX);
        lines.push(Line {
            full: text.len() > 60,
            text,
            number,
            joint,
            ..Line::default()
        });
        joint = Joint::Line;
    }
    #[expect(
        clippy::cast_precision_loss,
        reason = "a rank among the lines of a page"
    )]
    let count = lines.len().max(1) as f32;
    for line in &mut lines {
        #[expect(
            clippy::cast_precision_loss,
            reason = "a rank among the lines of a page"
        )]
        let rank = line.number as f32;
        line.height = rank / count;
    }
    lines
}

impl OutputDev for Pen {
    fn begin_page(
        &mut self,
        _: u32,
        _: &MediaBox,
        _: Option<(f64, f64, f64, f64)>,
    ) -> Result<(), OutputError> {
        Ok(())
    }

    fn end_page(&mut self) -> Result<(), OutputError> {
        Ok(())
    }

    fn output_character(
        &mut self,
        at: &Transform,
        width: f64,
        _: f64,
        size: f64,
        text: &str,
    ) -> Result<(), OutputError> {
        let below = ((STEP / 2.0 - at.m32) / STEP).floor();
        if !(0.0..f64::from(MOST_ALIKE)).contains(&below) {
            self.strayed = true;
            return Ok(());
        }
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "between 0 and the most pages that are read as one"
        )]
        let page = below as usize;
        if self.texts.len() <= page {
            self.texts.resize(page + 1, String::new());
        }
        if page != self.page {
            self.page = page;
            self.last = None;
        }
        let Some(written) = self.texts.get_mut(page) else {
            return Ok(());
        };
        if written.len() > PAGE_CHARACTERS {
            return Ok(());
        }
        let along = at.m11.hypot(at.m12);
        let height = size * at.m21.hypot(at.m22);
        // turned text: only the distance along and across the writing matters
        let (dx, dy) = if along > 0.0 {
            (at.m11 / along, at.m12 / along)
        } else {
            (1.0, 0.0)
        };
        let x = at.m31 * dx + at.m32 * dy;
        let y = at.m32 * dx - at.m31 * dy;
        if let Some((end, base)) = self.last {
            let down = (y - base).abs();
            if down > 1.5 * height {
                written.push_str("\n\n");
            } else if down > 0.5 * height {
                written.push('\n');
            } else if x > end + 0.15 * height {
                written.push(' ');
            }
        }
        written.push_str(text);
        self.last = Some((x + width * size * along, y));
        Ok(())
    }

    fn begin_word(&mut self) -> Result<(), OutputError> {
        Ok(())
    }

    fn end_word(&mut self) -> Result<(), OutputError> {
        Ok(())
    }

    fn end_line(&mut self) -> Result<(), OutputError> {
        Ok(())
    }
}
