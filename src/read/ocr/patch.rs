//! Where lines and words stand on a page.

/// A rectangle on the page with a piece of a line in it, in pixels.
#[derive(Clone, Copy, Debug)]
pub(super) struct Patch {
    pub(super) left: f32,
    pub(super) top: f32,
    pub(super) right: f32,
    pub(super) bottom: f32,
    /// The height by which lines are told apart: the feet of the letters, or the middle where the
    /// engine does not tell them.
    pub(super) base: f32,
    /// How the line in it slopes, as rise over run; heights are meant at its middle.
    pub(super) slope: f32,
}

impl Patch {
    /// The rectangle around both.
    pub(super) fn with(&self, other: &Self) -> Self {
        let (top, bottom) = (self.top.min(other.top), self.bottom.max(other.bottom));
        Self {
            left: self.left.min(other.left),
            right: self.right.max(other.right),
            top,
            bottom,
            base: f32::midpoint(top, bottom),
            slope: self.slope,
        }
    }

    /// Where it stands when a page of this size is turned upside down.
    pub(super) fn turned(&self, width: f32, height: f32) -> Self {
        Self {
            left: width - self.right,
            right: width - self.left,
            top: height - self.bottom,
            bottom: height - self.top,
            base: height - self.base,
            slope: self.slope,
        }
    }

    /// On a picture of the page that is so many times larger.
    pub(super) fn scaled(&self, by: f32) -> Self {
        Self {
            left: self.left * by,
            right: self.right * by,
            top: self.top * by,
            bottom: self.bottom * by,
            base: self.base * by,
            slope: self.slope,
        }
    }
}

/// A word with its place on the page, in pixels.
#[derive(Clone, Debug)]
pub(super) struct Word {
    pub(super) text: String,
    pub(super) left: f32,
    pub(super) right: f32,
    /// The lowest confidence of its characters.
    pub(super) confidence: f32,
    /// How likely the word is as a whole, where the reader tells it.
    pub(super) posterior: Option<f32>,
}
