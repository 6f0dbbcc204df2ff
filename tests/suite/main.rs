//! Tests of the stages, one module a room.

mod citations;
mod sentences;
mod split;
