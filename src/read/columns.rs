//! Rows → blocks: the parts of a page whose lines follow one another.

use super::segment::{Row, WIDE};

/// Rows that stand under one another.
#[derive(Debug)]
pub(super) struct Block {
    pub(super) rows: Vec<Row>,
}

/// Fewer rows than this are no columns.
const ROWS: usize = 8;
/// Nor is anything narrower than this, in points.
const WIDTH: f64 = 200.0;
/// Places for a gutter that are tried; more would find nothing new on a page of paper.
const PLACES: u32 = 120;

/// Parts the rows of a page into columns where there are two, top to bottom, left before right.
pub(super) fn blocks(rows: Vec<Row>) -> Vec<Block> {
    let Some(gutter) = gutter(&rows) else {
        return vec![Block { rows }];
    };
    let mut out = Vec::new();
    let mut across: Vec<Row> = Vec::new();
    let (mut left, mut right): (Vec<Row>, Vec<Row>) = (Vec::new(), Vec::new());
    for row in rows {
        if row.iter().any(|s| s.left < gutter && s.right > gutter) {
            flush(&mut left, &mut out);
            flush(&mut right, &mut out);
            across.push(row);
            continue;
        }
        flush(&mut across, &mut out);
        let (a, b): (Row, Row) = row.into_iter().partition(|s| s.right <= gutter);
        if !a.is_empty() {
            left.push(a);
        }
        if !b.is_empty() {
            right.push(b);
        }
    }
    flush(&mut across, &mut out);
    flush(&mut left, &mut out);
    flush(&mut right, &mut out);
    out
}

fn flush(rows: &mut Vec<Row>, out: &mut Vec<Block>) {
    if !rows.is_empty() {
        out.push(Block {
            rows: std::mem::take(rows),
        });
    }
}

/// Where the gutter between two columns is: the place in the middle part of the page that the
/// fewest rows cross and that has well-filled rows on both sides.
fn gutter(rows: &[Row]) -> Option<f64> {
    let low = rows
        .iter()
        .flatten()
        .map(|s| s.left)
        .fold(f64::MAX, f64::min);
    let high = rows
        .iter()
        .flatten()
        .map(|s| s.right)
        .fold(f64::MIN, f64::max);
    let width = high - low;
    if rows.len() < ROWS || width.is_nan() || width < WIDTH {
        return None;
    }
    let mut sizes: Vec<f64> = rows.iter().flatten().map(|s| s.size).collect();
    sizes.sort_by(f64::total_cmp);
    // blanks that a typewriter has put below one another are no gutter
    let least = WIDE * sizes.get(sizes.len() / 2).copied().unwrap_or(0.0);
    let mut best: Option<(f64, f64)> = None;
    for place in 0..PLACES {
        let x = low + width * (0.35 + 0.30 * f64::from(place) / f64::from(PLACES));
        if let Some((score, gap, middle)) = judge(rows, x, low, high)
            && gap > least
            && best.is_none_or(|(s, _)| score > s)
        {
            best = Some((score, middle));
        }
    }
    best.map(|(_, middle)| middle)
}

/// How good a gutter at `x` is, the gap there, and its middle.
fn judge(rows: &[Row], x: f64, low: f64, high: f64) -> Option<(f64, f64, f64)> {
    let (mut cross, mut both, mut on_left, mut on_right) = (0_u32, 0_u32, 0_u32, 0_u32);
    let (mut fill_left, mut fill_right) = (0.0, 0.0);
    let (mut edge_left, mut edge_right) = (low, high);
    for row in rows {
        if row.iter().any(|s| s.left < x && s.right > x) {
            cross += 1;
            continue;
        }
        let (mut a, mut b) = (0.0, 0.0);
        for segment in row {
            if segment.right <= x {
                a += segment.right - segment.left;
                edge_left = f64::max(edge_left, segment.right);
            } else {
                b += segment.right - segment.left;
                edge_right = f64::min(edge_right, segment.left);
            }
        }
        if a > 0.0 {
            fill_left += a / (x - low);
            on_left += 1;
        }
        if b > 0.0 {
            fill_right += b / (high - x);
            on_right += 1;
        }
        if a > 0.0 && b > 0.0 {
            both += 1;
        }
    }
    let gap = edge_right - edge_left;
    let rows = f64::from(u32::try_from(rows.len()).unwrap_or(u32::MAX));
    let good = on_left >= 6
        && on_right >= 4
        && both >= 3
        && fill_left / f64::from(on_left) > 0.55
        && fill_right / f64::from(on_right) > 0.5
        && f64::from(cross) < 0.25 * rows
        && gap > 4.0;
    good.then(|| {
        (
            gap - 30.0 * f64::from(cross),
            gap,
            f64::midpoint(edge_left, edge_right),
        )
    })
}

#[cfg(test)]
mod tests {
    use super::super::segment::Segment;
    use super::*;

    fn segment(left: f64, right: f64) -> Segment {
        Segment {
            left,
            right,
            base: 0.0,
            size: 12.0,
            text: "text".to_owned(),
            weak: Vec::new(),
            frames: Vec::new(),
        }
    }

    #[test]
    fn blanks_below_one_another_are_no_gutter() {
        let parts = |gap: f64| {
            let row = |_| vec![segment(60.0, 300.0), segment(300.0 + gap, 540.0)];
            blocks((0..10).map(row).collect()).len()
        };
        // a blank of a typewriter, ten to the inch, with what is left free beside its letters
        assert_eq!(parts(9.5), 1);
        assert_eq!(parts(14.0), 2);
    }
}
