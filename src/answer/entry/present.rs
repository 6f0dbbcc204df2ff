//! What is said of a part in the present.
//!
//! The work of an entry is told in participles and in the past ("replaced", "found within limits"). A
//! verb in the present says how something is. Nobody can list all the ways in which a part may be
//! ill ("coolant finds its way into the sump"), but a sound part is told in few: it works, it holds, it
//! reads a figure, it is tight, it is installed. So what is said of a part, a fluid or a system in the
//! present has to be known for sound.

use super::dates::Day;
use super::figures;
use super::people::People;
use super::words::Words;
use super::work::is_done;
use crate::patterns::entry::means;
use crate::patterns::{EntryRole, TokenKind};

/// Roles by which a clause is judged elsewhere, or speaks of something else.
const JUDGED: [EntryRole; 16] = [
    EntryRole::Advice,
    EntryRole::Affirmative,
    EntryRole::Apart,
    EntryRole::Certificate,
    EntryRole::Discrepancy,
    EntryRole::Inspected,
    EntryRole::Inspection,
    EntryRole::Later,
    EntryRole::NameLabel,
    EntryRole::Negative,
    EntryRole::NumberLabel,
    EntryRole::Rating,
    EntryRole::Shows,
    EntryRole::SignatureLabel,
    EntryRole::Supervision,
    EntryRole::Uncertificated,
];

/// Whom or what a subject may name of which nothing is to be known: people, papers, equipment that an
/// aircraft may be without.
const ASIDE: [&str; 8] = [
    means::PERSON,
    means::WRITER,
    means::RECORD,
    means::PAPERS,
    means::DIRECTIVE,
    means::RULE,
    means::BOOK,
    means::NAMED,
];

/// Words of a predicate that say what was done with its subject, or which one it is.
const DONE: [&str; 8] = [
    means::WORK,
    means::FITTED,
    means::KEEPS,
    means::PAPERS,
    means::RECORD,
    means::EARLIER,
    means::FRESH,
    means::SAME,
];

/// Words of a predicate that tell no state.
const STATELESS: [&str; 8] = [
    means::PLAIN,
    means::THING,
    means::WELL,
    means::OPTIONAL,
    means::UNIT,
    means::MEASURE,
    means::RUNS_ON,
    means::FRESH,
];

/// A verb in the present and what is said with it: one past its last token.
#[derive(Clone, Copy)]
struct Predicate {
    verb: usize,
    to: usize,
    form: Form,
}

/// What the verb is.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Form {
    Be,
    Have,
    /// A verb that is true of a sound part: it works, it holds.
    Well,
    /// A verb that says that the subject is as it ought to be: it agrees, it meets.
    Agrees,
    /// A verb that reports what follows: it reads, it feels.
    Reports,
    Other,
}

/// Sentences that say of a part, in the present, what is not known for sound.
pub(super) fn unsound(words: &Words<'_>, days: &[Day], people: &People) -> Vec<String> {
    let mut found = Vec::new();
    let mut told = None;
    for (from, to) in clauses(words) {
        let segment = words.segment_of(from);
        if told == Some(segment) || judged(words, from, to) {
            continue;
        }
        let Some(first) = predicate(words, from, to) else {
            continue;
        };
        if !of_part(words, from, to) && !left_to_guess(words, from, first) {
            continue;
        }
        if aside(words, (from, to), first.verb, days, people) || mended(words, first.verb, to) {
            continue;
        }
        let mut next = Some(first);
        while let Some(one) = next {
            if !sound(words, (from, one), days) && !within_limits(words, one.to) {
                let tokens: Vec<usize> = words.tokens_of(segment).collect();
                let last = tokens.last().map_or(to, |n| n + 1);
                found.push(words.between(tokens.first().copied().unwrap_or(from), last));
                told = Some(segment);
                break;
            }
            next = (one.to < to).then(|| joined(words, one.to, to)).flatten();
        }
    }
    found
}

/// The clauses of an entry: what stands between two marks that part them, or two lines of which the second opens
/// with no small letter.
fn clauses(words: &Words<'_>) -> Vec<(usize, usize)> {
    let mut found = Vec::new();
    let mut from = 0;
    let count = words.tokens.len();
    for n in 0..=count {
        let line = n > from
            && n < count
            && words.line_of(n) != words.line_of(n - 1)
            && !words.word(n).starts_with(char::is_lowercase);
        let other = n > from && n < count && words.segment_of(n) != words.segment_of(n - 1);
        if n == count || parts(words, n) || line || other {
            let last = (from..n).rev().find(|n| !words.is_mark(*n));
            if let Some(last) = last.filter(|last| *last > from) {
                found.push((from, last + 1));
            }
            from = if n < count && parts(words, n) {
                n + 1
            } else {
                n
            };
        }
    }
    found
}

/// A mark that parts clauses: none within a word or a figure.
fn parts(words: &Words<'_>, at: usize) -> bool {
    let glued = |n: usize| words.tokens.get(n).is_some_and(|t| t.glued);
    let within = glued(at) && glued(at + 1);
    words.is_mark(at) && PARTS.contains(&words.word(at)) && !within
}

const PARTS: [&str; 18] = [
    ",", ";", ":", "!", "?", "(", ")", "[", "]", "-", "\u{2013}", "\u{2014}", "=", "|", ">", "\"",
    "\u{201c}", "\u{201d}",
];

/// Whether a clause names a part or what runs in one.
fn of_part(words: &Words<'_>, from: usize, to: usize) -> bool {
    (from..to).any(|n| {
        words.says(n, means::THING)
            || words.says(n, means::FLUID)
            || words.says(n, means::RUNS_ON)
            || words.covered(EntryRole::Component, n)
    })
}

/// "The left main gives out": what the subject is a part of is left to guess, and no more is said of it than
/// where it is.
fn left_to_guess(words: &Words<'_>, from: usize, said: Predicate) -> bool {
    let plain = |n: usize| words.says(n, means::PLAIN) || words.says(n, means::ADVERB);
    let bare = |n: usize| words.says(n, means::ARTICLE) || words.says(n, means::ADVERB);
    let aircraft = |n: usize| words.covered(EntryRole::Aircraft, n);
    [Form::Other, Form::Reports].contains(&said.form)
        && !(from..said.verb).any(aircraft)
        && (from..said.verb).all(plain)
        && !(from..said.verb).all(bare)
}

/// Whether the clause is judged by other words, or labels a figure.
fn judged(words: &Words<'_>, from: usize, to: usize) -> bool {
    let figure = |n: usize| words.tokens.get(n).map(|t| t.kind) == Some(TokenKind::Number);
    let labels = [EntryRole::TimeLabel, EntryRole::OtherDay];
    let number = |n: usize| words.covered(EntryRole::NumberLabel, n);
    // "differ by 300 rpm": "by" stands before no name.
    let no_name = |n: usize| {
        let label = words
            .all(EntryRole::NameLabel)
            .find(|m| m.from <= n && n < m.to);
        label.is_some_and(|m| {
            m.to == m.from + 1
                && !words.word(m.to).starts_with(char::is_uppercase)
                && words.word(m.to) != ":"
        })
    };
    (from..to).any(|n| {
        words.covered_by(&JUDGED, n) && !number(n) && !no_name(n)
            || words.covered_by(&labels, n) && (n + 1..(n + 5).min(to)).any(figure)
    })
}

/// The first verb in the present of a clause that has a subject.
fn predicate(words: &Words<'_>, from: usize, to: usize) -> Option<Predicate> {
    // "as the maker says", "so that the horn comes on": of a clause within a clause nothing is judged. Each word
    // that opens one takes one verb.
    let opens = |n: usize| {
        words.says(n, means::RELATIVE)
            || words.says(n, means::WHEN_SO) && !words.says(n, means::PLAIN)
    };
    let mut within = 0;
    for n in from..to {
        within += usize::from(opens(n));
        let Some(form) = (n > from).then(|| form(words, from, n, to)).flatten() else {
            continue;
        };
        if within == 0 {
            let to = end(words, n, to);
            return Some(Predicate { verb: n, to, form });
        }
        within -= 1;
    }
    None
}

/// A predicate behind "and".
fn joined(words: &Words<'_>, at: usize, to: usize) -> Option<Predicate> {
    let verb = (at + 1..to).find(|n| !words.says(*n, means::ADVERB))?;
    Some(Predicate {
        verb,
        to: end(words, verb, to),
        form: listed(words, verb)?,
    })
}

/// One past a predicate: a clause of time or cause, or another predicate, ends it.
fn end(words: &Words<'_>, verb: usize, to: usize) -> usize {
    let other = |n: usize| {
        words.says(n, means::AND)
            && (n + 1..to)
                .find(|m| !words.says(*m, means::ADVERB))
                .is_some_and(|m| listed(words, m).is_some())
    };
    // "turns with firm detents", "with no play": how it does what it does.
    let how = |n: usize| words.says(n, means::WELL) || words.says(n, means::NO);
    let when = |n: usize| {
        let manner = words.says(n, means::PLAIN) && how(n + 1);
        words.says(n, means::WHEN_SO) && !words.says(n, means::WELL) && !manner
    };
    (verb + 1..to).find(|n| when(*n) || other(*n)).unwrap_or(to)
}

/// The form of a verb that the files know.
fn listed(words: &Words<'_>, at: usize) -> Option<Form> {
    [
        (means::BE, Form::Be),
        (means::HAS, Form::Have),
        (means::AGREES, Form::Agrees),
        (means::WORKS, Form::Well),
        (means::REPORTS, Form::Reports),
        (means::PRESENT, Form::Other),
    ]
    .into_iter()
    .find_map(|(means, form)| words.says(at, means).then_some(form))
}

/// The form of a verb in the present at a place that has a subject before it; of words that may be nouns,
/// what stands on both sides decides.
fn form(words: &Words<'_>, from: usize, at: usize, to: usize) -> Option<Form> {
    let word = words.word(at).to_lowercase();
    let known = listed(words, at);
    let third = word.ends_with(PLURAL) && !word.ends_with(DOUBLE);
    if words.tokens.get(at)?.kind != TokenKind::Word || known.is_none() && !third {
        return None;
    }
    // "there is more rudder to the left": what the aircraft has.
    let exists = at == from + 1 && words.says(from, means::ADVERB) && words.says(at, means::BE);
    if exists {
        return Some(Form::Have);
    }
    let head = (from..at).rev().find(|n| {
        !words.says(*n, means::ADVERB) && !words.word(*n).to_lowercase().ends_with(MANNER)
    })?;
    if words.says(head, means::ARTICLE) {
        return None;
    }
    if matches!(known, Some(Form::Be | Form::Have)) {
        return known;
    }
    let subject = |n: usize| {
        words.says(n, means::THING)
            || words.says(n, means::FLUID)
            || words.says(n, means::RUNS_ON)
            || words.says(n, means::PLAIN)
    };
    let many = |n: usize| {
        let word = words.word(n).to_lowercase();
        word.ends_with(PLURAL) && !word.ends_with(DOUBLE)
    };
    // "Rod ends greased", "drain holes were clear": a noun, and its predicate behind.
    // What is known by its part alone needs no more: "control runs".
    let behind = at + 1;
    if behind == to && !words.says(head, means::THING) && !words.says(head, means::FLUID) {
        return None;
    }
    let participle = |n: usize| {
        // "re-measured": the syllable is a word of its own.
        let glued = |n: usize| words.tokens.get(n).is_some_and(|t| t.glued);
        let n = if glued(n + 1) && !words.is_mark(n + 1) {
            n + 1
        } else {
            n
        };
        n < to
            && (words.covered(EntryRole::Corrected, n)
                || words.says(n, means::WORK)
                || words.word(n).to_lowercase().ends_with(PARTICIPLE)
                || matches!(listed(words, n), Some(Form::Be | Form::Have)))
    };
    if participle(behind) || words.says(head, means::WORK) && !words.says(head, means::THING) {
        return None;
    }
    match known {
        Some(form) if third => (!many(head)).then_some(form),
        // "Controls feel good", "two of the bolts turn": of several, the verb has no ending.
        Some(form) => (many(head) && behind < to).then_some(form),
        None => {
            let opens = behind < to && words.says(behind, means::OPENS);
            (third && subject(head) && !many(head) && !subject(at) && opens).then_some(Form::Other)
        }
    }
}

/// How adverbs, plurals and verbs of the third person, and participles end.
const MANNER: &str = "ly";
const PLURAL: &str = "s";
const DOUBLE: &str = "ss";
const PARTICIPLE: &str = "ed";
const PROGRESS: &str = "ing";

/// Whether the subject is none of which something has to be known.
fn aside(
    words: &Words<'_>,
    (from, to): (usize, usize),
    verb: usize,
    days: &[Day],
    people: &People,
) -> bool {
    let has = |all: &[&str]| (from..verb).any(|n| all.iter().any(|m| words.says(n, m)));
    let part = |n: usize| words.says(n, means::THING);
    let harmless = words
        .all(EntryRole::Harmless)
        .any(|m| m.from < to && verb < m.to);
    let named = people
        .names
        .iter()
        .any(|(name, _)| name.from < to && from < name.to);
    let day = (from..to).any(|n| figures::in_day(words, n, days));
    // "A mouse has made a home of the left wing": what is aside does something to a part.
    // "Engine cover bolts": a part, and its name holds that of equipment.
    let optional = |n: usize| words.says(n, means::OPTIONAL);
    let needed = |n: usize| part(n) && !optional(n);
    has(&ASIDE)
        || optional(verb - 1)
        || (from..verb)
            .find(|n| optional(*n))
            .is_some_and(|n| !(from..=n + 1).any(needed))
        || has(&[means::OPTIONAL]) && !(from..verb).any(needed)
        || has(&[means::ASIDE]) && !(from..to).any(part)
        || words.says(from, means::HANDLES) && verb > from + 1
        || harmless
        || named
        || day
}

/// Work behind the verb, in a later clause of the sentence or at the head of the next sentence of the line.
fn mended(words: &Words<'_>, verb: usize, to: usize) -> bool {
    let segment = words.segment_of(verb);
    // "when no. 3 is pressurized" is no work that was done.
    let work = |n: usize| words.says(n, means::WORK) && !words.says(n - 1, means::BE);
    words.all(EntryRole::Corrected).any(|m| {
        let here = words.segment_of(m.from);
        let opens = here == segment + 1
            && words.line_of(m.from) == words.line_of(verb)
            && words.tokens_of(here).take(OPENS).any(|n| n == m.from);
        (here == segment && m.from >= to || opens) && is_done(words, m)
    }) || words.tokens_of(segment).any(|n| n >= to && work(n))
}

/// So many tokens behind a predicate stands what it is held against.
const NEAR: usize = 4;

/// So many tokens into its sentence the work still opens it.
const OPENS: usize = 6;

/// "20 rpm high, within limits": what is said is said to be allowed.
fn within_limits(words: &Words<'_>, from: usize) -> bool {
    let segment = words.segment_of(from.saturating_sub(1));
    let behind = |means: &str| {
        let mut tokens = words.tokens_of(segment);
        words.is_mark(from) && tokens.any(|n| n >= from && words.says(n, means))
    };
    // "reads 5 degrees high, correction card posted": whoever flies is told.
    behind(means::WELL) || behind(means::QUOTED) && (behind(means::KEEPS) || behind(means::WORK))
}

/// Whether what is said is known for sound.
fn sound(words: &Words<'_>, (from, said): (usize, Predicate), days: &[Day]) -> bool {
    let fluid = (from..said.verb).any(|n| words.says(n, means::FLUID));
    let rest: Vec<usize> = (said.verb + 1..said.to)
        .filter(|n| !words.is_mark(*n))
        .skip_while(|n| words.says(*n, means::ADVERB))
        .collect();
    let papers = [means::PAPERS, means::BOOK, means::RULE];
    let of_papers = |n: usize| papers.iter().any(|m| words.says(n, m));
    // "tensions are as the drawing asks"
    let behind =
        |n: &usize| *n < said.to + NEAR && words.segment_of(*n) == words.segment_of(said.verb);
    if rest.iter().any(|n| figures::in_day(words, *n, days))
        || (said.verb + 1..words.tokens.len())
            .take_while(behind)
            .any(of_papers)
    {
        return true;
    }
    let Some(first) = rest.first().copied() else {
        return [Form::Well, Form::Agrees].contains(&said.form);
    };
    let amiss = amiss(words, &rest);
    if said.form == Form::Be && words.word(first).to_lowercase().ends_with(PROGRESS) {
        return going_well(words, &rest);
    }
    if well(words, &rest) {
        // "pops open as designed": a phrase of its own says that it is meant to.
        let meant = words
            .all(EntryRole::Word)
            .filter(|m| m.to > m.from + 1 && words.means(m) == means::WELL)
            .any(|m| rest.contains(&m.from));
        return !amiss && (said.form != Form::Other || meant);
    }
    let figure = |n: usize| words.tokens.get(n).map(|t| t.kind) == Some(TokenKind::Number);
    let stateless = rest.iter().all(|n| {
        figure(*n)
            || STATELESS.iter().any(|m| words.says(*n, m))
            || [means::SMALL, means::AND, means::WORK]
                .iter()
                .any(|m| words.says(*n, m))
    });
    let part = rest.iter().any(|n| words.says(*n, means::THING));
    let described = described(words, &rest);
    let measured = figure(first)
        || words.says(first, means::PLAIN) && rest.get(1).is_some_and(|n| figure(*n))
        || words.says(first, means::SMALL) && rest.get(1).is_some_and(|n| figure(*n));
    match said.form {
        Form::Be => {
            !amiss && (measured || done(words, &rest) || described) || stateless && !part && !fluid
        }
        Form::Have => {
            // "a gap at rib 4": the number of a part is no reading.
            let read = |n: usize| {
                figure(n) && !words.says(n - 1, means::THING) && words.word(n - 1) != "#"
            };
            let told = rest.iter().any(|n| read(*n)) || done(words, &rest);
            !amiss && (told || described || grows_not(words, &rest))
        }
        Form::Well => {
            !amiss
                && (measured
                    || grows_not(words, &rest)
                    || stateless && said.to == clause_end(words, said.to))
        }
        Form::Reports => !amiss && (measured || grows_not(words, &rest) || described && !part),
        Form::Agrees => !amiss,
        Form::Other => false,
    }
}

/// "is working normally", and not "is working its way out": what goes on is known for sound, and has no object.
fn going_well(words: &Words<'_>, rest: &[usize]) -> bool {
    let known = |n: &usize| words.says(*n, means::WELL);
    let object = rest.get(1).is_some_and(|n| words.says(*n, means::ARTICLE));
    rest.first().is_some_and(known) && !object && !amiss(words, rest)
}

/// The place itself where no clause of time or cause stands there.
fn clause_end(words: &Words<'_>, at: usize) -> usize {
    if words.says(at, means::WHEN_SO) {
        at + 1
    } else {
        at
    }
}

/// A sound state stands as the predicate: not denied, and no property of a noun behind an article.
fn well(words: &Words<'_>, rest: &[usize]) -> bool {
    rest.iter().enumerate().any(|(k, n)| {
        // "a full width", "at full throttle": it tells the state of another noun.
        let before = k.checked_sub(1).map(|k| rest[k]);
        let noun = rest.get(k + 1).filter(|n| {
            words.tokens.get(**n).map(|t| t.kind) == Some(TokenKind::Word)
                && !words.says(**n, means::WELL)
        });
        let property = noun.is_some_and(|n| {
            let attribute = before.is_some_and(|b| words.says(b, means::SINGLE));
            let known = [means::PLAIN, means::SMALL, means::ADVERB, means::AND];
            words.says(*n, means::THING)
                || words.says(*n, means::FLUID)
                || attribute && !known.iter().any(|m| words.says(*n, m))
        });
        let denied = rest[..k].iter().rev().take(2).any(|b| {
            words.covered(EntryRole::Negator, *b)
                || words.says(*b, means::NO)
                || words.says(*b, means::NONE)
                || words.covered(EntryRole::Doubt, *b)
        });
        words.says(*n, means::WELL) && !property && !denied
    })
}

/// A word says that what is told is not as it ought to be; a figure of its own behind it makes a reading of it
/// ("low 74, high 78").
fn amiss(words: &Words<'_>, rest: &[usize]) -> bool {
    let figure = |n: usize| words.tokens.get(n).map(|t| t.kind) == Some(TokenKind::Number);
    let denied = |k: usize| {
        let mut before = rest[..k].iter().rev().take(2);
        before.any(|b| words.says(*b, means::NO))
    };
    rest.iter().enumerate().any(|(k, n)| {
        // "90 degrees under the others", and not "under thumb pressure".
        let unit =
            |b: usize| figure(b) || words.says(b, means::UNIT) || words.says(b, means::MEASURE);
        let held = words.says(*n, means::COMPARES) && k > 0 && unit(rest[k - 1]);
        let less = words.says(*n, means::AMISS) || held;
        less && !figure(n + 1) && !denied(k) || words.says(*n, means::ILL)
    })
}

/// "is placarded", "has been replaced", "is riveted to the tail cone".
fn done(words: &Words<'_>, rest: &[usize]) -> bool {
    let mut behind = rest
        .iter()
        .copied()
        .skip_while(|n| words.says(*n, means::BEEN) || words.says(*n, means::ADVERB));
    let Some(first) = behind.next() else {
        return false;
    };
    let known = DONE.iter().any(|m| words.says(first, m))
        || words.covered(EntryRole::Corrected, first)
        || words.covered(EntryRole::Inspected, first);
    let word = words.word(first).to_lowercase();
    let fluid = rest.iter().any(|n| words.says(*n, means::FLUID));
    let joins = behind
        .next()
        .is_some_and(|n| words.says(n, means::SMALL) || words.says(n, means::PLAIN));
    let perfect = rest.first().is_some_and(|n| words.says(*n, means::BEEN));
    known || word.ends_with(PARTICIPLE) && (perfect || joins && !fluid)
}

/// "is a two blade wood unit", "is of stainless steel": of what kind it is, and nothing else.
fn described(words: &Words<'_>, rest: &[usize]) -> bool {
    let known = |n: usize| {
        STATELESS.iter().any(|m| words.says(n, m))
            || DONE.iter().any(|m| words.says(n, m))
            || words.says(n, means::SMALL)
            || words.says(n, means::AND)
            || words.covered(EntryRole::Corrected, n)
            || words.tokens.get(n).map(|t| t.kind) == Some(TokenKind::Number)
    };
    let thing =
        |n: usize| STATELESS.iter().any(|m| words.says(n, m)) && !words.says(n, means::SMALL);
    let opens = rest.first().is_some_and(|n| {
        words.says(*n, means::ARTICLE)
            || words.says(*n, means::SMALL)
            || words.says(*n, means::FRESH)
    });
    // The noun stands before what is said of it: "a two blade unit with bolts".
    let noun: Vec<usize> = rest
        .iter()
        .skip(1)
        .copied()
        .take_while(|n| !words.says(*n, means::SMALL))
        .collect();
    // "there is a gap between skin and rib": what grows as a part wears is of no kind.
    opens
        && noun.last().is_some_and(|n| thing(*n))
        && !noun.iter().any(|n| words.says(*n, means::GROWS))
        && rest.iter().all(|n| known(*n))
}

/// "has no play": what grows as a part wears is denied.
fn grows_not(words: &Words<'_>, rest: &[usize]) -> bool {
    let denied = rest
        .first()
        .is_some_and(|n| words.says(*n, means::NO) || words.says(*n, means::NONE));
    denied && rest.iter().any(|n| words.says(*n, means::GROWS))
}
