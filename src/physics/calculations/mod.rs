//! The named calculations, one a file, and the table of them all.
//!
//! Adding one is a file here with a `pub(super) static` [`Calculation`], and a line in the table.

pub use super::calculation::CANNOT_TELL;
pub use decay::NO_RESIDUAL;
pub use decay_verdicts::{GAINS, USUAL_CRITERION};
pub use intake::IDLE_MANIFOLD;

use super::calculation::Calculation;

mod air;
mod arithmetic;
mod code;
mod coil;
mod convert;
pub mod curves;
mod decay;
mod decay_points;
mod decay_verdicts;
mod found;
mod gauge;
mod gear;
mod hole;
mod idle;
mod intake;
mod needed;
mod pid;
mod raised_idle;
mod regulatory;
mod ripple;
mod sensor;
mod sensor_line;
mod share;
mod supply;
mod trims;
mod valve;
mod vapour;
mod vin;
mod volume;
mod wording;

/// Every calculation, in the order in which lists show them.
pub fn all() -> &'static [&'static Calculation] {
    ALL
}

static ALL: &[&Calculation] = &[
    &hole::HOLE,
    &hole::FLOW,
    &found::FOUND,
    &decay::DECAY,
    &volume::VOLUME,
    &gauge::GAUGE,
    &supply::EQUILIBRIUM,
    &supply::FILL,
    &vapour::VAPOUR,
    &regulatory::REGULATORY,
    &idle::TRIM_TOTAL,
    &trims::TRIMS,
    &needed::NEEDED,
    &share::SHARE,
    &air::AIR,
    &sensor::KEY_ON,
    &sensor::SENSOR,
    &sensor_line::SENSOR_LINE,
    &ripple::RIPPLE,
    &idle::IDLE_AIR,
    &raised_idle::RAISED_IDLE,
    &coil::COIL,
    &valve::VALVE,
    &code::CODE,
    &pid::PID,
    &vin::VIN,
    &arithmetic::RATIO,
    &arithmetic::DIFFERENCE,
    &arithmetic::SUM,
    &convert::CONVERT,
];

/// The calculation of this name.
pub fn find(name: &str) -> Option<&'static Calculation> {
    ALL.iter()
        .copied()
        .find(|calculation| calculation.name == name)
}
