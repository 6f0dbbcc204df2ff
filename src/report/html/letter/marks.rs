//! Which words decide, and which statements rest on them.

use crate::model::{Answer, Span};
use crate::report::html::Mark;
use crate::report::why::own_words;
use crate::report::{Report, first, words};

/// The deciding words of a letter, in the order of the text, without overlap.
#[derive(Clone, Debug, Default)]
pub(super) struct Marks {
    /// The words with the statements that rest on them.
    pub(super) all: Vec<Deciding>,
}

/// Anchor and words of a statement.
pub(super) type Statement = (String, String);

/// Words on which statements rest.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Deciding {
    pub(super) span: Span,
    pub(super) statements: Vec<Statement>,
}

/// Anchor of the words with that index.
pub(super) fn anchor(index: usize) -> String {
    format!("w-{index}")
}

/// Anchor of what an inspector clause says.
pub(super) fn rule_anchor(index: usize) -> String {
    format!("rule-{index}")
}

/// Anchor of the answer for a kind.
pub(super) fn kind_anchor(kind: crate::model::Kind) -> String {
    format!("kind-{}", kind.name())
}

impl Marks {
    /// Collects the words behind every statement of a report.
    pub(super) fn of(report: &Report<'_>) -> Self {
        let content = &report.text.content;
        let letter = report.letter;
        let mut found: Vec<(Span, String, String)> = Vec::new();
        let mut add = |spans: &[Span], to: &str, said: &str| {
            for span in spans {
                let span = span.trimmed(content);
                if !span.of(content).is_empty() {
                    found.push((span, to.to_owned(), said.to_owned()));
                }
            }
        };
        for (n, rule) in letter.inspectors.iter().enumerate() {
            let said = format!("what clause {} says", report.view().id(rule.clause));
            add(&first::deciding(report, rule), &rule_anchor(n), &said);
        }
        for answer in report.answers {
            let said = format!(
                "{}: {}",
                words::kind_tag(answer.holder),
                words::verdict(answer.answer)
            );
            add(
                &deciding(report, answer),
                &kind_anchor(answer.holder),
                &said,
            );
        }
        add(&letter.paper_evidence, "facts", "what paper this is");
        add(&letter.basis.evidence, "facts", "the purpose");
        add(&letter.issued.evidence, "facts", "the day of issue");
        add(&letter.aircraft.evidence, "facts", "what the aircraft is");
        Self { all: merged(found) }
    }

    /// Index of the words in which a span starts.
    pub(super) fn at(&self, span: Span) -> Option<usize> {
        let next = self.all.partition_point(|d| d.span.start <= span.start);
        let index = next.checked_sub(1)?;
        (span.start < self.all.get(index)?.span.end).then_some(index)
    }

    /// The words that lie in a span, with their indexes.
    pub(super) fn within(&self, span: Span) -> impl Iterator<Item = (usize, &Deciding)> {
        let first = self.all.partition_point(|d| d.span.end <= span.start);
        let last = self.all.partition_point(|d| d.span.start < span.end);
        (first..last.max(first)).filter_map(|n| Some((n, self.all.get(n)?)))
    }

    /// The marks of a span: each leads to the first statement that rests on it.
    pub(super) fn marks(&self, span: Span) -> Vec<Mark> {
        self.within(span)
            .map(|(n, deciding)| Mark {
                span: deciding.span,
                id: anchor(n),
                to: deciding
                    .statements
                    .first()
                    .map_or_else(String::new, |(to, _)| to.clone()),
                label: String::new(),
            })
            .collect()
    }
}

/// The words that decide for a kind: its own where the letter names it; where it stands in no list,
/// those that say whether the list is complete, but not the names of others.
fn deciding(report: &Report<'_>, answer: &Answer) -> Vec<Span> {
    let own = own_words(report, answer);
    if !own.is_empty() {
        return own;
    }
    let names: Vec<Span> = report
        .letter
        .inspectors
        .iter()
        .flat_map(|rule| rule.named.iter().chain(&rule.excluded))
        .map(|named| named.span)
        .collect();
    let all = &answer.letter.evidence;
    let other: Vec<Span> = all.iter().copied().filter(|s| !names.contains(s)).collect();
    if other.is_empty() { all.clone() } else { other }
}

/// Words that overlap become one; each statement is kept once.
fn merged(mut found: Vec<(Span, String, String)>) -> Vec<Deciding> {
    // A stable order: statements at the same words stay in the order of the report.
    found.sort_by_key(|(span, _, _)| (span.start, span.end));
    let mut all: Vec<Deciding> = Vec::new();
    for (span, to, said) in found {
        match all.last_mut() {
            Some(last) if span.start < last.span.end => {
                last.span.end = last.span.end.max(span.end);
                if !last.statements.iter().any(|(anchor, _)| *anchor == to) {
                    last.statements.push((to, said));
                }
            }
            _ => all.push(Deciding {
                span,
                statements: vec![(to, said)],
            }),
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn overlapping_words_become_one_with_all_statements() {
        let found = |start, end, to: &str| (Span::new(start, end), to.to_owned(), to.to_owned());
        let marks = Marks {
            all: merged(vec![
                found(10, 20, "b"),
                found(5, 12, "a"),
                found(5, 12, "a"),
                found(30, 33, "c"),
            ]),
        };
        let spans: Vec<Span> = marks.all.iter().map(|d| d.span).collect();
        assert_eq!(spans, [Span::new(5, 20), Span::new(30, 33)]);
        assert_eq!(marks.all[0].statements.len(), 2);
        assert_eq!(marks.at(Span::new(12, 13)), Some(0));
        assert_eq!(marks.at(Span::new(20, 21)), None);
        assert_eq!(marks.within(Span::new(19, 31)).count(), 2);
        assert_eq!(marks.within(Span::new(20, 30)).count(), 0);
    }
}
