//! Letters side by side: a piece of a line.

use super::components::Component;
use super::rows::GAP;
use super::slopes::median;

/// A piece of a line.
pub(super) struct Piece {
    pub(super) letters: Vec<Component>,
    pub(super) left: f32,
    pub(super) right: f32,
    pub(super) slope: f32,
    /// Top of its high letters, where their feet stand, and the bottom of its long ones: at the
    /// middle of the piece.
    pub(super) top: f32,
    pub(super) base: f32,
    pub(super) bottom: f32,
}

impl Piece {
    /// Of these letters, with this slope.
    pub(super) fn of(letters: Vec<Component>, slope: f32) -> Self {
        let mut piece = Self {
            letters,
            left: 0.0,
            right: 0.0,
            slope,
            top: 0.0,
            base: 0.0,
            bottom: 0.0,
        };
        piece.measure();
        piece
    }

    pub(super) fn middle(&self) -> f32 {
        f32::midpoint(self.left, self.right)
    }

    /// How far a place lies below where it would be if the piece were level.
    pub(super) fn fall(&self, x: f32) -> f32 {
        self.slope * (x - self.middle())
    }

    /// Both as one; the longer one tells the slope.
    pub(super) fn with(mut self, mut other: Self) -> Self {
        let (left, right) = (self.left.min(other.left), self.right.max(other.right));
        if other.letters.len() > self.letters.len() {
            std::mem::swap(&mut self, &mut other);
        }
        self.letters.append(&mut other.letters);
        self.measure();
        self.reach(left, right);
        self
    }

    /// Moves its ends, and with them the middle, where its heights are told.
    pub(super) fn reach(&mut self, left: f32, right: f32) {
        let old = self.middle();
        (self.left, self.right) = (left, right);
        let moved = self.slope * (self.middle() - old);
        self.top += moved;
        self.base += moved;
        self.bottom += moved;
    }

    /// Whether it is one sign or two, and may belong to a piece beside it.
    pub(super) fn is_tiny(&self) -> bool {
        self.letters.len() < 3
    }

    /// Whether a tiny piece stands at its height and near enough to be part of it.
    pub(super) fn holds(&self, tiny: &Self, small: f32, tall: f32) -> bool {
        let y = f32::midpoint(tiny.top, tiny.bottom) - self.fall(tiny.middle());
        // a full stop may stand between
        let near = tiny.left < self.right + GAP * small && tiny.right > self.left - GAP * small;
        near && y > self.top - 0.1 * tall && y < self.bottom.max(self.base) + 0.2 * tall
    }

    /// Tops, feet and bottoms of its letters, measured along the slope.
    pub(super) fn measure(&mut self) {
        self.left = self.letters.iter().map(|c| c.left).min().unwrap_or(0) as f32;
        self.right = self.letters.iter().map(|c| c.right).max().unwrap_or(0) as f32;
        let mut tops: Vec<f32> = Vec::with_capacity(self.letters.len());
        let mut bottoms: Vec<f32> = Vec::with_capacity(self.letters.len());
        for c in &self.letters {
            tops.push(c.top as f32 - self.fall(c.middle()));
            bottoms.push(c.bottom as f32 - self.fall(c.middle()));
        }
        self.base = median(&mut bottoms);
        tops.sort_by(f32::total_cmp);
        let few = self.letters.len() / 25;
        self.top = tops.get(few).copied().unwrap_or(0.0);
        self.bottom = bottoms
            .get(bottoms.len().saturating_sub(few + 1))
            .copied()
            .unwrap_or(0.0);
    }
}
