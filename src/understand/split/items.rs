//! Item numbers in parentheses at the end of a clause.

use super::labels::{Kind, readings};
use super::marks::{Before, NumberMark, Scene, Style};
use crate::model::{Label, Span};

impl Scene<'_> {
    /// The item number at the end of the tokens `first..end`, and where the words before it end.
    /// A tag such as "(Applicability: All)" may stand behind it.
    pub(super) fn item(&self, first: usize, end: usize) -> Option<(Label, usize)> {
        let mut last = end.checked_sub(1)?;
        if self.word(last) == ")" && !self.is_item(first, last) {
            // Over the tag.
            let open = (last.saturating_sub(20).max(first)..last)
                .rev()
                .find(|i| self.word(*i) == "(")?;
            if open <= first
                || self
                    .word(open + 1)
                    .starts_with(|c: char| c.is_ascii_digit())
            {
                return None;
            }
            last = open - 1;
        }
        if !self.is_item(first, last) {
            return None;
        }
        let open = last - 2;
        let span = Span::new(self.tokens[open].span.start, self.tokens[last].span.end);
        let words_end = open
            .checked_sub(1)
            .map_or(span.start, |p| self.tokens[p].span.end);
        Some((
            Label {
                printed: span.of(self.text).to_owned(),
                label: self.word(open + 1).to_owned(),
                span,
            },
            words_end,
        ))
    }

    /// Whether "(15)" behind a full sentence ends at token `last`.
    fn is_item(&self, first: usize, last: usize) -> bool {
        let closes = matches!(self.word(last), ")" | "]");
        if !closes || last < first + 3 {
            return false;
        }
        let open = last - 2;
        let pair = if self.word(last) == ")" { "(" } else { "[" };
        self.word(open) == pair
            && self.glued(last)
            && !self.glued(open)
            && readings(self.word(open + 1))[0]
                .is_some_and(|v| v.kind == Kind::Arabic && v.number().is_some())
            && self.before(open).0 == Before::Stop
    }
}

/// In text without line breaks whose first clause has no number and whose last words are an item
/// number, numbers in parentheses end a clause: the tokens behind which the next clause starts.
/// Their marks are taken out of the list.
pub(super) fn ends_in_running_text(scene: &Scene<'_>, marks: &mut Vec<NumberMark>) -> Vec<usize> {
    let running = scene.lines.all.len() <= 1;
    if !running
        || marks.first().is_some_and(|m| m.token == 0)
        || scene.item(0, scene.tokens.len()).is_none()
    {
        return Vec::new();
    }
    let ends_clause = |m: &NumberMark| {
        m.before == Before::Stop
            && m.capital
            && !m.chained
            && matches!(m.style, Style::Round | Style::Square)
            && m.values[0].is_some_and(|v| v.kind == Kind::Arabic)
    };
    let ends = marks
        .iter()
        .filter(|m| ends_clause(m))
        .map(|m| m.token + 3)
        .collect();
    marks.retain(|m| !ends_clause(m));
    ends
}
