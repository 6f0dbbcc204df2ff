//! What a text is made of before anything is understood: the one layer that every room above reads
//! with. Numbers in words, so far.

pub(crate) mod numbers;
