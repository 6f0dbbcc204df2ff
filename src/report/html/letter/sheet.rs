//! The letter's full text, page by page, with its deciding words marked.

use super::marks::{Statement, anchor};
use super::picture::{PageImage, figure};
use super::{Page, clause_anchor, file_name};
use crate::model::{self, Span};
use crate::report::clauses::{self, Clause, Compared};
use crate::report::diff::change_lines;
use crate::report::html::inert::piece;
use crate::report::html::{Html, fold, link, list, marked, p, text};
use crate::report::words;

/// Text read with less than this is shown as doubtful.
const SURE: f32 = 0.9;
/// As many doubtful pieces are named below a clause.
const DOUBTS: usize = 6;
/// Lines up to here are lines of a form or a letterhead and stay lines.
const SHORT_LINE: usize = 58;

/// A stretch of the letter: a clause, or what stands between two.
struct Block {
    clause: Option<usize>,
    span: Span,
}

pub(super) fn letter(page: &Page<'_>, pictures: &[PageImage<'_>]) -> Html {
    let report = page.report;
    let content = &report.text.content;
    let mut out = p(&text(
        "The text as it was read, with nothing left out but running heads and page numbers. \
         Underlined words decide; each leads to the first statement that rests on it, and all of \
         them stand below the clause, with the standard wording that is nearest.",
    ));
    if let Some(said) = clauses::compared_with(report) {
        out.push(&p(&text(&said)));
    }
    let beside = clauses::clauses(report);
    let mut leaf: Option<(u16, u32)> = None;
    let several = report.text.pages() > 1 || !pictures.is_empty();
    let mut open = Html::new();
    for block in blocks(page) {
        let place = report.text.place(block.span.trimmed(content).start);
        let here = (place.source, place.page);
        if leaf != Some(here) {
            out.push(&close(&mut open, leaf, pictures, page, several));
            leaf = Some(here);
        }
        open.push(&one(page, &block, beside.as_slice()));
    }
    out.push(&close(&mut open, leaf, pictures, page, several));
    out
}

/// Ends a page of the letter: its heading, its picture, its text.
fn close(
    open: &mut Html,
    leaf: Option<(u16, u32)>,
    pictures: &[PageImage<'_>],
    page: &Page<'_>,
    several: bool,
) -> Html {
    let body = std::mem::take(open);
    let Some((source, number)) = leaf else {
        return body;
    };
    let mut out = Html::new();
    if several {
        let sources = &page.report.text.sources;
        let file = match sources.get(usize::from(source)) {
            Some(file) if sources.len() > 1 => format!(", {}", file_name(&file.name)),
            _ => String::new(),
        };
        out.push(&Html::own(format!(
            "<h3 class=\"leaf\">Page {number}<bdi>{}</bdi></h3>\n",
            text(&file).as_str()
        )));
    }
    let image = pictures
        .iter()
        .find(|i| (i.source, i.page) == (source, number));
    match image {
        Some(image) => {
            out.push(&Html::own("<div class=\"pictured\">\n"));
            out.push(&figure(page, image));
            out.push(&Html::own("<div class=\"sheet\">\n"));
            out.push(&body);
            out.push(&Html::own("</div>\n</div>\n"));
        }
        None => {
            out.push(&Html::own("<div class=\"sheet\">\n"));
            out.push(&body);
            out.push(&Html::own("</div>\n"));
        }
    }
    out
}

/// The letter cut into clauses and what stands between them; every byte is in one block.
fn blocks(page: &Page<'_>) -> Vec<Block> {
    let content = &page.report.text.content;
    let mut blocks = Vec::new();
    let mut at = 0;
    let gap = |blocks: &mut Vec<Block>, start: usize, end: usize| {
        let span = Span::new(start, end);
        if !span.of(content).trim().is_empty() {
            blocks.push(Block { clause: None, span });
        }
    };
    for (n, clause) in page.report.letter.clauses.iter().enumerate() {
        let start = clause.span.start.max(at);
        let end = clause.span.end.min(content.len());
        if start >= end {
            continue;
        }
        gap(&mut blocks, at, start);
        blocks.push(Block {
            clause: Some(n),
            span: Span::new(start, end),
        });
        at = end;
    }
    gap(&mut blocks, at, content.len());
    blocks
}

fn one(page: &Page<'_>, block: &Block, clauses: &[Clause<'_>]) -> Html {
    let clause = block.clause.and_then(|n| clauses.get(n));
    let level = clause.map_or(1, |c| c.clause.level.clamp(1, 5));
    let id = block
        .clause
        .map_or_else(String::new, |n| format!(" id=\"{}\"", clause_anchor(n)));
    let level = match level {
        1 => String::new(),
        level => format!(" level-{level}"),
    };
    let mut out = Html::own(format!("<div class=\"clause{level}\"{id}>\n"));
    out.push(&paragraphs(page, block.span, clause.map(|c| c.clause)));
    let mut said: Vec<Html> = Vec::new();
    said.extend(rests(page, block.span).map(|line| p(&line)));
    if let Some(clause) = clause {
        let reads_as = clause.reads_as();
        if !reads_as.is_empty() {
            said.push(p(&text(&format!("Reads as: {reads_as}."))));
        }
        said.extend(clause.compared.as_ref().map(compared));
    }
    said.extend(doubts(page, block.span).map(|line| p(&line)));
    if !said.is_empty() {
        let said: Html = said.into_iter().collect();
        out.push(&fold("On these words", &said));
    }
    out.push(&Html::own("</div>\n"));
    out
}

/// The statements that rest on the words of a span; words with the same statements together.
fn rests(page: &Page<'_>, span: Span) -> Option<Html> {
    let mut groups: Vec<(&[Statement], Vec<Html>)> = Vec::new();
    for (n, deciding) in page.marks.within(span) {
        // Words that began in the clause before are listed there.
        if deciding.span.start < span.start {
            continue;
        }
        let words = shortened(&page.report.view().words(deciding.span));
        let quoted = Html::own(format!("<q>{}</q>", text(&words).as_str()));
        let quoted = link(&anchor(n), &quoted);
        let statements = deciding.statements.as_slice();
        match groups.iter_mut().find(|(known, _)| *known == statements) {
            Some((_, words)) => words.push(quoted),
            None => groups.push((statements, vec![quoted])),
        }
    }
    if groups.is_empty() {
        return None;
    }
    let comma = Html::own(", ");
    let said = groups.into_iter().map(|(statements, words)| {
        let mut group = Html::own("On ");
        group.push(&Html::joined(words, &comma));
        group.push(&Html::own(if statements.len() == 1 {
            " rests "
        } else {
            " rest "
        }));
        let links = statements.iter().map(|(to, said)| link(to, &text(said)));
        group.push(&Html::joined(links, &comma));
        group.push(&Html::own("."));
        group
    });
    Some(Html::joined(said, &Html::own(" ")))
}

/// Long words by their beginning.
fn shortened(words: &str) -> String {
    const LONGEST: usize = 48;
    if words.chars().count() <= LONGEST {
        return words.to_owned();
    }
    let head: String = words.chars().take(LONGEST).collect();
    let head = head.rsplit_once(' ').map_or(head.as_str(), |(h, _)| h);
    format!("{head} …")
}

fn compared(compared: &Compared<'_>) -> Html {
    let Compared { wording, diff, .. } = compared;
    if diff.same {
        return p(&text(&format!("Same words as {wording}.")));
    }
    let changes = change_lines(diff, |d| d.material);
    if changes.is_empty() {
        return p(&text(&format!(
            "Like {wording}; no difference that matters."
        )));
    }
    let matters = compared.matters();
    let mut out = p(&text(&format!("Nearest is {wording}: {matters}.")));
    out.push(&list(
        changes
            .iter()
            .map(|line| text(&words::sentence(&words::capital(line)))),
    ));
    out
}

/// What was read there with doubt.
fn doubts(page: &Page<'_>, span: Span) -> Option<Html> {
    let found: Vec<_> = page
        .report
        .text
        .doubts
        .iter()
        .filter(|d| d.confidence < SURE && d.span.overlaps(span))
        .collect();
    if found.is_empty() {
        return None;
    }
    let named: Vec<String> = found
        .iter()
        .take(DOUBTS)
        .map(|d| {
            format!(
                "\"{}\" ({:.0} %)",
                shortened(&page.report.view().words(d.span)),
                d.confidence * 100.0
            )
        })
        .collect();
    let more = match found.len().saturating_sub(DOUBTS) {
        0 => String::new(),
        n => format!(" and {n} more"),
    };
    Some(text(&format!(
        "Read with doubt: {}{more}.",
        named.join(", ")
    )))
}

/// The paragraphs of a block. Lines of running text are filled, short lines stay.
fn paragraphs(page: &Page<'_>, span: Span, clause: Option<&model::Clause>) -> Html {
    let content = &page.report.text.content;
    let marks = page.marks.marks(span);
    let run = |span: Span| turned(page, span, &marks);
    let label = clause
        .and_then(|c| c.number.as_ref())
        .map(|n| n.span)
        .filter(|s| {
            span.contains(*s) && Span::new(span.start, s.start).of(content).trim().is_empty()
        });
    let mut out = Html::new();
    for (n, paragraph) in cut(content, span, "\n\n").into_iter().enumerate() {
        let mut rest = paragraph;
        let mut inner = Html::new();
        if n == 0
            && let Some(label) = label
        {
            inner.push(&Html::own("<span class=\"label\">"));
            inner.push(&text(label.of(content)));
            inner.push(&Html::own("</span> "));
            rest.start = label.end.min(rest.end);
        }
        let lines = cut(content, rest, "\n");
        let short = label.is_none()
            && lines.len() > 1
            && lines
                .iter()
                .all(|l| l.of(content).chars().count() <= SHORT_LINE);
        if short {
            inner.push(&Html::joined(
                lines.into_iter().map(run),
                &Html::own("<br>"),
            ));
        } else {
            inner.push(&run(rest));
        }
        if !inner.is_empty() {
            let class = if n == 0 && label.is_some() {
                " class=\"hung\""
            } else {
                ""
            };
            out.push(&Html::own(format!("<p{class}>{}</p>\n", inner.as_str())));
        }
    }
    out
}

/// The pieces of a span between separators, without empty ones.
fn cut(content: &str, span: Span, separator: &str) -> Vec<Span> {
    let mut pieces = Vec::new();
    let mut at = span.start;
    for piece in span.of(content).split(separator) {
        let found = Span::new(at, at + piece.len());
        at = found.end + separator.len();
        if !piece.trim().is_empty() {
            pieces.push(found.trimmed(content));
        }
    }
    pieces
}

/// A running text with its marks, and with a word where a new page begins in the middle of it.
fn turned(page: &Page<'_>, span: Span, marks: &[super::super::Mark]) -> Html {
    let whole = &page.report.text;
    let first = whole.anchors.partition_point(|a| a.at <= span.start);
    let mut place = whole.place(span.start);
    let mut out = Html::new();
    let mut at = span.start;
    for anchor in whole.anchors.get(first..).unwrap_or_default() {
        if anchor.at >= span.end {
            break;
        }
        if (anchor.source, anchor.page) != (place.source, place.page) {
            place.source = anchor.source;
            place.page = anchor.page;
            out.push(&marked(&whole.content, Span::new(at, anchor.at), marks));
            out.push(&Html::own(" <span class=\"turn\">[page "));
            out.push(&piece(&anchor.page.to_string()));
            out.push(&Html::own("]</span> "));
            at = anchor.at;
        }
    }
    out.push(&marked(&whole.content, Span::new(at, span.end), marks));
    out
}
