//! What the entry is worth, and why not more.
//!
//! `current` only where nothing is missing, nothing misfits, the finding is affirmative and the
//! signer's answer is yes. A reason that the aircraft was not found fit, or not by somebody who
//! could, outweighs one that leaves it open, and that one a fault of the paper.

use super::names::same_name;
use super::work::negated;
use super::{Facets, Finding, Item, Signer};
use crate::answer::due::Due;
use crate::model::{Answer, Kind, Verdict};
use crate::patterns::entry::means;
use crate::patterns::{EntryRole, WordList};
use jiff::civil::Date;

/// What the entry is worth.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum EntryVerdict {
    /// The inspection counts, through the day given.
    Current,
    /// The inspection may count once its signer has corrected the entry.
    Defective,
    /// Whether it counts cannot be said.
    InQuestion,
    /// It does not count, or no longer.
    NotCurrent,
}

impl EntryVerdict {
    /// The name in machine contracts.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Current => "current",
            Self::Defective => "defective",
            Self::InQuestion => "in question",
            Self::NotCurrent => "not current",
        }
    }
}

/// Why the entry is not worth more.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Reason {
    /// The aircraft was found not to be fit, in these words.
    FindingNegative(String),
    /// It was found fit but for something, in these words.
    FindingTakenOut(String),
    /// It was found fit, and a fault stands beside that.
    FindingContradicts(String),
    /// Nothing says what was found.
    FindingMissing,
    /// The entry is of another aircraft.
    OtherMark {
        /// The mark of the entry.
        entry: String,
        /// The marks of the letter.
        letter: String,
    },
    /// The serial number is another one.
    OtherSerial(String),
    /// The work was not finished.
    Unfinished(String),
    /// The entry records other work than an inspection of the aircraft.
    OtherWork(String),
    /// It records a 100-hour inspection.
    HundredHour,
    /// The signer could not sign, or it is disputed or open whether he could.
    Signer(Kind, Verdict),
    /// A builder's card that names no aircraft, signed with another name than that of the builder
    /// whom the letter gives.
    OtherBuilder {
        /// The name of the entry.
        signer: String,
        /// The name of the letter.
        builder: String,
    },
    /// Which certificate the signer holds is not told.
    SignerNotTold(String),
    /// A mechanic whose ratings are not told.
    RatingsNotSaid,
    /// The work was done under somebody's supervision.
    Supervised(String),
    /// The last day has passed.
    Expired(Date),
    /// The inspection lies after the day on which it is judged.
    Future(Date),
    /// It lies before the letter.
    BeforeLetter {
        /// The day of the inspection.
        inspected: Date,
        /// The day of the letter.
        issued: Date,
    },
    /// The statement certifies a day after that of the entry.
    DaysDisagree {
        /// The day of the statement.
        statement: Date,
        /// The day of the entry.
        entry: Date,
    },
    /// "airworthy" in the place of the letter's words.
    AirworthyInstead,
    /// An annual inspection in the place of the condition inspection.
    AnnualInstead,
    /// Words that may take back or narrow the rest, and that nothing took up.
    NotUnderstood(String),
    /// The signature is another name's than that of the certificate.
    OtherSignature {
        /// The name that signs.
        signature: String,
        /// The name beside the certificate.
        holder: String,
    },
    /// A blank of a template is left.
    Blank,
    /// Something that is asked for is missing.
    Missing(Item),
    /// The letter sets no interval that gives a day.
    NoInterval,
}

impl Reason {
    /// The best that the entry can be worth beside this reason.
    #[must_use]
    pub fn leaves(&self) -> EntryVerdict {
        match self {
            Self::FindingNegative(_)
            | Self::FindingTakenOut(_)
            | Self::HundredHour
            | Self::Unfinished(_)
            | Self::OtherWork(_)
            | Self::Signer(_, Verdict::No)
            | Self::Expired(_) => EntryVerdict::NotCurrent,
            Self::FindingContradicts(_)
            | Self::Signer(..)
            | Self::RatingsNotSaid
            | Self::NotUnderstood(_)
            | Self::OtherSignature { .. }
            | Self::OtherBuilder { .. }
            | Self::SignerNotTold(_)
            | Self::Supervised(_)
            | Self::BeforeLetter { .. }
            | Self::NoInterval => EntryVerdict::InQuestion,
            Self::FindingMissing
            | Self::OtherMark { .. }
            | Self::OtherSerial(_)
            | Self::Future(_)
            | Self::DaysDisagree { .. }
            | Self::AirworthyInstead
            | Self::AnnualInstead
            | Self::Blank
            | Self::Missing(_) => EntryVerdict::Defective,
        }
    }

    /// The name in machine contracts.
    #[must_use]
    pub const fn name(&self) -> &'static str {
        match self {
            Self::FindingNegative(_) => "finding-negative",
            Self::FindingTakenOut(_) => "finding-with-exception",
            Self::FindingContradicts(_) => "finding-beside-fault",
            Self::FindingMissing => "finding-missing",
            Self::OtherMark { .. } => "other-aircraft",
            Self::OtherSerial(_) => "other-serial",
            Self::Unfinished(_) => "unfinished",
            Self::OtherWork(_) => "other-work",
            Self::HundredHour => "100-hour-instead",
            Self::Signer(_, Verdict::No) => "signer-no",
            Self::Signer(_, Verdict::Disputed) => "signer-disputed",
            Self::Signer(..) => "signer-open",
            Self::OtherBuilder { .. } => "other-builder",
            Self::SignerNotTold(_) => "signer-not-told",
            Self::RatingsNotSaid => "ratings-not-said",
            Self::Supervised(_) => "supervised",
            Self::Expired(_) => "expired",
            Self::Future(_) => "future",
            Self::BeforeLetter { .. } => "before-letter",
            Self::DaysDisagree { .. } => "days-disagree",
            Self::AirworthyInstead => "airworthy-instead",
            Self::AnnualInstead => "annual-instead",
            Self::NotUnderstood(_) => "not-understood",
            Self::OtherSignature { .. } => "other-signature",
            Self::Blank => "blank",
            Self::Missing(_) => "missing",
            Self::NoInterval => "no-interval",
        }
    }
}

/// What the reader has to be told besides.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Remark {
    /// Hours of a meter, not said to be total time.
    Meter(&'static str),
    /// No clause says what the entry shows; the general rule is used.
    GeneralRule,
    /// Part 43 applies, for the reason that this statement gives.
    Part43(&'static str),
    /// "airworthy" beside the letter's words.
    AirworthyBeside,
    /// The statement certifies an earlier day than the entry's; the clock runs from it.
    StatementsDay {
        /// The day of the statement.
        statement: Date,
        /// The day of the entry.
        entry: Date,
    },
    /// Two mechanics with one rating each.
    TwoRatings,
    /// The letter limits by hours in service too: so many.
    HoursToo(i32),
    /// The certificate ends on this day by the letter's own words.
    CertificateEnds(Date),
    /// An inspection program is needed beside it: the sentence that says so.
    Program(String),
    /// Sentences beside the statement of which nothing was known.
    PassedOver(Vec<String>),
    /// Several entries; the one of this day is judged.
    SeveralEntries(Date),
    /// Several people; the one with these words counts.
    SeveralSigners(String),
    /// The question names another kind than the entry.
    HolderFollowed {
        /// As asked.
        holder: Kind,
        /// As the entry tells.
        told: Kind,
    },
}

/// The verdict that the reasons leave.
pub(super) fn of(reasons: &[Reason]) -> EntryVerdict {
    reasons
        .iter()
        .map(Reason::leaves)
        .max()
        .unwrap_or(EntryVerdict::Current)
}

/// Every reason, the weightiest first.
pub(super) fn reasons(
    facets: &Facets<'_>,
    missing: &[Item],
    date: Option<Date>,
    signer: Option<&Signer>,
    answer: Option<&Answer>,
    due: Option<&Due>,
) -> Vec<Reason> {
    let mut reasons = finding(facets);
    aircraft(facets, &mut reasons);
    work(facets, &mut reasons);
    people(facets, date, signer, answer, &mut reasons);
    days(facets, date, due, &mut reasons);
    wording(facets, &mut reasons);
    signature(facets, signer, &mut reasons);
    reasons.extend(facets.doubts.iter().cloned().map(Reason::NotUnderstood));
    reasons.extend(missing.iter().map(|item| Reason::Missing(*item)));
    reasons.sort_by_key(|r| std::cmp::Reverse(r.leaves()));
    reasons
}

fn finding(facets: &Facets<'_>) -> Vec<Reason> {
    let words = facets.found.words.clone();
    match facets.found.finding {
        Finding::Affirmative => Vec::new(),
        Finding::Negative => vec![Reason::FindingNegative(words)],
        Finding::Qualified if facets.found.contradicts => vec![Reason::FindingContradicts(words)],
        Finding::Qualified => vec![Reason::FindingTakenOut(words)],
        Finding::Missing => vec![Reason::FindingMissing],
    }
}

fn aircraft(facets: &Facets<'_>, reasons: &mut Vec<Reason>) {
    let marks = facets.marks();
    if !facets.own.marks.is_empty()
        && !marks.is_empty()
        && !marks.iter().any(|m| facets.own.marks.contains(m))
    {
        let mut letter = facets.own.marks.clone();
        letter.dedup();
        reasons.push(Reason::OtherMark {
            entry: marks[0].clone(),
            letter: letter.join(", "),
        });
    }
    if facets.same_serial() {
        return;
    }
    let serials: Vec<_> = super::figures::serials(&facets.words)
        .into_iter()
        .filter(|s| !facets.of_card(s.from))
        .collect();
    // Where the own mark stands, a number of a sister is that of a card, or of a tale.
    let own_mark = marks.iter().any(|m| facets.own.marks.contains(m));
    let sister = super::figures::sister(&facets.words, &facets.own.serials)
        .filter(|s| !own_mark && !facets.of_card(s.from));
    if let Some(sister) = sister {
        reasons.push(Reason::OtherSerial(sister.words));
        return;
    }
    let bare: Vec<String> = serials
        .iter()
        .map(|s| super::figures::bare(&s.words))
        .collect();
    if let Some(first) = serials.first()
        && !facets.own.serials.is_empty()
        && !bare.iter().any(|s| facets.own.serials.contains(s))
    {
        reasons.push(Reason::OtherSerial(first.words.clone()));
    }
}

fn work(facets: &Facets<'_>, reasons: &mut Vec<Reason>) {
    let words = &facets.words;
    // "tires will be due next annual" records none.
    let advised = |m: &crate::patterns::EntryMark| {
        [EntryRole::Advice, EntryRole::OtherDay]
            .into_iter()
            .any(|role| words.all(role).any(|a| a.from < m.to && m.from < a.to))
            // "condition inspection not due until September".
            || words.all(EntryRole::Advice).any(|a| a.from == m.to)
            || facets.found.finding == Finding::Missing
                && words.all(EntryRole::OtherDay).any(|a| a.from == m.to)
    };
    let inspections: Vec<&str> = words
        .all(EntryRole::Inspection)
        .filter(|m| !advised(m))
        .map(|m| words.means(m))
        .collect();
    let has = |means: &str| inspections.contains(&means);
    if let Some(mark) = words.all(EntryRole::Unfinished).find(|m| {
        // "inspection in progress": it speaks of the inspection, not of a part.
        words
            .all(EntryRole::Inspected)
            .any(|i| words.segment_of(i.from) == words.segment_of(m.from))
    }) && facets.found.finding != Finding::Affirmative
    {
        reasons.push(Reason::Unfinished(words.of(mark)));
    }
    let other = words
        .all(EntryRole::Inspection)
        .find(|m| words.means(m) == means::OTHER);
    // "Not the yearly inspection".
    let denied = words
        .all(EntryRole::Inspection)
        .find(|m| words.means(m) == means::CONDITION && negated(words, m.from).is_some());
    if let Some(denied) = denied
        && facets.found.finding == Finding::Missing
    {
        reasons.push(Reason::OtherWork(words.around(denied, 3, 0)));
    }
    let scope = words
        .all(EntryRole::Shows)
        .any(|m| [Item::Scope.name(), means::SCOPE_OF_MAKER].contains(&words.means(m)));
    // "50-hour check per the maker's manual": such a paper is the scope of other work, too.
    let of_appendix = words
        .all(EntryRole::Shows)
        .any(|m| words.means(m) == Item::Scope.name());
    if let Some(other) = other
        && !of_appendix
        && !has(means::CONDITION)
        && !has(means::ANNUAL)
        && !has(means::HUNDRED_HOUR)
        && facets.found.finding == Finding::Missing
    {
        reasons.push(Reason::OtherWork(words.of(other)));
    }
    let part_43 = facets.asks.part_43.is_some();
    if has(means::HUNDRED_HOUR) && !has(means::CONDITION) && !has(means::ANNUAL) {
        reasons.push(Reason::HundredHour);
    }
    // "My annual look-over", with the whole statement of the letter beside it.
    let whole = scope && facets.found.in_letters_words;
    if has(means::ANNUAL) && !has(means::CONDITION) && !part_43 && !whole {
        reasons.push(Reason::AnnualInstead);
    }
}

fn people(
    facets: &Facets<'_>,
    date: Option<Date>,
    signer: Option<&Signer>,
    answer: Option<&Answer>,
    reasons: &mut Vec<Reason>,
) {
    match answer {
        Some(answer) if answer.answer != Verdict::Yes => {
            reasons.push(Reason::Signer(answer.holder, answer.answer));
        }
        // A mechanic is one with both ratings where a question is asked; here the words tell.
        Some(answer)
            if answer.holder == Kind::Mechanic
                && facets.question.holder.is_none()
                && facets.question.ratings.is_none()
                && signer.is_some_and(|s| s.ratings.is_none()) =>
        {
            reasons.push(Reason::RatingsNotSaid);
        }
        Some(_) => {}
        // Without a day nothing can be asked; the day is missing already.
        None if date.is_none() && signer.is_some_and(|s| s.kind.is_some()) => {}
        None => reasons.push(Reason::SignerNotTold(
            signer.map_or_else(String::new, |s| s.words.clone()),
        )),
    }
    if let (Some(signer), Some(builder)) = (signer, &facets.own.builder)
        && signer.kind == Some(Kind::BuilderRepairman)
        && signer.certificate_for.is_none()
        && facets.question.certificate_for.is_none()
        && let Some(name) = &signer.name
        && !same_name(name, builder)
    {
        reasons.push(Reason::OtherBuilder {
            signer: name.clone(),
            builder: builder.clone(),
        });
    }
    let supervision = facets.words.all(EntryRole::Supervision);
    if let Some(mark) = supervision
        .into_iter()
        .find(|m| !super::remarks::helper(&facets.words, m))
    {
        reasons.push(Reason::Supervised(facets.words.of(mark)));
    }
}

fn days(facets: &Facets<'_>, date: Option<Date>, due: Option<&Due>, reasons: &mut Vec<Reason>) {
    let on = facets.question.on;
    let Some(date) = date else {
        return;
    };
    if date > on {
        reasons.push(Reason::Future(date));
    }
    if let Some(issued) = facets.facts.issued
        && date < issued
    {
        reasons.push(Reason::BeforeLetter {
            inspected: date,
            issued,
        });
    }
    if let (Some(entry), Some(statement)) = (facets.days.entry, facets.days.statement)
        && statement > entry
    {
        reasons.push(Reason::DaysDisagree { statement, entry });
    }
    match due.map(|d| (d.last_day, d.surely_through)) {
        Some((Some(last), _)) if on > last => reasons.push(Reason::Expired(last)),
        Some((Some(_), _)) => {}
        Some((None, Some(sure))) if on <= sure => {}
        _ => reasons.push(Reason::NoInterval),
    }
}

/// Whoever signs has to be one of those whose certificates are given; for a shop anybody may.
fn signature(facets: &Facets<'_>, signer: Option<&Signer>, reasons: &mut Vec<Reason>) {
    let shop = |kind: Kind| matches!(kind, Kind::RepairStation | Kind::Manufacturer);
    let Some(holder) = signer
        .filter(|s| !s.kind.is_some_and(shop))
        .and_then(|s| s.name.as_ref())
    else {
        return;
    };
    let people = &facets.people;
    let holds = |name: &str| {
        let names = people.signers.iter().filter_map(|s| s.name.as_ref());
        names.into_iter().any(|n| same_name(n, name))
    };
    let other = people
        .names
        .iter()
        .find(|(name, signed)| *signed && !holds(&name.words));
    if let Some((name, _)) = other {
        reasons.push(Reason::OtherSignature {
            signature: name.words.clone(),
            holder: holder.clone(),
        });
    }
}

fn wording(facets: &Facets<'_>, reasons: &mut Vec<Reason>) {
    let words = &facets.words;
    let letter_says_airworthy = facets
        .asks
        .statement
        .as_ref()
        .is_some_and(|s| words.lists().within(&s.to_lowercase(), WordList::Airworthy));
    if facets.found.airworthy
        && !facets.found.in_letters_words
        && facets.asks.part_43.is_none()
        && !letter_says_airworthy
    {
        reasons.push(Reason::AirworthyInstead);
    }
    if words.all(EntryRole::Blank).next().is_some() {
        reasons.push(Reason::Blank);
    }
}
