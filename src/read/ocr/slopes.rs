//! How the lines of a page slope.
//!
//! Lines of a page that was photographed from the side are level nowhere, and not parallel: their
//! slopes change from top to bottom. A straight line through the slopes of the long lines tells
//! those of the short ones.

/// No steeper line is read: the page was set level before.
pub(super) const STEEPEST: f32 = 0.12;

/// How lines slope on a page: as rise over run at the height 0, and how much more at each step down.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Slopes {
    at_top: f32,
    each: f32,
}

impl Slopes {
    /// The slope at this height.
    pub(super) fn at(&self, y: f32) -> f32 {
        (self.at_top + self.each * y).clamp(-STEEPEST, STEEPEST)
    }

    /// Where the line through a point stands at the left edge.
    pub(super) fn level(&self, x: f32, y: f32) -> f32 {
        let run = 1.0 + self.each * x;
        if run > 0.5 {
            (y - self.at_top * x) / run
        } else {
            y
        }
    }

    /// For a page whose columns and rows are that much wider and higher.
    pub(super) fn scaled(&self, wider: f32, higher: f32) -> Self {
        Self {
            at_top: self.at_top * higher / wider,
            each: self.each / wider,
        }
    }

    /// For the page of this size turned upside down.
    pub(super) fn turned(&self, width: f32, height: f32) -> Self {
        let run = (1.0 + self.each * width).max(0.5);
        Self {
            at_top: self.at_top + self.each * (height - self.at_top * width) / run,
            each: -self.each / run,
        }
    }

    /// Through the slopes of long lines, (height, slope): the median of all pairs, so that a few
    /// wrong ones do not matter (Theil and Sen).
    pub(super) fn through(points: &[(f32, f32)]) -> Self {
        if points.len() < 3 {
            return Self::default();
        }
        let mut steps: Vec<f32> = Vec::new();
        for (n, a) in points.iter().enumerate() {
            for b in points.iter().skip(n + 1) {
                if (b.0 - a.0).abs() > 1.0 {
                    steps.push((b.1 - a.1) / (b.0 - a.0));
                }
            }
        }
        let each = median(&mut steps);
        let mut tops: Vec<f32> = points.iter().map(|(y, slope)| slope - each * y).collect();
        Self {
            at_top: median(&mut tops),
            each,
        }
    }
}

/// The middle one of the values; 0 where there are none.
pub(super) fn median(values: &mut [f32]) -> f32 {
    values.sort_by(f32::total_cmp);
    values.get(values.len() / 2).copied().unwrap_or(0.0)
}
