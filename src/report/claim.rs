//! What somebody says about a letter, held against it.

use serde::Serialize;

use super::markdown::escape;
use super::terminal::sheet::{Sheet, bold, dim};
use super::{CAUTION, View, clean, json, words};
use crate::model::{ClaimFinding, ClaimStatement, ClaimVerdict, Departure};

/// What a claim without a statement comes to.
pub(super) const NOTHING: &str = "The claim says nothing that could be held against the letter.";

/// What a statement comes to.
pub(super) const fn said(statement: &ClaimStatement) -> &'static str {
    match statement.verdict {
        ClaimVerdict::Fits => "fits the letter",
        ClaimVerdict::Departs => "is not what the letter says",
        ClaimVerdict::NoClause => "no clause of the letter speaks of it",
    }
}

/// «leaves out (condition): ...».
pub(super) fn departure(finding: &ClaimFinding) -> String {
    let departure = match finding.departure {
        Departure::Adds => "adds",
        Departure::Drops => "leaves out",
        Departure::Turns => "turns",
    };
    format!(
        "{departure} ({}): {}",
        words::difference(finding.kind),
        clean::line(&finding.message)
    )
}

/// What somebody says about the letter, held against it, for people.
#[must_use]
pub fn terminal(view: View<'_>, statements: &[ClaimStatement], width: usize) -> String {
    let mut sheet = Sheet::new(width);
    for statement in statements {
        sheet.blank();
        sheet.para(0, &format!("\"{}\"", clean::line(&statement.text)));
        sheet.hanging(2, 4, &format!("-> {}", bold(said(statement))));
        if let Some(clause) = statement.clause {
            let quote = statement.span.map_or_else(String::new, |span| {
                format!(
                    " {}: \"{}\"",
                    dim(&format!("({})", view.place_words(span))),
                    view.words(span)
                )
            });
            sheet.hanging(2, 4, &format!("clause {}{quote}", view.id(clause)));
        }
        for finding in &statement.findings {
            sheet.hanging(2, 4, &format!("* {}", departure(finding)));
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
pub fn markdown(view: View<'_>, statements: &[ClaimStatement]) -> String {
    let mut out = String::from("# What is said about the letter, and what it says\n");
    if statements.is_empty() {
        out.push_str(&format!("\n{NOTHING}\n"));
    }
    for statement in statements {
        out.push_str(&format!(
            "\n> {}\n\n**{}**\n\n",
            escape(&clean::line(&statement.text)),
            words::capital(said(statement)),
        ));
        if let Some(clause) = statement.clause {
            out.push_str(&format!("Clause {}", escape(&view.id(clause))));
            if let Some(span) = statement.span {
                out.push_str(&format!(
                    " ({}): \"{}\"",
                    escape(&view.place_words(span)),
                    escape(&view.words(span))
                ));
            }
            out.push_str("\n\n");
        }
        for finding in &statement.findings {
            out.push_str(&format!("* {}\n", escape(&departure(finding))));
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
        verdict: &'static str,
        clause: Option<String>,
        words: Option<String>,
        similarity: f64,
        findings: Vec<Finding>,
    }
    #[derive(Serialize)]
    struct Finding {
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
                verdict: s.verdict.name(),
                clause: s.clause.map(|c| view.id(c)),
                words: s.span.map(|span| view.words(span)),
                similarity: json::rounded(s.similarity),
                findings: s
                    .findings
                    .iter()
                    .map(|f| Finding {
                        departure: f.departure.name(),
                        kind: f.kind.name(),
                        message: clean::line(&f.message),
                        words: f.span.map(|span| view.words(span)),
                    })
                    .collect(),
            })
            .collect(),
    })
}
