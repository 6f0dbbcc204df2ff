//! A character that was read, with the steps of the line that it takes.

/// A character, the steps over which it was seen, and how likely it was where it was likeliest.
pub(super) struct Glyph {
    pub(super) class: usize,
    pub(super) sign: char,
    pub(super) from: usize,
    pub(super) to: usize,
    pub(super) likely: f32,
}
