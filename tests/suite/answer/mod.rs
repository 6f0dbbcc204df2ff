//! The answer: the decision table of a second author, the invariants, the law by date.

mod build;
mod law;
mod table;
