//! What is missing, doubtful or contradictory in a letter.
//!
//! Each check looks at one kind of flaw and reports where to look; none of them changes what the
//! clauses say. Only a doubtful deciding word reaches the rules: it makes them doubtful.

mod doubt;

use crate::model::{
    Clause, Defect, DefectKind, Form, Inspection, InspectorRule, Kind, Letter, Span, Text,
};
use crate::patterns::{Patterns, Token};

/// Fills `condition` and the doubts of inspector clauses.
pub(super) fn check(letter: &mut Letter, text: &Text, tokens: &[Token], patterns: &Patterns) {
    doubt::words(letter, text, patterns);
    let mut found = numbering(&letter.clauses);
    found.extend(pages(text));
    found.extend(cut_off(letter, text));
    found.extend(unfilled(letter, text, tokens));
    found.extend(contradictions(letter));
    found.extend(moved_citations(letter));
    letter.condition.extend(found);
    letter
        .condition
        .sort_by_key(|d| (d.span.map_or(usize::MAX, |s| s.start), d.kind));
}

/// The value of an Arabic number at the head of a clause of the first level.
fn head_number(clause: &Clause) -> Option<u32> {
    (clause.level == 1)
        .then_some(clause.number.as_ref()?)
        .and_then(|n| n.label.parse().ok())
}

/// Gaps and repeats in the numbers at the heads of clauses. Item numbers at the ends of clauses
/// are those of the order's list and jump by nature.
fn numbering(clauses: &[Clause]) -> Vec<Defect> {
    let mut found = Vec::new();
    let numbered: Vec<(usize, u32)> = clauses
        .iter()
        .enumerate()
        .filter_map(|(i, c)| head_number(c).map(|n| (i, n)))
        .collect();
    if let Some(&(i, first)) = numbered.first()
        && first > 1
    {
        found.push(Defect {
            kind: DefectKind::MissingNumber,
            clauses: vec![i],
            span: Some(clauses[i].span),
            message: format!("the numbering begins at {first}; what stands before it is not here"),
        });
    }
    for pair in numbered.windows(2) {
        let [(before, a), (after, b)] = *pair else {
            continue;
        };
        if b == a {
            found.push(Defect {
                kind: DefectKind::RepeatedNumber,
                clauses: vec![before, after],
                span: Some(clauses[after].span),
                message: format!("the number {b} stands twice"),
            });
        } else if b > a + 1 {
            let missing = if b == a + 2 {
                format!("number {} is missing", a + 1)
            } else {
                format!("numbers {} to {} are missing", a + 1, b - 1)
            };
            found.push(Defect {
                kind: DefectKind::MissingNumber,
                clauses: vec![before, after],
                span: Some(clauses[after].span),
                message: missing,
            });
        }
    }
    found
}

/// "Page 2 of 3" without page 3.
fn pages(text: &Text) -> Vec<Defect> {
    // A head that was not taken for one still says which page it is.
    let mut seen: Vec<(u32, u32)> = text
        .furniture
        .iter()
        .map(|f| f.text.as_str())
        .chain(text.content.lines().filter(|l| l.len() < 120))
        .filter_map(page_of)
        .collect();
    seen.sort_unstable();
    seen.dedup();
    let Some(total) = seen.iter().map(|(_, of)| *of).max() else {
        return Vec::new();
    };
    if total > 200 {
        return Vec::new();
    }
    (1..=total)
        .filter(|n| !seen.iter().any(|(page, of)| page == n && *of == total))
        .map(|n| Defect {
            kind: DefectKind::MissingPage,
            clauses: Vec::new(),
            span: None,
            message: format!("page {n} of {total} is not among the pages handed in"),
        })
        .collect()
}

/// Reads "Page 2 of 6" or "2 / 6" in a running head.
pub(crate) fn page_of(line: &str) -> Option<(u32, u32)> {
    let words: Vec<&str> = line
        .split(|c: char| !c.is_alphanumeric())
        .filter(|w| !w.is_empty())
        .collect();
    words.windows(4).find_map(|w| {
        let page: u32 = w[1].parse().ok()?;
        let of: u32 = w[3].parse().ok()?;
        (w[0].eq_ignore_ascii_case("page") && w[2].eq_ignore_ascii_case("of") && page <= of)
            .then_some((page, of))
    })
}

/// Words that do not end a sentence.
const OPEN_ENDS: [&str; 22] = [
    "a",
    "an",
    "the",
    "of",
    "in",
    "or",
    "and",
    "to",
    "by",
    "for",
    "with",
    "at",
    "as",
    "that",
    "this",
    "must",
    "may",
    "shall",
    "be",
    "under",
    "from",
    "appropriately",
];

/// A clause that stops in the middle of a sentence.
fn cut_off(letter: &Letter, text: &Text) -> Vec<Defect> {
    let content = &text.content;
    let mut found = Vec::new();
    let last_numbered = letter
        .clauses
        .iter()
        .rposition(|c| c.number.is_some() || c.item.is_some());
    for (i, clause) in letter.clauses.iter().enumerate() {
        let numbered = clause.number.is_some() || clause.item.is_some();
        if !numbered {
            continue;
        }
        // A lead-in is ended by its items, a clause by its own paragraphs.
        if letter
            .clauses
            .get(i + 1)
            .is_some_and(|next| next.parent.is_some())
        {
            continue;
        }
        let words = clause.body.of(content).trim_end();
        let Some(last) = words.split_whitespace().next_back() else {
            continue;
        };
        let bare = last.trim_matches(|c: char| !c.is_alphanumeric() && c != '-');
        let open_word = OPEN_ENDS.contains(&bare.to_ascii_lowercase().as_str())
            && last.ends_with(char::is_alphanumeric);
        let dangling = last.ends_with(',') || last.ends_with('-');
        let at_end =
            Some(i) == last_numbered && words.len() > 60 && last.ends_with(char::is_lowercase);
        if open_word || dangling || (at_end && !words.ends_with(['.', '"', ')', ':', ';'])) {
            let end = clause.body.start + words.len();
            found.push(Defect {
                kind: DefectKind::Cut,
                clauses: vec![i],
                span: Some(Span::new(end - last.len(), end)),
                message: format!(
                    "limitation {} stops in the middle of a sentence («… {last}»)",
                    clause.id
                ),
            });
        }
    }
    found
}

/// `[insert …]` and blanks that were to be filled; instructions to the issuer in brackets.
fn unfilled(letter: &Letter, text: &Text, tokens: &[Token]) -> Vec<Defect> {
    let content = &text.content;
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
        let kind = if [
            "insert", "enter", "identify", "fill", "state", "specify", "select",
        ]
        .contains(&first)
        {
            Some(DefectKind::Unfilled)
        } else if inner.contains("must be")
            || inner.contains("inspector")
            || inner.contains("applicant")
        {
            Some(DefectKind::InstructionLeftIn)
        } else {
            None
        };
        // The date of a log entry is filled by the person who signs it.
        let blank_of_entry = ["insert date", "enter date", "date"].contains(&inner.as_str());
        if let Some(kind) = kind
            && !blank_of_entry
        {
            let message = match kind {
                DefectKind::Unfilled => format!(
                    "a blank of the template was not filled: {}",
                    span.of(content)
                ),
                _ => format!(
                    "an instruction to the issuing office was left in: {}",
                    span.of(content)
                ),
            };
            found.push(Defect {
                kind,
                clauses: clause_at(letter, span).into_iter().collect(),
                span: Some(span),
                message: one_line(&message),
            });
        }
        at = end + 1;
    }
    found
}

fn one_line(words: &str) -> String {
    words.split_whitespace().collect::<Vec<_>>().join(" ")
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
                let id = |r: &InspectorRule| {
                    letter
                        .clauses
                        .get(r.clause)
                        .map_or("?", |c| c.id.as_str())
                        .to_owned()
                };
                found.push(Defect {
                    kind: DefectKind::Contradiction,
                    clauses: vec![a.clause, b.clause],
                    span: Some(b.span),
                    message: format!(
                        "limitations {} and {} say different things about who may perform the same inspection",
                        id(a),
                        id(b)
                    ),
                });
            }
        }
    }
    found
}

/// Citations whose place in the rule has moved: § 91.319(e) was the power to prescribe further
/// limitations until 2004-08-31 and is (i) today; § 91.42 was § 91.319 before 1990 (from memory).
fn moved_citations(letter: &Letter) -> Vec<Defect> {
    let mut found: Vec<Defect> = Vec::new();
    for citation in &letter.citations {
        let message = match citation.target.as_str() {
            "91.319(e)" => {
                "§ 91.319(e) was the power to prescribe further limitations until 2004; it is § 91.319(i) today"
            }
            "91.42" => "§ 91.42 is § 91.319 since 1990 (from memory)",
            _ => continue,
        };
        if found.iter().any(|d| d.message == message) {
            continue;
        }
        found.push(Defect {
            kind: DefectKind::MovedCitation,
            clauses: clause_at(letter, citation.span).into_iter().collect(),
            span: Some(citation.span),
            message: message.to_owned(),
        });
    }
    found
}
