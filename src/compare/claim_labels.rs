//! The clause that a claim names: "clause 26 says", "under 26", "number 10", "says 22". The claim
//! is held against that clause, and the number counts nothing in it.

use super::claim_roles::role_at;
use super::words::{WordRole, role};
use crate::patterns::{ClaimRole, Patterns, Token, TokenKind, WordList};

/// A sentence of a claim without the clause that it names.
pub(super) struct Named {
    /// The words that are left; a clause that does something is "this letter" there.
    pub(super) words: String,
    /// The number of the clause.
    pub(super) label: Option<String>,
}

/// The number of a clause where it stands.
struct Found<'t> {
    label: &'t str,
    end: usize,
    /// It is the subject of what follows: "clause 26 reserves it to".
    subject: bool,
}

struct Words<'t> {
    text: &'t str,
    tokens: &'t [Token],
    known: &'t dyn Fn(&str) -> bool,
    patterns: &'t Patterns,
}

/// What stands behind "clause": a number, or a letter or Roman number in capitals.
fn is_label(words: &str) -> bool {
    words.len() <= 5
        && (words.starts_with(|c: char| c.is_ascii_digit())
            || !words.is_empty() && words.chars().all(|c| c.is_ascii_uppercase()))
}

impl<'t> Words<'t> {
    fn word(&self, at: usize) -> &'t str {
        self.tokens.get(at).map_or("", |t| t.span.of(self.text))
    }

    fn role(&self, at: usize, role: ClaimRole) -> Option<usize> {
        role_at(self.tokens, at, role, self.patterns).map(|(end, _)| end)
    }

    fn does(&self, word: &str) -> WordRole {
        role(word, self.patterns.list.of(word))
    }

    fn is_mark(&self, at: usize) -> bool {
        self.tokens
            .get(at)
            .is_some_and(|t| t.kind == TokenKind::Mark)
    }

    fn verb(&self, at: usize) -> bool {
        [ClaimRole::Says, ClaimRole::Grants, ClaimRole::Rules]
            .iter()
            .any(|r| self.role(at, *r).is_some())
            || self.word(at) == "="
    }

    /// Whether a number counts nothing: no measure and no noun follows it.
    fn counts_nothing(&self, at: usize) -> bool {
        let next = self.word(at + 1).to_lowercase();
        let number = |n: usize| {
            self.tokens
                .get(n)
                .is_some_and(|t| t.kind == TokenKind::Number)
        };
        let row = matches!(&*next, "and" | "or" | "to") && number(at + 2);
        let free = next.is_empty()
            || self.is_mark(at + 1)
            || self.verb(at + 1)
            || !matches!(self.does(&next), WordRole::Content | WordRole::Measure);
        free && !row
    }

    fn known(&self, at: usize) -> bool {
        self.tokens
            .get(at)
            .is_some_and(|t| t.kind == TokenKind::Number)
            && (self.known)(self.word(at))
            && self.counts_nothing(at)
    }

    /// "Clause 26", "under 26", "#26", and 26 as the subject of a verb.
    fn number(&self, at: usize) -> Option<Found<'t>> {
        let labelled = self.role(at, ClaimRole::Label).and_then(|end| {
            let end = end + usize::from(self.is_mark(end));
            is_label(self.word(end)).then_some(end)
        });
        let led = || self.role(at, ClaimRole::Leads).filter(|n| self.known(*n));
        let signed = || (self.word(at) == "#" && self.known(at + 1)).then_some(at + 1);
        let before = self.word(at.wrapping_sub(1)).to_lowercase();
        let begins = at == 0
            || self.is_mark(at - 1)
            || matches!(&*before, "that" | "so" | "because" | "where" | "how" | "if");
        let alone = || (begins && self.known(at) && self.verb(at + 1)).then_some(at);
        let n = labelled.or_else(led).or_else(signed).or_else(alone)?;
        let first = self.word(at).to_lowercase();
        let said = self.role(n + 1, ClaimRole::Says);
        let end = said.unwrap_or(n + 1 + usize::from(self.word(n + 1) == "="));
        let adjunct = at != n && self.does(&first) == WordRole::Light && first != "the"
            || matches!(&*first, "under" | "per" | "according" | "if")
            || self.patterns.list.has(&first, WordList::Says);
        let word = self
            .tokens
            .get(end)
            .is_some_and(|t| t.kind == TokenKind::Word);
        Some(Found {
            label: self.word(n),
            end,
            subject: !adjunct && said.is_none() && word && end == n + 1,
        })
    }
}

/// The claim without the numbers of the clauses of the letter; `known` tells them.
pub(super) fn off(text: &str, known: &dyn Fn(&str) -> bool, patterns: &Patterns) -> Named {
    let tokens = patterns.claim().tokens(text);
    let words = Words {
        text,
        tokens: &tokens,
        known,
        patterns,
    };
    let mut out = String::new();
    let mut label = None;
    let (mut at, mut from) = (0, 0);
    while at < tokens.len() {
        // "Required by limitation 9" says which inspection, not which clause.
        let refers = words
            .role(at, ClaimRole::Refers)
            .and_then(|next| words.number(next));
        if let Some(found) = refers {
            at = found.end;
        } else if let Some(found) = words.number(at) {
            let asked = at > 0 && matches!(&*words.word(at - 1).to_lowercase(), "does" | "do");
            let start = tokens[at - usize::from(asked)].span.start.max(from);
            out.push_str(&text[from..start]);
            if found.subject {
                out.push_str("this letter");
            }
            label.get_or_insert_with(|| found.label.to_owned());
            from = tokens[found.end - 1].span.end;
            at = found.end;
        } else {
            at += 1;
        }
    }
    out.push_str(&text[from..]);
    let words = out.trim_start_matches(|c: char| c.is_whitespace() || ",:;".contains(c));
    Named {
        words: words.trim_end().to_owned(),
        label,
    }
}

/// The text without references to clauses: "required by limitation 9" counts nothing.
pub(super) fn without_references(text: &str, patterns: &Patterns) -> String {
    let tokens = patterns.claim().tokens(text);
    let words = Words {
        text,
        tokens: &tokens,
        known: &|_| false,
        patterns,
    };
    let mut out = String::new();
    let (mut at, mut from) = (0, 0);
    while at < tokens.len() {
        if let Some(found) = words.number(at) {
            out.push_str(&text[from..tokens[at].span.start]);
            from = tokens[found.end - 1].span.end;
            at = found.end;
        } else {
            at += 1;
        }
    }
    out.push_str(&text[from..]);
    out
}
