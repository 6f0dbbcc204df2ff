//! Left corners: the phrases that can begin with a word or with another phrase. The parser asks
//! them what a part of a rule can still be, before it waits for it.

use rustc_hash::FxHashMap;

use super::symbol::Category;
use crate::patterns::tables::{Table, stored};

/// A set of categories, one bit each.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash)]
pub(crate) struct Categories {
    bits: Table<u64>,
}

stored!(Categories { bits });

impl Categories {
    fn place(category: Category) -> (usize, u64) {
        (usize::from(category / 64), 1 << (category % 64))
    }

    /// Adds a category.
    pub(crate) fn add(&mut self, category: Category) {
        let (word, bit) = Self::place(category);
        let bits = self.bits.to_mut();
        if bits.len() <= word {
            bits.resize(word + 1, 0);
        }
        bits[word] |= bit;
    }

    /// Adds all of another set.
    pub(crate) fn add_all(&mut self, other: &Self) {
        let bits = self.bits.to_mut();
        if bits.len() < other.bits.len() {
            bits.resize(other.bits.len(), 0);
        }
        for (word, more) in bits.iter_mut().zip(&*other.bits) {
            *word |= more;
        }
    }

    /// Whether it holds a category.
    pub(crate) fn has(&self, category: Category) -> bool {
        let (word, bit) = Self::place(category);
        self.bits.get(word).is_some_and(|w| w & bit != 0)
    }

    /// Whether two sets share a category.
    pub(crate) fn meets(&self, other: &Self) -> bool {
        let mut both = self.bits.iter().zip(&*other.bits);
        both.any(|(a, b)| a & b != 0)
    }
}

/// The categories above each symbol that can be a left corner.
#[derive(Clone, Debug, Default)]
pub(crate) struct Corners {
    /// Each set once.
    sets: Vec<Categories>,
    /// The set of each category.
    categories: Table<u16>,
    /// The set of each word with which a rule begins.
    words: FxHashMap<u32, u16>,
}

stored!(Corners {
    sets,
    categories,
    words,
});

impl Corners {
    /// Of the categories above each category, itself among them, and of those above each word with
    /// which a rule begins.
    pub(super) fn new(
        categories: Vec<Categories>,
        words: impl Iterator<Item = (u32, Categories)>,
    ) -> Self {
        let mut corners = Self::default();
        let mut known: FxHashMap<Categories, u16> = FxHashMap::default();
        let mut kept = |sets: &mut Vec<Categories>, set: Categories| {
            *known.entry(set).or_insert_with_key(|set| {
                sets.push(set.clone());
                u16::try_from(sets.len() - 1).unwrap_or(u16::MAX)
            })
        };
        for set in categories {
            let number = kept(&mut corners.sets, set);
            corners.categories.to_mut().push(number);
        }
        for (word, set) in words {
            let number = kept(&mut corners.sets, set);
            corners.words.insert(word, number);
        }
        corners
    }

    /// The categories whose phrases can begin with this one, itself among them.
    pub(crate) fn above(&self, category: Category) -> Option<&Categories> {
        let set = *self.categories.get(usize::from(category))?;
        self.sets.get(usize::from(set))
    }

    /// The categories whose phrases can begin with this word.
    pub(crate) fn above_word(&self, word: u32) -> Option<&Categories> {
        self.sets.get(usize::from(*self.words.get(&word)?))
    }
}
