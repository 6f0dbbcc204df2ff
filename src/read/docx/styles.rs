//! Styles, as far as they decide what stands in the text: lists that stand in a style, and text
//! that is hidden.

use std::collections::BTreeMap;

use super::numbering::Lists;
use super::xml::{Node, walk};

/// A style may rest on another one, and that on another.
const DEEPEST: usize = 32;

/// The list and level that a paragraph or style names; either may come from below.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct InList {
    /// The use of a list; `0` takes the paragraph out of the list of its style.
    pub(super) num: Option<String>,
    /// The level, from 0.
    pub(super) level: Option<usize>,
}

#[derive(Debug, Default)]
struct Style {
    on: Option<String>,
    list: InList,
    hidden: Option<bool>,
}

/// The styles of a file by their ids.
#[derive(Debug, Default)]
pub(super) struct Styles {
    styles: BTreeMap<String, Style>,
    /// The style of paragraphs that name none.
    default: Option<String>,
}

impl Styles {
    /// Reads `styles.xml`.
    pub(super) fn read(part: &str) -> Self {
        let mut styles = Self::default();
        let mut at: Option<String> = None;
        walk(part, &mut |node| match node {
            Node::Open("style", a) => {
                let id = a.get("styleId").unwrap_or_default().to_owned();
                if a.get("type") == Some("paragraph")
                    && matches!(a.get("default"), Some("1" | "true" | "on"))
                {
                    styles.default = Some(id.clone());
                }
                styles.styles.entry(id.clone()).or_default();
                at = Some(id);
            }
            Node::Close("style") => at = None,
            Node::Open(name, a) => {
                let Some(style) = at.as_ref().and_then(|id| styles.styles.get_mut(id)) else {
                    return;
                };
                match name {
                    "basedOn" => style.on = a.val().map(str::to_owned),
                    "numId" => style.list.num = a.val().map(str::to_owned),
                    "ilvl" => style.list.level = a.val().and_then(|v| v.parse().ok()),
                    "vanish" => style.hidden = Some(a.on()),
                    _ => {}
                }
            }
            Node::Close(_) | Node::Text(_) => {}
        });
        styles
    }

    /// A style and those that it rests on.
    fn chain<'s>(&'s self, id: Option<&'s str>) -> impl Iterator<Item = (&'s str, &'s Style)> {
        let first = id.and_then(|id| self.styles.get_key_value(id));
        std::iter::successors(first, |(_, style)| {
            self.styles.get_key_value(style.on.as_deref()?)
        })
        .take(DEEPEST)
        .map(|(id, style)| (id.as_str(), style))
    }

    /// Whether text in that style is hidden; `None` where the style does not say.
    pub(super) fn hides(&self, id: Option<&str>) -> Option<bool> {
        self.chain(id).find_map(|(_, style)| style.hidden)
    }

    /// Whether a paragraph in that style is hidden.
    pub(super) fn hides_paragraph(&self, id: Option<&str>) -> bool {
        self.hides(id.or(self.default.as_deref())).unwrap_or(false)
    }

    /// The use of a list and the level of a paragraph, by its own words and by its style.
    pub(super) fn list(
        &self,
        own: &InList,
        style: Option<&str>,
        lists: &Lists,
    ) -> Option<(String, usize)> {
        let style = style.or(self.default.as_deref());
        let by_style = || {
            self.chain(style)
                .find_map(|(id, s)| s.list.num.as_deref().map(|num| (id, num, s.list.level)))
        };
        let (num, level) = match &own.num {
            Some(num) => (num.as_str(), own.level.unwrap_or(0)),
            None => {
                let (id, num, level) = by_style()?;
                let num = self.through_list_style(num, lists);
                let level = own
                    .level
                    .or_else(|| lists.level_of_style(num, id))
                    .or(level)
                    .unwrap_or(0);
                (num, level)
            }
        };
        (num != "0").then(|| (self.through_list_style(num, lists).to_owned(), level.min(8)))
    }

    /// A list may only name a list style, in which the real list stands.
    fn through_list_style<'s>(&'s self, num: &'s str, lists: &'s Lists) -> &'s str {
        lists
            .style_of(num)
            .and_then(|style| self.styles.get(style)?.list.num.as_deref())
            .unwrap_or(num)
    }
}
