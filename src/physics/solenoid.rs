//! The winding of a solenoid: copper, whose resistance grows with its temperature.
//!
//! ```text
//! R2 = R1 (234.5 + t2) / (234.5 + t1)            t in C
//! I  = U / R
//! ```
//!
//! Source: IEC 60028 and any text on windings; copper has 0.393 % a kelvin at 20 C (from memory).
//! Left out: resistance of leads and driver, and a chopped (duty-cycled) supply, whose mean current
//! is less. Worked example: 26 ohm at 20 C are 34.2 ohm at 100 C.

/// Temperature at which copper's straight line would have no resistance, below 0 C.
const ZERO: f64 = 234.5;
/// 0 C in kelvin.
const FREEZING: f64 = 273.15;

/// A resistance carried from one temperature of the winding to another, K.
pub fn at_temperature(resistance: f64, from: f64, to: f64) -> f64 {
    resistance * (ZERO + to - FREEZING) / (ZERO + from - FREEZING)
}
