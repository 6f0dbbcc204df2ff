//! Items of an order's numbered list, of a list whose items end with their numbers, and of plain
//! paragraphs.

use super::order_basis::of_heading;
use super::order_rows::{Row, Rows, closing_number, ends_a_sentence, is_instruction, join, lines};
use crate::model::Span;
use crate::patterns::Patterns;

/// How a number is set: `(1)`, `1.`, `1)`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Style {
    Brackets,
    Stop,
    Bracket,
}

/// A paragraph.
#[derive(Debug)]
struct Paragraph {
    span: Span,
    number: Option<(Style, u32)>,
    words: String,
}

/// The items of a text without a table.
pub(super) fn list(text: &str, patterns: &Patterns) -> Rows {
    let paragraphs = paragraphs(text, patterns);
    let count = |style: Style| {
        paragraphs
            .iter()
            .filter(|p| p.number.is_some_and(|n| n.0 == style))
            .count()
    };
    let style = [Style::Brackets, Style::Stop, Style::Bracket]
        .into_iter()
        .max_by_key(|s| (count(*s), std::cmp::Reverse(*s)))
        .filter(|s| count(*s) >= 2);
    match style {
        Some(style) => numbered(&paragraphs, style, patterns),
        None => unnumbered(&paragraphs, patterns),
    }
}

/// Runs of lines; a number at the head of a line starts a paragraph where a sentence has ended
/// before it.
fn paragraphs(text: &str, patterns: &Patterns) -> Vec<Paragraph> {
    let mut out: Vec<Paragraph> = Vec::new();
    for (span, blank) in lines(text) {
        let line = span.of(text);
        let number = label(line);
        let before = out.last().map_or("", |p| p.words.as_str());
        let over = ends_a_sentence(before);
        let starts = out.is_empty()
            // A page may end in the middle of a sentence.
            || blank && (over || number.is_some() || is_heading(before) || !goes_on(line))
            || over && (number.is_some() || item_letter(line) || is_instruction(line, patterns));
        if starts {
            out.push(Paragraph {
                span,
                number: number.map(|(style, n, _)| (style, n)),
                words: String::new(),
            });
        }
        if let Some(last) = out.last_mut() {
            last.span.end = span.end;
            let words = match number.filter(|_| starts) {
                Some((_, _, rest)) => rest,
                None => line,
            };
            join(&mut last.words, words);
        }
    }
    out
}

fn goes_on(line: &str) -> bool {
    line.starts_with(|c: char| c.is_lowercase())
}

/// A number at the head of a line, and what follows it.
fn label(line: &str) -> Option<(Style, u32, &str)> {
    let (bracket, rest) = match line.strip_prefix('(') {
        Some(rest) => (true, rest),
        None => (false, line),
    };
    let digits = rest.find(|c: char| !c.is_ascii_digit())?;
    let number = rest.get(..digits).filter(|d| (1..=3).contains(&d.len()))?;
    let after = rest.get(digits..)?;
    let style = match after.chars().next()? {
        ')' if bracket => Style::Brackets,
        ')' => Style::Bracket,
        '.' if !bracket => Style::Stop,
        _ => return None,
    };
    let words = after.get(1..)?;
    (words.starts_with(char::is_whitespace) && words.trim_start().len() > 1).then_some((
        style,
        number.parse().ok()?,
        words.trim_start(),
    ))
}

/// `(a)` at the head of a paragraph.
fn item_letter(words: &str) -> bool {
    let mut chars = words.chars();
    chars.next() == Some('(')
        && chars.next().is_some_and(|c| c.is_ascii_lowercase())
        && chars.next() == Some(')')
}

fn is_heading(words: &str) -> bool {
    let (mut capitals, mut letters) = (0, 0);
    for c in words.chars().filter(|c| c.is_alphabetic()) {
        letters += 1;
        capitals += usize::from(c.is_uppercase());
    }
    letters > 0 && capitals * 10 >= letters * 7
}

/// The items of a list whose numbers stand in front.
fn numbered(paragraphs: &[Paragraph], style: Style, patterns: &Patterns) -> Rows {
    let mut list = Numbered {
        patterns,
        paragraphs,
        style,
        rows: Rows::default(),
        last: 0,
        basis: Vec::new(),
        inside: false,
        heading: true,
    };
    let mut n = 0;
    while let Some(paragraph) = paragraphs.get(n) {
        n += list.take(n, paragraph);
    }
    list.rows
}

/// A numbered list as far as it was read.
struct Numbered<'p> {
    patterns: &'p Patterns,
    paragraphs: &'p [Paragraph],
    style: Style,
    rows: Rows,
    /// The number of the last item.
    last: u32,
    /// The basis that the headings above name.
    basis: Vec<char>,
    /// Sub-items and quoted statements may follow.
    inside: bool,
    /// A heading stands between the last item and here.
    heading: bool,
}

impl Numbered<'_> {
    /// Takes the paragraph at `n`, with those that go with it; how many that were.
    fn take(&mut self, n: usize, paragraph: &Paragraph) -> usize {
        let number = paragraph.number.filter(|p| p.0 == self.style).map(|p| p.1);
        let nested =
            number.is_some_and(|k| k <= self.last && !self.heading && self.later(n, self.last + 1));
        match number {
            Some(number) if !nested => {
                self.last = number;
                self.heading = false;
                self.inside = true;
                self.rows.rows.push(Row {
                    item: number.to_string(),
                    basis: self.basis.clone(),
                    note: String::new(),
                    text: paragraph.words.clone(),
                    span: paragraph.span,
                });
                1
            }
            _ if self.inside && (nested || item_letter(&paragraph.words)) => {
                self.sub_items(n, nested)
            }
            _ => {
                self.unnumbered(paragraph);
                1
            }
        }
    }

    /// Whether the number comes further down, before the next heading.
    fn later(&self, n: usize, number: u32) -> bool {
        self.paragraphs
            .get(n + 1..)
            .into_iter()
            .flatten()
            .take_while(|p| p.number.is_some() || !is_heading(&p.words))
            .any(|p| p.number == Some((self.style, number)))
    }

    /// Sub-items go with the item, unless one of them speaks to the inspector; how many they are.
    fn sub_items(&mut self, n: usize, nested: bool) -> usize {
        let group = self
            .paragraphs
            .get(n..)
            .into_iter()
            .flatten()
            .take_while(|p| p.number.is_none() && item_letter(&p.words) || nested)
            .take_while(|p| p.number.is_none_or(|k| k.1 != self.last + 1))
            .count()
            .max(1);
        let members = self.paragraphs.get(n..n + group).unwrap_or_default();
        let spoken = members
            .iter()
            .any(|p| is_instruction(&p.words, self.patterns));
        for member in members {
            match self.rows.rows.last_mut().filter(|_| !spoken) {
                Some(row) => {
                    let marked = member.number.map(|k| format!("({})", k.1));
                    join(&mut row.text, &marked.unwrap_or_default());
                    join(&mut row.text, &member.words);
                    row.span.end = member.span.end;
                }
                None => self.rows.skip(member.span, true),
            }
        }
        group
    }

    /// A paragraph without a number: what the item announced, or a heading, or neither.
    fn unnumbered(&mut self, paragraph: &Paragraph) {
        let words = &paragraph.words;
        let quoted = words.starts_with(['"', '“']);
        match self.rows.rows.last_mut() {
            Some(row)
                if self.inside
                    && (row.text.ends_with(':') || !ends_a_sentence(&row.text))
                    && (quoted || goes_on(words)) =>
            {
                join(&mut row.text, words);
                row.span.end = paragraph.span.end;
            }
            _ => {
                let of = of_heading(words, self.patterns);
                let leads = is_heading(words) || words.ends_with(':');
                self.heading |= leads;
                if leads && !of.is_empty() {
                    self.basis = of;
                }
                self.inside = false;
                self.rows.skip(paragraph.span, true);
            }
        }
    }
}

/// Items that end with their number, or, where none does, every paragraph that is a sentence.
fn unnumbered(paragraphs: &[Paragraph], patterns: &Patterns) -> Rows {
    let mut out = Rows::default();
    let at_end = paragraphs
        .iter()
        .filter(|p| closing_number(&p.words).is_some())
        .count()
        >= 2;
    let mut next = 0;
    for paragraph in paragraphs {
        let words = &paragraph.words;
        let item = match closing_number(words) {
            Some((end, number)) if at_end => Some((number.to_owned(), end)),
            _ if at_end || !ends_a_sentence(words) || is_heading(words) => None,
            _ => {
                next += 1;
                Some((format!("p{next}"), words.len()))
            }
        };
        match item.filter(|_| !is_instruction(words, patterns)) {
            Some((item, end)) => out.rows.push(Row {
                item,
                basis: Vec::new(),
                note: String::new(),
                text: words.get(..end).unwrap_or(words).to_owned(),
                span: paragraph.span,
            }),
            None => out.skip(paragraph.span, true),
        }
    }
    out
}
