//! The honest trial: simulated cars led through a flow by the flow's own branches and by the evidence, and what
//! comes of it.
//!
//! [`led`] is one car led by the evidence, move by move. [`ran`] is what any way made of one car, by one rule of
//! accounting. [`fleet`] draws the cars, and [`sums`] adds them up, with [`calibration`] for how far the
//! probabilities can be believed.
//!
//! Pure: a car follows from the seed, its causes and its number alone, so that it does not matter who runs it.

pub mod calibration;
pub mod fleet;
mod hands;
pub mod led;
mod moves;
pub mod ran;
pub mod sums;
