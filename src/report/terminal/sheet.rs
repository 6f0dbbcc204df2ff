//! A sheet of text of a certain width: paragraphs, labels, columns. Styles are ANSI sequences in
//! the text, which the writer strips where the reader wants none; nothing is said by style alone.

use crate::model::Verdict;
use crate::report::words;
use anstyle::{Effects, Style};
use textwrap::{Options, WordSeparator, WordSplitter, WrapAlgorithm, core::display_width};

/// Least width that is laid out; a narrower terminal wraps by itself.
const LEAST_WIDTH: usize = 32;

/// Text in the making.
#[derive(Debug)]
pub(crate) struct Sheet {
    width: usize,
    out: String,
}

impl Sheet {
    /// An empty sheet of that many columns.
    pub(crate) fn new(width: usize) -> Self {
        Self {
            width: width.max(LEAST_WIDTH),
            out: String::new(),
        }
    }

    /// The text.
    pub(crate) fn finish(self) -> String {
        self.out
    }

    /// Columns of the sheet.
    pub(crate) const fn width(&self) -> usize {
        self.width
    }

    /// An empty line, but never two.
    pub(crate) fn blank(&mut self) {
        if !self.out.is_empty() && !self.out.ends_with("\n\n") {
            self.out.push('\n');
        }
    }

    /// A heading of a part, with a blank line before.
    pub(crate) fn heading(&mut self, words: &str) {
        self.blank();
        self.para(0, &bold(&words.to_uppercase()));
    }

    /// A paragraph.
    pub(crate) fn para(&mut self, indent: usize, words: &str) {
        self.hanging(indent, indent, words);
    }

    /// A paragraph whose first line starts elsewhere.
    pub(crate) fn hanging(&mut self, first: usize, rest: usize, words: &str) {
        let (first, rest) = (" ".repeat(first), " ".repeat(rest));
        for line in wrap(words, self.width, &first, &rest) {
            self.line(&line);
        }
    }

    /// A label, and a text in a column of its own beside it.
    pub(crate) fn labelled(&mut self, indent: usize, column: usize, label: &str, words: &str) {
        let gap = column.saturating_sub(indent + display_width(label));
        let first = format!("{}{}{}", " ".repeat(indent), label, " ".repeat(gap.max(1)));
        for line in wrap(words, self.width, &first, &" ".repeat(column)) {
            self.line(&line);
        }
    }

    /// One row of a table; every cell wraps in its own width, two blanks between. The last cell
    /// takes what is left.
    pub(crate) fn row(&mut self, cells: &[(usize, &str)]) {
        let mut left = self.width;
        let mut columns: Vec<(usize, Vec<String>)> = Vec::new();
        for (n, (width, words)) in cells.iter().enumerate() {
            let width = if n + 1 == cells.len() { left } else { *width }
                .min(left)
                .max(4);
            columns.push((width, wrap(words, width, "", "")));
            left = left.saturating_sub(width + 2);
        }
        let height = columns
            .iter()
            .map(|(_, lines)| lines.len())
            .max()
            .unwrap_or(0);
        for n in 0..height {
            let mut row = String::new();
            for (width, lines) in &columns {
                let cell = lines.get(n).map_or("", String::as_str);
                row.push_str(cell);
                row.push_str(&" ".repeat((width + 2).saturating_sub(display_width(cell))));
            }
            self.line(&row);
        }
    }

    /// One line, and what stands at its end; the middle gives way where there is no room.
    pub(crate) fn cut_line(&mut self, indent: usize, words: &str, end: &str) {
        const DOTS: &str = " ...";
        let indent = " ".repeat(indent);
        let room = self.width.saturating_sub(indent.len() + display_width(end));
        let words = if display_width(words) <= room {
            words.to_owned()
        } else {
            let mut kept = String::new();
            for word in words.split(' ') {
                if display_width(&kept) + 1 + display_width(word) + DOTS.len() > room {
                    break;
                }
                if !kept.is_empty() {
                    kept.push(' ');
                }
                kept.push_str(word);
            }
            format!("{kept}{DOTS}")
        };
        self.line(&format!("{indent}{words}{end}"));
    }

    /// A line as it is, without blanks at its end.
    pub(crate) fn line(&mut self, line: &str) {
        self.out.push_str(line.trim_end());
        self.out.push('\n');
    }
}

/// Wraps words; what belongs together ("§ 65.104", "page 5") stays on one line.
fn wrap(words: &str, width: usize, first: &str, rest: &str) -> Vec<String> {
    let options = Options::new(width)
        .initial_indent(first)
        .subsequent_indent(rest)
        .word_separator(WordSeparator::AsciiSpace)
        .word_splitter(WordSplitter::NoHyphenation)
        .wrap_algorithm(WrapAlgorithm::FirstFit);
    textwrap::wrap(&tied(words), options)
        .into_iter()
        .map(|line| line.replace('\u{a0}', " "))
        .collect()
}

fn tied(words: &str) -> String {
    let mut tied = words.to_owned();
    for head in ["§", "§§", "page", "line", "clause", "part", "CFR", "Order"] {
        tied = tied.replace(&format!("{head} "), &format!("{head}\u{a0}"));
    }
    tied
}

fn styled(effects: Effects, words: &str) -> String {
    let style = Style::new().effects(effects);
    format!("{style}{words}{style:#}")
}

/// What counts most.
pub(crate) fn bold(words: &str) -> String {
    styled(Effects::BOLD, words)
}

/// The word of an answer; its weight goes with it, the word alone says it all.
pub(crate) fn verdict(answer: Verdict) -> String {
    let effects = match answer {
        Verdict::Yes => Effects::BOLD,
        Verdict::No => Effects::new(),
        Verdict::Disputed => Effects::BOLD.insert(Effects::UNDERLINE),
        Verdict::Undetermined => Effects::UNDERLINE,
    };
    styled(effects, words::verdict(answer))
}

/// What one looks up only: places, ids.
pub(crate) fn dim(words: &str) -> String {
    styled(Effects::DIMMED, words)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_is_wider_than_the_sheet_and_sections_stay_whole() {
        let mut sheet = Sheet::new(40);
        sheet.labelled(
            2,
            12,
            &bold("Rule"),
            "the holder may inspect on that day under § 65.104(b) only",
        );
        sheet.row(&[
            (10, "a long first cell"),
            (5, "x"),
            (0, "and the rest of the row in its column"),
        ]);
        let text = anstream::adapter::strip_str(&sheet.finish()).to_string();
        for line in text.lines() {
            assert!(display_width(line) <= 40, "{line:?}");
        }
        assert!(text.contains("§ 65.104(b)"), "{text}");
    }
}
