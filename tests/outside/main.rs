//! Checks against things outside the project, each with its source beside it: one binary.

mod calendar;
mod citations;
mod compare;
mod inspectors;
mod law;
mod letters;
mod modality;
mod producers;
mod read;
mod split;
