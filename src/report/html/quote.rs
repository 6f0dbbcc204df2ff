//! Quotes of a letter with words marked in them.

use super::blocks::{block, plain};
use super::inert::{Html, piece};
use crate::model::Span;

/// Words to be marked.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Mark {
    /// Bytes of the text that the quote is cut from.
    pub span: Span,
    /// Anchor of the mark itself, for links to it; empty for none.
    pub id: String,
    /// Anchor that the mark leads to; empty for none.
    pub to: String,
    /// What a listener is told before the words, such as "deciding words"; empty for nothing.
    pub label: String,
}

/// A quote as a block: bytes `span` of `content`, with the marks that lie in it.
#[must_use]
pub fn quote(content: &str, span: Span, marks: &[Mark]) -> Html {
    let inner = marked(content, span, marks);
    block(Html::own(format!(
        "<blockquote>{}</blockquote>",
        inner.as_str()
    )))
}

/// The words of the span with the marks that lie in it, as a piece of a running text. Marks are
/// cut to the span; of two that overlap, the later begins where the earlier ends.
#[must_use]
pub fn marked(content: &str, span: Span, marks: &[Mark]) -> Html {
    let mut sorted: Vec<&Mark> = marks.iter().filter(|m| m.span.overlaps(span)).collect();
    sorted.sort_by_key(|m| (m.span.start, m.span.end));
    let mut out = Html::new();
    let mut at = span.start;
    for mark in sorted {
        let start = mark.span.start.max(at);
        let end = mark.span.end.min(span.end);
        if start >= end || content.get(start..end).is_none() {
            continue;
        }
        out.push(&piece(Span::new(at, start).of(content)));
        // The anchor belongs to the first piece of a mark that is cut.
        let first = mark.span.start >= span.start;
        out.push(&one(content, Span::new(start, end), mark, first));
        at = end;
    }
    out.push(&piece(Span::new(at, span.end).of(content)));
    out
}

fn one(content: &str, span: Span, mark: &Mark, first: bool) -> Html {
    let id = if mark.id.is_empty() || !first {
        String::new()
    } else {
        format!(" id=\"{}\"", plain(&mark.id))
    };
    let label = if mark.label.is_empty() {
        String::new()
    } else {
        format!(
            "<span class=\"unseen\">[{}: </span>",
            super::text(&mark.label).as_str()
        )
    };
    let close = if mark.label.is_empty() {
        ""
    } else {
        "<span class=\"unseen\">]</span>"
    };
    let words = piece(span.of(content));
    let words = words.as_str();
    let inner = if mark.to.is_empty() {
        format!("{label}{words}{close}")
    } else {
        format!("<a href=\"#{}\">{label}{words}{close}</a>", plain(&mark.to))
    };
    Html::own(format!("<mark{id}>{inner}</mark>"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mark(start: usize, end: usize) -> Mark {
        Mark {
            span: Span::new(start, end),
            id: format!("w{start}"),
            ..Mark::default()
        }
    }

    #[test]
    fn marks_lie_on_their_words() {
        let text = "A <mechanic> may\nperform it.";
        let html = marked(text, Span::new(0, text.len()), &[mark(13, 24), mark(2, 12)]);
        assert_eq!(
            html.as_str(),
            "A <mark id=\"w2\">&lt;mechanic&gt;</mark> <mark id=\"w13\">may perform</mark> it."
        );
    }

    #[test]
    fn overlapping_and_cut_marks_stay_well_formed() {
        let text = "abcdefghij";
        let html = marked(
            text,
            Span::new(2, 8),
            &[mark(0, 4), mark(3, 6), mark(7, 99)],
        );
        assert_eq!(
            html.as_str(),
            "<mark>cd</mark><mark id=\"w3\">ef</mark>g<mark id=\"w7\">h</mark>"
        );
    }

    #[test]
    fn a_mark_off_the_characters_is_left_out() {
        let html = marked("ä§", Span::new(0, 4), &[mark(1, 3)]);
        assert_eq!(html.as_str(), "ä§");
    }
}
