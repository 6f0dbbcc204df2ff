//! The caution that every report carries.

/// The general caution.
pub const GENERAL: &str =
    "Not legal advice: ask the FAA office, a certificated mechanic or an attorney.";
