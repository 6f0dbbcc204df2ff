//! The printed lines of a text, and where a line starts a paragraph.

use crate::model::Span;

/// A line with words on it.
#[derive(Clone, Copy, Debug)]
pub(in crate::understand) struct Line {
    /// First to last character that is no blank.
    pub(in crate::understand) span: Span,
    /// Characters before the first word.
    pub(in crate::understand) indent: usize,
    /// Column of the right edge.
    pub(in crate::understand) right: usize,
    /// Characters of the first word.
    pub(in crate::understand) first_word: usize,
    /// Blank lines stand before it, or it is the first.
    pub(in crate::understand) blank_before: bool,
}

/// All lines of a text, with what is known of the width that it was wrapped at.
#[derive(Debug, Default)]
pub(in crate::understand) struct Lines {
    pub(in crate::understand) all: Vec<Line>,
    /// The widest line.
    widest: usize,
    /// A word that would have ended left of this column would have stood on the line before.
    tightest: Option<usize>,
}

impl Lines {
    pub(in crate::understand) fn of(text: &str) -> Self {
        let mut all: Vec<Line> = Vec::new();
        let mut start = 0;
        let mut blank = true;
        for line in text.split_inclusive('\n') {
            let words = line.trim();
            if words.is_empty() {
                blank = true;
            } else {
                let lead = line.len() - line.trim_start().len();
                let indent = line[..lead]
                    .chars()
                    .map(|c| if c == '\t' { 8 } else { 1 })
                    .sum();
                all.push(Line {
                    span: Span::new(start + lead, start + lead + words.len()),
                    indent,
                    right: indent + words.chars().count(),
                    first_word: words
                        .split(char::is_whitespace)
                        .next()
                        .map_or(0, |w| w.chars().count()),
                    blank_before: blank,
                });
                // A form feed starts a page as a blank line does.
                blank = line.contains('\u{c}');
            }
            start += line.len();
        }
        let widest = all.iter().map(|l| l.right).max().unwrap_or(0);
        // A break between two lower-case words is no end of a paragraph: the second word did not
        // fit. That tells the width, in exact and in proportional type.
        let mut inner: Vec<usize> = all
            .windows(2)
            .filter(|w| {
                !w[1].blank_before
                    && text[..w[0].span.end].ends_with(|c: char| c.is_lowercase() || c == ',')
                    && text[w[1].span.start..].starts_with(char::is_lowercase)
            })
            .map(|w| w[0].right + 1 + w[1].first_word)
            .collect();
        inner.sort_unstable();
        let tightest = inner.get(inner.len() / 20).copied();
        Self {
            all,
            widest,
            tightest,
        }
    }

    /// The right edge of the widest line.
    pub(in crate::understand) fn widest(&self) -> usize {
        self.widest
    }

    /// The line on which a byte stands.
    pub(in crate::understand) fn at(&self, byte: usize) -> usize {
        self.all
            .partition_point(|l| l.span.start <= byte)
            .saturating_sub(1)
    }

    /// Whether the first word of line `n` would have stood on the line before, had the paragraph
    /// gone on.
    pub(in crate::understand) fn had_room(&self, n: usize) -> bool {
        let (Some(line), Some(before)) = (self.all.get(n), n.checked_sub(1).map(|p| self.all[p]))
        else {
            return false;
        };
        let needed = before.right + 1 + line.first_word;
        match self.tightest {
            Some(tightest) => needed <= self.widest && needed < tightest,
            None => needed * 4 <= self.widest * 3,
        }
    }
}
