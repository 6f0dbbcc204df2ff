//! What is known of a passage before it is read.

/// What is known of a passage before it is read, for texts that are handed over in pieces.
#[derive(Clone, Copy, Debug, Default)]
pub struct Context<'a> {
    /// A lead-in that governs the text: "The operator shall:".
    pub stem: Option<&'a str>,
    /// Part of the CFR in which the text stands, for "this part".
    pub part: Option<&'a str>,
    /// Section in which the text stands, for "this section".
    pub section: Option<&'a str>,
}
