//! What is missing, doubtful or contradictory in a letter.
//!
//! Each check looks at one kind of flaw and reports where to look; none of them changes what the
//! clauses say. Only a doubtful deciding word reaches the rules: it makes them doubtful.

mod doubt;
mod missing;
mod slips;

use crate::document::papers::{Part, left_out};
use crate::model::{Defect, Detail, Form, Inspection, InspectorRule, Kind, Letter, Span, Text};
use crate::patterns::{Loaded, OutdatedFile, Patterns, Token};

pub use doubt::deciding_doubts;

/// Fills [`Letter::findings`] and the doubts of inspector clauses.
pub(super) fn check(
    letter: &mut Letter,
    text: &Text,
    tokens: &[Token],
    parts: &[Part],
    patterns: &Patterns,
) {
    doubt::words(letter, text, patterns);
    if letter.paper.is_limitations() {
        slips::sentences(letter, &text.content, tokens, &left_out(parts), patterns);
    }
    let mut found = missing::numbering(&letter.clauses, parts);
    found.extend(missing::pages(text));
    found.extend(missing::other_pages(text, parts));
    found.extend(missing::cut_off(letter, text));
    found.extend(missing::strips(letter, text, parts, patterns));
    found.extend(unfilled(letter, &text.content, tokens));
    found.extend(blanks(letter, &text.content));
    found.extend(contradictions(letter));
    found.extend(outdated(letter, tokens, patterns));
    letter.findings.extend(found);
    letter
        .findings
        .sort_by_key(|d| (d.span.map_or(usize::MAX, |s| s.start), d.kind()));
}

/// `[insert …]` and blanks that were to be filled; instructions to the issuer in brackets.
fn unfilled(letter: &Letter, content: &str, tokens: &[Token]) -> Vec<Defect> {
    let mut found = Vec::new();
    let mut at = 0;
    while at < tokens.len() {
        let word = |i: usize| tokens.get(i).map_or("", |t: &Token| t.span.of(content));
        if word(at) != "[" {
            at += 1;
            continue;
        }
        let Some(end) = (at + 1..tokens.len().min(at + 60)).find(|&i| word(i) == "]") else {
            at += 1;
            continue;
        };
        let span = Span::new(tokens[at].span.start, tokens[end].span.end);
        let inner = Span::new(span.start + 1, span.end - 1)
            .of(content)
            .trim()
            .to_ascii_lowercase();
        let first = inner.split_whitespace().next().unwrap_or("");
        let detail = if [
            "insert", "enter", "identify", "fill", "state", "specify", "select",
        ]
        .contains(&first)
        {
            Some(Detail::Insert)
        } else if inner.contains("must be")
            || inner.contains("inspector")
            || inner.contains("applicant")
        {
            Some(Detail::Instruction)
        } else {
            None
        };
        // The date of a log entry is filled by the person who signs it.
        let blank_of_entry = ["insert date", "enter date", "date"].contains(&inner.as_str());
        if let Some(detail) = detail
            && !blank_of_entry
        {
            found.push(Defect {
                detail,
                clauses: clause_at(letter, span).into_iter().collect(),
                span: Some(span),
            });
        }
        at = end + 1;
    }
    found
}

/// Runs of underscores in the middle of a sentence: a blank that was to be filled. On a line of
/// its own, behind "Date:" or "Signature", and in the quoted words of a log entry it is for later.
fn blanks(letter: &Letter, content: &str) -> Vec<Defect> {
    let mut found: Vec<Defect> = Vec::new();
    let mut at = 0;
    while let Some(next) = content.get(at..).and_then(|rest| rest.find("___")) {
        let start = at + next;
        let end = content
            .get(start..)
            .and_then(|rest| rest.find(|c| c != '_'))
            .map_or(content.len(), |n| start + n);
        at = end;
        let span = Span::new(start, end);
        let Some(index) = clause_at(letter, span) else {
            continue;
        };
        let clause = &letter.clauses[index];
        let words = |from: usize, to: usize| content.get(from..to).unwrap_or("");
        let before = words(clause.body.start.min(start), start);
        let after = words(end, clause.body.end.max(end));
        let quoted = before.matches('"').count() % 2 == 1;
        let numbered = clause.number.is_some() || clause.item.is_some();
        // words of the same sentence on both sides
        let goes_on = after
            .trim_start()
            .starts_with(|c: char| c.is_lowercase() || c == ',' || c == '.');
        let runs_in = before
            .trim_end()
            .ends_with(|c: char| c.is_lowercase() || c == ',');
        if numbered && !quoted && goes_on && runs_in && after.chars().any(char::is_alphanumeric) {
            found.push(Defect {
                detail: Detail::Blank,
                clauses: vec![index],
                span: Some(span),
            });
        }
    }
    found
}

/// Index of the clause in which the span stands.
fn clause_at(letter: &Letter, span: Span) -> Option<usize> {
    letter
        .clauses
        .iter()
        .rposition(|c| c.span.start <= span.start && span.start < c.span.end)
}

/// Two clauses on the same inspection that cannot both hold.
fn contradictions(letter: &Letter) -> Vec<Defect> {
    let mut found = Vec::new();
    let rules: Vec<&InspectorRule> = letter
        .inspectors
        .iter()
        .filter(|r| matches!(r.inspection, Inspection::Yearly | Inspection::HundredHour))
        .collect();
    for (n, a) in rules.iter().enumerate() {
        for b in &rules[n + 1..] {
            if a.inspection != b.inspection || a.clause == b.clause {
                continue;
            }
            let kinds = |r: &InspectorRule| r.named.iter().map(|k| k.kind).collect::<Vec<Kind>>();
            let lacks = |closed: &InspectorRule, other: &InspectorRule| {
                closed.form == Form::Closed
                    && other.form != Form::None
                    && !closed.named.is_empty()
                    && kinds(other).iter().any(|k| !kinds(closed).contains(k))
            };
            let excludes = |x: &InspectorRule, y: &InspectorRule| {
                x.excluded.iter().any(|k| kinds(y).contains(&k.kind))
            };
            if lacks(a, b) || lacks(b, a) || excludes(a, b) || excludes(b, a) {
                found.push(Defect {
                    detail: Detail::Contradiction,
                    clauses: vec![a.clause, b.clause],
                    span: Some(b.span),
                });
            }
        }
    }
    found
}

/// Citations whose place in the rule has moved, and terms that a rule has dropped, each told once.
fn outdated(letter: &Letter, tokens: &[Token], patterns: &Patterns) -> Vec<Defect> {
    let outdated = &patterns.outdated;
    let by_citation = letter.citations.iter().filter_map(|citation| {
        let same = |f: &Loaded<OutdatedFile>| f.file.citation == citation.target;
        let file = outdated.files.iter().position(same)?;
        Some((file, citation.span, true))
    });
    let by_term = outdated.phrases.find(tokens).filter_map(|(range, file)| {
        let first = tokens.get(range.start)?;
        let last = tokens.get(range.end.checked_sub(1)?)?;
        let span = Span::new(first.span.start, last.span.end);
        Some((*file, span, false))
    });
    let mut told: Vec<usize> = Vec::new();
    let mut found = Vec::new();
    for (file, span, moved) in by_citation.chain(by_term) {
        let Some(loaded) = outdated.files.get(file).filter(|_| !told.contains(&file)) else {
            continue;
        };
        told.push(file);
        let pattern = loaded.id.clone();
        found.push(Defect {
            detail: if moved {
                Detail::MovedCitation { pattern }
            } else {
                Detail::DroppedTerm { pattern }
            },
            clauses: clause_at(letter, span).into_iter().collect(),
            span: Some(span),
        });
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    fn unfilled_of(words: &str) -> usize {
        let patterns = Patterns::embedded().expect("the embedded patterns");
        crate::understand(&Text::verbatim(words), &patterns)
            .findings
            .iter()
            .filter(|d| d.kind() == crate::model::DefectKind::Unfilled)
            .count()
    }

    #[test]
    fn blanks_to_be_filled_and_blanks_for_later() {
        for (words, count) in [
            (
                "(7) Flights stay within ____ nautical miles of the field.",
                1,
            ),
            ("(7) Flights stay within [insert distance] of the field.", 1),
            (
                "(7) It reads: \"inspected on ________ and found safe\" in the records.",
                0,
            ),
            (
                "(7) The owner signs.\n\nSignature: ____________ Date: ________",
                0,
            ),
            (
                "(7) The owner signs here\n________________________\n(8) The next one.",
                0,
            ),
        ] {
            assert_eq!(unfilled_of(words), count, "{words}");
        }
    }
}
