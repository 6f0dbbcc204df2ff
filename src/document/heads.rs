//! Where the title, the dates and the signature of a paper stand.

use super::papers::{Part, What};
use crate::model::{Letter, Span};

/// The words before the first numbered clause of each paper: title, aircraft, dates; and where the
/// signature stands, behind the last one.
pub(super) struct Heads {
    pub(super) heads: Vec<Span>,
    pub(super) tails: Vec<Span>,
}

impl Heads {
    pub(super) fn of(letter: &Letter, content: &str, parts: &[Part]) -> Self {
        let numbered = |whole: Span| {
            letter
                .clauses
                .iter()
                .filter(|c| c.level == 1 && (c.number.is_some() || c.item.is_some()))
                .filter(move |c| whole.start <= c.span.start && c.span.start < whole.end)
        };
        let mut all = Self {
            heads: Vec::new(),
            tails: Vec::new(),
        };
        for whole in wholes(letter, content, parts) {
            let end = numbered(whole)
                .next()
                .map_or(whole.end.min(whole.start + HEAD), |c| c.span.start);
            all.heads.push(Span::new(whole.start, end));
            let last = numbered(whole)
                .next_back()
                .map_or(whole.end, |c| c.span.end);
            all.tails.push(Span::new(last, whole.end + 1));
        }
        for part in parts.iter().filter(|p| p.what == What::Certificate) {
            all.heads.push(part.span);
        }
        all
    }

    pub(super) fn contains(&self, span: Span) -> bool {
        self.heads.iter().any(|h| h.contains(span))
    }

    pub(super) fn in_tail(&self, span: Span) -> bool {
        self.tails
            .iter()
            .any(|t| t.start <= span.start && span.start < t.end)
    }

    pub(super) fn say(&self, content: &str, word: &str) -> bool {
        self.heads
            .iter()
            .any(|h| h.of(content).to_lowercase().contains(word))
    }
}

/// The papers that are letters, each from its first page to its last. Another file is another
/// letter only where its numbers begin anew; photos of pages go on with them.
fn wholes(letter: &Letter, content: &str, parts: &[Part]) -> Vec<Span> {
    let numbers = |span: Span| {
        letter
            .clauses
            .iter()
            .filter(move |c| span.start <= c.span.start && c.span.start < span.end)
            .filter(|c| c.level == 1)
            .filter_map(|c| c.number.as_ref()?.label.parse::<u32>().ok())
    };
    let mut out: Vec<(u16, Span)> = Vec::new();
    for part in parts.iter().filter(|p| p.what == What::Letter) {
        match out.last_mut() {
            Some((source, span))
                if *source == part.source
                    || numbers(part.span).next().is_none_or(|first| {
                        numbers(*span).next_back().is_some_and(|last| first >= last)
                    }) =>
            {
                span.end = part.span.end;
                *source = part.source;
            }
            _ => out.push((part.source, part.span)),
        }
    }
    if let [(_, only)] = out.as_mut_slice() {
        // blanks before the first line belong to it, too
        only.start = if parts.first().is_some_and(|p| p.what == What::Letter) {
            0
        } else {
            only.start
        };
    }
    if out.is_empty() {
        return vec![Span::new(0, content.len())];
    }
    out.into_iter().map(|(_, span)| span).collect()
}

/// Without a numbered clause, this many bytes are taken for the head.
const HEAD: usize = 1200;
