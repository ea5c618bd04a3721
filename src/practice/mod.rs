//! Practice: a car that is not there, and a debrief that teaches.
//!
//! [`exercise`] is what the owner hands on; [`drawn`] makes a car of it with what is hidden, and what else is not as
//! it should be ([`traps`]); [`bay`] is that car with the apprentice's hands on it, and a simulated clock ([`log`]);
//! [`look`] is how long one looks and [`search`] with what, [`harm`] what must not be done. [`way`] walks the same car as the program itself would,
//! [`session`] follows the events of a practice job ([`plans`] keeps what it needs of the flow), and [`debrief`] says what came of it; [`people`] keeps that.
//!
//! Pure: it reads no clock, no file and no random source; chance comes from the exercise's seed.

pub mod bay;
pub mod begin;
pub mod debrief;
mod digits;
pub mod drawn;
pub mod exercise;
pub mod harm;
pub mod kept;
pub mod log;
pub mod look;
pub mod people;
pub mod plans;
pub mod search;
pub mod session;
pub mod start;
pub mod traps;
pub mod way;
pub mod wish;
