//! The suite: one binary, one module a room.

mod answer;
mod cli;
mod compare;
mod compare_age;
mod compare_diff;
mod compare_pairing;
mod read;
mod read_damage;
mod report;
