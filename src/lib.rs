//! `whomay` reads the operating limitations of a US experimental aircraft and answers: who may
//! inspect this aircraft, by which clause and which rule, and what is in dispute?
//!
//! ```text
//! files ──read──▶ Text ──understand──▶ Letter ──answer(Question)──▶ Answers ──report──▶ terminal · json
//! ```
//!
//! [`model::Letter`] is everything that the words alone say. [`model::Question`] is what only the
//! user knows: the day, who holds what, who owns the aircraft. The answers need both, and the
//! rules in force on that day, which live as data in `patterns/`.
//!
//! ```
//! use whomay::{model, patterns::Patterns};
//!
//! let patterns = Patterns::embedded().expect("the embedded patterns are checked by the tests");
//! let text = model::Text::verbatim("(26) An appropriately rated mechanic may perform the condition inspection.");
//! let letter = whomay::understand(&text, &patterns);
//! assert_eq!(letter.clauses[0].id, "26");
//! ```
//!
//! Nothing here is legal advice, and nothing leaves the machine.

pub mod answer;
mod case;
pub mod cli;
pub mod compare;
pub mod document;
pub mod grammar;
pub mod model;
pub mod patterns;
pub mod read;
pub mod report;
#[cfg(feature = "serve")]
pub mod serve;
pub mod survey;
mod text;
mod threads;
pub mod understand;

pub use answer::answer;
pub use case::Case;
pub use read::read;
pub use understand::understand;
