//! The chart of stacked bars as a picture (PNG), for what takes no SVG. It is drawn as a page of PDF
//! first, since the program has a renderer of those.

use std::io::Cursor;

use image::ImageFormat;

use super::{drawing, pdf};

/// Pixels a unit of the drawing: a whole number keeps edges sharp, and makes 1,700 pixels of the width,
/// which are 14 cm in print at 300 dots per inch.
const SCALE: f32 = 5.0;

/// One stacked bar a row, all on one scale, black on white; none where the page could not be drawn.
#[must_use]
pub fn chart(
    title: &str,
    under: &str,
    columns: &[&str],
    rows: &[(String, Vec<u64>)],
) -> Option<Vec<u8>> {
    let page = pdf::page(&drawing::chart(title, under, columns, rows));
    let picture = crate::read::first_page(page, SCALE * 72.0)?;
    let mut out = Cursor::new(Vec::new());
    picture.write_to(&mut out, ImageFormat::Png).ok()?;
    Some(out.into_inner())
}
