//! The rules of the grammar, compiled: a trie over right sides, so that rules that begin alike
//! are followed once.
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

/// A node of the trie.
#[derive(Clone, Debug, Default)]
pub(crate) struct Node {
    /// What can follow.
    pub(crate) next: Vec<(Symbol, u32)>,
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
    edges: FxHashMap<(u32, Symbol), u32>,
    /// The symbol of each name on a right side that was met.
    symbols: FxHashMap<String, Symbol>,
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
            if let Some(node) = self.step(0, Symbol::Category(all[at])) {
                // every rule whose right side begins with it
                let mut todo = vec![node];
                while let Some(node) = todo.pop() {
                    for made in &self.nodes[node as usize].made {
                        if !all.contains(&made.category) {
                            all.push(made.category);
                        }
                    }
                    todo.extend(self.nodes[node as usize].next.iter().map(|(_, to)| *to));
                }
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
            let leads = node.next.iter().any(|&(_, to)| {
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
    pub(crate) fn step(&self, node: u32, symbol: Symbol) -> Option<u32> {
        self.edges.get(&(node, symbol)).copied()
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
        for form in forms(&places) {
            let mut node = 0;
            for &(_, choice) in &form {
                node = self
                    .follow(node, choice, lexicon)
                    .map_err(|e| format!("«{line}»: {e}"))?;
            }
            let arguments = arguments
                .iter()
                .map(|a| match a.strip_prefix('$') {
                    None => Ok(Argument::Name((*a).to_owned())),
                    Some(n) => {
                        let n: usize = match n.parse() {
                            Ok(n) => n,
                            Err(_) => named_place(&places, n)
                                .ok_or_else(|| format!("«{line}»: «{a}» is no place, or two"))?,
                        };
                        if n == 0 || n > places.len() {
                            return Err(format!("«{line}»: there is no place {n}"));
                        }
                        Ok(Argument::Place(form.iter().position(|(p, _)| p + 1 == n)))
                    }
                })
                .collect::<Result<_, String>>()?;
            self.nodes[node as usize].made.push(Made {
                category,
                action,
                arguments,
                rule,
            });
        }
        Ok(())
    }

    fn follow(&mut self, node: u32, name: &str, lexicon: &Lexicon) -> Result<u32, String> {
        let symbol = if let Some(&symbol) = self.symbols.get(name) {
            symbol
        } else {
            let is_category = name.starts_with(|c: char| c.is_ascii_uppercase());
            let symbol = if is_category {
                Symbol::Category(self.category(name))
            } else {
                match lexicon.number(name) {
                    0 => return Err(format!("the word «{name}» stands in no file of words")),
                    word => Symbol::Word(word),
                }
            };
            self.symbols.insert(name.to_owned(), symbol);
            symbol
        };
        if let Some(to) = self.step(node, symbol) {
            return Ok(to);
        }
        let to = u32::try_from(self.nodes.len()).unwrap_or(u32::MAX);
        self.nodes.push(Node::default());
        self.nodes[node as usize].next.push((symbol, to));
        self.edges.insert((node, symbol), to);
        Ok(to)
    }
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

/// Every row of symbols that a right side stands for, each symbol with its place.
fn forms<'a>(places: &[&'a str]) -> Vec<Vec<(usize, &'a str)>> {
    let mut forms: Vec<Vec<(usize, &str)>> = vec![Vec::new()];
    for (n, place) in places.iter().enumerate() {
        let bare = rule_optional(place);
        let mut next = Vec::new();
        for form in &forms {
            if bare.is_some() {
                next.push(form.clone());
            }
            for choice in rule_choices(bare.unwrap_or(place)) {
                let mut longer = form.clone();
                longer.push((n, choice));
                next.push(longer);
            }
        }
        forms = next;
    }
    forms.retain(|form| !form.is_empty());
    forms
}
