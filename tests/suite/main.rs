//! The test suite, one module a room.

mod read;
mod read_damage;
