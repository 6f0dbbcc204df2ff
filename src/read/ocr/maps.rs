//! Where the numbers of a net stand in memory: lines side by side, every fourth column of them in one piece.

use std::ops::Range;

/// Columns of the outcome that are worked out together.
pub(super) const FOUR: usize = 4;

/// Memory that is used again: most of it would be made nothing, only to be written over.
#[derive(Default)]
pub(super) struct Free(Vec<Vec<f32>>);

impl Free {
    /// So many numbers, whichever.
    fn take(&mut self, count: usize) -> Vec<f32> {
        let mut all = self.0.pop().unwrap_or_default();
        all.resize(count, 0.0);
        all
    }

    /// Memory of maps that nobody needs any more.
    pub(super) fn give(&mut self, maps: Maps) {
        self.0.push(maps.all);
    }
}

/// Where lines stand in a map: one behind another, in blocks of columns, with nothing between.
#[derive(Clone, Copy)]
pub(super) struct Places {
    pub(super) lines: usize,
    pub(super) blocks: usize,
}

impl Places {
    pub(super) const fn count(self) -> usize {
        self.lines * (self.blocks + 1) + 1
    }

    pub(super) const fn of(self, line: usize) -> Range<usize> {
        let start = line * (self.blocks + 1) + 1;
        start..start + self.blocks
    }

    /// Makes what stands between the lines nothing, in each of so many channels.
    pub(super) fn part(self, all: &mut [f32]) {
        for channel in all.chunks_exact_mut(self.count()) {
            for between in channel.iter_mut().step_by(self.blocks + 1) {
                *between = 0.0;
            }
        }
    }
}

/// Rows of channels. In memory rows come first, then the columns of a block, channels, and the
/// places: what a product takes of neighbors lies in one piece.
pub(super) struct Maps {
    columns: usize,
    pub(super) channels: usize,
    pub(super) count: usize,
    all: Vec<f32>,
}

impl Maps {
    /// Of any numbers.
    pub(super) fn of(
        free: &mut Free,
        [rows, columns, channels]: [usize; 3],
        places: Places,
    ) -> Self {
        let count = places.count();
        Self {
            columns,
            channels,
            count,
            all: free.take(rows * columns * channels * count),
        }
    }

    /// The same; the first and the last row are nothing, of which a kernel may meet a part only.
    pub(super) fn framed(
        free: &mut Free,
        [rows, columns, channels]: [usize; 3],
        places: Places,
    ) -> Self {
        let mut maps = Self::of(free, [rows, columns, channels], places);
        maps.of_columns_mut(0, 0..columns).fill(0.0);
        maps.of_columns_mut(rows.saturating_sub(1), 0..columns)
            .fill(0.0);
        maps
    }

    pub(super) const fn rows(&self) -> usize {
        self.all.len() / (self.columns * self.channels * self.count)
    }

    pub(super) const fn at(&self, row: usize, columns: Range<usize>) -> Range<usize> {
        let (each, row) = (self.channels * self.count, row * self.columns);
        (row + columns.start) * each..(row + columns.end) * each
    }

    /// All channels of some columns.
    pub(super) fn of_columns(&self, row: usize, columns: Range<usize>) -> &[f32] {
        &self.all[self.at(row, columns)]
    }

    pub(super) fn of_columns_mut(&mut self, row: usize, columns: Range<usize>) -> &mut [f32] {
        let at = self.at(row, columns);
        &mut self.all[at]
    }

    /// So many rows from the `first` on.
    pub(super) fn rows_mut<const ROWS: usize>(&mut self, first: usize) -> [&mut [f32]; ROWS] {
        let each = self.columns * self.channels * self.count;
        let mut rows = self.all.chunks_exact_mut(each.max(1)).skip(first);
        std::array::from_fn(|_| rows.next().unwrap_or_default())
    }

    /// Each of the four columns of a row.
    pub(super) fn four(&self, row: usize) -> [&[f32]; FOUR] {
        fours(self.of_columns(row, 0..FOUR))
    }

    pub(super) fn four_mut(&mut self, row: usize) -> [&mut [f32]; FOUR] {
        fours_mut(self.of_columns_mut(row, 0..FOUR))
    }

    /// Puts some channels, from the `first` on, into their column of a block of so many `columns`, behind
    /// so many kept `before`, and where they are the neighbors of another block.
    pub(super) fn put(
        &mut self,
        row: usize,
        first: usize,
        (column, columns, before): (usize, usize, usize),
        from: &[f32],
    ) {
        let here = column + before;
        let count = self.count;
        let places = [
            (Some(here), 0),
            (here.checked_sub(columns), 1),
            (Some(here + columns), -1),
        ];
        for (to, by) in places {
            let Some(to) = to.filter(|&to| to < self.columns) else {
                continue;
            };
            let to = self.of_columns_mut(row, to..to + 1);
            let to = &mut to[first * count..first * count + from.len()];
            match by {
                0 => to.copy_from_slice(from),
                // either end of each row of places is nothing
                1 => {
                    to[0] = 0.0;
                    to[1..].copy_from_slice(&from[..from.len() - 1]);
                }
                _ => {
                    to[..from.len() - 1].copy_from_slice(&from[1..]);
                    to[from.len() - 1] = 0.0;
                }
            }
        }
    }
}

/// The four columns that stand one behind another.
pub(super) fn fours(row: &[f32]) -> [&[f32]; FOUR] {
    let each = row.len() / FOUR;
    std::array::from_fn(|column| &row[column * each..(column + 1) * each])
}

/// The same.
pub(super) fn fours_mut(row: &mut [f32]) -> [&mut [f32]; FOUR] {
    let mut columns = row.chunks_exact_mut((row.len() / FOUR).max(1));
    std::array::from_fn(|_| columns.next().unwrap_or_default())
}
