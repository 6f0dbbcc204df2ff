//! Marks around and through words: quotation marks, lines.

use crate::model::{ReplacedBy, Span};

/// The quotation marks around the words that follow a colon behind a byte.
pub(super) fn marks_behind(content: &str, at: usize) -> Vec<Span> {
    const OPEN: [char; 3] = ['"', '“', '«'];
    const CLOSE: [char; 3] = ['"', '”', '»'];
    let rest = content.get(at..).unwrap_or_default();
    let Some(open) = rest.char_indices().take(60).find(|(_, c)| OPEN.contains(c)) else {
        return Vec::new();
    };
    let start = at + open.0;
    let inner = start + open.1.len_utf8();
    let mut marks = vec![Span::new(start, inner)];
    let inside = content.get(inner..).unwrap_or_default();
    if let Some((n, c)) = inside
        .char_indices()
        .take(2000)
        .find(|(_, c)| CLOSE.contains(c))
    {
        marks.push(Span::new(inner + n, inner + n + c.len_utf8()));
    }
    marks
}

/// Words between pairs of tildes, as a word processor's line through them is read.
pub(super) fn struck(content: &str) -> Vec<(Span, ReplacedBy)> {
    let marks: Vec<usize> = content.match_indices("~~").map(|(at, _)| at).collect();
    marks
        .chunks_exact(2)
        .filter_map(|pair| match *pair {
            [start, end] if end > start + 2 => {
                Some((Span::new(start, end + 2), ReplacedBy::Struck))
            }
            _ => None,
        })
        .collect()
}
