//! The suite: one binary, one module for each room.

mod answer;
mod report;
