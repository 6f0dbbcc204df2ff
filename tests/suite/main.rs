//! The suite: one binary, one module a room.

mod modality;
mod quiet;
mod topics;
