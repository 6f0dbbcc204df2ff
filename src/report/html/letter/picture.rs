//! The picture of a scanned page beside its text, with the deciding clause outlined.

use super::Page;
use crate::model::{Span, Text};
use crate::report::html::Html;
use crate::report::html::shell::base64;
use crate::report::html::text;

/// Columns that pictures of pages have: letters stay clear, and the file small.
pub const COLUMNS: u32 = 1000;

/// A page as it was scanned, as far as the reader kept it.
#[derive(Clone, Debug)]
pub struct PageImage<'a> {
    /// Index of the file in the sources.
    pub source: u16,
    /// Page in that file, from 1.
    pub page: u32,
    /// The picture as a PNG or JPEG file; it goes into the page itself.
    pub file: &'a [u8],
    /// Where the picture is found instead, for a page that is not passed on.
    pub href: Option<String>,
    /// Columns of the picture.
    pub width: u32,
    /// Rows of the picture.
    pub height: u32,
    /// Where the words stand on it.
    pub words: Vec<WordBox>,
}

/// The pictures that the reader kept, with the boxes of their words.
#[must_use]
pub fn pictures(text: &Text) -> Vec<PageImage<'_>> {
    text.pictures
        .iter()
        .map(|picture| PageImage {
            source: picture.source,
            page: picture.page,
            file: &picture.jpeg,
            href: None,
            width: picture.width,
            height: picture.height,
            words: text
                .seen
                .iter()
                .filter(|s| (s.source, s.page) == (picture.source, picture.page))
                .map(|s| WordBox {
                    span: s.span,
                    x: s.x,
                    y: s.y,
                    width: s.width,
                    height: s.height,
                })
                .collect(),
        })
        .collect()
}

/// A word of the text on the picture of its page.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct WordBox {
    /// Its bytes in the text.
    pub span: Span,
    /// Left edge, in columns of the picture.
    pub x: u32,
    /// Upper edge, in rows.
    pub y: u32,
    /// Width.
    pub width: u32,
    /// Height.
    pub height: u32,
}

/// Space between words and the line around them.
const MARGIN: u32 = 6;

/// The figure.
pub(super) fn figure(page: &Page<'_>, image: &PageImage<'_>) -> Html {
    let mut outlines = String::new();
    let mut named: Vec<String> = Vec::new();
    for rule in &page.report.letter.inspectors {
        if let Some((x, y, width, height)) = around(image, rule.span) {
            outlines.push_str(&format!(
                "<rect class=\"outline\" x=\"{x}\" y=\"{y}\" width=\"{width}\" height=\"{height}\"/>"
            ));
            named.push(page.report.view().id(rule.clause));
        }
    }
    named.dedup();
    let caption = if named.is_empty() {
        format!("Page {} as scanned.", image.page)
    } else {
        format!(
            "Page {} as scanned; outlined: clause {}.",
            image.page,
            named.join(", ")
        )
    };
    let href = image.href.as_deref().map_or_else(
        || {
            let kind = if image.file.starts_with(b"\xff\xd8") {
                "jpeg"
            } else {
                "png"
            };
            format!("data:image/{kind};base64,{}", base64(image.file))
        },
        |href| text(href).as_str().to_owned(),
    );
    Html::own(format!(
        "<figure>\n<svg viewBox=\"0 0 {0} {1}\" role=\"img\" aria-label=\"{2}\">\
         <image width=\"{0}\" height=\"{1}\" href=\"{href}\"/>{outlines}</svg>\n\
         <figcaption>{2}</figcaption>\n</figure>\n",
        image.width,
        image.height,
        text(&caption).as_str(),
    ))
}

/// The box around all words of a span on the picture.
fn around(image: &PageImage<'_>, span: Span) -> Option<(u32, u32, u32, u32)> {
    let words = || image.words.iter().filter(|w| w.span.overlaps(span));
    let left = words().map(|w| w.x).min()?.saturating_sub(MARGIN);
    let top = words().map(|w| w.y).min()?.saturating_sub(MARGIN);
    let right = words().map(|w| w.x.saturating_add(w.width)).max()?;
    let bottom = words().map(|w| w.y.saturating_add(w.height)).max()?;
    let right = right.saturating_add(MARGIN).min(image.width);
    let bottom = bottom.saturating_add(MARGIN).min(image.height);
    Some((
        left,
        top,
        right.saturating_sub(left),
        bottom.saturating_sub(top),
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_outline_holds_every_word_and_stays_on_the_page() {
        let word = |start: usize, x, y| WordBox {
            span: Span::new(start, start + 4),
            x,
            y,
            width: 40,
            height: 12,
        };
        let words = [
            word(0, 10, 10),
            word(5, 60, 10),
            word(10, 3, 30),
            word(20, 80, 90),
        ];
        let image = PageImage {
            source: 0,
            page: 1,
            file: b"",
            href: None,
            width: 100,
            height: 100,
            words: words.to_vec(),
        };
        assert_eq!(around(&image, Span::new(0, 14)), Some((0, 4, 100, 44)));
        assert_eq!(around(&image, Span::new(50, 60)), None);
    }
}
