//! Checks against things outside the project, each with its source beside it: one binary.

mod calendar;
mod citations;
mod inspectors;
mod law;
mod read;
mod split;
