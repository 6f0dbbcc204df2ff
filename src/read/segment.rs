//! Parts of lines, before columns are told apart.

use super::page::Frame;

/// A gap that is wider than this, in sizes of the type, is wide.
pub(super) const WIDE: f64 = 0.9;

/// Part of a line without a wide gap.
#[derive(Clone, Debug)]
pub(super) struct Segment {
    pub(super) left: f64,
    pub(super) right: f64,
    pub(super) base: f64,
    pub(super) size: f64,
    pub(super) text: String,
    /// Words by rank in the segment.
    pub(super) weak: Vec<(u32, f32)>,
    /// Frames of its words, where the engine tells them.
    pub(super) frames: Vec<Frame>,
}

/// A line before columns are told apart.
pub(super) type Row = Vec<Segment>;
