//! `air`: the barometer and the air temperature that go with an altitude.
//!
//! Formula, range, source and what is left out: [`crate::physics::atmosphere`]. Worked example:
//! 5000 ft gives 84.31 kPa.

use crate::physics::atmosphere;
use crate::physics::calculation::{CalcError, Calculation, Input, Kind, Output, Shifts, Worked};
use crate::physics::given::Given;
use crate::units::Dimension;

/// The open air at an altitude.
pub(super) static AIR: Calculation = Calculation {
    name: "air",
    version: 1,
    summary: "barometer to expect at an altitude",
    source: "US Standard Atmosphere 1976, geometric height; the altimeter's own equation with `setting`",
    inputs: &[
        Input::needed(
            "altitude",
            Kind::Quantity(Dimension::Length),
            "height above the sea",
        ),
        Input::optional(
            "setting",
            Kind::Quantity(Dimension::Pressure),
            "the day's altimeter setting, if the weather is to count",
        ),
    ],
    outputs: &[
        Output::quantity(
            "barometer",
            Dimension::Pressure,
            "kPa",
            "absolute pressure of the air around",
        ),
        Output::quantity(
            "temperature",
            Dimension::Temperature,
            "C",
            "standard temperature at that height",
        ),
    ],
    nuisances: &[],
    refuse,
    run,
};

fn refuse(given: &Given) -> Result<(), CalcError> {
    if !atmosphere::HEIGHTS.contains(&given.number("altitude")?) {
        return Err(CalcError::new(
            "altitude",
            "outside -1000 m to 11000 m",
            "give the workshop's height above the sea",
        ));
    }
    match given.maybe("setting") {
        Some(setting) if !(80_000.0..=110_000.0).contains(&setting) => Err(CalcError::new(
            "setting",
            "no weather gives such an altimeter setting",
            "it is about 101 kPa or 29.9 inHg; a barometer's own reading needs no altitude",
        )),
        _ => Ok(()),
    }
}

fn run(given: &Given, _: &Shifts) -> Result<Worked, CalcError> {
    let height = given.number("altitude")?;
    let standard = atmosphere::standard(height);
    let (pressure, note) = match given.maybe("setting") {
        Some(setting) => (
            atmosphere::station(height, setting),
            "the temperature is the standard one, not the day's",
        ),
        None => (
            standard.pressure,
            "standard air: the day's weather moves the barometer by up to some 4 kPa",
        ),
    };
    Ok(Worked {
        results: vec![pressure.into(), standard.temperature.into()],
        notes: vec![note.to_owned()],
    })
}
