//! Letters side by side → sets, each a piece of a line.

use super::components::{Component, Sets};

/// Gap to the next letter of the same piece, in heights of a small letter; measured so that the two
/// blanks after a typewriter's full stop are bridged and the gutter between two columns is not.
pub(super) const GAP: f32 = 2.6;
/// The same behind a dash: it ends a line in which a word is parted, and the gutter comes next.
const GAP_DASH: f32 = 1.8;
/// A blank as wide as this, in heights of a small letter, may be the gutter between two columns.
const GUTTER: f32 = 1.4;
/// So many pieces begin where a column does.
const COLUMN: usize = 6;
/// Pieces of fewer letters tell of no column, and are not cut off: the number of a clause.
const LONG: usize = 8;

/// Letters side by side, the sets of those that are linked from one to the next.
pub(super) fn linked(letters: &[Component], small: f32) -> Vec<Vec<Component>> {
    let mut sets = Sets::of(letters.len());
    for (n, a) in letters.iter().enumerate() {
        let dash = a.height() < 0.7 * small && a.width() > 1.3 * a.height();
        let gap = if dash { GAP_DASH } else { GAP };
        let reach = a.right as f32 + gap * small;
        for (m, b) in letters.iter().enumerate().skip(n + 1) {
            if b.left as f32 > reach {
                break;
            }
            if beside(a, b, small) {
                sets.join(n as u32, m as u32);
            }
        }
    }
    let mut of: Vec<Vec<Component>> = vec![Vec::new(); letters.len()];
    for (n, letter) in letters.iter().enumerate() {
        let root = sets.root(n as u32) as usize;
        if let Some(set) = of.get_mut(root) {
            set.push(*letter);
        }
    }
    of.retain(|set| !set.is_empty());
    at_gutters(of, small)
}

/// Cuts sets where a wide blank stands before a place at which many others begin: a narrow gutter
/// that a dash or a long letter has bridged.
fn at_gutters(sets: Vec<Vec<Component>>, small: f32) -> Vec<Vec<Component>> {
    let long = sets.iter().filter(|set| set.len() >= LONG);
    let mut begins: Vec<f32> = long
        .filter_map(|set| set.iter().map(|c| c.left).min())
        .map(|left| left as f32)
        .collect();
    begins.sort_by(f32::total_cmp);
    let mut out = Vec::with_capacity(sets.len());
    for mut set in sets {
        set.sort_by_key(|c| c.left);
        let (mut from, mut right) = (0, 0);
        for n in 0..set.len() {
            let left = set[n].left;
            let wide = n - from >= LONG && left as f32 - right as f32 > GUTTER * small;
            if wide && set.len() - n >= LONG {
                let near = |by: f32| begins.partition_point(|&b| b < left as f32 + by * small);
                if near(0.7) - near(-0.7) >= COLUMN {
                    out.push(set[from..n].to_vec());
                    from = n;
                }
            }
            right = right.max(set[n].right);
        }
        out.push(set.split_off(from));
    }
    out
}

/// Whether the middles of two components overlap in height: those of the letters of one line do,
/// with or without parts above and below, and those of two lines do not.
fn beside(a: &Component, b: &Component, small: f32) -> bool {
    let band = |c: &Component| {
        let (top, height) = (c.top as f32, c.height());
        (top + 0.3 * height, top + 0.7 * height)
    };
    let ((a_top, a_bottom), (b_top, b_bottom)) = (band(a), band(b));
    let over = a_bottom.min(b_bottom) - a_top.max(b_top);
    // a quote stands at the height of the next capital's arm: it is no letter beside it
    let (mark, other) = if a.height() < b.height() {
        (a, b)
    } else {
        (b, a)
    };
    if mark.height() < 0.8 * small
        && mark.bottom as f32 <= f32::midpoint(other.top as f32, other.bottom as f32)
    {
        return false;
    }
    // what is set in another size is another line
    let (low, high) = (a.height().min(b.height()), a.height().max(b.height()));
    over > 0.0 && (high < 2.6 * low || high < 1.7 * small)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::read::ocr::components::letter;

    /// A line of small letters, 10 pixels high, 12 apart.
    fn line(left: u32, top: u32, count: u32) -> Vec<Component> {
        (0..count)
            .map(|n| letter(left + 12 * n, top, 10, 10))
            .collect()
    }

    #[test]
    fn a_quote_is_no_letter_beside_a_capital() {
        let (capital, quote) = (letter(30, 0, 12, 15), letter(20, 0, 3, 7));
        assert!(!beside(&quote, &capital, 10.0));
        assert!(beside(&letter(15, 5, 10, 10), &capital, 10.0));
    }

    #[test]
    fn a_blank_is_a_gutter_where_others_begin_behind_it() {
        // two lines of ten letters with 20 pixels between them, in a row
        let bridged = |below: u32| {
            let mut all = [line(0, 0, 10), line(138, 0, 10)].concat();
            for n in 1..=below {
                all.extend(line(138, 20 * n, 10));
            }
            all.sort_by_key(|c| (c.left, c.top));
            linked(&all, 10.0).len() as u32 - below
        };
        assert_eq!(bridged(3), 1);
        assert_eq!(bridged(6), 2);
    }

    #[test]
    fn the_number_of_a_clause_stays_with_its_text() {
        let mut all = [line(0, 0, 3), line(54, 0, 10)].concat();
        for n in 1..=8 {
            all.extend(line(54, 20 * n, 10));
        }
        all.sort_by_key(|c| (c.left, c.top));
        assert_eq!(linked(&all, 10.0).len(), 9);
    }
}
