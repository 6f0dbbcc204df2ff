//! A picture of paper → a page of lines.

use image::codecs::jpeg::JpegEncoder;
use image::{ExtendedColorType, GrayImage};

use super::super::layout::{self, PlacedText};
use super::super::page::{Census, Frame, Page, Picture};
use super::deskew;
use super::patch::{Patch, Word};
use super::slopes::Slopes;

/// Lines read so surely stand upright: upside down or sideways, nearly every letter is another one.
pub(super) const UPRIGHT: f32 = 0.85;
/// Above this a word counts as read with full confidence.
const SURE: f32 = 0.98;

/// Lines of a page with their words.
#[derive(Debug, Default)]
pub(super) struct Lines {
    pub(super) lines: Vec<(Patch, Vec<Word>)>,
    pub(super) slopes: Slopes,
}

/// What reads a page whose lines are level.
pub(super) trait Eye: Send {
    /// The lines in any order; a picture that stands upside down is turned.
    fn lines(&self, picture: &mut GrayImage, dpi: f32) -> Lines;

    /// How much it reads surely ([`surely_read`]) in the [`SAMPLES`] widest lines, whichever end is
    /// up; `None` where it cannot tell without reading all.
    fn glance(&self, _: &GrayImage) -> Option<f32> {
        None
    }
}

/// Lines that are read to tell how a page lies.
pub(super) const SAMPLES: usize = 6;

/// Quality of the pictures that are handed over, of 100: letters stay clear.
const QUALITY: u8 = 45;

/// Reads a page; `dpi` is 0 where nothing tells the resolution, `columns` is 0 where no picture of
/// the page is wanted.
pub(super) fn read(eye: &dyn Eye, picture: GrayImage, dpi: f32, number: u32, columns: u32) -> Page {
    let picture = deskew::positive(picture);
    // A photo does not tell its resolution; paper is eleven inches high or wide.
    let dpi = if dpi > 0.0 {
        dpi
    } else {
        picture.width().max(picture.height()) as f32 / 11.0
    };
    let (lines, picture) = upright(eye, picture, dpi);
    let columns = columns.min(picture.width());
    let scale = columns as f32 / picture.width().max(1) as f32;
    let mut page = page(&lines, &picture, dpi, number, scale);
    if columns > 0 {
        page.picture = kept(picture, scale);
    }
    page
}

/// The lines of a page and the page as it stands, whichever way it lay: where what was read is not
/// what letters give, the reader looks at it turned by a quarter, too, and the way counts in which it
/// reads more. Of a page that lies on its side it is sure of little, but may well be of that.
fn upright(eye: &dyn Eye, picture: GrayImage, dpi: f32) -> (Lines, GrayImage) {
    let [likely, other] = deskew::lies(&picture);
    let mut first = deskew::level(picture.clone(), likely);
    let lines = eye.lines(&mut first, dpi);
    let sure = sureness(&lines.lines);
    if sure >= UPRIGHT || lines.lines.is_empty() {
        return (lines, first);
    }
    let mut second = deskew::level(picture, other);
    let mut widest: Vec<_> = lines.lines.iter().collect();
    widest.sort_by(|(a, _), (b, _)| (b.right - b.left).total_cmp(&(a.right - a.left)));
    let sample = surely_read(widest.into_iter().take(SAMPLES));
    if eye.glance(&second).is_some_and(|seen| seen <= sample) {
        return (lines, first);
    }
    let turned = eye.lines(&mut second, dpi);
    if surely_read(&turned.lines) > surely_read(&lines.lines) {
        (turned, second)
    } else {
        (lines, first)
    }
}

/// The picture as it is handed over.
fn kept(picture: GrayImage, scale: f32) -> Option<Picture> {
    let side = |s: u32| ((s as f32 * scale) as u32).clamp(1, u32::from(u16::MAX));
    let (width, height) = (side(picture.width()), side(picture.height()));
    let small = if scale < 1.0 {
        super::strip::resized(&picture, width, height)
    } else {
        picture
    };
    let mut jpeg = Vec::new();
    JpegEncoder::new_with_quality(&mut jpeg, QUALITY)
        .encode(small.as_raw(), width, height, ExtendedColorType::L8)
        .ok()?;
    Some(Picture {
        width,
        height,
        jpeg,
    })
}

/// Words → lines in reading order.
fn page(read: &Lines, picture: &GrayImage, dpi: f32, number: u32, scale: f32) -> Page {
    let (w, h) = (picture.width() as f32, picture.height() as f32);
    let points = f64::from(72.0 / dpi);
    let mut marks = Vec::new();
    for (patch, words) in &read.lines {
        // where the line would stand if lines were level
        let y = read
            .slopes
            .level(f32::midpoint(patch.left, patch.right), patch.base);
        for (n, word) in words.iter().enumerate() {
            let mut mark = mark(word, *patch, f64::from(y), n == 0, points);
            mark.frame = (scale > 0.0).then(|| frame(word, patch, scale));
            marks.push(mark);
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
        picture: None,
    }
}

/// Where a word stands on the picture that is handed over.
fn frame(word: &Word, patch: &Patch, scale: f32) -> Frame {
    let middle = f32::midpoint(patch.left, patch.right);
    let lower = patch.slope * (f32::midpoint(word.left, word.right) - middle);
    // a cast of floats keeps to the bounds of the integer
    [
        word.left * scale,
        (patch.top + lower) * scale,
        (word.right - word.left) * scale,
        (patch.bottom - patch.top) * scale,
    ]
    .map(|side| side as u16)
}

fn mark(word: &Word, patch: Patch, y: f64, first: bool, points: f64) -> PlacedText {
    PlacedText {
        x: f64::from(word.left) * points,
        y: y * points,
        advance: f64::from(word.right - word.left) * points,
        // the patch is a margin higher than the type
        size: f64::from(patch.bottom - patch.top) * points * 0.8,
        direction: (1.0, 0.0),
        text: format!("{} ", word.text),
        confidence: if word.confidence > SURE {
            1.0
        } else {
            word.confidence
        },
        apart: first,
        frame: None,
    }
}

/// The mean confidence of the characters read, 0 where there are none.
pub(super) fn sureness(read: &[(Patch, Vec<Word>)]) -> f32 {
    let (mut sum, mut count) = (0.0_f32, 0.0_f32);
    for word in read.iter().flat_map(|(_, words)| words) {
        let letters = word.text.chars().count() as f32;
        sum += word.confidence * letters;
        count += letters;
    }
    if count > 0.0 { sum / count } else { 0.0 }
}

/// How much was read surely: letters and figures, each by how far it is above a guess.
pub(super) fn surely_read<'l>(read: impl IntoIterator<Item = &'l (Patch, Vec<Word>)>) -> f32 {
    const GUESS: f32 = 0.5;
    let words = read.into_iter().flat_map(|(_, words)| words);
    words
        .map(|word| {
            let letters = word.text.chars().filter(|c| c.is_alphanumeric()).count();
            // a stroke or a dot is read into anything
            let letters = if letters > 1 { letters } else { 0 };
            (word.confidence - GUESS).max(0.0) * letters as f32
        })
        .sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dots_that_are_sure_are_less_than_words_that_are_not() {
        let line = |words: &[(&str, f32)]| {
            let patch = Patch {
                left: 0.0,
                top: 0.0,
                right: 100.0,
                bottom: 10.0,
                base: 8.0,
                slope: 0.0,
            };
            let word = |&(text, confidence): &(&str, f32)| Word {
                text: text.to_owned(),
                left: 0.0,
                right: 1.0,
                confidence,
                posterior: None,
            };
            [(patch, words.iter().map(word).collect::<Vec<_>>())]
        };
        let faint = line(&[("mechanic", 0.7), ("may", 0.75)]);
        let sideways = line(&[(".", 0.99), ("I", 0.97), ("uwt", 0.4)]);
        assert!(sureness(&faint) < UPRIGHT);
        assert!((surely_read(&faint) - 2.35).abs() < 1e-4);
        assert_eq!(surely_read(&sideways), 0.0);
    }
}
