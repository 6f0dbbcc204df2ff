//! Rows of an order's table: item number, limitation, certification basis.

use super::order_basis::{Cell, prefix, suffix};
use crate::model::Span;
use crate::patterns::{Patterns, WordList, WordLists};

/// A row, or an item of a list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Row {
    pub(super) item: String,
    /// Paragraphs of § 21.191; empty where the row does not say.
    pub(super) basis: Vec<char>,
    /// What else the cell of the basis says.
    pub(super) note: String,
    pub(super) text: String,
    pub(super) span: Span,
}

/// Rows, and the passages that belong to none.
#[derive(Debug, Default)]
pub(super) struct Rows {
    pub(super) rows: Vec<Row>,
    pub(super) skipped: Vec<Span>,
}

impl Rows {
    /// A line that belongs to no row; lines of one paragraph are one passage.
    pub(super) fn skip(&mut self, span: Span, new_paragraph: bool) {
        match self.skipped.last_mut() {
            Some(last) if !new_paragraph && span.start <= last.end + 2 => last.end = span.end,
            _ => self.skipped.push(span),
        }
    }
}

/// The lines of a text, trimmed, with «a blank line stands before it».
pub(super) fn lines(text: &str) -> Vec<(Span, bool)> {
    let mut out = Vec::new();
    let (mut at, mut blank) = (0, true);
    for line in text.split_inclusive('\n') {
        let span = Span::new(at, at + line.len()).trimmed(text);
        at += line.len();
        let words = span.of(text);
        if words.is_empty() {
            blank = true;
        } else if words.chars().any(char::is_alphanumeric) {
            out.push((span, blank));
            blank = false;
        }
    }
    out
}

/// The rows of a table; `None` where no column for the basis is announced by a heading.
pub(super) fn table(text: &str, patterns: &Patterns) -> Option<Rows> {
    let lines = lines(text);
    let heading = lines
        .iter()
        .map(|(span, _)| span.of(text).to_lowercase())
        .find(|line| is_heading(line, &patterns.list))?;
    let column = |list| patterns.list.stems(list);
    let basis_first = column(WordList::BasisColumn)
        .filter_map(|w| heading.find(w))
        .min()
        < column(WordList::TextColumn)
            .filter_map(|w| heading.rfind(w))
            .max();
    let mut reader = Reader {
        patterns,
        basis_first,
        out: Rows::default(),
        last: 0,
        state: State::Outside,
        open: false,
        closed_by_number: 0,
    };
    let mut begun = false;
    for (span, blank) in lines {
        let line = span.of(text);
        let lower = line.to_lowercase();
        if lower == heading || is_heading(&lower, &patterns.list) {
            begun = true;
        } else if begun {
            reader.line(line, span, blank);
        } else {
            reader.out.skip(span, blank);
        }
    }
    for row in &mut reader.out.rows {
        row.basis.sort_unstable();
        row.basis.dedup();
    }
    Some(reader.out)
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum State {
    /// Before the first row, and in headings and instructions.
    Outside,
    /// In a row.
    Inside,
    /// Behind the number that closes a row.
    Closed,
}

struct Reader<'p> {
    patterns: &'p Patterns,
    basis_first: bool,
    out: Rows,
    /// The number of the last row.
    last: u32,
    state: State,
    /// The cell of the basis goes on in the next line.
    open: bool,
    /// How many rows ended with their own number in parentheses.
    closed_by_number: usize,
}

impl Reader<'_> {
    fn line(&mut self, line: &str, span: Span, blank: bool) {
        if let Some((number, rest)) = self.row_start(line, blank) {
            self.last = number.max(self.last);
            self.begin(number.to_string(), rest, span);
            return;
        }
        let over = self.state != State::Inside || blank && self.finished();
        // A row that has its number at the end only.
        if over
            && self.basis_first
            && blank
            && prefix(line, false, self.patterns).is_some_and(|c| !c.open)
        {
            self.begin(String::new(), line, span);
            return;
        }
        if self.state == State::Closed
            && !blank
            && whole_cell(line, self.open, self.patterns).is_some()
        {
            self.more(line, span);
            return;
        }
        let belongs = match self.state {
            State::Inside if !blank => true,
            State::Inside => {
                !self.finished() || self.ends_by_number() && !is_instruction(line, self.patterns)
            }
            State::Outside | State::Closed => false,
        };
        if belongs {
            self.more(line, span);
        } else {
            self.state = State::Outside;
            self.open = false;
            self.out.skip(span, blank);
        }
    }

    /// The number of a row and what follows it.
    fn row_start<'l>(&self, line: &'l str, blank: bool) -> Option<(u32, &'l str)> {
        const MOST_LEFT_OUT: u32 = 12;
        let (number, rest) = numbered(line)?;
        let cell = self
            .basis_first
            .then(|| prefix(rest, false, self.patterns))
            .flatten();
        let next = number > self.last && number <= self.last + 1 + MOST_LEFT_OUT;
        let sentence = rest
            .chars()
            .next()
            .is_some_and(|c| c.is_uppercase() || matches!(c, '[' | '"' | '“' | '§'));
        let over = blank || self.state != State::Inside || self.finished();
        let starts = match cell {
            Some(_) => number > self.last,
            None => next && sentence && over,
        };
        starts.then_some((number, rest))
    }

    fn begin(&mut self, item: String, rest: &str, span: Span) {
        self.out.rows.push(Row {
            item,
            basis: Vec::new(),
            note: String::new(),
            text: String::new(),
            span,
        });
        self.state = State::Inside;
        self.open = false;
        self.add(rest, self.basis_first);
    }

    fn more(&mut self, line: &str, span: Span) {
        if let Some(row) = self.out.rows.last_mut() {
            row.span.end = span.end;
        }
        self.add(line, false);
    }

    /// Adds a line to the row: its part of the basis, and its words.
    fn add(&mut self, line: &str, head: bool) {
        let found: Option<(std::ops::Range<usize>, Cell)> = if self.basis_first {
            (head || self.open)
                .then(|| prefix(line, self.open, self.patterns))
                .flatten()
                .map(|cell| (0..cell.end, cell))
        } else {
            suffix(line, self.open, self.patterns).map(|(at, cell)| (at..at + cell.end, cell))
        };
        let Some(row) = self.out.rows.last_mut() else {
            return;
        };
        self.open = false;
        match found {
            Some((range, cell)) => {
                self.open = cell.open;
                row.basis.extend(&cell.letters);
                if !cell.note.is_empty() {
                    join(&mut row.note, &cell.note);
                }
                join(&mut row.text, line.get(..range.start).unwrap_or(""));
                join(&mut row.text, line.get(range.end..).unwrap_or(""));
            }
            None => join(&mut row.text, line),
        }
        if let Some(closing) = closing_number(&row.text)
            && (row.item.is_empty() || row.item == closing.1)
        {
            row.item = closing.1.to_owned();
            self.last = self.last.max(row.item.parse().unwrap_or(0));
            row.text.truncate(closing.0);
            self.state = State::Closed;
            self.closed_by_number += 1;
        }
    }

    /// The words of the row end like a sentence.
    fn finished(&self) -> bool {
        self.out
            .rows
            .last()
            .is_none_or(|r| ends_a_sentence(&r.text))
    }

    /// Rows of this table end with their numbers.
    fn ends_by_number(&self) -> bool {
        self.closed_by_number >= 2 && 2 * self.closed_by_number + 1 >= self.out.rows.len()
    }
}

/// A line that is a cell of the basis and nothing else.
fn whole_cell(line: &str, open: bool, patterns: &Patterns) -> Option<Cell> {
    prefix(line, open, patterns).filter(|c| line.get(c.end..).is_some_and(|r| r.trim().is_empty()))
}

pub(super) fn ends_a_sentence(text: &str) -> bool {
    text.trim_end()
        .ends_with(['.', ':', ';', '"', '”', ')', ']', '\'', '’', '!', '?'])
}

/// The number in parentheses that closes a limitation, with where the words before it end.
pub(super) fn closing_number(text: &str) -> Option<(usize, &str)> {
    let text = text.trim_end();
    let open = text.strip_suffix(')')?.rfind('(')?;
    let number = text.get(open + 1..text.len() - 1)?;
    let before = text.get(..open)?.trim_end();
    ((1..=3).contains(&number.len())
        && number.bytes().all(|b| b.is_ascii_digit())
        && (ends_a_sentence(before) || before.ends_with('_')))
    .then_some((before.len(), number))
}

/// `15`, `15.`, `(15)`, `15 |` at the head of a line, and what follows it.
fn numbered(line: &str) -> Option<(u32, &str)> {
    let line = line.trim_start_matches(['|', '(', '[']).trim_start();
    let digits = line.find(|c: char| !c.is_ascii_digit())?;
    if digits == 0 || digits > 3 {
        return None;
    }
    let rest = line.get(digits..)?;
    let after = rest
        .trim_start_matches([')', ']', '.'])
        .trim_start_matches([' ', '\t', '|', '\u{a0}']);
    // «91.319» and «12-month» start no row.
    if after.len() == rest.len()
        || rest.starts_with('.') && rest.get(1..)?.starts_with(|c: char| c.is_ascii_digit())
    {
        return None;
    }
    Some((line.get(..digits)?.parse().ok()?, after))
}

/// A heading that announces the columns, in small letters.
fn is_heading(line: &str, lists: &WordLists) -> bool {
    line.split_whitespace().count() <= 10
        && !line.contains([';', ','])
        && !line.ends_with('.')
        && lists.within(line, WordList::BasisColumn)
        && lists.within(line, WordList::NumberColumn)
        && lists.within(line, WordList::TextColumn)
}

/// Notes and instructions to the inspector who issues the letter.
pub(super) fn is_instruction(line: &str, patterns: &Patterns) -> bool {
    let line = line.to_lowercase();
    patterns.list.has(&line, WordList::HeadOfInstruction)
        || patterns.list.within(&line, WordList::ToInspector)
}

pub(super) fn join(text: &mut String, more: &str) {
    let more = more.trim_matches([' ', '\t', '|']);
    for word in more.split_whitespace() {
        if !text.is_empty() {
            text.push(' ');
        }
        text.push_str(word);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_in_running_text_starts_no_row() {
        assert_eq!(numbered("15 No person may").map(|r| r.0), Some(15));
        assert_eq!(numbered("15 | No person may").map(|r| r.0), Some(15));
        assert_eq!(numbered("91.319 Operating"), None);
        assert_eq!(numbered("12-month"), None);
    }

    #[test]
    fn the_closing_number_stands_behind_a_sentence() {
        assert_eq!(closing_number("See (12) there. (15)"), Some((15, "15")));
        assert_eq!(closing_number("as in limitation (15)"), None);
    }
}
