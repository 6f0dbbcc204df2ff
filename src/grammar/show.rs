//! The analysis of a sentence as a tree, for people who want to see why it was read so.

use std::fmt::Write as _;

use super::{Grammar, SentenceReading, Understood};
use crate::patterns::Token;

/// The tree of a sentence, one phrase a line, and what found no place.
pub(crate) fn tree(
    grammar: &Grammar,
    text: &str,
    tokens: &[Token],
    reading: &SentenceReading,
) -> String {
    let mut out = String::new();
    let one_line = |s: &str| s.split_whitespace().collect::<Vec<_>>().join(" ");
    match &reading.understood {
        Understood::Beside => {
            let _ = writeln!(
                out,
                "beside the question: {}",
                one_line(reading.span.of(text))
            );
        }
        Understood::Read => {
            let _ = writeln!(out, "read: {}", one_line(reading.span.of(text)));
        }
        Understood::Doubt(words) => {
            let _ = writeln!(out, "in doubt: {}", one_line(reading.span.of(text)));
            for span in words {
                let _ = writeln!(out, "  not accounted for: «{}»", one_line(span.of(text)));
            }
        }
    }
    for says in &reading.says {
        let _ = writeln!(
            out,
            "  says {}: inspections {:#b}, {:?}",
            says.form.name(),
            says.inspections,
            says.persons
        );
    }
    for meaning in &reading.meanings {
        let _ = writeln!(out, "  one analysis: {meaning:?}");
    }
    let Some((sentence, chart, roots)) = &reading.chart else {
        return out;
    };
    // A stack of its own: the depth of a tree grows with the text.
    let mut todo: Vec<(u32, usize)> = roots.iter().rev().map(|r| (*r, 1)).collect();
    while let Some((at, depth)) = todo.pop() {
        let edge = &chart.edges[at as usize];
        let from = sentence.tokens[usize::from(edge.start)].0;
        let to = sentence.tokens[usize::from(edge.end) - 1].1 - 1;
        let words = &text[tokens[from].span.start..tokens[to].span.end];
        let name = grammar.rules.name(edge.category);
        if !name.is_empty() {
            let _ = writeln!(out, "{}{name} «{}»", "  ".repeat(depth), one_line(words));
        }
        for child in chart.children(edge).into_iter().rev() {
            todo.push((child, depth + 1));
        }
    }
    out
}
