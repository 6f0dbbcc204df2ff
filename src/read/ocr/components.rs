//! Connected components of ink: a picture in black and white → the boxes of its letters.

/// Ink, row by row: `true` where the paper is black.
pub(super) struct Ink {
    pub(super) width: usize,
    pub(super) height: usize,
    pub(super) black: Vec<bool>,
}

/// The box around ink that hangs together, in pixels; right and bottom lie outside of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Component {
    pub(super) left: u32,
    pub(super) top: u32,
    pub(super) right: u32,
    pub(super) bottom: u32,
    /// Pixels of ink.
    pub(super) area: u32,
}

impl Component {
    pub(super) fn width(&self) -> f32 {
        (self.right - self.left) as f32
    }

    pub(super) fn height(&self) -> f32 {
        (self.bottom - self.top) as f32
    }

    /// The middle from left to right.
    pub(super) fn middle(&self) -> f32 {
        (self.left + self.right) as f32 / 2.0
    }

    /// Whether it is as large as a letter, or as a few that touch, where small letters are so high.
    pub(super) fn is_letter(&self, small: f32) -> bool {
        self.height() > 0.45 * small
            && self.height() < 2.6 * small
            && self.width() < 12.0 * small
            && self.area as f32 > 0.07 * small * small
    }

    /// On a picture that is so many times larger.
    pub(super) fn scaled(self, by: f32) -> Self {
        let side = |s: u32| (s as f32 * by) as u32;
        Self {
            left: side(self.left),
            top: side(self.top),
            right: side(self.right),
            bottom: side(self.bottom),
            area: (self.area as f32 * by * by) as u32,
        }
    }

    /// The box around both.
    pub(super) fn with(self, other: Self) -> Self {
        Self {
            left: self.left.min(other.left),
            top: self.top.min(other.top),
            right: self.right.max(other.right),
            bottom: self.bottom.max(other.bottom),
            area: self.area + other.area,
        }
    }
}

/// Sets that grow together: the union-find structure.
pub(super) struct Sets {
    parent: Vec<u32>,
}

impl Sets {
    /// So many sets of one member each.
    pub(super) fn of(count: usize) -> Self {
        let count = u32::try_from(count).unwrap_or(u32::MAX);
        Self {
            parent: (0..count).collect(),
        }
    }

    fn add(&mut self) -> u32 {
        let new = u32::try_from(self.parent.len()).unwrap_or(u32::MAX);
        self.parent.push(new);
        new
    }

    /// The member that stands for the set.
    pub(super) fn root(&mut self, mut member: u32) -> u32 {
        loop {
            let up = self.parent.get(member as usize).copied().unwrap_or(member);
            if up == member {
                return member;
            }
            let over = self.parent.get(up as usize).copied().unwrap_or(up);
            if let Some(p) = self.parent.get_mut(member as usize) {
                *p = over;
            }
            member = over;
        }
    }

    /// Makes one set of the two.
    pub(super) fn join(&mut self, a: u32, b: u32) {
        let (a, b) = (self.root(a), self.root(b));
        if let Some(p) = self.parent.get_mut(a.max(b) as usize) {
            *p = a.min(b);
        }
    }
}

/// Ink in a row without a gap.
#[derive(Clone, Copy)]
struct Run {
    start: u32,
    end: u32,
    set: u32,
}

/// The components, by the first row in which they appear; corners that touch hang together.
pub(super) fn components(ink: &Ink) -> Vec<Component> {
    let mut sets = Sets::of(0);
    let mut boxes: Vec<Component> = Vec::new();
    let (mut above, mut here): (Vec<Run>, Vec<Run>) = (Vec::new(), Vec::new());
    for (y, row) in ink.black.chunks_exact(ink.width.max(1)).enumerate() {
        here.clear();
        let mut x = 0;
        let mut old = 0;
        while let Some(start) = row[x..].iter().position(|&b| b).map(|n| n + x) {
            let end = row[start..]
                .iter()
                .position(|&b| !b)
                .map_or(row.len(), |n| n + start);
            let (from, to) = (start as u32, end as u32);
            let mut set = None;
            // runs above that end before this one begins touch no later one either
            while above.get(old).is_some_and(|r| r.end < from) {
                old += 1;
            }
            for run in above[old..].iter().take_while(|r| r.start <= to) {
                match set {
                    None => set = Some(run.set),
                    Some(s) => sets.join(s, run.set),
                }
            }
            let run = Component {
                left: from,
                top: y as u32,
                right: to,
                bottom: y as u32 + 1,
                area: to - from,
            };
            let set = set.unwrap_or_else(|| {
                boxes.push(Component { area: 0, ..run });
                sets.add()
            });
            if let Some(b) = boxes.get_mut(set as usize) {
                *b = b.with(run);
            }
            here.push(Run {
                start: from,
                end: to,
                set,
            });
            x = end;
        }
        std::mem::swap(&mut above, &mut here);
    }
    let mut whole: Vec<Option<Component>> = vec![None; boxes.len()];
    for (n, part) in boxes.iter().enumerate() {
        let root = sets.root(n as u32) as usize;
        if let Some(w) = whole.get_mut(root) {
            *w = Some(w.map_or(*part, |w| w.with(*part)));
        }
    }
    whole.into_iter().flatten().collect()
}

/// A letter of these pixels, for tests.
#[cfg(test)]
pub(super) fn letter(left: u32, top: u32, width: u32, height: u32) -> Component {
    Component {
        left,
        top,
        right: left + width,
        bottom: top + height,
        area: width * height / 2,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(rows: &[&str]) -> Vec<Component> {
        let width = rows.first().map_or(0, |r| r.len());
        components(&Ink {
            width,
            height: rows.len(),
            black: rows
                .iter()
                .flat_map(|r| r.chars().map(|c| c == '#'))
                .collect(),
        })
    }

    #[test]
    fn ink_that_touches_is_one_component() {
        let found = of(&[
            "#...#..", //
            "#...#.#", "##.##..", ".###...", "......#",
        ]);
        let boxes: Vec<_> = found
            .iter()
            .map(|c| (c.left, c.top, c.right, c.bottom, c.area))
            .collect();
        assert_eq!(boxes, [(0, 0, 5, 4, 11), (6, 1, 7, 2, 1), (6, 4, 7, 5, 1)]);
    }

    #[test]
    fn corners_that_touch_hang_together() {
        assert_eq!(of(&["#..", ".#.", "..#"]).len(), 1);
        assert_eq!(of(&["#.#", "...", "#.#"]).len(), 4);
        assert!(of(&[]).is_empty());
    }
}
