//! Is it a letter? Evidence for and against, weighed.
//!
//! The words and their weights are files (`patterns/evidence/`); the shape of the paper is code:
//! titles, clauses that bind, topics, text for machines. A paper is a letter only where enough
//! speaks for one and little for anything else; where that is not so, nothing is answered.

use crate::model::{Clause, Genre, Span};
use crate::patterns::{EvidenceOf, EvidencePlace, Patterns, Token, TokenKind};

/// What speaks for a letter, and for other papers.
#[derive(Clone, Debug, Default)]
pub struct Tally {
    /// The weight of a title.
    pub title: u32,
    /// The weight of words that only such papers have: certificate, basis, office, rules.
    pub papers: u32,
    /// The weight of the body: its voice, its topics, clauses that bind.
    pub body: u32,
    /// The weight of each other kind, parallel to [`Genre::ALL`].
    pub others: [u32; Genre::ALL.len()],
    /// The words that speak for a letter.
    pub words: Vec<Span>,
    /// The words that speak for another paper.
    pub against: Vec<(Genre, Span)>,
}

/// A letter weighs at least so much.
const ENOUGH: u32 = 7;
/// So much of it has to be in words that only such papers have.
const OWN: u32 = 2;
/// So much of it has to be in what it says.
const BODY: u32 = 3;
/// What weighs at least so much, and as much as the letter, is another paper.
const OTHER: u32 = 4;

/// What the evidence says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Judged {
    /// A letter.
    Letter,
    /// Another paper.
    Other(Genre),
    /// Too little for either.
    Unclear,
}

impl Tally {
    /// Everything that speaks for a letter.
    #[must_use]
    pub const fn letter(&self) -> u32 {
        self.title + self.papers + self.body
    }

    /// The other kind that weighs most.
    #[must_use]
    pub fn other(&self) -> (Genre, u32) {
        let mut best = (Genre::ALL[0], 0);
        for (genre, weight) in Genre::ALL.into_iter().zip(self.others) {
            if weight > best.1 {
                best = (genre, weight);
            }
        }
        best
    }

    /// The judgement.
    #[must_use]
    pub fn judged(&self) -> Judged {
        let (genre, against) = self.other();
        let letter = self.letter();
        let own = self.title + self.papers;
        let body = if self.title > 0 { BODY - 1 } else { BODY };
        let whole = letter >= ENOUGH && own >= OWN && self.body >= body;
        // A title of its own outweighs what its clauses mention; without one, doubt wins.
        let margin = if self.title > 0 { 0 } else { letter / 3 };
        if whole && letter > against + margin {
            Judged::Letter
        } else if against >= OTHER {
            Judged::Other(genre)
        } else {
            Judged::Unclear
        }
    }

    /// Weighs a stretch of the text. `topics` are parallel to `clauses`.
    #[must_use]
    pub fn of(
        text: &str,
        tokens: &[Token],
        within: Span,
        clauses: &[Clause],
        topics: &[Vec<String>],
        patterns: &Patterns,
    ) -> Self {
        let first = tokens.partition_point(|t| t.span.start < within.start);
        let end = tokens.partition_point(|t| t.span.start < within.end);
        let tokens = tokens.get(first..end).unwrap_or_default();
        let mut tally = Self::default();
        let titles = titles(text, within);
        let corrected = corrected(text, tokens, patterns);
        tally.words_of(text, &corrected, &titles, patterns);
        tally.shape_of(text, within, clauses, topics);
        // No letter asks.
        let questions = within.of(text).matches('?').take(3).count();
        tally.others[place_of(Genre::Article)] += 2 * u32::try_from(questions).unwrap_or(0);
        if for_machines(within.of(text)) {
            tally.others[place_of(Genre::Data)] += 20;
        }
        tally
    }

    /// Weighs the words.
    fn words_of(&mut self, text: &str, tokens: &[Token], titles: &[Span], patterns: &Patterns) {
        let known = &patterns.evidence;
        let mut seen: Vec<Vec<String>> = vec![Vec::new(); known.weights.len()];
        let mut counts = vec![0u32; known.weights.len()];
        let mut found: Vec<(usize, Span)> = Vec::new();
        for (at, token) in tokens.iter().enumerate() {
            // "application for amended" hides no "application"
            for (end, files) in known.phrases.all_at(tokens, at) {
                let span = Span::new(token.span.start, tokens[end - 1].span.end);
                found.extend(files.iter().map(|file| (*file, span)));
            }
        }
        let no_title: Vec<Span> = found
            .iter()
            .filter(|(file, _)| known.weights[*file].of == EvidenceOf::NotTitle)
            .map(|(_, span)| *span)
            .collect();
        let mut first_title: Option<(EvidenceOf, usize)> = None;
        for (file, span) in found {
            let Some(weight) = known.weights.get(file) else {
                continue;
            };
            counts[file] += 1;
            let on_title = titles.iter().find(|t| t.contains(span)).filter(|title| {
                weight.of != EvidenceOf::Letter || !no_title.iter().any(|n| title.contains(*n))
            });
            if weight.place == EvidencePlace::Title && on_title.is_none()
                || weight.of == EvidenceOf::NotTitle
            {
                continue;
            }
            if weight.place == EvidencePlace::Title
                && first_title.is_none_or(|(_, at)| span.start < at)
            {
                first_title = Some((weight.of, span.start));
            }
            let word = folded(span.of(text));
            if weight.place != EvidencePlace::Share && !seen[file].contains(&word) {
                seen[file].push(word);
                match weight.of {
                    EvidenceOf::Letter => self.words.push(span),
                    EvidenceOf::Other(genre) => self.against.push((genre, span)),
                    EvidenceOf::NotTitle => {}
                }
            }
        }
        // The first title is that of the paper; one further down is a heading in it.
        let other_first = first_title.is_some_and(|(of, _)| of != EvidenceOf::Letter);
        let words = tokens.iter().filter(|t| t.kind == TokenKind::Word).count();
        for (file, weight) in known.weights.iter().enumerate() {
            let times = match weight.place {
                EvidencePlace::Share => {
                    counts[file] * 100 / u32::try_from(words.max(100)).unwrap_or(u32::MAX)
                }
                _ => u32::try_from(seen[file].len()).unwrap_or(u32::MAX),
            };
            let sum = times.saturating_mul(weight.points).min(weight.most);
            let id = known.files.get(file).map_or("", |f| f.id.as_str());
            match (weight.of, weight.place) {
                (EvidenceOf::Letter, EvidencePlace::Title) if other_first => {}
                (EvidenceOf::Letter, EvidencePlace::Title) => self.title = self.title.max(sum),
                (EvidenceOf::Other(genre), EvidencePlace::Title) if other_first => {
                    self.others[place_of(genre)] += sum * 2;
                }
                (EvidenceOf::Letter, _) if id == VOICE => self.body += sum,
                (EvidenceOf::Letter, _) => self.papers += sum,
                (EvidenceOf::Other(genre), _) => self.others[place_of(genre)] += sum,
                (EvidenceOf::NotTitle, _) => {}
            }
        }
    }

    /// Weighs the shape: topics of clauses, and how many of the clauses bind.
    fn shape_of(&mut self, text: &str, within: Span, clauses: &[Clause], topics: &[Vec<String>]) {
        let mut different: Vec<&str> = Vec::new();
        let (mut all, mut binding) = (0usize, 0usize);
        for (clause, topics) in clauses.iter().zip(topics) {
            let words = clause.body.of(text);
            let here = within.start <= clause.span.start && clause.span.start < within.end;
            if !here || words.split_whitespace().take(4).count() < 4 {
                continue;
            }
            all += 1;
            if !binds(words) {
                continue;
            }
            binding += 1;
            for topic in topics.iter().filter(|t| *t != "other") {
                if !different.contains(&topic.as_str()) {
                    different.push(topic);
                }
            }
        }
        self.body += u32::try_from(different.len().min(4)).unwrap_or(0);
        if binding >= 3 && binding * 2 >= all {
            self.body += if binding >= 8 { 3 } else { 2 };
        }
    }
}

/// The tokens, with words that a scan spoilt taken for those that they plainly are: only what they
/// weigh rests on that.
fn corrected(text: &str, tokens: &[Token], patterns: &Patterns) -> Vec<Token> {
    tokens
        .iter()
        .map(|token| {
            let word = token.span.of(text);
            if token.word != 0 || token.kind == TokenKind::Mark || word.len() < 4 {
                return *token;
            }
            let known = [
                word.replace("rn", "m"),
                word.replace(['l', '1'], "i"),
                word.replace(['1', 'I', '|'], "l"),
                word.replace('0', "o"),
                word.replace('c', "e"),
            ]
            .into_iter()
            .map(|guess| patterns.lexicon.number(&guess))
            .find(|n| *n != 0);
            Token {
                word: known.unwrap_or(0),
                ..*token
            }
        })
        .collect()
}

/// The file of the voice of a letter.
const VOICE: &str = "evidence/letter-voice";

fn place_of(genre: Genre) -> usize {
    Genre::ALL.iter().position(|g| *g == genre).unwrap_or(0)
}

fn folded(words: &str) -> String {
    words
        .split(|c: char| c.is_whitespace() || c == '-')
        .collect::<Vec<_>>()
        .join(" ")
        .to_lowercase()
}

/// Words that bind.
const BINDING: [&str; 16] = [
    "no",
    "carry",
    "must",
    "shall",
    "may",
    "will",
    "prohibited",
    "authorized",
    "required",
    "not",
    "only",
    "cannot",
    "can",
    "limited",
    "unless",
    "permitted",
];

fn binds(words: &str) -> bool {
    words
        .split(|c: char| !c.is_alphabetic())
        .any(|w| BINDING.iter().any(|b| w.eq_ignore_ascii_case(b)))
}

/// Where the first line begins that is a title of limitations.
pub(super) fn is_title(text: &str, within: Span) -> Option<usize> {
    titles(text, within).into_iter().find_map(|line| {
        let words = line.of(text).to_lowercase();
        [
            "limitations",
            "op lims",
            "op. lim",
            "op limits",
            "operating limits",
        ]
        .iter()
        .any(|w| words.contains(w))
        .then_some(line.start)
    })
}

/// Titles stand in the first lines.
const HEAD: usize = 45;
/// Words of a title at most.
const TITLE: usize = 14;
/// Verbs that no title has.
const VERBS: [&str; 13] = [
    "must", "shall", "may", "will", "is", "are", "was", "were", "be", "has", "have", "can", "do",
];

/// The lines that look like titles: few words, no verb, most of them with a capital.
fn titles(text: &str, within: Span) -> Vec<Span> {
    let mut found = Vec::new();
    let mut at = within.start;
    let mut seen = 0;
    for line in within.of(text).split_inclusive('\n') {
        let span = Span::new(at, at + line.len());
        at += line.len();
        let words: Vec<&str> = line
            .split(|c: char| !(c.is_alphanumeric() || c == '\''))
            .filter(|w| w.starts_with(char::is_alphabetic))
            .collect();
        if words.is_empty() {
            continue;
        }
        seen += 1;
        if seen > HEAD {
            break;
        }
        let capitals = words
            .iter()
            .filter(|w| w.starts_with(char::is_uppercase))
            .count();
        let verb = words
            .iter()
            // the month
            .filter(|w| **w != "May")
            .any(|w| VERBS.iter().any(|v| w.eq_ignore_ascii_case(v)));
        let starts = line.trim_start().starts_with(|c: char| !c.is_lowercase());
        let head = seen <= 6 && (words.len() <= 6 || starts);
        if words.len() <= TITLE && !verb && (head || starts && capitals * 2 >= words.len()) {
            found.push(span);
        }
    }
    found
}

/// So many marks of code make a text one about programs.
const CODE: usize = 8;

/// Whether the text is made for machines: objects of JSON, tables and headings of Markdown, tags.
fn for_machines(words: &str) -> bool {
    let (mut all, mut odd, mut headings) = (0usize, 0usize, 0usize);
    for line in words.lines().map(str::trim).filter(|l| !l.is_empty()) {
        all += 1;
        let json = line.starts_with(['{', '}', '"']) && line.contains(['{', '}'])
            || line.starts_with('"') && line.contains("\": ")
            || line == "["
            || line == "]";
        let heading = line.starts_with("# ") || line.starts_with("## ") || line.starts_with("```");
        let tag = line.starts_with('<') && line.ends_with('>');
        odd += usize::from(json || tag) * 2;
        headings += usize::from(heading);
    }
    let code = words.matches('`').take(CODE).count();
    all > 0 && (odd * 4 >= all || headings > 1 || code >= CODE)
}
