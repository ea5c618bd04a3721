//! Flows.
pub mod finding;
pub mod node;
