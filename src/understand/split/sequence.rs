//! Decides which of the candidates are clause numbers: a number that continues a running row is
//! one, a number that does not and stands within a sentence is none.
//!
//! All candidates of a text are judged together. A state is the stack of open rows, one per
//! level; each candidate is rejected, continues a row, opens one below, or starts one again, at a
//! cost. The cheapest path wins; a beam of states keeps the work linear.

use super::labels::{Kind, Value};
use super::marks::{Before, NumberMark, Style};

/// Deepest nesting.
const DEPTH: usize = 7;
/// States kept.
const BEAM: usize = 10;

/// An open row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Row {
    kind: Kind,
    style: Style,
    place: u32,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Stack {
    rows: [Option<Row>; DEPTH],
    depth: usize,
}

impl Stack {
    fn rows(&self) -> impl DoubleEndedIterator<Item = (usize, Row)> + '_ {
        self.rows
            .iter()
            .take(self.depth)
            .enumerate()
            .filter_map(|(level, row)| row.map(|r| (level, r)))
    }

    /// The same stack with this row at a level and nothing below.
    fn with(mut self, level: usize, row: Row) -> Self {
        for slot in self.rows.iter_mut().skip(level) {
            *slot = None;
        }
        if let Some(slot) = self.rows.get_mut(level) {
            *slot = Some(row);
            self.depth = level + 1;
        }
        self
    }
}

/// A candidate that is a clause number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Chosen {
    /// Index of the mark.
    pub(super) mark: usize,
    /// Level from 1.
    pub(super) level: usize,
    /// How the label was read.
    pub(super) value: Value,
}

#[derive(Clone, Copy)]
struct Step {
    back: u32,
    taken: Option<(u8, Value)>,
}

#[derive(Clone, Copy)]
struct State {
    stack: Stack,
    cost: u32,
    step: Step,
}

/// How the numbers of a text stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Shape {
    /// At the heads of lines: one within a line needs more to be believed.
    Lines,
    /// In running text.
    Running,
    /// In running text that starts with a number: items may lack their full stops.
    Listed,
}

/// The clause numbers among the marks.
pub(super) fn choose(marks: &[NumberMark], shape: Shape) -> Vec<Chosen> {
    let mut beam = vec![State {
        stack: Stack {
            rows: [None; DEPTH],
            depth: 0,
        },
        cost: 0,
        step: Step {
            back: 0,
            taken: None,
        },
    }];
    let mut steps: Vec<Vec<Step>> = Vec::with_capacity(marks.len());
    let mut next: Vec<State> = Vec::new();
    for mark in marks {
        next.clear();
        for (n, state) in beam.iter().enumerate() {
            expand(state, u32::try_from(n).unwrap_or(0), mark, shape, &mut next);
        }
        next.sort_by_key(|s| s.cost);
        beam.clear();
        for state in &next {
            if beam.len() == BEAM {
                break;
            }
            if !beam.iter().any(|kept: &State| kept.stack == state.stack) {
                beam.push(*state);
            }
        }
        steps.push(beam.iter().map(|s| s.step).collect());
    }
    let mut chosen = Vec::new();
    let mut at = 0u32;
    for (mark, row) in steps.iter().enumerate().rev() {
        let Some(step) = row.get(at as usize) else {
            break;
        };
        if let Some((level, value)) = step.taken {
            chosen.push(Chosen {
                mark,
                level: usize::from(level) + 1,
                value,
            });
        }
        at = step.back;
    }
    chosen.reverse();
    chosen
}

/// What the surroundings ask for taking the mark as a clause number, and for leaving it.
fn local(mark: &NumberMark, shape: Shape) -> (u32, u32) {
    let weak_style = match mark.style {
        Style::Bare => 8,
        Style::Table => 4,
        _ => 0,
    };
    if mark.chained || mark.titled {
        return (2, 10);
    }
    if mark.paragraph {
        let take = match mark.before {
            Before::Stop | Before::Pause => 0,
            Before::Weak => 4,
            Before::Words => 6,
        };
        return (take + weak_style, 32u32.saturating_sub(weak_style * 2));
    }
    if mark.head {
        let pair = mark.values.iter().flatten().any(|v| v.kind.has_parts());
        let (take, leave) = match mark.before {
            Before::Stop | Before::Pause => (2, 20),
            _ if mark.capital && (pair || mark.style == Style::Table) => (6, 8),
            // a run down the page needs no full stop before each of its numbers
            _ if mark.run && mark.capital => (6, 16),
            _ if mark.roomy => (8, 6),
            Before::Weak => (16, 2),
            Before::Words => (24, 0),
        };
        let lower = if mark.capital { 0 } else { 4 };
        return (take + lower + weak_style, leave);
    }
    let (take, leave) = match mark.before {
        Before::Stop | Before::Pause => (8, 16),
        Before::Weak => (20, 0),
        Before::Words if mark.capital && shape == Shape::Listed && mark.style != Style::Round => {
            (0, 0)
        }
        Before::Words if mark.capital => (20, 0),
        Before::Words => (40, 0),
    };
    let lower = if mark.capital { 0 } else { 14 };
    // A single letter or a number with a dot within a line ends a sentence more often.
    let dot = match mark.style {
        Style::Dot => 4,
        _ => 0,
    };
    let inside = if shape == Shape::Lines { 16 } else { 0 };
    (take + lower + dot + inside, leave)
}

/// What a mark may be where these rows are open: none, the next number of a row, or the first of one
/// below.
fn expand(state: &State, back: u32, mark: &NumberMark, shape: Shape, out: &mut Vec<State>) {
    let (take, leave) = local(mark, shape);
    let stack = &state.stack;
    let mut continues = false;
    let mut push = |stack: Stack, cost: u32, taken: Option<(usize, Value)>| {
        out.push(State {
            stack,
            cost: state.cost + cost,
            step: Step {
                back,
                taken: taken.map(|(level, value)| (u8::try_from(level).unwrap_or(u8::MAX), value)),
            },
        });
    };
    for value in mark.values.iter().flatten() {
        let row = Row {
            kind: value.kind,
            style: mark.style,
            place: value.place,
        };
        let mut known = false;
        for (level, open) in stack.rows().rev() {
            if open.kind != value.kind || !value.same_depth(open.place) {
                continue;
            }
            let other_style = if open.style == mark.style {
                0
            } else if mark.head && value.kind == Kind::Arabic && level == 0 {
                4
            } else {
                continue;
            };
            known |= other_style == 0;
            let next = value.steps_from(open.place) == Some(1);
            continues |= next && (mark.before != Before::Words || mark.capital);
            let cost = if next {
                let (more, less) = going_on(mark, level, shape);
                (take + other_style + more).saturating_sub(less)
            } else {
                take + leap(mark, value, level, open.place, other_style)
            };
            push(stack.with(level, row), cost, Some((level, *value)));
        }
        if let Some(cost) = below(stack, mark, row, value, known) {
            let level = stack.depth;
            push(stack.with(level, row), take + cost, Some((level, *value)));
        }
    }
    let leave = leave + if continues { 8 } else { 0 };
    out.push(State {
        stack: *stack,
        cost: state.cost + leave,
        step: Step { back, taken: None },
    });
}

/// The next number of a row: what it costs, and what it saves.
fn going_on(mark: &NumberMark, level: usize, shape: Shape) -> (u32, u32) {
    // Within a line and without a stop, a row that goes on is believed.
    let run =
        if !mark.head && mark.before == Before::Words && mark.capital && shape != Shape::Listed {
            6
        } else {
            0
        };
    // At the head of a line a number that goes on needs no full stop before it.
    let head = if mark.head && mark.before == Before::Words && mark.capital {
        18
    } else {
        0
    };
    // "… prohibited. 7. After": the next number of the letter behind a full stop
    let inside = if !mark.head
        && mark.before == Before::Stop
        && mark.capital
        && level == 0
        && shape == Shape::Lines
    {
        14
    } else {
        0
    };
    (run, head + inside)
}

/// What a number of a row costs that is not the next one: one that leaves some out, or starts the
/// row again.
fn leap(mark: &NumberMark, value: &Value, level: usize, last: u32, other_style: u32) -> u32 {
    match value.steps_from(last) {
        Some(gap) if mark.paragraph => other_style + 8 + gap.min(12),
        Some(gap) => other_style + 18 + 2 * gap.min(12),
        None if value.is_first() && level == 0 => {
            if mark.headed {
                3
            } else {
                14
            }
        }
        None => 22,
    }
}

/// What a row costs below the one that is open; none where there is no room for it, or it is the
/// same as that one. `known`: a row like it is open further up.
fn below(stack: &Stack, mark: &NumberMark, row: Row, value: &Value, known: bool) -> Option<u32> {
    let level = stack.depth;
    let within = stack.rows().next_back().is_some_and(|(_, r)| {
        r.kind == row.kind && r.style == row.style && value.same_depth(r.place)
    });
    if level >= DEPTH || within {
        return None;
    }
    let again = if known { 12 } else { 0 };
    Some(if value.is_first() {
        let led = if level == 0 || mark.led || mark.chained || mark.titled {
            0
        } else {
            4
        };
        led + again
    } else if level == 0 {
        // A letter that begins in the middle.
        let there = u32::from(!mark.paragraph && !mark.run) * 10;
        let letter = match (value.kind, mark.style) {
            (Kind::Arabic | Kind::Pair | Kind::Lettered, _) => 0,
            _ if mark.token == 0 && !mark.named => 0,
            (_, Style::Dot) => 32,
            _ => 12,
        };
        8 + there + letter
    } else {
        30 + again
    })
}
