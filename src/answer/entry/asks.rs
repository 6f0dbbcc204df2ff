//! What an entry has to show: by the clauses of the letter, by part 43 where it applies, else by
//! the general rule for records.

use super::words::Words;
use super::{Asked, Item};
use crate::answer::facts::Facts;
use crate::document::tree::subtree;
use crate::model::{Letter, Paper};
use crate::patterns::entry::means;
use crate::patterns::{EntryMark, EntryRole, Patterns, WordList};

/// What asks for an item.
pub(super) struct Asks {
    pub(super) items: Vec<(Item, Asked)>,
    /// The statement that the letter gives.
    pub(super) statement: Option<String>,
    /// Why part 43 applies, by the name of a statement; `None` where it does not.
    pub(super) part_43: Option<&'static str>,
    /// The letter names papers of a maker beside part 43, such as its inspection procedures.
    pub(super) admits_maker: bool,
    /// No clause of the letter says what an entry shows.
    pub(super) general_rule: bool,
}

impl Asks {
    /// `words` are those of the letter's text.
    pub(super) fn of(
        letter: &Letter,
        words: &Words<'_>,
        facts: &Facts,
        patterns: &Patterns,
    ) -> Self {
        let part_43 = part_43(letter, words, facts);
        let mut asks = Self {
            items: Vec::new(),
            statement: None,
            part_43,
            admits_maker: words
                .all(EntryRole::Shows)
                .any(|m| words.means(m) == means::SCOPE_OF_MAKER),
            general_rule: false,
        };
        for (index, (clause, topics)) in letter.clauses.iter().zip(&letter.topics).enumerate() {
            if topics.iter().any(|t| t == "inspection-record") {
                let body = with_children(letter, index, words.text);
                asks.read_clause(&clause.id, &body, patterns);
            } else if let Some(body) = demanded(letter, index, words.text, patterns) {
                asks.read_clause(&clause.id, &body, patterns);
            }
        }
        if part_43.is_some() {
            for item in PART_43 {
                asks.add(item, Asked::Statement("records-part-43"));
            }
        }
        if asks.items.is_empty() {
            asks.general_rule = true;
            for item in [Item::Date, Item::Signature, Item::CertificateNumber] {
                asks.add(item, Asked::Statement("records-general"));
            }
        }
        asks.items.sort_by_key(|(item, _)| *item);
        asks
    }

    fn add(&mut self, item: Item, by: Asked) {
        if !self.items.iter().any(|(i, _)| *i == item) {
            self.items.push((item, by));
        }
    }

    fn read_clause(&mut self, id: &str, body: &str, patterns: &Patterns) {
        let words = Words::read(body, &patterns.entry);
        if self.statement.is_none()
            && let Some(quote) = quoted(body)
            && patterns
                .list
                .within(&quote.to_lowercase(), WordList::SaysInspected)
        {
            self.statement = Some(quote);
        }
        for mark in words.all(EntryRole::Asks) {
            if let Some(item) = Item::from_name(words.means(mark)) {
                self.add(item, Asked::Clause(id.to_owned()));
            }
        }
    }
}

/// § 43.11(a)(1) to (4); the paragraphs stand in `statement/records-part-43`.
const PART_43: [Item; 7] = [
    Item::Extent,
    Item::Date,
    Item::TimeInService,
    Item::Signature,
    Item::CertificateNumber,
    Item::CertificateKind,
    Item::Airworthy,
];

/// Whether part 43 applies: to a light-sport category aircraft by itself, to another one where an
/// earlier certificate or the letter puts it on.
fn part_43(letter: &Letter, words: &Words<'_>, facts: &Facts) -> Option<&'static str> {
    let former_light_sport = facts
        .basis
        .is_some_and(|b| b.letter == 'l' || b.letter == 'i' && b.item == Some(3));
    let earlier = facts.earlier_certificate == Some(true) && !former_light_sport;
    if letter.paper == Paper::LightSportCategory {
        Some("part-43-light-sport")
    } else if earlier {
        Some("part-43-earlier")
    } else {
        (imposed(letter) || said(words)).then_some("part-43-letter")
    }
}

/// Whether the letter says that part 43 applies; "inspected under part 43, appendix D" borrows the
/// scope alone.
fn said(words: &Words<'_>) -> bool {
    words.all(EntryRole::ImposesPart43).any(|m| {
        let behind = if words.is_mark(m.to) { m.to + 1 } else { m.to };
        !words.is_in(behind, WordList::AppendixHead)
    })
}

/// Whether a clause on the record of inspections sends to part 43 as a whole or to its rule on
/// records. Borrowing the scope of an appendix does not put the part on.
fn imposed(letter: &Letter) -> bool {
    letter.citations.iter().any(|c| {
        let whole =
            c.target == "part 43" || c.target.starts_with("43.11") || c.target.starts_with("43.9");
        whole
            && letter
                .clauses
                .iter()
                .zip(&letter.topics)
                .any(|(clause, topics)| {
                    clause.span.start <= c.span.start
                        && c.span.end <= clause.span.end
                        && topics.iter().any(|t| t == "inspection-record")
                })
    })
}

/// The sentence of a clause that says what an entry shows and has no word of the inspection:
/// "The entry shall give date, total time, and the words prescribed." "Flight test entries" are others.
fn demanded(letter: &Letter, index: usize, text: &str, patterns: &Patterns) -> Option<String> {
    let body = with_children(letter, index, text);
    let words = Words::read(&body, &patterns.entry);
    let opens = |m: &&EntryMark| {
        let before = m.from.checked_sub(1);
        before.is_none_or(|n| words.segment_of(n) < words.segment_of(m.from) || words.is_mark(n))
    };
    let demand = words.all(EntryRole::Demand).find(opens)?;
    // A list may be parted by semicolons; a full stop ends it.
    let end = (demand.to..words.tokens.len())
        .find(|n| words.word(*n) == "." && words.segment_of(*n) < words.segment_of(n + 1))
        .unwrap_or(words.tokens.len());
    Some(words.between(demand.from, end))
}

/// The clause with its sub-items: the list of what an entry shows is often one.
fn with_children(letter: &Letter, index: usize, text: &str) -> String {
    letter
        .clauses
        .get(subtree(&letter.clauses, index))
        .unwrap_or_default()
        .iter()
        .map(|c| c.body.of(text))
        .collect::<Vec<_>>()
        .join("\n")
}

/// The first passage in quotes.
fn quoted(text: &str) -> Option<String> {
    let opens = |c: char| matches!(c, '"' | '\u{201c}');
    let closes = |c: char| matches!(c, '"' | '\u{201d}');
    let from = text.find(opens)?;
    let rest = text.get(from..)?;
    let mut chars = rest.char_indices();
    chars.next()?;
    let start = chars.next()?.0;
    let body = rest.get(start..)?;
    let words = body.find(closes).and_then(|end| body.get(..end))?;
    let words = words.split_whitespace().collect::<Vec<_>>().join(" ");
    (!words.is_empty()).then_some(words)
}
