//! What a text is made of before anything is understood: the one layer that every room above reads
//! with. Numbers and days in words, so far.

pub(crate) mod numbers;
