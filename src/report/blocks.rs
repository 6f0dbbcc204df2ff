//! What a paper to hand in is made of, whatever file it becomes: a word processor's ([`super::docx`])
//! or a page.

use super::first::Words;
use super::html::{self, Html};

/// A part of a paper.
#[derive(Clone, Debug, PartialEq)]
pub enum Block {
    /// The heading of the paper.
    Title(String),
    /// The heading of a part.
    Heading(String),
    /// A paragraph; what decides in it is set in bold type.
    Para(Vec<Words>),
    /// Words of the letter.
    Quote(Vec<Words>),
    /// A list without order.
    List(Vec<Vec<Words>>),
    /// A table; the first cell of a row names it.
    Table(Rows),
}

/// A table.
#[derive(Clone, Debug, PartialEq)]
pub struct Rows {
    /// What the table says, for those who do not see it.
    pub caption: &'static str,
    /// The heads of the columns.
    pub head: Vec<&'static str>,
    /// Widths of the columns, in hundredths of the line.
    pub widths: Vec<u32>,
    /// The cells, row by row.
    pub rows: Vec<Vec<Vec<Words>>>,
}

/// Words that decide nothing.
#[must_use]
pub fn plain(text: &str) -> Vec<Words> {
    vec![Words {
        text: text.to_owned(),
        deciding: false,
    }]
}

/// Words in bold type.
#[must_use]
pub fn bold(text: &str) -> Words {
    Words {
        text: text.to_owned(),
        deciding: true,
    }
}

/// A label in bold type, and what is said under it.
#[must_use]
pub fn labelled(label: &str, said: &str) -> Vec<Words> {
    let mut out = vec![bold(&format!("{label}:"))];
    out.extend(plain(&format!(" {said}")));
    out
}

/// The blocks as the body of a page.
#[must_use]
pub fn body(blocks: &[Block]) -> Html {
    let mut out = Html::new();
    for block in blocks {
        out.push(&match block {
            Block::Title(words) => html::heading(1, words),
            Block::Heading(words) => html::heading(2, words),
            Block::Para(words) => html::p(&inline(words)),
            Block::Quote(words) => html::block_quote(&inline(words)),
            Block::List(items) => html::list(items.iter().map(|item| inline(item))),
            Block::Table(table) => {
                let mut made = html::Table::new(table.caption, &table.head).quiet_caption();
                for row in &table.rows {
                    made.row(row.iter().map(|cell| inline(cell)));
                }
                made.html()
            }
        });
    }
    out
}

fn inline(words: &[Words]) -> Html {
    words
        .iter()
        .map(|piece| {
            let said = html::piece(&piece.text);
            if piece.deciding {
                html::bold(&said)
            } else {
                said
            }
        })
        .collect()
}

/// A sentence without what a reader types in a terminal: nobody does on paper.
#[must_use]
pub fn without_commands(said: &str) -> String {
    let mut out = String::new();
    let mut rest = said;
    while let Some(at) = rest.find(['(', ';']) {
        let (before, behind) = rest.split_at(at);
        let aside = behind.starts_with('(');
        let end = if aside {
            behind.find(')').map_or(behind.len(), |n| n + 1)
        } else {
            behind.find('.').unwrap_or(behind.len())
        };
        let (piece, after) = behind.split_at(end);
        if piece.contains('`') {
            out.push_str(before.trim_end());
        } else {
            out.push_str(before);
            out.push_str(piece);
        }
        rest = after;
    }
    out.push_str(rest);
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_to_type_stands_on_paper() {
        for (said, want) in [
            (
                "say what you know (`whomay who LETTER --ask` asks for it).",
                "say what you know.",
            ),
            (
                "ask the FAA office which words hold, before the work starts; `whomay request \
                 LETTER` drafts the questions.",
                "ask the FAA office which words hold, before the work starts.",
            ),
            ("look (at it); then ask.", "look (at it); then ask."),
        ] {
            assert_eq!(without_commands(said), want);
        }
    }
}
