//! Optimal assignment on few candidates: the pairing with the greatest sum of weights.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// For each row the columns that it may take, with weights above 0.
pub(super) type Edges = Vec<Vec<(usize, f64)>>;

/// Gives each row a column of its own, or none, so that the sum of weights is greatest.
///
/// Shortest augmenting paths with potentials (the assignment method of Jonker and Volgenant) on
/// the candidates only; a row may always stay without a column.
pub(super) fn assign(edges: &Edges, columns: usize) -> Vec<Option<usize>> {
    let rows = edges.len();
    // Whole numbers: no rounding decides between equal sums.
    let scaled = |w: f64| (w.clamp(0.0, 1e6) * 1e6).round() as i64;
    let most = edges
        .iter()
        .flatten()
        .map(|(_, w)| scaled(*w))
        .max()
        .unwrap_or(0);
    // Column `columns + r` is the one that stands for «none» and belongs to row `r` alone.
    let row_edges: Vec<Vec<(usize, i64)>> = edges
        .iter()
        .enumerate()
        .map(|(r, row)| {
            let mut row: Vec<(usize, i64)> = row
                .iter()
                .filter(|(c, _)| *c < columns)
                .map(|(c, w)| (*c, most - scaled(*w)))
                .collect();
            row.push((columns + r, most));
            row
        })
        .collect();
    let all = columns + rows;
    let mut row_potential = vec![0i64; rows];
    let mut column_potential = vec![0i64; all];
    let mut holder: Vec<Option<usize>> = vec![None; all];
    let mut taken: Vec<Option<usize>> = vec![None; rows];
    let mut state = Search {
        distance: vec![i64::MAX; all],
        from: vec![0; all],
        done: vec![false; all],
        touched: Vec::new(),
    };
    for start in 0..rows {
        let Some(end) = state.run(
            start,
            &row_edges,
            &row_potential,
            &column_potential,
            &holder,
        ) else {
            continue;
        };
        let shortest = state.distance[end];
        for &column in &state.touched {
            if state.done[column] && column != end {
                column_potential[column] += state.distance[column] - shortest;
                if let Some(row) = holder[column] {
                    row_potential[row] += shortest - state.distance[column];
                }
            }
        }
        row_potential[start] += shortest;
        // Hand the columns over along the path.
        let mut column = end;
        loop {
            let row = state.from[column];
            let next = taken[row].replace(column);
            holder[column] = Some(row);
            match next {
                Some(next) if row != start => column = next,
                _ => break,
            }
        }
        state.reset();
    }
    taken
        .into_iter()
        .map(|c| c.filter(|c| *c < columns))
        .collect()
}

/// Dijkstra's search for the nearest free column.
struct Search {
    distance: Vec<i64>,
    from: Vec<usize>,
    done: Vec<bool>,
    touched: Vec<usize>,
}

impl Search {
    fn run(
        &mut self,
        start: usize,
        edges: &[Vec<(usize, i64)>],
        row_potential: &[i64],
        column_potential: &[i64],
        holder: &[Option<usize>],
    ) -> Option<usize> {
        let mut heap = BinaryHeap::new();
        let (mut row, mut base) = (start, 0i64);
        loop {
            for &(column, cost) in &edges[row] {
                if self.done[column] {
                    continue;
                }
                let distance = base + cost - row_potential[row] - column_potential[column];
                if distance < self.distance[column] {
                    if self.distance[column] == i64::MAX {
                        self.touched.push(column);
                    }
                    self.distance[column] = distance;
                    self.from[column] = row;
                    heap.push(Reverse((distance, column)));
                }
            }
            let column = loop {
                let Reverse((distance, column)) = heap.pop()?;
                if !self.done[column] && distance == self.distance[column] {
                    break column;
                }
            };
            self.done[column] = true;
            match holder[column] {
                None => return Some(column),
                Some(next) => {
                    base = self.distance[column];
                    row = next;
                }
            }
        }
    }

    fn reset(&mut self) {
        for column in self.touched.drain(..) {
            self.distance[column] = i64::MAX;
            self.done[column] = false;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sum(edges: &Edges, pairs: &[Option<usize>]) -> f64 {
        pairs
            .iter()
            .enumerate()
            .filter_map(|(r, c)| {
                let c = (*c)?;
                edges[r].iter().find(|(e, _)| *e == c).map(|(_, w)| *w)
            })
            .sum()
    }

    /// Every assignment tried out.
    fn best(edges: &Edges, row: usize, used: &mut Vec<bool>) -> f64 {
        let Some(candidates) = edges.get(row) else {
            return 0.0;
        };
        let mut most = best(edges, row + 1, used);
        for (c, w) in candidates {
            if !used[*c] {
                used[*c] = true;
                most = most.max(w + best(edges, row + 1, used));
                used[*c] = false;
            }
        }
        most
    }

    #[test]
    fn a_better_sum_goes_before_a_better_first_pair() {
        let edges = vec![vec![(0, 0.9), (1, 0.8)], vec![(0, 0.8)]];
        assert_eq!(assign(&edges, 2), [Some(1), Some(0)]);
    }

    #[test]
    fn as_good_as_trying_everything() {
        // A small generator with a fixed seed; the sums must be equal to those of a full search.
        let mut seed = 7u64;
        let mut next = |n: u64| {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            (seed >> 33) % n
        };
        for _ in 0..300 {
            let (rows, columns) = (1 + next(6) as usize, 1 + next(6) as usize);
            let edges: Edges = (0..rows)
                .map(|_| {
                    (0..columns)
                        .map(|c| (c, next(3), (1 + next(20)) as f64 / 20.0))
                        .filter(|(_, keep, _)| *keep > 0)
                        .map(|(c, _, w)| (c, w))
                        .collect()
                })
                .collect();
            let pairs = assign(&edges, columns);
            let mut used = vec![false; columns];
            let mut seen = std::collections::BTreeSet::new();
            assert!(pairs.iter().flatten().all(|c| seen.insert(*c)));
            assert!((sum(&edges, &pairs) - best(&edges, 0, &mut used)).abs() < 1e-6);
        }
    }
}
