//! What rules are made of: categories and words.

use zerocopy::{FromBytes, Immutable, IntoBytes};

/// A category: the name of a kind of phrase.
pub(crate) type Category = u16;

/// Numbers of categories, and of words that rules name, are below.
pub(super) const MOST: u16 = u16::MAX >> 1;

/// A place on the right side of a rule.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, FromBytes, Immutable, IntoBytes,
)]
#[repr(transparent)]
pub(crate) struct Symbol(u16);

impl Symbol {
    /// A phrase of this category.
    pub(crate) fn category(category: Category) -> Self {
        Self(category << 1)
    }

    /// This word; all words beyond [`MOST`] are one, which no rule names.
    pub(crate) fn word(number: u32) -> Self {
        let number = u16::try_from(number).map_or(MOST, |n| n.min(MOST));
        Self(number << 1 | 1)
    }

    /// The category, of a phrase.
    pub(crate) fn as_category(self) -> Option<Category> {
        (self.0 & 1 == 0).then_some(self.0 >> 1)
    }

    /// The number of the word, of a word.
    pub(crate) fn as_word(self) -> Option<u32> {
        (self.0 & 1 == 1).then_some(u32::from(self.0 >> 1))
    }
}
