//! The words of a claim behind what is found of it, for marking them beside the letter's.

use super::claim_roles::role_at;
use super::words::{WordRole, role};
use crate::model::{ClaimDetail, ClaimFinding, Kind, Span, Turn};
use crate::patterns::inspector::{Meaning, kinds_of};
use crate::patterns::{ClaimRole, Patterns, Token, WordList};

struct Words<'t> {
    text: &'t str,
    tokens: Vec<Token>,
    patterns: &'t Patterns,
}

impl Words<'_> {
    fn span(&self, from: usize, to: usize) -> Option<Span> {
        let (first, last) = (self.tokens.get(from)?, self.tokens.get(to.checked_sub(1)?)?);
        Some(Span::new(first.span.start, last.span.end))
    }

    fn of_role(&self, role: ClaimRole) -> Vec<Span> {
        let at = |n| role_at(&self.tokens, n, role, self.patterns).map(|(end, _)| (n, end));
        let found = (0..self.tokens.len()).filter_map(at);
        found.filter_map(|(from, to)| self.span(from, to)).collect()
    }

    fn words(&self, wanted: impl Fn(&str) -> bool) -> Vec<Span> {
        let tokens = self.tokens.iter().map(|t| t.span);
        tokens
            .filter(|s| wanted(&s.of(self.text).to_lowercase()))
            .collect()
    }

    fn limiters(&self) -> Vec<Span> {
        let known = &self.patterns.list;
        let only = self
            .words(|w| matches!(w, "only" | "alone" | "just") || known.has(w, WordList::Solely));
        if only.is_empty() {
            self.of_role(ClaimRole::Closes)
        } else {
            only
        }
    }

    /// The words for a kind.
    fn kind(&self, wanted: Kind) -> Vec<Span> {
        let named = |meaning: &Meaning| match meaning {
            Meaning::Head(head) => kinds_of(Some(*head), &[]).contains(&wanted),
            Meaning::Qualifier(said) => kinds_of(None, &[*said]).contains(&wanted),
            _ => false,
        };
        let phrases = self.patterns.inspector.phrases.find(&self.tokens);
        phrases
            .filter(|(_, (_, meaning))| named(meaning))
            .filter_map(|(at, _)| self.span(at.start, at.end))
            .collect()
    }

    /// Words of the claim, where they stand in it.
    fn said(&self, words: &str) -> Vec<Span> {
        let folded = self.text.to_ascii_lowercase();
        let at = folded.find(&words.to_ascii_lowercase());
        at.map(|at| Span::new(at, at + words.len()))
            .into_iter()
            .collect()
    }

    /// The first of several words, where it stands.
    fn first_said(&self, words: &str) -> Vec<Span> {
        let first = words.split([',', ' ']).next();
        first.map(|w| self.said(w)).unwrap_or_default()
    }

    /// The words in which a claim counts, cites, or sets a condition.
    fn repeated(&self, detail: &ClaimDetail) -> Vec<Span> {
        match detail {
            ClaimDetail::LeavesOutWords(words)
            | ClaimDetail::LeavesOutCondition(words)
            | ClaimDetail::AddsCondition(words)
            | ClaimDetail::AddsWords(words)
            | ClaimDetail::DoesAway(words) => self.said(words),
            ClaimDetail::Rival { says, .. } | ClaimDetail::Number { says, .. } => {
                self.first_said(says)
            }
            ClaimDetail::Cites(target) => self.first_said(target),
            _ => Vec::new(),
        }
    }

    fn behind(&self, finding: &ClaimFinding) -> Vec<Span> {
        let role = |w: &str| role(w, self.patterns.list.of(w));
        let modal = |wanted: WordRole| self.words(move |w| role(w) == wanted);
        match finding.turn {
            Turn::OnlyAdded => self.limiters(),
            Turn::OnlyDropped => modal(WordRole::Leave),
            Turn::MustForMay => modal(WordRole::Duty),
            Turn::MayForMust => modal(WordRole::Leave),
            Turn::KindAdded => match &finding.detail {
                ClaimDetail::NamesUnnamed(kind) => self.kind(*kind),
                _ => Vec::new(),
            },
            Turn::KindDropped => Vec::new(),
            Turn::Negation => self
                .words(|w| role(w) == WordRole::Negation || w.ends_with("n't") || w == "neither"),
            Turn::AnotherInspection => self.of_role(ClaimRole::OtherInspection),
            Turn::Number | Turn::Interval | Turn::Citation | Turn::Condition => {
                self.repeated(&finding.detail)
            }
        }
    }
}

/// Where the words of a statement stand that the findings rest on, in order, none in another.
pub(super) fn marks(text: &str, findings: &[ClaimFinding], patterns: &Patterns) -> Vec<Span> {
    let words = Words {
        text,
        tokens: patterns.claim().tokens(text),
        patterns,
    };
    let mut all: Vec<Span> = findings.iter().flat_map(|f| words.behind(f)).collect();
    all.sort_unstable_by_key(|s| (s.start, std::cmp::Reverse(s.end)));
    let mut out: Vec<Span> = Vec::new();
    for span in all {
        if out.last().is_none_or(|last| last.end <= span.start) {
            out.push(span);
        }
    }
    out
}
