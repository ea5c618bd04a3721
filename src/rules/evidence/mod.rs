//! Reasoning over causes: which are likely, and which test is worth its minutes.
//!
//! A hypothesis is a set of causes that are present together ([`sets`]); what a test shows under
//! each is a table ([`table`]); what was read turns prior into posterior ([`belief`]); the next
//! step is the one with the least expected minutes to a proven repair ([`next`], [`cost`]); and
//! every reading's share in the result can be told ([`why`]). Numbers in, numbers out: flows and
//! cars are turned into these tables elsewhere.

pub mod belief;
pub mod case;
pub mod cost;
mod look;
pub mod next;
pub mod sets;
pub mod table;
pub mod why;
