//! The answer: the decision table of a second author, the invariants, the law by date.

mod build;
mod cells;
mod due;
mod entry;
mod invariants;
mod key_two;
mod law;
mod readings;
mod table;
