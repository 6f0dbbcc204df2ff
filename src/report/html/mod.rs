//! The report as one HTML file: no script, nothing from outside, readable on a phone and on paper.
//!
//! The building blocks, for every page of the program:
//!
//! * [`Html`] is markup that is safe to write. It is made only by the functions here, and the
//!   only way for words of a letter, a file name or a user into it is [`text`] (or [`lines`]),
//!   which makes them inert. There is no function that takes raw markup.
//! * [`page`] puts a body into the shell: policy, style, skip link, footer.
//! * [`p`], [`heading`], [`section`], [`link`], [`strong`], [`small`], [`list`], [`steps`],
//!   [`definitions`], [`Table`], [`quote`] with [`Mark`]s.
//!
//! Pages: [`letter`] and [`question`]; comparisons: [`letters`], [`wordings`], [`claim`].
//!
//! ```
//! use whomay::report::html::{self, Html, Table};
//!
//! let mut table = Table::new("Answers per kind", &["Kind", "Letters"]);
//! table.row([html::text("mechanic"), html::text("12")]);
//! let body: Html = [html::heading(1, "A club"), table.html()].into_iter().collect();
//! let file = html::page("A club", &body);
//! assert!(file.starts_with("<!doctype html>"));
//! ```

mod blocks;
mod chart;
mod compare;
mod inert;
mod letter;
mod quote;
mod shell;
mod stack;

pub use blocks::{
    Table, block_quote, bold, classed, definitions, div, fold, heading, link, list, p, path,
    section, small, steps, strong, ticks, verdict,
};
pub use chart::bars;
#[cfg(feature = "serve")]
pub(crate) use compare::{CLAIM, TITLE, claim_body, letters_body};
pub use compare::{claim, letters, wordings};
pub use inert::{Html, lines, piece, text};
pub use letter::{COLUMNS, PageImage, Pieces, WordBox, letter, pictures, pieces, question};
pub use quote::{Mark, marked, quote};
#[cfg(feature = "serve")]
pub(crate) use shell::STYLE;
pub use shell::page;
pub use stack::{chart, stacked};
