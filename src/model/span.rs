//! A half-open range of bytes in the normalized text.

/// Bytes `start..end` of [`super::Text::content`]; `end` is exclusive.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Span {
    /// First byte.
    pub start: usize,
    /// One past the last byte.
    pub end: usize,
}

impl Span {
    /// A span from `start` to `end`; both must lie on character boundaries of the text.
    #[must_use]
    pub const fn new(start: usize, end: usize) -> Self {
        Self { start, end }
    }

    /// The words of the span.
    ///
    /// Returns an empty string where the span does not lie on the text.
    #[must_use]
    pub fn of(self, text: &str) -> &str {
        text.get(self.start..self.end).unwrap_or("")
    }

    /// Length in bytes.
    #[must_use]
    pub const fn len(self) -> usize {
        self.end.saturating_sub(self.start)
    }

    /// Whether the span holds nothing.
    #[must_use]
    pub const fn is_empty(self) -> bool {
        self.end <= self.start
    }

    /// Whether `other` lies wholly inside.
    #[must_use]
    pub const fn contains(self, other: Self) -> bool {
        self.start <= other.start && other.end <= self.end
    }

    /// Whether the two share at least one byte.
    #[must_use]
    pub const fn overlaps(self, other: Self) -> bool {
        self.start < other.end && other.start < self.end
    }

    /// The same span moved right by `by` bytes.
    #[must_use]
    pub const fn shifted(self, by: usize) -> Self {
        Self::new(self.start + by, self.end + by)
    }

    /// The span without blanks at its ends.
    #[must_use]
    pub fn trimmed(self, text: &str) -> Self {
        let words = self.of(text);
        let start = self.start + (words.len() - words.trim_start().len());
        let end = self.end - (words.len() - words.trim_end().len());
        Self::new(start, end.max(start))
    }
}
