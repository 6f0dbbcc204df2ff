//! The text of an entry as tokens with marks, and what can be asked of a place in it.

use crate::model::Span;
use crate::patterns::{Entries, EntryMark, EntryRole, Token, TokenKind, WordList, WordLists};

/// So many blanks part the fields of a line.
pub(super) const FIELD: usize = 2;

/// A text read against the words of `patterns/entry/`.
pub(super) struct Words<'e> {
    pub(super) text: &'e str,
    pub(super) tokens: Vec<Token>,
    pub(super) marks: Vec<EntryMark>,
    entries: &'e Entries,
    /// For each token, the number of its sentence or line.
    segment: Vec<usize>,
    line: Vec<usize>,
}

impl<'e> Words<'e> {
    pub(super) fn read(text: &'e str, entries: &'e Entries) -> Self {
        let tokens = super::glued::apart(text, entries.tokens(text), entries);
        let mut marks = entries.marks(&tokens);
        // "s/n" is no "s/".
        let serials: Vec<(usize, usize)> = marks
            .iter()
            .filter(|m| m.role == EntryRole::SerialLabel)
            .map(|m| (m.from, m.to))
            .collect();
        marks.retain(|m| {
            let overlaps = |&(from, to): &(usize, usize)| from < m.to && m.from < to;
            m.role != EntryRole::SignatureLabel || !serials.iter().any(overlaps)
        });
        // "cracked at no. 2" denies nothing.
        let number = |n: usize| tokens.get(n).is_some_and(|t| t.kind == TokenKind::Number);
        let point = |n: usize| tokens.get(n).is_some_and(|t| t.span.of(text) == ".");
        let labels: Vec<usize> = marks
            .iter()
            .filter(|m| m.role == EntryRole::NumberLabel)
            .map(|m| m.from)
            .collect();
        let numbers = |m: &EntryMark| {
            labels.contains(&m.from)
                && m.to == m.from + 1
                && (number(m.to) || point(m.to) && number(m.to + 1))
        };
        let denies = |m: &EntryMark| [EntryRole::NoFault, EntryRole::Negator].contains(&m.role);
        marks.retain(|m| !(denies(m) && numbers(m)));
        let (segment, line) = segments(text, &tokens, entries.lists());
        Self {
            text,
            tokens,
            marks,
            entries,
            segment,
            line,
        }
    }

    /// The words of a token.
    pub(super) fn word(&self, at: usize) -> &'e str {
        self.tokens.get(at).map_or("", |t| t.span.of(self.text))
    }

    /// The lists of words beside those of entries.
    pub(super) fn lists(&self) -> &'e WordLists {
        self.entries.lists()
    }

    /// Whether a token is a word of the list.
    pub(super) fn is_in(&self, at: usize, list: WordList) -> bool {
        self.lists().has(self.word(at), list)
    }

    /// The words from one token to the one before `to`, as they stand, blanks folded.
    pub(super) fn between(&self, from: usize, to: usize) -> String {
        let last = to.saturating_sub(1).max(from);
        let (Some(a), Some(b)) = (self.tokens.get(from), self.tokens.get(last)) else {
            return String::new();
        };
        Span::new(a.span.start, b.span.end)
            .of(self.text)
            .split_whitespace()
            .collect::<Vec<_>>()
            .join(" ")
    }

    /// The words of a mark.
    pub(super) fn of(&self, mark: &EntryMark) -> String {
        self.between(mark.from, mark.to)
    }

    /// What a mark means.
    pub(super) fn means(&self, mark: &EntryMark) -> &'e str {
        self.entries.means(mark)
    }

    /// The least sound reading of the test that a token speaks of, and the figure it is taken against.
    pub(super) fn least_of(&self, at: usize) -> Option<(u32, u32)> {
        self.all(EntryRole::Word)
            .filter(|m| m.from <= at && at < m.to)
            .find_map(|m| self.entries.least(m))
    }

    /// The marks of a role, in order.
    pub(super) fn all(&self, role: EntryRole) -> impl Iterator<Item = &EntryMark> {
        self.marks.iter().filter(move |m| m.role == role)
    }

    /// Whether each token of a mark is such a word.
    pub(super) fn is_all(&self, mark: &EntryMark, means: &str) -> bool {
        (mark.from..mark.to).all(|n| self.says(n, means))
    }

    /// Whether a mark of the role covers the token.
    pub(super) fn covered(&self, role: EntryRole, at: usize) -> bool {
        self.all(role).any(|m| m.from <= at && at < m.to)
    }

    /// Whether a mark of one of the roles covers the token.
    pub(super) fn covered_by(&self, roles: &[EntryRole], at: usize) -> bool {
        roles.iter().any(|role| self.covered(*role, at))
    }

    /// Whether a token is a word that remarks are told apart by, of this meaning.
    pub(super) fn says(&self, at: usize, means: &str) -> bool {
        self.all(EntryRole::Word)
            .any(|m| m.from <= at && at < m.to && self.means(m) == means)
    }

    /// Whether the words have the role as a whole, wherever they stand.
    pub(super) fn known(&self, words: &str, role: EntryRole) -> bool {
        self.entries.is_whole(words, role)
    }

    /// Whether the word has the meaning, wherever it stands.
    pub(super) fn means_of(&self, word: &str, means: &str) -> bool {
        let tokens = self.entries.tokens(word);
        self.entries
            .marks(&tokens)
            .iter()
            .any(|m| m.role == EntryRole::Word && self.entries.means(m) == means)
    }

    /// The sentence or line in which a token stands.
    pub(super) fn segment_of(&self, at: usize) -> usize {
        self.segment.get(at).copied().unwrap_or_default()
    }

    /// The line in which a token stands.
    pub(super) fn line_of(&self, at: usize) -> usize {
        self.line.get(at).copied().unwrap_or_default()
    }

    /// Whether a token is the first of its line.
    pub(super) fn opens_line(&self, at: usize) -> bool {
        at == 0 || self.line_of(at - 1) < self.line_of(at)
    }

    /// The words of the same sentence and line around a mark: up to so many before and behind.
    pub(super) fn around(&self, mark: &EntryMark, before: usize, behind: usize) -> String {
        let (segment, line) = (self.segment_of(mark.from), self.line_of(mark.from));
        let here = |n: &usize| self.segment_of(*n) == segment && self.line_of(*n) == line;
        let from = (0..mark.from).rev().take(before).take_while(here).last();
        let to = (mark.to..self.tokens.len())
            .take(behind)
            .take_while(here)
            .last();
        self.between(from.unwrap_or(mark.from), to.map_or(mark.to, |n| n + 1))
    }

    /// One past a bracket of a few words that opens at `at`, as in "Total time (airframe): 412.6".
    pub(super) fn past_bracket(&self, at: usize) -> usize {
        if self.word(at) != "(" {
            return at;
        }
        let word = |n: usize| self.tokens.get(n).map(|t| t.kind);
        (at + 1..at + 5)
            .take_while(|n| word(*n) != Some(TokenKind::Number))
            .find(|n| self.word(*n) == ")")
            .map_or(at, |n| n + 1)
    }

    /// What stands between a token and the one before it.
    pub(super) fn gap(&self, at: usize) -> &'e str {
        let end = |n: usize| self.tokens.get(n).map(|t| t.span);
        match (at.checked_sub(1).and_then(end), end(at)) {
            (Some(before), Some(here)) => Span::new(before.end, here.start).of(self.text),
            _ => "",
        }
    }

    /// One past the dots that lead from a label to its figure or name, as in "Time ..... 412.6";
    /// a single full stop leads nowhere.
    pub(super) fn past_leader(&self, at: usize) -> usize {
        let mut to = at;
        while [".", "_", "\u{2026}"].contains(&self.word(to)) {
            to += 1;
        }
        // "Total hrs.: 412.6"
        let figure = |n: usize| {
            self.tokens
                .get(n)
                .is_some_and(|t| t.glued && t.kind == TokenKind::Number)
        };
        // "TTAF.412.6": the dot is glued on both sides.
        let joined = to == at + 1 && figure(to) && self.tokens[at].glued;
        let shortened = to == at + 1 && self.word(to) == ":" || joined;
        if to > at + 1 || self.word(at) != "." || shortened {
            to
        } else {
            at
        }
    }

    /// Whether a token is a mark, such as `:`.
    pub(super) fn is_mark(&self, at: usize) -> bool {
        self.tokens
            .get(at)
            .is_some_and(|t| t.kind == TokenKind::Mark)
    }

    /// The tokens of a sentence or line.
    pub(super) fn tokens_of(&self, segment: usize) -> impl Iterator<Item = usize> {
        (0..self.tokens.len()).filter(move |n| self.segment_of(*n) == segment)
    }
}

/// Sentences and lines. A full stop ends a sentence only before a blank and a capital or figure,
/// and not after an initial or a short form of the trade; a line ends one where the next begins
/// with a capital and this one has an end, or where a blank line stands between.
fn segments(text: &str, tokens: &[Token], lists: &WordLists) -> (Vec<usize>, Vec<usize>) {
    let mut segment = Vec::with_capacity(tokens.len());
    let mut line = Vec::with_capacity(tokens.len());
    let (mut s, mut l) = (0, 0);
    for (n, token) in tokens.iter().enumerate() {
        if let Some(before) = n.checked_sub(1).and_then(|n| tokens.get(n)) {
            let gap = Span::new(before.span.end, token.span.start).of(text);
            let breaks = gap.matches('\n').count();
            l += breaks;
            let ended = match before.span.of(text) {
                "." => {
                    !token.glued && !short_form(text, tokens, n - 1, lists) && opens(token, text)
                }
                ";" | "!" | "?" => true,
                _ => false,
            };
            // "I certify" opens a line, or a bullet does.
            let word = token.span.of(text);
            let blank = tokens.get(n + 1).is_some_and(|next| !next.glued);
            let opened = breaks == 1
                && (word == "I" || ["-", "*", ">", "\u{2022}"].contains(&word) && blank);
            if ended || breaks > 1 || opened {
                s += 1;
            }
        }
        segment.push(s);
        line.push(l);
    }
    (segment, line)
}

fn opens(token: &Token, text: &str) -> bool {
    token
        .span
        .of(text)
        .chars()
        .next()
        .is_some_and(|c| !c.is_lowercase())
}

/// Whether the full stop at `at` belongs to an initial or a short form.
fn short_form(text: &str, tokens: &[Token], at: usize, lists: &WordLists) -> bool {
    let Some(word) = at.checked_sub(1).and_then(|n| tokens.get(n)) else {
        return false;
    };
    let word = word.span.of(text);
    word.chars().count() == 1 && word.chars().all(char::is_alphabetic)
        || lists.has(word, WordList::FirmForm)
        || lists.has(word, WordList::ShortFormOfEntry)
}
