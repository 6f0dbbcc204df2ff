//! What a clause is made of, for finding the clause that says the same thing: its words by their
//! stems, its citations by their targets, weighted by how rare they are.

use std::sync::Arc;

use rustc_hash::FxHashMap as HashMap;

use super::cite;
use super::tokens::{DiffToken, DiffTokenKind, tokens};
use super::words::{self, WordRole};
use crate::patterns::{Patterns, WordList, WordLists};

/// A feature of a clause with how often it occurs and how much it tells.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Feature {
    /// A hash of the words.
    pub(super) id: u64,
    count: f64,
    /// How much it tells: the logarithm of how rare it is among the texts counted; 0 until
    /// [`Vocabulary::weigh`].
    pub(super) weight: f64,
}

/// The words of a clause: by meaning, and exact words with pairs of words. Ascending by id.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Bag {
    /// Stems and citations.
    pub(super) meaning: Vec<Feature>,
    /// Exact words and pairs of words.
    pub(super) exact: Vec<Feature>,
}

/// How many texts have a feature. Never walked through, so its order does not matter.
#[derive(Clone, Debug, Default)]
pub(super) struct Vocabulary {
    frequency: HashMap<u64, u32>,
    texts: u32,
}

/// Where places in the rules that have moved are today. Never walked through, so its order does
/// not matter.
#[derive(Clone, Debug, Default)]
pub(super) struct Moved {
    places: HashMap<String, String>,
    /// The lists of words by which texts are read.
    lists: Arc<WordLists>,
}

impl Moved {
    pub(super) fn of(patterns: &Patterns) -> Self {
        let files = patterns.outdated.files.iter().map(|loaded| &loaded.file);
        Self {
            places: files
                .filter(|file| !file.now.is_empty())
                .map(|file| (file.citation.clone(), file.now.clone()))
                .collect(),
            lists: Arc::clone(&patterns.list),
        }
    }

    /// A citation by today's place: `91.42(b)` is `91.319(b)`.
    fn today(&self, target: &str) -> u64 {
        if let Some(now) = self.places.get(target) {
            return FeatureKind::Cites.hash(&[now]);
        }
        let (section, paragraph) = target.split_at(target.find('(').unwrap_or(target.len()));
        let section = self.places.get(section).map_or(section, String::as_str);
        FeatureKind::Cites.hash(&[&format!("{section}{paragraph}")])
    }
}

/// What a feature is, so that no two kinds have one number.
#[derive(Clone, Copy)]
enum FeatureKind {
    Cites,
    Number,
    Role,
    Stem,
}

impl FeatureKind {
    const fn name(self) -> &'static str {
        match self {
            Self::Cites => "cites",
            Self::Number => "number",
            Self::Role => "role",
            Self::Stem => "stem",
        }
    }

    fn hash(self, words: &[&str]) -> u64 {
        fold(fold(EMPTY, &[self.name()]), words)
    }
}

/// The hash of nothing.
const EMPTY: u64 = 0xcbf2_9ce4_8422_2325;

/// FNV-1a: the same number on every machine and in every run.
fn fold(mut hash: u64, parts: &[&str]) -> u64 {
    for part in parts {
        for byte in part.bytes().chain([0xff]) {
            hash = (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3);
        }
    }
    hash
}

fn hash(parts: &[&str]) -> u64 {
    fold(EMPTY, parts)
}

impl Bag {
    /// The bag of a clause without its number.
    pub(super) fn of(body: &str, moved: &Moved) -> Self {
        let body = without_inserts(body);
        let tokens = tokens(&body, &moved.lists);
        let cited = cite::citations(&tokens);
        let mut meaning: Vec<u64> = cited.iter().map(|c| moved.today(&c.target)).collect();
        let mut exact = Vec::with_capacity(tokens.len() * 2);
        let mut before = "";
        let mut after_phase = false;
        let mut citations = cited.iter().peekable();
        for (n, token) in tokens.iter().enumerate() {
            if !matches!(token.kind, DiffTokenKind::Word | DiffTokenKind::Number) {
                continue;
            }
            let word: &str = &token.word;
            while citations.next_if(|c| c.tokens.end <= n).is_some() {}
            if !citations.peek().is_some_and(|c| c.tokens.contains(&n)) {
                meaning.extend(meaning_of(token, after_phase));
            }
            exact.push(hash(&[word]));
            if !before.is_empty() {
                exact.push(hash(&[before, word]));
            }
            after_phase = token.is_in(WordList::Phase);
            before = word;
        }
        Self {
            meaning: counted(meaning),
            exact: counted(exact),
        }
    }

    /// Weight of what the clause says.
    pub(super) fn mass(&self) -> f64 {
        mass(&self.meaning)
    }

    /// Weight of its exact words.
    pub(super) fn exact_mass(&self) -> f64 {
        mass(&self.exact)
    }
}

fn counted(mut ids: Vec<u64>) -> Vec<Feature> {
    ids.sort_unstable();
    let mut out: Vec<Feature> = Vec::with_capacity(ids.len());
    for id in ids {
        match out.last_mut() {
            Some(last) if last.id == id => last.count += 1.0,
            _ => out.push(Feature {
                id,
                count: 1.0,
                weight: 0.0,
            }),
        }
    }
    out
}

impl Vocabulary {
    /// Counts the features of a bag: the more texts have one, the less it tells.
    pub(super) fn count(&mut self, bag: &Bag) {
        self.texts += 1;
        for feature in bag.meaning.iter().chain(&bag.exact) {
            *self.frequency.entry(feature.id).or_insert(0) += 1;
        }
    }

    /// Gives the features of a bag their weights.
    pub(super) fn weigh(&self, bag: &mut Bag) {
        for feature in bag.meaning.iter_mut().chain(&mut bag.exact) {
            let n = self.frequency.get(&feature.id).copied().unwrap_or(0);
            feature.weight = (1.0 + f64::from(self.texts) / (f64::from(n) + 0.5)).ln();
        }
    }
}

/// The sum of the weights of a row of features.
fn mass(row: &[Feature]) -> f64 {
    row.iter().map(|f| f.weight * f.count).sum()
}

/// The sum of the weights of what two rows share.
pub(super) fn shared(a: &[Feature], b: &[Feature]) -> f64 {
    let (mut i, mut j, mut sum) = (0, 0, 0.0);
    while let (Some(f), Some(g)) = (a.get(i), b.get(j)) {
        match f.id.cmp(&g.id) {
            std::cmp::Ordering::Less => i += 1,
            std::cmp::Ordering::Greater => j += 1,
            std::cmp::Ordering::Equal => {
                sum += f.weight * f.count.min(g.count);
                i += 1;
                j += 1;
            }
        }
    }
    sum
}

/// What a word means for finding the same clause; none for words without weight.
fn meaning_of(token: &DiffToken, after_phase: bool) -> Option<u64> {
    if let Some(number) = words::number(&token.word, after_phase) {
        return Some(FeatureKind::Number.hash(&[&number]));
    }
    Some(match token.role {
        WordRole::Light | WordRole::Joint => return None,
        WordRole::Leave => FeatureKind::Role.hash(&["may"]),
        WordRole::Duty => FeatureKind::Role.hash(&["must"]),
        WordRole::Limiter => FeatureKind::Role.hash(&["only"]),
        WordRole::Negation => FeatureKind::Role.hash(&["not"]),
        WordRole::Content | WordRole::Measure | WordRole::Advice | WordRole::Condition => {
            // The first letters: «inspect», «inspection» and «inspected» are one.
            let stem = token.stem();
            let end = stem.char_indices().nth(6).map_or(stem.len(), |(at, _)| at);
            FeatureKind::Stem.hash(&[stem.get(..end).unwrap_or(stem)])
        }
    })
}

/// The text without what stands in square brackets: an instruction, or a place to write in.
fn without_inserts(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(open) = rest.find('[') {
        let Some(len) = rest[open..].find(']') else {
            break;
        };
        out.push_str(&rest[..open]);
        out.push(' ');
        rest = &rest[open + len + 1..];
    }
    out.push_str(rest);
    out
}

/// A clause without its number at the head, its item number and its applicability mark at the
/// end, where a text is given that was not split into clauses.
pub(super) fn body(text: &str) -> &str {
    let text = text.trim();
    let head = label_len(text).unwrap_or(0);
    without_tail(text.get(head..).unwrap_or("").trim_start())
}

/// A clause without an item number and an applicability mark at its end.
pub(super) fn without_tail(text: &str) -> &str {
    let mut body = text.trim_end();
    loop {
        let Some(open) = body.ends_with(')').then(|| body.rfind('(')).flatten() else {
            return body;
        };
        let inner = body.get(open + 1..body.len() - 1).unwrap_or("").trim();
        let item =
            !inner.is_empty() && inner.len() <= 3 && inner.bytes().all(|b| b.is_ascii_digit());
        let before = body.get(..open).unwrap_or("").trim_end();
        let sentence_over = before.ends_with(['.', ']', ')', '"', '”', ':', ';']);
        if (item && sentence_over) || inner.to_lowercase().starts_with("applicability") {
            body = before;
        } else {
            return body;
        }
    }
}

/// Length of `(26)`, `26.`, `26)`, `[10]`, `(a)` at the head of a text.
fn label_len(text: &str) -> Option<usize> {
    let open = text.starts_with(['(', '[']);
    let rest = text.get(usize::from(open)..)?;
    let len = rest
        .find(|c: char| !c.is_ascii_alphanumeric())
        .unwrap_or(rest.len());
    let name = rest.get(..len)?;
    let digits = name.bytes().all(|b| b.is_ascii_digit()) && (1..=3).contains(&len);
    let letter = len == 1;
    if !(digits || open && letter) {
        return None;
    }
    let close = rest.get(len..)?.chars().next()?;
    let closes = match close {
        ')' => true,
        ']' => open,
        '.' => !open && rest.get(len + 1..)?.starts_with(char::is_whitespace),
        _ => false,
    };
    closes.then_some(usize::from(open) + len + 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_body_has_no_number() {
        for (text, expected) in [
            ("(26) No person.", "No person."),
            ("[10] No person.", "No person."),
            ("26. No person.", "No person."),
            ("26) No person. (15)", "No person."),
            ("1. No person. (Applicability: All)", "No person."),
            ("(a) No person.", "No person."),
            ("91.319 applies (see 26)", "91.319 applies (see 26)"),
            ("No person (15) may", "No person (15) may"),
            ("", ""),
        ] {
            assert_eq!(body(text), expected);
        }
    }
}
