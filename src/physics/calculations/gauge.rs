//! `gauge`: what a variable-area float says, on a scale made for other conditions or on none.
//!
//! Formulas, source and what is left out: [`crate::physics::float_gauge`]. Two ways in: `reading`
//! from a printed scale, corrected to the gas, pressure and temperature at the float; or `height`
//! in a tube without numbers, through a profile of test holes (`point`, each a height and the hole
//! that held the float there; 0 mm is a blocked tip) read at `set-pressure`. A profile is then only
//! as good as the coefficient of the test holes, since their flow is worked from their size.
//!
//! Worked example: 5 m3/h on a scale for air at 2 bar and 20 C, with carbon dioxide at 4 bar
//! and 50 C: 4.97 m3/h.

use super::decay_points::space;
use super::gear::{BAROMETER, COEFFICIENT, COEFFICIENT_SPREAD, GAS, positive};
use crate::physics::calculation::{
    Answer, CalcError, Calculation, Field, Input, Kind, Nuisance, Output, Shifts, Worked,
};
use crate::physics::float_gauge::{Curve, Pair, factor};
use crate::physics::gas::{ATMOSPHERE, Gas, ROOM};
use crate::physics::given::Given;
use crate::physics::orifice;
use crate::physics::uncertainty::DEVIATIONS;
use crate::units::{Dimension, Unit};

const POINT: &[Field] = &[
    Field {
        name: "mark",
        dimension: Dimension::Ratio,
        needed: true,
    },
    Field {
        name: "hole",
        dimension: Dimension::Length,
        needed: true,
    },
];

const INTERPOLATION: Nuisance = Nuisance {
    name: "interpolation",
    help: "between the points of a profile: within the distance of the smooth curve from straight \
           pieces, 95 times in 100, an assumption",
    only_with: None,
};

/// What a float says.
pub(super) static GAUGE: Calculation = Calculation {
    name: "gauge",
    version: 1,
    summary: "flow that a float shows, for the gas at the float or from a profile of test holes",
    source: "square root of density, pressure and temperature ratios, VDI/VDE 3513 (from memory); \
             profile: monotone cubic, harmonic-mean slopes (Fritsch and Butland 1984), through isentropic orifice flows",
    inputs: &[
        Input::optional(
            "reading",
            Kind::Quantity(Dimension::VolumeFlow),
            "flow as the scale reads it; or give `height` and points",
        ),
        Input::optional(
            "height",
            Kind::Quantity(Dimension::Ratio),
            "height of the float, as a share of the tube",
        ),
        Input::optional(
            "points",
            Kind::Points(POINT),
            "height that a test hole holds the float at (0 mm: blocked tip)",
        ),
        Input::optional(
            "set-pressure",
            Kind::Quantity(Dimension::Pressure),
            "pressure at the test holes of the profile, as a difference to the barometer",
        ),
        GAS,
        Input::or(
            "pressure",
            Kind::Quantity(Dimension::Pressure),
            "0 kPa",
            "pressure at the float, as a difference to the barometer",
        ),
        Input::or(
            "temperature",
            Kind::Quantity(Dimension::Temperature),
            "20 C",
            "temperature at the float",
        ),
        BAROMETER,
        Input::or(
            "scale-gas",
            Kind::Word(Gas::WORDS),
            "air",
            "gas that the scale was made for",
        ),
        Input::or(
            "scale-pressure",
            Kind::Quantity(Dimension::Pressure),
            "0 kPa",
            "pressure that the scale was made for, as a difference to the barometer",
        ),
        Input::or(
            "scale-temperature",
            Kind::Quantity(Dimension::Temperature),
            "20 C",
            "temperature that the scale was made for",
        ),
        COEFFICIENT,
    ],
    outputs: &[
        Output::quantity(
            "flow",
            Dimension::VolumeFlow,
            "L/min",
            "true flow at the scale's reference conditions; of a profile, at 20 C and 101.325 kPa",
        )
        .one_way(),
        Output::quantity(
            "factor",
            Dimension::Ratio,
            "ratio",
            "true flow over the scale's reading",
        ),
    ],
    nuisances: &[COEFFICIENT_SPREAD, INTERPOLATION],
    refuse,
    run,
};

/// What was given that a profile takes no account of: it holds where it was calibrated.
fn of_a_scale(given: &Given) -> Option<&'static str> {
    let numbers = [
        ("pressure", 0.0),
        ("scale-pressure", 0.0),
        ("scale-temperature", ROOM),
    ];
    let number = numbers
        .iter()
        .find(|(name, usual)| (given.number_or(name, *usual) - *usual).abs() > 1e-6);
    let gas = (given.word("scale-gas", "air") != "air").then_some("scale-gas");
    number.map(|(name, _)| *name).or(gas)
}

fn refuse(given: &Given) -> Result<(), CalcError> {
    super::gear::refuse_negative(given, "reading")?;
    match (given.maybe("reading"), given.maybe("height")) {
        (Some(_), Some(_)) => Err(CalcError::new(
            "height",
            "given together with a reading",
            "give `reading` from a printed scale, or `height` and points",
        )),
        (None, None) => Err(CalcError::new(
            "reading",
            "missing",
            "give `reading` from a printed scale, or `height` and points",
        )),
        (Some(_), None) => Ok(()),
        (None, Some(height)) => {
            if let Some(name) = of_a_scale(given) {
                return Err(CalcError::new(
                    name,
                    "it belongs to a printed scale, and a height is read by the profile",
                    "leave it out, and calibrate with the gas, pressure and temperature that you read with",
                ));
            }
            let (low, high) = curve(given, &Shifts::none())?.range();
            if (low..=high).contains(&height) {
                return Ok(());
            }
            let show = |si| Unit::default_for(Dimension::Ratio).show(si);
            Err(CalcError::new(
                "height",
                format!(
                    "{} is outside the profile, {} to {}",
                    show(height),
                    show(low),
                    show(high)
                ),
                "calibrate with a test hole that brings the float higher, or use another float",
            ))
        }
    }
}

fn run(given: &Given, shifts: &Shifts) -> Result<Worked, CalcError> {
    if let Some(reading) = given.maybe("reading") {
        let factor = correction(given)?;
        return Ok(Worked {
            results: vec![(reading.max(0.0) * factor).into(), factor.into()],
            notes: vec![
                "give the pressure where the float stands: before the regulator it is the \
                 regulator's inlet pressure"
                    .to_owned(),
            ],
        });
    }
    let curve = curve(given, shifts)?;
    let height = given.number("height")?;
    let smooth = curve.at(height);
    let apart = curve.straight(height) - smooth;
    let flow = smooth + apart * shifts.get(INTERPOLATION.name) / DEVIATIONS;
    Ok(Worked {
        results: vec![flow.max(0.0).into(), Answer::Absent],
        notes: vec![
            "volume flow at 20.0 C and 101.33 kPa, with the float at the gas, pressure and \
             temperature of its calibration"
                .to_owned(),
        ],
    })
}

/// The factor of a printed scale.
fn correction(given: &Given) -> Result<f64, CalcError> {
    let gas = |input: &str| {
        let word = given.word(input, "air");
        Gas::named(word).ok_or_else(|| {
            CalcError::new(
                input,
                format!("\"{word}\" is not known here"),
                "see the help",
            )
        })
    };
    let barometer = given.number_or("barometer", ATMOSPHERE);
    let pressure = |input: &str| {
        positive(
            input,
            barometer + given.number_or(input, 0.0),
            "Pa absolute",
        )
    };
    let temperature = |input: &str| positive(input, given.number_or(input, ROOM), "K");
    Ok(factor(
        Pair {
            scale: gas("scale-gas")?.normal_density(),
            here: gas("gas")?.normal_density(),
        },
        Pair {
            scale: pressure("scale-pressure")?,
            here: pressure("pressure")?,
        },
        Pair {
            scale: temperature("scale-temperature")?,
            here: temperature("temperature")?,
        },
    ))
}

/// The profile as a curve of flow over height.
fn curve(given: &Given, shifts: &Shifts) -> Result<Curve, CalcError> {
    let set = given.number("set-pressure")?;
    let space = space(given, shifts)?;
    if set <= 0.0 {
        return Err(CalcError::new(
            "set-pressure",
            "a test hole passes nothing without a pressure",
            "give the pressure at the test holes, for example 14 inH2O",
        ));
    }
    let density = space.gas.density(ATMOSPHERE, ROOM);
    let mut points: Vec<(f64, f64)> = given
        .points("points")?
        .iter()
        .filter_map(|row| match row[..] {
            [Some(height), Some(hole)] if hole >= 0.0 => {
                Some((height, orifice::area(hole) * space.flux(set) / density))
            }
            _ => None,
        })
        .collect();
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    Curve::through(&points).ok_or_else(|| {
        CalcError::new(
            "points",
            "they are no scale: at least two heights are needed, and a larger hole must bring the \
             float higher",
            "read a blocked tip and two test holes again, one after the other",
        )
    })
}
