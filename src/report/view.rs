//! From spans to what people can look up: the file, the page, the line, the clause, the words.
//! Worked out here once, for every format.

use super::clean;
use crate::model::{Letter, Span, Text};

/// A letter with the text it came from.
#[derive(Clone, Copy, Debug)]
pub struct View<'a> {
    /// The text.
    pub text: &'a Text,
    /// What its words say.
    pub letter: &'a Letter,
}

/// Words of the letter with their place.
#[derive(Clone, Debug, PartialEq)]
pub struct Evidence {
    /// Id of the clause in which they stand; `None` outside of every clause.
    pub clause: Option<String>,
    /// Index into the sources.
    pub source: u16,
    /// Page in that file, from 1.
    pub page: u32,
    /// Line on that page, from 1.
    pub line: u32,
    /// The words, blanks folded, nothing in them that could steer a terminal.
    pub text: String,
    /// From 0 (a guess) to 1 (certain).
    pub confidence: f32,
}

impl<'a> View<'a> {
    /// Pairs a letter with its text.
    #[must_use]
    pub const fn new(text: &'a Text, letter: &'a Letter) -> Self {
        Self { text, letter }
    }

    /// The words of a span on one line, without lines that only rule the page.
    #[must_use]
    pub fn words(&self, span: Span) -> String {
        let words = span.of(&self.text.content);
        let lines: Vec<&str> = words.split('\n').filter(|l| !is_rule(l)).collect();
        clean::line(&lines.join("\n"))
    }

    /// The words of a span with all that has to be known about them.
    #[must_use]
    pub fn evidence(&self, span: Span) -> Evidence {
        let span = span.trimmed(&self.text.content);
        let place = self.text.place(span.start);
        Evidence {
            clause: self.clause_at(span).map(|i| self.id(i)),
            source: place.source,
            page: place.page,
            line: place.line,
            text: self.words(span),
            confidence: self.text.confidence(span),
        }
    }

    /// Index of the clause in which a span starts. Clauses are in the order of the text and their
    /// spans leave out their sub-items, so it is the last one that starts before.
    #[must_use]
    pub fn clause_at(&self, span: Span) -> Option<usize> {
        let clauses = &self.letter.clauses;
        let next = clauses.partition_point(|c| c.span.start <= span.start);
        let last = next.checked_sub(1)?;
        (span.start < clauses.get(last)?.span.end).then_some(last)
    }

    /// Id of a clause; empty for an index that there is not.
    #[must_use]
    pub fn id(&self, clause: usize) -> String {
        self.letter
            .clauses
            .get(clause)
            .map_or_else(String::new, |c| clean::line(&c.id))
    }

    /// Ids of several clauses, as given.
    #[must_use]
    pub fn ids(&self, clauses: &[usize]) -> Vec<String> {
        clauses.iter().map(|i| self.id(*i)).collect()
    }

    /// "page 5, line 20"; with the file's name before it where there are several files, and
    /// "line 20" where the letter has one page.
    #[must_use]
    pub fn place_words(&self, span: Span) -> String {
        let place = self.text.place(span.trimmed(&self.text.content).start);
        let mut words = String::new();
        if self.text.sources.len() > 1
            && let Some(source) = self.text.sources.get(usize::from(place.source))
        {
            words.push_str(&clean::line(&source.name));
            words.push_str(", ");
        }
        if self.text.pages() > 1 {
            words.push_str(&format!("page {}, ", place.page));
        }
        words.push_str(&format!("line {}", place.line));
        words
    }
}

/// A line drawn with characters: "-----", "=====".
fn is_rule(line: &str) -> bool {
    let line = line.trim();
    line.len() > 3 && line.chars().all(|c| "-=*+|\u{2500}\u{2014} ".contains(c))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::Clause;

    fn clause(id: &str, start: usize, end: usize) -> Clause {
        Clause {
            id: id.into(),
            number: None,
            item: None,
            level: 1,
            parent: None,
            span: Span::new(start, end),
            body: Span::new(start, end),
            phase: None,
        }
    }

    #[test]
    fn a_span_finds_its_clause_page_and_line() {
        let text = Text::verbatim("Head\n(1) A pilot\nmay fly.\n(2) End.\n");
        let letter = Letter {
            clauses: vec![clause("1", 5, 25), clause("2", 26, 34)],
            ..Letter::default()
        };
        let view = View::new(&text, &letter);
        let may = view.evidence(Span::new(11, 20));
        assert_eq!((may.clause.as_deref(), may.line), (Some("1"), 2));
        assert_eq!(may.text, "pilot may");
        assert_eq!(view.evidence(Span::new(0, 4)).clause, None);
        assert_eq!(view.clause_at(Span::new(30, 33)), Some(1));
        assert_eq!(view.place_words(Span::new(30, 33)), "line 4");
        assert_eq!(view.words(Span::new(30, 99)), "");
        let ruled = Text::verbatim("A pilot\n-----\nmay - at night - fly.\n");
        let view = View::new(&ruled, &letter);
        assert_eq!(
            view.words(Span::new(0, 35)),
            "A pilot may - at night - fly."
        );
    }
}
