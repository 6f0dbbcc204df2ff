//! A letter held against reference wordings and against another letter.

mod age;
mod assign;
mod atoms;
mod cite;
mod clauses;
mod content;
mod diff;
mod kinds;
mod named;
mod pool;
mod reference;
mod tidy;
mod words;

pub use age::age;
pub use diff::diff;
pub use reference::{References, Within, compare};
