//! A drawing as a PDF of one page (ISO 32000-1:2008), of which a picture is made: rectangles, lines, and
//! words in two standard fonts that need not be embedded (9.6.2.2).

use super::drawing::{Anchor, Drawing, Fill, HATCHINGS, Hatching, MARGIN, Shape, TILE, WIDTH};

/// Widths of the signs from the blank to the tilde in thousandths of the size of the letters, by the
/// metrics of the standard fonts Helvetica and Helvetica-Bold.
#[rustfmt::skip]
const WIDTHS: [[u16; 95]; 2] = [
    [
        278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333, 278, 278, 556, 556, 556,
        556, 556, 556, 556, 556, 556, 556, 278, 278, 584, 584, 584, 556, 1015, 667, 667, 722, 722, 667,
        611, 778, 722, 278, 500, 667, 556, 833, 722, 778, 667, 778, 722, 667, 611, 722, 667, 944, 667,
        667, 611, 278, 278, 278, 469, 556, 333, 556, 556, 500, 556, 556, 278, 556, 556, 222, 222, 500,
        222, 833, 556, 556, 556, 556, 333, 500, 278, 556, 500, 722, 500, 500, 500, 334, 260, 334, 584,
    ],
    [
        278, 333, 474, 556, 556, 889, 722, 238, 333, 333, 389, 584, 278, 333, 278, 278, 556, 556, 556,
        556, 556, 556, 556, 556, 556, 556, 333, 333, 584, 584, 584, 611, 975, 722, 722, 722, 722, 667,
        611, 778, 722, 278, 556, 722, 611, 833, 722, 778, 667, 778, 722, 667, 611, 722, 667, 944, 667,
        667, 611, 333, 278, 333, 584, 556, 333, 556, 611, 556, 611, 556, 333, 611, 611, 278, 278, 556,
        278, 889, 611, 611, 611, 611, 389, 556, 333, 611, 556, 778, 556, 556, 500, 389, 280, 389, 584,
    ],
];

/// The widest sign: no other one takes more room.
const WIDEST: u16 = 1015;

/// The file; a unit of the drawing is a point (1/72 inch).
pub(super) fn page(drawing: &Drawing) -> Vec<u8> {
    let height = drawing.height;
    // Turns the page over, so that y grows downwards as in the drawing.
    let mut marks = format!("1 0 0 -1 0 {height} cm 1 w\n");
    for shape in drawing.head.iter().chain(&drawing.marks) {
        marks.push_str(&operators(shape));
    }
    let font = |name: &str| {
        format!("<< /Type /Font /Subtype /Type1 /BaseFont /{name} /Encoding /WinAnsiEncoding >>")
    };
    file(&[
        "<< /Type /Catalog /Pages 2 0 R >>".to_owned(),
        "<< /Type /Pages /Kids [3 0 R] /Count 1 >>".to_owned(),
        format!(
            "<< /Type /Page /Parent 2 0 R /MediaBox [0 0 {WIDTH} {height}] /Contents 4 0 R \
             /Resources << /Font << /F0 5 0 R /F1 6 0 R >> >> >>"
        ),
        format!("<< /Length {} >>\nstream\n{marks}endstream", marks.len()),
        font("Helvetica"),
        font("Helvetica-Bold"),
    ])
}

/// A file of these objects, of which the first is the catalog: header, body, cross-references, trailer
/// (7.5).
fn file(objects: &[String]) -> Vec<u8> {
    let mut out = String::from("%PDF-1.4\n");
    let mut places = String::new();
    for (number, object) in (1..).zip(objects) {
        places.push_str(&format!("{:010} 00000 n \n", out.len()));
        out.push_str(&format!("{number} 0 obj\n{object}\nendobj\n"));
    }
    let size = objects.len() + 1;
    let begin = out.len();
    out.push_str(&format!(
        "xref\n0 {size}\n0000000000 65535 f \n{places}trailer\n<< /Size {size} /Root 1 0 R >>\n\
         startxref\n{begin}\n%%EOF\n"
    ));
    out.into_bytes()
}

/// The operators that draw a shape.
fn operators(shape: &Shape) -> String {
    match shape {
        Shape::Rectangle {
            x,
            y,
            wide,
            high,
            fill,
        } => {
            let outline = format!("{x} {y} {wide} {high} re");
            let hatching = match fill {
                Fill::Full => return format!("{outline} B\n"),
                Fill::Empty => None,
                Fill::Hatched(n) => HATCHINGS.get(*n),
            };
            let lines = hatching.map(|h| {
                let lines = hatched(h, (*x, x + wide), (*y, y + high));
                format!("q {outline} W n {} w\n{lines}S Q\n", h.stroke)
            });
            format!("{}{outline} S\n", lines.unwrap_or_default())
        }
        Shape::Text {
            x,
            y,
            size,
            bold,
            anchor,
            words,
        } => {
            let signs = encoded(words);
            let (size, wide) = fitted(*size as f64, *x, width(&signs, *bold));
            let x = match anchor {
                Anchor::Start => *x as f64,
                Anchor::Middle => *x as f64 - wide / 2.0,
            };
            format!(
                "BT /F{} {size:.3} Tf 1 0 0 -1 {x:.3} {y} Tm ({}) Tj ET\n",
                u8::from(*bold),
                literal(&signs)
            )
        }
    }
}

/// The lines of a hatching over all tiles that a rectangle touches; tiles are counted from the corner of
/// the page, so that the lines of neighbors meet.
fn hatched(
    hatching: &Hatching,
    (left, right): (usize, usize),
    (top, foot): (usize, usize),
) -> String {
    let mut out = String::new();
    for down in (top / TILE * TILE..foot).step_by(TILE) {
        for over in (left / TILE * TILE..right).step_by(TILE) {
            for [x, y, to_x, to_y] in hatching.lines {
                out.push_str(&format!(
                    "{} {} m {} {} l\n",
                    over + x,
                    down + y,
                    over + to_x,
                    down + to_y
                ));
            }
        }
    }
    out
}

/// The size of letters with which words that begin at `x` end before the margin, and their width then;
/// the letters of this font are wider than those of the page.
fn fitted(size: f64, x: usize, ems: f64) -> (f64, f64) {
    let room = (WIDTH - MARGIN).saturating_sub(x) as f64;
    let size = if size * ems > room { room / ems } else { size };
    (size, size * ems)
}

/// Width of words, as a multiple of the size of their letters.
fn width(signs: &[u8], bold: bool) -> f64 {
    let widths = WIDTHS[usize::from(bold)];
    let of = |sign: &u8| {
        let place = usize::from(*sign).checked_sub(usize::from(b' '));
        let known = place.and_then(|n| widths.get(n)).copied();
        f64::from(known.unwrap_or(WIDEST)) / 1000.0
    };
    signs.iter().map(of).sum()
}

/// Words as bytes of `WinAnsiEncoding` (annex D), as far as it has them where Unicode does.
fn encoded(words: &str) -> Vec<u8> {
    words
        .chars()
        .map(|c| match c {
            ' '..='~' | '\u{a0}'..='\u{ff}' => u8::try_from(c).unwrap_or(b'?'),
            _ => b'?',
        })
        .collect()
}

/// What stands between the parentheses of a literal string (7.3.4.2).
fn literal(signs: &[u8]) -> String {
    let mut out = String::new();
    for &sign in signs {
        match sign {
            b'(' | b')' | b'\\' => out.extend(['\\', char::from(sign)]),
            b' '..=b'~' => out.push(char::from(sign)),
            _ => out.push_str(&format!("\\{sign:03o}")),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::super::drawing;
    use super::*;

    fn of(name: &str) -> String {
        let rows = [(name.to_owned(), vec![3, 1])];
        let drawing = drawing::chart("Who?", "4 letters", &["yes", "no"], &rows);
        String::from_utf8(page(&drawing)).expect("ASCII")
    }

    #[test]
    fn words_cannot_leave_their_string() {
        let pdf = of("a) Tj ET \\ (é\n\u{2014}");
        assert!(
            pdf.contains("(a\\) Tj ET \\\\ \\(\\351??: 4) Tj ET\n"),
            "{pdf}"
        );
    }

    #[test]
    fn every_object_stands_where_the_cross_references_say() {
        let pdf = of("mechanic");
        let (_, table) = pdf.split_once("xref\n0 7\n").expect("a table");
        let places: Vec<usize> = table
            .lines()
            .skip(1)
            .take(6)
            .map(|l| l[..10].parse().expect("a number"))
            .collect();
        for (number, place) in (1..).zip(places) {
            assert!(pdf[place..].starts_with(&format!("{number} 0 obj\n")));
        }
        let (_, begin) = pdf.split_once("startxref\n").expect("an end");
        let begin: usize = begin
            .lines()
            .next()
            .and_then(|l| l.parse().ok())
            .expect("a number");
        assert!(pdf[begin..].starts_with("xref\n"));
        let (head, stream) = pdf.split_once(" >>\nstream\n").expect("a stream");
        let length: usize = head[head.rfind(' ').expect("a blank") + 1..]
            .parse()
            .expect("a number");
        assert!(stream[length..].starts_with("endstream\n"));
    }

    #[test]
    fn a_title_that_is_too_wide_is_set_smaller() {
        // 20 × 0.944 em are 18.88 em; at 15 they would take 283.2 of 324 units, twice as many do not fit.
        let near = |a: f64, b: f64| (a - b).abs() < 1e-9;
        let ems = width(b"WWWWWWWWWWWWWWWWWWWW", true);
        assert!(near(ems, 18.88));
        let (size, wide) = fitted(15.0, MARGIN, ems);
        assert!(near(size, 15.0) && near(wide, 283.2));
        let (size, wide) = fitted(15.0, MARGIN, 2.0 * ems);
        assert!(near(size, 324.0 / 37.76) && near(wide, 324.0));
    }
}
