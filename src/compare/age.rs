//! Which revisions a letter could come from, by its words and its date.

use jiff::civil::Date;

use super::clauses::{Passage, level_one};
use crate::model::{Age, AgeCandidate, AgeEvidence, Letter, Misfit, MisfitKind, Span, Text};
use crate::patterns::{
    AgeFeature, AgeFile, Patterns, PhraseSet, Structure, Token, WordList, WordLists,
};

/// Families whose words are less than this many times likelier than each other's are not told apart.
const TOLD_APART: f64 = 2.0;
/// The share that the words must give to a family before a stated day is held against it.
const SURE: f64 = 0.5;
/// The least factor of a day that is in the time of a family, or so soon after it that an office may
/// not have changed over.
const IN_TIME: f64 = 0.5;
/// A letter that says a day before its order existed does not come from it, or the day is misread.
const NOT_YET: f64 = 0.01;
/// Offices copy old templates: what remains of a family's weight long after its time.
const OLD_TEMPLATE: f64 = 0.1;
/// Days by which the dates of the orders may be wrong, and in which an office changes over.
const GRACE_DAYS: i32 = 120;

/// Tells which revisions the letter could come from.
///
/// The weights come from the features of the words in `patterns/age/` and from the stated date. One
/// family is named only by the words: where several share them there is none, whatever the date says,
/// because offices use templates long after they were replaced.
#[must_use]
pub fn age(letter: &Letter, text: &Text, patterns: &Patterns) -> Age {
    let ages = &patterns.age;
    let count = ages.families.len();
    let tokens = patterns.lexicon.tokens(&text.content);
    let passages = level_one(letter, text);
    let mut by_words = vec![0.0_f64; count];
    let mut found: Vec<(&AgeFeature, Span)> = Vec::new();
    for feature in &ages.features {
        let Some(loaded) = ages.files.get(feature.file) else {
            continue;
        };
        let places = (passages.as_slice(), tokens.as_slice());
        if let Some(span) = find(feature, &loaded.file, letter, text, places, patterns) {
            for (sum, weight) in by_words.iter_mut().zip(&feature.weights) {
                *sum += weight.ln();
            }
            found.push((feature, span));
        }
    }
    let by_date: Vec<f64> = (0..count)
        .map(|n| match (letter.issued.value, ages.family(n)) {
            (Some(day), Some(family)) => date_factor(day, family.from, family.until),
            _ => 1.0,
        })
        .collect();
    let weights = shares(by_words.iter().zip(&by_date).map(|(w, d)| w + d.ln()));
    let shared = if found.is_empty() {
        Vec::new()
    } else {
        shared(&by_words)
    };
    let fits = |n: &usize| by_date.get(*n).is_some_and(|d| *d >= IN_TIME);
    let dated: Vec<usize> = if letter.issued.value.is_some() {
        shared.iter().copied().filter(fits).collect()
    } else {
        Vec::new()
    };
    let best = match shared.as_slice() {
        [only] => Some(*only),
        _ => None,
    };
    let name = |n: usize| ages.family(n).map(|f| f.name.clone()).unwrap_or_default();
    let mut candidates: Vec<AgeCandidate> = weights
        .iter()
        .enumerate()
        .map(|(n, weight)| AgeCandidate {
            wording: name(n),
            weight: *weight,
        })
        .collect();
    candidates.sort_by(|a, b| b.weight.total_cmp(&a.weight));
    let mut evidence: Vec<AgeEvidence> = found
        .iter()
        .filter_map(|(feature, span)| {
            let loaded = ages.files.get(feature.file)?;
            let most = feature.weights.iter().copied().fold(0.0, f64::max);
            Some(AgeEvidence {
                pattern: loaded.id.clone(),
                span: *span,
                points_to: loaded.file.says.clone(),
                supports: shared.is_empty()
                    || shared.iter().any(|family| {
                        let weight = feature.weights.get(*family);
                        weight.is_some_and(|w| *w >= (most * 0.5).max(1.0))
                    }),
            })
        })
        .collect();
    evidence.sort_by_key(|e| (e.span.start, e.span.end));
    Age {
        misfit: misfit(letter, &by_words, patterns, &found),
        best: best.map(name),
        by_words: shared.into_iter().map(name).collect(),
        with_date: dated.into_iter().map(name).collect(),
        candidates,
        evidence,
    }
}

/// Weights that add up to 1 from logarithms.
fn shares(logs: impl Iterator<Item = f64>) -> Vec<f64> {
    let logs: Vec<f64> = logs.collect();
    let most = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let raw: Vec<f64> = logs.iter().map(|l| (l - most).exp()).collect();
    let sum: f64 = raw.iter().sum();
    raw.into_iter().map(|r| r / sum.max(1.0)).collect()
}

/// The families that the words do not tell apart from the likeliest, likeliest first; none where the
/// words say nothing about any.
fn shared(by_words: &[f64]) -> Vec<usize> {
    let most = by_words.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let near = |logs: f64| most - logs < TOLD_APART.ln();
    let mut shared: Vec<usize> = (0..by_words.len())
        .filter(|n| by_words.get(*n).copied().is_some_and(near))
        .collect();
    if shared.len() == by_words.len() {
        return Vec::new();
    }
    let weight = |n: usize| by_words.get(n).copied().unwrap_or_default();
    shared.sort_by(|a, b| weight(*b).total_cmp(&weight(*a)));
    shared
}

/// The heaviest; the first of equals.
fn heaviest(weights: &[f64]) -> Option<usize> {
    let mut best: Option<(usize, f64)> = None;
    for (n, weight) in weights.iter().enumerate() {
        if best.is_none_or(|(_, w)| *weight > w) {
            best = Some((n, *weight));
        }
    }
    best.map(|(n, _)| n)
}

/// How well a stated day goes with the time of a family.
fn date_factor(day: Date, from: Date, until: Date) -> f64 {
    let days = |a: Date, b: Date| a.since(b).map_or(0, |s| s.get_days());
    let before = days(from, day);
    let after = days(day, until);
    if before > GRACE_DAYS {
        NOT_YET
    } else if after <= GRACE_DAYS {
        1.0
    } else {
        // Half of the offices have changed over after a year more.
        (0.5_f64.powf(f64::from(after - GRACE_DAYS) / 365.0) * 0.5).max(OLD_TEMPLATE)
    }
}

/// The first place where a feature shows.
fn find(
    feature: &AgeFeature,
    file: &AgeFile,
    letter: &Letter,
    text: &Text,
    (passages, tokens): (&[Passage<'_>], &[Token]),
    patterns: &Patterns,
) -> Option<Span> {
    if !file.basis.is_empty() {
        let basis = letter.basis.value?.letter;
        if !file.basis.iter().any(|b| b.starts_with(basis)) {
            return None;
        }
    }
    if let Some(structure) = file.structure {
        return numbering(structure, letter, passages, text, &patterns.list);
    }
    let span_of = |range: &std::ops::Range<usize>| -> Option<Span> {
        let first = tokens.get(range.start)?;
        let last = tokens.get(range.end.checked_sub(1)?)?;
        Some(Span::new(first.span.start, last.span.end))
    };
    feature
        .any
        .find(tokens)
        .filter_map(|(range, ())| span_of(&range))
        .find(|span| !taken_back(&feature.without, *span, passages, text, tokens))
}

/// Whether the clause around the words has words that take the feature back.
fn taken_back(
    without: &PhraseSet<()>,
    span: Span,
    passages: &[Passage<'_>],
    text: &Text,
    tokens: &[Token],
) -> bool {
    let clause = passages
        .iter()
        .map(|p| p.span)
        .find(|s| s.contains(span))
        .unwrap_or(Span::new(0, text.content.len()));
    let first = tokens.partition_point(|t| t.span.start < clause.start);
    let last = tokens.partition_point(|t| t.span.start < clause.end);
    tokens
        .get(first..last)
        .is_some_and(|inside| without.find(inside).next().is_some())
}

/// What the numbers of the clauses show.
fn numbering(
    structure: Structure,
    letter: &Letter,
    passages: &[Passage<'_>],
    text: &Text,
    lists: &WordLists,
) -> Option<Span> {
    const LONGEST_OF_F_AND_G: u32 = 28;
    const SHORT: u32 = 26;
    const FEW: usize = 6;
    let clauses = || passages.iter().filter_map(|p| letter.clauses.get(p.clause));
    let value = |label: &crate::model::Label| label.label.parse::<u32>().ok();
    match structure {
        Structure::ItemAtEnd => {
            let mut items = clauses().filter_map(|c| c.item.as_ref());
            let first = items.next()?;
            items.next().map(|_| first.span)
        }
        Structure::NumberAbove28 => clauses()
            .filter_map(|c| c.item.as_ref().or(c.number.as_ref()))
            .find(|l| value(l).is_some_and(|n| n > LONGEST_OF_F_AND_G && n < 200))
            .map(|l| l.span),
        Structure::RunningNumbers => {
            let labels: Vec<_> = clauses().filter_map(|c| c.number.as_ref()).collect();
            let running = labels
                .iter()
                .zip(1..)
                .all(|(l, n)| value(l) == Some(n) && n <= SHORT);
            // «logbook» and «shall» are words of older sets, which had running numbers too.
            let words = text.content.to_ascii_lowercase();
            let older = lists.within(&words, WordList::OfOlderSets);
            (running && labels.len() >= FEW && !older)
                .then(|| labels.first().map(|l| l.span))
                .flatten()
        }
    }
}

/// A stated day and words of another time.
fn misfit(
    letter: &Letter,
    by_words: &[f64],
    patterns: &Patterns,
    found: &[(&AgeFeature, Span)],
) -> Option<Misfit> {
    let day = letter.issued.value?;
    let shares = shares(by_words.iter().copied());
    let top = heaviest(&shares)?;
    if found.is_empty() || shares.get(top).copied().unwrap_or_default() < SURE {
        return None;
    }
    let family = patterns.age.family(top)?;
    let factor = date_factor(day, family.from, family.until);
    let kind = if factor <= NOT_YET {
        MisfitKind::CameLater(family.from)
    } else if factor < 0.5 {
        MisfitKind::ReplacedBefore(family.until)
    } else {
        return None;
    };
    Some(Misfit {
        issued: day,
        wording: family.name.clone(),
        kind,
    })
}
