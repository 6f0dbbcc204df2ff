//! The rules of the grammar, compiled: right sides that begin alike share their beginning, and what
//! follows a choice stands there once.
//!
//! A rule is a line of a file in `patterns/grammar/`:
//!
//! ```text
//! STATEMENT : SUBJECT MODAL ACT = state $2 $1 $3
//! ```
//!
//! Left of the colon the category that it makes, right of it what it is made of: categories in
//! capitals, words as they are, `?` behind what may be left out, `/` between choices. Behind `=`
//! the meaning: the name of an action (`action`) with its arguments, where `$2` is what stands at
//! the second place, and a word is a name. Without `=` the meaning is that of the first place.

use rustc_hash::FxHashMap;

use super::action::{self, Action};
use crate::patterns::Lexicon;
use crate::patterns::grammar::{rule_choices, rule_optional};

/// A category: the name of a kind of phrase.
pub(crate) type Category = u16;

/// A place on the right side of a rule.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(crate) enum Symbol {
    /// A phrase of this category.
    Category(Category),
    /// This word.
    Word(u32),
}

/// An argument of the meaning.
#[derive(Clone, Debug)]
pub(crate) enum Argument {
    /// What stands at this place of the rule; `None` where it was left out.
    Place(Option<usize>),
    /// A name.
    Name(String),
}

/// What is made where a right side is complete.
#[derive(Clone, Debug)]
pub(crate) struct Made {
    /// The category.
    pub(crate) category: Category,
    /// Its meaning.
    pub(crate) action: Action,
    /// What the meaning is made of; places count the children that are there.
    pub(crate) arguments: Vec<Argument>,
    /// Number of the rule, for the tree.
    pub(crate) rule: u32,
}

/// What can follow a node, and where it leads.
#[derive(Clone, Debug)]
pub(crate) struct Step {
    /// What follows.
    pub(crate) symbol: Symbol,
    /// The node behind it.
    to: u32,
    /// Further nodes: choices of several rules begin here that hold the symbol.
    more: Vec<u32>,
}

impl Step {
    fn all(&self) -> impl Iterator<Item = u32> + '_ {
        std::iter::once(self.to).chain(self.more.iter().copied())
    }
}

/// The first part of right sides that begin alike.
#[derive(Clone, Debug, Default)]
pub(crate) struct Node {
    /// What can follow, each symbol once.
    pub(crate) next: Vec<Step>,
    /// What is complete here.
    pub(crate) made: Vec<Made>,
    /// A rule that goes on from here may hold an aside.
    pub(crate) interruptible: bool,
}

/// All rules.
#[derive(Clone, Debug, Default)]
pub(crate) struct Rules {
    names: Vec<String>,
    numbers: FxHashMap<String, Category>,
    nodes: Vec<Node>,
    /// The place of a step among those of its node.
    edges: FxHashMap<(u32, Symbol), u32>,
    /// The symbols that places of right sides stand for: "may/can".
    choices: Vec<Vec<Symbol>>,
    /// Their number, by the words of the place.
    places: FxHashMap<String, u32>,
    /// The node behind a node and a choice.
    behind: FxHashMap<(u32, u32), u32>,
    /// For each category, the categories that can begin with it, itself among them.
    begins: FxHashMap<Category, Vec<Category>>,
    /// The file of each rule.
    pub(crate) files: Vec<usize>,
    /// The category of asides.
    pub(crate) aside: Option<Category>,
    /// Categories that an aside may stand in, between any two of their parts.
    interruptible: Vec<Category>,
}

impl Rules {
    /// No rules yet.
    pub(crate) fn new() -> Self {
        Self {
            nodes: vec![Node::default()],
            ..Self::default()
        }
    }

    /// The number of a category, which is added where it is new.
    pub(crate) fn category(&mut self, name: &str) -> Category {
        if let Some(&number) = self.numbers.get(name) {
            return number;
        }
        let number = Category::try_from(self.names.len()).unwrap_or(Category::MAX);
        self.names.push(name.to_owned());
        self.numbers.insert(name.to_owned(), number);
        number
    }

    /// The number of a category that rules or words make.
    pub(crate) fn known(&self, name: &str) -> Option<Category> {
        self.numbers.get(name).copied()
    }

    /// The name of a category.
    pub(crate) fn name(&self, category: Category) -> &str {
        self.names.get(category as usize).map_or("", String::as_str)
    }

    /// The categories that can begin with this one, itself among them; of categories that were
    /// named to [`Rules::close`].
    pub(crate) fn begins_with(&self, category: Category) -> &[Category] {
        self.begins.get(&category).map_or(&[], Vec::as_slice)
    }

    /// Works out which categories can begin with `category`, when all rules are there.
    pub(crate) fn close(&mut self, category: Category) {
        let mut all = vec![category];
        let mut at = 0;
        while at < all.len() {
            // every rule whose right side begins with it
            let mut todo: Vec<u32> = self.steps(0, Symbol::Category(all[at])).collect();
            while let Some(node) = todo.pop() {
                for made in &self.nodes[node as usize].made {
                    if !all.contains(&made.category) {
                        all.push(made.category);
                    }
                }
                todo.extend(self.nodes[node as usize].next.iter().flat_map(Step::all));
            }
            at += 1;
        }
        self.begins.insert(category, all);
    }

    /// Lets the phrases of category `aside` stand between any two parts of the phrases `within`,
    /// when all rules are there.
    pub(crate) fn interrupt(&mut self, aside: Category, within: Vec<Category>) {
        self.aside = Some(aside);
        self.interruptible = within;
        // Nodes come after those that lead to them.
        for at in (0..self.nodes.len()).rev() {
            let node = &self.nodes[at];
            let leads = node.next.iter().flat_map(Step::all).any(|to| {
                let to = &self.nodes[to as usize];
                to.interruptible || to.made.iter().any(|m| self.may_be_interrupted(m.category))
            });
            self.nodes[at].interruptible = leads;
        }
    }

    /// Whether an aside may stand between two parts of a phrase of this category.
    pub(crate) fn may_be_interrupted(&self, category: Category) -> bool {
        self.interruptible.contains(&category)
    }

    /// Where a symbol leads from a node.
    pub(crate) fn steps(&self, node: u32, symbol: Symbol) -> impl Iterator<Item = u32> + '_ {
        let place = self.edges.get(&(node, symbol));
        place
            .and_then(|&at| self.nodes[node as usize].next.get(at as usize))
            .into_iter()
            .flat_map(Step::all)
    }

    /// A node.
    pub(crate) fn node(&self, node: u32) -> &Node {
        &self.nodes[node as usize]
    }

    /// Adds a rule of file `file`.
    ///
    /// # Errors
    /// A sentence that says what is wrong with it.
    pub(crate) fn add(&mut self, line: &str, file: usize, lexicon: &Lexicon) -> Result<(), String> {
        let (left, rest) = line
            .split_once(" : ")
            .ok_or_else(|| format!("«{line}» has no « : » behind its category"))?;
        let (right, meaning) = rest.split_once(" = ").unwrap_or((rest, "same $1"));
        let mut words = meaning.split_whitespace();
        let name = words.next().unwrap_or_default();
        let action = action::named(name)
            .ok_or_else(|| format!("«{line}»: «{name}» is no action; see src/grammar/action.rs"))?;
        let arguments: Vec<&str> = words.collect();
        let places: Vec<&str> = right.split_whitespace().collect();
        let rule = u32::try_from(self.files.len()).unwrap_or(u32::MAX);
        self.files.push(file);
        let category = self.category(left.trim());
        let arguments: Vec<Wanted> = arguments
            .iter()
            .map(|a| wanted(a, &places))
            .collect::<Result<_, String>>()
            .map_err(|e| format!("«{line}»: {e}"))?;
        // The nodes so far, each with the places that are there, as bits.
        let mut ways: Vec<(u32, u64)> = vec![(0, 0)];
        for (n, place) in places.iter().enumerate() {
            let bare = rule_optional(place);
            let choice = self
                .choice(bare.unwrap_or(place), lexicon)
                .map_err(|e| format!("«{line}»: {e}"))?;
            let there = 1u64
                .checked_shl(narrow(n))
                .ok_or_else(|| format!("«{line}» has more than 64 places"))?;
            for at in 0..ways.len() {
                let (node, has) = ways[at];
                let longer = (self.follow(node, choice), has | there);
                if bare.is_some() {
                    ways.push(longer);
                } else {
                    ways[at] = longer;
                }
            }
        }
        for (node, has) in ways.into_iter().filter(|(_, has)| *has != 0) {
            let arguments = arguments.iter().map(|a| a.among(has)).collect();
            self.nodes[node as usize].made.push(Made {
                category,
                action,
                arguments,
                rule,
            });
        }
        Ok(())
    }

    /// The number of the choice that a place of a right side stands for.
    fn choice(&mut self, place: &str, lexicon: &Lexicon) -> Result<u32, String> {
        if let Some(&known) = self.places.get(place) {
            return Ok(known);
        }
        let mut symbols = Vec::new();
        for name in rule_choices(place) {
            let symbol = if name.starts_with(|c: char| c.is_ascii_uppercase()) {
                Symbol::Category(self.category(name))
            } else {
                match lexicon.number(name) {
                    0 => return Err(format!("the word «{name}» stands in no file of words")),
                    word => Symbol::Word(word),
                }
            };
            if !symbols.contains(&symbol) {
                symbols.push(symbol);
            }
        }
        let number = narrow(self.choices.len());
        self.choices.push(symbols);
        self.places.insert(place.to_owned(), number);
        Ok(number)
    }

    /// The node behind a node and a choice, made where it is not there.
    fn follow(&mut self, node: u32, choice: u32) -> u32 {
        if let Some(&to) = self.behind.get(&(node, choice)) {
            return to;
        }
        let to = narrow(self.nodes.len());
        self.nodes.push(Node::default());
        self.behind.insert((node, choice), to);
        for &symbol in &self.choices[choice as usize] {
            let next = &mut self.nodes[node as usize].next;
            let at = *self
                .edges
                .entry((node, symbol))
                .or_insert_with(|| narrow(next.len()));
            match next.get_mut(at as usize) {
                Some(step) => step.more.push(to),
                None => next.push(Step {
                    symbol,
                    to,
                    more: Vec::new(),
                }),
            }
        }
        to
    }
}

/// An argument of a rule before it is known which of its places are there.
enum Wanted {
    /// The place, from 0.
    Place(usize),
    Name(String),
}

impl Wanted {
    /// The argument where the places of these bits are there.
    fn among(&self, has: u64) -> Argument {
        match self {
            Self::Name(name) => Argument::Name(name.clone()),
            Self::Place(n) => {
                let bit = 1u64 << n;
                let before = (has & (bit - 1)).count_ones() as usize;
                Argument::Place((has & bit != 0).then_some(before))
            }
        }
    }
}

/// Reads an argument: `$2`, `$PLIST` or a name.
fn wanted(argument: &str, places: &[&str]) -> Result<Wanted, String> {
    let Some(n) = argument.strip_prefix('$') else {
        return Ok(Wanted::Name(argument.to_owned()));
    };
    let place = match n.parse::<usize>() {
        Ok(n) => n,
        Err(_) => {
            named_place(places, n).ok_or_else(|| format!("«{argument}» is no place, or two"))?
        }
    };
    if place == 0 || place > places.len() {
        return Err(format!("there is no place {place}"));
    }
    Ok(Wanted::Place(place - 1))
}

fn narrow(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}

/// The place, from 1, of the category `name`, which stands there once.
fn named_place(places: &[&str], name: &str) -> Option<usize> {
    let mut found = places
        .iter()
        .enumerate()
        .filter(|(_, p)| rule_optional(p).unwrap_or(p) == name)
        .map(|(n, _)| n + 1);
    let first = found.next()?;
    found.next().is_none().then_some(first)
}
