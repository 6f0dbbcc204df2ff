//! The text of a part: paragraphs with their numbers, tables row by row, what tracked changes and
//! hidden text leave out.

use super::numbering::Counter;
use super::styles::{InList, Styles};
use super::xml::{Attributes, Node, walk};

/// What was met on the way and has to be told.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Met {
    /// Pieces deleted by tracked changes.
    pub(super) deleted: usize,
    /// Pieces inserted by tracked changes.
    pub(super) inserted: usize,
    /// Pieces of hidden text.
    pub(super) hidden: usize,
    /// Numbers that were worked out.
    pub(super) numbered: usize,
    /// Comments in the margin.
    pub(super) comments: usize,
    /// Whether the part ended in the middle.
    pub(super) damaged: bool,
    /// Whether it holds more characters than are read.
    pub(super) cut: bool,
    /// Whether the program that saved it left marks where its pages ended.
    pub(super) laid_out: bool,
}

/// A cell with this many characters at most is joined to the cell beside it: a number, a label.
const SHORT_CELL: usize = 60;

#[derive(Debug, Default)]
struct Paragraph {
    text: String,
    list: InList,
    style: Option<String>,
    /// Inside its properties.
    properties: bool,
    /// Its end was deleted: the next one goes on where it stops.
    runs_on: bool,
    page_break: bool,
}

#[derive(Debug, Default)]
struct Run {
    style: Option<String>,
    hidden: Option<bool>,
    /// A line goes through it.
    struck: bool,
    properties: bool,
}

/// A table, a text box or the part itself: what gathers paragraphs.
#[derive(Debug, Default)]
struct Block {
    kind: Kind,
    /// Finished paragraphs.
    paragraphs: Vec<String>,
    /// Finished cells of the row.
    cells: Vec<Vec<String>>,
}

#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
enum Kind {
    #[default]
    Part,
    Row,
    Cell,
    Box,
}

struct Writer<'w, 'l> {
    styles: &'w Styles,
    counter: &'w mut Counter<'l>,
    lists: &'w super::numbering::Lists,
    met: Met,
    blocks: Vec<Block>,
    paragraphs: Vec<Paragraph>,
    runs: Vec<Run>,
    /// Depth inside of deletions, fallbacks and instructions.
    left_out: usize,
    /// Inside a deletion.
    deleting: usize,
    /// Text stands in `t` elements only.
    in_text: bool,
    /// The end of a deleted paragraph mark: text before the next paragraph.
    carried: String,
    characters: usize,
    most: usize,
    laid_out: bool,
}

/// Writes a part as plain text: paragraphs parted by blank lines, pages by form feeds.
pub(super) fn write(
    part: &str,
    styles: &Styles,
    lists: &super::numbering::Lists,
    counter: &mut Counter<'_>,
    most: usize,
) -> (String, Met) {
    let mut writer = Writer {
        styles,
        counter,
        lists,
        met: Met::default(),
        blocks: vec![Block::default()],
        paragraphs: Vec::new(),
        runs: Vec::new(),
        left_out: 0,
        deleting: 0,
        in_text: false,
        carried: String::new(),
        characters: 0,
        most,
        laid_out: part.contains("lastRenderedPageBreak"),
    };
    let whole = walk(part, &mut |node| match node {
        Node::Open(name, attributes) => writer.open(name, attributes),
        Node::Close(name) => writer.close(name),
        Node::Text(text) => writer.text(text),
    });
    writer.met.damaged = !whole;
    writer.met.laid_out = writer.laid_out;
    // What a damaged part left open.
    while !writer.paragraphs.is_empty() {
        writer.end_paragraph();
    }
    while writer.blocks.len() > 1 {
        writer.end_block();
    }
    let paragraphs = writer.blocks.pop().unwrap_or_default().paragraphs;
    (paragraphs.join("\n\n"), writer.met)
}

impl Writer<'_, '_> {
    fn open(&mut self, name: &str, a: &Attributes) {
        match name {
            name if is_old(name) => self.left_out += 1,
            "del" | "moveFrom" => {
                if let Some(paragraph) = self.in_properties() {
                    // in the properties of the paragraph mark
                    paragraph.runs_on = true;
                } else {
                    self.met.deleted += 1;
                    self.left_out += 1;
                    self.deleting += 1;
                }
            }
            "ins" | "moveTo" if self.in_properties().is_none() => self.met.inserted += 1,
            _ if self.left_out > 0 => {}
            "p" => self.paragraphs.push(Paragraph::default()),
            "pPr" => {
                if let Some(paragraph) = self.paragraphs.last_mut() {
                    paragraph.properties = true;
                }
            }
            "r" => self.runs.push(Run::default()),
            "rPr" if self.in_properties().is_none() => {
                if let Some(run) = self.runs.last_mut() {
                    run.properties = true;
                }
            }
            "t" => self.in_text = true,
            "tr" => self.start_block(Kind::Row),
            "tc" => self.start_block(Kind::Cell),
            "txbxContent" => self.start_block(Kind::Box),
            "tab" if self.in_properties().is_none() => self.put(" "),
            "br" => match a.get("type") {
                Some("page") if !self.laid_out => self.put("\u{c}"),
                Some("column") => self.put("\n"),
                Some("page") => {}
                _ => self.put("\n"),
            },
            "cr" => self.put("\n"),
            "lastRenderedPageBreak" => self.put("\u{c}"),
            "noBreakHyphen" => self.put("-"),
            "softHyphen" => self.put("\u{ad}"),
            // a sign of a font of signs: which one, only the font knows
            "sym" => self.put("\u{fffd}"),
            "footnoteReference" | "endnoteReference" => {
                let mark = format!("[note {}]", a.get("id").unwrap_or_default());
                self.put(&mark);
            }
            "commentReference" => self.met.comments += 1,
            _ => self.property(name, a),
        }
    }

    /// Properties of a paragraph or a run.
    fn property(&mut self, name: &str, a: &Attributes) {
        if let Some(paragraph) = self.in_properties() {
            match name {
                "numId" => paragraph.list.num = a.val().map(str::to_owned),
                "ilvl" => paragraph.list.level = a.val().and_then(|v| v.parse().ok()),
                "pStyle" => paragraph.style = a.val().map(str::to_owned),
                "pageBreakBefore" => paragraph.page_break = a.on(),
                _ => {}
            }
        } else if let Some(run) = self.runs.last_mut().filter(|r| r.properties) {
            match name {
                "vanish" => run.hidden = Some(a.on()),
                "strike" | "dstrike" => run.struck |= a.on(),
                "rStyle" => run.style = a.val().map(str::to_owned),
                _ => {}
            }
        }
    }

    fn close(&mut self, name: &str) {
        match name {
            name if is_old(name) => self.left_out = self.left_out.saturating_sub(1),
            "del" | "moveFrom" if self.in_properties().is_none() && self.deleting > 0 => {
                self.left_out = self.left_out.saturating_sub(1);
                self.deleting -= 1;
            }
            _ if self.left_out > 0 => {}
            "p" => self.end_paragraph(),
            "pPr" => {
                if let Some(paragraph) = self.paragraphs.last_mut() {
                    paragraph.properties = false;
                }
            }
            "r" => {
                self.runs.pop();
            }
            "rPr" if self.in_properties().is_none() => {
                if let Some(run) = self.runs.last_mut() {
                    run.properties = false;
                }
            }
            "t" => self.in_text = false,
            "tr" | "tc" | "txbxContent" => self.end_block(),
            _ => {}
        }
    }

    /// The paragraph whose properties are being read.
    fn in_properties(&mut self) -> Option<&mut Paragraph> {
        self.paragraphs.last_mut().filter(|p| p.properties)
    }

    fn text(&mut self, text: &str) {
        if self.in_text && self.left_out == 0 {
            // line ends of the file are blanks
            self.put(&text.replace(['\n', '\r', '\u{c}'], " "));
        }
    }

    fn put(&mut self, text: &str) {
        let Some(paragraph) = self.paragraphs.last() else {
            return;
        };
        let run = self.runs.last();
        let hidden = run
            .and_then(|r| r.hidden.or_else(|| self.styles.hides(r.style.as_deref())))
            .unwrap_or_else(|| self.styles.hides_paragraph(paragraph.style.as_deref()));
        if hidden {
            self.met.hidden += usize::from(!text.trim().is_empty());
            return;
        }
        let struck = self.runs.last().is_some_and(|r| r.struck) && !text.trim().is_empty();
        let marked = format!("~~{text}~~");
        // the words stay, between marks: what is in force is told later
        let text = if struck { marked.as_str() } else { text };
        if self.fits(text.len())
            && let Some(paragraph) = self.paragraphs.last_mut()
        {
            paragraph.text.push_str(text);
        }
    }

    /// Whether so many bytes more may be read.
    fn fits(&mut self, bytes: usize) -> bool {
        self.characters = self.characters.saturating_add(bytes);
        let fits = self.characters <= self.most;
        self.met.cut |= !fits;
        fits
    }

    fn end_paragraph(&mut self) {
        let Some(paragraph) = self.paragraphs.pop() else {
            return;
        };
        let words = std::mem::take(&mut self.carried) + &paragraph.text;
        if paragraph.runs_on {
            self.carried = words;
            return;
        }
        let number = self
            .styles
            .list(&paragraph.list, paragraph.style.as_deref(), self.lists)
            .and_then(|(num, level)| self.counter.next(&num, level))
            .filter(|number| self.fits(number.len()))
            .unwrap_or_default();
        let mut line = String::new();
        if paragraph.page_break && !self.laid_out {
            line.push('\u{c}');
        }
        if !number.is_empty() {
            self.met.numbered += 1;
            // the page may end before the number
            let begins = words.trim_start_matches([' ', '\u{c}']);
            if words[..words.len() - begins.len()].contains('\u{c}') {
                line.push('\u{c}');
            }
            line.push_str(&number);
            line.push(' ');
            line.push_str(begins);
        } else {
            line.push_str(&words);
        }
        if let Some(block) = self.blocks.last_mut()
            && (!line.trim_matches([' ', '\n']).is_empty())
        {
            block.paragraphs.push(line);
        }
    }

    fn start_block(&mut self, kind: Kind) {
        self.blocks.push(Block {
            kind,
            ..Block::default()
        });
    }

    fn end_block(&mut self) {
        if self.blocks.len() < 2 {
            return;
        }
        let Some(block) = self.blocks.pop() else {
            return;
        };
        let Some(outer) = self.blocks.last_mut() else {
            return;
        };
        match block.kind {
            Kind::Cell if outer.kind == Kind::Row => outer.cells.push(block.paragraphs),
            Kind::Row => outer.paragraphs.extend(row(block)),
            _ => outer.paragraphs.extend(block.paragraphs),
        }
    }
}

/// What stands in a file for older programs, and properties as they were before a change.
fn is_old(name: &str) -> bool {
    matches!(
        name,
        "Fallback" | "pPrChange" | "rPrChange" | "trPrChange" | "tcPrChange" | "sectPrChange"
    )
}

/// A row of a table: a short cell stands on one line with the cell beside it.
fn row(block: Block) -> Vec<String> {
    let mut out = block.paragraphs;
    let mut open: Option<String> = None;
    for cell in block.cells {
        let mut cell = cell.into_iter();
        let Some(first) = cell.next() else { continue };
        let first = match open.take() {
            Some(before) => format!("{before} {first}"),
            None => first,
        };
        let rest: Vec<String> = cell.collect();
        if rest.is_empty() && first.chars().count() <= SHORT_CELL {
            open = Some(first);
        } else {
            out.push(first);
            out.extend(rest);
        }
    }
    out.extend(open);
    out
}
