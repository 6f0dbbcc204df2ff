//! Plain text: bytes → pages of lines.

use encoding_rs::{UTF_16BE, UTF_16LE, WINDOWS_1252};

use super::furniture::is_page_mark;
use super::page::{Joint, Line, Page};

/// A decoded text.
#[derive(Debug)]
pub(super) struct Decoded {
    /// The characters.
    pub(super) text: String,
    /// Whether the bytes were no UTF-8 and were taken for Windows-1252.
    pub(super) guessed: bool,
    /// Whether bytes were lost.
    pub(super) damaged: bool,
}

/// The pages of a text, as many as are read.
pub(super) struct Pages {
    pub(super) pages: Vec<Page>,
    /// How many the text has.
    pub(super) total: u32,
    /// Whether it has more characters than are read; the pages end where they do.
    pub(super) cut: bool,
}

/// Characters from bytes; `None` where they are no text.
pub(super) fn decode(bytes: &[u8]) -> Option<Decoded> {
    let wide = match bytes {
        [0xff, 0xfe, rest @ ..] => Some((UTF_16LE, rest)),
        [0xfe, 0xff, rest @ ..] => Some((UTF_16BE, rest)),
        _ => wide_without_mark(bytes),
    };
    if let Some((encoding, rest)) = wide {
        let (text, damaged) = encoding.decode_without_bom_handling(rest);
        return is_text(&text).then(|| Decoded {
            text: text.into_owned(),
            guessed: false,
            damaged,
        });
    }
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let (text, guessed) = match std::str::from_utf8(bytes) {
        Ok(text) => (text.to_owned(), false),
        Err(_) => {
            let (text, _) = WINDOWS_1252.decode_without_bom_handling(bytes);
            (text.into_owned(), true)
        }
    };
    is_text(&text).then_some(Decoded {
        text,
        guessed,
        damaged: false,
    })
}

/// UTF-16 without a byte order mark: every other byte of English text is zero.
fn wide_without_mark(bytes: &[u8]) -> Option<(&'static encoding_rs::Encoding, &[u8])> {
    let head = bytes.get(..bytes.len().min(4096))?;
    let zeros = |odd: usize| {
        head.iter()
            .skip(odd)
            .step_by(2)
            .filter(|&&b| b == 0)
            .count()
    };
    let (even, odd) = (zeros(0), zeros(1));
    let half = head.len() / 2;
    if half >= 4 && odd * 10 > half * 8 && even * 10 < half {
        Some((UTF_16LE, bytes))
    } else if half >= 4 && even * 10 > half * 8 && odd * 10 < half {
        Some((UTF_16BE, bytes))
    } else {
        None
    }
}

/// Control characters are rare in text and NUL has no place in it.
fn is_text(text: &str) -> bool {
    let head = text.chars().take(100_000);
    let (mut all, mut odd) = (0_usize, 0_usize);
    for c in head {
        all += 1;
        if c == '\0' || c == '\u{fffd}' {
            odd += 4;
        } else if c.is_control()
            && !matches!(
                c,
                '\n' | '\r' | '\t' | '\u{c}' | '\u{b}' | '\u{1b}' | '\u{85}'
            )
        {
            odd += 1;
        }
    }
    odd <= all / 50 + 2
}

/// Pages at form feeds, no more than `most` and than so many characters that are no blanks; lines with their number as a text editor counts them on that page.
pub(super) fn pages(text: &str, most: u32, characters: usize) -> Pages {
    let unified = text
        .replace("\r\n", "\n")
        .replace(['\r', '\u{b}', '\u{85}', '\u{2028}'], "\n");
    let sheets = || unified.split('\u{c}');
    let mut total = sheets().count();
    // a form feed at the end closes the last page, it opens none
    if total > 1 && sheets().next_back().is_some_and(|s| s.trim().is_empty()) {
        total -= 1;
    }
    let end = unified
        .char_indices()
        .filter(|(_, c)| !c.is_whitespace())
        .nth(characters)
        .map(|(at, _)| at);
    let kept = unified
        .get(..end.unwrap_or(unified.len()))
        .unwrap_or_default();
    let most = usize::try_from(most).unwrap_or(usize::MAX);
    let pages: Vec<Page> = kept
        .split('\u{c}')
        .take(total.min(most))
        .zip(1..)
        .flat_map(|(sheet, number)| {
            parts(sheet).into_iter().map(move |(part, before)| Page {
                number,
                lines: lines(part, before),
                ..Page::default()
            })
        })
        .collect();
    Pages {
        pages,
        total: u32::try_from(total).unwrap_or(u32::MAX),
        cut: end.is_some(),
    }
}

/// A sheet without form feeds may still hold several printed pages, parted by "Page 2 of 6".
/// Gives each of them with the number of lines before it, so that lines count through.
fn parts(sheet: &str) -> Vec<(&str, u32)> {
    let mut marks = Vec::new();
    let (mut at, mut seen) = (0, 0_usize);
    for (line, number) in sheet.split_inclusive('\n').zip(1_u32..) {
        let end = at + line.len();
        if is_page_mark(line) {
            marks.push((at, end, number, seen));
        }
        seen += usize::from(!line.trim().is_empty());
        at = end;
    }
    // one mark alone stands at an edge of the only page
    let [(_, _, _, lines_above), _, ..] = marks.as_slice() else {
        return vec![(sheet, 0)];
    };
    let heads = *lines_above < 3;
    let mut out = Vec::with_capacity(marks.len() + 1);
    let (mut from, mut before) = (0, 0);
    for &(start, end, number, _) in &marks {
        let (cut, lines) = if heads {
            (start, number - 1)
        } else {
            (end, number)
        };
        if cut > from {
            out.push((sheet.get(from..cut).unwrap_or_default(), before));
        }
        (from, before) = (cut, lines);
    }
    out.push((sheet.get(from..).unwrap_or_default(), before));
    out.retain(|(part, _)| !part.trim().is_empty());
    out
}

fn lines(sheet: &str, before: u32) -> Vec<Line> {
    let widest = sheet
        .lines()
        .map(|l| l.trim().chars().count())
        .max()
        .unwrap_or(0);
    let count = sheet.lines().filter(|l| !l.trim().is_empty()).count();
    let mut out: Vec<Line> = Vec::with_capacity(count);
    let mut joint = Joint::Break;
    for (text, number) in sheet.lines().zip(before.saturating_add(1)..) {
        if text.trim().is_empty() {
            if !out.is_empty() {
                joint = Joint::Gap;
            }
            continue;
        }
        let rank = out.len();
        out.push(Line {
            text: text.to_owned(),
            number,
            // ranks from either edge, so that the edges of pages of unlike length compare
            height: if rank * 2 < count {
                #[expect(
                    clippy::cast_precision_loss,
                    reason = "a rank among the lines of a page"
                )]
                let rank = rank as f32;
                (rank * 0.03).min(0.49)
            } else {
                #[expect(
                    clippy::cast_precision_loss,
                    reason = "a rank among the lines of a page"
                )]
                let rank = (count - rank) as f32;
                1.0 - (rank * 0.03).min(0.49)
            },
            joint,
            full: text.trim().chars().count() * 10 >= widest * 8,
            weak: Vec::new(),
            frames: Vec::new(),
        });
        joint = Joint::Line;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pages(text: &str) -> Vec<Page> {
        super::pages(text, u32::MAX, usize::MAX).pages
    }

    #[test]
    fn encodings() {
        let text = "§ 91.319(b) “may”";
        for (bytes, guessed) in [
            (text.as_bytes().to_vec(), false),
            (
                [b"\xef\xbb\xbf".as_slice(), text.as_bytes()].concat(),
                false,
            ),
            (b"\xa7 91.319(b) \x93may\x94".to_vec(), true),
            (
                [0xfeff_u16]
                    .iter()
                    .copied()
                    .chain(text.encode_utf16())
                    .flat_map(u16::to_be_bytes)
                    .collect(),
                false,
            ),
            (
                [0xfeff_u16]
                    .iter()
                    .copied()
                    .chain(text.encode_utf16())
                    .flat_map(u16::to_le_bytes)
                    .collect(),
                false,
            ),
            (
                text.encode_utf16().flat_map(u16::to_le_bytes).collect(),
                false,
            ),
            (
                text.encode_utf16().flat_map(u16::to_be_bytes).collect(),
                false,
            ),
        ] {
            let decoded = decode(&bytes).expect("it is text");
            assert_eq!((decoded.text.as_str(), decoded.guessed), (text, guessed));
        }
        assert!(decode(b"\x7fELF\x02\x01\x01\0\0\0\0\0\0\0\0\0").is_none());
        assert!(decode(&(0_u8..=255).collect::<Vec<_>>()).is_none());
    }

    #[test]
    fn page_marks_part_a_sheet_and_lines_count_through() {
        let text = "Head\na\nb\nc\nPage 1 of 2\nHead\nd\nPage 2 of 2\n";
        let read = pages(text);
        let seen: Vec<(u32, Vec<u32>)> = read
            .iter()
            .map(|p| (p.number, p.lines.iter().map(|l| l.number).collect()))
            .collect();
        assert_eq!(seen, [(1, vec![1, 2, 3, 4, 5]), (1, vec![6, 7, 8])]);
        let heads = pages("Page 1 of 2\na\nb\nPage 2 of 2\nc\n");
        assert_eq!(heads.len(), 2);
        assert_eq!(heads[1].lines[0].text, "Page 2 of 2");
    }

    #[test]
    fn form_feeds_part_pages() {
        let read = pages("one\n\ntwo\u{c}three\r\nfour\n\u{c}");
        let seen: Vec<(u32, u32, &str)> = read
            .iter()
            .flat_map(|p| {
                p.lines
                    .iter()
                    .map(|l| (p.number, l.number, l.text.as_str()))
            })
            .collect();
        assert_eq!(
            seen,
            [
                (1, 1, "one"),
                (1, 3, "two"),
                (2, 1, "three"),
                (2, 2, "four")
            ]
        );
        assert_eq!(read[0].lines[1].joint, Joint::Gap);
    }

    #[test]
    fn a_text_is_cut_before_its_lines_are_made() {
        let read = |text: &str| {
            let read = super::pages(text, 3, 4);
            let lines: usize = read.pages.iter().map(|p| p.lines.len()).sum();
            (read.pages.len(), lines, read.total, read.cut)
        };
        assert_eq!(read("a\n\n \nb c\nd"), (1, 3, 1, false));
        assert_eq!(read("a\nb\nc\nd\ne\nf"), (1, 4, 1, true));
        assert_eq!(read("a\u{c}b\u{c}c\u{c}d"), (3, 3, 4, false));
        assert_eq!(read("a\u{c}bcde\u{c}f\u{c}\u{c}\u{c}"), (2, 2, 5, true));
    }
}
