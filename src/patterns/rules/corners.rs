//! Left corners: the phrases that can begin with a word or with another phrase. The parser asks
//! them what a part of a rule can still be, before it waits for it.

use std::hash::Hash;

use rustc_hash::FxHashMap;

use super::rows::Rows;
use super::symbol::Category;
use crate::patterns::tables::{Table, stored};

/// A set of categories, one bit each.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash)]
pub(crate) struct Categories {
    bits: Vec<u64>,
}

impl Categories {
    fn place(category: Category) -> (usize, u64) {
        (usize::from(category / 64), 1 << (category % 64))
    }

    /// Adds a category.
    pub(crate) fn add(&mut self, category: Category) {
        let (word, bit) = Self::place(category);
        if self.bits.len() <= word {
            self.bits.resize(word + 1, 0);
        }
        self.bits[word] |= bit;
    }

    /// Adds all of another set.
    pub(super) fn add_all(&mut self, other: &Self) {
        self.add_words(other.bits.len(), other.bits.iter().copied());
    }

    /// Adds all categories above a corner.
    pub(crate) fn add_above(&mut self, above: Above<'_>) {
        self.add_words(above.words.len(), above.words());
    }

    fn add_words(&mut self, length: usize, words: impl Iterator<Item = u64>) {
        if self.bits.len() < length {
            self.bits.resize(length, 0);
        }
        for (word, more) in self.bits.iter_mut().zip(words) {
            *word |= more;
        }
    }

    /// Whether it holds a category.
    pub(crate) fn has(&self, category: Category) -> bool {
        let (word, bit) = Self::place(category);
        self.bits.get(word).is_some_and(|w| w & bit != 0)
    }
}

/// The categories above a corner.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Above<'s> {
    /// The places of its words in `kept`.
    words: &'s [u16],
    kept: &'s [u64],
}

impl Above<'_> {
    /// Whether a category above it is in a set.
    pub(crate) fn meets(self, set: &Categories) -> bool {
        let mut both = self.words().zip(&set.bits);
        both.any(|(a, b)| a & b != 0)
    }

    fn words(self) -> impl Iterator<Item = u64> {
        self.words.iter().map(|&at| self.kept[usize::from(at)])
    }
}

/// The categories above each symbol that can be a left corner.
#[derive(Clone, Debug, Default)]
pub(crate) struct Corners {
    /// Each set once: its words, by their places in `kept`.
    sets: Rows<u16>,
    /// Words of sets, 64 bits each, each once: sets are much alike.
    kept: Table<u64>,
    /// The set of each category.
    categories: Table<u16>,
    /// The set of each word with which a rule begins.
    words: FxHashMap<u32, u16>,
}

stored!(Corners {
    sets,
    kept,
    categories,
    words,
});

impl Corners {
    /// Of the categories above each category, itself among them, and of those above each word with
    /// which a rule begins.
    ///
    /// `None` where there are more than can be numbered.
    pub(super) fn new(
        categories: Vec<Categories>,
        words: impl Iterator<Item = (u32, Categories)>,
    ) -> Option<Self> {
        let mut corners = Self::default();
        let mut sets: FxHashMap<Categories, u16> = FxHashMap::default();
        let mut kept: FxHashMap<u64, u16> = FxHashMap::default();
        let mut number = |corners: &mut Self, set: Categories| {
            if let Some(&known) = sets.get(&set) {
                return Some(known);
            }
            let row: Option<Vec<u16>> = set
                .bits
                .iter()
                .map(|word| {
                    if let Some(&known) = kept.get(word) {
                        return Some(known);
                    }
                    corners.kept.to_mut().push(*word);
                    next_number(&mut kept, *word)
                })
                .collect();
            corners.sets.push(row?);
            next_number(&mut sets, set)
        };
        for set in categories {
            let number = number(&mut corners, set)?;
            corners.categories.to_mut().push(number);
        }
        for (word, set) in words {
            let number = number(&mut corners, set)?;
            corners.words.insert(word, number);
        }
        Some(corners)
    }

    /// The categories whose phrases can begin with this one, itself among them.
    pub(crate) fn above(&self, category: Category) -> Option<Above<'_>> {
        let set = *self.categories.get(usize::from(category))?;
        Some(self.set(set))
    }

    /// The categories whose phrases can begin with this word.
    pub(crate) fn above_word(&self, word: u32) -> Option<Above<'_>> {
        Some(self.set(*self.words.get(&word)?))
    }

    fn set(&self, number: u16) -> Above<'_> {
        Above {
            words: self.sets.row(usize::from(number)),
            kept: &self.kept,
        }
    }
}

/// Numbers what is new; `None` where there is no number left.
fn next_number<T: Eq + Hash>(known: &mut FxHashMap<T, u16>, new: T) -> Option<u16> {
    let number = u16::try_from(known.len()).ok()?;
    known.insert(new, number);
    Some(number)
}
