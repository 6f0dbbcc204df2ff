//! What the reader has to be told about an answer to key 2, as data.

use super::{Defect, Inspection, Paper, RuleDoubt, Unread};
use jiff::civil::Date;

/// Why the letter says what it says of a kind, or what to know beside it. Clauses are indexes into
/// [`Letter::clauses`](super::Letter::clauses).
#[derive(Clone, Debug, PartialEq)]
pub enum KeyNote {
    /// A piece was not read that could hold any clause.
    Unread(Unread),
    /// The paper is no letter of operating limitations.
    NoLetter(Paper),
    /// An amendment is younger than the day asked about.
    AmendedLater {
        /// The day of the amendment.
        amended: Date,
        /// The day asked about.
        on: Date,
    },
    /// The letter is younger than the day asked about.
    IssuedLater {
        /// The day of the letter.
        issued: Date,
        /// The day asked about.
        on: Date,
    },
    /// The letter is one of a category of aircraft that there was not on that day.
    NoSuchCategory {
        /// The day asked about.
        on: Date,
    },
    /// A rule closes the list for that category of aircraft.
    CategoryList {
        /// Id of the file in `patterns/law/`.
        law: String,
    },
    /// The words of a clause cannot be relied on.
    InDoubt {
        /// The clause.
        clause: usize,
        /// Why.
        doubt: RuleDoubt,
    },
    /// A clause limits who may inspect, and names nobody that could be read.
    NamesUnread {
        /// The clause.
        clause: usize,
    },
    /// A flaw of the letter takes the words of a clause away.
    Flawed(Defect),
    /// These clauses are general, and that for the named inspection goes before them.
    GeneralYields(Vec<usize>),
    /// These clauses speak of the inspection without saying who may do it.
    SaysNotWho(Vec<usize>),
    /// These clauses speak of another inspection.
    AnotherInspection {
        /// The clauses.
        clauses: Vec<usize>,
        /// Which.
        inspection: Inspection,
    },
    /// Beside a list: another clause could stand where something is missing.
    AnotherClauseLost(Defect),
    /// A general clause shuts the kind out, the clause for this inspection names it.
    NamedBeforeGeneral,
    /// The same, with a term that may or may not cover the kind.
    PerhapsNamedBeforeGeneral,
    /// One clause names the kind, another shuts a family out that may cover it.
    NamedAndPerhapsShutOut,
    /// One clause names the kind, another shuts it out.
    NamedAndShutOut,
    /// These clauses shut the kind out in one case only.
    InOneCase(Vec<usize>),
    /// These clauses hold in a case of their own, and in it and out of it the answer is the same.
    EitherWay(Vec<usize>),
    /// A clause names the kind on a condition that is not met.
    ConditionNotMet {
        /// The clause.
        clause: usize,
        /// What it asks.
        asks: String,
    },
    /// These clauses close the list without the kind, another clause names it.
    ClosedWithout(Vec<usize>),
    /// The clause uses a term that may or may not cover the kind.
    GenericTerm,
    /// A clause asks something of the kind that is not met.
    DemandNotMet {
        /// The clause.
        clause: usize,
    },
    /// A clause alone does not say who may inspect.
    ClauseAlone,
    /// No clause in force says who, and words that did may have been replaced.
    PerhapsReplaced,
    /// No clause says who, and it could stand where something is missing.
    SilentBeside(Defect),
    /// No clause says who, and it could stand in what was not read.
    SilentBesideUnread(Unread),
    /// The papers are of different aircraft.
    DifferentAircraft,
    /// The letter is of the days between the rule on this kind and the first order that names it.
    Gap {
        /// The day of the letter.
        issued: Date,
    },
}
