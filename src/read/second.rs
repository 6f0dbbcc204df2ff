//! The second, independent reading of a PDF: `pdf-extract`.
//!
//! It knows less about places, and it breaks down on damaged files (panics, endless loops, memory
//! without bounds: measured), so it runs in a worker of its own and its words are only held against
//! those of the first reading, or used where the first has none.

use std::panic::{AssertUnwindSafe, catch_unwind};

use pdf_extract::{Document, MediaBox, OutputDev, OutputError, Transform, output_doc_page};

use super::page::{Fault, Joint, Line, Page};
use super::worker::{Failure, Message, Stint};

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
    emit(Message::Opened { pages });
    for number in 1..=pages.min(stint.pages) {
        let mut pen = Pen::default();
        let done = catch_unwind(AssertUnwindSafe(|| {
            output_doc_page(&document, &mut pen, number).is_ok()
        }));
        emit(Message::Page(Page {
            number,
            lines: pen.lines(),
            fault: (!matches!(done, Ok(true))).then_some(Fault::Broken),
            ..Page::default()
        }));
    }
    emit(Message::Done);
}

/// Writes characters down in the order in which they are drawn.
#[derive(Default)]
struct Pen {
    text: String,
    /// Where the last character ended, and its baseline.
    last: Option<(f64, f64)>,
}

impl Pen {
    fn lines(&self) -> Vec<Line> {
        let mut joint = Joint::Break;
        let mut lines = Vec::new();
        for text in self.text.lines() {
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
        if self.text.len() > PAGE_CHARACTERS {
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
                self.text.push_str("\n\n");
            } else if down > 0.5 * height {
                self.text.push('\n');
            } else if x > end + 0.15 * height {
                self.text.push(' ');
            }
        }
        self.text.push_str(text);
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
