//! The tokens of a clause → the terminals of the parser: phrases of the files of words, citations,
//! labels of lists, quotations, and open words.

use std::sync::Arc;

use super::chart::Terminal;
use super::value::{Force, Head, Value, f, feature, insp};
use super::{Around, category};
use crate::model::{Citation, Span};
use crate::patterns::rules::{Category, Rules, Words, mark};
use crate::patterns::{Patterns, Token, TokenKind, WordList, WordLists};
use crate::text::registration::mark_of;

/// Words of the files with their categories and meanings, ready for the parser.
#[derive(Debug)]
pub(crate) struct Lexemes {
    /// By file and class.
    classes: Vec<Vec<(Category, Value)>>,
    pub(super) words: Arc<Words>,
    pub(super) lists: Arc<WordLists>,
    /// The letters of each word that a misread word may have been; see [`letters`].
    letters: Vec<u32>,
    pub(super) cite: Category,
    label: Category,
    number: Category,
    pub(super) quote: Category,
    blank: Category,
    pub(super) open: Category,
    pub(super) loose: Category,
    pub(super) unrelated: Category,
    pub(super) decides_unrelated: Category,
    pub(super) term: Category,
    only_at_end: Category,
    pub(super) noun: Category,
    craft: Category,
    pub(super) not_inspection: Category,
    /// What no open words run over: how many hours an inspection is for, its sole inspector.
    pub(super) not_open: Category,
}

/// What a piece is that is no plain word: a citation, a label, a quotation, a blank.
pub(super) type Special = Option<(Category, Value)>;

/// The most letters beside the figures of a number of a clause: "12b", "2nd".
const LONGEST_LETTERED: usize = 2;

/// A sentence of a clause, as the parser takes it.
pub(crate) struct Sentence {
    /// Token indexes of the text, for each word of the sentence.
    pub(crate) tokens: Vec<(usize, usize)>,
    /// The word of each, 0 where it is unknown.
    pub(crate) words: Vec<u32>,
    /// Phrases by the word after their last.
    pub(crate) terminals: Vec<Vec<Terminal>>,
    /// The first token of each word; that of a citation or a label is no word.
    pub(super) row: Vec<Token>,
    /// What is no plain word.
    pub(super) special: Vec<Special>,
    /// Unknown words that may be a misread word that decides.
    pub(crate) suspects: Vec<usize>,
}

impl Sentence {
    /// A word of it in small letters; empty behind the end. That of a citation or a label is its first token.
    pub(super) fn word(&self, text: &str, tokens: &[Token], at: usize) -> String {
        let token = self.tokens.get(at).map(|(from, _)| &tokens[*from]);
        token.map_or_else(String::new, |t| t.span.of(text).to_ascii_lowercase())
    }
}

impl Lexemes {
    /// What a cited rule says of a person who holds authority under it, or of the inspection that it
    /// asks for.
    fn rule_of(&self, citation: &Citation) -> u64 {
        let of_title = (citation.title == 14).then_some(citation);
        if let Some(of_persons) = of_title.and_then(person_rule) {
            return of_persons;
        }
        let of_another = |c: &Citation| {
            let section = c.target.split('(').next().unwrap_or_default().trim();
            self.lists.has(section, WordList::OtherInspectionRule)
        };
        if of_title.is_some_and(of_another) {
            f::ELSEWHERE | f::OTHER_INSPECTION
        } else {
            f::ELSEWHERE
        }
    }

    /// Makes the meanings of the words.
    ///
    /// # Errors
    /// A sentence that says which meaning is none, or which category is nowhere.
    pub(crate) fn new(patterns: &Patterns) -> Result<Self, String> {
        let words = &patterns.grammar.compiled_words;
        let rules = &patterns.grammar.compiled_rules;
        let file_of = |m: usize| {
            let has =
                |classes: &Vec<(Category, u16)>| classes.iter().any(|c| usize::from(c.1) == m);
            let file = words.classes.iter().position(has);
            file.and_then(|n| patterns.grammar.words.get(n))
        };
        let meanings = words
            .meanings
            .iter()
            .enumerate()
            .map(|(n, means)| {
                meaning(means).ok_or_else(|| {
                    let file = file_of(n).map_or("word", String::as_str);
                    format!(
                        "{file}.toml: means = \"{means}\" is no meaning; see src/grammar/value.rs"
                    )
                })
            })
            .collect::<Result<Vec<_>, _>>()?;
        let classes = words
            .classes
            .iter()
            .map(|file| {
                let of_class =
                    |&(category, m): &(Category, u16)| (category, meanings[m as usize].clone());
                file.iter().map(of_class).collect()
            })
            .collect();
        let category = |name| category(rules, name);
        Ok(Self {
            classes,
            words: Arc::clone(words),
            lists: Arc::clone(&patterns.list),
            letters: words.sensitive.iter().map(|s| letters(s)).collect(),
            cite: category("CITE")?,
            label: category("LABEL")?,
            number: category("NUMBER")?,
            quote: category("QUOTE")?,
            blank: category("BLANK")?,
            open: category("OPEN")?,
            loose: category("LOOSE")?,
            unrelated: category("UNRELATED")?,
            decides_unrelated: category("DECIDESUNRELATED")?,
            term: category("TERM")?,
            only_at_end: category("ONLYEND")?,
            noun: category("N")?,
            craft: category("CRAFT")?,
            not_inspection: category("NOTIN")?,
            not_open: category("NOTOPEN")?,
        })
    }

    /// Makes a sentence of the tokens `range`.
    pub(crate) fn sentence(
        &self,
        text: &str,
        tokens: &[Token],
        range: std::ops::Range<usize>,
        around: &Around<'_>,
    ) -> Sentence {
        let Around {
            citations,
            labels,
            terms,
            mark,
        } = *around;
        let (pieces, special) = self.pieces(text, tokens, range, citations, labels);
        let row: Vec<Token> = pieces
            .iter()
            .zip(&special)
            .map(|(&(from, _), special)| {
                let mut token = tokens[from];
                if special.is_some() {
                    token.word = 0;
                }
                token
            })
            .collect();
        let words: Vec<u32> = row.iter().map(|t| t.word).collect();
        let suspects: Vec<usize> = (0..row.len())
            .filter(|&at| special[at].is_none() && words[at] == 0)
            .filter(|&at| self.suspect(row[at].span.of(text), row[at].kind))
            .collect();
        let terminals = self.terminals(text, &row, &special, terms, mark);
        Sentence {
            tokens: pieces,
            words,
            terminals,
            row,
            special,
            suspects,
        }
    }

    /// The phrases that the files of words know, by the word after their last.
    fn terminals(
        &self,
        text: &str,
        row: &[Token],
        special: &[Special],
        terms: &[Vec<u32>],
        mark: Option<&str>,
    ) -> Vec<Vec<Terminal>> {
        let words: Vec<u32> = row.iter().map(|t| t.word).collect();
        let mut terminals: Vec<Vec<Terminal>> = (0..=row.len()).map(|_| Vec::new()).collect();
        let mut push = |start: usize, end: usize, category: Category, value: &Value| {
            terminals[end].push(Terminal {
                start: narrow(start),
                category,
                value: value.clone(),
            });
        };
        let mut within_term = 0;
        for (at, special) in special.iter().enumerate() {
            if at < within_term {
                continue;
            }
            // a term that the letter defines is nothing but that term
            if let Some(term) = terms.iter().find(|t| words[at..].starts_with(t)) {
                within_term = at + term.len();
                push(at, within_term, self.term, &Value::Unit);
                continue;
            }
            if let Some((category, value)) = special {
                push(at, at + 1, *category, value);
                continue;
            }
            let short = row[at].span.of(text);
            if mark.is_some() && mark_of(short).as_deref() == mark {
                push(at, at + 1, self.craft, &Value::Unit);
            }
            // "100hour" is no number of a clause
            let letters = short.chars().filter(|c| c.is_alphabetic()).count();
            if row[at].kind == TokenKind::Number && letters <= LONGEST_LETTERED
                || short.len() == 1 && short.as_bytes()[0].is_ascii_alphabetic()
            {
                push(at, at + 1, self.number, &Value::Unit);
            }
            // "by A only", at the end of its clause: a limit on A, and not on what follows
            let next = row.get(at + 1).map_or(".", |t| t.span.of(text));
            if (short.eq_ignore_ascii_case("only") || self.lists.has(short, WordList::Solely))
                && matches!(next, "." | ";" | "," | ")" | ":")
            {
                push(at, at + 1, self.only_at_end, &Value::Unit);
            }
            for (end, meanings) in self.words.phrases.all_at(row, at) {
                for &[file, class] in meanings {
                    let (category, value) = &self.classes[file as usize][class as usize];
                    push(at, end, *category, value);
                }
            }
        }
        terminals
    }

    /// The terms that a text defines: in quotation marks, or "an X is …" where the files of words
    /// know X as a term.
    pub(crate) fn terms(&self, text: &str, tokens: &[Token], rules: &Rules) -> Vec<Vec<u32>> {
        let named = rules.known("TERMN");
        let heads = rules.known("TERMHEAD");
        let naming = rules.known("NAMING");
        let of_class = |k: usize, class| self.is_phrase(tokens, k, class);
        let is = |k: usize, words: &[&str]| {
            tokens
                .get(k)
                .is_some_and(|t| words.iter().any(|w| t.is(text, w)))
        };
        let quote = |k: usize| is(k, &["\"", "“", "”"]);
        let mut out = self.quoted_terms(text, tokens, rules);
        let mut take = |from: usize, end: usize| {
            let words: Vec<u32> = tokens[from..end].iter().map(|t| t.word).collect();
            if !words.contains(&0) && !out.contains(&words) {
                out.push(words);
            }
        };
        for at in 0..tokens.len() {
            for (end, meanings) in self.words.phrases.all_at(tokens, at) {
                let has = |class: Option<Category>| self.is_one(meanings, class);
                let defined = is(end, &["means"])
                    || is(end, &["is", "are"])
                        && is(end + 1, &["a", "an", "any", "one", "either", "the", "("])
                    || is(end, &["shall"]) && is(end + 1, &["mean"])
                    || is(end, &[","])
                        && is(end + 1, &["it", "this", "that", "they"])
                        && is(end + 2, &["means", "mean"])
                    || is(end, &[":"]) && (at == 0 || is(at - 1, &[".", ")", ";"]));
                if has(named) && (quote(end) || defined) {
                    take(at, end);
                }
                // any other name of a person or a party that stands in quotation marks, is said to mean
                // somebody, or is what others are referred to as
                if has(heads) {
                    let from = (at.saturating_sub(LONGEST_TERM)..at)
                        .rev()
                        .take_while(|&k| {
                            tokens[k].kind == TokenKind::Word && !is(k, &["a", "an", "the", "any"])
                        })
                        .take_while(|&k| !of_class(k, naming))
                        .last()
                        .unwrap_or(at);
                    let before = from.checked_sub(1);
                    let determined = before.filter(|&k| is(k, &["a", "an", "the", "any"]));
                    let verb = determined.and_then(|k| k.checked_sub(1));
                    let referred = verb.is_some_and(|k| of_class(k, naming));
                    let means = is(end, &["means", "mean"])
                        || is(end, &["shall"]) && is(end + 1, &["mean"]);
                    let named = before.is_some_and(quote) && quote(end)
                        || determined.is_some() && (means || referred);
                    if named && from < at {
                        take(from, end);
                    }
                }
            }
        }
        out
    }

    /// Whatever stands in quotation marks and is said to mean somebody, or is what somebody is called.
    fn quoted_terms(&self, text: &str, tokens: &[Token], rules: &Rules) -> Vec<Vec<u32>> {
        let calling = rules.known("CALLING");
        let means = rules.known("MEANS");
        let is = |k: usize, words: &[&str]| {
            tokens
                .get(k)
                .is_some_and(|t| words.iter().any(|w| t.is(text, w)))
        };
        let quote = |k: usize| is(k, &["\"", "“", "”"]);
        let of_class = |k: usize, class| self.is_phrase(tokens, k, class);
        let mut out: Vec<Vec<u32>> = Vec::new();
        for at in 0..tokens.len() {
            let end = (at + 2..=at + 1 + LONGEST_TERM).find(|&k| quote(k));
            let Some(end) = end.filter(|_| quote(at)) else {
                continue;
            };
            let before = at.checked_sub(1);
            let article = before.filter(|&k| is(k, &["a", "an", "the"]));
            let opening = article.map_or(before, |k| k.checked_sub(1));
            // "marked EXPERIMENTAL" names nobody
            let called = (article.is_some() || end > at + 2)
                && opening.is_some_and(|k| of_class(k, calling));
            let named = called || of_class(end + 1, means);
            let words: Vec<u32> = tokens[at + 1..end].iter().map(|t| t.word).collect();
            if named && (at + 1..end).all(|k| self.may_name(tokens, k)) && !out.contains(&words) {
                out.push(words);
            }
        }
        out
    }

    /// Whether a phrase of a class begins at a token.
    fn is_phrase(&self, tokens: &[Token], at: usize, class: Option<Category>) -> bool {
        let mut found = self.words.phrases.all_at(tokens, at);
        found.any(|(_, meanings)| self.is_one(meanings, class))
    }

    fn is_one(&self, meanings: &[[u16; 2]], class: Option<Category>) -> bool {
        let of = |&[f, c]: &[u16; 2]| Some(self.classes[f as usize][c as usize].0);
        class.is_some() && meanings.iter().any(|m| of(m) == class)
    }

    /// Whether a word may stand in the name that a letter gives to somebody: none that decides, and no inspection.
    fn may_name(&self, tokens: &[Token], at: usize) -> bool {
        let token = &tokens[at];
        let marks = self.words.marks.get(&token.word).copied().unwrap_or(0);
        token.kind == TokenKind::Word
            && token.word != 0
            && marks & (mark::DECIDES | mark::INSPECTION) == 0
    }

    /// Tokens put together: citations, labels, quotations and blanks are one piece each.
    fn pieces(
        &self,
        text: &str,
        tokens: &[Token],
        range: std::ops::Range<usize>,
        citations: &[Citation],
        labels: &[Span],
    ) -> (Vec<(usize, usize)>, Vec<Special>) {
        let mut pieces = Vec::new();
        let mut special = Vec::new();
        let mut at = range.start;
        let mut last_label: Option<&str> = None;
        let mut depth = 0_usize;
        let marks = |k: &usize| matches!(tokens[*k].span.of(text), "\"" | "“" | "”" | "«" | "»");
        let unpaired = range.clone().filter(marks).count() % 2 == 1;
        while at < range.end {
            let token = &tokens[at];
            let words = token.span.of(text);
            let to = |end: usize| {
                (at + 1..range.end)
                    .find(|&k| tokens[k].span.start >= end)
                    .unwrap_or(range.end)
            };
            let label = labels.partition_point(|l| l.start < token.span.start);
            let label = labels.get(label).filter(|l| l.start == token.span.start);
            let cited = citations.partition_point(|c| c.span.start < token.span.start);
            // "§ 65.109(a); or (b) a mechanic": behind a semicolon a letter is the next item
            let follows = words == "("
                && at + 1 < range.end
                && last_label.is_some_and(|l| follows_label(l, tokens[at + 1].span.of(text)));
            let item = follows
                || words == "("
                    && text[..token.span.start]
                        .trim_end_matches(['o', 'r', 'a', 'n', 'd', ' ', '\n'])
                        .ends_with([';', ',']);
            let cited = citations
                .get(cited)
                .filter(|c| c.span.start == token.span.start && !item);
            let (end, what) = if let Some(label) = label {
                let end = with_its_stop(text, &tokens[..range.end], to(label.end));
                (end, Some((self.label, Value::Unit)))
            } else if let Some(citation) = cited {
                (
                    to(citation.span.end),
                    Some((self.cite, Value::Features(self.rule_of(citation)))),
                )
            } else if let Some(end) = bracketed_label(text, tokens, at, range.end) {
                last_label = Some(tokens[at + 1].span.of(text));
                (end, Some((self.label, Value::Unit)))
            } else if let Some(end) = half_label(text, tokens, at, range.end).filter(|_| depth == 0)
            {
                (end, Some((self.label, Value::Unit)))
            } else if let Some(end) = self.blank_end(text, tokens, at, range.end) {
                (end, Some((self.blank, Value::Unit)))
            } else if let Some(end) = quotation_end(text, tokens, at, range.end) {
                (end, Some((self.quote, Value::Unit)))
            } else if is_bullet(words) && starts_line(text, token.span.start) {
                (at + 1, Some((self.label, Value::Unit)))
            } else {
                (at + 1, None)
            };
            match words {
                "(" if what.is_none() => depth += 1,
                ")" => depth = depth.saturating_sub(1),
                _ => {}
            }
            // A quotation mark that nothing closes quotes nothing: inches, dirt, markup.
            let stray = end == at + 1 && unpaired && marks(&at);
            if !stray {
                pieces.push((at, end));
                special.push(what);
            }
            at = end;
        }
        (pieces, special)
    }

    /// `____`, `……`, `[insert name]`.
    fn blank_end(&self, text: &str, tokens: &[Token], at: usize, end: usize) -> Option<usize> {
        let words = tokens[at].span.of(text);
        let run = |mark: &str| {
            (at..end)
                .take_while(|&k| tokens[k].span.of(text) == mark)
                .count()
        };
        if words == "_" && run("_") >= 3 {
            return Some(at + run("_"));
        }
        if words == "[" {
            let close = (at + 1..end.min(at + 40)).find(|&k| tokens[k].span.of(text) == "]")?;
            // "[15]" refers to a clause
            if close == at + 2 && tokens[at + 1].span.of(text).len() <= 3 {
                return None;
            }
            return Some(close + 1);
        }
        None
    }

    /// Whether an unknown word may be a word that decides, misread or mistyped, or holds signs
    /// that no word of the language has.
    fn suspect(&self, word: &str, kind: TokenKind) -> bool {
        match kind {
            TokenKind::Mark => !word.is_ascii() && !"“”‘’–—§•·…°½¼¾«»¶′″®™©".contains(word),
            TokenKind::Number => {
                // "0nly", "1nspection"
                word.chars().any(char::is_alphabetic) && self.close_to_sensitive(word)
            }
            TokenKind::Word => {
                if !word.is_ascii()
                    && word
                        .chars()
                        .any(|c| !c.is_ascii() && !matches!(c, '\u{c0}'..='\u{24f}' | '’' | '‘'))
                {
                    return true;
                }
                word.len() >= 2 && self.close_to_sensitive(word)
            }
        }
    }

    /// The sensitive words that may be at most so many edits away: an edit takes one letter away and
    /// brings another at most.
    fn like(&self, word: &str, most: u32) -> impl Iterator<Item = &String> {
        let own = letters(word);
        self.words
            .sensitive
            .iter()
            .zip(&self.letters)
            .filter(move |(_, its)| (own ^ **its).count_ones() <= 2 * most)
            .map(|(word, _)| word)
    }

    /// Whether a word that nothing knows may be a sensitive one, misread or mistyped.
    fn close_to_sensitive(&self, word: &str) -> bool {
        let low = word.to_ascii_lowercase();
        let folded = unconfused(&low);
        let read = |w: &str| {
            self.words
                .sensitive
                .binary_search_by(|s| s.as_str().cmp(w))
                .is_ok()
        };
        if read(&folded)
            || low != folded
                && self
                    .like(&folded, 1)
                    .any(|s| s.len() > 3 && within(&folded, s, 1))
        {
            return true;
        }
        self.like(&low, 2).any(|s| {
            let most = match s.len() {
                0..=4 => return false,
                5..=7 => 1,
                _ => 2,
            };
            low.len().abs_diff(s.len()) <= most && within(&low, s, most)
        })
    }
}

/// Which letters a word holds, a bit for each; every other sign counts as one letter more.
fn letters(word: &str) -> u32 {
    word.bytes().fold(0, |all, b| match b {
        b'a'..=b'z' => all | 1 << (b - b'a'),
        _ => all | 1 << 26,
    })
}

/// Signs that OCR takes for one another, as the letters that they stand for.
fn unconfused(word: &str) -> String {
    let mut out = word.to_owned();
    for (read, meant) in [
        ("rn", "m"),
        ("ni", "m"),
        ("iii", "m"),
        ("vv", "w"),
        ("0", "o"),
        ("1", "l"),
        ("5", "s"),
        ("|", "l"),
        ("!", "l"),
    ] {
        out = out.replace(read, meant);
    }
    out
}

/// Whether two words are at most `most` edits apart; a swap of neighbours is one.
fn within(a: &str, b: &str, most: usize) -> bool {
    let (a, b): (Vec<char>, Vec<char>) = (a.chars().collect(), b.chars().collect());
    if a.len().abs_diff(b.len()) > most {
        return false;
    }
    let mut before: Vec<usize> = Vec::new();
    let mut last: Vec<usize> = (0..=b.len()).collect();
    for i in 1..=a.len() {
        let mut row = vec![i; b.len() + 1];
        for j in 1..=b.len() {
            let cost = usize::from(a[i - 1] != b[j - 1]);
            row[j] = (last[j] + 1).min(row[j - 1] + 1).min(last[j - 1] + cost);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                row[j] = row[j].min(before[j - 2] + 1);
            }
        }
        // a row of which every place is beyond, and the one before it, leads nowhere
        if row.iter().chain(&last).all(|&edits| edits > most) {
            return false;
        }
        before = last;
        last = row;
    }
    last[b.len()] <= most
}

pub(super) fn narrow(n: usize) -> u16 {
    u16::try_from(n).unwrap_or(u16::MAX)
}

/// The end of a label with the stop or bracket behind it.
fn with_its_stop(text: &str, tokens: &[Token], mut end: usize) -> usize {
    while end < tokens.len() && matches!(tokens[end].span.of(text), ")" | ".") && tokens[end].glued
    {
        end += 1;
    }
    end
}

fn is_bullet(words: &str) -> bool {
    matches!(
        words,
        "•" | "*" | "·" | "▪" | "○" | "–" | "-" | "—" | "●" | "□"
    )
}

fn starts_line(text: &str, at: usize) -> bool {
    text[..at].trim_end_matches([' ', '\t']).ends_with('\n') || text[..at].trim().is_empty()
}

/// `(a)`, `(1)`, `(iv)` between blanks: a label of a list that runs in its sentence.
fn bracketed_label(text: &str, tokens: &[Token], at: usize, end: usize) -> Option<usize> {
    let is = |k: usize, s: &str| k < end && tokens[k].span.of(text) == s;
    if !is(at, "(") || !is(at + 2, ")") {
        return None;
    }
    is_label(tokens[at + 1].span.of(text)).then_some(at + 3)
}

/// `a)`, `1)`, `iv)` outside brackets, `1.` before a small letter: the same with half a bracket or
/// a stop.
fn half_label(text: &str, tokens: &[Token], at: usize, end: usize) -> Option<usize> {
    let behind = tokens[at + 1..end].first().filter(|t| t.glued)?;
    let label = tokens[at].span.of(text);
    let goes_on = || {
        let next = tokens[at + 2..end].first().map(|t| t.span.of(text));
        next.is_some_and(|w| w.starts_with(|c: char| c.is_ascii_lowercase()))
    };
    let closes = match behind.span.of(text) {
        ")" => is_label(label),
        "." => label.len() <= 2 && label.bytes().all(|b| b.is_ascii_digit()) && goes_on(),
        _ => false,
    };
    closes.then_some(at + 2)
}

/// A letter, a number or a small Roman numeral.
fn is_label(inner: &str) -> bool {
    inner.len() == 1 && inner.as_bytes()[0].is_ascii_alphanumeric()
        || inner.len() == 2 && inner.bytes().all(|b| b.is_ascii_digit())
        || inner.len() <= 4
            && inner
                .bytes()
                .all(|b| matches!(b.to_ascii_lowercase(), b'i' | b'v' | b'x'))
}

/// Whether a label is the next after another: "(a) … or (b)".
fn follows_label(last: &str, label: &str) -> bool {
    match (last.parse::<u32>(), label.parse::<u32>()) {
        (Ok(a), Ok(b)) => b == a + 1,
        (Err(_), Err(_)) if last.len() == 1 && label.len() == 1 => {
            label.as_bytes()[0] == last.as_bytes()[0].wrapping_add(1)
        }
        (Err(_), Err(_)) => matches!(
            (last, label),
            ("i", "ii") | ("ii", "iii") | ("iii", "iv") | ("iv", "v")
        ),
        _ => false,
    }
}

/// Words before the head of the longest term that a letter defines.
const LONGEST_TERM: usize = 3;

/// Words and marks of the longest quotation; an entry of a logbook has a hundred.
const LONGEST_QUOTATION: usize = 500;

/// The end of a quotation that starts here: `"… "`, of at least two words.
fn quotation_end(text: &str, tokens: &[Token], at: usize, end: usize) -> Option<usize> {
    let open = tokens[at].span.of(text);
    if !matches!(open, "\"" | "“" | "«") {
        return None;
    }
    let close = (at + 1..end.min(at + LONGEST_QUOTATION))
        .find(|&k| matches!(tokens[k].span.of(text), "\"" | "”" | "»"))?;
    // a short one is a term: "authorized inspector"
    (close - at > 5).then_some(close + 1)
}

/// What a rule of title 14 says of a person who holds authority under it; `None` where it is not about persons.
fn person_rule(citation: &Citation) -> Option<u64> {
    // Letters of paragraphs are capitals in a letter typed in capitals.
    let (section, paragraphs) = citation
        .target
        .split_once('(')
        .unwrap_or((&citation.target, ""));
    let small = match paragraphs {
        "" => section.to_owned(),
        _ => format!("{section}({}", paragraphs.to_ascii_lowercase()),
    };
    let target = small.as_str();
    let starts = |s: &str| target.starts_with(s);
    Some(if starts("65.104") {
        f::S65_104
    } else if starts("65.107") {
        f::S65_107
    } else if starts("65.109(a)") {
        f::S65_109A
    } else if starts("65.109(b)") {
        f::S65_109B
    } else if starts("65.109") {
        f::S65_109
    } else if starts("65.101") || starts("65.103") {
        f::S65_101
    } else if [
        "65.71",
        "65.81",
        "65.85",
        "65.87",
        "65.83",
        "part 65 subpart D",
    ]
    .iter()
    .any(|s| starts(s))
    {
        f::MECHANIC_RULE
    } else if target == "part 65" {
        f::PART_65
    } else if starts("part 145") || starts("145.") {
        f::PART_145
    } else if starts("43.3") || target == "43.7" || target == "part 43" {
        f::S43_3
    } else if ["65.91", "65.92", "65.93", "65.95"]
        .iter()
        .any(|s| starts(s))
    {
        f::IA
    } else {
        return None;
    })
}

/// A meaning as files of words give it.
fn meaning(means: &str) -> Option<Value> {
    if means.is_empty() {
        return Some(Value::Unit);
    }
    let (what, names) = means.split_once('=')?;
    let mut parts = names.split('+');
    Some(match what {
        "head" => {
            let head = Head::named(parts.next()?)?;
            let mut bits = 0;
            for part in parts {
                bits |= feature(part)?;
            }
            Value::Nouns(vec![(head, bits)])
        }
        "features" => {
            let mut bits = 0;
            for part in parts {
                bits |= feature(part)?;
            }
            Value::Features(bits)
        }
        "inspection" => Value::Inspections(insp::named(names)?),
        "force" => Value::Force(Force {
            mode: super::value::Mode::named(names)?,
            only: false,
            also: false,
        }),
        _ => return None,
    })
}
