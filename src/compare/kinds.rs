//! What a change is, and whether it matters.

use std::collections::BTreeSet;

use super::cite::moved_to;
use super::named::{named, rules};
use super::side::{Hunk, Side};
use super::tokens::{DiffToken, DiffTokenKind};
use super::words::{self, WordRole};
use crate::model::{Difference, DifferenceKind, DifferenceReason, Kind, Span, WordsEffect};
use crate::patterns::{Patterns, WordList};

/// The changes with their kinds; a change of several things has several entries.
pub(super) fn differences(
    hunks: &[Hunk],
    old: &Side<'_>,
    new: &Side<'_>,
    patterns: &Patterns,
) -> Vec<Difference> {
    if hunks.is_empty() {
        return Vec::new();
    }
    let was = named(&rules(old.text, patterns));
    let is = named(&rules(new.text, patterns));
    let mut out = Vec::new();
    for hunk in hunks {
        let mut change = Change {
            old: Part::new(old, &hunk.old, &was),
            new: Part::new(new, &hunk.new, &is),
        };
        cite_both(&mut change.old, (old, &hunk.old), (new, &hunk.new));
        cite_both(&mut change.new, (new, &hunk.new), (old, &hunk.old));
        let cites = !change.old.cited.is_empty() || !change.new.cited.is_empty();
        change.old.beside_citation = cites;
        change.new.beside_citation = cites;
        let (old_words, new_words) = (old.words(&hunk.old), new.words(&hunk.new));
        for (kind, material, reason) in change.tell() {
            out.push(Difference {
                kind,
                material,
                old: old_words.to_owned(),
                new: new_words.to_owned(),
                reason,
            });
        }
    }
    out
}

/// "14 CFR" before "§ 91.319" is a part of that citation, and where it came or went the citation
/// stands on both sides: an empty side touches the one that begins or ends there, if the words of
/// the other side are a part of one that goes on in the words that are kept.
fn cite_both(
    empty: &mut Part,
    (here, at): (&Side<'_>, &std::ops::Range<usize>),
    (there, words): (&Side<'_>, &std::ops::Range<usize>),
) {
    if !at.is_empty() || words.is_empty() || !empty.cited.is_empty() {
        return;
    }
    let goes_on = |forward: bool| {
        there.cited.iter().any(|c| {
            let touched = c.tokens.start < words.end && words.start < c.tokens.end;
            touched
                && if forward {
                    c.tokens.end > words.end
                } else {
                    c.tokens.start < words.start
                }
        })
    };
    let beside = here.cited.iter().find(|c| {
        c.tokens.start == at.start && goes_on(true) || c.tokens.end == at.start && goes_on(false)
    });
    empty.cited.extend(beside.map(|c| c.target.clone()));
}

type Told = (DifferenceKind, bool, DifferenceReason);

/// One side of a change.
#[derive(Debug)]
struct Part {
    /// Folded words and marks.
    words: Vec<String>,
    kinds: Vec<DiffTokenKind>,
    /// Cited rules that the change touches.
    cited: Vec<String>,
    /// Words outside citations.
    free: Vec<DiffToken>,
    /// Inspectors that the change touches.
    named: Vec<Kind>,
    /// Inspectors named elsewhere in the text.
    elsewhere: Vec<Kind>,
    /// «no person» or «only» governs the modal verb of the change.
    barred: bool,
    /// One side of the change cites.
    beside_citation: bool,
    /// The change stands at the head of the text.
    head: bool,
    /// A bracket stands before it.
    in_brackets: bool,
    /// «phase» stands before it: Roman digits can follow.
    after_phase: bool,
}

impl Part {
    fn new(side: &Side<'_>, range: &std::ops::Range<usize>, names: &[(Kind, Span)]) -> Self {
        let tokens = side.tokens.get(range.clone()).unwrap_or_default();
        let word = |n: usize| {
            side.tokens
                .get(n)
                .map(|a| a.word.to_string())
                .unwrap_or_default()
        };
        let span = match (tokens.first(), tokens.last()) {
            (Some(a), Some(b)) => Span::new(a.span.start, b.span.end),
            _ => Span::default(),
        };
        let touched = |c: &std::ops::Range<usize>| c.start < range.end && range.start < c.end;
        let in_citation = |n: usize| side.cited.iter().any(|c| c.tokens.contains(&n));
        let behind = |list| {
            let before = range.start.checked_sub(1);
            before
                .and_then(|n| side.tokens.get(n))
                .is_some_and(|a| a.is_in(list))
        };
        let before = |back: usize| range.start.checked_sub(back).map(word).unwrap_or_default();
        Self {
            words: range.clone().map(word).collect(),
            kinds: tokens.iter().map(|a| a.kind).collect(),
            cited: side
                .cited
                .iter()
                .filter(|c| touched(&c.tokens))
                .map(|c| c.target.clone())
                .collect(),
            free: range
                .clone()
                .filter(|n| !in_citation(*n))
                .filter_map(|n| side.tokens.get(n).cloned())
                .collect(),
            named: names
                .iter()
                .filter(|(_, s)| s.overlaps(span))
                .map(|(k, _)| *k)
                .collect(),
            elsewhere: names
                .iter()
                .filter(|(_, s)| !s.overlaps(span))
                .map(|(k, _)| *k)
                .collect(),
            barred: behind(WordList::Person) && before(2) == "no",
            beside_citation: false,
            head: range.start == 0 || range.start == 1 && matches!(before(1).as_str(), "(" | "["),
            in_brackets: matches!(before(1).as_str(), "(" | "["),
            after_phase: behind(WordList::Phase),
        }
    }

    /// Words with that role, outside citations, in order.
    fn of(&self, wanted: WordRole) -> Vec<&str> {
        self.free
            .iter()
            .filter(|a| a.role == wanted && a.word.chars().any(char::is_alphanumeric))
            .map(|a| &*a.word)
            .collect()
    }

    /// Words outside citations that are no marks of a list, such as the 2 in «(2)».
    fn told(&self) -> impl Iterator<Item = &DiffToken> {
        self.free.iter().enumerate().filter_map(|(n, token)| {
            let word = &token.word;
            let beside = |n: Option<usize>| n.and_then(|n| self.free.get(n)).map(|a| &*a.word);
            let marked = word.len() <= 4
                && beside(n.checked_sub(1)) == Some("(")
                && beside(Some(n + 1)) == Some(")");
            (!marked && word.chars().any(char::is_alphanumeric)).then_some(token)
        })
    }

    fn numbers(&self) -> Vec<String> {
        self.told()
            .filter_map(|a| words::number(&a.word, self.after_phase))
            .collect()
    }

    /// Words with a meaning of their own, stems only.
    fn content(&self) -> Vec<&str> {
        // Beside a citation these words are a part of it.
        self.told()
            .filter(|a| {
                a.role == WordRole::Content
                    && a.word.len() > 1
                    && words::number(&a.word, self.after_phase).is_none()
                    && !(self.beside_citation && a.is_in(WordList::PartOfCitation))
            })
            .map(DiffToken::stem)
            .collect()
    }

    fn is_blank(&self) -> bool {
        !self.words.is_empty()
            && (self.kinds.contains(&DiffTokenKind::Blank)
                || self.words.first().is_some_and(|w| w == "[")
                    && self.words.last().is_some_and(|w| w == "]"))
    }

    /// A clause number: marks, and one number or letter.
    fn is_label(&self) -> bool {
        let mut named = self
            .words
            .iter()
            .filter(|w| w.chars().any(char::is_alphanumeric));
        match (named.next(), named.next()) {
            (None, _) => !self.words.is_empty(),
            (Some(one), None) => {
                (self.words.len() > 1 || self.in_brackets)
                    && self.words.len() <= 3
                    && one.len() <= 4
                    && (one.starts_with(|c: char| c.is_ascii_digit())
                        || one.chars().all(|c| matches!(c, 'i' | 'v' | 'x'))
                        || one.len() == 1)
            }
            _ => false,
        }
    }
}

#[derive(Debug)]
struct Change {
    old: Part,
    new: Part,
}

impl Change {
    fn tell(&self) -> Vec<Told> {
        if let Some(told) = self.of_no_weight() {
            return vec![told];
        }
        let mut out = self.inspectors();
        let one_sided = self.old.words.is_empty() || self.new.words.is_empty();
        let steps: [fn(&Self) -> Option<Told>; 7] = [
            Self::limiter,
            Self::negation,
            Self::modality,
            Self::number,
            Self::citation,
            Self::joint,
            Self::condition,
        ];
        if one_sided {
            // A passage that came or went is one difference, named after its weightiest word.
            if out.is_empty() {
                let words = self.old.words.len() + self.new.words.len();
                let told = steps
                    .iter()
                    .enumerate()
                    .filter(|(n, _)| *n == 0 || words <= SHORT)
                    .find_map(|(_, step)| step(self));
                out.push(told.unwrap_or_else(|| self.term()));
            }
            return out;
        }
        out.extend(steps.iter().filter_map(|step| step(self)));
        if out.is_empty() || self.terms_differ() && !self.names_inspectors() {
            out.push(self.term());
        }
        out
    }

    fn names_inspectors(&self) -> bool {
        !self.old.named.is_empty() || !self.new.named.is_empty()
    }

    /// Changes that leave the norm as it is.
    fn of_no_weight(&self) -> Option<Told> {
        let (old, new) = (&self.old, &self.new);
        let editorial = |reason| Some((DifferenceKind::Editorial, false, reason));
        if old.is_blank() && new.is_blank() {
            return editorial(DifferenceReason::BlankForms);
        }
        if old.is_blank() && !new.words.is_empty() && new.words.len() <= SHORT {
            return editorial(DifferenceReason::BlankFilled);
        }
        let label = |p: &Part| p.words.is_empty() || p.is_label();
        if old.head && new.head && label(old) && label(new) {
            return editorial(DifferenceReason::Label);
        }
        if !old.cited.is_empty() && old.cited == new.cited && self.free_equal() {
            return Some((
                DifferenceKind::Citation,
                false,
                DifferenceReason::SameRule(old.cited.clone()),
            ));
        }
        if old.cited != new.cited {
            return None;
        }
        let weighty = |part: &Part| {
            part.free
                .iter()
                .any(|a| a.word.chars().any(char::is_alphanumeric) && a.role != WordRole::Light)
        };
        if !weighty(old) && !weighty(new) {
            let word = |p: &Part| p.words.iter().any(|w| w.chars().any(char::is_alphanumeric));
            return editorial(if word(old) || word(new) {
                DifferenceReason::NoWeight
            } else {
                DifferenceReason::MarksOnly
            });
        }
        if !old.words.is_empty() && !new.words.is_empty() && self.free_equal() {
            return editorial(DifferenceReason::SameWords);
        }
        None
    }

    /// Whether the words outside citations are the same but for articles, endings and the form
    /// of numbers.
    fn free_equal(&self) -> bool {
        let roles = [
            WordRole::Leave,
            WordRole::Duty,
            WordRole::Advice,
            WordRole::Limiter,
            WordRole::Negation,
            WordRole::Condition,
            WordRole::Joint,
            WordRole::Measure,
        ];
        roles.iter().all(|r| self.old.of(*r) == self.new.of(*r))
            && self.old.numbers() == self.new.numbers()
            && self.old.content() == self.new.content()
    }

    fn inspectors(&self) -> Vec<Told> {
        let set = |p: &Part| p.named.iter().copied().collect::<BTreeSet<Kind>>();
        let (was, is) = (set(&self.old), set(&self.new));
        let mut out = Vec::new();
        for kind in is
            .difference(&was)
            .filter(|k| !self.old.elsewhere.contains(k))
        {
            out.push((
                DifferenceKind::InspectorAdded,
                true,
                DifferenceReason::Names(*kind),
            ));
        }
        for kind in was
            .difference(&is)
            .filter(|k| !self.new.elsewhere.contains(k))
        {
            out.push((
                DifferenceKind::InspectorRemoved,
                true,
                DifferenceReason::NamesNoLonger(*kind),
            ));
        }
        out
    }

    fn limiter(&self) -> Option<Told> {
        let (old, new) = (
            self.old.of(WordRole::Limiter),
            self.new.of(WordRole::Limiter),
        );
        let (gone, come) = apart(&old, &new);
        (!gone.is_empty() || !come.is_empty()).then(|| {
            (
                DifferenceKind::Limiter,
                true,
                went(&gone, &come, WordsEffect::Scope),
            )
        })
    }

    fn negation(&self) -> Option<Told> {
        let (old, new) = (
            self.old.of(WordRole::Negation),
            self.new.of(WordRole::Negation),
        );
        let (gone, come) = apart(&old, &new);
        (!gone.is_empty() || !come.is_empty()).then(|| {
            let turned = old.len() % 2 != new.len() % 2;
            let effect = if turned {
                WordsEffect::TurnsRound
            } else {
                WordsEffect::Negation
            };
            (DifferenceKind::Negation, turned, went(&gone, &come, effect))
        })
    }

    fn modality(&self) -> Option<Told> {
        let force = |p: &Part| {
            [WordRole::Leave, WordRole::Duty, WordRole::Advice]
                .into_iter()
                .filter(|r| !p.of(*r).is_empty())
                .collect::<Vec<_>>()
        };
        let verbs = |p: &Part| {
            [WordRole::Leave, WordRole::Duty, WordRole::Advice]
                .into_iter()
                .flat_map(|r| p.of(r).into_iter().map(str::to_owned).collect::<Vec<_>>())
                .collect::<Vec<_>>()
        };
        let (old, new) = (verbs(&self.old), verbs(&self.new));
        if old == new {
            return None;
        }
        let (gone, come) = apart(&old, &new);
        if gone.is_empty() && come.is_empty() {
            return None;
        }
        let barred = self.old.barred && self.new.barred;
        let (material, effect) = if force(&self.old) == force(&self.new) {
            (false, WordsEffect::SameForce)
        } else if barred && !old.is_empty() && !new.is_empty() {
            (false, WordsEffect::EachBars)
        } else {
            (true, WordsEffect::Force)
        };
        let reason = went(&gone, &come, effect);
        Some((DifferenceKind::Modality, material, reason))
    }

    fn number(&self) -> Option<Told> {
        let measures = |p: &Part| {
            p.free
                .iter()
                .filter(|a| a.role == WordRole::Measure)
                .map(|a| a.stem().to_owned())
                .collect::<Vec<_>>()
        };
        let (old, new) = (self.old.numbers(), self.new.numbers());
        if old != new {
            let (gone, come) = apart(&old, &new);
            return Some((
                DifferenceKind::Number,
                true,
                went(&gone, &come, WordsEffect::Number),
            ));
        }
        let (old, new) = (measures(&self.old), measures(&self.new));
        let (gone, come) = apart(&old, &new);
        (!gone.is_empty() || !come.is_empty()).then(|| {
            (
                DifferenceKind::Number,
                true,
                went(&gone, &come, WordsEffect::Measure),
            )
        })
    }

    fn citation(&self) -> Option<Told> {
        let (old, new) = (&self.old.cited, &self.new.cited);
        if old == new {
            return None;
        }
        let (gone, come) = apart(old, new);
        if gone.is_empty() && come.is_empty() {
            return None;
        }
        let moved = gone.len() == come.len()
            && gone
                .iter()
                .zip(&come)
                .all(|(a, b)| moved_to(a) == Some(b) || moved_to(b) == Some(a));
        Some(if moved {
            (
                DifferenceKind::Citation,
                false,
                went(&gone, &come, WordsEffect::ParagraphMoved),
            )
        } else {
            (
                DifferenceKind::Citation,
                true,
                went(&gone, &come, WordsEffect::AnotherRule),
            )
        })
    }

    fn joint(&self) -> Option<Told> {
        let (old, new) = (self.old.of(WordRole::Joint), self.new.of(WordRole::Joint));
        let bare = self.old.content().is_empty() && self.new.content().is_empty();
        (old != new && bare && !old.is_empty() && !new.is_empty()).then(|| {
            (
                DifferenceKind::Term,
                true,
                went(&old, &new, WordsEffect::OneOrAll),
            )
        })
    }

    fn condition(&self) -> Option<Told> {
        let (old, new) = (
            self.old.of(WordRole::Condition),
            self.new.of(WordRole::Condition),
        );
        let (gone, come) = apart(&old, &new);
        (!gone.is_empty() || !come.is_empty()).then(|| {
            (
                DifferenceKind::Term,
                true,
                went(&gone, &come, WordsEffect::Condition),
            )
        })
    }

    fn terms_differ(&self) -> bool {
        let mut old = self.old.content();
        let mut new = self.new.content();
        old.sort_unstable();
        new.sort_unstable();
        old != new
    }

    fn term(&self) -> Told {
        let reason = if self.old.words.is_empty() {
            DifferenceReason::NewWords
        } else if self.new.words.is_empty() {
            DifferenceReason::GoneWords
        } else if !self.terms_differ() {
            let reason = DifferenceReason::NoneOfWeight;
            return (DifferenceKind::Editorial, false, reason);
        } else {
            DifferenceReason::AnotherTerm
        };
        (DifferenceKind::Term, true, reason)
    }
}

/// A change of at most so many words is named after a word in it; a longer one is a passage.
const SHORT: usize = 12;

/// What is only in `old`, and what is only in `new`, as bags.
fn apart<T: Clone + PartialEq>(old: &[T], new: &[T]) -> (Vec<T>, Vec<T>) {
    let mut come: Vec<T> = new.to_vec();
    let mut gone = Vec::new();
    for word in old {
        if let Some(at) = come.iter().position(|w| w == word) {
            come.remove(at);
        } else {
            gone.push(word.clone());
        }
    }
    (gone, come)
}

fn went<T: AsRef<str>>(gone: &[T], come: &[T], effect: WordsEffect) -> DifferenceReason {
    let list = |words: &[T]| words.iter().map(|w| w.as_ref().to_owned()).collect();
    DifferenceReason::Words {
        gone: list(gone),
        come: list(come),
        effect,
    }
}
