//! What rules are made of: categories and words.

use zerocopy::{FromBytes, Immutable, IntoBytes};

/// A category: the name of a kind of phrase.
pub(crate) type Category = u16;

/// A place on the right side of a rule.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, FromBytes, Immutable, IntoBytes,
)]
#[repr(transparent)]
pub(crate) struct Symbol(u32);

impl Symbol {
    /// A phrase of this category.
    pub(crate) fn category(category: Category) -> Self {
        Self(u32::from(category) << 1)
    }

    /// This word.
    pub(crate) fn word(number: u32) -> Self {
        Self(number << 1 | 1)
    }

    /// The category, of a phrase.
    pub(crate) fn as_category(self) -> Option<Category> {
        let number = (self.0 & 1 == 0).then_some(self.0 >> 1)?;
        Category::try_from(number).ok()
    }

    /// The number of the word, of a word.
    pub(crate) fn as_word(self) -> Option<u32> {
        (self.0 & 1 == 1).then_some(self.0 >> 1)
    }
}
