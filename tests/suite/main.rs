//! The suite: one binary, one module a room.

mod answer;
mod cli;
mod compare;
mod patterns;
mod read;
mod read_damage;
mod report;
mod samples;
