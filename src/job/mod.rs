//! The record of a job: where its events lie, how they are found again, and how they travel.
//!
//! This layer owns durability: once [`store::Store::append`] has returned, the events are on the
//! disk. It knows events as data and nothing of what they mean to a flow: no conditions, no
//! physics, no screens. It reads the clock for one thing only, the age of a writer's claim.

pub mod file;
pub mod find;
pub use crate::flow::hidden;
pub mod line;
pub mod merge;
pub mod place;
pub mod save;
pub mod sqlite;
pub mod store;

mod alive;
mod claim;
mod paper;
mod row;
mod schema;
