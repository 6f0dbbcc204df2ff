//! The map of likely text that a detector draws → lines, each with its slope.

use super::slopes::{STEEPEST, Slopes};

/// Text is likely here.
const LIKELY: f32 = 0.3;
/// Fewer spots than this are dirt.
const SPOTS: usize = 12;
/// Lines of one page.
const LINES: usize = 1000;
/// A line this many times wider than high tells its slope.
const LONG: f32 = 6.0;

/// A line on the map.
#[derive(Clone, Copy, Debug)]
pub(super) struct Island {
    pub(super) left: f32,
    pub(super) right: f32,
    /// At the middle of the line.
    pub(super) top: f32,
    /// At the middle of the line.
    pub(super) bottom: f32,
    /// Rise over run.
    pub(super) slope: f32,
}

/// Connected spots of likely text.
struct Spots {
    /// (x, y)
    spots: Vec<(f32, f32)>,
    middle: (f32, f32),
    /// Where the line is long enough to tell.
    slope: Option<f32>,
}

/// The lines of a map, each grown to the size of the line that it is the core of.
pub(super) fn find(map: &[f32], width: usize, height: usize) -> (Vec<Island>, Slopes) {
    let all = connected(map, width, height);
    let points: Vec<(f32, f32)> = all
        .iter()
        .filter_map(|s| Some((s.middle.1 - s.slope? * s.middle.0, s.slope?)))
        .collect();
    let slopes = Slopes::through(&points);
    let islands = all.iter().map(|s| grown(s, &slopes)).collect();
    (islands, slopes)
}

fn grown(spots: &Spots, slopes: &Slopes) -> Island {
    let (x, y) = spots.middle;
    let told = slopes.at(slopes.level(x, y));
    // a long line knows best, unless it is two lines that touch
    let slope = spots
        .slope
        .filter(|own| (own - told).abs() < 0.015)
        .unwrap_or(told);
    let (mut left, mut right) = (f32::MAX, f32::MIN);
    let (mut top, mut bottom) = (f32::MAX, f32::MIN);
    for &(px, py) in &spots.spots {
        (left, right) = (left.min(px), right.max(px + 1.0));
        let off = py - slope * (px - x);
        (top, bottom) = (top.min(off), bottom.max(off + 1.0));
    }
    // top and bottom are told at the middle of the spots, wanted at that of the line
    let shift = slope * (f32::midpoint(left, right) - x);
    let (w, h) = (right - left, bottom - top);
    let grow = w * h * 1.6 / (2.0 * (w + h));
    Island {
        left: left - grow,
        right: right + grow,
        top: top + shift - grow,
        bottom: bottom + shift + grow,
        slope,
    }
}

fn connected(map: &[f32], width: usize, height: usize) -> Vec<Spots> {
    let mut seen = vec![false; map.len()];
    let mut out = Vec::new();
    let mut todo = Vec::new();
    for begin in 0..map.len().min(width * height) {
        if seen[begin] || map[begin] < LIKELY {
            continue;
        }
        seen[begin] = true;
        todo.push(begin);
        let mut spots = Vec::new();
        let mut sum = 0.0_f32;
        while let Some(at) = todo.pop() {
            let (x, y) = (at % width, at / width);
            spots.push((x as f32, y as f32));
            sum += map[at];
            let mut visit = |next: usize| {
                if let Some(s) = seen.get_mut(next)
                    && !*s
                    && map.get(next).is_some_and(|&p| p >= LIKELY)
                {
                    *s = true;
                    todo.push(next);
                }
            };
            if x > 0 {
                visit(at - 1);
            }
            if x + 1 < width {
                visit(at + 1);
            }
            if y > 0 {
                visit(at - width);
            }
            if y + 1 < height {
                visit(at + width);
            }
        }
        if spots.len() < SPOTS || sum / (spots.len() as f32) < 0.5 {
            continue;
        }
        out.push(measured(spots));
        if out.len() >= LINES {
            break;
        }
    }
    out
}

/// Middle and slope by least squares.
fn measured(spots: Vec<(f32, f32)>) -> Spots {
    let count = spots.len() as f32;
    let x = spots.iter().map(|s| s.0).sum::<f32>() / count;
    let y = spots.iter().map(|s| s.1).sum::<f32>() / count;
    let (mut along, mut across) = (0.0_f32, 0.0_f32);
    let (mut left, mut right) = (f32::MAX, f32::MIN);
    for &(px, py) in &spots {
        along += (px - x) * (px - x);
        across += (px - x) * (py - y);
        (left, right) = (left.min(px), right.max(px));
    }
    let wide = right - left + 1.0;
    let high = count / wide;
    let slope = (wide > LONG * high && along > 0.0)
        .then(|| across / along)
        .filter(|s| s.abs() < STEEPEST);
    Spots {
        spots,
        middle: (x, y),
        slope,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Lines whose slope grows from top to bottom, as on a page seen from the side.
    fn fan(lines: usize) -> (Vec<f32>, usize, usize) {
        let (width, height) = (300, 260);
        let mut map = vec![0.0; width * height];
        for n in 0..lines {
            let top = 20.0 + 24.0 * n as f32;
            let slope = 0.0002 * top;
            for x in 20..280 {
                let y = top + slope * x as f32;
                for dy in 0..6 {
                    map[(y as usize + dy) * width + x] = 0.9;
                }
            }
        }
        (map, width, height)
    }

    #[test]
    fn slopes_that_change_from_top_to_bottom_are_followed() {
        let (map, width, height) = fan(9);
        let (islands, slopes) = find(&map, width, height);
        assert_eq!(islands.len(), 9);
        for island in &islands {
            let top = slopes.level(150.0, f32::midpoint(island.top, island.bottom)) - 3.0;
            assert!((island.slope - 0.0002 * top).abs() < 0.004, "{island:?}");
            // as high as the line, not as its rise
            // (7 spots and a margin of 5.5 on either side; its rise would add 6 and more)
            assert!(island.bottom - island.top < 19.0, "{island:?}");
        }
        assert!((slopes.at(200.0) - 0.04).abs() < 0.004);
    }

    #[test]
    fn dirt_is_no_line() {
        let mut map = vec![0.0; 100 * 100];
        map[5050] = 1.0;
        map[5051] = 1.0;
        assert!(find(&map, 100, 100).0.is_empty());
        assert!(find(&[], 100, 100).0.is_empty());
    }
}
