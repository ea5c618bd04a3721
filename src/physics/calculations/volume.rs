//! `volume`: a closed space measured by two decays, one of them with a known test hole open.
//!
//! Both decays give an area over the volume (see [`crate::physics::decay`]); what the test hole
//! adds is its own area over the volume:
//!
//! ```text
//! V = A_test / (a_open - a_shut),    a = area / volume of each decay
//! ```
//!
//! Without the first decay the space's own leak is taken to be none. The leak comes out of the same
//! two slopes, `A_leak = A_test a_shut / (a_open - a_shut)`, so that the coefficient cancels in it:
//! it is a hole like the test hole. Source: our derivation from the mass balance; no printed source.
//! Left out: what `decay` leaves out, and the volume of the gear itself, which is part of the space.
//! Worked example: 14 to 7.40 inH2O in 120 s through a hole of 0.020 in with `Cd` 0.61: 60 L.

use super::decay_points::{
    POINT, UNREAD, UNREAD_TEMPERATURE, fitted, has_temperatures, readings, refuse_points, space,
};
use super::gear::{BAROMETER, COEFFICIENT, COEFFICIENT_SPREAD, GAS, TEMPERATURE};
use crate::physics::calculation::{
    CalcError, Calculation, Input, Kind, Nuisance, Output, Shifts, Worked,
};
use crate::physics::given::Given;
use crate::physics::orifice;
use crate::physics::uncertainty::DEVIATIONS;
use crate::units::Dimension;

/// The hold with the test hole open is another hold, at another time: what its gas did is nobody's guess from the first.
const UNREAD_WHEN_OPEN: Nuisance = Nuisance {
    name: "gas-temperature-open",
    help: "the same over the test with the test hole open, by itself",
    only_with: None,
};

/// The volume of a space.
pub(super) static VOLUME: Calculation = Calculation {
    name: "volume",
    version: 2,
    summary: "volume of a closed space from two decays, one with a known test hole open",
    source: "mass balance of the closed space with isentropic orifice flow; our derivation",
    inputs: &[
        Input::needed(
            "test-hole",
            Kind::Quantity(Dimension::Length),
            "diameter of the test hole",
        ),
        Input::needed(
            "open-at",
            Kind::Points(POINT),
            "pressure at a time with the test hole open",
        ),
        Input::optional(
            "at",
            Kind::Points(POINT),
            "pressure at a time with the test hole shut",
        ),
        GAS,
        TEMPERATURE,
        BAROMETER,
        COEFFICIENT,
    ],
    outputs: &[
        Output::quantity("volume", Dimension::Volume, "L", "volume of the space"),
        Output::quantity(
            "leak",
            Dimension::Length,
            "mm",
            "the space's own leak, as a hole like the test hole",
        ),
    ],
    nuisances: &[COEFFICIENT_SPREAD, UNREAD_TEMPERATURE, UNREAD_WHEN_OPEN],
    refuse,
    run,
};

fn refuse(given: &Given) -> Result<(), CalcError> {
    if given.number("test-hole")? <= 0.0 {
        return Err(CalcError::new(
            "test-hole",
            "a test hole has a size above zero",
            "give its diameter, for example 0.020 in",
        ));
    }
    refuse_points("open-at", &readings(given, "open-at", 0.0)?)?;
    if given.get("at").is_some() {
        refuse_points("at", &readings(given, "at", 0.0)?)?;
    }
    for input in ["open-at", "at"] {
        if given.get(input).is_some()
            && readings(given, input, 0.0)?
                .iter()
                .any(|reading| reading.inside == 0.0)
        {
            return Err(CalcError::new(
                input,
                "the space had emptied by one of these readings",
                "leave that one out, and read sooner, while some pressure is left",
            ));
        }
    }
    let (open, shut) = slopes(given, &Shifts::none())?;
    if open > shut {
        return Ok(());
    }
    Err(CalcError::new(
        "open-at",
        "with the test hole open it falls no faster than with it shut",
        "check that the test hole is clear and that the two decays are not exchanged",
    ))
}

/// Area over volume with the test hole open and shut, 1/m.
fn slopes(given: &Given, shifts: &Shifts) -> Result<(f64, f64), CalcError> {
    let slope = |input: &str, unread: Nuisance| {
        let drift = shifts.get(unread.name) * UNREAD / DEVIATIONS;
        let read = readings(given, input, drift)?;
        let mut space = space(given, shifts)?;
        space.temperature = read.first().map_or(space.temperature, |r| r.temperature);
        fitted(input, &space, &read).map(|fit| fit.area_per_volume)
    };
    let shut = match given.get("at") {
        Some(_) => slope("at", UNREAD_TEMPERATURE)?,
        None => 0.0,
    };
    Ok((slope("open-at", UNREAD_WHEN_OPEN)?, shut))
}

fn run(given: &Given, shifts: &Shifts) -> Result<Worked, CalcError> {
    let (open, shut) = slopes(given, shifts)?;
    let test = orifice::area(given.number("test-hole")?.max(0.0));
    let added = open - shut;
    // A shifted reading may turn the difference: then nothing bounds the volume.
    let volume = if added > 0.0 {
        test / added
    } else {
        f64::INFINITY
    };
    let leak = given
        .get("at")
        .map(|_| orifice::diameter(test * shut / added));
    let mut notes = Vec::new();
    if leak.is_none() {
        notes.push(
            "no decay with the test hole shut: the space is taken to have no leak of its own"
                .to_owned(),
        );
    }
    let unread = |input: &&str| {
        let rows = given.get(input).and_then(|_| given.points(input).ok());
        rows.is_some_and(|rows| !has_temperatures(rows))
    };
    if ["open-at", "at"].iter().any(unread) {
        notes.push(
            "no temperatures read in one hold or both: 1 K of the gas over each, by itself, is allowed for"
                .to_owned(),
        );
    }
    Ok(Worked {
        results: vec![volume.into(), leak.into()],
        notes,
    })
}
