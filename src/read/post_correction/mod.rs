//! Post-correction: a text read by OCR → the same with its plain slips corrected.
//!
//! A piece is corrected only where the corrected form is a known term, a citation or a number of the
//! list, and the read form is not; what was read is told in a note with its place. A word that
//! decides the answer is never put in place of another one: where a slip may have made or unmade
//! it, the word is doubted, and the doubt names what it may be.

mod citations;
mod edit;
mod numbers;
mod said;
mod vocabulary;
mod weak;
mod words;

use crate::model::{Doubt, LostBlanks, PageNote, ReadNote, Span, Text};
use crate::patterns::Patterns;

use edit::{Around, Edit};
pub use said::{Said, said};
use vocabulary::Vocabulary;

/// Confidence of a word that was corrected: certain enough to rest on, and told.
const CORRECTED: f32 = 0.9;
/// Confidence of a word that may be one that decides.
const PERHAPS: f32 = 0.5;

/// Corrects the slips of OCR; a text that was not read by OCR stays as it is.
#[must_use]
pub fn correct(mut text: Text, patterns: &Patterns) -> Text {
    super::strange::doubt_marked(&mut text, patterns);
    if text.ocr.is_empty() {
        return text;
    }
    text.doubts.sort_by_key(|d| (d.span.start, d.span.end));
    let mut mender = Mender {
        vocabulary: Vocabulary::of(patterns),
        patterns,
        text: &text,
        edits: Vec::new(),
        doubts: Vec::new(),
    };
    mender.numbers();
    mender.chunks();
    let certain: Vec<bool> = text
        .doubts
        .iter()
        .map(|d| {
            let word = d.span.of(&text.content);
            mender.read_by_ocr(d.span) && weak::certain(word, d.confidence, &mender.vocabulary)
        })
        .collect();
    let (mut edits, doubts) = (mender.edits, mender.doubts);
    edits.sort_by_key(|e| (e.span.start, e.span.end));
    let mut certain = certain.into_iter();
    text.doubts.retain(|_| !certain.next().unwrap_or(false));
    rewritten(text, &edits, doubts)
}

struct Mender<'a> {
    patterns: &'a Patterns,
    vocabulary: Vocabulary<'a>,
    text: &'a Text,
    edits: Vec<Edit>,
    doubts: Vec<Doubt>,
}

impl Mender<'_> {
    fn edit(&mut self, span: Span, new: String, blank: bool) {
        if span.of(&self.text.content) != new {
            self.edits.push(Edit { span, new, blank });
        }
    }

    /// Whether an edit was made there; edits of the pass over list numbers come first.
    fn taken(&self, numbers: &[Span], span: Span) -> bool {
        let next = numbers.partition_point(|s| s.end <= span.start);
        numbers.get(next).is_some_and(|s| s.overlaps(span))
    }

    fn read_by_ocr(&self, span: Span) -> bool {
        let next = self.text.ocr.partition_point(|s| s.end <= span.start);
        self.text
            .ocr
            .get(next)
            .is_some_and(|s| s.start <= span.start)
    }

    /// The lowest confidence of the words that touch the span, if any is below 1.
    fn weak(&self, span: Span) -> Option<f32> {
        let from = self
            .text
            .doubts
            .partition_point(|d| d.span.end <= span.start);
        self.text.doubts[from..]
            .iter()
            .take_while(|d| d.span.start < span.end)
            .map(|d| d.confidence)
            .reduce(f32::min)
    }

    /// Numbers at the heads of lines.
    fn numbers(&mut self) {
        for edit in numbers::edits(self.text, self.patterns) {
            if self.read_by_ocr(edit.span) {
                self.edits.push(edit);
            }
        }
        self.edits.sort_by_key(|e| (e.span.start, e.span.end));
    }

    /// Everything else, piece by piece.
    fn chunks(&mut self) {
        let numbers: Vec<Span> = self.edits.iter().map(|e| e.span).collect();
        let chunks = chunks(&self.text.content);
        for (n, &chunk) in chunks.iter().enumerate() {
            if !self.read_by_ocr(chunk) || self.taken(&numbers, chunk) {
                continue;
            }
            let around = Around {
                content: &self.text.content,
                before: n.checked_sub(1).and_then(|b| chunks.get(b)).copied(),
                after: chunks.get(n + 1).copied(),
            };
            let words = chunk.of(&self.text.content);
            let signs = self.signs(words);
            if let Some((read, meant)) = signs {
                let at = chunk.start + words.find(&read).unwrap_or(0);
                self.edit(Span::new(at, at + read.len()), meant, false);
                continue;
            }
            if let Some(edit) = citations::edit(chunk, around, &self.vocabulary, self.patterns) {
                self.edits.push(edit);
                continue;
            }
            if let Some(meant) = self.by_neighbors(words, around) {
                let core = core(chunk, &self.text.content);
                self.edit(core, meant, false);
                continue;
            }
            self.words_of(chunk, around);
        }
    }

    fn signs(&self, words: &str) -> Option<(String, String)> {
        self.patterns
            .slip
            .signs
            .iter()
            .find(|(read, _)| words.starts_with(read.as_str()))
            .cloned()
    }

    /// A whole word whose neighbors tell what it is.
    fn by_neighbors(&self, words: &str, around: Around<'_>) -> Option<String> {
        let bare = words.trim_end_matches([',', '.', ';', ':']);
        if bare.len() < words.len() {
            return None;
        }
        self.patterns
            .slip
            .words
            .iter()
            .find(|slip| {
                slip.read == bare
                    && (slip.after.is_empty() || slip.after.contains(&around.word_before()))
                    && citations::follows(slip.before, around, self.patterns)
            })
            .map(|slip| slip.meant.clone())
    }
}

/// The span without the marks at its ends.
fn core(span: Span, content: &str) -> Span {
    let words = span.of(content);
    let is_mark = |c: char| {
        matches!(
            c,
            ',' | '.' | ';' | ':' | '"' | '\'' | '(' | ')' | '[' | ']'
        )
    };
    let start = span.start + (words.len() - words.trim_start_matches(is_mark).len());
    let end = span.end - (words.len() - words.trim_end_matches(is_mark).len());
    Span::new(start, end.max(start))
}

/// The pieces between blanks.
fn chunks(content: &str) -> Vec<Span> {
    let mut out = Vec::with_capacity(content.len() / 6);
    let mut start = None;
    for (at, c) in content.char_indices().chain([(content.len(), ' ')]) {
        if c.is_whitespace() {
            if let Some(from) = start.take() {
                out.push(Span::new(from, at));
            }
        } else if start.is_none() {
            start = Some(at);
        }
    }
    out
}

/// The text with its edits, each told in a note.
fn rewritten(text: Text, edits: &[Edit], doubts: Vec<Doubt>) -> Text {
    let Moved {
        mut text,
        old,
        done,
    } = moved(text, edits, doubts);
    let notes = notes(&text, &old, &done);
    for (_, now) in done.iter().filter(|(edit, _)| !edit.blank) {
        text.doubts.push(Doubt {
            span: *now,
            confidence: CORRECTED,
            meant: None,
        });
    }
    text.doubts.sort_by_key(|d| (d.span.start, d.span.end));
    text.notes.extend(notes);
    text
}

/// A text with edits in it.
struct Moved<'e> {
    text: Text,
    /// The content before.
    old: String,
    /// The edits that were made, and where they stand now.
    done: Vec<(&'e Edit, Span)>,
}

/// The text with its edits, everything that points into it moved along, these new doubts too.
fn moved(text: Text, edits: &[Edit], doubts: Vec<Doubt>) -> Moved<'_> {
    let mut out = text;
    let old = std::mem::take(&mut out.content);
    let mut content = String::with_capacity(old.len() + 64);
    // where each edit begins and ends in the old text, and by how much what follows is moved
    let mut moves: Vec<(Span, i64)> = Vec::with_capacity(edits.len());
    let (mut at, mut moved) = (0, 0_i64);
    let mut done: Vec<&Edit> = Vec::with_capacity(edits.len());
    for edit in edits {
        let Some(kept) = old.get(at..edit.span.start) else {
            continue; // two edits of one piece: the first holds
        };
        content.push_str(kept);
        content.push_str(&edit.new);
        at = edit.span.end;
        moved += i64::try_from(edit.new.len()).unwrap_or(0)
            - i64::try_from(edit.span.len()).unwrap_or(0);
        moves.push((edit.span, moved));
        done.push(edit);
    }
    content.push_str(old.get(at..).unwrap_or_default());
    let shift = |at: usize, n: usize| {
        let by = n
            .checked_sub(1)
            .and_then(|n| moves.get(n))
            .map_or(0, |(_, by)| *by);
        usize::try_from(i64::try_from(at).unwrap_or(i64::MAX).saturating_add(by)).unwrap_or(at)
    };
    // an edit that begins at a place changes what stands behind it, not the place
    let start = |at: usize| shift(at, moves.partition_point(|(s, _)| s.start < at));
    let end = |at: usize| {
        shift(
            at,
            moves.partition_point(|(s, _)| s.end <= at && s.start < at),
        )
    };
    out.doubts.extend(doubts);
    for doubt in &mut out.doubts {
        doubt.span = Span::new(start(doubt.span.start), end(doubt.span.end));
    }
    out.doubts.sort_by_key(|d| (d.span.start, d.span.end));
    for anchor in &mut out.anchors {
        anchor.at = start(anchor.at);
    }
    for seen in &mut out.seen {
        seen.span = Span::new(start(seen.span.start), end(seen.span.end));
    }
    for span in &mut out.ocr {
        *span = Span::new(start(span.start), end(span.end));
    }
    out.content = content;
    let done = done
        .into_iter()
        .map(|edit| (edit, Span::new(start(edit.span.start), end(edit.span.end))))
        .collect();
    Moved {
        text: out,
        old,
        done,
    }
}

fn shown(words: &str) -> String {
    words.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A note for each corrected piece, and one a page for the blanks that were put in.
fn notes(text: &Text, old: &str, edits: &[(&Edit, Span)]) -> Vec<ReadNote> {
    let mut out = Vec::new();
    let mut blanks: Vec<((u16, u32), Vec<LostBlanks>)> = Vec::new();
    for (edit, now) in edits {
        let place = text.place(now.start);
        let page = (place.source, place.page);
        let line = place.line;
        let read = shown(edit.span.of(old));
        if edit.blank {
            let lost = LostBlanks { line, read };
            match blanks.last_mut() {
                Some((last, lines)) if *last == page => lines.push(lost),
                _ => blanks.push((page, vec![lost])),
            }
            continue;
        }
        let taken = shown(&edit.new);
        out.push(note(text, page, PageNote::Slip { line, read, taken }));
    }
    for (page, mut lines) in blanks {
        lines.dedup();
        out.push(note(text, page, PageNote::Blanks(lines)));
    }
    out
}

/// A note on a page of a source, with the name of the file where there are several.
fn note(text: &Text, (source, page): (u16, u32), note: PageNote) -> ReadNote {
    let several = text.sources.len() > 1;
    let source = text.sources.get(usize::from(source)).filter(|_| several);
    ReadNote {
        file: source.map(|s| super::source::shown(&s.name)),
        ..ReadNote::page_note(page, note)
    }
}

#[cfg(test)]
mod tests;
