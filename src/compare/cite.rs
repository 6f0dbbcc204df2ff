//! Citations as a comparison needs them: which words cite, and which rule, whatever the form.
//!
//! `§ 91.319(b)`, `FAR 91.319(b)`, `14 CFR § 91.319(b)`, `section 91.319(b)` and a bare
//! `91.319(b)` are one target; `appendix D to part 43` and `14 CFR part 43, appendix D` are
//! another one.

use std::ops::Range;

use super::tokens::{DiffToken, DiffTokenKind};
use crate::patterns::WordList;

/// A citation by its tokens.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Cited {
    /// The tokens that cite.
    pub(super) tokens: Range<usize>,
    /// `91.319(b)`, `part 43`, `part 43 appendix d`.
    pub(super) target: String,
}

/// Folded words, asked for by index; past the end there are none.
#[derive(Clone, Copy)]
struct Words<'a>(&'a [DiffToken]);

impl<'a> Words<'a> {
    fn at(&self, n: usize) -> &'a str {
        self.0.get(n).map_or("", |a| &a.word)
    }

    fn is(&self, n: usize, words: &[&str]) -> bool {
        words.contains(&self.at(n))
    }

    fn is_in(&self, n: usize, list: WordList) -> bool {
        self.0.get(n).is_some_and(|a| a.is_in(list))
    }

    fn kind(&self, n: usize) -> Option<DiffTokenKind> {
        self.0.get(n).map(|a| a.kind)
    }

    /// No blank stands before the token.
    fn glued(&self, n: usize) -> bool {
        match (n.checked_sub(1).and_then(|n| self.0.get(n)), self.0.get(n)) {
            (Some(a), Some(b)) => a.span.end == b.span.start,
            _ => false,
        }
    }
}

/// The citations of a text, in order, without overlap.
pub(super) fn citations(tokens: &[DiffToken]) -> Vec<Cited> {
    let words = Words(tokens);
    let mut out = Vec::new();
    let mut at = 0;
    while at < tokens.len() {
        if let Some(cited) = appendix_first(words, at)
            .or_else(|| part(words, at))
            .or_else(|| section(words, at))
        {
            at = cited.tokens.end.max(at + 1);
            out.push(cited);
        } else {
            at += 1;
        }
    }
    out
}

/// Past `14 CFR`, `title 14`, `FAR`, `the`.
fn lead(words: Words<'_>, mut at: usize) -> usize {
    if words.is(at, &["14"]) && words.is_in(at + 1, WordList::Cfr) {
        at += 2;
    }
    if words.is_in(at, WordList::Far) {
        at += 1;
    }
    at
}

fn section(words: Words<'_>, start: usize) -> Option<Cited> {
    let mut at = lead(words, start);
    let mut marked = at > start;
    while words.is(at, &["§"]) || words.is_in(at, WordList::SectionSign) {
        marked = true;
        at += 1;
        if words.is(at, &["."]) && words.kind(at + 1) == Some(DiffTokenKind::Number) {
            at += 1;
        }
    }
    if words.kind(at) != Some(DiffTokenKind::Number) {
        return None;
    }
    let number = words.at(at);
    let (part, rest) = number.split_once('.')?;
    let digits = |s: &str, most: usize| {
        (1..=most).contains(&s.len()) && s.bytes().all(|b| b.is_ascii_digit())
    };
    if !digits(part, 3) || !digits(rest, 4) || rest.starts_with('0') {
        return None;
    }
    if !marked && !PARTS_CITED_BARE.contains(&part) {
        return None;
    }
    at += 1;
    let mut target = number.to_owned();
    // Paragraphs: each in its own brackets.
    while words.is(at, &["("])
        && words.is(at + 2, &[")"])
        && words.at(at + 1).chars().count() <= 4
        && (words.glued(at) || marked)
    {
        target.push('(');
        target.push_str(words.at(at + 1));
        target.push(')');
        at += 3;
    }
    Some(Cited {
        tokens: start..at,
        target,
    })
}

/// Parts of title 14 whose sections letters cite without any mark. A bare number such as
/// `62.5` stays a number.
const PARTS_CITED_BARE: [&str; 10] = ["1", "21", "23", "43", "45", "47", "61", "65", "91", "103"];

fn part(words: Words<'_>, start: usize) -> Option<Cited> {
    let mut at = lead(words, start);
    let far = at > start;
    let said = words.is_in(at, WordList::Parts);
    if said {
        at += 1;
    }
    let number = words.at(at);
    if !(far || said)
        || words.kind(at) != Some(DiffTokenKind::Number)
        || number.len() > 3
        || !number.bytes().all(|b| b.is_ascii_digit())
    {
        return None;
    }
    at += 1;
    let mut target = format!("part {number}");
    let after = at + usize::from(words.is(at, &[","]));
    if words.is_in(after, WordList::Appendix) && is_letter(words.at(after + 1)) {
        target = format!("{target} {} {}", words.at(after), words.at(after + 1));
        at = after + 2;
    }
    Some(Cited {
        tokens: start..at,
        target,
    })
}

fn appendix_first(words: Words<'_>, start: usize) -> Option<Cited> {
    if !words.is_in(start, WordList::Appendix)
        || !is_letter(words.at(start + 1))
        || !words.is(start + 2, &["to", "of"])
    {
        return None;
    }
    let part = part(words, start + 3)?;
    // A part, and nothing of it yet.
    if part.target.split(' ').count() != 2 {
        return None;
    }
    Some(Cited {
        target: format!(
            "{} {} {}",
            part.target,
            words.at(start),
            words.at(start + 1)
        ),
        tokens: start..part.tokens.end,
    })
}

fn is_letter(word: &str) -> bool {
    word.len() == 1 && word.bytes().all(|b| b.is_ascii_alphabetic())
}

/// Paragraphs of rules that moved while their words stayed: old place, new place, what moved it.
///
/// Source: 69 FR 44772 (2004-07-27), which put light-sport paragraphs (e) to (h) before it, as
/// told by the wordings of both times; grade I.
const MOVED: [(&str, &str); 1] = [("91.319(e)", "91.319(i)")];

/// Today's place of a paragraph that moved.
pub(super) fn moved_to(target: &str) -> Option<&'static str> {
    MOVED
        .iter()
        .find(|(old, _)| *old == target)
        .map(|(_, new)| *new)
}

#[cfg(test)]
mod tests {
    use super::super::tokens::tokens;
    use super::*;
    use crate::patterns::Patterns;

    fn targets(text: &str) -> Vec<String> {
        citations(&tokens(text, &Patterns::embedded().unwrap().list))
            .into_iter()
            .map(|c| c.target)
            .collect()
    }

    #[test]
    fn every_form_is_one_target() {
        for text in [
            "under § 91.319(b),",
            "under FAR 91.319(b),",
            "under 14 CFR § 91.319(b),",
            "under 14 CFR 91.319 (b),",
            "under section 91.319(b),",
            "under FAR section 91.319(b),",
            "under Part 91.319(b),",
            "under 91.319(b),",
        ] {
            assert_eq!(targets(text), ["91.319(b)"], "{text}");
        }
        for text in [
            "detail of appendix D to part 43, or",
            "detail of 14 CFR part 43, appendix D, or",
            "detail of Part 43, Appendix D, or",
            "detail of FAR Part 43 Appendix D or",
            "detail of appendix D of FAR 43 or",
        ] {
            assert_eq!(targets(text), ["part 43 appendix d"], "{text}");
        }
        assert_eq!(
            targets("FAR 91, as well as FAR Part 43"),
            ["part 91", "part 43"]
        );
        assert!(targets("62.5 hours, 2.5 gallons, (26), 12 months").is_empty());
    }
}
