//! Checks against things outside the project, each with its source beside it.

mod calendar;
mod law;
