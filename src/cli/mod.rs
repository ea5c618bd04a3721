//! The sub-commands, one file or folder each.

pub mod calc;
