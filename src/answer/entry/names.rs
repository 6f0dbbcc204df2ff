//! Names in a log entry: words with capitals beside a label, a certificate or its number.

use super::dates::Day;
use super::figures::{self, Placed};
use super::words::{FIELD, Words};
use crate::patterns::entry::means;
use crate::patterns::{EntryMark, EntryRole, Token, TokenKind, WordList};

/// Two to four words with a capital that no file knows, beside a label, certificate or number.
pub(super) fn names(words: &Words<'_>, numbers: &[Placed], days: &[Day]) -> Vec<(Placed, bool)> {
    let mut found: Vec<(Placed, bool)> = Vec::new();
    let mut at = 0;
    while at < words.tokens.len() {
        // "I/A/W FAR 43": letters joined by strokes begin no name.
        let glued = |n: usize| words.tokens.get(n).is_some_and(|t| t.glued);
        let joined = at > 0
            && words.word(at - 1) == "/"
            && !words.covered(EntryRole::SignatureLabel, at - 1)
            && glued(at)
            && glued(at - 1);
        // "appendix D. NAME": the letter is no initial.
        let of_scope = words.covered(EntryRole::Shows, at);
        let to = if joined || of_scope {
            at
        } else {
            turned(words, at, name_end(words, at, days), days)
        };
        // "Jane Doe AMT-X": what stands behind a name in capitals is no other.
        let behind = found
            .last()
            .is_some_and(|(name, _)| name.to == at && behind_name(words, name));
        // "X NAME": the cross marks the line on which one signs.
        let opens = words.opens_line(at);
        let full = (at..to)
            .filter(|n| words.word(*n).chars().count() > 1)
            .count();
        let cross = opens && words.word(at) == "X" && words.word(at + 1) != "." && full >= 2;
        if full == 0 || cross || behind {
            at += 1;
            continue;
        }
        let signed = label_before(words, EntryRole::SignatureLabel, at);
        let labelled = signed || label_before(words, EntryRole::NameLabel, at);
        let beside = beside(words, at, to, numbers);
        // "Wisp-Lane" is one part.
        let parts = (at..to)
            .filter(|n| !words.is_mark(*n) && (*n == at || words.gap(*n) != "-"))
            .count();
        // A name that ends the entry is the one who signs it, and one that opens its last line.
        let last = to >= words.tokens.len()
            || to + 1 == words.tokens.len() && words.is_mark(to)
            || opens_last_line(words, at, to);
        let signed = signed
            || words.all(EntryRole::SignatureLabel).any(|m| {
                !of_work(words, m)
                    && to <= m.from
                    && m.from <= to + 1
                    && (to..m.from).all(|n| words.is_mark(n))
                    && (parts >= 2 || !heads_or_ends(words, to, m))
            });
        // "I, NAME, certify"; "SURNAME, NAME - certificate".
        let own = at > 1 && words.word(at - 1) == "," && words.word(at - 2) == "I";
        let from = inverted(words, at, days).filter(|_| beside && parts == 1);
        if labelled || signed || (beside || last || own) && parts >= 2 || from.is_some() {
            let at = from.unwrap_or(at);
            found.push((
                Placed {
                    words: words.between(at, to),
                    from: at,
                    to,
                },
                signed,
            ));
        }
        at = to;
    }
    if found.is_empty() {
        found.extend(otherwise(words, numbers, days).map(|name| (name, false)));
    }
    found
}

/// Whether what stands right behind a name that is not in capitals is in capitals.
fn behind_name(words: &Words<'_>, name: &Placed) -> bool {
    in_case(&name.words)
        && words.line_of(name.to) == words.line_of(name.to - 1)
        && words.word(name.to).chars().all(char::is_uppercase)
}

/// Where no name stands beside a label or a certificate, one by its place alone.
fn otherwise(words: &Words<'_>, numbers: &[Placed], days: &[Day]) -> Option<Placed> {
    sentence_alone(words, days)
        .or_else(|| in_a_field(words, days))
        .or_else(|| small_name(words, numbers))
        .or_else(|| surname_alone(words, numbers, days))
}

/// "Electronically signed: NAME", "Status: SIGNED": one word before a label that names another field, or is the value
/// of one.
fn heads_or_ends(words: &Words<'_>, to: usize, label: &EntryMark) -> bool {
    [label.to - 1, label.to, to]
        .iter()
        .any(|n| words.word(*n) == ":")
}

/// "SURNAME, E. C.": the end of the initials behind a surname that stands alone before a comma.
fn turned(words: &Words<'_>, at: usize, to: usize, days: &[Day]) -> usize {
    let glued = |n: usize| words.tokens.get(n).is_some_and(|t| t.glued);
    let alone = to > at && words.word(at).chars().count() > 1 && (at + 1..to).all(glued);
    if !alone || words.word(to) != "," {
        return to;
    }
    let initial = |n: usize| {
        let word = words.word(n);
        word.chars().count() == 1
            && word.chars().all(char::is_uppercase)
            && !["&", "/", "+"].contains(&words.word(n + 1))
            && words.line_of(n) == words.line_of(at)
    };
    let mut end = to + 1;
    while initial(end) {
        end += 1 + usize::from(words.word(end + 1) == ".");
    }
    if end == to + 1 {
        let given = name_end(words, end, days);
        let one = (end + 1..given).all(|n| words.is_mark(n) || words.word(n).chars().count() == 1);
        let opens = words.opens_line(at);
        let alone = given > end
            && one
            && words.line_of(end) == words.line_of(at)
            && (words.line_of(given) > words.line_of(at) || words.gap(given).len() >= FIELD);
        return if opens && alone { given } else { to };
    }
    if !words.word(end).eq_ignore_ascii_case("and") {
        end
    } else {
        to
    }
}

/// "... for safe operation. NAME. My certificate ...": where the entry has no other name, one that is a sentence behind
/// the finding.
fn sentence_alone(words: &Words<'_>, days: &[Day]) -> Option<Placed> {
    let finding = words.all(EntryRole::Affirmative).last()?;
    (finding.to..words.tokens.len()).find_map(|at| {
        let segment = words.segment_of(at);
        let strange =
            |n: usize| words.is_mark(n) || words.tokens.get(n).is_some_and(|t| t.word == 0);
        if at == 0 || words.segment_of(at - 1) == segment {
            return None;
        }
        let to = name_end(words, at, days);
        let parts = (at..to)
            .filter(|n| words.word(*n).chars().count() > 1)
            .count();
        let whole = words.tokens_of(segment).all(|n| n < to || words.is_mark(n));
        (parts >= 2 && whole && (at..to).all(strange)).then(|| Placed {
            words: words.between(at, to),
            from: at,
            to,
        })
    })
}

/// "Hand: J. NAME" on a line of its own: where the entry has no other name, what has the form of one and fills a field.
fn in_a_field(words: &Words<'_>, days: &[Day]) -> Option<Placed> {
    let strange = |n: usize| {
        words.is_mark(n)
            || words.word(n).chars().count() == 1
            || words.tokens.get(n).is_some_and(|t| t.word == 0)
    };
    (1..words.tokens.len()).find_map(|at| {
        let to = name_end(words, at, days);
        let parts = (at..to).filter(|n| !words.is_mark(*n)).count();
        let alone = to >= words.tokens.len()
            || words.line_of(to) > words.line_of(at)
            || words.gap(to).len() >= FIELD;
        let field = words.word(at - 1) == ":" && words.line_of(at - 1) == words.line_of(at);
        (parts >= 2 && alone && field && (at..to).all(strange)).then(|| Placed {
            words: words.between(at, to),
            from: at,
            to,
        })
    })
}

/// "... jane doe a&p 0001234": two words in small letters that no file knows, before a certificate and its number.
fn small_name(words: &Words<'_>, numbers: &[Placed]) -> Option<Placed> {
    let strange = |n: usize| {
        let word = words.word(n);
        words.tokens.get(n).is_some_and(|t| t.word == 0)
            && word.chars().count() >= SHORTEST
            && word.chars().all(char::is_lowercase)
    };
    words.all(EntryRole::Certificate).find_map(|m| {
        let from = m.from.checked_sub(2)?;
        let line = words.line_of(m.from);
        let number = numbers
            .iter()
            .any(|n| m.to <= n.from && n.from <= m.to + BESIDE && words.line_of(n.from) == line);
        let whole = (from..m.from).all(|n| strange(n) && words.line_of(n) == line);
        let opens = from == 0 || words.is_mark(from - 1) || words.line_of(from - 1) < line;
        (number && whole && opens).then(|| Placed {
            words: words.between(from, m.from),
            from,
            to: m.from,
        })
    })
}

/// "Example A&P 0001234": where the entry has no other name, a surname alone before a certificate and its number.
fn surname_alone(words: &Words<'_>, numbers: &[Placed], days: &[Day]) -> Option<Placed> {
    (0..words.tokens.len()).find_map(|at| {
        let to = name_end(words, at, days);
        let glued = |n: usize| words.tokens.get(n).is_some_and(|t| t.glued);
        let strange = |n: usize| words.tokens.get(n).is_some_and(|t| t.word == 0);
        let long = words.word(at).chars().count() >= SURNAME;
        if to == at || !long || !(at + 1..to).all(glued) || !(at..to).all(strange) {
            return None;
        }
        let line = words.line_of(at);
        let certificate = words.all(EntryRole::Certificate).any(|m| {
            (to..=to + 1).contains(&m.from)
                && (to..m.from).all(|n| words.word(n) == ",")
                && words.line_of(m.from) == line
                && numbers.iter().any(|n| {
                    m.to <= n.from && n.from <= m.to + BESIDE && words.line_of(n.from) == line
                })
        });
        certificate.then(|| Placed {
            words: words.between(at, to),
            from: at,
            to,
        })
    })
}

/// "Jr." has so many letters, a given name more.
const SHORTEST: usize = 3;

/// A surname that stands alone has at least so many letters.
const SURNAME: usize = 4;

/// One past the last word of a run of words with capitals, initials and their full stops.
pub(super) fn name_end(words: &Words<'_>, at: usize, days: &[Day]) -> usize {
    let mut to = at;
    let mut count = 0;
    // A name that is signed and printed stands twice; the second is another element.
    let again = |to: usize| {
        let parts = to - at;
        parts >= 2
            && (0..parts).all(|n| words.word(at + n).eq_ignore_ascii_case(words.word(to + n)))
    };
    // Where nothing has a capital, names have none: a word that no file knows may be one.
    let small = in_small_letters(words, at);
    while count < 5 && !again(to) {
        let word = words.word(to);
        let initial = word.chars().count() == 1
            && (word.chars().all(char::is_uppercase) || small && words.word(to + 1) == ".");
        let unit = to == at && of_figure(words, to);
        let initial = initial && !unit;
        let small = small && words.tokens.get(to).is_some_and(|t| t.word == 0);
        // "d'Arcy"
        let elided = word
            .split_once(['\'', '\u{2019}'])
            .is_some_and(|(_, rest)| rest.starts_with(char::is_uppercase));
        let capital =
            word.chars().next().is_some_and(char::is_uppercase) || small || initial || elided;
        let known = words.covered(EntryRole::NoName, to) && !initial
            || words.covered(EntryRole::Certificate, to)
            || words
                .all(EntryRole::Rating)
                .any(|m| m.from <= to && to < m.to && (!initial || m.to > m.from + 2))
            || words.covered(EntryRole::SignatureLabel, to);
        let letters = words
            .tokens
            .get(to)
            .is_some_and(|t| t.kind == TokenKind::Word)
            && word
                .chars()
                .all(|c| c.is_alphabetic() || c == '\'' || c == '\u{2019}');
        let particle = to > at
            && words.is_in(to, WordList::NameParticle)
            && word.chars().all(char::is_lowercase);
        let next_line = to > at && words.line_of(to) != words.line_of(to - 1);
        let known = known && !surname(words, at, to, count);
        let other = next_line || figures::in_day(words, to, days);
        let unit = unit && word.chars().count() == 1;
        if !letters || !(capital || particle) || known || other || unit {
            break;
        }
        // "A&P", "A/P", "R-0000001": letters with marks glued between are no initials.
        let joins = |t: &Token| {
            t.glued && (t.kind == TokenKind::Number || ["&", "/"].contains(&words.word(to + 1)))
        };
        if initial && words.tokens.get(to + 1).is_some_and(joins) {
            break;
        }
        // "QM-4": a word with a figure glued behind it names a model.
        let model = !initial
            && words
                .tokens
                .get(to + 1)
                .is_some_and(|t| t.glued && t.kind == TokenKind::Number);
        // "NAME NAME   KIND: ...": a wide gap behind a whole name begins another field.
        let field = count >= 2 && words.gap(to).len() >= FIELD;
        // "Jane Doe AMT": a short form behind a name that is not in capitals.
        let short = count >= 2 && !initial && short_form_behind(words, at, to);
        if model || field || short {
            break;
        }
        to += 1;
        count += 1;
        let next = words.word(to);
        let shortened = next == "." && (initial || words.covered(EntryRole::NameShort, to - 1));
        let junior = next == "," && ["Jr", "Sr", "II", "III"].contains(&words.word(to + 1));
        if shortened || junior {
            to += 1;
        }
    }
    to
}

/// Whether a word in capitals stands behind names that are not.
fn short_form_behind(words: &Words<'_>, at: usize, to: usize) -> bool {
    let cased = |n: usize| words.word(n).chars().count() == 1 || in_case(words.word(n));
    words.word(to).chars().all(char::is_uppercase) && (at..to).all(cased)
}

/// Whether a word has small letters behind its capital.
fn in_case(word: &str) -> bool {
    word.chars().skip(1).any(char::is_lowercase)
}

/// Whether nothing of the entry has a capital, or nothing behind the label of a name on its line. The mark of an
/// aircraft has capitals always.
fn in_small_letters(words: &Words<'_>, at: usize) -> bool {
    let capital = |n: usize| {
        let word = words.word(n);
        word.contains(char::is_uppercase) && !word.contains(|c: char| c.is_ascii_digit())
    };
    // "by hand": a label heads its line, or has a colon.
    let heads = |m: &EntryMark| {
        let opens = (0..m.from)
            .rev()
            .take_while(|n| words.line_of(*n) == words.line_of(m.from))
            .all(|n| words.says(n, means::HEADING));
        (m.to == at && opens && m.to > m.from + 1) || words.word(m.to) == ":" && m.to + 1 == at
    };
    let labelled = || {
        words.all(EntryRole::NameLabel).any(heads)
            && !(at..words.tokens.len())
                .take_while(|n| words.line_of(*n) == words.line_of(at))
                .any(capital)
    };
    !words.text.contains(char::is_uppercase) || !(0..words.tokens.len()).any(capital) || labelled()
}

/// "EGT spread 40 F. NAME": behind a figure a letter is its unit.
fn of_figure(words: &Words<'_>, at: usize) -> bool {
    at > 0
        && words.tokens.get(at - 1).map(|t| t.kind) == Some(TokenKind::Number)
        && words.word(at - 1).len() <= READING
        && words.gap(at).len() == 1
}

/// A reading before its unit has no more figures; the number of a certificate has.
const READING: usize = 4;

/// A word of the trade as the second word of a name, "Bo Builder": what a name ends with follows.
fn surname(words: &Words<'_>, at: usize, to: usize, count: usize) -> bool {
    // "Builder" is said of a certificate by nobody.
    let certificate = words
        .all(EntryRole::Certificate)
        .any(|m| m.from <= to && to < m.to && words.means(m) != crate::model::Kind::Other.name());
    let taken = certificate
        || words.covered_by(
            &[
                EntryRole::SignatureLabel,
                EntryRole::NameLabel,
                EntryRole::NumberLabel,
            ],
            to,
        );
    let next = to + 1;
    let ends = words.tokens.get(next).is_none()
        || [",", ".", ";", ")", "-", "/"].contains(&words.word(next))
        || words.line_of(next) != words.line_of(to)
        || words.covered_by(&[EntryRole::Certificate, EntryRole::Supervision], next)
        || words.word(next).starts_with(|c: char| c.is_ascii_digit());
    let full = (at..to).any(|n| words.word(n).chars().count() > 1);
    let parts = (at..to).filter(|n| !words.is_mark(*n)).count();
    // An initial or two may stand before it; a whole name does not need it.
    count >= 1 && !taken && ends && (parts == 1 || !full)
}

/// "SIGNED OFF" tells of work, not of who signs.
fn of_work(words: &Words<'_>, label: &EntryMark) -> bool {
    words
        .all(EntryRole::Corrected)
        .any(|m| m.from <= label.from && label.to < m.to)
}

/// One past a label and the hint in brackets behind it: "By (sign): NAME".
fn behind_hint(words: &Words<'_>, label: &EntryMark) -> usize {
    let behind = words.past_bracket(label.to);
    if words.word(behind) == ":" {
        behind
    } else {
        label.to
    }
}

fn label_before(words: &Words<'_>, role: EntryRole, at: usize) -> bool {
    words.all(role).any(|m| {
        !of_work(words, m)
            && m.to <= at
            && at <= words.past_leader(behind_hint(words, m)) + 3
            && (behind_hint(words, m)..at).all(|n| {
                [":", "-", ".", "/", "_", "for"].contains(&words.word(n).to_lowercase().as_str())
            })
    })
}

/// "Wisp, Barnaby": where a surname alone opens the line before a comma, its place.
fn inverted(words: &Words<'_>, at: usize, days: &[Day]) -> Option<usize> {
    // "Wisp-Lane, Barnaby"
    let glued = |n: usize| words.tokens.get(n).is_some_and(|t| t.glued);
    let mut surname = at.checked_sub(2)?;
    while surname > 0 && glued(surname) && words.gap(surname) == "-" {
        surname -= 1;
    }
    let opens =
        words.opens_line(surname) || words.is_mark(surname - 1) && words.word(surname - 1) != ",";
    let alone = words.word(at - 1) == "," && name_end(words, surname, days) == at - 1;
    (opens && alone && words.word(surname).chars().count() > 1).then_some(surname)
}

/// "R. Hollin, inspector, for the station": a name opens the last line, and what the person is follows.
fn opens_last_line(words: &Words<'_>, at: usize, to: usize) -> bool {
    let end = words.tokens.len();
    let line = words.line_of(end.saturating_sub(1));
    let opens = at > 0 && words.line_of(at) == line && words.line_of(at - 1) < line;
    let follows = [",", "("].contains(&words.word(to))
        || ["for", "by"].contains(&words.word(to).to_lowercase().as_str());
    opens && follows && end <= to + LAST_LINE && (to..end).all(|n| figures_free(words.word(n)))
}

/// What follows a name on the last line has at most so many tokens.
const LAST_LINE: usize = 9;

fn figures_free(word: &str) -> bool {
    !word.contains(|c: char| c.is_ascii_digit())
}

/// Whether a certificate or its number stands just before or behind.
fn beside(words: &Words<'_>, at: usize, to: usize, numbers: &[Placed]) -> bool {
    // "NAME, chief mechanic, certificate": what the signer is stands behind a comma, in small letters.
    let opens_line = words.opens_line(at);
    let small = |n: usize| {
        let word = words.word(n);
        let lower = word.chars().all(|c| c.is_lowercase() || c == '\'');
        let short_form = word.len() <= SHORT_FORM && word.chars().all(char::is_uppercase);
        opens_line
            && n > to
            && words.word(to) == ","
            && (lower || short_form)
            && !words.covered_by(
                &[EntryRole::Doubt, EntryRole::Negator, EntryRole::Supervision],
                n,
            )
    };
    // "NAME / EAB 0001234", "Jane Doe AMT-X 0001234": a short form in capitals that no file knows.
    let of_person = in_case(&words.between(at, to));
    let short_form = |n: usize| {
        let word = words.word(n);
        n >= to
            && n <= to + 2
            && (words.is_mark(n - 1) || of_person)
            && word.chars().all(char::is_uppercase)
            && word.len() <= SHORT_FORM
            && !words.covered_by(
                &[
                    EntryRole::Doubt,
                    EntryRole::Negator,
                    EntryRole::Supervision,
                    EntryRole::Uncertificated,
                ],
                n,
            )
    };
    // "in a condition for safe operation; NAME; A&P-0001234": a name that is alone between its marks.
    let alone = (at == 0 || words.is_mark(at - 1)) && words.is_mark(to);
    let gap = |from: usize, to: usize| {
        let reach = if opens_line && words.word(from) == "," {
            BESIDE + BOX
        } else {
            BESIDE
        };
        to <= from + reach
            && (from..to).all(|n| {
                small(n)
                    || short_form(n)
                    || words.is_mark(n) && (words.word(n) != ";" || alone)
                    || words.covered(EntryRole::NumberLabel, n)
                    || words.covered(EntryRole::Aircraft, n)
                    || ["for", "of", "the", "a", "an"]
                        .contains(&words.word(n).to_lowercase().as_str())
                    || [WordList::Certificated, WordList::Faa, WordList::Holder]
                        .iter()
                        .any(|list| words.is_in(n, *list))
            })
    };
    let touches = |from: usize, end: usize| {
        below(words, at, from)
            || from >= to && gap(to, from) && words.line_of(from) <= words.line_of(to - 1) + 1
            || end <= at && gap(end, at) && words.line_of(at) <= words.line_of(end - 1) + 1
    };
    numbers.iter().any(|n| touches(n.from, n.to))
        || [
            EntryRole::Certificate,
            EntryRole::Rating,
            EntryRole::RatingLetter,
            EntryRole::Uncertificated,
        ]
        .into_iter()
        .any(|role| words.all(role).any(|m| touches(m.from, m.to)))
}

/// Whether what begins at `from` stands on the line below the name, or above it, in the same column of a sheet with
/// several.
fn below(words: &Words<'_>, at: usize, from: usize) -> bool {
    let column = |n: usize| {
        let start = words.tokens.get(n)?.span.start;
        let line = words.text.get(..start)?;
        Some(line.chars().rev().take_while(|c| *c != '\n').count())
    };
    let opens = |n: usize| words.opens_line(n) || words.gap(n).len() >= FIELD;
    words.line_of(from).abs_diff(words.line_of(at)) == 1
        && opens(at)
        && opens(from)
        && column(at) == column(from)
}

/// So many tokens a box has: "[x]".
const BOX: usize = 3;

/// A short form in capitals that no file knows has at most so many letters.
const SHORT_FORM: usize = 6;

/// So many tokens, all of them small, stand at most between a name and its certificate.
const BESIDE: usize = 5;

/// Whether two names can be one person's, printed and signed: "Jane Doe" and "J. Doe".
pub(super) fn same_name(a: &str, b: &str) -> bool {
    let parts = |name: &str| -> Vec<String> {
        // "Doe, Jane": "Doe, Jr." is none such.
        let turned = match name.split_once(", ") {
            Some((surname, given)) if given.chars().count() > SHORTEST => {
                format!("{given} {surname}")
            }
            _ => name.to_owned(),
        };
        turned
            .split(|c: char| c.is_whitespace() || c == '.')
            .filter(|p| !p.is_empty())
            .map(str::to_lowercase)
            .collect()
    };
    let (a, b) = (parts(a), parts(b));
    let (Some(a_first), Some(b_first)) = (a.first(), b.first()) else {
        return false;
    };
    // Initials alone: "J. D.", "JD".
    let initials =
        |name: &[String]| -> String { name.iter().filter_map(|p| p.chars().next()).collect() };
    let alone = |short: &[String], long: &[String]| {
        let letters: String = short.concat();
        letters.chars().count() <= 3 && letters == initials(long)
    };
    if alone(&a, &b) || alone(&b, &a) {
        return true;
    }
    let begins = a_first.starts_with(b_first.as_str()) || b_first.starts_with(a_first.as_str());
    a.last() == b.last() && (begins || a.len() == 1 || b.len() == 1)
}
