//! What `hole`, `flow` and `found` share: pressures on both sides, the gas, and what a volume
//! flow refers to.

use super::wording::shown;
use crate::physics::calculation::{CalcError, Input, Kind, Nuisance, Shifts};
use crate::physics::gas::{ATMOSPHERE, Gas, ROOM};
use crate::physics::given::Given;
use crate::physics::orifice::{self, Coefficient, Drop};
use crate::units::Dimension;

pub(super) const GAS: Input = Input::or("gas", Kind::Word(Gas::WORDS), "air", "the gas that flows");
pub(super) const TEMPERATURE: Input = Input::or(
    "temperature",
    Kind::Quantity(Dimension::Temperature),
    "20 C",
    "temperature of the gas on the side it comes from",
);
pub(super) const BAROMETER: Input = Input::or(
    "barometer",
    Kind::Quantity(Dimension::Pressure),
    "101.325 kPa",
    "absolute pressure of the air around",
)
// From 9 km up to the highest that was ever measured at sea level, with room (US Standard Atmosphere 1976, 30.8 kPa;
// World Meteorological Organization, 108.4 kPa; both from memory).
.within(
    30e3,
    115e3,
    "a barometer stands near 101 kPa or 30 inHg at sea level, less at altitude; look at the unit",
);
pub(super) const COEFFICIENT: Input = Input::or(
    "coefficient",
    Kind::Coefficient,
    "sharp",
    "discharge coefficient: sharp, rounded, or a number above 0 and up to 1",
);
pub(super) const REFERENCE: Input = Input::or(
    "reference",
    Kind::Quantity(Dimension::Temperature),
    "20 C",
    "temperature that the volume flow refers to",
);
pub(super) const REFERENCE_PRESSURE: Input = Input::or(
    "reference-pressure",
    Kind::Quantity(Dimension::Pressure),
    "101.325 kPa",
    "absolute pressure that the volume flow refers to",
);
pub(super) const PRESSURE: Input = Input::optional(
    "pressure",
    Kind::Quantity(Dimension::Pressure),
    "pressure inside, as a difference to the barometer; below zero is a vacuum",
);
pub(super) const UPSTREAM: Input = Input::optional(
    "upstream",
    Kind::Quantity(Dimension::Pressure),
    "absolute pressure on the side that the gas comes from, in place of `pressure`",
);
pub(super) const DOWNSTREAM: Input = Input::optional(
    "downstream",
    Kind::Quantity(Dimension::Pressure),
    "absolute pressure on the side that the gas goes to, with `upstream`",
);

pub(super) const TEST_HOLE: Input = Input::optional(
    "test-hole",
    Kind::Quantity(Dimension::Length),
    "diameter of the workshop's own test hole, read on the same gear: sizes are then relative to it",
);
pub(super) const TEST_FLOW: Input = Input::optional(
    "test-flow",
    Kind::Quantity(Dimension::VolumeFlow),
    "flow through the test hole",
);
pub(super) const TEST_PRESSURE: Input = Input::optional(
    "test-pressure",
    Kind::Quantity(Dimension::Pressure),
    "pressure at the test hole, as a difference to the barometer",
);

/// The one error of the model that these calculations share with every other use of a hole.
pub(super) const COEFFICIENT_SPREAD: Nuisance = Nuisance {
    name: "coefficient",
    help: "how well the hole fits its coefficient: within 10 % (sharp) or 3 % (rounded) 95 times \
           in 100, an assumption; none for a number",
    only_with: None,
};

pub(super) const SOURCE: &str = "ideal gas through an orifice, isentropic, \
     subsonic or choked (gas-dynamics texts; \
     ISO 9300 for the choked form); sharp-edged coefficient by pressure ratio after Perry 1949";

/// The drop from `pressure` and `barometer`, or from `upstream` and `downstream`.
pub(super) fn drop(given: &Given) -> Result<Drop, CalcError> {
    match (
        given.maybe("pressure"),
        given.maybe("upstream"),
        given.maybe("downstream"),
    ) {
        (Some(inside), None, None) => against_barometer(given, "pressure", inside),
        (None, Some(upstream), Some(downstream)) => between(given, upstream, downstream),
        (None, Some(_), None) => Err(CalcError::new(
            "downstream",
            "missing",
            "give it with `upstream`, both absolute",
        )),
        (None, None, Some(_)) => Err(CalcError::new(
            "upstream",
            "missing",
            "give it with `downstream`, both absolute",
        )),
        (None, None, None) => Err(CalcError::new(
            "pressure",
            "missing",
            "give the pressure inside, or `upstream` and `downstream`",
        )),
        (Some(_), _, _) => Err(CalcError::new(
            "pressure",
            "given together with absolute pressures",
            "give either `pressure`, or `upstream` and `downstream`",
        )),
    }
}

/// The drop between a space at a pressure difference to the air around, and that air.
pub(super) fn against_barometer(
    given: &Given,
    input: &str,
    inside: f64,
) -> Result<Drop, CalcError> {
    let barometer = positive("barometer", given.number_or("barometer", ATMOSPHERE), "Pa")?;
    let absolute = barometer + inside;
    if absolute < 0.0 {
        return Err(CalcError::new(
            input,
            "it would be below a perfect vacuum",
            "read the gauge and its unit again",
        ));
    }
    let (upstream, downstream) = if inside < 0.0 {
        (barometer, absolute)
    } else {
        (absolute, barometer)
    };
    between(given, upstream, downstream)
}

fn between(given: &Given, upstream: f64, downstream: f64) -> Result<Drop, CalcError> {
    let upstream = positive("upstream", upstream, "Pa")?;
    if downstream < 0.0 {
        return Err(CalcError::new(
            "downstream",
            "an absolute pressure is never below zero",
            "add the barometer to a gauge reading",
        ));
    }
    let word = given.word("gas", "air");
    let gas = Gas::named(word).ok_or_else(|| {
        CalcError::new(
            "gas",
            format!("\"{word}\" is not known here"),
            "see the help",
        )
    })?;
    let temperature = positive("temperature", given.number_or("temperature", ROOM), "K")?;
    Ok(Drop {
        gas,
        upstream,
        downstream,
        temperature,
    })
}

/// Refuses a drop that is none, or that runs backwards.
pub(super) fn refuse_no_drop(input: &str, drop: &Drop) -> Result<(), CalcError> {
    if drop.upstream > drop.downstream {
        return Ok(());
    }
    Err(CalcError::new(
        input,
        "there is no flow without a pressure drop",
        "read the gauge with the supply on: the pressure before the hole lies above the one behind it",
    ))
}

/// Refuses a test hole that is not all there.
pub(super) fn refuse_test_hole(given: &Given) -> Result<(), CalcError> {
    let Some(hole) = given.maybe("test-hole") else {
        return match ["test-flow", "test-pressure"]
            .iter()
            .find(|name| given.maybe(name).is_some())
        {
            Some(name) => Err(CalcError::new(
                *name,
                "given without the test hole's size",
                "add `test-hole`, its diameter",
            )),
            None => Ok(()),
        };
    };
    let pressure = given.number("test-pressure")?;
    if hole <= 0.0 || given.number("test-flow")? <= 0.0 {
        return Err(CalcError::new(
            "test-flow",
            "a test hole has a size, and passes gas",
            "open the test hole, read flow and pressure, and give its diameter",
        ));
    }
    let drop = against_barometer(given, "test-pressure", pressure)?;
    refuse_no_drop("test-pressure", &drop)?;
    let mass_flow = given.number("test-flow")? * reference_density(given, drop.gas)?;
    let coefficient = mass_flow / (orifice::area(hole) * drop.flux(Coefficient::Fixed(1.0), 0.0));
    if (LEAST_COEFFICIENT..=MOST_COEFFICIENT).contains(&coefficient) {
        return Ok(());
    }
    Err(CalcError::new(
        "test-flow",
        format!(
            "the test hole would have a discharge coefficient of {coefficient:.2}, which no hole has"
        ),
        "look at its size, the flow, the pressure and their units",
    ))
}

/// Coefficients that a drilled test hole can have, with room for what gauges err: a sharp edge has 0.6 to 0.84, a
/// rounded one 0.97, a long narrow bore less. The bounds are ours, no source.
const LEAST_COEFFICIENT: f64 = 0.35;
const MOST_COEFFICIENT: f64 = 1.1;

/// By what an area must be multiplied so that the test hole comes out at its own size; 1 without.
///
/// What it sets right is common to both readings: the coefficient, the gas, the scale of the float.
pub(super) fn test_factor(given: &Given, shifts: &Shifts) -> Result<f64, CalcError> {
    let Some(hole) = given.maybe("test-hole") else {
        return Ok(1.0);
    };
    let drop = against_barometer(given, "test-pressure", given.number("test-pressure")?)?;
    let flux = drop.flux(given.coefficient("coefficient")?, shifts.get("coefficient"));
    let mass_flow = given.number("test-flow")?.max(0.0) * reference_density(given, drop.gas)?;
    Ok(orifice::area(hole.max(0.0)) * flux / mass_flow)
}

/// Says what a size relative to a test hole is.
pub(super) fn test_note(given: &Given, factor: f64) -> Option<String> {
    given.maybe("test-hole").map(|_| {
        format!(
            "relative to the test hole, an edge like its own: areas times {factor:.3}; read both \
             on the same gear, one after the other"
        )
    })
}

/// Density that turns a volume flow into a mass flow, kg/m3.
pub(super) fn reference_density(given: &Given, gas: Gas) -> Result<f64, CalcError> {
    let temperature = positive("reference", given.number_or("reference", ROOM), "K")?;
    let pressure = given.number_or("reference-pressure", ATMOSPHERE);
    Ok(gas.density(positive("reference-pressure", pressure, "Pa")?, temperature))
}

/// Names the conditions that a volume flow refers to.
pub(super) fn reference_note(given: &Given) -> String {
    format!(
        "volume flow at {} and {}",
        shown(Dimension::Temperature, given.number_or("reference", ROOM)),
        shown(
            Dimension::Pressure,
            given.number_or("reference-pressure", ATMOSPHERE)
        ),
    )
}

/// Says what the reader must know of the drop.
pub(super) fn drop_notes(given: &Given, drop: &Drop) -> Vec<String> {
    let mut notes = Vec::new();
    if given.maybe("pressure").is_some_and(|inside| inside < 0.0) {
        notes.push("vacuum inside: the gas flows in".to_owned());
    }
    if drop.choked() {
        notes.push(
            "choked: the flow follows the upstream pressure alone, but for the coefficient"
                .to_owned(),
        );
    }
    notes
}

/// An absolute quantity, which has no meaning at zero or below.
pub(super) fn positive(input: &str, value: f64, unit: &str) -> Result<f64, CalcError> {
    if value > 0.0 {
        return Ok(value);
    }
    let remedy = if unit == "K" {
        "no temperature is that low: look at the sign and the unit"
    } else {
        "give an absolute value: add the barometer to a gauge reading"
    };
    let shown = format!("{value:.5}");
    let shown = shown.trim_end_matches('0').trim_end_matches('.');
    Err(CalcError::new(
        input,
        format!("{shown} {unit} is not above zero on the absolute scale"),
        remedy,
    ))
}

/// A reading that must not be below zero.
pub(super) fn refuse_negative(given: &Given, input: &str) -> Result<(), CalcError> {
    match given.maybe(input) {
        Some(value) if value < 0.0 => Err(CalcError::new(
            input,
            "it is below zero",
            "read it again, and check the sign",
        )),
        _ => Ok(()),
    }
}
