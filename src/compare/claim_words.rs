//! A claim in the words of a clause: its frame taken off, a question turned into a statement, and
//! the words of owners and mechanics put as letters put them.

use super::claim_roles::role_at;
use super::{claim_forms, claim_labels};
use crate::patterns::{ClaimRole, Patterns, Token, TokenKind, WordList};

/// A sentence of a claim as a clause would say it.
pub(super) struct Plain {
    /// The words.
    pub(super) words: String,
    /// The clause that the claim names.
    pub(super) label: Option<String>,
    /// It is said of one person, who speaks of himself.
    pub(super) of_one: bool,
}

/// A sentence of a claim as a clause would say it: without its frame, no question, in the words
/// of letters. One blank stands between words.
#[must_use]
pub fn in_plain_words(sentence: &str, patterns: &Patterns) -> String {
    // Any small number may be the number of a clause.
    let known = |label: &str| label.len() <= 2;
    plain(sentence, &known, patterns).words
}

/// The sentence of a claim as a clause would say it; `known` tells the numbers of clauses.
pub(super) fn plain(sentence: &str, known: &dyn Fn(&str) -> bool, patterns: &Patterns) -> Plain {
    let named = claim_labels::off(sentence, known, patterns);
    let of_one = claim_forms::of_a_person(&named.words, patterns);
    let said_of_one = of_one.is_some();
    let sentence = of_one.unwrap_or(named.words);
    let tokens = patterns.claim().tokens(&sentence);
    let said = Said {
        sentence: &sentence,
        tokens: &tokens,
        patterns,
    };
    let frame = said.frame();
    let order = said.order(&frame);
    let joined = said.joined(&order);
    let formed = claim_forms::in_the_form_of_a_clause(&joined, patterns).unwrap_or(joined);
    Plain {
        words: in_words_of_letters(&formed, patterns),
        label: named.label,
        of_one: said_of_one,
    }
}

/// A token of the claim, or words put in.
enum Piece<'p> {
    Token(usize),
    Words(&'p str),
}

/// What leads a claim in, and what is left of it.
struct Frame<'p> {
    start: usize,
    end: usize,
    /// The auxiliary that the frame stands for: "the letter lets", "clause 3 forbids".
    grants: Option<&'p str>,
}

/// A sentence of a claim.
struct Said<'s> {
    sentence: &'s str,
    tokens: &'s [Token],
    patterns: &'s Patterns,
}

impl<'s> Said<'s> {
    fn text(&self, n: usize) -> &'s str {
        self.tokens.get(n).map_or("", |t| t.span.of(self.sentence))
    }

    fn is(&self, n: usize, word: &str) -> bool {
        self.text(n).eq_ignore_ascii_case(word)
    }

    fn listed(&self, n: usize, list: WordList) -> bool {
        self.patterns.list.has(self.text(n), list)
    }

    fn role(&self, at: usize, role: ClaimRole) -> Option<(usize, &'s str)> {
        role_at(self.tokens, at, role, self.patterns)
    }

    /// The token after words that lead a claim in: "it is plain that", "my mechanic claims that".
    fn led_in(&self, at: usize) -> Option<usize> {
        let hearsay = self
            .role(at, ClaimRole::Speaker)
            .and_then(|(verb, _)| self.role(verb, ClaimRole::Tells));
        let frame = self.role(at, ClaimRole::Frame);
        frame.max(hearsay).map(|(end, _)| end)
    }

    fn frame(&self) -> Frame<'s> {
        let mut frame = Frame {
            start: 0,
            end: self.tokens.len(),
            grants: None,
        };
        loop {
            let at = frame.start;
            if let Some(next) = self.led_in(at) {
                frame.start = next;
            } else if let Some((verb, _)) = self.role(at, ClaimRole::Paper)
                && self.role(verb, ClaimRole::Grants).is_some()
            {
                frame.start = verb;
            } else {
                break;
            }
            // "It keeps all flights within": nobody is kept from anything.
            let keeps = self.listed(frame.start, WordList::Keep);
            let from = (frame.start..frame.end).any(|n| self.is(n, "from"));
            if let Some((next, means)) = self.role(frame.start, ClaimRole::Grants)
                && (from || !keeps)
            {
                frame.grants = Some(means);
                frame.start = next;
                break;
            }
            while frame.start < frame.end && matches!(self.text(frame.start), "," | ":" | ";") {
                frame.start += 1;
            }
        }
        // A frame behind: "only a mechanic can sign, it says".
        if let Some(comma) = (frame.start..frame.end).rev().find(|n| self.is(*n, ",")) {
            let mut last = frame.end;
            while last > comma && self.tokens[last - 1].kind == TokenKind::Mark {
                last -= 1;
            }
            if last <= comma + 1 {
                frame.end = comma;
            }
            if self.led_in(comma + 1) == Some(last) {
                frame.end = comma;
            }
        }
        frame
    }

    /// The words in the order of a clause.
    fn order(&self, frame: &Frame<'s>) -> Vec<Piece<'s>> {
        let (start, end) = (frame.start, frame.end);
        let found = match frame.grants {
            Some(means) => self.granted(frame, means),
            None => self
                .asked(start, end)
                .or_else(|| self.unless(start, end))
                .or_else(|| self.neither(start, end))
                .or_else(|| self.needs(start, end)),
        };
        found.unwrap_or_else(|| (start..end).map(Piece::Token).collect())
    }

    fn pieces(range: std::ops::Range<usize>) -> impl Iterator<Item = Piece<'s>> {
        range.map(Piece::Token)
    }

    /// "Can a mechanic perform it?": a mechanic can perform it.
    fn asked(&self, start: usize, end: usize) -> Option<Vec<Piece<'s>>> {
        if end <= start || !self.is(end - 1, "?") {
            return None;
        }
        let (after, _) = self.role(start, ClaimRole::Asks)?;
        let verb = (after + 1..end).find(|n| self.role(*n, ClaimRole::Verb).is_some())?;
        let order = Self::pieces(after..verb)
            .chain(Self::pieces(start..after))
            .chain(Self::pieces(verb..end - 1));
        Some(order.collect())
    }

    /// "The letter lets a mechanic perform it", "bars a mechanic from it": a mechanic may
    /// perform it, may not perform it.
    fn granted(&self, frame: &Frame<'s>, means: &'s str) -> Option<Vec<Piece<'s>>> {
        let (start, end) = (frame.start, frame.end);
        let last = if self.is(end - 1, "?") { end - 1 } else { end };
        let before = |n: usize| self.is(n, "to") || self.is(n, "from");
        if let Some(from) = (start + 1..last).find(|n| self.is(*n, "from")) {
            let (rest, _) = self
                .role(from + 1, ClaimRole::Doing)
                .unwrap_or((from + 1, ""));
            let order = Self::pieces(start..from)
                .chain([Piece::Words(means), Piece::Words("perform")])
                .chain(Self::pieces(rest..last));
            return Some(order.collect());
        }
        let Some(verb) = (start + 1..last).find(|n| self.role(*n, ClaimRole::Verb).is_some())
        else {
            // "It forbids aerobatic flight": aerobatic flight may not be conducted.
            let words = |n: &usize| self.tokens[*n].kind != TokenKind::Mark;
            let last = (start..last).rev().find(words).map_or(last, |n| n + 1);
            let end = (start..last).find(|n| self.is(*n, ":")).unwrap_or(last);
            let order = Self::pieces(start..end)
                .chain([Piece::Words(means), Piece::Words("be done")])
                .chain(Self::pieces(end..last));
            return Some(order.collect());
        };
        let whom = if before(verb - 1) { verb - 1 } else { verb };
        let order = Self::pieces(start..whom)
            .chain([Piece::Words(means)])
            .chain(Self::pieces(verb..last));
        Some(order.collect())
    }

    /// "Unless you are a mechanic you may not perform it": only a mechanic may perform it.
    fn unless(&self, start: usize, end: usize) -> Option<Vec<Piece<'s>>> {
        let (who, _) = self.role(start, ClaimRole::Unless)?;
        let barred = (who..end).find(|n| self.role(*n, ClaimRole::YouMayNot).is_some())?;
        let (act, _) = self.role(barred, ClaimRole::YouMayNot)?;
        let to = if self.is(barred - 1, ",") {
            barred - 1
        } else {
            barred
        };
        let order = [Piece::Words("only")]
            .into_iter()
            .chain(Self::pieces(who..to))
            .chain([Piece::Words("may")])
            .chain(Self::pieces(act..end));
        Some(order.collect())
    }

    /// "Neither a mechanic nor the builder may": a mechanic and the builder may not.
    fn neither(&self, start: usize, end: usize) -> Option<Vec<Piece<'s>>> {
        if !self.is(start, "neither") {
            return None;
        }
        let nor = (start + 1..end).find(|n| self.is(*n, "nor"))?;
        let verb = (nor + 1..end).find(|n| self.role(*n, ClaimRole::Asks).is_some())?;
        let order = Self::pieces(start + 1..nor)
            .chain([Piece::Words("and")])
            .chain(Self::pieces(nor + 1..verb + 1))
            .chain([Piece::Words("not")])
            .chain(Self::pieces(verb + 1..end));
        Some(order.collect())
    }

    /// "You need a mechanic for the inspection": a mechanic must perform it.
    fn needs(&self, start: usize, end: usize) -> Option<Vec<Piece<'s>>> {
        let (who, means) = self.role(start, ClaimRole::Needs)?;
        let act = (who..end).find(|n| self.role(*n, ClaimRole::ForInspection).is_some())?;
        let (rest, _) = self.role(act, ClaimRole::ForInspection)?;
        let order = Self::pieces(who..act)
            .chain([Piece::Words(means)])
            .chain(Self::pieces(rest..end));
        Some(order.collect())
    }

    /// The words as one text. What joins the parts of a word, a hyphen, is no token.
    fn joined(&self, order: &[Piece<'s>]) -> String {
        let mut out = String::new();
        let mut before: Option<usize> = None;
        for piece in order {
            match piece {
                Piece::Token(n) => {
                    let token = &self.tokens[*n];
                    match before.and_then(|b| self.tokens.get(b)) {
                        Some(b) if token.glued && before == n.checked_sub(1) => {
                            out.push_str(&self.sentence[b.span.end..token.span.start]);
                        }
                        _ if out.is_empty() => {}
                        _ if token.glued && token.kind == TokenKind::Mark => {}
                        _ => out.push(' '),
                    }
                    // An auxiliary that has left the head of its question has no capital.
                    if *n == 0 && !out.is_empty() {
                        out.push_str(&self.text(*n).to_lowercase());
                    } else {
                        out.push_str(self.text(*n));
                    }
                    before = Some(*n);
                }
                Piece::Words(words) => {
                    if !out.is_empty() {
                        out.push(' ');
                    }
                    out.push_str(words);
                    before = None;
                }
            }
        }
        out
    }
}

/// The same with words of owners replaced by words of letters.
pub(super) fn in_words_of_letters(sentence: &str, patterns: &Patterns) -> String {
    let tokens = patterns.claim().tokens(sentence);
    let comma = |n: usize| tokens.get(n).is_some_and(|t| t.span.of(sentence) == ",");
    let last = tokens
        .iter()
        .rposition(|t| t.kind != TokenKind::Mark)
        .map_or(0, |n| n + 1);
    let mut out = String::new();
    let (mut at, mut gap) = (0, 0);
    while let Some(token) = tokens.get(at) {
        let aside = at + usize::from(comma(at));
        if let Some((end, _)) = role_at(&tokens, aside, ClaimRole::Aside, patterns) {
            at = end + usize::from(comma(end));
            gap = tokens[at - 1].span.end;
            continue;
        }
        if !out.is_empty() {
            let between = &sentence[gap..token.span.start];
            let replaced = role_at(&tokens, at, ClaimRole::Means, patterns).is_some();
            out.push_str(if between.contains(char::is_whitespace) || replaced {
                " "
            } else {
                between
            });
        }
        let means = role_at(&tokens, at, ClaimRole::Ends, patterns)
            .filter(|(end, _)| *end == last)
            .or_else(|| role_at(&tokens, at, ClaimRole::Begins, patterns).filter(|_| at == 0))
            .or_else(|| role_at(&tokens, at, ClaimRole::Means, patterns));
        at = if let Some((end, means)) = means {
            out.push_str(means);
            end
        } else {
            // "65.104" is a section, whether or not its sign stands before it.
            let words = token.span.of(sentence);
            if is_section(words) && !after_a_sign(&tokens, at, sentence, patterns) {
                out.push_str("§ ");
            }
            out.push_str(words);
            at + 1
        };
        gap = tokens[at - 1].span.end;
    }
    out
}

/// Whether a number is that of a section of the rules on certificates, work and flight.
fn is_section(words: &str) -> bool {
    words.split_once('.').is_some_and(|(part, section)| {
        matches!(part, "21" | "43" | "45" | "61" | "65" | "91" | "145")
            && section.starts_with(|c: char| c.is_ascii_digit())
    })
}

/// Whether "§", "FAR" or "section" stands before a token, or another section of the same row.
fn after_a_sign(tokens: &[Token], at: usize, sentence: &str, patterns: &Patterns) -> bool {
    let before = at.checked_sub(1).and_then(|n| tokens.get(n));
    before.is_some_and(|t| {
        let word = t.span.of(sentence);
        let lists = patterns.list.of(word);
        word == "§"
            || [WordList::Cfr, WordList::Far, WordList::SectionSign]
                .iter()
                .any(|list| lists.has(*list))
            || word == "." && t.glued
    })
}
