//! The words of a clause that play a part in saying who may inspect.

use std::ops::Range;

use crate::model::{Inspection, Span};
use crate::patterns::inspector::{Head, InspectorRole, Meaning, Qualifier};
use crate::patterns::{Patterns, Token, TokenKind, WordList};

/// A phrase of a pattern file found in the clause.
#[derive(Clone, Debug)]
pub(super) struct Cue {
    /// What it means to the grammar.
    pub(super) meaning: Meaning,
    /// Index of its file.
    pub(super) file: usize,
    /// Its tokens.
    pub(super) tokens: Range<usize>,
}

impl Cue {
    pub(super) fn is(&self, role: InspectorRole) -> bool {
        self.meaning == Meaning::Plain(role)
    }

    /// Whether it is a word that makes a modality.
    pub(super) fn is_modal(&self) -> bool {
        [
            InspectorRole::Grant,
            InspectorRole::Duty,
            InspectorRole::Advise,
            InspectorRole::Denial,
            InspectorRole::Bar,
            InspectorRole::Reserve,
        ]
        .iter()
        .any(|r| self.is(*r))
    }

    /// Whether a noun phrase for a person can start with it.
    pub(super) fn names_person(&self) -> bool {
        matches!(self.meaning, Meaning::Head(_) | Meaning::Qualifier(_))
    }
}

/// A clause with its marks.
pub(super) struct Marked<'a> {
    pub(super) text: &'a str,
    pub(super) tokens: &'a [Token],
    /// The tokens of the clause.
    pub(super) range: Range<usize>,
    pub(super) marks: Vec<Cue>,
    pub(super) patterns: &'a Patterns,
}

/// A quotation of more words than this is the text of an entry, not a term.
const LONGEST_TERM: usize = 5;

impl<'a> Marked<'a> {
    pub(super) fn new(
        text: &'a str,
        tokens: &'a [Token],
        range: Range<usize>,
        patterns: &'a Patterns,
    ) -> Self {
        let quoted = quotations(text, tokens, range.clone());
        Self::beside(&quoted, text, tokens, range, patterns)
    }

    /// The same with what stands in quotation marks: words of an entry as a rule, but a stray mark
    /// can make the words of the clause look like it.
    pub(super) fn with_quotations(
        text: &'a str,
        tokens: &'a [Token],
        range: Range<usize>,
        patterns: &'a Patterns,
    ) -> Self {
        Self::beside(&[], text, tokens, range, patterns)
    }

    fn beside(
        quoted: &[Range<usize>],
        text: &'a str,
        tokens: &'a [Token],
        range: Range<usize>,
        patterns: &'a Patterns,
    ) -> Self {
        let phrases = &patterns.inspector.phrases;
        let mut marks = Vec::new();
        let mut at = range.start;
        while at < range.end {
            let quote = quoted.get(quoted.partition_point(|q| q.end <= at));
            if let Some(quote) = quote.filter(|q| q.contains(&at)) {
                at = quote.end;
                continue;
            }
            match phrases.longest_at(&tokens[..range.end], at) {
                Some((end, &(file, meaning))) => {
                    marks.push(Cue {
                        meaning,
                        file,
                        tokens: at..end,
                    });
                    at = end;
                }
                None => at += 1,
            }
        }
        Self {
            text,
            tokens,
            range,
            marks,
            patterns,
        }
    }

    /// A quick look: is anything said about an inspection or its inspector?
    pub(super) fn speaks_of_inspectors(&self) -> bool {
        let inspects = self.marks.iter().any(|m| {
            matches!(m.meaning, Meaning::Inspection(_))
                || m.is(InspectorRole::Act)
                || m.is(InspectorRole::Agent)
                || m.is(InspectorRole::Defines)
        });
        let names = self.marks.iter().any(|m| {
            m.names_person() || m.is(InspectorRole::Denial) || m.is(InspectorRole::Exclusive)
        });
        inspects && names
    }

    /// Whether a mechanic, repairman or repair station stands beside an inspection, or where
    /// nothing else is done that would be theirs to do.
    pub(super) fn names_inspector_beside_inspection(&self, range: &Range<usize>) -> bool {
        let inspects = self.within(range).any(|m| {
            matches!(m.meaning, Meaning::Inspection(i) if i != Some(Inspection::HundredHour) && i != Some(Inspection::Other))
                || m.is(InspectorRole::Agent)
        });
        let names = self.within(range).any(|m| {
            matches!(
                m.meaning,
                Meaning::Head(Head::Mechanic | Head::Repairman | Head::RepairStation)
                    | Meaning::Qualifier(
                        Qualifier::MechanicCertificate
                            | Qualifier::RepairmanCertificate
                            | Qualifier::BuilderCertificate
                            | Qualifier::Lsri
                            | Qualifier::Lsrm
                    )
            )
        });
        let does_else = self.within(range).any(|m| m.is(InspectorRole::OtherAct));
        names && (inspects || !does_else)
    }

    /// The inspection named last by its own name, or told by an interval.
    pub(super) fn last_inspection(&self) -> Option<Inspection> {
        self.marks.iter().rev().find_map(|m| match m.meaning {
            Meaning::Inspection(Some(i)) => Some(i),
            _ => None,
        })
    }

    pub(super) fn span(&self, tokens: &Range<usize>) -> Span {
        match (self.tokens.get(tokens.start), tokens.end.checked_sub(1)) {
            (Some(first), Some(last)) if last >= tokens.start => Span::new(
                first.span.start,
                self.tokens.get(last).map_or(first.span.end, |t| t.span.end),
            ),
            _ => Span::default(),
        }
    }

    /// Whether token `at` is one of these words, given in lower case.
    pub(super) fn is(&self, at: usize, words: &[&str]) -> bool {
        self.tokens
            .get(at)
            .is_some_and(|t| words.iter().any(|w| t.is(self.text, w)))
    }

    /// Whether a token is a word of the list.
    pub(super) fn listed(&self, at: usize, list: WordList) -> bool {
        self.tokens
            .get(at)
            .is_some_and(|t| self.patterns.list.has(t.span.of(self.text), list))
    }

    /// The word at a token, in lower case.
    pub(super) fn lower(&self, at: usize) -> String {
        self.tokens
            .get(at)
            .map(|t| t.span.of(self.text).to_ascii_lowercase())
            .unwrap_or_default()
    }

    /// The mark that begins at a token.
    pub(super) fn at(&self, at: usize) -> Option<&Cue> {
        let n = self.marks.partition_point(|m| m.tokens.start < at);
        self.marks.get(n).filter(|m| m.tokens.start == at)
    }

    /// The marks that lie wholly in a range of tokens.
    pub(super) fn within(&self, range: &Range<usize>) -> impl DoubleEndedIterator<Item = &Cue> {
        let range = range.clone();
        let first = self.marks.partition_point(|m| m.tokens.start < range.start);
        let end = self
            .marks
            .partition_point(|m| m.tokens.end <= range.end)
            .max(first);
        self.marks[first..end].iter()
    }

    /// Whether a line break stands before the token.
    pub(super) fn starts_line(&self, at: usize) -> bool {
        match (
            at.checked_sub(1).and_then(|p| self.tokens.get(p)),
            self.tokens.get(at),
        ) {
            (Some(before), Some(token)) => Span::new(before.span.end, token.span.start)
                .of(self.text)
                .contains('\n'),
            _ => true,
        }
    }

    /// If an item marker `(a)`, `a)`, `1.`, `-` starts at the token: the index past it.
    pub(super) fn item_marker(&self, at: usize) -> Option<usize> {
        let short = |i: usize| {
            self.tokens
                .get(i)
                .is_some_and(|t| t.kind != TokenKind::Mark && t.span.len() <= 4)
        };
        if self.is(at, &["(", "["]) && short(at + 1) && self.is(at + 2, &[")", "]"]) {
            return Some(at + 3);
        }
        if !self.starts_line(at) {
            return None;
        }
        if self.is(at, &["-", "*", "•", "–", "—", "|"]) {
            return Some(at + 1);
        }
        (short(at) && self.is(at + 1, &[")", "."]) && self.tokens[at + 1].glued).then_some(at + 2)
    }
}

/// The ranges of tokens inside long quotations, quotes included.
///
/// A mark that nothing closes quotes nothing: it is inches, dirt of a scan, or lost its partner.
fn quotations(text: &str, tokens: &[Token], range: Range<usize>) -> Vec<Range<usize>> {
    let mut found = Vec::new();
    let mut open: Option<usize> = None;
    for at in range {
        let mark = tokens[at].span.of(text);
        match (open, mark) {
            (None, "\"" | "“") => open = Some(at),
            (Some(start), "\"" | "”") => {
                if at - start > LONGEST_TERM + 1 {
                    found.push(start..at + 1);
                }
                open = None;
            }
            _ => {}
        }
    }
    found
}
