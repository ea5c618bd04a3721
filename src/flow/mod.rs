//! Flows: test procedures that a workshop owner writes in YAML.
//!
//! From text to a tree that knows its places ([`node`]), to a checked model ([`load`], [`model`]),
//! to the values that follow from what was read ([`working`]) and the outcome that applies
//! ([`choice`]). Pure: nothing here reads a file, a clock or the terminal, and nothing here knows
//! of jobs; the engine does.

pub mod answer;
pub mod cautions;
pub mod choice;
pub mod condition;
pub mod facts;
pub mod finding;
pub mod hidden;
pub mod kept;
pub mod likelihood;
pub mod load;
pub mod log_key;
pub mod meaning;
pub mod model;
pub mod node;
pub mod order;
pub mod place;
pub mod shelf;
pub mod signature;
mod syntax;
pub mod system;
pub mod target;
pub mod unsettled;
pub mod values;
pub mod working;
