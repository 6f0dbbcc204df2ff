//! Rows of different length, one behind the other in one table.
//!
//! Where a row ends is written in half of the bytes: most of the program's tables would be such ends.

use serde::{Deserialize, Serialize};

use crate::patterns::tables::{Table, stored};

/// Rows of different length.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub(crate) struct Rows<T: Clone + 'static> {
    /// The lower half of where each row ends.
    ends: Table<u16>,
    /// The rows from which on the upper half is one more; a row that is long enough stands there twice.
    turns: Table<u32>,
    all: Table<T>,
}

stored!(Rows<T> { ends, turns, all });

impl<T: Clone> Default for Rows<T> {
    fn default() -> Self {
        Self {
            ends: Table::default(),
            turns: Table::default(),
            all: Table::default(),
        }
    }
}

impl<T: Clone> Rows<T> {
    /// Adds a row behind the others.
    pub(crate) fn push(&mut self, row: impl IntoIterator<Item = T>) {
        self.all.to_mut().extend(row);
        let [low, high] = halves(self.all.len());
        let turns = self.turns.to_mut();
        turns.resize(usize::from(high), narrow(self.ends.len()));
        self.ends.to_mut().push(low);
    }

    /// How many rows there are.
    pub(crate) fn len(&self) -> usize {
        self.ends.len()
    }

    /// Where a row begins among all that stands in the rows.
    pub(crate) fn begin(&self, row: usize) -> usize {
        row.checked_sub(1).map_or(0, |before| self.end(before))
    }

    fn end(&self, row: usize) -> usize {
        let high = self.turns.partition_point(|&turn| turn as usize <= row);
        high << u16::BITS | usize::from(self.ends[row])
    }

    /// What stands in a row.
    pub(crate) fn row(&self, row: usize) -> &[T] {
        &self.all[self.begin(row)..self.end(row)]
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

/// The lower and the upper half of a number as it is kept.
fn halves(n: usize) -> [u16; 2] {
    let [a, b, c, d] = narrow(n).to_le_bytes();
    [u16::from_le_bytes([a, b]), u16::from_le_bytes([c, d])]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_end_where_they_ended() {
        let lengths = [0, 3, 65_532, 1, 0, 70_000, 200_000, 0, 7];
        let mut rows = Rows::default();
        for (n, length) in lengths.into_iter().enumerate() {
            rows.push(std::iter::repeat_n(n, length));
        }
        assert_eq!(rows.len(), lengths.len());
        let mut begin = 0;
        for (n, length) in lengths.into_iter().enumerate() {
            assert_eq!(rows.begin(n), begin);
            assert_eq!(rows.row(n), vec![n; length]);
            begin += length;
        }
    }
}
