//! Values in the notes and refusals of calculations: in the units that people want to read.
//!
//! Results come out in SI and are worded by whoever shows them. Notes are words already, so they are put into the
//! preferred units here. Verdicts go into the record and name no such value.

use crate::units::preferred::{shown_unit, worked};
use crate::units::{Dimension, Unit};

/// A value in SI in the unit that is usual for its dimension.
pub(super) fn shown(dimension: Dimension, si: f64) -> String {
    shown_unit(Unit::default_for(dimension)).show(si)
}

/// A low pressure in Pa, in the unit in which the flow asks for pressures.
pub(super) fn shown_low(si: f64) -> String {
    low().map_or_else(|| format!("{si} Pa"), |unit| worked(si, unit))
}

fn low() -> Option<Unit> {
    Unit::parse("inH2O").ok()
}

/// A value in SI that is usually told in this unit.
pub(super) fn shown_in(unit: &str, si: f64) -> String {
    let unit = Unit::parse(unit).map(shown_unit);
    unit.map_or_else(|_| si.to_string(), |unit| unit.show(si))
}
