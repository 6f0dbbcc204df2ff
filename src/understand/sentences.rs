//! Splits a text into sentences.

use super::split::dots::{dots, role_of};
use super::split::lines::Lines;
use super::split::quotes::{inside, quotes};
use crate::model::{Clause, Span};
use crate::patterns::numbering::NumberingRole;
use crate::patterns::{Patterns, Token, TokenKind};

/// Words that start a sentence behind an abbreviation that may end one.
const STARTERS: &[&str] = &[
    "a", "after", "all", "an", "and", "any", "as", "at", "because", "before", "but", "by",
    "during", "each", "for", "he", "how", "however", "i", "if", "in", "it", "its", "moreover",
    "my", "no", "nor", "on", "one", "only", "she", "since", "that", "the", "their", "then",
    "there", "these", "they", "this", "those", "thus", "to", "under", "until", "we", "what",
    "when", "where", "while", "who", "why", "with", "you",
];

/// The sentences of a text, in order; together they cover it.
///
/// A sentence ends at a full stop, question or exclamation mark that belongs to no abbreviation,
/// at the end of a clause or paragraph, and at the end of a line of a form or a heading. A
/// quotation within a sentence does not end it. Only blanks stand between two sentences.
#[must_use]
pub fn sentences(
    text: &str,
    tokens: &[Token],
    clauses: &[Clause],
    patterns: &Patterns,
) -> Vec<Span> {
    if text.is_empty() {
        return Vec::new();
    }
    let scene = Scene {
        text,
        tokens,
        dots: &dots(text, tokens, patterns),
        quotes: &quotes(text),
    };
    // Starts as token indexes.
    let mut starts: Vec<usize> = scene.after_stops();
    starts.extend(scene.after_lines());
    let mut token = 0;
    for clause in clauses {
        while tokens
            .get(token)
            .is_some_and(|t| t.span.start < clause.span.start)
        {
            token += 1;
        }
        starts.push(token);
    }
    starts.sort_unstable();
    starts.dedup();
    // A number at the head of a clause is no sentence of its own.
    let numbers: Vec<Span> = clauses
        .iter()
        .filter_map(|c| c.number.as_ref().map(|n| n.span))
        .collect();
    let mut found = Vec::with_capacity(starts.len() + 1);
    let mut from = 0;
    for at in starts {
        let Some(token) = tokens.get(at).filter(|_| at > 0) else {
            continue;
        };
        let end = tokens[at - 1].span.end;
        let number = numbers
            .get(numbers.partition_point(|n| n.end < end))
            .is_some_and(|n| n.end == end);
        if !number && token.span.start > from {
            found.push(Span::new(from, token.span.start).trimmed(text));
            from = token.span.start;
        }
    }
    found.push(Span::new(from, text.len()).trimmed(text));
    found.retain(|s| !s.is_empty());
    found
}

struct Scene<'a> {
    text: &'a str,
    tokens: &'a [Token],
    dots: &'a [(usize, NumberingRole)],
    quotes: &'a [Span],
}

impl Scene<'_> {
    fn word(&self, at: usize) -> &str {
        self.tokens.get(at).map_or("", |t| t.span.of(self.text))
    }

    fn glued(&self, at: usize) -> bool {
        self.tokens.get(at).is_some_and(|t| t.glued)
    }

    /// The tokens behind full stops.
    fn after_stops(&self) -> Vec<usize> {
        let mut found = Vec::new();
        let mut at = 0;
        while at < self.tokens.len() {
            let stop = at;
            at += 1;
            if self.tokens[stop].kind != TokenKind::Mark
                || !matches!(self.word(stop), "." | "!" | "?" | "…")
            {
                continue;
            }
            // "?!", "!!", and the closing marks behind them.
            while matches!(self.word(at), "." | "!" | "?") && self.glued(at) {
                at += 1;
            }
            let dots_in_a_row = at - stop >= 3 || self.word(stop) == "…";
            let mut closed = at;
            while matches!(self.word(closed), "\"" | "”" | "’" | "'" | ")" | "]" | "*")
                && self.glued(closed)
            {
                closed += 1;
            }
            // A footnote mark: "others.[1]"
            while self.word(closed) == "[" && self.glued(closed) && self.word(closed + 2) == "]" {
                closed += 3;
            }
            if closed >= self.tokens.len() || self.glued(closed) {
                continue;
            }
            if self.ends(stop, closed, dots_in_a_row) {
                found.push(closed);
            }
            at = closed.max(at);
        }
        found
    }

    /// Whether the sentence ends between the stop and token `next`.
    fn ends(&self, stop: usize, next: usize, in_a_row: bool) -> bool {
        let follower = self.word(next);
        let starts_lower = follower.starts_with(char::is_lowercase);
        if starts_lower || in_a_row && !follower.starts_with(char::is_uppercase) {
            return false;
        }
        if matches!(follower, "," | ";" | ":" | ")" | "." | "—" | "–" | "&") {
            return false;
        }
        if self.word(stop) != "." {
            return true;
        }
        // ". . ." is one ellipsis.
        if self.word(next) == "." || (stop > 0 && self.word(stop - 1) == "." && !self.glued(stop)) {
            return false;
        }
        match role_of(self.dots, stop) {
            Some(NumberingRole::MayEnd) => {
                STARTERS.iter().any(|w| self.tokens[next].is(self.text, w))
                    && self.tokens[next].span.len() > 1
            }
            Some(_) => false,
            None => !self.is_initial(stop, next),
        }
    }

    /// "J. Smith", "Stephen Wm. Smith", and numbers of lists: "1. The".
    fn is_initial(&self, stop: usize, next: usize) -> bool {
        let Some(before) = stop.checked_sub(1) else {
            return false;
        };
        if !self.glued(stop) {
            return false;
        }
        let word = self.word(before);
        let alone = !self.glued(before)
            || matches!(self.word(before.saturating_sub(1)), "." | "(" | "“" | "\"");
        if word.len() == 1 && word.starts_with(char::is_uppercase) && alone {
            // "… under part I. The" ends; "C. Ryan" does not.
            let name = self.tokens[next].kind == TokenKind::Word
                && !STARTERS.iter().any(|w| {
                    self.tokens[next].span.len() > 1 && self.tokens[next].is(self.text, w)
                });
            return name && word != "I" || self.at_line_head(before);
        }
        // The number of a list item.
        self.at_line_head(before)
            && (self.tokens[before].kind == TokenKind::Number || word.len() == 1)
    }

    fn at_line_head(&self, at: usize) -> bool {
        let Some(before) = at.checked_sub(1) else {
            return true;
        };
        Span::new(self.tokens[before].span.end, self.tokens[at].span.start)
            .of(self.text)
            .contains('\n')
    }

    /// The tokens at the head of lines that no paragraph runs over: headings, forms, captions.
    fn after_lines(&self) -> Vec<usize> {
        let lines = Lines::of(self.text);
        let mut found = Vec::new();
        let mut token = 0;
        for (n, line) in lines.all.iter().enumerate() {
            while self
                .tokens
                .get(token)
                .is_some_and(|t| t.span.start < line.span.start)
            {
                token += 1;
            }
            let Some(before) = n.checked_sub(1).and_then(|p| lines.all.get(p)) else {
                continue;
            };
            let starts_lower = self.word(token).starts_with(char::is_lowercase);
            if inside(self.quotes, line.span.start) && !line.blank_before {
                continue;
            }
            let words = before.span.of(self.text);
            let hangs = words.ends_with([',', '-', '(']);
            if starts_lower || hangs {
                continue;
            }
            if line.blank_before || lines.had_room(n) {
                found.push(token);
            }
        }
        found
    }
}
