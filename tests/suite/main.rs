//! The suite: one binary, one module a room.

mod answer;
mod attacks;
mod citations;
mod cli;
mod compare;
mod docx;
mod flaws;
mod grammar;
mod html;
mod law_words;
mod libraries;
mod modality;
#[cfg(target_os = "linux")]
mod names;
mod notes;
mod output;
mod papers;
mod papers_out;
mod patterns;
mod quiet;
mod read;
mod read_damage;
mod report;
mod samples;
#[cfg(feature = "ocr")]
mod scans;
mod sentences;
#[cfg(feature = "serve")]
mod serve;
mod shape;
mod split;
mod stray;
mod survey;
mod topics;
mod typed;
