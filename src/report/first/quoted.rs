//! The sentences of the letter that decide, with their deciding words marked.

use crate::model::{Form, Inspection, InspectorRule, Modality, RuleDoubt, Span};
use crate::report::{Report, clean, words};

/// As many sentences are quoted.
const MOST: usize = 2;
/// Bytes between two marks that are quoted whole.
const GAP: usize = 170;
/// Bytes that stay on each side of what is left out of a longer gap.
const SIDE: usize = 70;
/// Of so many parts of a sentence all but one are marked at most.
const MOST_OF: usize = 4;
/// Bytes of the longest label of a clause.
const LABEL: usize = 16;

/// A sentence of the letter.
#[derive(Clone, Debug, PartialEq)]
pub struct Quoted {
    /// Id of its clause.
    pub clause: String,
    /// "page 5, line 17".
    pub place: String,
    /// What it does, in words: limits, permits, or is not clear.
    pub said: &'static str,
    /// Index of the rule in `Letter::inspectors`.
    pub rule: usize,
    /// Its words in pieces, long stretches without a deciding word cut to their ends.
    pub words: Vec<Words>,
}

/// A piece of a sentence, with the blanks at its ends.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Words {
    /// The words, nothing in them that could steer a terminal.
    pub text: String,
    /// Whether they decide.
    pub deciding: bool,
}

/// The sentences that speak of the inspection asked about, and how many more there are. Those that
/// permit or limit come before those that only define.
pub(super) fn of(report: &Report<'_>) -> (Vec<Quoted>, usize) {
    if !report.letter.paper.is_limitations() {
        return (Vec::new(), 0);
    }
    let wanted = report.question.inspection;
    let decides = |rule: &InspectorRule| {
        let clauses = |a: &crate::model::Answer| a.letter.clauses.contains(&rule.clause);
        report.answers.iter().any(clauses)
    };
    let mut rules: Vec<(usize, &InspectorRule)> = report
        .letter
        .inspectors
        .iter()
        .enumerate()
        .filter(|(_, r)| r.inspection == wanted || r.inspection == Inspection::Any)
        .collect();
    // A stable order: within a rank they stay as they are in the letter.
    rules.sort_by_key(|(_, r)| (!decides(r), r.form == Form::None, r.inspection != wanted));
    // Of the same words it is said once that they are not clear.
    let mut unclear: Vec<Span> = Vec::new();
    rules.retain(|(_, rule)| {
        let told = unclear.iter().any(|span| span.overlaps(rule.span));
        if rule.doubt.is_some() {
            unclear.push(rule.span);
        }
        rule.doubt.is_none() || !told
    });
    let more = rules.len().saturating_sub(MOST);
    let mut quoted: Vec<Quoted> = rules
        .into_iter()
        .take(MOST)
        .map(|(n, rule)| quote(report, n, rule))
        .collect();
    quoted.sort_by_key(|q| q.rule);
    (quoted, more)
}

fn quote(report: &Report<'_>, n: usize, rule: &InspectorRule) -> Quoted {
    let view = report.view();
    Quoted {
        clause: view.id(rule.clause),
        place: view.place_words(rule.span),
        said: words::stance(rule),
        rule: n,
        words: pieces(&report.text.content, rule.span, deciding(report, rule), GAP)
            .into_iter()
            .chain(elsewhere(&report.text.content, rule))
            .collect(),
    }
}

/// The sentence word for word behind the label of its clause as printed, with an ellipsis where the
/// clause begins before it or goes on; its deciding words are marked.
#[must_use]
pub fn verbatim(report: &Report<'_>, rule: &InspectorRule) -> Vec<Words> {
    let content = &report.text.content;
    let own = |text: &str| Words {
        text: text.to_owned(),
        deciding: false,
    };
    let said = rule.span.trimmed(content);
    let mut words = Vec::new();
    let clause = report.letter.clauses.get(rule.clause);
    if let Some(clause) = clause.filter(|c| c.span.contains(said)) {
        let body = clause.body.trimmed(content);
        let label = Span::new(clause.span.start, body.start).trimmed(content);
        let label = clean::line(label.of(content));
        if !label.is_empty() && label.len() <= LABEL {
            words.push(own(&format!("{label} ")));
        }
        if body.start < said.start {
            words.push(own("... "));
        }
    }
    words.extend(pieces(content, said, deciding(report, rule), usize::MAX));
    words.extend(elsewhere(content, rule));
    if clause.is_some_and(|c| c.body.trimmed(content).end > said.end) {
        words.push(own(" ..."));
    }
    words
}

/// What makes a statement unclear that stands elsewhere in the letter: "the list in (3) is not
/// exclusive".
pub(crate) fn beside(rule: &InspectorRule) -> Vec<Span> {
    if rule.doubt.is_none() {
        return Vec::new();
    }
    let mut beside: Vec<Span> = rule.evidence.clone();
    beside.extend(not_understood(rule));
    beside.retain(|s| !s.overlaps(rule.span));
    beside.sort_by_key(|s| (s.start, s.end));
    beside.dedup();
    beside
}

/// The same in pieces behind the sentence.
fn elsewhere(content: &str, rule: &InspectorRule) -> Vec<Words> {
    let mut words = Vec::new();
    for span in beside(rule) {
        words.push(Words {
            text: " ... ".to_owned(),
            deciding: false,
        });
        words.push(Words {
            text: spaced(span.of(content)),
            deciding: true,
        });
    }
    words
}

/// The words that leave a rule in doubt.
fn not_understood(rule: &InspectorRule) -> Vec<Span> {
    match &rule.doubt {
        Some(RuleDoubt::NotUnderstood(words)) => words.clone(),
        Some(RuleDoubt::Unplaced(words)) => vec![*words],
        Some(RuleDoubt::Overlooked | RuleDoubt::Word { .. }) | None => Vec::new(),
    }
}

/// The words of a rule that decide: "only", "may" and "must", the persons, the conditions.
pub(crate) fn deciding(report: &Report<'_>, rule: &InspectorRule) -> Vec<Span> {
    let content = &report.text.content;
    let mut marks: Vec<Span> = rule.evidence.clone();
    marks.extend(rule.conditions.iter().map(|c| c.span));
    // the words themselves, where it is not the whole sentence that was not understood
    let within = not_understood(rule)
        .into_iter()
        .filter(|s| rule.span.contains(*s) && s.len() * MOST_OF < rule.span.len() * (MOST_OF - 1));
    marks.extend(within);
    let norms = report
        .letter
        .norms
        .iter()
        .filter(|n| n.clause == rule.clause && n.modality != Modality::Statement && !n.quoted);
    for norm in norms {
        let limiter = norm.limiter.as_ref().map(|l| l.span);
        let trigger = norm.trigger.as_ref().and_then(|t| t.span);
        // A trigger with "only" runs from that word to the modal, over everybody between them.
        let trigger = trigger.map(|t| {
            let words = t.of(content).trim_end();
            let last = words.rfind(char::is_whitespace).map_or(0, |at| at + 1);
            let start = if limiter.is_some() { last } else { 0 };
            Span::new(t.start + start, t.start + words.len())
        });
        let own = limiter.into_iter().chain(trigger);
        marks.extend(own.filter(|m| rule.span.contains(*m)));
    }
    marks
}

fn pieces(content: &str, span: Span, marks: Vec<Span>, gap: usize) -> Vec<Words> {
    let span = span.trimmed(content);
    let mut marks: Vec<Span> = marks.into_iter().map(|m| m.trimmed(content)).collect();
    marks.sort_by_key(|m| (m.start, m.end));
    // marks that overlap are one
    marks.dedup_by(|next, last| {
        let overlap = next.start < last.end;
        if overlap {
            last.end = last.end.max(next.end);
        }
        overlap
    });
    let mut words = Vec::new();
    let mut at = span.start;
    for mark in marks {
        let (start, end) = (mark.start.max(at), mark.end.min(span.end));
        if start >= end || content.get(start..end).is_none() {
            continue;
        }
        between(&mut words, content.get(at..start).unwrap_or_default(), gap);
        words.push(Words {
            text: spaced(content.get(start..end).unwrap_or_default()),
            deciding: true,
        });
        at = end;
    }
    between(
        &mut words,
        content.get(at..span.end).unwrap_or_default(),
        gap,
    );
    words
}

/// Words without a deciding one: those longer than `gap` lose their middle.
fn between(words: &mut Vec<Words>, text: &str, gap: usize) {
    let text = spaced(text);
    if text.is_empty() {
        return;
    }
    let cut = || {
        let head = text.get(..=text.ceil_char_boundary(SIDE))?.rfind(' ')?;
        let tail = text.floor_char_boundary(text.len().checked_sub(SIDE)?);
        let tail = tail + text.get(tail..)?.find(' ')?;
        Some(format!("{} ...{}", text.get(..head)?, text.get(tail..)?))
    };
    let shown = if text.len() > gap { cut() } else { None };
    words.push(Words {
        text: shown.unwrap_or(text),
        deciding: false,
    });
}

/// Words on one line, with a blank at an end that has one.
fn spaced(text: &str) -> String {
    let inner = clean::line(text);
    if inner.is_empty() {
        return if text.is_empty() { "" } else { " " }.to_owned();
    }
    let before = if text.starts_with(char::is_whitespace) {
        " "
    } else {
        ""
    };
    let after = if text.ends_with(char::is_whitespace) {
        " "
    } else {
        ""
    };
    format!("{before}{inner}{after}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_stretch_keeps_its_ends() {
        let long = format!("begins {} ends", "word ".repeat(60));
        let mut words = Vec::new();
        between(&mut words, &long, GAP);
        let [piece] = words.as_slice() else {
            panic!("{words:?}")
        };
        assert!(piece.text.starts_with("begins word"), "{piece:?}");
        assert!(piece.text.contains(" ... word"), "{piece:?}");
        assert!(piece.text.ends_with(" ends"), "{piece:?}");
        assert!(piece.text.len() < GAP, "{piece:?}");
    }

    #[test]
    fn blanks_at_the_ends_stay_one() {
        assert_eq!(spaced("\n may  sign "), " may sign ");
        assert_eq!(spaced("\n"), " ");
        assert_eq!(spaced(""), "");
    }
}
