//! Splits a text into its numbered clauses.
//!
//! `lines` and `paragraphs` see where the page breaks the text, `marks` finds everything
//! that could be a clause number, `sequence` decides which of them are, `build` makes the
//! clauses, `phase` tells for which phase each of them holds.

mod build;
pub(super) mod dots;
mod items;
mod labels;
pub(super) mod lines;
mod marks;
mod paragraphs;
mod phase;
pub(super) mod quotes;
mod sequence;

use crate::model::{Citation, Clause, Span};
use crate::patterns::{Patterns, Token};
use marks::{Before, NumberMark, Scene};
use sequence::Shape;

/// A text and what it was split into.
#[derive(Clone, Copy, Debug)]
pub struct Split<'t> {
    /// The text.
    pub text: &'t str,
    /// Its words, numbers and marks.
    pub tokens: &'t [Token],
    /// Its clauses.
    pub clauses: &'t [Clause],
    /// Its sentences; together they cover the text.
    pub sentences: &'t [Span],
    /// The rules that it cites.
    pub citations: &'t [Citation],
}

/// The clauses of a text, flat and in order; every paragraph belongs to one.
///
/// Works on text with its line breaks and on text without them. A numbered clause at level 1 has
/// no parent, unless a lettered list stands below an unnumbered paragraph that leads in; an
/// unnumbered paragraph belongs to the numbered clause above it; a heading belongs to none.
#[must_use]
pub fn clauses(text: &str, tokens: &[Token], patterns: &Patterns) -> Vec<Clause> {
    if tokens.is_empty() {
        return Vec::new();
    }
    let lines = lines::Lines::of(text);
    let quotes = quotes::quotes(text);
    let dots = dots::dots(text, tokens, patterns);
    let lists = phase::lists(text, tokens, patterns);
    let barred: Vec<_> = lists.iter().map(|l| l.span).collect();
    let headings = paragraphs::headings(text, tokens, &lines, patterns);
    let titles = paragraphs::titles(text, &lines);
    let starts = paragraphs::starts(text, tokens, &lines, &headings, &quotes, patterns);
    let scene = Scene {
        text,
        tokens,
        lines: &lines,
        starts: &starts,
        headings: &headings,
        titles: &titles,
        quotes: &quotes,
        dots: &dots,
        barred: &barred,
        patterns,
    };
    let mut marks = scene.marks();
    let ends = items::ends_in_running_text(&scene, &mut marks);
    let chosen = sequence::choose(&marks, shape(&marks));
    let mut clauses = build::clauses(&scene, &marks, &chosen, &ends);
    phase::tell(&mut clauses, text, tokens, &lists, patterns);
    clauses
}

/// How the numbers of a text stand.
fn shape(marks: &[NumberMark]) -> Shape {
    let good = |m: &&NumberMark| matches!(m.before, Before::Stop | Before::Pause) && m.token > 0;
    let heads = marks
        .iter()
        .filter(good)
        .filter(|m| m.head && m.line > 0)
        .count();
    let within = marks
        .iter()
        .filter(good)
        .filter(|m| !m.head && !m.chained && m.capital)
        .count();
    if heads >= 2 || (heads == 1 && within <= 1) {
        Shape::Lines
    } else if marks.first().is_some_and(|m| m.head && m.line == 0) {
        Shape::Listed
    } else {
        Shape::Running
    }
}
