//! Air that an engine draws, metered or not.
//!
//! Speed-density: `m = e p/(R T) V n/2` for a four-stroke engine; `e` volumetric efficiency
//! referred to the air *in the manifold*, `p` Pa and `T` K there, `V` m3 swept, `n` turns a
//! second. Heywood 1988, section 2.10 (from memory). At idle a manifold-referred efficiency of
//! 0.8 gives about 1.9 g/s for each litre; the workshop's rule of about 1 (common practice, no
//! source) answers to 0.42 to 0.45. The two agree within a factor of two and no better.
//!
//! Unmetered air: `1 + trim = (1 + a)(1 + m_leak / m_metered)`, where `a` is whatever part of the
//! trim does not come from the leak: an error of the meter, of fuel pressure, of the injectors.

use super::gas::Gas;

/// Total trim of a short-term and a long-term one, which multiply: all as ratios.
pub fn total_trim(short: f64, long: f64) -> f64 {
    (1.0 + short).mul_add(1.0 + long, -1.0)
}

/// Unmetered air, kg/s, that by itself answers for a trim at a metered airflow in kg/s.
pub fn unmetered(trim: f64, metered: f64) -> f64 {
    trim * metered
}

/// Airflow of a four-stroke engine, kg/s.
pub fn speed_density(
    efficiency: f64,
    pressure: f64,
    temperature: f64,
    swept: f64,
    turns: f64,
) -> f64 {
    efficiency * Gas::Air.density(pressure, temperature) * swept * turns / 2.0
}
