//! Everything that could be the number of a clause, with what its surroundings say for and
//! against it. [`super::sequence`] decides.

use super::dots::role_of;
use super::labels::{Kind, Value, readings};
use super::lines::Lines;
use super::quotes::inside;
use crate::model::Span;
use crate::patterns::numbering::NumberingRole;
use crate::patterns::{Patterns, Token, TokenKind, WordList};

/// How a label is printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Style {
    /// `(26)`
    Round,
    /// `26)`, `26/`
    RightRound,
    /// `26.`
    Dot,
    /// `26.)`
    DotRound,
    /// `[26]`
    Square,
    /// `26` with one blank behind it.
    Bare,
    /// `26` alone, in a table or on its own line.
    Table,
    /// `Limitation 26:`, `Section 4.3`
    Worded,
}

/// What stands before a mark.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Before {
    /// Nothing, or the end of a sentence.
    Stop,
    /// `;` or `:` or a dash, or "and" / "or" behind `;` or `,`.
    Pause,
    /// A comma, or "and" / "or" alone.
    Weak,
    /// The middle of a sentence.
    Words,
}

/// A candidate.
#[derive(Clone, Copy, Debug)]
pub(super) struct NumberMark {
    /// As printed.
    pub(super) span: Span,
    /// Without its marks.
    pub(super) label: Span,
    pub(super) style: Style,
    pub(super) values: [Option<Value>; 2],
    /// The line it stands on.
    pub(super) line: usize,
    /// First on its line.
    pub(super) head: bool,
    /// First in its paragraph.
    pub(super) paragraph: bool,
    pub(super) before: Before,
    /// The text before leads in: it ends with a colon or a dash.
    pub(super) led: bool,
    /// Directly behind another mark.
    pub(super) chained: bool,
    /// What follows begins with a capital or a quotation mark.
    pub(super) capital: bool,
    /// First on its line, though it would have had room on the line before.
    pub(super) roomy: bool,
    /// A heading stands before it.
    pub(super) headed: bool,
    /// Behind the title of the mark before it: "(b) Approval of changes. (1) Minor changes …".
    pub(super) titled: bool,
    /// Index of its first token.
    pub(super) token: usize,
    /// One of at least three numbers that stand at the heads of lines and rise by one down the page.
    pub(super) run: bool,
    /// A name is all that follows on its line: the initial of who issues the letter.
    pub(super) named: bool,
}

/// What the search for marks knows of the text.
pub(super) struct Scene<'a> {
    pub(super) text: &'a str,
    pub(super) tokens: &'a [Token],
    pub(super) lines: &'a Lines,
    /// For each line, whether a paragraph starts with it.
    pub(super) starts: &'a [bool],
    /// For each line, whether it is a heading by its looks.
    pub(super) headings: &'a [bool],
    /// For each line, whether it is a numbered title: "1. General".
    pub(super) titles: &'a [bool],
    pub(super) quotes: &'a [Span],
    pub(super) dots: &'a [(usize, NumberingRole)],
    /// Where no clause can start (lists of clause numbers).
    pub(super) barred: &'a [Span],
    pub(super) patterns: &'a Patterns,
}

/// Behind one of these a noun takes no number.
const DETERMINERS: [&str; 3] = ["each", "every", "such"];

struct Printed {
    label: Span,
    style: Style,
    values: [Option<Value>; 2],
    /// One past the last token.
    end: usize,
}

/// So many numbers that rise by one are no accident.
const RUN: usize = 3;
/// So many marks further down the next number is looked for.
const NEXT: usize = 40;

/// Tells the marks that are members of a run: whatever stands between, numbers at the heads of
/// lines that rise by one down the page number something.
fn tell_runs(marks: &mut [NumberMark]) {
    let number = |m: &NumberMark| {
        m.head
            .then(|| m.values[0].and_then(Value::number))
            .flatten()
    };
    let mut up = vec![0usize; marks.len()];
    let mut next: Vec<Option<usize>> = vec![None; marks.len()];
    for n in (0..marks.len()).rev() {
        let Some(own) = number(&marks[n]) else {
            continue;
        };
        let end = marks.len().min(n + 1 + NEXT);
        next[n] = (n + 1..end)
            .find(|m| number(&marks[*m]) == Some(own + 1) && marks[*m].style == marks[n].style);
        up[n] = 1 + next[n].map_or(0, |m| up[m]);
    }
    for (n, length) in up.iter().enumerate() {
        if *length < RUN {
            continue;
        }
        let mut at = Some(n);
        while let Some(m) = at {
            if marks[m].run {
                break;
            }
            marks[m].run = true;
            at = next[m];
        }
    }
}

/// Labels of one chain, such as "(a)(1)(i)"; no citation goes deeper.
const CHAIN: usize = 8;

impl Scene<'_> {
    /// All candidates, in order.
    pub(super) fn marks(&self) -> Vec<NumberMark> {
        let mut marks: Vec<NumberMark> = Vec::new();
        let mut line = 0;
        let mut line_of_last = usize::MAX;
        let mut at = 0;
        while at < self.tokens.len() {
            let start = self.tokens[at].span.start;
            while self
                .lines
                .all
                .get(line + 1)
                .is_some_and(|l| l.span.start <= start)
            {
                line += 1;
            }
            // A bullet or a table rule before the number still leaves it first on its line.
            let mut head = line != line_of_last;
            line_of_last = line;
            if head && self.is_lead_mark(at) {
                let rest = self.tokens.get(at + 1);
                if rest.is_some_and(|t| t.span.start < self.lines.all[line].span.end) {
                    at += 1;
                } else {
                    head = false;
                }
            }
            if let Some(printed) = self.printed(at, head)
                && let Some(mark) = self.judge(at, &printed, line, head, marks.last())
            {
                at = printed.end;
                marks.push(mark);
                continue;
            }
            at += 1;
        }
        tell_runs(&mut marks);
        marks
    }

    pub(super) fn word(&self, at: usize) -> &str {
        self.tokens.get(at).map_or("", |t| t.span.of(self.text))
    }

    pub(super) fn glued(&self, at: usize) -> bool {
        self.tokens.get(at).is_some_and(|t| t.glued)
    }

    fn is_lead_mark(&self, at: usize) -> bool {
        matches!(self.word(at), "•" | "·" | "|" | "*" | "-" | "–" | "▪" | "●")
            && !self.glued(at + 1)
    }

    /// The label that starts at a token, and the token behind it; `1-2` and `B-4` are two tokens,
    /// `B.4` is three.
    fn label(&self, at: usize) -> Option<(Span, usize)> {
        let token = self.tokens.get(at)?;
        if token.kind == TokenKind::Mark || token.span.len() > 7 {
            return None;
        }
        let capital = matches!(token.span.of(self.text).as_bytes(), [b'A'..=b'Z']);
        let number = at + 1 + usize::from(self.word(at + 1) == "." && self.glued(at + 1));
        if capital
            && let Some(second) = self.tokens.get(number)
            && second.glued
            && second.kind == TokenKind::Number
        {
            return Some((Span::new(token.span.start, second.span.end), number + 1));
        }
        let mut span = token.span;
        let mut next = at + 1;
        if let Some(second) = self.tokens.get(next)
            && second.glued
            && second.kind != TokenKind::Mark
        {
            if token.kind != TokenKind::Number || second.kind != TokenKind::Number {
                return None;
            }
            span.end = second.span.end;
            next += 1;
        }
        Some((span, next))
    }

    /// The number that is printed at token `at`; `head` where a line starts there.
    fn printed(&self, at: usize, head: bool) -> Option<Printed> {
        let first = self.tokens.get(at)?;
        if let "(" | "[" = first.span.of(self.text) {
            return self.bracketed(at, head);
        }
        if first.kind == TokenKind::Mark {
            return None;
        }
        if head
            && first.kind == TokenKind::Word
            && first.word != 0
            && let Some((label, end)) = self.worded(at)
        {
            return self.made(label, Style::Worded, end, head);
        }
        if first.span.len() > 7 {
            return None;
        }
        let (label, next) = self.label(at)?;
        let (style, end) = self.closed(at, label, next, head)?;
        self.made(label, style, end, head)
    }

    /// A label as a printed number; none where it is no number.
    fn made(&self, label: Span, style: Style, end: usize, head: bool) -> Option<Printed> {
        let mut values = readings(label.of(self.text));
        // Within a line "B.4" and "B4" refer to something.
        if !head {
            values = values.map(|v| v.filter(|v| v.kind != Kind::Lettered));
        }
        (values[0].is_some() || values[1].is_some()).then_some(Printed {
            label,
            style,
            values,
            end,
        })
    }

    /// "(1)", "[1]".
    fn bracketed(&self, at: usize, head: bool) -> Option<Printed> {
        let (label, close) = self.label(at + 1)?;
        let (want, style) = if self.word(at) == "(" {
            (")", Style::Round)
        } else {
            ("]", Style::Square)
        };
        if self.word(close) != want || !(head || (self.glued(at + 1) && self.glued(close))) {
            return None;
        }
        let dot = head && self.word(close + 1) == "." && self.glued(close + 1);
        self.made(label, style, close + 1 + usize::from(dot), head)
    }

    /// "Limitation 4:", "Section 4.3 The pilot": the label, and one past the last token.
    fn worded(&self, at: usize) -> Option<(Span, usize)> {
        let (mut end, _) = self.patterns.numbering.heads.longest_at(self.tokens, at)?;
        end += usize::from(self.word(end) == "." && self.glued(end));
        let (label, close) = self.label(end)?;
        if self.tokens[end].kind != TokenKind::Number {
            return None;
        }
        // "Section 4 - Upkeep" is a heading over 4.1 and 4.2.
        let heads = self.patterns.list.has(self.word(at), WordList::Section);
        if !heads && matches!(self.word(close), ":" | "." | ")" | "-" | "–" | "—") {
            return Some((label, close + 1));
        }
        // "Section 4.3 The pilot"; from 21 on it would be a section of the rules.
        let parted = label.of(self.text).split_once('.');
        let low = parted.is_some_and(|(a, _)| a.parse().is_ok_and(|n: u8| n <= 20));
        (low && self.word(close).starts_with(char::is_uppercase)).then_some((label, close))
    }

    /// How a number without a bracket before it ends, which stands at token `at` and has `next`
    /// behind it: "1)", "1.", "1", and one past its last token.
    fn closed(&self, at: usize, label: Span, next: usize, head: bool) -> Option<(Style, usize)> {
        let counts = label.of(self.text).ends_with(|c: char| c.is_ascii_digit())
            || self.tokens[at].kind == TokenKind::Number;
        match self.word(next) {
            ")" if self.glued(next) => Some((Style::RightRound, next + 1)),
            "/" if head && self.glued(next) && !self.glued(next + 1) => {
                Some((Style::RightRound, next + 1))
            }
            // At the head of a line "V." is a number, not a versus.
            "." if self.glued(next)
                && (role_of(self.dots, next).is_none_or(|r| r == NumberingRole::BeforeNumber)
                    || head && self.word(at) == "V") =>
            {
                if self.word(next + 1) == ")" && self.glued(next + 1) {
                    return Some((Style::DotRound, next + 2));
                }
                // "1.No person" at the head of a line; else a blank has to follow.
                let tight = self.glued(next + 1)
                    && !(head
                        && counts
                        && self.word(next + 1).starts_with(|c: char| {
                            c.is_uppercase() || matches!(c, '"' | '“' | '(' | '[')
                        }));
                (!tight).then_some((Style::Dot, next + 1))
            }
            // "3 . The pilot": a blank got in before the dot
            "." if head
                && counts
                && !self.glued(next)
                && !self.glued(next + 1)
                && self.word(next + 1).starts_with(char::is_uppercase) =>
            {
                Some((Style::Dot, next + 1))
            }
            follower if counts && head && !self.glued(next) => {
                let gap = self
                    .tokens
                    .get(next)
                    .map_or("", |t| Span::new(label.end, t.span.start).of(self.text));
                let apart = gap.len() > 1 || gap.contains(['\t', '\n']) || follower == "|";
                if apart {
                    Some((Style::Table, next))
                } else if follower.starts_with(char::is_uppercase)
                    || label.of(self.text).matches('.').count() == 2
                {
                    Some((Style::Bare, next))
                } else {
                    None
                }
            }
            _ => None,
        }
    }

    /// Whether a number at token `at` belongs to the word before it, or to a reference before it.
    fn refers(&self, at: usize) -> bool {
        let Some(p) = at.checked_sub(1) else {
            return false;
        };
        let mut p = p;
        if self.word(p) == "." && p > 0 {
            match role_of(self.dots, p) {
                Some(NumberingRole::BeforeNumber) => return true,
                Some(_) => p -= 1,
                None => {}
            }
        }
        if self
            .patterns
            .numbering
            .words
            .longest_at(self.tokens, p)
            .is_some_and(|(_, role)| matches!(role, NumberingRole::Reference | NumberingRole::Note))
        {
            // "the first item" is told apart already; no number follows it.
            let told = p.checked_sub(1).is_some_and(|q| {
                DETERMINERS.iter().any(|w| self.tokens[q].is(self.text, w))
                    || self.patterns.list.has(self.word(q), WordList::Ordinal)
            });
            return !told;
        }
        let joins = matches!(self.word(p), "," | "-" | "–" | "&")
            || ["and", "or", "through", "thru", "to"]
                .iter()
                .any(|w| self.tokens[p].is(self.text, w));
        let Some(q) = p.checked_sub(1) else {
            return false;
        };
        if joins {
            let q = if self.word(q) == "," && q > 0 {
                q - 1
            } else {
                q
            };
            return self.tokens[q].kind == TokenKind::Number || self.closes_label(q);
        }
        self.closes_label(p)
    }

    /// Whether the token closes a label in parentheses, as in "(b)".
    pub(super) fn closes_label(&self, at: usize) -> bool {
        self.word(at) == ")"
            && at >= 2
            && self.word(at - 2) == "("
            && self.tokens[at - 1].span.len() <= 5
            && readings(self.word(at - 1)).iter().any(Option::is_some)
    }

    /// Whether a full sentence ends before the group in parentheses that opens at `open`; up to
    /// two other groups may stand between.
    fn before_group(&self, mut open: usize) -> bool {
        for _ in 0..3 {
            let Some(p) = open.checked_sub(1) else {
                return false;
            };
            match self.word(p) {
                "." | "\"" | "”" | "!" | "?" => return role_of(self.dots, p).is_none(),
                ")" => match (p.saturating_sub(30)..p)
                    .rev()
                    .find(|i| self.word(*i) == "(")
                {
                    Some(next) => open = next,
                    None => return false,
                },
                _ => return false,
            }
        }
        false
    }

    /// What stands before token `at`, and whether it leads in.
    pub(super) fn before(&self, at: usize) -> (Before, bool) {
        let Some(mut p) = at.checked_sub(1) else {
            return (Before::Stop, false);
        };
        // Closing marks belong to the sentence that they close.
        for _ in 0..3 {
            if matches!(self.word(p), "”" | "\"" | "’" | "'") && p > 0 {
                p -= 1;
            }
        }
        match self.word(p) {
            "." | "!" | "?" | "…" | "|" | "]" | "•" | "_" => {
                let dot = role_of(self.dots, p);
                if dot.is_none_or(|r| r == NumberingRole::MayEnd) {
                    (Before::Stop, false)
                } else {
                    (Before::Words, false)
                }
            }
            ")" => {
                // "(15)" and "(Applicability: All)" stand behind a full sentence.
                if self.word(p.saturating_sub(1)) == "." {
                    return (Before::Stop, false);
                }
                let open = (p.saturating_sub(30)..p)
                    .rev()
                    .find(|i| self.word(*i) == "(");
                match open {
                    Some(open) if open > 0 && self.before_group(open) => (Before::Stop, false),
                    _ => (Before::Words, false),
                }
            }
            ";" => (Before::Pause, false),
            ":" | "—" | "–" | "-" | "―" => (Before::Pause, true),
            "," => (Before::Weak, false),
            _ if self.tokens[p].is(self.text, "and") || self.tokens[p].is(self.text, "or") => {
                match p.checked_sub(1).map(|q| self.word(q)) {
                    Some(";" | "," | ".") => (Before::Pause, false),
                    _ => (Before::Weak, false),
                }
            }
            _ => (Before::Words, false),
        }
    }

    /// Whether only a title of a few words stands between two marks in parentheses.
    fn is_titled(&self, last: &NumberMark, printed: &Printed, at: usize) -> bool {
        let first = printed
            .values
            .iter()
            .flatten()
            .any(|v| v.is_first() && last.values.iter().flatten().all(|w| w.kind != v.kind));
        let both = first && last.style == Style::Round && printed.style == Style::Round;
        let Some(dot) = at.checked_sub(1).filter(|p| both && self.word(*p) == ".") else {
            return false;
        };
        let between = Span::new(last.span.end, self.tokens[dot].span.start).of(self.text);
        between.len() <= 90
            && between.trim_start().starts_with(char::is_uppercase)
            && !between.contains(['.', ';', ':', '—'])
            && !["may", "must", "shall", "is", "are", "will", "has"]
                .iter()
                .any(|verb| between.split_whitespace().any(|w| w == *verb))
    }

    /// Whether a line is nothing but an item number at the end of the paragraph above it.
    fn ends_alone(&self, line: usize) -> bool {
        super::paragraphs::item_alone(self.text, self.lines, line)
    }

    /// The mark that a printed number is; none where it refers to something, or belongs to a word.
    fn judge(
        &self,
        at: usize,
        printed: &Printed,
        line: usize,
        head: bool,
        last: Option<&NumberMark>,
    ) -> Option<NumberMark> {
        let start = self.tokens[at].span.start;
        let end = self.tokens.get(printed.end.checked_sub(1)?)?.span.end;
        if inside(self.quotes, start) || inside(self.barred, start + 1) {
            return None;
        }
        let capitals = !head && self.capitals_before(at).is_some();
        let headed =
            capitals || (head && line > 0 && (self.headings[line - 1] || self.titles[line - 1]));
        let paragraph = head && (self.starts[line] || headed);
        let titled = !head && last.is_some_and(|m| self.is_titled(m, printed, at));
        let roomy = head && self.lines.had_room(line);
        if self.ends_alone(line) && head {
            return None;
        }
        let chained = !head
            && last
                .is_some_and(|m| m.span.end <= start && self.tokens[at - 1].span.end == m.span.end);
        if !chained {
            let after_dash =
                at > 0 && matches!(self.word(at - 1), "—" | "–" | "―" | "|" | "“" | "\"");
            if !head && self.glued(at) && !after_dash {
                return None;
            }
            if !paragraph && !capitals && !roomy && self.refers(at) {
                return None;
            }
        }
        let next = self.behind_chain(printed.end);
        let follower = self.word(next);
        let same_line = self
            .tokens
            .get(next)
            .is_some_and(|t| t.span.start < self.lines.all[line].span.end);
        if matches!(follower, "," | ";" | ")" | "." | "]") && same_line {
            return None;
        }
        let joins = ["of", "through", "thru", "and", "or", "above", "below"].contains(&follower);
        if joins && !(paragraph && same_line && follower != "of") {
            return None;
        }
        let (mut before, led) = self.before(at);
        if capitals {
            before = Before::Stop;
        }
        if !head && (!same_line || before == Before::Stop && self.is_item_number(printed, next)) {
            return None;
        }
        Some(NumberMark {
            span: Span::new(start, end),
            label: printed.label,
            style: printed.style,
            values: printed.values,
            line,
            head,
            paragraph,
            before,
            led,
            chained,
            capital: follower
                .starts_with(|c: char| c.is_uppercase() || matches!(c, '"' | '“' | '[' | '(')),
            roomy,
            headed,
            titled,
            token: at,
            run: false,
            named: head && printed.style == Style::Dot && self.only_a_name(end, line),
        })
    }

    /// Whether behind `start` stands nothing but a name on the line: a few words with capitals or
    /// in parentheses, and no full stop.
    fn only_a_name(&self, start: usize, line: usize) -> bool {
        let end = self.lines.all[line].span.end;
        let rest = self.text.get(start..end).unwrap_or_default().trim();
        let name = |w: &str| w.starts_with(|c: char| c.is_uppercase() || c == '(');
        let words = rest.split_whitespace().count();
        (1..=4).contains(&words)
            && rest.split_whitespace().all(name)
            && !rest.ends_with(['.', ':', ';'])
    }

    /// What stands behind the whole chain "(a)(1)(i)" of which the first ends before `next`.
    fn behind_chain(&self, mut next: usize) -> usize {
        for _ in 0..CHAIN {
            if self.word(next) != "(" || !self.glued(next) || !self.closes_label(next + 2) {
                break;
            }
            next += 3;
        }
        next
    }

    /// Whether a number in brackets behind a full sentence is the item at the end of a paragraph:
    /// "(15)" before a tag in brackets or before another number.
    fn is_item_number(&self, printed: &Printed, next: usize) -> bool {
        let tag = self.word(next) == "(" && !self.closes_label(next + 2);
        let other_number = self
            .printed(next, false)
            .is_some_and(|p| p.style != printed.style && !self.glued(next));
        matches!(printed.style, Style::Round | Style::Square)
            && printed.values[0].and_then(Value::number).is_some()
            && (tag || other_number)
    }
}
