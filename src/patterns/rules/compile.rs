//! Compiles the rules of the grammar.

use rustc_hash::FxHashMap;

use super::corners::{Categories, Corners};
use super::rows::narrow;
use super::symbol::MOST;
use super::{Argument, Category, MOST_ARGUMENTS, Made, Rules, SEVERAL, Symbol};
use crate::patterns::phrase::Lexicon;

/// The category of asides.
const ASIDE: &str = "ASIDE";
/// Categories that the code makes of a sentence, whether or not a rule takes them.
const MADE_BY_CODE: [&str; 10] = [
    "CITE",
    "LABEL",
    "NUMBER",
    "QUOTE",
    "BLANK",
    "TERM",
    "ONLYEND",
    "OPEN",
    "LOOSE",
    "UNRELATED",
];

/// The first part of right sides that begin alike.
#[derive(Debug, Default)]
struct Node {
    /// What can follow, each symbol once, with the nodes behind it.
    next: Vec<(Symbol, Vec<u32>)>,
    /// What is complete here.
    made: Vec<Made>,
}

/// Rules, while they are added.
#[derive(Debug, Default)]
pub(super) struct RuleCompiler {
    rules: Rules,
    nodes: Vec<Node>,
    /// Rows of arguments, by what they hold.
    rows: FxHashMap<Vec<Argument>, u16>,
    numbers: FxHashMap<String, Category>,
    word_numbers: FxHashMap<String, u16>,
    /// The place of a step among those of its node.
    edges: FxHashMap<(u32, Symbol), u32>,
    /// The symbols that places of right sides stand for: "may/can".
    choices: Vec<Vec<Symbol>>,
    /// Their number, by the words of the place.
    places: FxHashMap<String, u32>,
    /// The node behind a node and a choice.
    behind: FxHashMap<(u32, u32), u32>,
}

impl RuleCompiler {
    /// The number of a category, which is added where it is new.
    pub(super) fn category(&mut self, name: &str) -> Category {
        if let Some(&number) = self.numbers.get(name) {
            return number;
        }
        let number = Category::try_from(self.rules.names.len()).unwrap_or(Category::MAX);
        self.rules.names.push(name.to_owned());
        self.numbers.insert(name.to_owned(), number);
        number
    }

    /// The number of the name of an action, or of a name among its arguments.
    fn word(&mut self, name: &str) -> u16 {
        if let Some(&number) = self.word_numbers.get(name) {
            return number;
        }
        let number = u16::try_from(self.rules.words.len()).unwrap_or(u16::MAX);
        self.rules.words.push(name.to_owned());
        self.word_numbers.insert(name.to_owned(), number);
        number
    }

    /// The rules, when all are there: asides may stand between any two parts of the phrases
    /// `within`.
    ///
    /// # Errors
    /// A sentence, where there are more than can be numbered.
    pub(super) fn finish(mut self, within: Vec<Category>) -> Result<Rules, String> {
        for name in MADE_BY_CODE {
            self.category(name);
        }
        self.rules.aside = Some(self.category(ASIDE));
        self.rules.held_open = held_open(&self.nodes, &within).into();
        self.rules.interruptible = within.into();
        for mut node in std::mem::take(&mut self.nodes) {
            node.next.sort_unstable_by_key(|(symbol, _)| *symbol);
            self.rules.made.push(node.made);
            self.rules
                .next
                .push(node.next.iter().map(|(symbol, _)| *symbol));
            for (_, behind) in node.next {
                let one = match behind[..] {
                    [one] => one,
                    _ => {
                        self.rules.several.push(behind);
                        SEVERAL | narrow(self.rules.several.len() - 1)
                    }
                };
                self.rules.behind.to_mut().push(one);
            }
        }
        self.rules.corners =
            corners(&self.rules).ok_or("there are more rules than can be numbered")?;
        Ok(self.rules)
    }

    /// Adds a rule of file `file`.
    ///
    /// # Errors
    /// A sentence that says what is wrong with it.
    pub(super) fn add(&mut self, line: &str, file: usize, lexicon: &Lexicon) -> Result<(), String> {
        let (left, rest) = line
            .split_once(" : ")
            .ok_or_else(|| format!("«{line}» has no « : » behind its category"))?;
        let (right, meaning) = rest.split_once(" = ").unwrap_or((rest, "same $1"));
        let mut words = meaning.split_whitespace();
        let name = words.next().unwrap_or_default();
        let action = self.word(name);
        let arguments: Vec<&str> = words.collect();
        if arguments.len() > MOST_ARGUMENTS {
            return Err(format!(
                "«{line}» gives more than {MOST_ARGUMENTS} arguments"
            ));
        }
        let places: Vec<&str> = right.split_whitespace().collect();
        if self.nodes.is_empty() {
            self.nodes.push(Node::default());
        }
        let rule = counted(self.rules.files.len(), u16::MAX, "rules")?;
        self.rules
            .files
            .to_mut()
            .push(u16::try_from(file).unwrap_or(u16::MAX));
        let category = self.category(left.trim());
        let arguments: Vec<Wanted> = arguments
            .iter()
            .map(|a| self.wanted(a, &places))
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
            let arguments = self.row(arguments.iter().map(|a| a.among(has)).collect())?;
            self.nodes[node as usize].made.push(Made {
                category,
                action,
                rule,
                arguments,
            });
        }
        counted(self.rules.names.len(), MOST, "categories")?;
        Ok(())
    }

    /// The number of a row of arguments.
    fn row(&mut self, arguments: Vec<Argument>) -> Result<u16, String> {
        if let Some(&known) = self.rows.get(&arguments) {
            return Ok(known);
        }
        let number = counted(self.rows.len(), u16::MAX, "ways to give arguments")?;
        self.rules.arguments.push(arguments.iter().copied());
        self.rows.insert(arguments, number);
        Ok(number)
    }

    /// Reads an argument: `$2`, `$PLIST` or a name.
    fn wanted(&mut self, argument: &str, places: &[&str]) -> Result<Wanted, String> {
        let Some(n) = argument.strip_prefix('$') else {
            return Ok(Wanted::Name(self.word(argument)));
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

    /// The number of the choice that a place of a right side stands for.
    fn choice(&mut self, place: &str, lexicon: &Lexicon) -> Result<u32, String> {
        if let Some(&known) = self.places.get(place) {
            return Ok(known);
        }
        let mut symbols = Vec::new();
        for name in rule_choices(place) {
            let symbol = if name.starts_with(|c: char| c.is_ascii_uppercase()) {
                Symbol::category(self.category(name))
            } else {
                match lexicon.number(name) {
                    0 => return Err(format!("the word «{name}» stands in no file of words")),
                    word => Symbol::word(counted(word as usize, MOST, "words")?.into()),
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
                Some((_, behind)) => behind.push(to),
                None => next.push((symbol, vec![to])),
            }
        }
        to
    }
}

/// A number below `most`.
fn counted(n: usize, most: u16, what: &str) -> Result<u16, String> {
    let number = u16::try_from(n).ok().filter(|n| *n < most);
    number
        .ok_or_else(|| format!("there are {n} {what}, and {most} is the most that can be numbered"))
}

/// An argument of a rule before it is known which of its places are there.
enum Wanted {
    /// The place, from 0.
    Place(usize),
    Name(u16),
}

impl Wanted {
    /// The argument where the places of these bits are there.
    fn among(&self, has: u64) -> Argument {
        match self {
            Self::Name(name) => Argument::Name(*name),
            Self::Place(n) => {
                let bit = 1u64 << n;
                let before = (has & (bit - 1)).count_ones();
                match u8::try_from(before) {
                    Ok(before) if has & bit != 0 => Argument::Place(before),
                    _ => Argument::Nothing,
                }
            }
        }
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

/// Works out with what each phrase can begin, when all rules are there.
fn corners(rules: &Rules) -> Option<Corners> {
    // what is complete at a node or behind it; nodes come after those that lead to them
    let nodes = rules.made.len();
    let mut below = vec![Categories::default(); nodes];
    for node in (0..nodes).rev() {
        let mut all = Categories::default();
        for made in rules.made.row(node) {
            all.add(made.category);
        }
        for &symbol in rules.next.row(node) {
            for &behind in rules.steps(narrow(node), symbol) {
                all.add_all(&below[behind as usize]);
            }
        }
        below[node] = all;
    }
    let begun = |symbol: Symbol| {
        let mut all = Categories::default();
        for &node in rules.steps(0, symbol) {
            all.add_all(&below[node as usize]);
        }
        all
    };
    let count = rules.names.len();
    let numbers = || (0..count).filter_map(|n| Category::try_from(n).ok());
    let mut above: Vec<Categories> = numbers()
        .map(|category| {
            let mut all = begun(Symbol::category(category));
            all.add(category);
            all
        })
        .collect();
    // the transitive closure
    for through in numbers() {
        let more = above[usize::from(through)].clone();
        for set in &mut above {
            if set.has(through) {
                set.add_all(&more);
            }
        }
    }
    let words: Vec<(u32, Categories)> = rules
        .next
        .row(0)
        .iter()
        .filter_map(|symbol| symbol.as_word())
        .map(|word| {
            let begun = begun(Symbol::word(word));
            let mut all = Categories::default();
            for category in numbers().filter(|c| begun.has(*c)) {
                all.add_all(&above[usize::from(category)]);
            }
            (word, all)
        })
        .collect();
    Corners::new(above, words.into_iter())
}

/// The nodes behind which an aside may stand: a rule goes on there whose phrase is among `within`.
fn held_open(nodes: &[Node], within: &[Category]) -> Vec<u8> {
    let mut open = vec![0; nodes.len()];
    // Nodes come after those that lead to them.
    for at in (0..nodes.len()).rev() {
        let held = nodes[at].next.iter().flat_map(|(_, to)| to).any(|&to| {
            let made = &nodes[to as usize].made;
            open[to as usize] != 0 || made.iter().any(|m| within.contains(&m.category))
        });
        open[at] = u8::from(held);
    }
    open
}

/// The words that a rule names: what stands on its right side without a capital.
pub(super) fn rule_words(line: &str) -> impl Iterator<Item = &str> {
    let right = line.split_once(" : ").map_or("", |(_, r)| r);
    let right = right.split_once(" = ").map_or(right, |(r, _)| r);
    right
        .split_whitespace()
        .flat_map(|place| rule_choices(rule_optional(place).unwrap_or(place)))
        .filter(|w| !w.starts_with(|c: char| c.is_ascii_uppercase()))
}

/// The symbol of a place that may be left out.
fn rule_optional(place: &str) -> Option<&str> {
    place.strip_suffix('?').filter(|b| !b.is_empty())
}

/// The choices at a place of a rule: `A/B`; a slash that stands alone is the mark itself.
fn rule_choices(place: &str) -> Vec<&str> {
    if place.len() > 1 {
        place.split('/').filter(|c| !c.is_empty()).collect()
    } else {
        vec![place]
    }
}
