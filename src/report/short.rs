//! The answer for a message, under fifteen lines: as plain text, or as Markdown.

use super::first::{FirstScreen, NO_CLAUSE, Words};
use super::markdown::escape;
use super::{CAUTION, Report, clean, words};
use crate::model::Verdict;

/// A line: what it speaks of, and what it says of it.
struct Line {
    /// "Yes", "Rules"; empty where the words say it all.
    label: String,
    /// Whether the label is the word of an answer.
    answer: bool,
    said: Vec<Words>,
}

/// Plain text, for a forum or a mail.
#[must_use]
pub fn plain(report: &Report<'_>) -> String {
    let first = FirstScreen::of(report);
    let mut out = format!("{}\n\n", clean::line(&first.lead));
    for line in lines(report, &first) {
        let said: String = line.said.iter().map(|w| w.text.as_str()).collect();
        let label = if line.label.is_empty() {
            String::new()
        } else {
            format!("{}: ", line.label)
        };
        out.push_str(&clean::line(&format!("{label}{said}")));
        out.push('\n');
    }
    out.push_str(&format!("\n{CAUTION}\n"));
    out
}

/// Markdown: the words that decide in bold type.
#[must_use]
pub fn markdown(report: &Report<'_>) -> String {
    let first = FirstScreen::of(report);
    let mut out = format!("**{}**\n\n", escape(&first.lead));
    for line in lines(report, &first) {
        let label = match (line.label.is_empty(), line.answer) {
            (true, _) => String::new(),
            (_, true) => format!("**{}**: ", line.label),
            _ => format!("{}: ", escape(&line.label)),
        };
        out.push_str(&format!("- {label}{}\n", marked(&line.said)));
    }
    out.push_str(&format!("\n{CAUTION}\n"));
    out
}

fn lines(report: &Report<'_>, first: &FirstScreen) -> Vec<Line> {
    let line = |label: &str, said: &str| Line {
        label: label.to_owned(),
        answer: false,
        said: vec![Words {
            text: said.to_owned(),
            deciding: false,
        }],
    };
    let mut lines = vec![line("Paper", &first.title)];
    for verdict in [
        Verdict::Yes,
        Verdict::Disputed,
        Verdict::Undetermined,
        Verdict::No,
    ] {
        let said = answered(report, first, verdict);
        if !said.is_empty() {
            lines.push(Line {
                answer: true,
                ..line(&words::capital(words::verdict(verdict)), &said)
            });
        }
    }
    if report.letter.paper.is_limitations() && first.quoted.is_empty() {
        lines.push(line("", NO_CLAUSE));
    }
    let last = first.quoted.len().saturating_sub(1);
    for (n, quoted) in first.quoted.iter().enumerate() {
        let own = |text: String| Words {
            text,
            deciding: false,
        };
        let mut said = vec![own("\"".to_owned())];
        said.extend(quoted.words.iter().cloned());
        let more = if first.more > 0 && n == last {
            format!("\" ({} more clauses speak of it)", first.more)
        } else {
            "\"".to_owned()
        };
        said.push(own(more));
        lines.push(Line {
            label: format!(
                "Clause {} ({}) {}",
                quoted.clause, quoted.place, quoted.said
            ),
            answer: false,
            said,
        });
    }
    lines.extend(first.positions.iter().map(|p| line("", p)));
    let rules = rules(report);
    if !rules.is_empty() {
        lines.push(line("Rules", &rules.join("; ")));
    }
    lines
}

/// Who has that answer.
fn answered(report: &Report<'_>, first: &FirstScreen, verdict: Verdict) -> String {
    let said: Vec<String> = report
        .answers
        .iter()
        .filter(|answer| answer.answer == verdict)
        .map(|answer| {
            let mut said = words::holder_title(answer).to_owned();
            let why = verdict == Verdict::Undetermined || report.question.holder.is_some();
            let because = first.row(answer.holder).map_or("", |r| r.because.as_str());
            if why && !because.is_empty() {
                said.push_str(&format!(" ({because})"));
            }
            said
        })
        .collect();
    said.join("; ")
}

/// The rules that count, without their date and grade, which the report gives.
fn rules(report: &Report<'_>) -> Vec<String> {
    let mut rules: Vec<String> = Vec::new();
    for answer in report.answers.iter().filter(|a| a.answer != Verdict::No) {
        for citation in &answer.rule.citations {
            if !rules.contains(&citation.paragraph) {
                rules.push(citation.paragraph.clone());
            }
        }
    }
    rules
}

/// Words with the deciding ones in bold type.
pub(super) fn marked(pieces: &[Words]) -> String {
    let mut out = String::new();
    for piece in pieces {
        let bare = piece.text.trim();
        let words = escape(bare);
        if piece.text.starts_with(' ') && !out.is_empty() {
            out.push(' ');
        }
        if piece.deciding {
            out.push_str(&format!("**{words}**"));
        } else {
            out.push_str(&words);
        }
        if piece.text.ends_with(' ') && !bare.is_empty() {
            out.push(' ');
        }
    }
    out
}
