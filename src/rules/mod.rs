//! What to do next, and why.
//!
//! [`advice`] what the evidence of a job comes to, [`offer`] says which flows answer a complaint,
//! [`suggest`] what a step's own rules come to, in words with the values behind them. Pure, like
//! everything it rests on.

pub mod advice;
pub mod evidence;
pub mod offer;
pub mod suggest;
