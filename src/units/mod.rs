//! Quantities as the trade writes them: "14 inH2O", "0.020 in", "2.3 L/min", "+17 %".
//!
//! This module owns the one table of units, the reading and the printing of quantities, and their
//! SI values. Everything further in works on plain `f64` in SI units and meets text only here. It
//! must not know what a quantity is for: plausible ranges, gauges and formulas live further in.
//!
//! Conventions: an inch of water and an inch of mercury are the *conventional* ones (water of
//! 1000 kg/m3, mercury of 13595.1 kg/m3, standard gravity), 249.08891 Pa and 3386.389 Pa in NIST
//! SP 811, table B.8 (value from memory, recomputed). Gauges that follow another definition part
//! from these by up to 0.3 %, less than any of them can be read to. A volume flow is m3/s at 20 C
//! and 101.325 kPa unless whoever uses it says otherwise.

mod digits;
mod dimension;
mod error;
mod number;
pub mod preferred;
mod quantity;
mod table;
pub mod together;
mod unit;
mod whole;

pub use dimension::Dimension;
pub use error::UnitError;
pub use quantity::Quantity;
pub use unit::Unit;
pub use whole::whole;
