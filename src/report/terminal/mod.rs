//! The report for people, in plain text of a certain width: the answer first, then why, then the
//! letter.

mod brief;
mod dispute;
mod first;
mod letter;
pub(crate) mod sheet;
mod why;

use super::Report;
use dispute::next_shortly;
pub(crate) use letter::{age, changes};
use sheet::Sheet;
pub(crate) use why::{clauses as inspector_clauses, keys};

/// The widest that a report gets by itself.
pub const WIDTH: usize = 80;

/// The whole report; styles are ANSI sequences, for the writer to strip where none are wanted.
#[must_use]
pub fn whole(report: &Report<'_>, width: usize) -> String {
    let mut sheet = Sheet::new(width);
    first::screen(&mut sheet, report);
    answer_parts(&mut sheet, report);
    letter::clauses(&mut sheet, report);
    letter::condition(&mut sheet, report);
    age(&mut sheet, report);
    letter::notes(&mut sheet, report);
    letter::made_with(&mut sheet, report);
    sheet.finish()
}

/// The report in short: the first screen, then each part on few lines. Rules and readings word for
/// word, and the letter, are in [`whole`].
#[must_use]
pub fn overview(report: &Report<'_>, width: usize) -> String {
    let mut sheet = Sheet::new(width);
    first::screen(&mut sheet, report);
    next_shortly(&mut sheet, report);
    brief::inspectors(&mut sheet, report);
    brief::keys(&mut sheet, report);
    brief::readings(&mut sheet, report);
    dispute::situations(&mut sheet, report);
    brief::beware(&mut sheet, report);
    brief::clauses(&mut sheet, report);
    letter::condition(&mut sheet, report);
    brief::origin(&mut sheet, report);
    letter::notes(&mut sheet, report);
    sheet.blank();
    sheet.para(
        0,
        "`whomay read LETTER --full` gives all of it word for word: the rules and what they hold \
         on, what speaks for and against each reading, the steps for each kind of person, the \
         letter.",
    );
    letter::made_with(&mut sheet, report);
    sheet.finish()
}

/// Only the question: the first screen and what next. The rest is in [`whole`].
#[must_use]
pub fn question(report: &Report<'_>, width: usize) -> String {
    let mut sheet = Sheet::new(width);
    first::screen(&mut sheet, report);
    next_shortly(&mut sheet, report);
    letter::notes(&mut sheet, report);
    sheet.blank();
    let flaws = match report.letter.findings.len() {
        0 => String::new(),
        1 => ", and a flaw of the paper".to_owned(),
        n => format!(", and {n} flaws of the paper"),
    };
    sheet.para(
        0,
        &format!(
            "`whomay read LETTER` shows the rules, the readings of the dispute, the letter{flaws}."
        ),
    );
    sheet.finish()
}

fn answer_parts(sheet: &mut Sheet, report: &Report<'_>) {
    why::clauses(sheet, report);
    why::keys(sheet, report);
    dispute::readings(sheet, report);
    dispute::next(sheet, report);
    dispute::situations(sheet, report);
    dispute::beware(sheet, report);
    dispute::unverified(sheet, report);
}
