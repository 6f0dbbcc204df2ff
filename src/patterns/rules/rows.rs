//! Rows of different length, one behind the other: they load much faster than one list each.

use serde::{Deserialize, Serialize};

/// Rows of different length.
#[derive(Clone, Debug, Serialize, Deserialize)]
#[serde(from = "Written<T>", into = "Written<T>")]
#[serde(bound(serialize = "T: Clone + Serialize"))]
pub(crate) struct Rows<T> {
    /// Where each row ends.
    ends: Vec<u32>,
    all: Vec<T>,
}

/// Rows as they are written down: the length of each, a byte; of the long ones ([`LONG`]) beside it.
#[derive(Serialize, Deserialize)]
struct Written<T> {
    lengths: Vec<u8>,
    long: Vec<u32>,
    all: Vec<T>,
}

/// Stands for a length that is written beside the others.
const LONG: u8 = u8::MAX;

impl<T> From<Rows<T>> for Written<T> {
    fn from(rows: Rows<T>) -> Self {
        let mut long = Vec::new();
        let lengths = (0..rows.ends.len()).map(|row| {
            let length = rows.row(row).len();
            match u8::try_from(length) {
                Ok(short) if short != LONG => short,
                _ => {
                    long.push(narrow(length));
                    LONG
                }
            }
        });
        Self {
            lengths: lengths.collect(),
            long,
            all: rows.all,
        }
    }
}

impl<T> From<Written<T>> for Rows<T> {
    fn from(written: Written<T>) -> Self {
        let mut long = written.long.into_iter();
        let most = narrow(written.all.len());
        let mut end = 0u32;
        let ends = written.lengths.into_iter().map(|length| {
            let length = match length {
                LONG => long.next().unwrap_or_default(),
                short => u32::from(short),
            };
            end = end.saturating_add(length).min(most);
            end
        });
        Self {
            ends: ends.collect(),
            all: written.all,
        }
    }
}

impl<T> Default for Rows<T> {
    fn default() -> Self {
        Self {
            ends: Vec::new(),
            all: Vec::new(),
        }
    }
}

impl<T> Rows<T> {
    /// Adds a row behind the others.
    pub(crate) fn push(&mut self, row: impl IntoIterator<Item = T>) {
        self.all.extend(row);
        self.ends.push(narrow(self.all.len()));
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
