//! The words and rules of the grammar, compiled. The build compiles those of the program
//! (`src/build.rs`), the program only what a folder lays over them.
//!
//! Of the rules, right sides that begin alike share their beginning, and what
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

use serde::{Deserialize, Serialize};
use zerocopy::{FromBytes, Immutable, IntoBytes};

use super::phrase::Lexicon;
use super::tables::{Table, small, stored};

mod automaton;
mod compile;
mod corners;
mod rows;
mod symbol;
mod words;

use corners::Corners;
use rows::Rows;

pub(crate) use automaton::Automaton;
pub(crate) use corners::Categories;
pub(crate) use symbol::{Category, Symbol};
pub use words::WordClass;
pub(crate) use words::{Words, mark};

/// Words and rules.
#[derive(Clone, Debug, Default)]
pub(crate) struct Compiled {
    /// Words that phrases and rules name.
    pub(crate) lexicon: Lexicon,
    /// Phrases with their classes.
    pub(crate) words: Words,
    /// Rules.
    pub(crate) rules: Rules,
}

stored!(Compiled {
    lexicon,
    words,
    rules,
});

/// What cannot be compiled.
#[derive(Clone, Debug)]
pub(crate) enum Refusal {
    /// A file of words, by its place, and what is wrong with it.
    Words(usize, String),
    /// A file of rules, by its place, and what is wrong with it.
    Rules(usize, String),
}

/// The rules of a file, and the categories between whose parts it lets asides stand.
pub(crate) type RulesOfFile<'f> = (&'f [String], &'f [String]);

impl Compiled {
    /// Compiles the classes of words of each file, and the rules of each file.
    ///
    /// # Errors
    /// [`Refusal`] where a phrase or a rule breaks the form.
    pub(crate) fn new<'f>(
        words: impl Iterator<Item = &'f [WordClass]>,
        rules: impl Iterator<Item = RulesOfFile<'f>>,
    ) -> Result<Self, Refusal> {
        let mut lexicon = Lexicon::default();
        let mut compiler = compile::RuleCompiler::default();
        let words = Words::compile(words, &mut lexicon, &mut compiler)
            .map_err(|(file, message)| Refusal::Words(file, message))?;
        let mut within = Vec::new();
        let mut last = 0;
        for (n, (lines, asides_in)) in rules.enumerate() {
            last = n;
            for line in lines {
                for word in compile::rule_words(line) {
                    lexicon.add(word);
                }
                compiler
                    .add(line, n, &lexicon)
                    .map_err(|message| Refusal::Rules(n, message))?;
            }
            within.extend(asides_in.iter().map(|name| compiler.category(name)));
        }
        Ok(Self {
            lexicon,
            words,
            rules: compiler
                .finish(within)
                .map_err(|message| Refusal::Rules(last, message))?,
        })
    }
}

/// The most arguments that an action is given.
pub(crate) const MOST_ARGUMENTS: usize = 8;

/// An argument of the meaning.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub(crate) enum Argument {
    /// What stands at this place of the rule, from 0.
    Place(u8),
    /// The place was left out.
    Nothing,
    /// A name; see [`Rules::words`].
    Name(u16),
}

/// What is made where a right side is complete.
#[derive(Clone, Copy, Debug, FromBytes, Immutable, IntoBytes)]
#[repr(C)]
pub(crate) struct Made {
    /// The category.
    pub(crate) category: Category,
    /// The name of the action that makes its meaning; see [`Rules::words`].
    pub(crate) action: u16,
    /// Number of the rule, for the tree.
    pub(crate) rule: u16,
    /// Its row of arguments.
    arguments: u16,
}

/// From here on a number in [`Rules::behind`] is that of a row of nodes.
const SEVERAL: u32 = 1 << 31;

/// All rules, as nodes: a node is the first part of right sides that begin alike.
#[derive(Clone, Debug, Default)]
pub(crate) struct Rules {
    names: Vec<String>,
    /// Names of actions, and names among their arguments.
    words: Vec<String>,
    /// What can follow a node, each symbol once, in order.
    next: Rows<Symbol>,
    /// The node behind a node and a symbol, by the place in `next`; above [`SEVERAL`] a row of `several`.
    behind: Table<u32>,
    /// Nodes behind a node and a symbol that choices of several rules hold.
    several: Rows<u32>,
    /// What is complete at a node.
    made: Rows<Made>,
    /// Rows of arguments.
    arguments: Rows<Argument>,
    /// Of each node whether a rule goes on there that may hold an aside: 1 or 0.
    held_open: Table<u8>,
    /// The categories whose phrases can begin with a word or a phrase.
    pub(crate) corners: Corners,
    /// The file of each rule.
    pub(crate) files: Table<u16>,
    /// The category of asides.
    pub(crate) aside: Option<Category>,
    /// Categories that an aside may stand in, between any two of their parts.
    interruptible: Table<Category>,
}

stored!(Rules {
    names,
    words,
    next,
    behind,
    several,
    made,
    arguments,
    held_open,
    corners,
    files,
    aside,
    interruptible,
});
small!(Rows<Argument>, Option<Category>);

impl Rules {
    /// The number of a category that rules or words speak of.
    pub(crate) fn known(&self, name: &str) -> Option<Category> {
        let at = self.names.iter().position(|n| n == name)?;
        Category::try_from(at).ok()
    }

    /// Names of actions, and names among their arguments, by their number.
    pub(crate) fn words(&self) -> &[String] {
        &self.words
    }

    /// The first action, and the file of its rule, of which this holds.
    pub(crate) fn first_action(&self, holds: impl Fn(&str) -> bool) -> Option<(&str, usize)> {
        let of: Vec<bool> = self.words.iter().map(|name| holds(name)).collect();
        let made = self.made.all().iter();
        made.filter(|made| of[made.action as usize])
            .map(|made| (self.words[made.action as usize].as_str(), made.rule))
            .min_by_key(|(_, rule)| *rule)
            .map(|(name, rule)| (name, usize::from(self.files[usize::from(rule)])))
    }

    /// The name of a category.
    pub(crate) fn name(&self, category: Category) -> &str {
        self.names.get(category as usize).map_or("", String::as_str)
    }

    /// Whether an aside may stand between two parts of a phrase of this category.
    pub(crate) fn may_be_interrupted(&self, category: Category) -> bool {
        self.interruptible.contains(&category)
    }

    /// Where a symbol leads from a node.
    pub(crate) fn steps(&self, node: u32, symbol: Symbol) -> &[u32] {
        let next = self.next(node);
        let Ok(at) = next.binary_search(&symbol) else {
            return &[];
        };
        let behind = &self.behind[self.next.begin(node as usize) + at];
        match behind.checked_sub(SEVERAL) {
            Some(row) => self.several.row(row as usize),
            None => std::slice::from_ref(behind),
        }
    }

    /// What can follow a node.
    pub(crate) fn next(&self, node: u32) -> &[Symbol] {
        self.next.row(node as usize)
    }

    /// What is complete at a node.
    pub(crate) fn made(&self, node: u32) -> &[Made] {
        self.made.row(node as usize)
    }

    /// What the meaning of a phrase is made of; places count the children that are there.
    pub(crate) fn arguments(&self, made: Made) -> &[Argument] {
        self.arguments.row(usize::from(made.arguments))
    }

    /// Whether a rule that goes on from a node may hold an aside.
    pub(crate) fn may_go_on_behind_aside(&self, node: u32) -> bool {
        self.held_open[node as usize] != 0
    }
}
