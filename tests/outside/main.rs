//! Checks against things outside the project, each with its source beside it: one binary.

mod calendar;
mod citations;
mod claims;
mod compare;
mod docx;
mod entries;
mod inspectors;
mod law;
mod letters;
mod modality;
mod numbers;
mod orders;
mod papers;
mod producers;
mod quotes;
mod read;
mod removal;
mod split;
