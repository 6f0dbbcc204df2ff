//! The chart of a survey: as SVG, and the same as a picture, pixel by pixel.

use super::{made, survey};

const TITLE: &str = "Who may sign the yearly condition inspection?";
const UNDER: &str = "13 letters, asked on Nov 25, 2026";
const ANSWERS: [&str; 6] = [
    "yes",
    "open; yes if all fits",
    "in dispute",
    "open; then in dispute",
    "open",
    "no",
];

/// Counts that use every filling.
fn persons() -> Vec<(String, Vec<u64>)> {
    [
        ("builder", [8, 0, 2, 0, 1, 2]),
        ("mechanic", [12, 0, 0, 0, 1, 0]),
        ("repair station", [6, 0, 5, 0, 0, 2]),
        ("light-sport inspection rating", [0, 2, 0, 6, 0, 5]),
        ("light-sport maintenance rating", [0, 3, 0, 6, 0, 4]),
        ("repairman of a shop", [0, 0, 0, 0, 0, 13]),
        ("manufacturer", [0, 0, 0, 0, 0, 13]),
        ("owner", [0, 0, 0, 0, 1, 12]),
    ]
    .map(|(name, counts)| (name.to_owned(), counts.to_vec()))
    .to_vec()
}

#[test]
fn the_chart_as_svg_is_the_one_that_is_kept() {
    let svg = whomay::report::html::chart(TITLE, UNDER, &ANSWERS, &persons());
    assert_eq!(svg, include_str!("../data/chart.svg"));
}

#[test]
fn a_drawing_has_no_other_ending() {
    let (folder, _) = made(1, 7);
    let endings = if cfg!(feature = "ocr") {
        ".svg or .png"
    } else {
        ".svg"
    };
    for name in ["chart.gif", "chart", "chart.png.txt"] {
        let refused = survey(folder.path(), &["club", "--chart", name]);
        assert_eq!(refused.status.code(), Some(2), "{name}");
        let said = String::from_utf8(refused.stderr).unwrap();
        assert!(said.contains(&format!("written as {endings};")), "{said}");
        assert!(!folder.path().join(name).exists());
    }
}

#[cfg(not(feature = "ocr"))]
#[test]
fn a_picture_is_refused_without_what_draws_it() {
    let (folder, _) = made(1, 7);
    let refused = survey(folder.path(), &["club", "--chart", "chart.png"]);
    assert_eq!(refused.status.code(), Some(2));
    let said = String::from_utf8(refused.stderr).unwrap();
    assert!(said.contains("the feature «ocr»"), "{said}");
    assert!(said.contains("ends in .svg"), "{said}");
    assert!(!folder.path().join("chart.png").exists());
}

#[cfg(feature = "ocr")]
mod picture {
    use image::GrayImage;

    use super::*;

    /// Pixels a unit of the drawing.
    const SCALE: u32 = 5;

    fn opened(png: &[u8]) -> GrayImage {
        let form = image::ImageFormat::Png;
        image::load_from_memory_with_format(png, form)
            .unwrap()
            .into_luma8()
    }

    /// A number in an attribute of an element.
    fn number(element: &str, name: &str) -> Option<u32> {
        let (_, rest) = element.split_once(&format!(" {name}=\""))?;
        rest[..rest.find('"')?].parse().ok()
    }

    fn elements<'s>(svg: &'s str, name: &'s str) -> impl Iterator<Item = &'s str> {
        svg.split('<')
            .filter(move |e| e.strip_prefix(name).is_some_and(|e| e.starts_with(' ')))
    }

    fn is_ink(picture: &GrayImage, x: u32, y: u32) -> bool {
        picture.get_pixel(x, y).0[0] < 128
    }

    /// Whether there is ink at a place inside a piece; none where an edge is too near to tell.
    fn expected(fill: &str, x: u32, y: u32) -> Option<bool> {
        let off = |n: u32| (n % 6).min(6 - n % 6);
        let (falling, rising) = (off(x + 600 - y), off(x + y));
        if fill == "currentColor" || fill == "none" {
            return Some(fill == "currentColor");
        }
        match fill.trim_end_matches(')').rsplit('-').next()? {
            "1" => Some(rising <= 1),
            "2" if rising == 0 || falling == 0 => Some(true),
            "2" => (rising > 1 && falling > 1).then_some(false),
            "3" => Some(y % 6 == 3),
            "4" => Some(x % 6 == 3),
            other => panic!("{other}"),
        }
    }

    /// A piece has its outline, its filling, and white above and below it. Points that were looked at.
    fn piece(picture: &GrayImage, element: &str) -> usize {
        let of = |name| number(element, name).unwrap();
        let (x, y, wide, high) = (of("x"), of("y"), of("width"), of("height"));
        let ink = |x: u32, y: u32| is_ink(picture, x * SCALE, y * SCALE);
        let (right, foot) = (x + wide, y + high);
        for down in y..=foot {
            assert!(ink(x, down) && ink(right, down), "{element} {down}");
        }
        for over in x..=right {
            assert!(ink(over, y) && ink(over, foot), "{element} {over}");
            assert!(!ink(over, y - 1) && !ink(over, foot + 1), "{element}");
        }
        let (_, fill) = element.split_once(" fill=\"").unwrap();
        let fill = &fill[..fill.find('"').unwrap()];
        let mut seen = 0;
        for (over, down) in (x + 1..right).flat_map(|x| (y + 1..foot).map(move |y| (x, y))) {
            if let Some(wanted) = expected(fill, over, down) {
                assert_eq!(ink(over, down), wanted, "{element} at {over}, {down}");
                seen += 1;
            }
        }
        seen
    }

    /// From the first to the last column with ink, in pixels, of a part of the picture in units.
    fn columns(picture: &GrayImage, x: [u32; 2], y: [u32; 2]) -> Option<(u32, u32)> {
        let [left, right] = x.map(|x| x * SCALE);
        let [top, foot] = y.map(|y| y * SCALE);
        let has = |x: &u32| (top..foot).any(|y| is_ink(picture, *x, y));
        let mut with = (left..right.min(picture.width())).filter(has);
        let first = with.next()?;
        Some((first, with.next_back().unwrap_or(first)))
    }

    /// Words begin where they should; a number stands over the middle of its piece.
    fn words(picture: &GrayImage, element: &str) {
        let of = |name| number(element, name).unwrap();
        let (x, y) = (of("x"), of("y"));
        if element.contains("middle") {
            let (first, last) = columns(picture, [x - 9, x + 9], [y - 8, y]).expect(element);
            assert!(
                (first + last).abs_diff(2 * x * SCALE) <= 2 * SCALE,
                "{element}: {first} to {last}"
            );
        } else {
            let (first, _) = columns(picture, [x - 4, x + 12], [y - 9, y]).expect(element);
            assert!(first.abs_diff(x * SCALE) <= 2 * SCALE, "{element}: {first}");
        }
    }

    /// The picture shows what the SVG tells; how many pieces there are.
    fn shows(picture: &GrayImage, svg: &str) -> usize {
        let (_, size) = svg.split_once("viewBox=\"0 0 340 ").unwrap();
        let height: u32 = size[..size.find('"').unwrap()].parse().unwrap();
        assert_eq!(picture.dimensions(), (1700, height * SCALE));
        let pieces: Vec<&str> = elements(svg, "rect").skip(1).collect();
        let seen: usize = pieces.iter().map(|e| piece(picture, e)).sum();
        assert!(seen > 100 * pieces.len(), "{seen} points");
        for element in elements(svg, "text") {
            words(picture, element);
        }
        pieces.len()
    }

    #[test]
    fn the_picture_shows_what_the_svg_tells() {
        let png = whomay::report::png::chart(TITLE, UNDER, &ANSWERS, &persons()).unwrap();
        let picture = opened(&png);
        // Six of the legend, and one for each of the 19 counts that are not zero.
        assert_eq!(shows(&picture, include_str!("../data/chart.svg")), 6 + 19);
        // The title is as wide as the room between the margins, so it was measured well.
        let (first, last) = columns(&picture, [0, 340], [5, 24]).unwrap();
        assert!(
            first >= 40 && (1640..=1660).contains(&last),
            "{first} to {last}"
        );
    }

    #[test]
    fn a_survey_writes_the_same_chart_in_both_forms() {
        let (folder, _) = made(40, 7);
        let at = |name: &str| folder.path().join(name);
        for name in ["chart.svg", "chart.PNG"] {
            let done = survey(folder.path(), &["club", "--chart", name]);
            assert!(done.status.success(), "{done:?}");
        }
        let svg = std::fs::read_to_string(at("chart.svg")).unwrap();
        let picture = opened(&std::fs::read(at("chart.PNG")).unwrap());
        assert!(shows(&picture, &svg) > 12);
        // What is there is not written over.
        let refused = survey(folder.path(), &["club", "--chart", "chart.PNG"]);
        assert_eq!(refused.status.code(), Some(2), "{refused:?}");
    }

    #[test]
    fn a_name_with_signs_of_pdf_spoils_nothing() {
        let rows = |name: &str| vec![(name.to_owned(), vec![3, 1])];
        let chart = |name: &str| {
            let png = whomay::report::png::chart("Who?", "", &["yes", "no"], &rows(name));
            opened(&png.unwrap())
        };
        let (plain, hostile) = (
            chart("mechanic"),
            chart("m) Tj ET Q ( \\ endstream\n\u{0}é"),
        );
        assert_eq!(plain.dimensions(), hostile.dimensions());
        let below = |picture: &GrayImage| {
            let rows = (98..picture.height() / SCALE).map(|y| y * SCALE);
            let all = rows.flat_map(|y| (0..picture.width()).map(move |x| (x, y)));
            all.map(|(x, y)| picture.get_pixel(x, y).0[0])
                .collect::<Vec<u8>>()
        };
        // Numbers, bars and foot are the same; the name alone is not.
        assert!(below(&plain).contains(&0));
        assert!(below(&plain) == below(&hostile) && plain != hostile);
    }
}
