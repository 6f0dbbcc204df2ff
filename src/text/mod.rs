//! What a text is made of before anything is understood: the one layer that every room above reads
//! with: numbers in words, registration marks, and the names of its files.

mod file_name;
pub(crate) mod numbers;
pub(crate) mod registration;

pub(crate) use file_name::file_name;
