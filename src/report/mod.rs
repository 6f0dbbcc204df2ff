//! Rendering: one file per format. JSON has types of its own, apart from the model.

pub mod passages;
