//! Sentences of a claim that no clause would have: what somebody says of himself, commands,
//! lists behind "names three", put into the form of a clause.

use super::claim_roles::role_at;
use crate::patterns::{ClaimRole, Patterns, Token, TokenKind, WordList};

struct Words<'t> {
    text: &'t str,
    tokens: Vec<Token>,
    patterns: &'t Patterns,
}

impl<'t> Words<'t> {
    fn of(text: &'t str, patterns: &'t Patterns) -> Self {
        Self {
            text,
            tokens: patterns.claim().tokens(text),
            patterns,
        }
    }

    fn len(&self) -> usize {
        self.tokens.len()
    }

    fn is(&self, at: usize, any: &[&str]) -> bool {
        let word = self.tokens.get(at).map_or("", |t| t.span.of(self.text));
        any.iter().any(|w| w.eq_ignore_ascii_case(word))
    }

    fn listed(&self, at: usize, list: WordList) -> bool {
        let word = self.tokens.get(at).map_or("", |t| t.span.of(self.text));
        self.patterns.list.has(word, list)
    }

    fn role(&self, at: usize, role: ClaimRole) -> Option<(usize, &'t str)> {
        role_at(&self.tokens, at, role, self.patterns)
    }

    /// The text of tokens.
    fn slice(&self, from: usize, to: usize) -> &'t str {
        match (self.tokens.get(from), self.tokens.get(to.wrapping_sub(1))) {
            (Some(a), Some(b)) if from < to => &self.text[a.span.start..b.span.end],
            _ => "",
        }
    }

    /// The end of the sentence without its marks.
    fn last(&self) -> usize {
        let words = self.tokens.iter().rposition(|t| t.kind != TokenKind::Mark);
        words.map_or(0, |n| n + 1)
    }
}

/// The verb of somebody who speaks of himself, said of a third person.
fn third(word: &str, patterns: &Patterns) -> Option<String> {
    let word = word.to_lowercase();
    Some(match word.as_str() {
        "have" => "has".to_owned(),
        "am" => "is".to_owned(),
        _ if patterns.list.has(&word, WordList::OfHimself) => format!("{word}s"),
        _ if patterns.list.has(&word, WordList::Built) => word,
        _ => return None,
    })
}

/// What somebody says of himself, said of such a person: "I hold X, so I may", "as an X I may".
pub(super) fn of_a_person(sentence: &str, patterns: &Patterns) -> Option<String> {
    let words = Words::of(sentence, patterns);
    if let Some(of_him) = said_by_himself(&words) {
        return Some(of_him);
    }
    let me = (1..words.len())
        .find(|n| words.is(*n - 1, &["so", ","]) && words.role(*n, ClaimRole::Myself).is_some())?;
    let (act, means) = words.role(me, ClaimRole::Myself)?;
    let before = if words.is(me - 1, &["so"]) {
        me - 1
    } else {
        me
    };
    let end = before - usize::from(words.is(before - 1, &[","]));
    let rest = words.slice(act, words.len());
    if words.is(0, &["as"]) && words.is(1, &["a", "an", "the"]) {
        return Some(format!("{} {means} {rest}", words.slice(1, end)));
    }
    if !words.is(0, &["i"]) {
        return None;
    }
    let mut who = String::from("A person who ");
    let mut from = words.tokens[1].span.start;
    for n in 1..end {
        let span = words.tokens[n].span;
        let begins = n == 1 || words.is(n - 1, &["and", "i"]);
        if words.is(n, &["i"]) {
            who.push_str(&sentence[from..span.start]);
            from = words.tokens[n + 1].span.start;
        } else if let Some(said) = third(words.slice(n, n + 1), patterns).filter(|_| begins) {
            who.push_str(&sentence[from..span.start]);
            who.push_str(&said);
            from = span.end;
        }
    }
    who.push_str(&sentence[from..words.tokens[end - 1].span.end]);
    Some(format!("{who} {means} {rest}"))
}

/// "My mechanic, who is rated, says that the letter permits him to perform it": a mechanic, who is
/// rated, may perform it.
fn said_by_himself(words: &Words<'_>) -> Option<String> {
    let says = (2..words.len()).find(|n| words.listed(*n, WordList::Speaks))?;
    let paper = says + 1 + usize::from(words.is(says + 1, &["that"]));
    let (verb, _) = words.role(paper, ClaimRole::Paper)?;
    let (him, means) = words.role(verb, ClaimRole::Grants)?;
    if !words.is(him, &["him", "her"]) || !words.is(0, &["my", "our", "your", "the", "a"]) {
        return None;
    }
    let act = him + 1 + usize::from(words.is(him + 1, &["to"]));
    Some(format!(
        "A {} {means} {}",
        words.slice(1, says),
        words.slice(act, words.len())
    ))
}

/// "My friend is a mechanic." "He may perform it.": a mechanic may perform it.
pub(super) fn looked_back(before: &str, sentence: &str, patterns: &Patterns) -> Option<String> {
    let words = Words::of(sentence, patterns);
    if !words.is(0, &["he", "she", "they"]) {
        return None;
    }
    let who = Words::of(before, patterns);
    let is = (1..who.len())
        .find(|n| who.is(n - 1, &["is", "am", "are"]) && who.is(*n, &["a", "an", "the"]))?;
    Some(format!(
        "{} {}",
        who.slice(is, who.last()),
        words.slice(1, words.len())
    ))
}

/// Commands, "no carrying of", "not even if he holds", and lists, as a clause would say them.
pub(super) fn in_the_form_of_a_clause(sentence: &str, patterns: &Patterns) -> Option<String> {
    let words = Words::of(sentence, patterns);
    if words.role(0, ClaimRole::Command).is_some() {
        let rest = words.slice(1, words.len());
        let verb = words.slice(0, 1).to_lowercase();
        return Some(format!("You must {verb} {rest}"));
    }
    let doing = words.slice(1, 2);
    if words.is(0, &["no"]) && doing.ends_with("ing") && doing.len() > 5 {
        return Some(format!("{} is not allowed.", words.slice(1, words.last())));
    }
    closed_list(&words).or_else(|| even_if(&words))
}

/// "This letter is a closed list: ...": what it lists, and that the list is exhaustive.
fn closed_list(words: &Words<'_>) -> Option<String> {
    let is = words.is(0, &["this"]) && words.listed(1, WordList::Letter) && words.is(2, &["is"]);
    let (end, _) = words.role(4, ClaimRole::Closes).filter(|_| is)?;
    let rest = words.slice(end + 1, words.last());
    (words.is(end, &[":"]) && !rest.is_empty()).then(|| format!("{rest}. The list is exhaustive."))
}

/// "The builder may not, not even if he holds X": the builder who holds X may not.
fn even_if(words: &Words<'_>) -> Option<String> {
    let at = (1..words.len()).find(|n| words.role(*n, ClaimRole::EvenIf).is_some())?;
    let (condition, _) = words.role(at, ClaimRole::EvenIf)?;
    let auxiliary = (1..at).find(|n| {
        words.role(*n, ClaimRole::Asks).is_some() || words.listed(*n, WordList::NegatedAuxiliary)
    })?;
    let end = at - usize::from(words.is(at - 1, &[","]));
    Some(format!(
        "{} who holds {} {}.",
        words.slice(0, auxiliary),
        words.slice(condition, words.last()),
        words.slice(auxiliary, end),
    ))
}

/// A sentence in pieces where somebody spoken of goes on behind a semicolon: "...; he may".
pub(super) fn pieces(sentence: &str) -> Vec<&str> {
    let mut out = Vec::new();
    let mut rest = sentence;
    while let Some(at) = rest.find("; ").filter(|at| {
        let behind = rest[at + 2..].to_lowercase();
        ["he ", "she ", "they "]
            .iter()
            .any(|p| behind.starts_with(p))
    }) {
        out.push(rest[..at].trim());
        rest = rest[at + 2..].trim_start();
    }
    out.push(rest.trim());
    out
}

/// "A big change? Then tell the office.": the fragment is the case of what follows.
pub(super) fn with_its_case(before: &str, sentence: &str, patterns: &Patterns) -> Option<String> {
    let case = Words::of(before, patterns);
    let short = case.len() <= 12 && before.trim_end().ends_with('?');
    let asks = case.role(0, ClaimRole::Asks).is_some() || case.is(0, &["does", "do", "did", "who"]);
    if !short || asks {
        return None;
    }
    let words = Words::of(sentence, patterns);
    let from = usize::from(words.is(0, &["then"]));
    if from == 0 && words.role(0, ClaimRole::Command).is_none() {
        return None;
    }
    let rest = words.slice(from, words.last());
    Some(format!("{rest}, if {}.", case.slice(0, case.last())))
}
