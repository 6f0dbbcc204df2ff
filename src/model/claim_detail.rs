//! What a claim says otherwise than the letter, as data; the report says it in words.

use super::{Inspection, Kind};

/// One departure of a claim with its particulars.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ClaimDetail {
    /// It limits the list, the letter permits without limiting.
    LimitsList,
    /// The same by "must".
    MustLimitsList,
    /// It permits without limiting, the letter limits the list.
    OpensList,
    /// It lets others in, the letter limits the list.
    LetsOthersIn,
    /// It says that they need not, the letter demands it.
    NeedNot,
    /// It shuts somebody out whom the letter names.
    ShutsOutNamed(Kind),
    /// It names somebody whom the letter shuts out.
    NamesShutOut(Kind),
    /// It names somebody whom the letter does not name.
    NamesUnnamed(Kind),
    /// It leaves somebody out whom the letter names.
    LeavesOut(Kind),
    /// It says that no inspection authorization is needed, the letter asks for one.
    NoAuthorization,
    /// It asks for an inspection authorization, the letter does not.
    AsksAuthorization,
    /// It speaks of another inspection than the clause.
    AnotherInspection(Inspection),
    /// It speaks of a check, in these words, of which the clause does not speak.
    AnotherCheck(String),
    /// It turns the force of the letter.
    Force(ForceTurned),
    /// It limits what the letter says without a limit.
    AddsLimit,
    /// It leaves the word "only" out.
    LeavesOutOnly,
    /// One of the two has a "not".
    OneDenies,
    /// It leaves these words of the letter out.
    LeavesOutWords(String),
    /// It leaves a condition on the persons out, in these words of the letter.
    LeavesOutCondition(String),
    /// It sets a condition on the persons that the letter does not, in these words.
    AddsCondition(String),
    /// The clause does not say these words of it.
    AddsWords(String),
    /// It does away with a condition of the letter, in these words.
    DoesAway(String),
    /// It has one of several words that shut each other out.
    Rival {
        /// Its word.
        says: String,
        /// The letter's word, where it has one of them.
        letter: Option<String>,
    },
    /// A number that the clause has otherwise, or not at all.
    Number {
        /// With its measure, as the claim has it.
        says: String,
        /// What the letter has for it.
        letter: Option<String>,
        /// The numbers are the same, and calendar months end on another day.
        last_day: bool,
    },
    /// It cites a rule that the clause does not cite.
    Cites(String),
}

/// What the force of a claim makes of the force of the letter.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ForceTurned {
    /// Leave for a duty.
    LeaveForDuty,
    /// A duty for leave.
    DutyForLeave,
    /// Leave for a bar.
    LeaveForBar,
    /// A duty for a bar.
    DutyForBar,
    /// A bar for leave.
    BarForLeave,
    /// A bar for a duty.
    BarForDuty,
    /// No need for a duty.
    NoNeedForDuty,
    /// A duty for no need.
    DutyForNoNeed,
    /// A limit for leave without one.
    LimitForLeave,
    /// Leave without a limit for a limit.
    LeaveForLimit,
    /// Leave for a bar that has exceptions.
    LeaveForBarWithExceptions,
    /// A whole bar for one with a way out.
    BarForWayOut,
    /// A way out for a whole bar.
    WayOutForBar,
}
