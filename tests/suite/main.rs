//! The suite: one binary, one module a room.

mod answer;
mod compare;
mod read;
mod read_damage;
