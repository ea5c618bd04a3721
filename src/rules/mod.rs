//! What to do next, and why.
//!
//! [`offer`] says which flows answer a complaint, [`suggest`] what a step's own rules come to, in
//! words with the values behind them. Pure, like everything it rests on.

pub mod evidence;
pub mod offer;
pub mod suggest;
