//! The suite: one binary, one module a room.

mod compare;
mod compare_age;
mod compare_diff;
mod compare_pairing;
