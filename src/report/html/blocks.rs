//! Building blocks: paragraphs, lists, tables.

use super::inert::{Html, piece, text};
use crate::model::Verdict;
use crate::report::words;

/// An element; the tag and the class are this program's own words.
pub(super) fn element(tag: &'static str, class: &'static str, inner: &Html) -> Html {
    let class = if class.is_empty() {
        String::new()
    } else {
        format!(" class=\"{class}\"")
    };
    Html::own(format!("<{tag}{class}>{}</{tag}>", inner.as_str()))
}

/// A paragraph.
#[must_use]
pub fn p(inner: &Html) -> Html {
    block(element("p", "", inner))
}

/// A paragraph with a class of the style sheet (`style.css`).
#[must_use]
pub fn classed(class: &'static str, inner: &Html) -> Html {
    block(element("p", class, inner))
}

/// A box with a class of the style sheet.
#[must_use]
pub fn div(class: &'static str, inner: &Html) -> Html {
    block(element("div", class, inner))
}

/// What counts most.
#[must_use]
pub fn strong(words: &str) -> Html {
    element("strong", "", &text(words))
}

/// What counts most, in words that are markup already.
#[must_use]
pub fn bold(words: &Html) -> Html {
    element("strong", "", words)
}

/// Words of a letter, as a block.
#[must_use]
pub fn block_quote(words: &Html) -> Html {
    block(element("blockquote", "", words))
}

/// The word of an answer; its shape goes with it (`style.css`), the word alone says it all.
#[must_use]
pub fn verdict(answer: Verdict) -> Html {
    let class = match answer {
        Verdict::Yes => "said yes",
        Verdict::No => "said no",
        Verdict::Disputed => "said disputed",
        Verdict::Undetermined => "said open",
    };
    element("strong", class, &text(words::verdict(answer)))
}

/// What one looks up only: places, ids.
#[must_use]
pub fn small(words: &str) -> Html {
    element("small", "", &text(words))
}

/// A name of a file, which may be broken where its parts end.
#[must_use]
pub fn path(name: &str) -> Html {
    const LONGEST: usize = 16;
    let mut out = Html::own("<bdi>");
    let mut part = String::new();
    for c in name.chars() {
        part.push(c);
        let ends = matches!(c, '/' | '\\' | '_' | '-' | '.');
        if ends || part.chars().count() == LONGEST {
            out.push(&piece(&part));
            out.push(&Html::own("<wbr>"));
            part.clear();
        }
    }
    out.push(&piece(&part));
    out.push(&Html::own("</bdi>"));
    out
}

/// A heading of level 1 to 4.
#[must_use]
pub fn heading(level: u8, words: &str) -> Html {
    let level = level.clamp(1, 4);
    block(Html::own(format!(
        "<h{level}>{}</h{level}>",
        text(words).as_str()
    )))
}

/// A part of the page with a heading of level 2 and an anchor. The anchor is made of letters,
/// digits and hyphens; anything else in it is left out.
#[must_use]
pub fn section(anchor: &str, title: &str, body: &Html) -> Html {
    block(Html::own(format!(
        "<section id=\"{0}\" aria-labelledby=\"{0}-title\">\n<h2 id=\"{0}-title\">{1}</h2>\n{2}</section>",
        plain(anchor),
        text(title).as_str(),
        body.as_str(),
    )))
}

/// What is closed until it is asked for; a link into it opens it. On paper it is left out.
#[must_use]
pub fn fold(summary: &str, inner: &Html) -> Html {
    if inner.is_empty() {
        return Html::new();
    }
    let mut all = element("summary", "", &text(summary));
    all.push(inner);
    block(element("details", "", &all))
}

/// A link to an anchor of the same page. There are no other links: a page never leads out.
#[must_use]
pub fn link(anchor: &str, words: &Html) -> Html {
    Html::own(format!(
        "<a href=\"#{}\">{}</a>",
        plain(anchor),
        words.as_str()
    ))
}

/// An anchor as it may stand in an attribute.
pub(super) fn plain(anchor: &str) -> String {
    anchor
        .chars()
        .filter(|c| c.is_ascii_alphanumeric() || *c == '-')
        .collect()
}

/// A list without order; nothing for no items.
#[must_use]
pub fn list(items: impl IntoIterator<Item = Html>) -> Html {
    items_of("ul", items)
}

/// Things to tick, each with its box; nothing for no items.
#[must_use]
pub fn ticks(items: impl IntoIterator<Item = Html>) -> Html {
    let boxed = |item: Html| {
        let mut out = Html::own("\u{2610} ".to_owned());
        out.push(&item);
        out
    };
    let list = items_of("ul", items.into_iter().map(boxed));
    if list.is_empty() {
        return list;
    }
    div("ticks", &list)
}

/// A numbered list; nothing for no items.
#[must_use]
pub fn steps(items: impl IntoIterator<Item = Html>) -> Html {
    items_of("ol", items)
}

fn items_of(tag: &'static str, items: impl IntoIterator<Item = Html>) -> Html {
    let items: Vec<String> = items
        .into_iter()
        .map(|item| format!("<li>{}</li>\n", item.as_str()))
        .collect();
    if items.is_empty() {
        return Html::new();
    }
    block(Html::own(format!("<{tag}>\n{}</{tag}>", items.concat())))
}

/// Terms with what is said of them; nothing for no pairs.
#[must_use]
pub fn definitions(pairs: impl IntoIterator<Item = (Html, Html)>) -> Html {
    let pairs: Vec<String> = pairs
        .into_iter()
        .map(|(term, said)| {
            format!(
                "<div><dt>{}</dt><dd>{}</dd></div>\n",
                term.as_str(),
                said.as_str()
            )
        })
        .collect();
    if pairs.is_empty() {
        return Html::new();
    }
    block(Html::own(format!("<dl>\n{}</dl>", pairs.concat())))
}

/// A table: a caption, a head, and rows whose first cell names the row.
#[derive(Clone, Debug)]
pub struct Table {
    caption: String,
    head: Vec<String>,
    rows: Vec<Vec<Html>>,
    numbers: Vec<usize>,
    hidden_caption: bool,
}

impl Table {
    /// An empty table.
    #[must_use]
    pub fn new(caption: &str, head: &[&str]) -> Self {
        Self {
            caption: caption.to_owned(),
            head: head.iter().map(|h| (*h).to_owned()).collect(),
            rows: Vec::new(),
            numbers: Vec::new(),
            hidden_caption: false,
        }
    }

    /// Sets these columns flush right: numbers.
    #[must_use]
    pub fn numbers(mut self, columns: &[usize]) -> Self {
        self.numbers = columns.to_vec();
        self
    }

    /// Keeps the caption for those who listen: a heading above says the same to the eye.
    #[must_use]
    pub const fn quiet_caption(mut self) -> Self {
        self.hidden_caption = true;
        self
    }

    /// Adds a row.
    pub fn row(&mut self, cells: impl IntoIterator<Item = Html>) {
        self.rows.push(cells.into_iter().collect());
    }

    /// The markup. A table wider than the page scrolls in itself, by keyboard too.
    #[must_use]
    pub fn html(&self) -> Html {
        let number = |column: usize| {
            if self.numbers.contains(&column) {
                " class=\"number\""
            } else {
                ""
            }
        };
        let mut out = format!(
            "<div class=\"table\" role=\"region\" tabindex=\"0\" aria-label=\"{0}\">\n<table>\n\
             <caption{1}>{0}</caption>\n<thead><tr>",
            text(&self.caption).as_str(),
            if self.hidden_caption {
                " class=\"unseen\""
            } else {
                ""
            },
        );
        for (column, head) in self.head.iter().enumerate() {
            out.push_str(&format!(
                "<th scope=\"col\"{}>{}</th>",
                number(column),
                text(head).as_str()
            ));
        }
        out.push_str("</tr></thead>\n<tbody>\n");
        for row in &self.rows {
            out.push_str("<tr>");
            for (column, cell) in row.iter().enumerate() {
                let (tag, scope) = if column == 0 {
                    ("th", " scope=\"row\"")
                } else {
                    ("td", "")
                };
                out.push_str(&format!(
                    "<{tag}{scope}{}>{}</{tag}>",
                    number(column),
                    cell.as_str()
                ));
            }
            out.push_str("</tr>\n");
        }
        out.push_str("</tbody>\n</table>\n</div>");
        block(Html::own(out))
    }
}

/// A block ends its line, so that the source can be read.
pub(super) fn block(html: Html) -> Html {
    Html::own(format!("{}\n", html.as_str()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_table_has_caption_heads_and_inert_cells() {
        let mut table = Table::new("a \"b\"", &["<Who>", "n"]).numbers(&[1]);
        table.row([text("<i>"), text("1")]);
        let html = table.html();
        let html = html.as_str();
        assert!(
            html.contains("<caption>a &quot;b&quot;</caption>"),
            "{html}"
        );
        assert!(
            html.contains("<th scope=\"col\">&lt;Who&gt;</th>"),
            "{html}"
        );
        assert!(
            html.contains("<th scope=\"row\">&lt;i&gt;</th><td class=\"number\">1</td>"),
            "{html}"
        );
    }

    #[test]
    fn a_name_of_a_file_keeps_its_characters_and_may_break() {
        assert_eq!(
            path("club/N0 <a>-2.pdf").as_str(),
            "<bdi>club/<wbr>N0 &lt;a&gt;-<wbr>2.<wbr>pdf</bdi>"
        );
    }

    #[test]
    fn an_anchor_cannot_leave_its_attribute() {
        assert_eq!(
            link("a\" onclick=\"x", &text("y")).as_str(),
            "<a href=\"#aonclickx\">y</a>"
        );
    }
}
