//! Lines → the normalized text, with a way back to page and line.

use std::collections::BTreeSet;

use super::chars::{SOFT_HYPHEN, clean};
use super::furniture::starts_clause;
use super::page::{Joint, Line};
use super::strange;
use crate::model::{Anchor, Doubt, Furniture, PageNote, Place, ReadNote, Seen, Span, Text};

/// Bytes of the longest word that may be broken at the end of a line.
const LONGEST: usize = 200;

/// Confidence of a sign that stands alone and is not known, such as a bullet.
const SIGN: f32 = 0.2;

/// A page on its way into the text; its lines are clean.
#[derive(Debug)]
pub(super) struct CleanPage {
    /// Index into the sources.
    pub(super) source: u16,
    /// Page in that source, from 1.
    pub(super) page: u32,
    /// Lines, clean.
    pub(super) lines: Vec<Line>,
    /// Parallel to `lines`.
    pub(super) furniture: Vec<bool>,
    /// Its words were read by OCR.
    pub(super) ocr: bool,
}

/// Cleans the characters of every line and drops lines that hold none.
pub(super) fn clean_lines(lines: Vec<Line>) -> Vec<Line> {
    let mut gap = false;
    let mut out = Vec::with_capacity(lines.len());
    for mut line in lines {
        line.text = clean(&line.text);
        if line.text.is_empty() {
            gap |= line.joint == Joint::Gap;
            continue;
        }
        if gap && line.joint == Joint::Line {
            line.joint = Joint::Gap;
        }
        gap = false;
        for (n, word) in line.text.split(' ').enumerate() {
            let confidence = if strange::is_in(word) {
                Doubt::SPOILT
            } else if word.contains('\u{fffd}') {
                SIGN
            } else {
                continue;
            };
            line.weak
                .push((u32::try_from(n).unwrap_or(u32::MAX), confidence));
        }
        out.push(line);
    }
    out
}

/// Writes the pages into one text. Stops at `most` characters, with a note.
pub(super) fn write(pages: &[CleanPage], most: usize, text: &mut Text) {
    let words = Words::of(pages);
    let mut pen = Pen {
        text,
        words,
        before: None,
        characters: 0,
        gap: false,
        page: true,
    };
    for page in pages {
        pen.page = true;
        for (line, &furniture) in page.lines.iter().zip(&page.furniture) {
            let place = Place {
                source: page.source,
                page: page.page,
                line: line.number,
            };
            if furniture {
                pen.text.furniture.push(Furniture {
                    text: line.text.replace(SOFT_HYPHEN, "-"),
                    place,
                });
                pen.gap |= line.joint == Joint::Gap;
                continue;
            }
            if pen.characters + line.text.chars().count() > most {
                let read = pen.characters;
                let told = |n: &ReadNote| n.id() == "characters-limit";
                // A plain text was cut before its lines were made, and that is told.
                if !pen.text.notes.iter().any(told) {
                    let note = PageNote::CharactersLimit { read, most };
                    pen.text.notes.push(ReadNote::page_note(page.page, note));
                }
                return;
            }
            let start = pen.text.content.len();
            pen.line(line, place);
            if page.ocr {
                pen.by_ocr(start);
            }
        }
    }
    let end = pen.text.content.trim_end().len();
    pen.text.content.truncate(end);
}

/// The line before, as far as the next one has to know it.
struct Before {
    full: bool,
    source: u16,
}

struct Pen<'a> {
    text: &'a mut Text,
    words: Words,
    before: Option<Before>,
    characters: usize,
    /// A gap stood before furniture that was taken out.
    gap: bool,
    /// No line of this page was written yet: whatever stands above is furniture.
    page: bool,
}

impl Pen<'_> {
    fn line(&mut self, line: &Line, place: Place) {
        let joint = match &self.before {
            None => None,
            Some(before) if before.source != place.source => Some(Joint::Gap),
            Some(before) => Some(match line.joint {
                Joint::Line if self.gap && !self.page => Joint::Gap,
                _ if self.page || line.joint == Joint::Break => {
                    if goes_on(&self.text.content, before.full, &line.text) {
                        Joint::Line
                    } else {
                        Joint::Gap
                    }
                }
                joint => joint,
            }),
        };
        self.gap = false;
        self.page = false;
        self.characters += line.text.chars().count() + 1;
        self.before = Some(Before {
            full: line.full,
            source: place.source,
        });
        let mut rest = line.text.as_str();
        let mut skipped = 0_usize;
        // word spans of the line, for doubts
        let mut spans: Vec<Span> = Vec::new();
        if joint == Some(Joint::Line)
            && let Some(keep) = self.broken_word(rest)
        {
            let first = rest.split(' ').next().unwrap_or_default();
            if !keep {
                self.text.content.pop();
            } else if self.text.content.ends_with(SOFT_HYPHEN) {
                self.text.content.pop();
                self.text.content.push('-');
            }
            let start = self.word_start();
            self.text.content.push_str(first);
            spans.push(Span::new(start, self.text.content.len()));
            rest = rest.get(first.len()..).unwrap_or_default().trim_start();
            skipped = 1;
            if rest.is_empty() {
                self.remember(line, &spans, place);
                return;
            }
        }
        match joint {
            None => {}
            Some(Joint::Gap) => self.break_line("\n\n"),
            Some(_) => self.break_line("\n"),
        }
        self.text.anchors.push(Anchor {
            at: self.text.content.len(),
            source: place.source,
            page: place.page,
            line: place.line,
        });
        let mut at = self.text.content.len();
        self.text.content.push_str(rest);
        for word in rest.split(' ') {
            spans.push(Span::new(at, at + word.len()));
            at += word.len() + 1;
        }
        debug_assert!(spans.len() >= skipped);
        self.remember(line, &spans, place);
    }

    /// What was written from `start` on was read by OCR.
    fn by_ocr(&mut self, start: usize) {
        let end = self.text.content.len();
        match self.text.ocr.last_mut() {
            Some(last) if last.end + 1 >= start => last.end = end,
            _ => self.text.ocr.push(Span::new(start.min(end), end)),
        }
    }

    /// A soft hyphen that joined nothing was a hyphen after all.
    fn break_line(&mut self, with: &str) {
        if self.text.content.ends_with(SOFT_HYPHEN) {
            self.text.content.pop();
            self.text.content.push('-');
        }
        self.text.content.push_str(with);
    }

    /// What is known of the words of a line beside the words.
    fn remember(&mut self, line: &Line, spans: &[Span], place: Place) {
        // cleaning may have joined or dropped words; then nobody knows which frame is whose
        if line.frames.len() == spans.len() {
            let seen = spans.iter().zip(&line.frames).map(|(&span, frame)| {
                let [x, y, width, height] = frame.map(u32::from);
                Seen {
                    span,
                    source: place.source,
                    page: place.page,
                    x,
                    y,
                    width,
                    height,
                }
            });
            self.text.seen.extend(seen);
        }
        for &(word, confidence) in &line.weak {
            if let Some(&span) = usize::try_from(word).ok().and_then(|n| spans.get(n)) {
                self.text.doubts.push(Doubt {
                    span,
                    confidence,
                    meant: None,
                });
            }
        }
    }

    /// Where the last word of the content begins; no further back than any word is long.
    fn word_start(&self) -> usize {
        let content = self.text.content.as_str();
        let from = content.floor_char_boundary(content.len().saturating_sub(LONGEST));
        let tail = content.as_bytes().get(from..).unwrap_or_default();
        tail.iter()
            .rposition(|b| matches!(b, b' ' | b'\n'))
            .map_or(from, |blank| from + blank + 1)
    }

    /// Whether the content ends in a broken word that `next` goes on with, and whether its hyphen
    /// is to be kept.
    fn broken_word(&self, next: &str) -> Option<bool> {
        let content = self.text.content.as_str();
        let head = content.get(self.word_start()..)?;
        let (first, soft) = match head.strip_suffix(SOFT_HYPHEN) {
            Some(first) => (first, true),
            None => (head.strip_suffix('-')?, false),
        };
        let last = first.chars().next_back()?;
        let begin = next.chars().next()?;
        if !last.is_alphanumeric() || !begin.is_alphanumeric() {
            return None;
        }
        if soft {
            return Some(false);
        }
        // "as follows-" before "1. The owner"
        if begin.is_ascii_digit() && (last.is_alphabetic() || starts_clause(next)) {
            return None;
        }
        let second: String = next
            .chars()
            .take_while(|c| c.is_alphanumeric() || *c == '-' || *c == '\'')
            .collect();
        Some(self.words.keeps_hyphen(first, &second))
    }
}

/// Whether a sentence goes on over the end of a page or column.
fn goes_on(content: &str, full: bool, next: &str) -> bool {
    let Some(end) = content
        .trim_end_matches(['"', '\'', ')', ']'])
        .chars()
        .next_back()
    else {
        return false;
    };
    if starts_clause(next) {
        return false;
    }
    if !matches!(end, '.' | ':' | ';' | '?' | '!') {
        return true;
    }
    let lower = next
        .trim_start_matches(['"', '\'', '('])
        .chars()
        .next()
        .is_some_and(char::is_lowercase);
    lower || full
}

/// First parts of compounds that are no syllables of longer words, so that a hyphen after them is
/// their own. From the vocabulary of operating limitations.
const FIRST_PARTS: &[&str] = &[
    "amateur",
    "fixed",
    "post-maintenance",
    "self",
    "single",
    "task",
    "three",
    "two",
    "variable",
];

/// Compounds whose first part may also be a syllable ("in-volving", "stand-ard", "owner-ship"),
/// with the beginning of the second.
const COMPOUNDS: &[(&str, &str)] = &[
    ("builder", "repairman"),
    ("controllable", "pitch"),
    ("cross", "country"),
    ("day", "only"),
    ("flight", "test"),
    ("full", "time"),
    ("ground", "based"),
    ("heavier", "than"),
    ("in", "flight"),
    ("in", "service"),
    ("kit", "built"),
    ("light", "sport"),
    ("lighter", "than"),
    ("multi", "engine"),
    ("non", "commercial"),
    ("owner", "built"),
    ("owner", "operator"),
    ("part", "time"),
    ("powered", "parachute"),
    ("system", "essential"),
    ("take", "off"),
    ("time", "in"),
    ("type", "certificate"),
    ("weight", "shift"),
];

/// The words of the whole text, to tell broken words from compounds.
struct Words {
    plain: BTreeSet<String>,
    hyphened: BTreeSet<String>,
}

impl Words {
    fn of(pages: &[CleanPage]) -> Self {
        let mut words = Self {
            plain: BTreeSet::new(),
            hyphened: BTreeSet::new(),
        };
        // Only a text with a word broken by a hyphen needs to know its words.
        let ends = |l: &Line| l.text.ends_with('-');
        if !pages.iter().any(|l| l.lines.iter().any(ends)) {
            return words;
        }
        for line in pages.iter().flat_map(|l| &l.lines) {
            for word in line.text.split(' ') {
                let word = word
                    .trim_matches(|c: char| !c.is_alphanumeric() && c != '-')
                    .to_lowercase();
                if word.ends_with('-') || word.is_empty() {
                    continue;
                }
                if word.contains('-') {
                    words.hyphened.insert(word);
                } else {
                    words.plain.insert(word);
                }
            }
        }
        words
    }

    fn keeps_hyphen(&self, first: &str, second: &str) -> bool {
        let bare = first.trim_start_matches(|c: char| !c.is_alphanumeric());
        let second = second.trim_end_matches(['-', '\'']);
        let (low, next) = (bare.to_lowercase(), second.to_lowercase());
        if self.hyphened.contains(&format!("{low}-{next}")) {
            return true;
        }
        if self.plain.contains(&format!("{low}{next}")) {
            return false;
        }
        let capitals = bare.chars().count() >= 2 && !bare.chars().any(char::is_lowercase);
        let all_capitals = capitals && !second.chars().any(char::is_lowercase);
        let cased = second
            .chars()
            .next()
            .is_some_and(|c| c.is_uppercase() || c.is_numeric());
        // a heading in capitals may break a plain word
        let word_of_heading = all_capitals && bare.chars().all(char::is_alphabetic);
        (capitals || cased) && !word_of_heading
            || bare.contains(['-', '/'])
            || bare.chars().next_back().is_some_and(char::is_numeric)
            || FIRST_PARTS.contains(&low.as_str())
            || COMPOUNDS
                .iter()
                .any(|(first, second)| *first == low && next.starts_with(second))
    }
}
