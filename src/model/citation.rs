//! References to regulations.

use super::Span;

/// One cited target; a list gives one citation a member, a range one for the whole.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Citation {
    /// Where the words stand.
    pub span: Span,
    /// Canonical form: `91.319(b)`, `part 43 appendix D`, `part 91 subpart K`,
    /// `91.1057..91.1061`, `49 CFR part 171`.
    pub target: String,
    /// Title of the CFR; 14 where the words name none.
    pub title: u16,
    /// Part number.
    pub part: String,
    /// Section number within the part, without paragraphs; empty for a whole part.
    pub section: String,
}
