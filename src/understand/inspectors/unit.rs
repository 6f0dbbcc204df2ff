//! A clause with what belongs to it.

use crate::model::Span;

/// A clause with everything that belongs to it.
pub(super) struct Unit {
    pub(super) clause: usize,
    pub(super) body: Span,
    pub(super) leads_in: bool,
    pub(super) numbered: bool,
}
