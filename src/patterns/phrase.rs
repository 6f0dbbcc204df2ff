//! Tokens, and phrases matched on them.
//!
//! A phrase in a pattern file is a row of words. `a|b` is one word or the other, `[a b]` may be
//! left out, `(a b|c d)` is one group or the other. A bracket without a blank before it is a
//! bracket of the text, as in `65.107(b)`. Case, line breaks, hyphens inside words and the shape of
//! quotes make no difference; every other mark has to be there.

use std::hash::Hasher as _;

use rustc_hash::{FxHashMap, FxHasher};

use super::tables::{Table, stored};
use crate::model::Span;

/// What a token is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TokenKind {
    /// Letters, with inner apostrophes.
    Word,
    /// Starts with a digit: `26`, `65.104`, `8130.2F`.
    Number,
    /// One mark.
    Mark,
}

/// A word, number or mark of the text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Token {
    /// Where it stands.
    pub span: Span,
    /// What it is.
    pub kind: TokenKind,
    /// Its number in the lexicon; 0 for a word that no pattern knows.
    pub word: u32,
    /// No blank stands before it.
    pub glued: bool,
}

impl Token {
    /// Whether its words are `lower` (given in lower case), whatever the case in the text.
    #[must_use]
    pub fn is(&self, text: &str, lower: &str) -> bool {
        self.span.of(text).eq_ignore_ascii_case(lower)
    }
}

/// The words that patterns know, numbered from 1.
#[derive(Clone, Debug, Default)]
pub struct Lexicon {
    /// The letters of all words, in order of their numbers.
    letters: Table<u8>,
    /// Where each word ends among them.
    ends: Table<u32>,
    /// The number of a word stands at its hash or at the next free place behind it; 0 is free. Not more than
    /// half of the places are taken, and their count is a power of two.
    places: Table<u32>,
}

stored!(Lexicon {
    letters,
    ends,
    places,
});

impl Lexicon {
    /// The number of a word, which is added where it is new.
    pub fn add(&mut self, word: &str) -> u32 {
        let known = self.number(word);
        if known != 0 {
            return known;
        }
        self.letters.to_mut().extend(fold(word).bytes());
        let end = u32::try_from(self.letters.len()).unwrap_or(u32::MAX);
        self.ends.to_mut().push(end);
        let count = self.ends.len();
        if count * 2 > self.places.len() {
            self.places = vec![0; (count * 4).next_power_of_two()].into();
            (1..count).for_each(|number| self.take_place(number));
        }
        self.take_place(count);
        u32::try_from(count).unwrap_or(u32::MAX)
    }

    /// Puts the number of a word where it is looked for.
    fn take_place(&mut self, number: usize) {
        let (Ok(at) | Err(at)) = self.place(self.letters_of(number));
        self.places.to_mut()[at] = u32::try_from(number).unwrap_or(u32::MAX);
    }

    /// The letters of a word by its number.
    fn letters_of(&self, number: usize) -> &[u8] {
        let begin = number.checked_sub(2).map_or(0, |n| self.ends[n]);
        &self.letters[begin as usize..self.ends[number - 1] as usize]
    }

    /// The place of a folded word, or the free one where it would stand.
    fn place(&self, word: &[u8]) -> Result<usize, usize> {
        let mut hasher = FxHasher::default();
        hasher.write(word);
        let mut at = hasher.finish() as usize;
        loop {
            at &= self.places.len() - 1;
            match self.places[at] as usize {
                0 => return Err(at),
                number if self.letters_of(number) == word => return Ok(at),
                _ => at += 1,
            }
        }
    }

    /// The number of a word as it stands in a text; 0 where no pattern knows it.
    #[must_use]
    pub fn number(&self, word: &str) -> u32 {
        if self.places.is_empty() {
            return 0;
        }
        let number = |folded: &[u8]| self.place(folded).map_or(0, |at| self.places[at]);
        let bytes = word.as_bytes();
        let mut buffer = [0u8; 40];
        if bytes.len() <= buffer.len() && word.is_ascii() {
            let lower = &mut buffer[..bytes.len()];
            lower.copy_from_slice(bytes);
            lower.make_ascii_lowercase();
            return number(lower);
        }
        number(fold(word).as_bytes())
    }

    /// Splits a text into tokens.
    #[must_use]
    pub fn tokens(&self, text: &str) -> Vec<Token> {
        let mut tokens = Vec::with_capacity(text.len() / 5);
        scan(text, |span, kind, glued| {
            tokens.push(Token {
                span,
                kind,
                word: self.number(span.of(text)),
                glued,
            });
        });
        tokens
    }
}

/// Lower case, straight apostrophes and quotes, no soft hyphens.
fn fold(word: &str) -> String {
    word.chars()
        .filter(|c| *c != '\u{ad}')
        .map(|c| match c {
            '’' | '‘' => '\'',
            '“' | '”' => '"',
            _ => c,
        })
        .flat_map(char::to_lowercase)
        .collect()
}

/// A hyphen that only joins the parts of a word.
fn is_hyphen(c: char) -> bool {
    matches!(c, '-' | '\u{2010}' | '\u{2011}' | '\u{ad}')
}

fn scan(text: &str, mut emit: impl FnMut(Span, TokenKind, bool)) {
    let mut chars = text.char_indices().peekable();
    let mut glued = false;
    let mut after_alnum = false;
    while let Some((start, c)) = chars.next() {
        if c.is_whitespace() {
            glued = false;
            after_alnum = false;
            continue;
        }
        let rest = |at: usize| text[at..].chars();
        if c.is_alphanumeric() {
            let number = c.is_ascii_digit();
            let mut end = start + c.len_utf8();
            while let Some(&(at, d)) = chars.peek() {
                let next = rest(at + d.len_utf8()).next();
                let inner = d.is_alphanumeric()
                    || (matches!(d, '\'' | '’') && next.is_some_and(char::is_alphabetic))
                    || (d == '\u{ad}')
                    || (number
                        && matches!(d, '.' | ',')
                        && next.is_some_and(|n| n.is_ascii_digit()));
                if !inner {
                    break;
                }
                chars.next();
                end = at + d.len_utf8();
            }
            let kind = if number {
                TokenKind::Number
            } else {
                TokenKind::Word
            };
            emit(Span::new(start, end), kind, glued);
            after_alnum = true;
        } else {
            let end = start + c.len_utf8();
            let joins = is_hyphen(c)
                && after_alnum
                && glued
                && rest(end).next().is_some_and(char::is_alphanumeric);
            if !joins {
                emit(Span::new(start, end), TokenKind::Mark, glued);
            }
            after_alnum = false;
        }
        glued = true;
    }
}

/// Phrases with a payload each, matched at a token; the longest wins.
#[derive(Clone, Debug)]
pub struct PhraseSet<V> {
    edges: Edges,
    ends: Vec<Option<V>>,
    first: Vec<bool>,
}

/// Steps from node and word to node.
type Edges = FxHashMap<(u32, u32), u32>;

impl<V> PhraseSet<V> {
    /// The steps from node and word to node, and what is complete at each node. Node 0 stands before
    /// the first word; nodes come before those that they lead to.
    pub(crate) fn into_tree(self) -> (Edges, Vec<Option<V>>) {
        (self.edges, self.ends)
    }

    /// Notes that a phrase begins with this word.
    fn begins_with(&mut self, word: u32) {
        let at = word as usize;
        if self.first.len() <= at {
            self.first.resize(at + 1, false);
        }
        self.first[at] = true;
    }
}

impl<V> Default for PhraseSet<V> {
    fn default() -> Self {
        Self {
            edges: FxHashMap::default(),
            ends: vec![None],
            first: Vec::new(),
        }
    }
}

impl<V: Clone> PhraseSet<V> {
    /// Adds a phrase. A phrase that is there already keeps its first payload, which is returned.
    ///
    /// # Errors
    /// A sentence that says what is wrong with the phrase.
    pub fn add(
        &mut self,
        lexicon: &mut Lexicon,
        phrase: &str,
        value: V,
    ) -> Result<Option<V>, String> {
        let mut clash = None;
        self.add_with(lexicon, phrase, |end| match end {
            Some(old) => clash = Some(old.clone()),
            None => *end = Some(value.clone()),
        })?;
        Ok(clash)
    }

    /// Adds a phrase and lets the caller fill, or add to, the payload of each row of words that it
    /// stands for.
    ///
    /// # Errors
    /// A sentence that says what is wrong with the phrase.
    pub fn add_with(
        &mut self,
        lexicon: &mut Lexicon,
        phrase: &str,
        mut fill: impl FnMut(&mut Option<V>),
    ) -> Result<(), String> {
        // The nodes that the words so far lead to; no two variants share their rest, so a row of
        // words is walked once for each node, not once for each variant.
        let mut frontier: Vec<u32> = vec![0];
        if phrase.contains(['[', '(', '|']) {
            let mut rest = phrase.trim();
            let mut words: Vec<u32> = Vec::new();
            while !rest.is_empty() {
                let (choices, behind) = element(rest).map_err(|e| format!("«{phrase}»: {e}"))?;
                rest = behind.trim_start();
                let mut next: Vec<u32> = Vec::new();
                for choice in choices {
                    words.clear();
                    scan(choice, |span, _, _| {
                        words.push(lexicon.add(span.of(choice)))
                    });
                    next.extend(frontier.iter().map(|&node| self.walk(node, &words)));
                }
                next.sort_unstable();
                next.dedup();
                if next.len() > MOST_ENDS {
                    return Err(format!(
                        "«{phrase}» stands for more than {MOST_ENDS} rows of words; split it"
                    ));
                }
                frontier = next;
            }
        } else {
            // most phrases are one row of words
            scan(phrase, |span, _, _| {
                let word = lexicon.add(span.of(phrase));
                frontier[0] = self.walk(frontier[0], &[word]);
            });
        }
        if frontier.contains(&0) {
            return Err(format!("«{phrase}» can be empty"));
        }
        for node in frontier {
            fill(&mut self.ends[node as usize]);
        }
        Ok(())
    }

    /// Walks the words from a node on, making the nodes that are not there.
    fn walk(&mut self, from: u32, words: &[u32]) -> u32 {
        let mut node = from;
        for &word in words {
            if node == 0 {
                self.begins_with(word);
            }
            let next = u32::try_from(self.ends.len()).unwrap_or(u32::MAX);
            let to = *self.edges.entry((node, word)).or_insert(next);
            if to == next {
                self.ends.push(None);
            }
            node = to;
        }
        node
    }

    /// The longest phrase that starts at token `at`: the index one past its last token, and its
    /// payload.
    #[must_use]
    pub fn longest_at(&self, tokens: &[Token], at: usize) -> Option<(usize, &V)> {
        let head = tokens.get(at)?.word as usize;
        if !self.first.get(head).copied().unwrap_or(false) {
            return None;
        }
        let mut node = 0u32;
        let mut best = None;
        for (i, token) in tokens.iter().enumerate().skip(at) {
            let Some(&to) = self.edges.get(&(node, token.word)) else {
                break;
            };
            node = to;
            if let Some(value) = &self.ends[to as usize] {
                best = Some((i + 1, value));
            }
        }
        best
    }

    /// Every phrase that starts at token `at`, shortest first: the index one past its last token,
    /// and its payload.
    pub fn all_at<'s>(
        &'s self,
        tokens: &'s [Token],
        at: usize,
    ) -> impl Iterator<Item = (usize, &'s V)> + 's {
        let known = tokens
            .get(at)
            .is_some_and(|t| self.first.get(t.word as usize).copied().unwrap_or(false));
        let mut node = known.then_some(0u32);
        let mut i = at;
        std::iter::from_fn(move || {
            loop {
                let token = tokens.get(i)?;
                node = node.and_then(|n| self.edges.get(&(n, token.word)).copied());
                let here = node?;
                i += 1;
                if let Some(Some(value)) = self.ends.get(here as usize) {
                    return Some((i, value));
                }
            }
        })
    }

    /// All matches from left to right, longest first, without overlap: token range and payload.
    pub fn find<'s>(
        &'s self,
        tokens: &'s [Token],
    ) -> impl Iterator<Item = (std::ops::Range<usize>, &'s V)> + 's {
        let mut at = 0;
        std::iter::from_fn(move || {
            while at < tokens.len() {
                let start = at;
                if let Some((end, value)) = self.longest_at(tokens, start) {
                    at = end;
                    return Some((start..end, value));
                }
                at += 1;
            }
            None
        })
    }
}

/// The most rows of words that one phrase may stand for at any point.
const MOST_ENDS: usize = 2048;

/// The choices of the first element of a phrase, and what follows it.
fn element(phrase: &str) -> Result<(impl Iterator<Item = &str>, &str), String> {
    let open = phrase.chars().next().filter(|c| matches!(c, '[' | '('));
    let (choices, behind) = if let Some(open) = open {
        let close = if open == '[' { ']' } else { ')' };
        let end = phrase
            .find(close)
            .ok_or_else(|| format!("«{open}» without «{close}»"))?;
        (&phrase[1..end], &phrase[end + 1..])
    } else {
        phrase.split_at(phrase.find(char::is_whitespace).unwrap_or(phrase.len()))
    };
    // a stroke that stands alone is the mark itself
    let parts = open.is_some() || choices.len() > 1;
    let left_out = (open == Some('[')).then_some("");
    let choices = choices.split(move |c| parts && c == '|');
    Ok((choices.chain(left_out), behind))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(text: &str) -> Vec<&str> {
        Lexicon::default()
            .tokens(text)
            .iter()
            .map(|t| t.span.of(text))
            .collect()
    }

    #[test]
    fn tokens_keep_numbers_and_marks() {
        assert_eq!(
            words("(26) An FAA-certificated A&P, § 65.104(b)."),
            [
                "(",
                "26",
                ")",
                "An",
                "FAA",
                "certificated",
                "A",
                "&",
                "P",
                ",",
                "§",
                "65.104",
                "(",
                "b",
                ")",
                "."
            ]
        );
        assert_eq!(
            words("owner’s 1,000 - 8130.2F"),
            ["owner’s", "1,000", "-", "8130.2F"]
        );
    }

    #[test]
    fn phrases_bear_case_breaks_and_hyphens() {
        let mut lexicon = Lexicon::default();
        let mut set = PhraseSet::default();
        set.add(
            &mut lexicon,
            "[appropriately] rated [faa certificated] mechanic|mechanics",
            7,
        )
        .unwrap();
        let text = "An Appropriately\nrated FAA-certificated mechanic and a rated MECHANIC";
        let tokens = lexicon.tokens(text);
        let found: Vec<_> = set
            .find(&tokens)
            .map(|(r, v)| {
                (
                    Span::new(tokens[r.start].span.start, tokens[r.end - 1].span.end).of(text),
                    *v,
                )
            })
            .collect();
        assert_eq!(
            found,
            [
                ("Appropriately\nrated FAA-certificated mechanic", 7),
                ("rated MECHANIC", 7)
            ]
        );
    }

    #[test]
    fn bad_phrases_are_refused() {
        let mut lexicon = Lexicon::default();
        let mut set = PhraseSet::default();
        assert!(set.add(&mut lexicon, "[only]", ()).is_err());
        assert!(set.add(&mut lexicon, "[only", ()).is_err());
    }
}
