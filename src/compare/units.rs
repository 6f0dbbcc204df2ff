//! Tokens, and citations as one unit each, as numbers that are compared.

use std::collections::HashMap;
use std::ops::Range;

use super::cite::Cited;
use super::tokens::DiffToken;

/// Numbers for keys, shared by the texts that are compared.
#[derive(Debug, Default)]
pub(super) struct Keys {
    numbers: HashMap<Box<str>, u32>,
}

impl Keys {
    fn number(&mut self, word: &str) -> u32 {
        if let Some(number) = self.numbers.get(word) {
            return *number;
        }
        let next = u32::try_from(self.numbers.len()).unwrap_or(u32::MAX);
        self.numbers.insert(word.into(), next);
        next
    }

    /// What makes each token equal to another one.
    pub(super) fn of(&mut self, tokens: &[DiffToken]) -> Vec<u32> {
        tokens.iter().map(|a| self.number(&a.word)).collect()
    }

    /// The tokens with each citation as one unit, whose words are its key: another form of the
    /// same citation is a difference that is shown.
    pub(super) fn units(&mut self, tokens: &[DiffToken], cited: &[Cited]) -> Vec<Unit> {
        let mut out = Vec::with_capacity(tokens.len());
        let mut cited = cited.iter().enumerate().peekable();
        let mut at = 0;
        while let Some(token) = tokens.get(at) {
            while cited.next_if(|(_, c)| c.tokens.start < at).is_some() {}
            let unit = match cited.next_if(|(_, c)| c.tokens.start == at) {
                Some((n, c)) if !c.tokens.is_empty() => {
                    // A token is no sign with words behind it.
                    let mut key = "§".to_owned();
                    for part in tokens.get(c.tokens.clone()).unwrap_or_default() {
                        key.push(' ');
                        key.push_str(&part.word);
                    }
                    Unit {
                        key: self.number(&key),
                        tokens: c.tokens.clone(),
                        citation: Some(n),
                    }
                }
                _ => Unit {
                    key: self.number(&token.word),
                    tokens: at..at + 1,
                    citation: None,
                },
            };
            at = unit.tokens.end;
            out.push(unit);
        }
        out
    }
}

/// One token, or a whole citation.
#[derive(Clone, Debug)]
pub(super) struct Unit {
    /// What makes it equal to another one.
    pub(super) key: u32,
    /// The tokens.
    pub(super) tokens: Range<usize>,
    /// Index of the citation.
    pub(super) citation: Option<usize>,
}
