//! What stands beside a certificate: the aircraft it is for, the firm, the training, the owner.

use super::figures::{self, Placed};
use super::identity::Identity;
use super::words::{FIELD, Words};
use crate::model::{CategoryClass, CertificateFor, Kind, Ownership};
use crate::patterns::entry::means;
use crate::patterns::{EntryMark, EntryRole, WordList};

/// Which aircraft the card beside these words is for: a mark that stands with it.
pub(super) fn card(
    words: &Words<'_>,
    from: usize,
    to: usize,
    marks: &[Placed],
    own: &Identity,
) -> Option<CertificateFor> {
    // The number of the certificate may stand behind the bracket.
    let near = from.saturating_sub(2)..to + 9;
    let line = words.line_of(to.saturating_sub(1));
    if words
        .all(EntryRole::OtherCard)
        .any(|m| near.contains(&m.from))
    {
        return Some(CertificateFor::Other);
    }
    let of_card = |mark: &&Placed| {
        let before = mark.from.saturating_sub(1);
        let small = words.word(before).to_lowercase();
        near.contains(&mark.from)
            && words.line_of(mark.from).abs_diff(line) <= 1
            && (["for", "(", "on", ":", "is"].contains(&small.as_str())
                || words.is_in(before, WordList::OfCard))
            || near.contains(&mark.from)
                && (in_bracket(words, to, mark.from) || in_any_bracket(words, from, to, mark.from))
    };
    if let Some(mark) = marks.iter().find(of_card) {
        return whose(&mark.words, &own.marks);
    }
    // "certificate for MAKE MODEL ser. NUMBER"
    let serials = figures::serials(words);
    let serial = serials.iter().find(|s| {
        near.contains(&s.from)
            && (from <= s.from && s.from < to
                || (to..s.from).any(|n| words.word(n).eq_ignore_ascii_case("for")))
            && words.segment_of(s.from) == words.segment_of(to.saturating_sub(1))
    });
    match serial {
        Some(serial) => whose(&figures::bare(&serial.words), &own.serials),
        None => in_bracket_bare(words, from, to, own),
    }
}

/// "builder (MAKE MODEL, BS2-000-6)": a number with hyphens in the bracket of a card, without a label.
fn in_bracket_bare(
    words: &Words<'_>,
    from: usize,
    to: usize,
    own: &Identity,
) -> Option<CertificateFor> {
    let numbered = |at: usize| {
        let number = words.between(at, figures::run(words, at));
        let letters = number.starts_with(|c: char| c.is_ascii_uppercase());
        let figures = number.chars().filter(char::is_ascii_digit).count();
        (letters && figures >= 3 && number.contains('-')).then(|| figures::bare(&number))
    };
    // The number of the certificate behind the bracket belongs to the group, too.
    (from + 1..to + BRACKET)
        .filter(|at| in_any_bracket(words, from, to, *at))
        .find_map(numbered)
        .and_then(|number| whose(&number, &own.serials))
}

/// A bracket of a card has at most so many tokens.
const BRACKET: usize = 12;

fn in_any_bracket(words: &Words<'_>, from: usize, to: usize, at: usize) -> bool {
    let opens = (from..to + 2).rfind(|n| *n < at && words.word(*n) == "(");
    opens.is_some_and(|n| (n..at).all(|n| words.word(n) != ")"))
}

/// "certificate for this aircraft".
pub(super) fn of_this(words: &Words<'_>, from: usize, to: usize) -> bool {
    words.all(EntryRole::Aircraft).any(|m| {
        from < m.from
            && m.from <= to + 4
            && (m.from.saturating_sub(2)..m.from)
                .any(|n| words.word(n).eq_ignore_ascii_case("this"))
            && words.segment_of(m.from) == words.segment_of(from)
    })
}

/// "(builder), repairman cert. NUMBER, MAKE N000AB": the letter's own mark ends the line.
pub(super) fn beside_own_mark(
    words: &Words<'_>,
    to: usize,
    marks: &[Placed],
    own: &Identity,
) -> bool {
    let line = words.line_of(to.saturating_sub(1));
    marks.iter().any(|m| {
        (to..to + 9).contains(&m.from)
            && words.line_of(m.from) == line
            && own.marks.contains(&m.words)
    })
}

/// Whether a bracket that opens just behind the words of a card holds the token: "(MAKE, N000AB)".
fn in_bracket(words: &Words<'_>, to: usize, at: usize) -> bool {
    let opens = (to..to + 2).find(|n| words.word(*n) == "(");
    opens.is_some_and(|n| n < at && (n..at).all(|n| words.word(n) != ")"))
}

/// Whether a mark or number is one of the letter's; `None` where the letter gives none.
fn whose(number: &str, own: &[String]) -> Option<CertificateFor> {
    (!own.is_empty()).then(|| {
        if own.iter().any(|o| o == number) {
            CertificateFor::This
        } else {
            CertificateFor::Other
        }
    })
}

/// The name of a repair station or maker: the words with capitals before the certificate.
pub(super) fn firm(
    words: &Words<'_>,
    kind: Option<Kind>,
    features: &[&EntryMark],
) -> Option<String> {
    if !matches!(kind, Some(Kind::RepairStation | Kind::Manufacturer)) {
        return None;
    }
    // "Avionics and Airframe, Repair Station": a word for a rating is part of the name before it.
    let certificates = features.iter().filter(|m| m.role == EntryRole::Certificate);
    let end = certificates.map(|m| m.from).min()?;
    let skipped = |n: usize| {
        words.is_mark(n)
            || words.is_in(n, WordList::Faa)
            || words.is_in(n, WordList::Certificated)
            || words.says(n, means::STANDING)
            || ["a", "an"].contains(&words.word(n))
    };
    let mut to = end;
    while to > 0 && skipped(to - 1) && words.segment_of(to - 1) == words.segment_of(end) {
        to -= 1;
    }
    let mut from = to;
    while let Some(n) = from.checked_sub(1) {
        let word = words.word(n);
        let capital = word.chars().next().is_some_and(char::is_uppercase);
        let letters = word
            .chars()
            .all(|c| c.is_alphabetic() || c == '\'' || c == '\u{2019}');
        let form = words.is_in(n + 1, WordList::FirmForm);
        let joins = ["&", "and", "of"].contains(&word) || word == "," && form;
        let label =
            words.covered(EntryRole::NameLabel, n) || words.covered(EntryRole::SignatureLabel, n);
        let other_line =
            from < to && (words.line_of(n) < words.line_of(from) || words.gap(from).len() >= FIELD);
        let ends = label || other_line || words.segment_of(n) != words.segment_of(end);
        if !(capital && letters || joins) || ends {
            break;
        }
        from = n;
    }
    // "on behalf of NAME", "For NAME"
    let leads = |n: usize| {
        !words.word(n).starts_with(char::is_uppercase)
            || ["for", "by", "per"].contains(&words.word(n).to_lowercase().as_str())
    };
    while from < to && leads(from) {
        from += 1;
    }
    (to >= from + 2).then(|| words.between(from, to))
}

/// "Repair station 000AB12 NAME LLC": the name of a firm behind its number.
pub(super) fn firm_behind(words: &Words<'_>, kind: Option<Kind>, from: usize) -> Option<String> {
    let station = kind == Some(Kind::RepairStation);
    let capital = |n: &usize| {
        let word = words.word(*n);
        words.line_of(*n) == words.line_of(from.saturating_sub(1))
            && word.starts_with(char::is_uppercase)
            && word.chars().all(char::is_alphabetic)
            && !words.covered(EntryRole::NameLabel, *n)
    };
    let to = from + (from..words.tokens.len()).take_while(capital).count();
    (station && to >= from + 2).then(|| words.between(from, to))
}

/// One past the words with capitals that go on the name of a firm: "Cold Fell Aero Service".
pub(super) fn firm_end(words: &Words<'_>, to: usize) -> usize {
    let goes_on = |n: &usize| {
        let word = words.word(*n);
        words.line_of(*n) == words.line_of(to - 1)
            && words.gap(*n).len() < FIELD
            && word.chars().count() > 1
            && word.starts_with(char::is_uppercase)
            && word.chars().all(char::is_alphabetic)
            && !words.covered(EntryRole::Certificate, *n)
            && !words.covered(EntryRole::NameLabel, *n)
            && !words.covered(EntryRole::SignatureLabel, *n)
    };
    to + (to..words.tokens.len()).take_while(goes_on).count()
}

/// The category beside the words of a light-sport repairman.
pub(super) fn trained(words: &Words<'_>, from: usize, to: usize) -> Option<CategoryClass> {
    words
        .all(EntryRole::Category)
        .find(|m| {
            let last = to.saturating_sub(1);
            let of_group = [from, last].map(|n| words.segment_of(n));
            from <= m.from && m.from <= to + 4 && of_group.contains(&words.segment_of(m.from))
        })
        .and_then(|m| CategoryClass::parse(words.means(m)))
}

/// Whether the signer is said to own the aircraft, or not to.
pub(super) fn owner(words: &Words<'_>, from: usize, to: usize) -> Option<Ownership> {
    let near = |m: &&EntryMark| from <= m.from + 3 && m.from <= to + 6;
    if words.all(EntryRole::NotOwner).any(|m| near(&m)) {
        return Some(Ownership::NotOwner);
    }
    words
        .all(EntryRole::Uncertificated)
        .filter(near)
        .any(|m| words.lists().has(&words.of(m), WordList::OwnerFirst))
        .then_some(Ownership::OwnName)
}
