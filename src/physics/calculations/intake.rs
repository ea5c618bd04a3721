//! What `trims` and `needed` share: the flux of air through a leak into the intake manifold.

use super::gear::positive;
use super::wording::shown;
use crate::physics::calculation::{CalcError, Input, Kind, Shifts};
use crate::physics::gas::{ATMOSPHERE, Gas, ROOM};
use crate::physics::given::Given;
use crate::physics::orifice::Drop;
use crate::units::Dimension;

/// A warm idle's manifold pressure, Pa absolute, where none was read: common practice, no source.
/// It only picks the coefficient, since the flow itself is choked well above it.
pub const IDLE_MANIFOLD: f64 = 35_000.0;

/// No engine draws its manifold further down, and no charger further up, Pa absolute: bounds of ours, no source.
pub(super) const LEAST_MANIFOLD: f64 = 5_000.0;
pub(super) const MOST_MANIFOLD: f64 = 500_000.0;
pub(super) const A_MANIFOLD: &str = "a running engine's manifold lies between some 20 and 250 kPa absolute: take a vacuum gauge's reading from the barometer";
/// From here on an idle's pressure may be a vacuum gauge's reading, Pa: common practice, no source.
const HIGH_FOR_AN_IDLE: f64 = 60_000.0;

/// Said where a pressure is high for an idle: it may be a vacuum gauge's reading, which is no absolute pressure.
pub(super) fn is_it_absolute(manifold: f64) -> Option<String> {
    (manifold > HIGH_FOR_AN_IDLE && manifold < ATMOSPHERE).then(|| {
        format!(
            "{} counts as an absolute pressure, which is much for an idle: take a vacuum gauge's reading from the barometer first",
            shown(Dimension::Pressure, manifold)
        )
    })
}

pub(super) const AIR_TEMPERATURE: Input = Input::or(
    "temperature",
    Kind::Quantity(Dimension::Temperature),
    "20 C",
    "temperature of the air that leaks in",
);

pub(super) const AN_ENGINE: &str = "an engine sweeps between some 0.05 and 30 L; look at the unit";

pub(super) const EFFICIENCY: Input = Input::or(
    "efficiency",
    Kind::Quantity(Dimension::Ratio),
    "80 %",
    "volumetric efficiency referred to the air in the manifold",
)
// No engine without a charger fills its cylinders much above their volume: the bound is ours, common practice, no source.
.within(
    0.1,
    1.5,
    "an engine fills 40 to 110 % of what it sweeps; write for example 80 %",
);

pub(super) const BANKS: Input = Input::or(
    "banks",
    Kind::Count,
    "1",
    "banks that share the metered air, when trims and leak are one bank's; 1 when the leak feeds all",
);

/// Mass flux into the manifold, kg/(s m2); below zero when the manifold is above the barometer
/// and air goes out.
pub(super) fn flux(given: &Given, manifold: f64, shifts: &Shifts) -> Result<f64, CalcError> {
    if manifold < 0.0 {
        return Err(CalcError::new(
            "manifold",
            "an absolute pressure is never below zero",
            "take the barometer and the vacuum gauge's reading together",
        ));
    }
    let barometer = positive("barometer", given.number_or("barometer", ATMOSPHERE), "Pa")?;
    let temperature = positive("temperature", given.number_or("temperature", ROOM), "K")?;
    let drop = Drop {
        gas: Gas::Air,
        upstream: barometer.max(manifold),
        downstream: barometer.min(manifold),
        temperature,
    };
    let size = drop.flux(given.coefficient("coefficient")?, shifts.get("coefficient"));
    Ok(if manifold > barometer { -size } else { size })
}

/// The share of the metered air that one bank draws: 1 over the number of banks.
pub(super) fn bank_share(given: &Given) -> Result<f64, CalcError> {
    let banks = given.number_or("banks", 1.0);
    if banks >= 1.0 {
        return Ok(1.0 / banks);
    }
    Err(CalcError::new(
        "banks",
        "an engine has at least one bank",
        "count the banks that share the air meter",
    ))
}
