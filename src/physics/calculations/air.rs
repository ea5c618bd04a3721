//! `air`: the barometer and the air temperature that go with an altitude, and what an engine's
//! manifold should read there.
//!
//! Formula, range, source and what is left out: [`crate::physics::atmosphere`]. With the engine
//! stopped the manifold is at the barometer (`key-on`). A sound engine's idle vacuum at the sea is
//! about 20 inHg and falls by about 1 inHg for each 1000 ft: US Army Ordnance course OD1001, lesson 3;
//! within 17 to 22 inHg at the sea is common practice, no source. Worked example: 5000 ft gives
//! 84.31 kPa, and an idle vacuum of 15 inHg, 33.5 kPa absolute.

use super::wording::{shown, shown_in};
use crate::physics::atmosphere;
use crate::physics::calculation::{CalcError, Calculation, Input, Kind, Output, Shifts, Worked};
use crate::physics::gas::ATMOSPHERE;
use crate::physics::given::Given;
use crate::units::Dimension;

/// The conventional one, as in the table of units.
const INCH_OF_MERCURY: f64 = 13_595.1 * 9.806_65 * 0.0254;
const SEA_VACUUM: f64 = 20.0 * INCH_OF_MERCURY;
/// Pa less for each metre of height: 1 inHg for 1000 ft.
const DERATING: f64 = INCH_OF_MERCURY / 304.8;

/// The height for which that is said, m: 1000 ft.
const STEP: f64 = 304.8;

/// How far the weather moves the barometer, Pa: common practice, no source.
const USUAL_WEATHER: f64 = 4_000.0;

/// The open air at an altitude.
pub(super) static AIR: Calculation = Calculation {
    name: "air",
    version: 2,
    summary: "barometer at an altitude, and what the manifold should read there",
    source: "US Standard Atmosphere 1976, geometric height; the altimeter's own equation with \
             `setting`; idle vacuum: US Army Ordnance course OD1001, lesson 3",
    inputs: &[
        Input::optional(
            "altitude",
            Kind::Quantity(Dimension::Length),
            "height above the sea; or give `station`",
        ),
        Input::optional(
            "setting",
            Kind::Quantity(Dimension::Pressure),
            "the day's altimeter setting, if the weather is to count",
        ),
        Input::optional(
            "station",
            Kind::Quantity(Dimension::Pressure),
            "absolute pressure read on a barometer in the workshop, which goes before all else",
        ),
        Input::or(
            "sea-vacuum",
            Kind::Quantity(Dimension::Pressure),
            "20 inHg",
            "idle vacuum of this engine at the sea",
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
        Output::quantity(
            "key-on",
            Dimension::Pressure,
            "kPa",
            "absolute manifold pressure to expect with the engine stopped",
        ),
        Output::quantity(
            "idle-vacuum",
            Dimension::Pressure,
            "inHg",
            "vacuum to expect at a warm idle",
        ),
        Output::quantity(
            "idle-manifold",
            Dimension::Pressure,
            "kPa",
            "absolute manifold pressure to expect at a warm idle",
        ),
    ],
    nuisances: &[],
    refuse,
    run,
};

/// The deepest low at sea level was 87.0 kPa and the highest barometer 108.4 kPa (World Meteorological Organization, from
/// memory): further than that from the standard air is another height.
const WEATHER: f64 = 15_000.0;

/// Height above the sea, m: as given, else where the standard air has the barometer's reading.
fn height(given: &Given) -> Result<f64, CalcError> {
    if let Some(height) = given.maybe("altitude") {
        return Ok(height);
    }
    let missing = || {
        CalcError::new(
            "altitude",
            "missing",
            "give the height above the sea, or a barometer's own reading as `station`",
        )
    };
    let station = given.maybe("station").ok_or_else(missing)?;
    atmosphere::height_of(station).ok_or_else(|| {
        CalcError::new(
            "station",
            "no barometer reads this on the ground",
            "give the absolute pressure, about 101 kPa at the sea",
        )
    })
}

fn refuse(given: &Given) -> Result<(), CalcError> {
    let height = height(given)?;
    if !atmosphere::HEIGHTS.contains(&height) {
        return Err(CalcError::new(
            "altitude",
            "outside -1000 m to 11000 m",
            "give the workshop's height above the sea",
        ));
    }
    if given.maybe("setting").is_some() && given.maybe("station").is_some() {
        return Err(CalcError::new(
            "setting",
            "given together with a barometer's own reading",
            "give `station` alone: it needs no altimeter setting",
        ));
    }
    if !(0.0..ATMOSPHERE).contains(&given.number_or("sea-vacuum", SEA_VACUUM)) {
        return Err(CalcError::new(
            "sea-vacuum",
            "no engine draws such a vacuum",
            "it lies between nothing and the barometer: about 20 inHg at a sound warm idle",
        ));
    }
    if let Some(station) = given.maybe("station")
        && (station - atmosphere::standard(height).pressure).abs() > WEATHER
    {
        return Err(CalcError::new(
            "station",
            "no weather has brought a barometer there at this altitude",
            "read both again; `station` is the pressure as it is there, not reduced to the sea",
        ));
    }
    match (given.maybe("setting"), given.maybe("station")) {
        (Some(setting), _) if !(80_000.0..=110_000.0).contains(&setting) => Err(CalcError::new(
            "setting",
            "no weather gives such an altimeter setting",
            "it is about 101 kPa or 29.9 inHg; a barometer's own reading goes under `station`",
        )),
        (_, Some(station)) if !(20_000.0..=115_000.0).contains(&station) => Err(CalcError::new(
            "station",
            "no barometer reads this on the ground",
            "give the absolute pressure, about 101 kPa at the sea",
        )),
        _ => Ok(()),
    }
}

fn run(given: &Given, _: &Shifts) -> Result<Worked, CalcError> {
    let height = height(given)?;
    let standard = atmosphere::standard(height);
    let (pressure, note) = match (given.maybe("station"), given.maybe("setting")) {
        (Some(station), _) => (
            station,
            "the barometer's own reading; the temperature is the standard one, not the day's"
                .to_owned(),
        ),
        (None, Some(setting)) => (
            atmosphere::station(height, setting),
            "the temperature is the standard one, not the day's".to_owned(),
        ),
        (None, None) => (
            standard.pressure,
            format!(
                "standard air: the day's weather moves the barometer by up to some {}",
                shown(Dimension::Pressure, USUAL_WEATHER)
            ),
        ),
    };
    let sea = given.number_or("sea-vacuum", SEA_VACUUM);
    let vacuum = (sea - DERATING * height).clamp(0.0, pressure.max(0.0));
    let notes = vec![
        note,
        format!(
            "idle vacuum {} at the sea, about {} less for each {}",
            shown_in("inHg", sea),
            shown_in("inHg", DERATING * STEP),
            shown_in("ft", STEP),
        ),
    ];
    Ok(Worked {
        results: vec![
            pressure.into(),
            standard.temperature.into(),
            pressure.into(),
            vacuum.into(),
            (pressure - vacuum).into(),
        ],
        notes,
    })
}
