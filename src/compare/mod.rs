//! A letter held against reference wordings and against another letter.

mod age;
mod assign;
mod atoms;
mod cite;
mod claim;
mod claim_counts;
mod claim_facts;
mod claim_norms;
mod claim_words;
mod clauses;
mod condition;
mod content;
mod diff;
mod kinds;
mod letters;
mod named;
mod order;
mod order_basis;
mod order_list;
mod order_rows;
mod pool;
mod reference;
mod tidy;
mod words;

pub use age::age;
pub use claim::claim;
pub use claim_words::in_plain_words;
pub use condition::{Flaws, condition};
pub use diff::diff;
pub use letters::letters;
pub use order::{OrderFacts, OrderReading, OrderWording, order};
pub use reference::{References, Within, compare, with_wording};
