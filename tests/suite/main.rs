//! The suite: one binary, one module a room.

mod compare;
