//! The suite: one binary, one module a room.

mod answer;
mod compare;
