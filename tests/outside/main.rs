//! Checks against things outside the project, each with its source beside it: one binary.

mod modality;
