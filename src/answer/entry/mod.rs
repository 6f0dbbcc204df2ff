//! A log entry held against what this letter asks for, and both keys turned for its signer on the
//! day of the inspection.
//!
//! `words` reads the text against `patterns/entry/`; `dates`, `figures`, `people` and `finding`
//! take out what it tells; `asks` says what has to be there; `verdict` puts it together. Here is
//! no prose: the report has it. A signature and an identity can never be verified from text.

mod account;
mod aside;
mod asks;
mod bearing;
mod cards;
mod cure;
mod dates;
mod doubt;
mod facets;
mod figures;
mod finding;
mod form;
mod frame;
mod glued;
mod identity;
mod items;
mod names;
mod people;
mod present;
mod readings;
mod remarks;
mod several;
mod state;
mod verdict;
mod words;
mod work;

use crate::answer::Answered;
use crate::answer::due::{Due, Interval, due, interval};
use crate::answer::facts::Facts;
use crate::model::{Answer, Kind, Letter, Question, Ratings, Verdict};
use crate::patterns::entry::means;
use crate::patterns::{Entries, EntryRole, Patterns, WordList};
use asks::Asks;
use dates::Day;
use facets::{Days, Facets};
use figures::Hours;
use identity::Identity;
use jiff::civil::Date;
use several::Part;
use words::Words;

pub use finding::Finding;
pub use items::{Asked, Checked, Item};
pub use people::Signer;
pub use verdict::{EntryVerdict, Reason, Remark};

/// A log entry, checked.
#[derive(Clone, Debug, PartialEq)]
pub struct EntryReport {
    /// What it is worth.
    pub verdict: EntryVerdict,
    /// Why it is not worth more, the weightiest first.
    pub reasons: Vec<Reason>,
    /// What has to be there, item by item.
    pub checked: Vec<Checked>,
    /// What is missing, in the order of the items.
    pub missing: Vec<Item>,
    /// The statement that the letter gives, where it gives one.
    pub statement: Option<String>,
    /// The day of the inspection: that of the statement, else that of the entry.
    pub date: Option<Date>,
    /// What the inspection found, with the words.
    pub finding: (Finding, String),
    /// Total time in service in hours, with the words.
    pub hours: Option<(f64, String)>,
    /// The registration mark that the entry gives.
    pub mark: Option<String>,
    /// It gives the letter's own mark or serial number.
    pub same_aircraft: bool,
    /// The name of the signer.
    pub name: Option<String>,
    /// The number of the certificate.
    pub number: Option<String>,
    /// The signer, as far as the words tell; the one whose answer counts.
    pub signer: Option<Signer>,
    /// Both keys for the signer on that day; `None` where day or kind are not known.
    pub answer: Option<Answer>,
    /// When the inspection would run out; `None` without a day.
    pub due: Option<Due>,
    /// The last day on which it is good; given only where the verdict is `current`.
    pub good_through: Option<Date>,
    /// What the reader has to be told besides.
    pub remarks: Vec<Remark>,
}

impl EntryReport {
    /// The kind of the signer.
    #[must_use]
    pub fn kind(&self) -> Option<Kind> {
        self.answer
            .as_ref()
            .map(|a| a.holder)
            .or_else(|| self.signer.as_ref().and_then(|s| s.kind))
    }

    /// The question as it stands for the signer on the day of the inspection, with the answer to it.
    #[must_use]
    pub fn answered(&self, mut question: Question) -> Answered {
        question.on = self.date.unwrap_or(question.on);
        question.holder = question.holder.or(self.kind());
        Answered {
            question,
            answers: self.answer.iter().cloned().collect(),
            notes: Vec::new(),
        }
    }
}

/// The registration mark of a letter, where it gives one.
#[must_use]
pub fn mark_of(text: &str, patterns: &Patterns) -> Option<String> {
    let words = Words::read(text, &patterns.entry);
    figures::marks(&words).into_iter().next().map(|m| m.words)
}

/// The serial number of the aircraft of a letter, where it gives one.
#[must_use]
pub fn serial_of(text: &str, patterns: &Patterns) -> Option<String> {
    let words = Words::read(text, &patterns.entry);
    figures::serials(&words).into_iter().next().map(|s| s.words)
}

/// The day behind a label of that role, where the text has one.
pub(super) fn labelled_day(
    text: &str,
    role: EntryRole,
    today: Date,
    patterns: &Patterns,
) -> Option<Date> {
    if !patterns.entry.may_show(text, role) {
        return None;
    }
    let words = Words::read(text, &patterns.entry);
    let days = dates::days(text, today);
    words.all(role).find_map(|label| {
        let end = words.tokens.get(label.to.checked_sub(1)?)?.span.end;
        let day = days.iter().find(|d| d.span.start >= end)?;
        let between = crate::model::Span::new(end, day.span.start).of(text);
        (between.len() <= 8 && !between.contains('.')).then_some(day.date)
    })
}

/// Holds the entry against the letter.
///
/// Of several entries in one text the latest that records the yearly inspection is judged.
///
/// `text` is the normalized text of the letter. The question gives the facts that the entry does
/// not tell; its day is the one on which the entry is judged, its holder is used where it is
/// given. For the signer both keys are turned on the day of the inspection.
#[must_use]
pub fn entry(
    letter: &Letter,
    text: &str,
    entry: &str,
    question: &Question,
    patterns: &Patterns,
) -> EntryReport {
    let entry = form::plain(entry, &|name| is_label(name, &patterns.entry));
    let plain = frame::stripped(&frame::untabled(&frame::paired(&entry), &|name| {
        is_heading(name, &patterns.entry)
    }));
    let squared = frame::answered(&frame::labelled(&frame::squared(&plain)), &|word| {
        is_answer(word, &patterns.entry)
    });
    let entry = frame::chosen(&squared, &|line| is_alternative(line, &patterns.entry));
    let page = several::page(&entry, question.on, &patterns.entry);
    let judged = |part: &Part| {
        let mut report = one(letter, text, part, question, patterns);
        if part.text != entry {
            report
                .remarks
                .extend(report.date.map(Remark::SeveralEntries));
        }
        report
    };
    let newest = judged(&page.newest);
    if !several::beside(&newest.reasons) {
        return newest;
    }
    let mut earlier = page.earlier.iter().rev().map(judged);
    earlier
        .find(|report| !several::beside(&report.reasons))
        .unwrap_or(newest)
}

/// Whether a word answers a question of a form, and if so, whether with yes.
fn is_answer(word: &str, entries: &Entries) -> Option<bool> {
    let words = Words::read(word, entries);
    let all =
        !words.tokens.is_empty() && (0..words.tokens.len()).all(|n| words.says(n, means::ANSWER));
    let denies = |n: usize| words.says(n, means::NO) || words.says(n, means::NONE);
    all.then(|| words.tokens.len() == 1 && !denies(0))
}

/// "[ ] Test flight (not required)", "[ ] Floats (n/a)", "[ ] some": an empty box that leaves nothing open.
fn asks_nothing(line: &str, entries: &Entries) -> bool {
    let words = Words::read(line, entries);
    let needless = words
        .all(EntryRole::Advice)
        .any(|m| m.to > m.from + 1 && words.covered(EntryRole::Negator, m.from));
    let mut label = (0..words.tokens.len())
        .filter(|n| !words.is_mark(*n))
        .peekable();
    // "[ ] Floats (n/a)"
    let none = words
        .all(EntryRole::Word)
        .any(|m| m.to > m.from + 2 && words.means(m) == means::NONE);
    let answers = none || label.peek().is_some() && label.all(|n| words.says(n, means::ANSWER));
    needless || answers
}

/// Whether words name a column of a log: one of them is known for it.
fn is_heading(name: &str, entries: &Entries) -> bool {
    let words = Words::read(name, entries);
    (0..words.tokens.len()).any(|n| words.says(n, means::HEADING))
}

/// Whether words name a field of a form: a column, or what stands before a name, a number, hours or a serial number.
fn is_label(name: &str, entries: &Entries) -> bool {
    let words = Words::read(name, entries);
    let roles = [
        EntryRole::NameLabel,
        EntryRole::SignatureLabel,
        EntryRole::NumberLabel,
        EntryRole::TimeLabel,
        EntryRole::SerialLabel,
    ];
    (0..words.tokens.len()).any(|n| words.says(n, means::HEADING) || words.covered_by(&roles, n))
}

/// Whether a line of a form is one of several that shut each other out: what was found, which
/// inspection it was, which certificate the signer holds.
fn is_alternative(line: &str, entries: &Entries) -> bool {
    // "[X] condition (limitation 6)": a bracket behind the label tells more of it.
    let line = match line.split_once(" (") {
        Some((label, behind)) if behind.trim_end().ends_with(')') => label,
        _ => line,
    };
    let words = Words::read(line, entries);
    // "[X] Condition": the word alone names the inspection.
    let labels: Vec<usize> = (0..words.tokens.len())
        .filter(|n| !words.is_mark(*n) && words.word(*n).chars().count() > 1)
        .collect();
    if let [one] = labels.as_slice()
        && (words.is_in(*one, WordList::Condition) || words.says(*one, means::NONE))
    {
        return true;
    }
    // "[ ] Discrepancies remaining  [X] None remaining"
    if labels.first().is_some_and(|n| words.says(*n, means::NONE)) && labels.len() <= 2 {
        return true;
    }
    // "[X] Part 43 appendix D  [ ] other": a scope, and of no part alone.
    let of_part = (0..words.tokens.len()).any(|n| words.says(n, means::THING));
    let scope = words.all(EntryRole::Shows).next().is_some();
    if scope && !of_part && words.all(EntryRole::Inspected).next().is_none() {
        return true;
    }
    [
        EntryRole::Affirmative,
        EntryRole::Negative,
        EntryRole::Inspection,
        EntryRole::Certificate,
        EntryRole::Rating,
    ]
    .into_iter()
    .any(|role| words.all(role).any(|m| words.means(m) != means::OTHER))
}

fn one(
    letter: &Letter,
    text: &str,
    part: &Part,
    question: &Question,
    patterns: &Patterns,
) -> EntryReport {
    let entry = part.text.as_str();
    let facts = Facts::resolve(letter, question);
    let words = Words::read(entry, &patterns.entry);
    let letter_words = Words::read(text, &patterns.entry);
    let own = Identity::of(&letter_words);
    let all_days = dates::days(entry, question.on);
    let people = people::read(&words, &all_days, &own);
    let days = Days::of(&words, &all_days);
    let mut doubts = doubt::doubts(&words, &all_days, &people, days.inspected());
    doubts.extend(account::unaccounted(&words, &all_days, &people, &own));
    doubts.extend(state::unknown(&words, &all_days, &people));
    let present = present::unsound(&words, &all_days, &people);
    doubts.extend(
        present
            .into_iter()
            .filter(|d| !doubts.contains(d))
            .collect::<Vec<_>>(),
    );
    doubts.extend(state::open_directive(&words));
    doubts.extend(readings::low(&words, &all_days));
    doubts.extend(
        frame::unticked(entry)
            .into_iter()
            .filter(|line| !asks_nothing(line, &patterns.entry)),
    );
    doubts.extend(doubt::of_later(&part.later, question.on, &patterns.entry));
    let facets = Facets {
        question,
        asks: Asks::of(letter, &letter_words, &facts, patterns),
        facts,
        found: finding::read(&words, &all_days),
        doubts,
        people,
        days,
        words,
        own,
    };
    report(letter, text, &facets, &all_days, patterns)
}

fn report(
    letter: &Letter,
    text: &str,
    facets: &Facets<'_>,
    all_days: &[Day],
    patterns: &Patterns,
) -> EntryReport {
    let hours = figures::hours(&facets.words, all_days);
    let checked = items::check(facets, hours.as_ref());
    let missing: Vec<Item> = checked
        .iter()
        .filter(|c| c.found.is_none() && c.item != Item::Cycles)
        .map(|c| c.item)
        .collect();
    let date = facets.days.inspected();
    let (signer, answer, mut remarks) = signer(letter, facets, date, patterns);
    let interval = interval(letter, text, patterns).0;
    let due = date.and_then(|d| due(&[d], &interval).into_iter().next());
    let ends = letter.term.value;
    remarks.extend(beside(facets, &interval, hours.as_ref(), ends));
    let program = super::program::needed(letter, text, &facets.facts, patterns);
    remarks.extend(program.map(Remark::Program));
    let reasons = verdict::reasons(
        facets,
        &missing,
        date,
        signer.as_ref(),
        answer.as_ref(),
        due.as_ref(),
    );
    let verdict = verdict::of(&reasons);
    let passed_over = doubt::passed_over(&facets.words, &facets.people);
    if verdict == EntryVerdict::Current && !passed_over.is_empty() {
        remarks.push(Remark::PassedOver(passed_over));
    }
    // The inspection may run on; the aircraft may not fly without its certificate.
    let last = match (due.as_ref().and_then(|d| d.last_day), ends) {
        (Some(_), Some(end)) if end < facets.question.on => None,
        (Some(last), Some(end)) => Some(last.min(end)),
        (last, _) => last,
    };
    let main = signer.as_ref();
    EntryReport {
        verdict,
        reasons,
        missing,
        statement: facets.asks.statement.clone(),
        date,
        finding: (facets.found.finding, facets.found.words.clone()),
        hours: hours
            .filter(|h| h.of == means::TOTAL)
            .map(|h| (h.value, h.words)),
        mark: facets.marks().first().cloned(),
        same_aircraft: facets.same_serial()
            || figures::marks(&facets.words)
                .iter()
                .any(|m| facets.own.marks.contains(&m.words)),
        name: main
            .and_then(|s| s.name.clone())
            .or_else(|| facets.people.names.first().map(|(n, _)| n.words.clone())),
        number: main
            .and_then(|s| s.number.clone())
            .or_else(|| facets.people.numbers.first().map(|n| n.words.clone())),
        good_through: (verdict == EntryVerdict::Current).then_some(last).flatten(),
        signer,
        answer,
        due,
        remarks,
        checked,
    }
}

/// What is to be told beside the reasons, but of the signers.
fn beside(
    facets: &Facets<'_>,
    interval: &Interval,
    hours: Option<&Hours>,
    ends: Option<Date>,
) -> Vec<Remark> {
    let mut remarks = Vec::new();
    if let Interval::Hours(hours)
    | Interval::HoursOrMonths { hours, .. }
    | Interval::HoursOrDays { hours, .. } = interval
    {
        remarks.push(Remark::HoursToo(*hours));
    }
    remarks.extend(ends.map(Remark::CertificateEnds));
    remarks.extend(
        hours
            .filter(|h| h.of != means::TOTAL)
            .map(|h| Remark::Meter(h.of)),
    );
    if facets.asks.general_rule {
        remarks.push(Remark::GeneralRule);
    }
    if facets.found.airworthy && facets.found.in_letters_words && facets.asks.part_43.is_none() {
        remarks.push(Remark::AirworthyBeside);
    }
    remarks.extend(facets.asks.part_43.map(Remark::Part43));
    if let (Some(entry), Some(statement)) = (facets.days.entry, facets.days.statement)
        && statement < entry
    {
        remarks.push(Remark::StatementsDay { statement, entry });
    }
    remarks
}

/// Two who sign one below the other with the same kind of certificate sign for the same: both are named.
fn beside_like(facets: &Facets<'_>, signer: &mut Signer) {
    let finding = facets.words.all(EntryRole::Affirmative).last();
    if facets.words.all(EntryRole::Supervision).next().is_some() {
        return;
    }
    let like: Vec<&Signer> = facets
        .people
        .signers
        .iter()
        .filter(|s| s.kind.is_some() && s.kind == signer.kind && s.ratings == signer.ratings)
        .filter(|s| finding.is_some_and(|f| f.to <= s.from))
        .collect();
    let [one, other] = like.as_slice() else {
        return;
    };
    let joined = |of: fn(&Signer) -> Option<&String>| match (of(one), of(other)) {
        (Some(a), Some(b)) if a != b => Some(format!("{a} / {b}")),
        _ => None,
    };
    let name = joined(|s| s.name.as_ref());
    let number = joined(|s| s.number.as_ref());
    let certificated = one.kind != Some(Kind::Owner) && one.kind != Some(Kind::RepairStation);
    if let (Some(name), Some(number), true) = (name, number, certificated) {
        signer.name = Some(name);
        signer.number = Some(number);
    }
}

/// The signer whose answer counts: the best of those who sign, with two single ratings put
/// together; under supervision the one who did the work.
fn signer(
    letter: &Letter,
    facets: &Facets<'_>,
    date: Option<Date>,
    patterns: &Patterns,
) -> (Option<Signer>, Option<Answer>, Vec<Remark>) {
    let mut remarks = Vec::new();
    let mut signers = facets.people.signers.clone();
    if let Some(both) = two_ratings(&signers) {
        remarks.push(Remark::TwoRatings);
        signers.insert(0, both);
    }
    if let Some(holder) = facets.question.holder {
        let told = signers.first().and_then(|s| s.kind);
        if let Some(told) = told.filter(|t| *t != holder) {
            remarks.push(Remark::HolderFollowed { holder, told });
        }
        let mut one = signers.first().cloned().unwrap_or_default();
        one.kind = Some(holder);
        signers = vec![one];
    }
    let supervised = facets.words.all(EntryRole::Supervision).next().is_some();
    // Under supervision the one who signs counts; where none is said to sign, the one with the
    // certificate.
    if supervised {
        let certificated = |s: &Signer| s.kind != Some(Kind::Owner);
        let by = signers
            .iter()
            .position(|s| facets.signed(s) && certificated(s))
            .or_else(|| signers.iter().position(|s| facets.signed(s)))
            .or_else(|| signers.iter().position(certificated));
        if let Some(at) = by {
            signers.swap(0, at);
        }
    }
    let mut best: Option<(Signer, Option<Answer>)> = None;
    for signer in signers {
        let answer = date.zip(signer.kind).and_then(|(on, kind)| {
            let question = Question {
                on,
                holder: Some(kind),
                ratings: signer.ratings.or(facets.question.ratings),
                trained: signer.trained.clone().or(facets.question.trained.clone()),
                owner: signer.owner.or(facets.question.owner),
                certificate_for: signer.certificate_for.or(facets.question.certificate_for),
                inspection_authorization: signer
                    .inspection_authorization
                    .then_some(true)
                    .or(facets.question.inspection_authorization),
                ..facets.question.clone()
            };
            crate::answer::answer(letter, &question, patterns)
                .into_iter()
                .next()
        });
        let rank = |a: &Option<Answer>| {
            a.as_ref().map_or(0, |a| match a.answer {
                Verdict::Yes => 4,
                Verdict::Disputed => 3,
                Verdict::Undetermined => 2,
                Verdict::No => 1,
            })
        };
        let better = best
            .as_ref()
            .is_none_or(|(_, a)| rank(&answer) > rank(a) && !supervised);
        if better {
            best = Some((signer, answer));
        }
    }
    let Some((mut signer, answer)) = best else {
        return (None, None, remarks);
    };
    beside_like(facets, &mut signer);
    if facets.people.signers.len() > 1 && !remarks.contains(&Remark::TwoRatings) {
        remarks.push(Remark::SeveralSigners(signer.words.clone()));
    }
    (Some(signer), answer, remarks)
}

/// Two mechanics with one rating each, as one who has both.
fn two_ratings(signers: &[Signer]) -> Option<Signer> {
    let with = |airframe: bool| {
        signers.iter().find(|s| {
            s.kind == Some(Kind::Mechanic)
                && s.ratings
                    .is_some_and(|r| r.airframe == airframe && r.powerplant != airframe)
        })
    };
    let (airframe, powerplant) = (with(true)?, with(false)?);
    let both = |a: &Option<String>, b: &Option<String>| match (a, b) {
        (Some(a), Some(b)) => Some(format!("{a} / {b}")),
        _ => None,
    };
    Some(Signer {
        ratings: Some(Ratings {
            airframe: true,
            powerplant: true,
        }),
        name: both(&airframe.name, &powerplant.name),
        number: both(&airframe.number, &powerplant.number),
        words: format!("{} / {}", airframe.words, powerplant.words),
        ..airframe.clone()
    })
}
