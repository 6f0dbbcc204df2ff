//! Rows of different length, one behind the other in one table.

use serde::{Deserialize, Serialize};

use crate::patterns::tables::{Table, stored};

/// Rows of different length.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub(crate) struct Rows<T: Clone + 'static> {
    /// Where each row ends.
    ends: Table<u32>,
    all: Table<T>,
}

stored!(Rows<T> { ends, all });

impl<T: Clone> Default for Rows<T> {
    fn default() -> Self {
        Self {
            ends: Table::default(),
            all: Table::default(),
        }
    }
}

impl<T: Clone> Rows<T> {
    /// Adds a row behind the others.
    pub(crate) fn push(&mut self, row: impl IntoIterator<Item = T>) {
        self.all.to_mut().extend(row);
        self.ends.to_mut().push(narrow(self.all.len()));
    }

    /// How many rows there are.
    pub(crate) fn len(&self) -> usize {
        self.ends.len()
    }

    /// Where a row begins among all that stands in the rows.
    pub(crate) fn begin(&self, row: usize) -> usize {
        row.checked_sub(1)
            .map_or(0, |before| self.ends[before] as usize)
    }

    /// What stands in a row.
    pub(crate) fn row(&self, row: usize) -> &[T] {
        &self.all[self.begin(row)..self.ends[row] as usize]
    }

    /// What stands in all rows.
    pub(crate) fn all(&self) -> &[T] {
        &self.all
    }
}

/// A number as it is kept: no row is longer than that.
pub(super) fn narrow(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}
