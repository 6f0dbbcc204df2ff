//! The units of a word-level comparison: words, numbers, marks, blanks to fill in.

use super::words::{self, WordRole};
use crate::model::Span;
use crate::patterns::{InLists, WordList, WordLists};

/// What a token is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum DiffTokenKind {
    /// Letters with inner apostrophes.
    Word,
    /// Starts with a digit: `12`, `65.104`, `1,000`.
    Number,
    /// One mark.
    Mark,
    /// `____`: a place to write in.
    Blank,
}

/// A unit of comparison.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct DiffToken {
    /// Where it stands.
    pub(super) span: Span,
    /// What it is.
    pub(super) kind: DiffTokenKind,
    /// Its words with case, shape of quotes and dashes, soft hyphens and blanks folded.
    pub(super) word: Box<str>,
    /// The lists in which they stand.
    pub(super) lists: InLists,
    /// What they do in a norm.
    pub(super) role: WordRole,
}

impl DiffToken {
    /// Whether its words are one of the list.
    pub(super) const fn is_in(&self, list: WordList) -> bool {
        self.lists.has(list)
    }

    /// Its words without their endings of number and tense.
    pub(super) fn stem(&self) -> &str {
        words::stem(&self.word, self.lists)
    }
}

/// Blanks of every kind, and characters that print nothing.
fn is_blank(c: char) -> bool {
    c.is_whitespace()
        || matches!(
            c,
            '\u{ad}' | '\u{200b}' | '\u{200c}' | '\u{200d}' | '\u{2060}' | '\u{feff}'
        )
}

fn is_dash(c: char) -> bool {
    matches!(c, '-' | '\u{2010}'..='\u{2015}' | '\u{2212}')
}

fn is_apostrophe(c: char) -> bool {
    matches!(c, '\'' | '’' | '‘')
}

/// The form in which tokens are equal.
fn fold(words: &str, kind: DiffTokenKind) -> String {
    if kind == DiffTokenKind::Blank {
        return "___".to_owned();
    }
    if kind != DiffTokenKind::Mark && words.is_ascii() {
        return words.to_ascii_lowercase();
    }
    let mut out = String::with_capacity(words.len());
    for c in words.chars() {
        match c {
            c if is_blank(c) => {}
            c if is_dash(c) => {
                if !out.ends_with('-') {
                    out.push('-');
                }
            }
            '’' | '‘' => out.push('\''),
            '“' | '”' | '„' => out.push('"'),
            c => out.extend(c.to_lowercase()),
        }
    }
    out
}

/// The tokens of a text.
pub(super) fn tokens(text: &str, known: &WordLists) -> Vec<DiffToken> {
    let mut tokens = Vec::with_capacity(text.len() / 5);
    scan(text, |span, kind| {
        let word = fold(span.of(text), kind);
        let lists = known.of(&word);
        tokens.push(DiffToken {
            span,
            kind,
            role: words::role(&word, lists),
            word: word.into(),
            lists,
        });
    });
    tokens
}

fn scan(text: &str, mut emit: impl FnMut(Span, DiffTokenKind)) {
    let mut chars = text.char_indices().peekable();
    while let Some((start, c)) = chars.next() {
        if is_blank(c) {
            continue;
        }
        let mut end = start + c.len_utf8();
        let mut kind = DiffTokenKind::Mark;
        let next_after = |at: usize, d: char| {
            text.get(at + d.len_utf8()..)
                .and_then(|rest| rest.chars().next())
        };
        if c.is_alphanumeric() {
            let number = c.is_ascii_digit();
            kind = if number {
                DiffTokenKind::Number
            } else {
                DiffTokenKind::Word
            };
            while let Some(&(at, d)) = chars.peek() {
                let next = next_after(at, d);
                let inner = d.is_alphanumeric()
                    || (d == '\u{ad}' && next.is_some_and(char::is_alphanumeric))
                    || (is_apostrophe(d) && next.is_some_and(char::is_alphabetic))
                    || (number
                        && matches!(d, '.' | ',')
                        && next.is_some_and(|n| n.is_ascii_digit()));
                if !inner {
                    break;
                }
                chars.next();
                end = at + d.len_utf8();
            }
        } else if c == '_' || is_dash(c) {
            let same = |d: char| if c == '_' { d == '_' } else { is_dash(d) };
            // Three and more are a place to write in; one or two belong to a name.
            let row = text[start..].chars().take_while(|d| same(*d)).count();
            if c != '_' || row > 2 {
                for _ in 1..row {
                    if let Some((at, d)) = chars.next() {
                        end = at + d.len_utf8();
                    }
                }
            }
            if c == '_' && row > 2 {
                kind = DiffTokenKind::Blank;
            }
        }
        emit(Span::new(start, end), kind);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn forms_that_print_alike_are_equal() {
        let known = WordLists::default();
        let tokens = |text| tokens(text, &known);
        let a = tokens("The owner’s “PART 43” — § 65.104(b), con\u{ad}dition ____");
        let b = tokens("the owner's \"part\u{a0}43\" -- §65.104 (b), condition _______");
        assert_eq!(
            a.iter().map(|a| &a.word).collect::<Vec<_>>(),
            b.iter().map(|a| &a.word).collect::<Vec<_>>()
        );
    }
}
