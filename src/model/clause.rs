//! A numbered clause of the letter, or an unnumbered paragraph of it.

use super::Span;

/// One clause. Clauses are flat and in the order of the text; `parent` tells the nesting.
#[derive(Clone, Debug, PartialEq)]
pub struct Clause {
    /// What everything else refers to: the number, or the item where there is no number, with
    /// `/2`, `/3` where a numbering starts again; sub-items as `26(a)`; `p1`, `p2` … for
    /// paragraphs that have neither.
    pub id: String,
    /// The number at the head of the clause.
    pub number: Option<Label>,
    /// The number in parentheses at the end of the clause (the item of the order's list).
    pub item: Option<Label>,
    /// 1 for a clause, 2 and more for sub-items.
    pub level: u8,
    /// Index of the clause it belongs to.
    pub parent: Option<usize>,
    /// Everything from the number to the last word, sub-items not included.
    pub span: Span,
    /// The words without number and item.
    pub body: Span,
    /// The flight-test phase under whose heading, or in whose applicability list, it stands.
    pub phase: Option<Phase>,
}

impl Clause {
    /// Whether it has neither number nor item.
    #[must_use]
    pub const fn is_paragraph(&self) -> bool {
        self.number.is_none() && self.item.is_none()
    }

    /// How a clause of that id is called in a sentence: "clause 26", "unnumbered paragraph 8".
    #[must_use]
    pub fn called(id: &str) -> String {
        let paragraph = id
            .strip_prefix('p')
            .filter(|n| !n.is_empty() && n.chars().all(|c| c.is_ascii_digit()));
        paragraph.map_or_else(
            || format!("clause {id}"),
            |n| format!("unnumbered paragraph {n}"),
        )
    }
}

/// A clause number.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Label {
    /// As printed: `(26)`, `26.`, `[10]`.
    pub printed: String,
    /// Without its marks: `26`, `a`, `iv`.
    pub label: String,
    /// Where it stands.
    pub span: Span,
}

/// Flight-test phase.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Phase {
    /// Flight testing.
    One,
    /// After flight testing.
    Two,
}
