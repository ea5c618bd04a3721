//! What temperature and evaporating fuel do to the pressure of a closed tank.
//!
//! ```text
//! p2 = (p1 - pv(T1)) T2/T1 + pv(T2)                      sealed, liquid fuel in it, saturated
//! p2 = p1 T2/T1                                          sealed, gas alone
//! p2 = (p1 - (1 - f) pv(T1)) T2/T1 + pv(T2)              sealed, a share f of the gas fresh
//! ln pv = [0.7553 - 413/t] S^0.5 lg(RVP) - [1.854 - 1042/t] S^0.5
//!         + [2416/t - 2.013] lg(RVP) - 8742/t + 15.64    (psi; t in degrees Rankine)
//! ```
//!
//! | symbol | meaning | unit | range |
//! | --- | --- | --- | --- |
//! | `p1`, `p2` | absolute pressure before and after | Pa | |
//! | `T1`, `T2` | temperature before and after | K | -20 to 60 C |
//! | `pv` | true vapour pressure of the fuel | Pa | |
//! | `RVP` | vapour pressure by the Reid test at 100 F | psi | 2 to 15 |
//! | `f` | share of the space that fresh gas without vapour has just filled | 1 | 0 to 1 |
//! | `S` | slope of the distillation curve, 3 for gasoline | F/% | |
//!
//! Source of the vapour pressure: US EPA AP-42, section 7.1, refined petroleum stocks, coefficients
//! from memory; they give back that section's table for gasoline of 7, 10 and 13 psi from 40 to 100 F
//! (from memory too) within 2.5 %. Left out: ethanol (it raises the curve), weathered fuel (lower),
//! the light ends that leave first, and the time that evaporation takes: minutes in still gas, so
//! that a reading lies between the gas alone and the saturated tank.
//!
//! Worked example: 1 K more at 20 C and 14 inH2O: 0.358 kPa (1.44 inH2O) by the gas alone.

/// Pascals in a pound-force on a square inch.
const PSI: f64 = 6_894.757_293_168;
/// Reid vapour pressure of a summer gasoline, Pa; 40 CFR 1090.215 sets 9.0 psi (from memory).
pub const USUAL_REID: f64 = 9.0 * PSI;
/// Slope of gasoline's distillation curve at 10 % evaporated, F/%; AP-42 (from memory).
const SLOPE: f64 = 3.0;

/// True vapour pressure, Pa, of gasoline of a Reid vapour pressure in Pa at a temperature in K.
pub fn vapour_pressure(reid: f64, temperature: f64) -> f64 {
    let t = temperature * 1.8;
    let volatility = (reid / PSI).log10();
    let root = SLOPE.sqrt();
    let logarithm = (0.7553 - 413.0 / t) * root * volatility - (1.854 - 1042.0 / t) * root
        + (2416.0 / t - 2.013) * volatility
        - 8742.0 / t
        + 15.64;
    logarithm.exp() * PSI
}

/// Change of pressure of sealed gas alone, Pa.
pub fn gas_change(pressure: f64, from: f64, to: f64) -> f64 {
    pressure * (to / from - 1.0)
}
