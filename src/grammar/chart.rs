//! A bottom-up chart parser: every analysis of a row of tokens, packed by meaning.

use rustc_hash::FxHashMap;

use super::action::{Action, Given};
use super::value::{Mode, Value};
use crate::patterns::rules::{Argument, Categories, Category, MOST_ARGUMENTS, Made, Rules, Symbol};

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
    /// The rule of which it was made, complete, in its first analysis; see [`Chart::children`].
    complete: u32,
    /// The rule that made it.
    pub(crate) rule: Option<u16>,
    /// The next of the same category over the same words, with another meaning.
    next: u32,
}

impl Edge {
    fn new(span: (usize, usize), category: Category, value: Value) -> Self {
        Self {
            start: narrow(span.0),
            end: narrow(span.1),
            category,
            value,
            complete: NONE,
            rule: None,
            next: NONE,
        }
    }

    /// Whether it is a word or a phrase of a file of words, made of nothing.
    pub(crate) fn is_terminal(&self) -> bool {
        self.complete == NONE
    }
}

/// A rule of which the first part has been found.
#[derive(Clone, Copy, Debug)]
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
    /// The action, and whether it says nothing of who inspects, so that no force is lost in it.
    pub(crate) action: Option<(Action, bool)>,
}

/// All phrases of a sentence.
#[derive(Default)]
pub(crate) struct Chart {
    /// Every phrase.
    pub(crate) edges: Vec<Edge>,
    actives: Vec<Active>,
    /// The first phrase of a category over the same words, the last, and how many there are.
    index: FxHashMap<(u16, u16, Category), (u32, u32, usize)>,
    /// There were more phrases or meanings than are kept.
    pub(crate) overflow: bool,
}

impl Chart {
    /// The phrases of a category over these tokens.
    pub(crate) fn over(
        &self,
        start: usize,
        end: usize,
        category: Category,
    ) -> impl Iterator<Item = u32> + '_ {
        let key = (narrow(start), narrow(end), category);
        self.alike(self.index.get(&key).map_or(NONE, |(first, ..)| *first))
    }

    /// A phrase and those of its category over the same words that came after it.
    fn alike(&self, first: u32) -> impl Iterator<Item = u32> + '_ {
        let mut at = first;
        std::iter::from_fn(move || {
            let here = at;
            at = self.edges.get(here as usize)?.next;
            Some(here)
        })
    }

    /// The phrases that one is made of, first analysis, with the asides between them; none for
    /// words.
    pub(crate) fn children(&self, edge: &Edge) -> Vec<u32> {
        let mut children: Vec<u32> = self.behind(edge.complete).map(|a| a.took).collect();
        children.reverse();
        children
    }

    /// An active edge and those that it went on from, the last first.
    fn behind(&self, from: u32) -> impl Iterator<Item = &Active> {
        let mut at = from;
        std::iter::from_fn(move || {
            let active = self.actives.get(at as usize)?;
            at = active.before;
            Some(active)
        })
    }

    fn hold(&mut self, edge: Edge) -> Option<u32> {
        let key = (edge.start, edge.end, edge.category);
        let held = self.index.get(&key).copied();
        let same = |at: u32| self.edges[at as usize].value == edge.value;
        if held.is_some_and(|(first, ..)| self.alike(first).any(same)) {
            return None;
        }
        let (first, last, count) = held.unwrap_or((NONE, NONE, 0));
        if count >= MOST_MEANINGS || self.edges.len() >= MOST_EDGES {
            self.overflow = true;
            return None;
        }
        let id = u32::try_from(self.edges.len()).unwrap_or(NONE);
        if let Some(last) = self.edges.get_mut(last as usize) {
            last.next = id;
        }
        let first = if count == 0 { id } else { first };
        self.index.insert(key, (first, id, count + 1));
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
        words: words.words,
        begin: begin(rules, &words),
        chart: Chart::default(),
        places: vec![Place::default(); n + 1],
        behind: Vec::new(),
        parts: Vec::new(),
    };
    let mut begun: Vec<Vec<Todo>> = (0..n).map(|_| Vec::new()).collect();
    for end in 1..=n {
        for t in std::mem::take(&mut words.terminals[end]) {
            begun[usize::from(t.start)].push(Todo {
                category: t.category,
                value: t.value,
                complete: NONE,
                rule: None,
            });
        }
        for start in (0..end).rev() {
            parser.complete(start, end, &mut begun);
        }
        // Open words are made only where a rule waits for them.
        for (category, reach) in words.open {
            let above = rules.corners.above(*category);
            if above.is_some_and(|above| above.meets(&parser.places[end].wanted)) {
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

/// The categories whose phrases can begin at each place, by the words and phrases that stand there.
fn begin(rules: &Rules, words: &Words<'_>) -> Vec<Categories> {
    let mut begin = vec![Categories::default(); words.words.len() + 1];
    for (place, word) in words.words.iter().enumerate() {
        let by_word = rules.corners.above_word(*word);
        let open = words
            .open
            .iter()
            .filter(|(_, reach)| usize::from(reach[place]) > place);
        let by_open = open.filter_map(|(category, _)| rules.corners.above(*category));
        for above in by_word.into_iter().chain(by_open) {
            begin[place].add_above(above);
        }
    }
    for terminal in words.terminals.iter().flatten() {
        if let Some(above) = rules.corners.above(terminal.category) {
            begin[usize::from(terminal.start)].add_above(above);
        }
    }
    begin
}

struct Todo {
    category: Category,
    value: Value,
    complete: u32,
    rule: Option<u16>,
}

/// The active edges that end at a place.
#[derive(Clone, Debug, Default)]
struct Place {
    /// By what they wait for: the first and the last of a chain in [`Parser::behind`].
    waiting: FxHashMap<Symbol, (u32, u32)>,
    /// The categories among what they wait for.
    wanted: Categories,
    /// Those behind which an aside may stand.
    interruptible: Vec<u32>,
}

struct Parser<'r> {
    rules: &'r Rules,
    meanings: &'r [Meaning],
    words: &'r [u32],
    /// The categories whose phrases can begin at each place: no rule waits for others there.
    begin: Vec<Categories>,
    chart: Chart,
    places: Vec<Place>,
    /// Active edges in chains, each with the next of its chain.
    behind: Vec<(u32, u32)>,
    /// The parts of the rule at hand, without asides.
    parts: Vec<u32>,
}

impl Parser<'_> {
    /// Everything over `start..end`, in an agenda.
    fn complete(&mut self, start: usize, end: usize, begun: &mut [Vec<Todo>]) {
        if end == start + 1 && self.words[start] != 0 {
            // The word itself.
            let edge = Edge::new((start, end), Category::MAX, Value::Unit);
            if let Some(id) = self.chart.hold(edge) {
                self.advance(Symbol::word(self.words[start]), start, end, id, begun);
            }
        }
        while let Some(todo) = begun[start].pop() {
            let category = todo.category;
            let edge = Edge {
                complete: todo.complete,
                rule: todo.rule,
                ..Edge::new((start, end), category, todo.value)
            };
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
        for n in 0..self.places[start].interruptible.len() {
            let before = self.places[start].interruptible[n];
            let active = Active {
                before,
                took,
                aside: true,
                interrupted: true,
                ..self.chart.actives[before as usize]
            };
            if self.goes_on(active.node, end) && self.hold_active(active, end).is_none() {
                return;
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
            let first = Active {
                node,
                start: narrow(start),
                before: NONE,
                took,
                aside: false,
                interrupted: false,
            };
            self.enter(first, end, begun);
        }
        // those that come to wait meanwhile wait at `end`
        let waiting = self.places[start].waiting.get(&symbol);
        let mut at = waiting.map_or(NONE, |(first, _)| *first);
        while let Some(&(before, next)) = self.behind.get(at as usize) {
            let active = self.chart.actives[before as usize];
            for &node in self.rules.steps(active.node, symbol) {
                let longer = Active {
                    node,
                    start: active.start,
                    before,
                    took,
                    aside: false,
                    interrupted: active.interrupted,
                };
                self.enter(longer, end, begun);
            }
            at = next;
        }
    }

    fn enter(&mut self, active: Active, end: usize, begun: &mut [Vec<Todo>]) {
        let made = self.rules.made(active.node);
        if made.is_empty() && !self.goes_on(active.node, end) {
            return;
        }
        let Some(id) = self.hold_active(active, end) else {
            return;
        };
        if made.is_empty() {
            return;
        }
        let mut parts = std::mem::take(&mut self.parts);
        parts.clear();
        let chain = self.chart.behind(id).filter(|a| !a.aside);
        parts.extend(chain.map(|a| a.took));
        parts.reverse();
        for &made in made {
            if active.interrupted && !self.rules.may_be_interrupted(made.category) {
                continue;
            }
            if let Some(value) = self.meaning(made, &parts) {
                begun[usize::from(active.start)].push(Todo {
                    category: made.category,
                    value,
                    complete: id,
                    rule: Some(made.rule),
                });
            }
        }
        self.parts = parts;
    }

    /// What a phrase of these parts means.
    fn meaning(&self, made: Made, parts: &[u32]) -> Option<Value> {
        let (action, idle) = self.meanings[made.action as usize].action?;
        let arguments = self.rules.arguments(made);
        if !idle && self.loses_force(arguments, parts) {
            return None;
        }
        let mut given = [Given::Nothing; MOST_ARGUMENTS];
        for (given, argument) in given.iter_mut().zip(arguments) {
            *given = match *argument {
                Argument::Name(n) => Given::Name(&self.meanings[n as usize].name),
                Argument::Nothing => Given::Nothing,
                Argument::Place(n) => {
                    let part = parts[n as usize];
                    Given::Value(&self.chart.edges[part as usize].value)
                }
            };
        }
        action(&given[..arguments.len().min(MOST_ARGUMENTS)])
    }

    /// Whether a rule has no use for a modal that says more than its meaning does: one that forbids,
    /// denies a need, advises or limits, and one that permits where the rule obliges.
    fn loses_force(&self, arguments: &[Argument], parts: &[u32]) -> bool {
        let named = |word: &str| {
            let is = |a: &Argument| match *a {
                Argument::Name(n) => self.meanings[n as usize].name == word,
                _ => false,
            };
            arguments.iter().any(is)
        };
        let taken = |n: usize| {
            let is = |a: &Argument| matches!(*a, Argument::Place(at) if usize::from(at) == n);
            arguments.iter().any(is)
        };
        parts.iter().enumerate().any(|(n, &part)| {
            let Value::Force(force) = &self.chart.edges[part as usize].value else {
                return false;
            };
            let plain = match force.mode {
                Mode::Must => !force.only && !force.also,
                Mode::May => !force.only && !force.also && (!named("must") || named("only")),
                _ => false,
            };
            !plain && !taken(n)
        })
    }

    /// Whether what stands at a place can be what a rule goes on with, or an aside before that.
    fn goes_on(&self, node: u32, at: usize) -> bool {
        self.may_be_interrupted(node, at)
            || self
                .rules
                .next(node)
                .iter()
                .any(|&symbol| self.can_begin(symbol, at))
    }

    fn may_be_interrupted(&self, node: u32, at: usize) -> bool {
        let aside = self
            .rules
            .aside
            .is_some_and(|aside| self.begin[at].has(aside));
        aside && self.rules.may_go_on_behind_aside(node)
    }

    /// Whether a word or a phrase can begin at a place.
    fn can_begin(&self, symbol: Symbol, at: usize) -> bool {
        match symbol.as_category() {
            Some(category) => self.begin[at].has(category),
            None => symbol.as_word() == self.words.get(at).copied(),
        }
    }

    /// Keeps an active edge, to wait for what can stand at `end`; `None` where there are too many.
    fn hold_active(&mut self, active: Active, end: usize) -> Option<u32> {
        if self.chart.actives.len() >= MOST_EDGES * 4 {
            self.chart.overflow = true;
            return None;
        }
        let id = u32::try_from(self.chart.actives.len()).unwrap_or(NONE);
        self.chart.actives.push(active);
        if self.may_be_interrupted(active.node, end) {
            self.places[end].interruptible.push(id);
        }
        for &symbol in self.rules.next(active.node) {
            if self.can_begin(symbol, end) {
                self.wait(symbol, end, id);
            }
        }
        Some(id)
    }

    fn wait(&mut self, symbol: Symbol, at: usize, id: u32) {
        let new = u32::try_from(self.behind.len()).unwrap_or(NONE);
        self.behind.push((id, NONE));
        let place = &mut self.places[at];
        if let Some(category) = symbol.as_category() {
            place.wanted.add(category);
        }
        let chain = place.waiting.entry(symbol).or_insert((new, new));
        if chain.1 != new {
            self.behind[chain.1 as usize].1 = new;
            chain.1 = new;
        }
    }
}
