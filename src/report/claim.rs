//! What somebody says about a letter, held against it.

use serde::Serialize;

use super::markdown::escape;
use super::terminal::sheet::{Sheet, bold, dim};
use super::{CAUTION, View, clean, findings, json, words};
use crate::model::Span;
use crate::model::{ClaimFinding, ClaimStatement, ClaimVerdict};
use crate::patterns::Patterns;

/// What a claim without a statement comes to.
pub(super) const NOTHING: &str = "The claim says nothing that could be held against the letter.";

/// What a statement comes to.
pub(super) const fn said(statement: &ClaimStatement) -> &'static str {
    match statement.verdict {
        ClaimVerdict::Fits => "fits the letter",
        ClaimVerdict::Departs => "is not what the letter says",
        ClaimVerdict::Beyond => {
            "goes beyond the words: the letter neither says nor denies it, which is the dispute"
        }
        ClaimVerdict::Unclear => "cannot be told: words that decide were not understood; read both",
        ClaimVerdict::NoClause => "no clause of the letter speaks of it",
    }
}

/// What has to be said where words that may bear on it were not understood.
pub(super) const DOUBT: &str =
    "some words were not understood; this is what the others say: read both";

/// Whether that has to be said.
pub(super) fn in_doubt(statement: &ClaimStatement) -> bool {
    statement.doubt && statement.verdict == ClaimVerdict::Departs
}

/// «only added: it limits the list ...; the letter's words: "may"».
pub(super) fn departure(view: View<'_>, finding: &ClaimFinding) -> String {
    let words = finding.span.map_or_else(String::new, |span| {
        format!("; the letter's words: \"{}\"", view.words(span))
    });
    format!(
        "{}: {}{words}",
        finding.turn.name(),
        clean::line(&findings::claim(&finding.detail))
    )
}

/// The claim with the words marked that the findings rest on: plain words, marked or not.
pub(super) fn claimed(statement: &ClaimStatement) -> Vec<(String, bool)> {
    let mut out = Vec::new();
    let mut at = 0;
    for mark in &statement.marks {
        let words = |span: Span| clean::line(span.of(&statement.text));
        out.push((words(Span::new(at, mark.start)), false));
        out.push((words(*mark), true));
        at = mark.end;
    }
    out.push((clean::line(&statement.text[at..]), false));
    out.retain(|(words, _)| !words.trim().is_empty());
    out
}

/// The clause with the words marked that the findings rest on: plain words, marked or not.
pub(super) fn marked(view: View<'_>, statement: &ClaimStatement) -> Vec<(String, bool)> {
    let Some(whole) = statement.span else {
        return Vec::new();
    };
    let mut marks: Vec<Span> = statement
        .findings
        .iter()
        .filter_map(|f| f.span)
        .filter(|s| whole.contains(*s) && *s != whole)
        .collect();
    marks.sort_unstable();
    let mut out = Vec::new();
    let mut at = whole.start;
    for mark in marks {
        if mark.start < at {
            continue;
        }
        out.push((view.words(Span::new(at, mark.start)), false));
        out.push((view.words(mark), true));
        at = mark.end;
    }
    out.push((view.words(Span::new(at, whole.end)), false));
    out.retain(|(words, _)| !words.is_empty());
    out
}

/// Pieces in one line, marked words between brackets.
fn in_brackets(pieces: Vec<(String, bool)>) -> String {
    let mut out = String::new();
    for (words, mark) in pieces {
        let joins = words.starts_with([',', '.', ';', ':', '?', '!', '\'']);
        if !out.is_empty() && !joins && !out.ends_with(' ') {
            out.push(' ');
        }
        if mark {
            out.push_str(&format!("[{}]", words.trim()));
        } else {
            out.push_str(words.trim());
        }
    }
    out
}

/// What each side of the dispute says, where the statement goes beyond the words.
pub(super) fn sides(statement: &ClaimStatement, patterns: &Patterns) -> Vec<String> {
    patterns
        .reading
        .iter()
        .filter(|r| statement.readings.contains(&r.id))
        .map(|r| {
            let file = &r.file;
            format!(
                "{} ({}, {}): for it: {} Against it: {}",
                file.says, file.held_by, file.known_since_words, file.support, file.objection
            )
        })
        .collect()
}

/// What somebody says about the letter, held against it, for people.
#[must_use]
pub fn terminal(
    view: View<'_>,
    statements: &[ClaimStatement],
    patterns: &Patterns,
    width: usize,
) -> String {
    let mut sheet = Sheet::new(width);
    for statement in statements {
        sheet.blank();
        sheet.para(0, &format!("\"{}\"", in_brackets(claimed(statement))));
        sheet.hanging(2, 4, &format!("-> {}", bold(said(statement))));
        if let Some(clause) = statement.clause {
            let quote = statement.span.map_or_else(String::new, |span| {
                format!(
                    " {}: \"{}\"",
                    dim(&format!("({})", view.place_words(span))),
                    in_brackets(marked(view, statement))
                )
            });
            sheet.hanging(2, 4, &format!("clause {}{quote}", view.id(clause)));
        }
        for finding in &statement.findings {
            sheet.hanging(2, 4, &format!("* {}", departure(view, finding)));
        }
        if in_doubt(statement) {
            sheet.hanging(2, 4, &format!("* {DOUBT}"));
        }
        for side in sides(statement, patterns) {
            sheet.hanging(2, 4, &format!("- {}", clean::line(&side)));
        }
    }
    if statements.is_empty() {
        sheet.para(0, NOTHING);
    }
    sheet.blank();
    sheet.para(0, &dim(CAUTION));
    sheet.finish()
}

/// For a page of Markdown.
#[must_use]
pub fn markdown(view: View<'_>, statements: &[ClaimStatement], patterns: &Patterns) -> String {
    let mut out = String::from("# What is said about the letter, and what it says\n");
    if statements.is_empty() {
        out.push_str(&format!("\n{NOTHING}\n"));
    }
    for statement in statements {
        out.push_str(&format!(
            "\n> {}\n\n**{}**\n\n",
            escape(&in_brackets(claimed(statement))),
            words::capital(said(statement)),
        ));
        if let Some(clause) = statement.clause {
            out.push_str(&format!("Clause {}", escape(&view.id(clause))));
            if let Some(span) = statement.span {
                out.push_str(&format!(
                    " ({}): \"{}\"",
                    escape(&view.place_words(span)),
                    escape(&in_brackets(marked(view, statement)))
                ));
            }
            out.push_str("\n\n");
        }
        for finding in &statement.findings {
            out.push_str(&format!("* {}\n", escape(&departure(view, finding))));
        }
        if in_doubt(statement) {
            out.push_str(&format!("* {DOUBT}\n"));
        }
        for side in sides(statement, patterns) {
            out.push_str(&format!("* {}\n", escape(&clean::line(&side))));
        }
    }
    out.push_str(&format!("\n{CAUTION}\n"));
    out
}

/// The same for programs.
#[must_use]
pub fn json(view: View<'_>, statements: &[ClaimStatement]) -> String {
    #[derive(Serialize)]
    struct Root {
        schema: u32,
        statements: Vec<Statement>,
    }
    #[derive(Serialize)]
    struct Statement {
        text: String,
        marked: Vec<String>,
        verdict: &'static str,
        clause: Option<String>,
        words: Option<String>,
        similarity: f64,
        findings: Vec<Finding>,
        beyond: Vec<&'static str>,
        readings: Vec<String>,
        in_doubt: bool,
    }
    #[derive(Serialize)]
    struct Finding {
        turn: &'static str,
        departure: &'static str,
        kind: &'static str,
        message: String,
        words: Option<String>,
    }
    json::pretty(&Root {
        schema: 1,
        statements: statements
            .iter()
            .map(|s| Statement {
                text: clean::line(&s.text),
                marked: s.marks.iter().map(|m| clean::line(m.of(&s.text))).collect(),
                verdict: s.verdict.name(),
                clause: s.clause.map(|c| view.id(c)),
                words: s.span.map(|span| view.words(span)),
                similarity: json::rounded(s.similarity),
                findings: s
                    .findings
                    .iter()
                    .map(|f| Finding {
                        turn: f.turn.name(),
                        departure: f.departure.name(),
                        kind: f.kind.name(),
                        message: clean::line(&findings::claim(&f.detail)),
                        words: f.span.map(|span| view.words(span)),
                    })
                    .collect(),
                beyond: s.beyond.iter().map(|k| k.name()).collect(),
                readings: s.readings.clone(),
                in_doubt: s.doubt,
            })
            .collect(),
    })
}
