//! What was read: one normalized text that knows where each piece of it came from.

use std::collections::BTreeSet;
use std::sync::Arc;

use super::{ReadNote, Span};

/// The normalized text of one letter, from one or several files.
///
/// Lines stay lines (`\n`), a blank line separates paragraphs, words hyphenated at a line end are
/// joined, running heads and page numbers are taken out and kept in [`Text::furniture`].
#[derive(Clone, Debug, Default)]
pub struct Text {
    /// The files, in the order given.
    pub sources: Vec<Source>,
    /// The normalized text; every offset in the program is a byte of it.
    pub content: String,
    /// Where each piece of `content` came from, ascending by `at`; may be empty only where the
    /// text came from no file.
    pub anchors: Vec<Anchor>,
    /// Pieces whose reading is doubtful (OCR below full confidence, two readings that differ).
    pub doubts: Vec<Doubt>,
    /// Running heads, footers, page numbers, taken out of `content`.
    pub furniture: Vec<Furniture>,
    /// What the reader has to be told about the reading.
    pub notes: Vec<ReadNote>,
    /// Pieces of `content` that were read by OCR, ascending.
    pub ocr: Vec<Span>,
    /// The pages that were read by OCR as pictures, where they were asked for.
    pub pictures: Vec<Picture>,
    /// Where words stand on those pictures, in the order of the text.
    pub seen: Vec<Seen>,
}

/// A page as OCR saw it: upright and level, in shades of gray.
#[derive(Clone, Debug)]
pub struct Picture {
    /// Index into [`Text::sources`].
    pub source: u16,
    /// Page in that file, from 1.
    pub page: u32,
    /// Columns.
    pub width: u32,
    /// Rows.
    pub height: u32,
    /// A JPEG file.
    pub jpeg: Arc<[u8]>,
}

/// A word on the picture of its page.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Seen {
    /// Its bytes in the text.
    pub span: Span,
    /// Index into [`Text::sources`].
    pub source: u16,
    /// Page in that file, from 1.
    pub page: u32,
    /// Left edge, in columns of the picture.
    pub x: u32,
    /// Upper edge, in rows.
    pub y: u32,
    /// Width.
    pub width: u32,
    /// Height.
    pub height: u32,
}

/// A file that was read.
#[derive(Clone, Debug)]
pub struct Source {
    /// The name as the user typed it; `-` for standard input.
    pub name: String,
    /// SHA-256 of the file's bytes, lower-case hexadecimal.
    pub sha256: String,
    /// Number of pages; text without form feeds has one.
    pub pages: u32,
    /// How it was read.
    pub read_as: ReadAs,
}

/// How a file was read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ReadAs {
    /// A PDF's text layer.
    PdfText,
    /// A PDF's page images, by OCR.
    PdfScan,
    /// A picture, by OCR.
    Image,
    /// Plain text.
    Text,
    /// A word processor's file.
    Docx,
}

impl ReadAs {
    /// The name in machine contracts.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::PdfText => "pdf-text",
            Self::PdfScan => "pdf-scan",
            Self::Image => "image",
            Self::Text => "text",
            Self::Docx => "docx",
        }
    }
}

/// From byte `at` of the content on, up to the next anchor, the text stands on this line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Anchor {
    /// First byte of the content that the anchor speaks of.
    pub at: usize,
    /// Index into [`Text::sources`].
    pub source: u16,
    /// Page in that file, from 1.
    pub page: u32,
    /// Line on that page as printed, from 1 (blank lines not counted in PDFs).
    pub line: u32,
}

/// Where a byte of the text stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Place {
    /// Index into [`Text::sources`].
    pub source: u16,
    /// Page in that file, from 1.
    pub page: u32,
    /// Line on that page, from 1.
    pub line: u32,
}

/// A piece of text whose reading is doubtful.
#[derive(Clone, Debug)]
pub struct Doubt {
    /// The piece.
    pub span: Span,
    /// From 0 (a guess) to 1 (certain).
    pub confidence: f32,
    /// The word that decides and that it is or may be: `mechanic` for «mechanlc».
    pub meant: Option<String>,
}

impl Doubt {
    /// The confidence of a word with a sign that no word has: what it is cannot be told, so every
    /// clause that holds it is doubtful.
    pub const SPOILT: f32 = 0.0;
    /// Below this confidence nothing that a word decides is certain.
    pub const CERTAIN: f32 = 0.9;

    /// Whether it speaks of such a word.
    #[must_use]
    pub fn is_spoilt(&self) -> bool {
        self.confidence <= Self::SPOILT
    }
}

/// A line that belongs to the page, not to the letter.
#[derive(Clone, Debug)]
pub struct Furniture {
    /// The words as read.
    pub text: String,
    /// Where they stood.
    pub place: Place,
}

impl Text {
    /// A text that came from no file, taken as it is: nothing is normalized, and everything
    /// stands on page 1.
    #[must_use]
    pub fn verbatim(content: &str) -> Self {
        let mut anchors = Vec::new();
        let mut at = 0;
        for (n, line) in content.split_inclusive('\n').enumerate() {
            anchors.push(Anchor {
                at,
                source: 0,
                page: 1,
                line: u32::try_from(n + 1).unwrap_or(u32::MAX),
            });
            at += line.len();
        }
        Self {
            content: content.to_owned(),
            anchors,
            ..Self::default()
        }
    }

    /// The place of a byte; page 1, line 1 where nothing is known.
    #[must_use]
    pub fn place(&self, at: usize) -> Place {
        let next = self.anchors.partition_point(|a| a.at <= at);
        next.checked_sub(1)
            .and_then(|i| self.anchors.get(i))
            .map_or(
                Place {
                    source: 0,
                    page: 1,
                    line: 1,
                },
                |a| Place {
                    source: a.source,
                    page: a.page,
                    line: a.line,
                },
            )
    }

    /// The lowest confidence of any doubtful piece that touches the span; 1.0 where none does.
    #[must_use]
    pub fn confidence(&self, span: Span) -> f32 {
        self.doubts
            .iter()
            .filter(|d| d.span.overlaps(span))
            .map(|d| d.confidence)
            .fold(1.0, f32::min)
    }

    /// The text of these stretches alone, as if nothing else had been handed in. What the reader
    /// has to be told stays, because it may speak of any of the pages.
    #[must_use]
    pub fn part(&self, spans: &[Span]) -> Self {
        let mut out = Self {
            notes: self.notes.clone(),
            ..Self::default()
        };
        for span in spans {
            out.append(self, *span);
        }
        let pages: BTreeSet<(u16, u32)> = out.anchors.iter().map(|a| (a.source, a.page)).collect();
        out.furniture = self
            .furniture
            .iter()
            .filter(|f| pages.contains(&(f.place.source, f.place.page)))
            .cloned()
            .collect();
        out.pictures = self
            .pictures
            .iter()
            .filter(|p| pages.contains(&(p.source, p.page)))
            .cloned()
            .collect();
        let sources: BTreeSet<u16> = pages.into_iter().map(|(source, _)| source).collect();
        out.sources = sources
            .iter()
            .filter_map(|s| self.sources.get(usize::from(*s)).cloned())
            .collect();
        out.rename(&sources);
        out
    }

    /// Takes a stretch of another text, with its places and doubts, behind the words of this one.
    fn append(&mut self, from: &Self, span: Span) {
        let base = self.content.len();
        let moved = |s: Span| {
            Span::new(
                s.start.max(span.start) - span.start + base,
                s.end.min(span.end) - span.start + base,
            )
        };
        let first = from.place(span.start);
        self.anchors.push(Anchor {
            at: base,
            source: first.source,
            page: first.page,
            line: first.line,
        });
        let inner = from
            .anchors
            .iter()
            .filter(|a| span.start < a.at && a.at < span.end);
        self.anchors.extend(inner.map(|a| Anchor {
            at: a.at - span.start + base,
            ..*a
        }));
        let here = |s: &Span| s.overlaps(span);
        self.doubts
            .extend(from.doubts.iter().filter(|d| here(&d.span)).map(|d| Doubt {
                span: moved(d.span),
                ..d.clone()
            }));
        self.ocr
            .extend(from.ocr.iter().copied().filter(here).map(moved));
        self.seen
            .extend(from.seen.iter().filter(|s| here(&s.span)).map(|s| Seen {
                span: moved(s.span),
                ..*s
            }));
        self.content.push_str(span.of(&from.content));
        if !self.content.ends_with('\n') {
            self.content.push('\n');
        }
    }

    /// Numbers the sources anew where only these are left.
    fn rename(&mut self, left: &BTreeSet<u16>) {
        let renamed = |source: u16| {
            let at = left.iter().position(|s| *s == source).unwrap_or(0);
            u16::try_from(at).unwrap_or(0)
        };
        for anchor in &mut self.anchors {
            anchor.source = renamed(anchor.source);
        }
        for line in &mut self.furniture {
            line.place.source = renamed(line.place.source);
        }
        for picture in &mut self.pictures {
            picture.source = renamed(picture.source);
        }
        for word in &mut self.seen {
            word.source = renamed(word.source);
        }
    }

    /// Number of pages over all sources; at least 1.
    #[must_use]
    pub fn pages(&self) -> u32 {
        self.sources.iter().map(|s| s.pages).sum::<u32>().max(1)
    }
}
