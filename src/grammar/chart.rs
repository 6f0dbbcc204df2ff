//! A bottom-up chart parser: every analysis of a row of tokens, packed by meaning.

use rustc_hash::FxHashMap;

use super::action::{Action, Given};
use super::value::Value;
use crate::patterns::rules::{Argument, Category, Rules, Symbol};

/// Meanings that are kept for one category over the same words; more is a doubt of its own.
const MOST_MEANINGS: usize = 12;
/// The most edges of a sentence; one that needs more is not understood.
const MOST_EDGES: usize = 60_000;

/// A phrase over a row of tokens.
#[derive(Clone, Debug)]
pub(crate) struct Edge {
    /// The first token.
    pub(crate) start: u16,
    /// One past the last.
    pub(crate) end: u16,
    /// What it is.
    pub(crate) category: Category,
    /// What it means.
    pub(crate) value: Value,
    /// The phrases that it is made of, first analysis, with the asides between them; empty for
    /// words.
    pub(crate) children: Vec<u32>,
    /// The rule that made it.
    pub(crate) rule: Option<u32>,
}

/// A rule of which the first part has been found.
#[derive(Clone, Copy)]
struct Active {
    node: u32,
    start: u16,
    /// The active edge that it goes on from, and the phrase that it took.
    before: u32,
    took: u32,
    /// What it took last is an aside, which is no part of the rule.
    aside: bool,
    /// It took an aside somewhere.
    interrupted: bool,
}

const NONE: u32 = u32::MAX;

/// A word or a phrase of a file of words, as the parser takes it.
#[derive(Clone, Debug)]
pub(crate) struct Terminal {
    /// The first token.
    pub(crate) start: u16,
    /// The category.
    pub(crate) category: Category,
    /// The meaning.
    pub(crate) value: Value,
}

/// What a sentence is made of.
pub(crate) struct Words<'a> {
    /// The word of each token; 0 where no pattern knows it.
    pub(crate) words: &'a [u32],
    /// Phrases by the token after their last.
    pub(crate) terminals: Vec<Vec<Terminal>>,
    /// Categories that stand for open words, with how far they can reach from each token.
    pub(crate) open: &'a [(Category, Vec<u16>)],
}

/// A name that rules use behind «=», with the action that it may be.
#[derive(Clone, Debug)]
pub(crate) struct Meaning {
    pub(crate) name: String,
    pub(crate) action: Option<Action>,
}

/// All phrases of a sentence.
#[derive(Default)]
pub(crate) struct Chart {
    /// Every phrase.
    pub(crate) edges: Vec<Edge>,
    index: FxHashMap<(u16, u16, Category), Vec<u32>>,
    /// There were more phrases or meanings than are kept.
    pub(crate) overflow: bool,
}

impl Chart {
    /// The phrases of a category over these tokens.
    pub(crate) fn over(&self, start: usize, end: usize, category: Category) -> &[u32] {
        let key = (narrow(start), narrow(end), category);
        self.index.get(&key).map_or(&[], Vec::as_slice)
    }

    fn hold(&mut self, edge: Edge) -> Option<u32> {
        let key = (edge.start, edge.end, edge.category);
        let held = self.index.entry(key).or_default();
        if held
            .iter()
            .any(|&e| self.edges[e as usize].value == edge.value)
        {
            return None;
        }
        if held.len() >= MOST_MEANINGS || self.edges.len() >= MOST_EDGES {
            self.overflow = true;
            return None;
        }
        let id = u32::try_from(self.edges.len()).unwrap_or(NONE);
        held.push(id);
        self.edges.push(edge);
        Some(id)
    }
}

fn narrow(n: usize) -> u16 {
    u16::try_from(n).unwrap_or(u16::MAX)
}

/// Parses a sentence.
pub(crate) fn parse(rules: &Rules, meanings: &[Meaning], mut words: Words<'_>) -> Chart {
    let n = words.words.len();
    let mut parser = Parser {
        rules,
        meanings,
        chart: Chart::default(),
        actives: Vec::new(),
        waiting: vec![FxHashMap::default(); n + 1],
    };
    for end in 1..=n {
        let mut begun: Vec<Vec<Todo>> = (0..end).map(|_| Vec::new()).collect();
        for t in std::mem::take(&mut words.terminals[end]) {
            begun[t.start as usize].push(Todo {
                category: t.category,
                value: t.value,
                children: Vec::new(),
                rule: None,
            });
        }
        for start in (0..end).rev() {
            parser.complete(start, end, &mut begun, words.words);
        }
        // Open words are made only where a rule waits for them.
        for (category, reach) in words.open {
            let waits = rules.begins_with(*category);
            if waits
                .iter()
                .any(|c| parser.waiting[end].contains_key(&Symbol::category(*c)))
            {
                for to in end + 1..=usize::from(reach[end]) {
                    words.terminals[to].push(Terminal {
                        start: narrow(end),
                        category: *category,
                        value: Value::Unit,
                    });
                }
            }
        }
        if parser.chart.overflow && parser.chart.edges.len() >= MOST_EDGES {
            break;
        }
    }
    parser.chart
}

struct Todo {
    category: Category,
    value: Value,
    children: Vec<u32>,
    rule: Option<u32>,
}

struct Parser<'r> {
    rules: &'r Rules,
    meanings: &'r [Meaning],
    chart: Chart,
    actives: Vec<Active>,
    /// Active edges by the token after them and by what they wait for.
    waiting: Vec<FxHashMap<Symbol, Vec<u32>>>,
}

impl Parser<'_> {
    /// Everything over `start..end`, in an agenda.
    fn complete(&mut self, start: usize, end: usize, begun: &mut [Vec<Todo>], words: &[u32]) {
        if end == start + 1 && words[start] != 0 {
            // The word itself.
            let edge = Edge {
                start: narrow(start),
                end: narrow(end),
                category: Category::MAX,
                value: Value::Unit,
                children: Vec::new(),
                rule: None,
            };
            if let Some(id) = self.chart.hold(edge) {
                self.advance(Symbol::word(words[start]), start, end, id, begun);
            }
        }
        while let Some(todo) = begun[start].pop() {
            let edge = Edge {
                start: narrow(start),
                end: narrow(end),
                category: todo.category,
                value: todo.value,
                children: todo.children,
                rule: todo.rule,
            };
            let category = edge.category;
            if let Some(id) = self.chart.hold(edge) {
                self.advance(Symbol::category(category), start, end, id, begun);
                if Some(category) == self.rules.aside {
                    self.interrupt(start, end, id);
                }
            }
        }
    }

    /// An aside stands between two parts of a rule that allows it: "may, under these limitations,
    /// be performed".
    fn interrupt(&mut self, start: usize, end: usize, took: u32) {
        let mut waiting: Vec<u32> = self.waiting[start]
            .values()
            .flatten()
            .copied()
            .filter(|&id| {
                self.rules
                    .may_go_on_behind_aside(self.actives[id as usize].node)
            })
            .collect();
        waiting.sort_unstable();
        waiting.dedup();
        for before in waiting {
            if self.actives.len() >= MOST_EDGES * 4 {
                self.chart.overflow = true;
                return;
            }
            let active = self.actives[before as usize];
            let id = u32::try_from(self.actives.len()).unwrap_or(NONE);
            self.actives.push(Active {
                before,
                took,
                aside: true,
                interrupted: true,
                ..active
            });
            for &symbol in self.rules.next(active.node) {
                self.waiting[end].entry(symbol).or_default().push(id);
            }
        }
    }

    /// Every rule that a new phrase begins or goes on.
    fn advance(
        &mut self,
        symbol: Symbol,
        start: usize,
        end: usize,
        took: u32,
        begun: &mut [Vec<Todo>],
    ) {
        for &node in self.rules.steps(0, symbol) {
            self.enter(
                Active {
                    node,
                    start: narrow(start),
                    before: NONE,
                    took,
                    aside: false,
                    interrupted: false,
                },
                end,
                begun,
            );
        }
        let waiting = self.waiting[start]
            .get(&symbol)
            .cloned()
            .unwrap_or_default();
        for before in waiting {
            let active = self.actives[before as usize];
            for &node in self.rules.steps(active.node, symbol) {
                self.enter(
                    Active {
                        node,
                        start: active.start,
                        before,
                        took,
                        aside: false,
                        interrupted: active.interrupted,
                    },
                    end,
                    begun,
                );
            }
        }
    }

    fn enter(&mut self, active: Active, end: usize, begun: &mut [Vec<Todo>]) {
        if self.actives.len() >= MOST_EDGES * 4 {
            self.chart.overflow = true;
            return;
        }
        let id = u32::try_from(self.actives.len()).unwrap_or(NONE);
        self.actives.push(active);
        for &symbol in self.rules.next(active.node) {
            self.waiting[end].entry(symbol).or_default().push(id);
        }
        let made = self.rules.made(active.node);
        if made.is_empty() {
            return;
        }
        let mut all = vec![active.took];
        let mut parts = vec![active.took];
        let mut at = active.before;
        while at != NONE {
            let before = self.actives[at as usize];
            all.push(before.took);
            if !before.aside {
                parts.push(before.took);
            }
            at = before.before;
        }
        all.reverse();
        parts.reverse();
        for &made in made {
            if active.interrupted && !self.rules.may_be_interrupted(made.category) {
                continue;
            }
            let arguments: Vec<Given<'_>> = self
                .rules
                .arguments(made)
                .iter()
                .map(|a| match *a {
                    Argument::Name(n) => Given::Name(&self.meanings[n as usize].name),
                    Argument::Nothing => Given::Nothing,
                    Argument::Place(n) => {
                        let part = parts[n as usize];
                        Given::Value(&self.chart.edges[part as usize].value)
                    }
                })
                .collect();
            let action = self.meanings[made.action as usize].action;
            if let Some(value) = action.and_then(|action| action(&arguments)) {
                begun[active.start as usize].push(Todo {
                    category: made.category,
                    value,
                    children: all.clone(),
                    rule: Some(made.rule),
                });
            }
        }
    }
}
