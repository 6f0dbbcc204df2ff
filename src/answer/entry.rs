//! A log entry held against what this letter asks for, and both keys turned for its signer on the
//! day of the entry.
//!
//! The words of an entry can show what is there and what is missing. A signature and an identity
//! can never be verified from text, and the report says so.

use super::due::{Due, due, interval};
use super::entry_words::{self, Signer};
use crate::document::tree::subtree;
use crate::model::{Answer, Letter, Question};
use crate::patterns::Patterns;
use jiff::civil::Date;

/// What an entry may have to show.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Item {
    /// The day of the inspection.
    Date,
    /// The statement of the letter, or a similar one.
    Statement,
    /// The scope: "scope and detail of appendix D to part 43".
    Scope,
    /// Total time in service.
    TimeInService,
    /// Cycles, where appropriate.
    Cycles,
    /// Name of the person.
    Name,
    /// Signature.
    Signature,
    /// Certificate number.
    CertificateNumber,
    /// Kind of certificate.
    CertificateKind,
}

impl Item {
    /// Every item, in the order of the report.
    pub const ALL: [Self; 9] = [
        Self::Date,
        Self::Statement,
        Self::Scope,
        Self::TimeInService,
        Self::Cycles,
        Self::Name,
        Self::Signature,
        Self::CertificateNumber,
        Self::CertificateKind,
    ];

    /// The name in machine contracts.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Date => "date",
            Self::Statement => "statement",
            Self::Scope => "scope",
            Self::TimeInService => "time-in-service",
            Self::Cycles => "cycles",
            Self::Name => "name",
            Self::Signature => "signature",
            Self::CertificateNumber => "certificate-number",
            Self::CertificateKind => "certificate-kind",
        }
    }

    /// Words for people.
    #[must_use]
    pub const fn title(self) -> &'static str {
        match self {
            Self::Date => "the date of the inspection",
            Self::Statement => "the statement of the letter, or a similar one",
            Self::Scope => "the scope (appendix D to part 43, or the program)",
            Self::TimeInService => "the total time in service",
            Self::Cycles => "the cycles, if appropriate",
            Self::Name => "the name of the inspector",
            Self::Signature => "the signature",
            Self::CertificateNumber => "the certificate number",
            Self::CertificateKind => "the type of certificate",
        }
    }
}

/// One item held against the entry.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Checked {
    /// Which.
    pub item: Item,
    /// What asks for it: a clause of the letter, or a rule.
    pub asked_by: String,
    /// The words of the entry; `None` where nothing was found.
    pub found: Option<String>,
}

/// A log entry, checked.
#[derive(Clone, Debug, PartialEq)]
pub struct EntryReport {
    /// What the letter asks for, item by item.
    pub checked: Vec<Checked>,
    /// What is missing, in the order of the items.
    pub missing: Vec<Item>,
    /// Statements that are wrong or do not fit, each with the reason.
    pub wrong: Vec<String>,
    /// The statement that the letter gives, where it gives one.
    pub statement: Option<String>,
    /// The day of the entry.
    pub date: Option<Date>,
    /// The signer's kind as the words tell it.
    pub signer: Option<crate::model::Kind>,
    /// Both keys for the signer on that day; `None` where day or kind are not known.
    pub answer: Option<Answer>,
    /// When the inspection runs out; `None` without a day.
    pub due: Option<Due>,
    /// What the reader has to be told.
    pub notes: Vec<String>,
}

/// Holds the entry against the letter.
///
/// `text` is the normalized text of the letter. The question gives the facts that the entry does
/// not tell; its day is replaced by the day of the entry, its holder is used where it is given.
#[must_use]
pub fn entry(
    letter: &Letter,
    text: &str,
    entry: &str,
    question: &Question,
    patterns: &Patterns,
) -> EntryReport {
    let asks = Asks::of(letter, text);
    let read = entry_words::read(entry);
    let mut notes = vec![
        "Whether the signature is genuine, and who signed, can never be told from text.".to_owned(),
    ];
    notes.extend(asks.notes.iter().cloned());
    let checked: Vec<Checked> = Item::ALL
        .into_iter()
        .filter_map(|item| {
            asks.of_item(item).map(|asked_by| Checked {
                item,
                asked_by,
                found: read.found(item, asks.statement.as_deref()),
            })
        })
        .collect();
    let missing = checked
        .iter()
        .filter(|c| c.found.is_none() && c.item != Item::Cycles)
        .map(|c| c.item)
        .collect();
    let wrong = wrong(&read, &asks);
    let (signer, signer_notes) = signer(&read.signers, question);
    notes.extend(signer_notes);
    let date = read.dates.first().map(|(date, _)| *date);
    if let [(first, _), rest @ ..] = read.dates.as_slice()
        && let Some((other, _)) = rest.iter().find(|(d, _)| d != first)
    {
        notes.push(format!(
            "The entry has two days, {first} and {other}; the first is taken as the day of the inspection."
        ));
    }
    let answer = date.zip(signer).and_then(|(on, kind)| {
        let question = Question {
            on,
            holder: Some(kind),
            ..question.clone()
        };
        super::answer(letter, &question, patterns)
            .into_iter()
            .next()
    });
    if answer.is_none() {
        notes.push(
            "Whether the signer could sign is not worked out: the day of the entry or the kind of certificate is not known (--on, --holder)."
                .to_owned(),
        );
    }
    EntryReport {
        checked,
        missing,
        wrong,
        statement: asks.statement.clone(),
        date,
        signer,
        answer,
        due: date.and_then(|d| due(&[d], &interval(letter, text).0).into_iter().next()),
        notes,
    }
}

/// What the letter asks of an entry.
struct Asks {
    items: Vec<(Item, String)>,
    statement: Option<String>,
    notes: Vec<String>,
}

impl Asks {
    fn of(letter: &Letter, text: &str) -> Self {
        let mut asks = Self {
            items: Vec::new(),
            statement: None,
            notes: Vec::new(),
        };
        for (index, (clause, topics)) in letter.clauses.iter().zip(&letter.topics).enumerate() {
            if !topics.iter().any(|t| t == "inspection-record") {
                continue;
            }
            let body = with_children(letter, index, text);
            asks.read_clause(&clause.id, &body);
        }
        if asks.items.is_empty() {
            asks.notes.push(
                "No clause of the letter that was read says what the entry has to show; the general rule for records is used."
                    .to_owned(),
            );
            let rule = "§ 91.417(a)(1)(i)-(iii) (eCFR as of 2026-09-03, grade A)";
            asks.items = [Item::Date, Item::Signature, Item::CertificateNumber]
                .map(|item| (item, rule.to_owned()))
                .to_vec();
        }
        asks
    }

    fn read_clause(&mut self, id: &str, body: &str) {
        let by = format!("clause {id}");
        let lower = entry_words::fold(body);
        if self.statement.is_none()
            && let Some(words) = entry_words::quoted(body)
            && entry_words::fold(&words).contains("inspected")
        {
            self.statement = Some(words);
        }
        let mut ask = |item: Item, wanted: bool| {
            if wanted && !self.items.iter().any(|(i, _)| *i == item) {
                self.items.push((item, by.clone()));
            }
        };
        let has = |words: &[&str]| words.iter().any(|w| lower.contains(w));
        let statement = has(&["statement", "i certify", "inspected on"]);
        ask(Item::Date, statement || has(&["date"]));
        ask(Item::Statement, statement);
        ask(
            Item::Scope,
            has(&["scope and detail", "appendix d", "inspection procedures"]),
        );
        ask(
            Item::TimeInService,
            has(&["time in service", "total time", "time-in-service", "hours"]),
        );
        ask(Item::Cycles, has(&["cycles"]));
        ask(Item::Name, has(&["name"]));
        ask(Item::Signature, has(&["signature", "signed"]));
        ask(
            Item::CertificateNumber,
            has(&["certificate number", "number of certificate"]),
        );
        ask(
            Item::CertificateKind,
            has(&[
                "type of certificate",
                "kind of certificate",
                "certificate type",
            ]),
        );
    }

    fn of_item(&self, item: Item) -> Option<String> {
        self.items
            .iter()
            .find(|(i, _)| *i == item)
            .map(|(_, by)| by.clone())
    }
}

/// The clause with its sub-items: the list of what an entry shows is often one.
fn with_children(letter: &Letter, index: usize, text: &str) -> String {
    let below = subtree(&letter.clauses, index);
    let bodies: Vec<&str> = letter
        .clauses
        .get(below)
        .unwrap_or_default()
        .iter()
        .map(|c| c.body.of(text))
        .collect();
    bodies.join("\n")
}

fn wrong(read: &entry_words::Read, asks: &Asks) -> Vec<String> {
    let mut wrong = Vec::new();
    let has = |w: &str| read.folded.contains(w);
    if has("airworthy") && !has("condition for safe operation") {
        wrong.push(
            "The entry says «airworthy» (the statement of § 43.11(a)(4), eCFR as of 2026-09-03, grade A); the letter's statement says «condition for safe operation». A documentation mismatch, not another inspection: have it corrected."
                .to_owned(),
        );
    } else if has("airworthy") {
        wrong.push(
            "The entry says «airworthy» beside «condition for safe operation»; the letter asks for the latter only (grade I)."
                .to_owned(),
        );
    }
    if has("annual inspection") && !has("annual condition inspection") {
        wrong.push(
            "The entry speaks of an annual inspection. Experimental aircraft have none (§ 91.409(c)(1), eCFR as of 2026-08-24, grade A); the letter asks for a condition inspection."
                .to_owned(),
        );
    }
    if ["[insert", "(insert", "[date", "____"]
        .iter()
        .any(|w| has(w))
    {
        wrong.push("A blank of the template was not filled in.".to_owned());
    }
    if has("100-hour") || has("100 hour") {
        let scope = asks.of_item(Item::Statement).is_some() && !has("condition inspection");
        if scope {
            wrong.push(
                "The entry speaks of a 100-hour inspection; the letter's yearly one is the condition inspection (another inspection, grade I)."
                    .to_owned(),
            );
        }
    }
    wrong
}

fn signer(signers: &[Signer], question: &Question) -> (Option<crate::model::Kind>, Vec<String>) {
    let mut notes = Vec::new();
    let first = signers.first().and_then(|s| s.kind);
    if signers.len() > 1 {
        let words: Vec<&str> = signers.iter().map(|s| s.words.as_str()).collect();
        notes.push(format!(
            "The entry names more than one kind of certificate ({}); the first is taken.",
            words.join(", ")
        ));
    }
    if let Some(signer) = signers.first()
        && signer.kind.is_none()
    {
        notes.push(format!(
            "«{}» does not tell which certificate; say it (--holder).",
            signer.words
        ));
    }
    if let (Some(holder), Some(first)) = (question.holder, first)
        && holder != first
    {
        notes.push(format!(
            "The question says {}, the entry {}; the question is followed.",
            holder.title(),
            first.title()
        ));
    }
    (question.holder.or(first), notes)
}
